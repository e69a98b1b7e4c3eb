"""planning layer."""
