"""Pure: what happened, and how far each load is."""
