"""web layer."""
