"""Looking for work that cures what fails: states of an installation under work, the search among them, a safe order."""
