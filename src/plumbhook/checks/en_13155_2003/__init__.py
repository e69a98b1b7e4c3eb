"""EN 13155, non-fixed load lifting attachments: the strength that a strut must show at two and three times its load."""
