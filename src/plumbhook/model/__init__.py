"""Load, rig, equipment, place and rules; the lift file and its schema."""
