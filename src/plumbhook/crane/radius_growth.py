"""How much farther out the hook is under load than planned: boom deflection, a crane out of level, wind on the load."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import overload

import numpy as np
from numpy.typing import NDArray

from plumbhook.core.check import Clause, SourceQuality, Step, Value
from plumbhook.core.errors import InputError, Problem

FloatArray = NDArray[np.float64]

RADIUS_GROWTH = Clause(
    "Radius under load: planned radius with deflection, out-of-level and wind swing",
    quality=SourceQuality.OWN_DERIVATION,
)
DEFLECTION_SHARE = Clause(
    "Boom deflection as a share of the planned radius, as stated for the crane", quality=SourceQuality.POLICY
)


@dataclass(frozen=True, slots=True)
class RadiusGrowth:
    """What makes the radius grow. Zero is stated, never assumed.

    Attributes:
        deflection_m: growth of the radius by the deflection of the boom, m.
        deflection_ratio: the same as a share of the planned radius, ratio; it is added to the former.
        out_of_level_rad: crane out of level towards the load, rad.
        head_height_m: boom head above the crane's ground, the greatest of the way, m.
        wind_swing_rad: hoist rope out of plumb by wind, rad.
        suspended_length_m: boom head to the centre of gravity of the load, the greatest of the way, m.
        source: who states it.

    Raises:
        InputError: a number that is missing, negative, or no growth but an overturning; all of them at once.
    """

    deflection_m: float
    deflection_ratio: float
    out_of_level_rad: float
    head_height_m: float
    wind_swing_rad: float
    suspended_length_m: float
    source: str

    def __post_init__(self) -> None:
        limits = {
            "deflection_m": math.inf,
            "deflection_ratio": 1.0,
            "out_of_level_rad": math.radians(10.0),
            "head_height_m": math.inf,
            "wind_swing_rad": math.radians(45.0),
            "suspended_length_m": math.inf,
        }
        problems = [
            Problem(
                f"radius_growth.{name}", "this must be a number, zero or more, that a standing crane can have"
            )
            for name, most in limits.items()
            if not (math.isfinite(getattr(self, name)) and 0.0 <= getattr(self, name) <= most)
        ]
        if problems:
            raise InputError(tuple(problems))


@overload
def radius_under_load_m(planned_m: float, growth: RadiusGrowth | None) -> float: ...
@overload
def radius_under_load_m(planned_m: FloatArray, growth: RadiusGrowth | None) -> FloatArray: ...
def radius_under_load_m(planned_m: float | FloatArray, growth: RadiusGrowth | None) -> float | FloatArray:
    """Radius with which the chart is entered, ``r (1 + k) + d + h tan(a) + l tan(s)``, m.

    Args:
        planned_m: planned radius of the hook from the slew axis, m; number or array.
        growth: what makes it grow; None leaves the planned radius.

    Source: geometry of a small turn about the foot of the crane, and of a rope out of plumb.
    """
    if growth is None:
        return planned_m
    return (
        planned_m * (1.0 + growth.deflection_ratio)
        + growth.deflection_m
        + growth.head_height_m * math.tan(growth.out_of_level_rad)
        + growth.suspended_length_m * math.tan(growth.wind_swing_rad)
    )


def radius_steps(planned_m: float, growth: RadiusGrowth) -> tuple[Step, ...]:
    """The working of the radius under load, one line for each cause, m."""
    origin = growth.source
    planned = Value("r_plan", planned_m, "m", "planned radius", "station")
    stated = Value("d_boom", growth.deflection_m, "m", "boom deflection, growth of the radius", origin)
    share = Value("k_boom", growth.deflection_ratio, "1", "boom deflection per radius", origin, display="%")
    level = Value(
        "a_level", growth.out_of_level_rad, "rad", "crane out of level towards the load", origin, "deg"
    )
    head = Value("h_head", growth.head_height_m, "m", "boom head above the ground", origin)
    swing = Value("a_wind", growth.wind_swing_rad, "rad", "hoist rope out of plumb by wind", origin, "deg")
    hang = Value(
        "l_hang", growth.suspended_length_m, "m", "boom head to centre of gravity of the load", origin
    )
    deflection = Value(
        "dr_boom",
        growth.deflection_m + growth.deflection_ratio * planned_m,
        "m",
        "growth by boom deflection",
    )
    by_level = Value(
        "dr_level",
        growth.head_height_m * math.tan(growth.out_of_level_rad),
        "m",
        "growth by a crane out of level",
    )
    by_wind = Value(
        "dr_wind", growth.suspended_length_m * math.tan(growth.wind_swing_rad), "m", "growth by wind swing"
    )
    radius = Value("r", radius_under_load_m(planned_m, growth), "m", "radius under load")
    return (
        Step(deflection, "d_boom + k_boom*r_plan", (stated, share, planned), DEFLECTION_SHARE),
        Step(by_level, "h_head*sin(a_level)/cos(a_level)", (head, level), RADIUS_GROWTH),
        Step(by_wind, "l_hang*sin(a_wind)/cos(a_wind)", (hang, swing), RADIUS_GROWTH),
        Step(
            radius,
            "r_plan + dr_boom + dr_level + dr_wind",
            (planned, deflection, by_level, by_wind),
            RADIUS_GROWTH,
        ),
    )
