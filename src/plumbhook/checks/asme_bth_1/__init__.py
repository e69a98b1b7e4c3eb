"""ASME BTH-1, design of below-the-hook lifting devices: the allowable-stress route for a strut."""
