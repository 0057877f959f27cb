"""How a question is asked: its request, the law it asks for, the answer and its formats. What HTTP and the command line share."""
