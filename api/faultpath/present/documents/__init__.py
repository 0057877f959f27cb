"""Answers as pages and PDF: one template each, one stylesheet, no script."""
