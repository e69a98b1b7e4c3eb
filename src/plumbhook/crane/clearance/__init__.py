"""Clearances of boom, rig, load and tail from each other and from what stands about."""
