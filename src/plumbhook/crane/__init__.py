"""crane layer."""
