"""Pure view models: from the plan to lines, rows and cells; nothing here knows a terminal."""
