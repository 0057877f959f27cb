"""The rulebook as read from `ontology/` and `shapes/`: vocabulary, tables, rules, overlays, places, quantities, worked cases. Knows no installation."""
