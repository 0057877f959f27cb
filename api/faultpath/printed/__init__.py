"""Answers as plain text for people: a page, and one module for each kind of answer."""
