"""What follows from stated facts: the queries of the book, the join that solves them, and the program that runs the ones in force."""
