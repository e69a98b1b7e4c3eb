"""statics layer."""
