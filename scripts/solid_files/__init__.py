"""Writers of the small model files of the tests; each figure they use stands in :mod:`solid_files.figures`."""
