"""model layer."""
