"""Pure: the due list, reminders, what moved."""
