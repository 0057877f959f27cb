"""The command line: arguments, files, exit codes. An adapter: it knows no rule."""
