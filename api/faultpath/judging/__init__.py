"""Texts in force on parts of an installation: judged, judged again after a change, and held against the reference engine."""
