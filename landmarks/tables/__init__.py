"""Species tables."""
