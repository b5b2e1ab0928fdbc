"""Pure: the words and quantities of the trade."""
