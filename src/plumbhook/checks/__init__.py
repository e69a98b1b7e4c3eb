"""One small pure function per clause, and the records of the checks made of them."""
