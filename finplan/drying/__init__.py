"""Pure: when a coat is really ready."""
