"""Upkeep: what is installed, what was found and done to it since, and when it is due again."""
