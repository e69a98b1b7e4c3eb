"""Take-off of weight and centre of gravity from models of the load in open formats.

Foreign files are read here and nowhere else, each in a process of its own; the one call is
:func:`plumbhook.takeoff.solids.read_solids`.
"""
