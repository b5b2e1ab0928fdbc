"""Desktop notices and the terminal bell."""
