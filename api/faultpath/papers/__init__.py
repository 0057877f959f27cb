"""Papers: what an inspector or a customer reads. Reports, notices and pages of the book as HTML, and as tagged PDF."""
