"""The answers over HTTP. Nothing here knows a rule; everything here can be asked in Python or on the command line as well."""
