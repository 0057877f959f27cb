"""The commands: one module for each question, whose functions return the exit code."""
