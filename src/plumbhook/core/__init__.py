"""Units, claims, records of a check and their audit, tables, errors: nothing of lifting yet."""
