"""Installation documents: read within limits, checked, and turned into the asserted graph and back. Concludes nothing."""
