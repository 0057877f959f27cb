"""Answers made readable: text, documents, diagrams, charts and RDF. Filled from answers; nothing here computes an outcome."""
