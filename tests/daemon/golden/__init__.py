"""Golden files."""
