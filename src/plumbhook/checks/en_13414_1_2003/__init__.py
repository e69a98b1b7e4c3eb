"""Clauses and tables of EN 13414-1:2003 on wire rope slings."""
