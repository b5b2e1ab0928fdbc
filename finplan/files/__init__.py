"""The project file: one TOML file a person can read, diff and mail."""
