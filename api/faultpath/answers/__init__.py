"""One module per question. Answers know nothing of HTTP or files."""
