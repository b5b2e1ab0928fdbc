"""The terminal user interface."""
