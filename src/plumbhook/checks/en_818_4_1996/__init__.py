"""Clauses and tables of EN 818-4 and EN 818-6 on chain slings of grade 8."""
