"""register layer."""
