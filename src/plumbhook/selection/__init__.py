"""selection layer."""
