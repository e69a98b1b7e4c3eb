"""Factors of the marine lifting guideline 0027/ND, revision 11.2 of 2016."""
