"""Mode factors and limits of EN 1492-1 and EN 1492-2 on textile slings."""
