"""One module per question: what was asked, as a model that holds its evidence. Answers know nothing of HTTP or files."""
