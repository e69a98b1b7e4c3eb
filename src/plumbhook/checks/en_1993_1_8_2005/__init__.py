"""Clauses of EN 1993-1-8:2005 on bolts, flange joints, pins and fillet welds."""
