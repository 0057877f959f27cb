"""Pictures of an installation: what is there, what is missing where it should be, and the findings on it."""
