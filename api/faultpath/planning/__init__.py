"""Planned work: steps carried out on a document, the states it goes through, and the search for the smallest sets of work."""
