"""Questions asked over a screen; each answers with a value or nothing."""
