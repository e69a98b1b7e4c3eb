"""Clauses of ANSI/AISC 360-10 that serve as second opinions."""
