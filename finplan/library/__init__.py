"""Shipped data as TOML, every number with its source."""
