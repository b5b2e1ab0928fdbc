"""One area of the program a file."""
