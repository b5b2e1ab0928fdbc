"""The command line: one family of verbs a file."""
