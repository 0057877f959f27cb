"""Planned work as data: steps in trade words, each carried out on an installation document."""
