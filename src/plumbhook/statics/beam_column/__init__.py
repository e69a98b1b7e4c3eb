"""A strut of bolted pieces as a second-order beam-column: moments at every place, critical load, largest force.

Exact in each piece: no mesh, no error but rounding. One plane at a time; :mod:`resultant` joins two planes of a round
tube.
"""

from plumbhook.statics.beam_column.critical import critical_load_N, critical_loads_below
from plumbhook.statics.beam_column.member import BeamColumn, kinked_offsets_m, parabolic_bow, stations_m
from plumbhook.statics.beam_column.resultant import largest_resultant
from plumbhook.statics.beam_column.solution import Bent
from plumbhook.statics.beam_column.solve import solve

__all__ = [
    "BeamColumn",
    "Bent",
    "critical_load_N",
    "critical_loads_below",
    "kinked_offsets_m",
    "largest_resultant",
    "parabolic_bow",
    "solve",
    "stations_m",
]
