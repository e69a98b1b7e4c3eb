"""checks layer."""
