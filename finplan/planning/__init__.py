"""Pure: from project, journal and air to a dated plan."""
