"""Reminders as iCalendar: file, feed, server."""
