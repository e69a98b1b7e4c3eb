"""Rated loads, dimensions and reductions of shackles by several documents."""
