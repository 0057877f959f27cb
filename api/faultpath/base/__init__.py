"""The ground floor: every IRI, triples, the four outcomes with their logic, and problems of input. Knows nothing of the trade."""
