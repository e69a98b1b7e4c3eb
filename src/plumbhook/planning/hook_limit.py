"""How high the hook can be: what is stated for a station, and what the boom leaves below its head."""

from __future__ import annotations

import numpy as np

from plumbhook.crane.clearance.scene import Boom
from plumbhook.crane.radius_growth import radius_under_load_m
from plumbhook.crane.way import FloatArray
from plumbhook.model.place import Crane, PlaceStation
from plumbhook.planning.loaded_radius import radius_growth


def boom_of(crane: Crane) -> Boom | None:
    """The boom of a crane as a solid; None where it is not given."""
    boom = crane.boom
    if boom is None:
        return None
    return Boom(
        boom.length_m,
        boom.pivot_ahead_m,
        boom.pivot_height_m,
        boom.depth_m,
        boom.tail_radius_m or 0.0,
        boom.tail_bottom_m,
        boom.tail_top_m or 0.0,
    )


def below_the_head_m(crane: Crane, radius_m: FloatArray) -> FloatArray:
    """Highest hook under the head of the boom, the two-block distance taken off, at planned radii, m.

    NaN where boom or two-block distance is not given, or where the boom is too short. The radius under load counts,
    since the head comes down as it goes out.
    """
    boom = boom_of(crane)
    if boom is None or crane.boom is None or crane.boom.two_block_m is None:
        return np.full(radius_m.shape, np.nan)
    loaded = radius_under_load_m(radius_m, radius_growth(crane))
    return boom.head_height_m(loaded) - crane.boom.two_block_m


def hook_limit_m(crane: Crane, station: PlaceStation) -> float | None:
    """Highest hook at a station, m: the lower of what is stated and what the boom leaves; None without either."""
    given = np.array([np.nan if station.hook_height_limit_m is None else station.hook_height_limit_m])
    lower = float(np.fmin(given, below_the_head_m(crane, np.array([station.radius_m])))[0])
    return None if np.isnan(lower) else lower
