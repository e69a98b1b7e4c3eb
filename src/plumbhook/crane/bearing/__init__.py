"""Bearing resistance of the ground below a mat or pad: EN 1997-1 Annex D, Terzaghi, Meyerhof, Brinch Hansen, Vesic."""
