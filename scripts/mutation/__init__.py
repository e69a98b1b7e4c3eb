"""Mutation run: small wrong changes to the code, each of which the tests should notice."""
