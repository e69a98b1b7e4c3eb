"""documents layer."""
