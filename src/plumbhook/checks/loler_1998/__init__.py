"""Periods of the United Kingdom law on lifting equipment (SI 1998/2307)."""
