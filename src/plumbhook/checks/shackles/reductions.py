"""What a shackle may carry off its axis, with two legs in its bow, in heat and in cold.

The reductions hold for bolt and screw pin shackles, and only where the maker agrees to side load at all.
"""

from __future__ import annotations

import math

import numpy as np

from plumbhook.checks.inputs import FloatOrArray, as_given
from plumbhook.core.check import Clause

SIDE_LOAD = Clause("ASME B30.26", "2010", "side loading of shackles")
SIDE_LOAD_BANDS = Clause("WAC 296-155-33905", "", "bands of side load: 5, 45 and 90 degrees")
INCLUDED_ANGLE = Clause("ASME B30.26", "2010", "included angle of two legs in a bow")
TEMPERATURE = Clause("ASME B30.26", "2010", "26-1.4.2, 26-1.6: temperature")
PROOF_LOAD = Clause("ASME B30.26", "2010", "26-1.4: proof load")

LARGEST_INCLUDED_ANGLE_RAD = math.radians(120.0)
IN_LINE_RAD = math.radians(5.0)
_GRACE_RAD = 1e-9


def side_load_factor(angle_rad: FloatOrArray, *, round_pin: bool = False) -> FloatOrArray:
    """Part of the rated load at a pull out of the line of the shackle, in the plane of its bow.

    Args:
        angle_rad: angle of the pull from the axis of the shackle, rad; number or array.
        round_pin: the pin is held by a cotter only; such a shackle takes no side load.

    Returns:
        1 up to 5 degrees, 0.70 up to 45, 0.50 up to 90; NaN beyond, and for a round pin beyond 5 degrees.

    Source: ASME B30.26 (in line 100, 45 degrees 70, 90 degrees 50 %); bands of WAC 296-155-33905.
    """
    angle = np.asarray(angle_rad, dtype=np.float64)
    off_axis = np.nan if round_pin else np.where(angle <= math.radians(45.0) + _GRACE_RAD, 0.70, 0.50)
    factor = np.where(angle <= IN_LINE_RAD + _GRACE_RAD, 1.0, off_axis)
    return as_given(np.where((angle >= 0.0) & (angle <= math.radians(90.0) + _GRACE_RAD), factor, np.nan))


def included_angle_factor(angle_rad: FloatOrArray) -> FloatOrArray:
    """Part of the rated load with two equal legs in the bow: 1 up to 120 degrees between them, NaN beyond.

    Source: ASME B30.26.
    """
    angle = np.asarray(angle_rad, dtype=np.float64)
    inside = (angle >= 0.0) & (angle <= LARGEST_INCLUDED_ANGLE_RAD + _GRACE_RAD)
    return as_given(np.where(inside, 1.0, np.nan))


def temperature_factor(temperature_C: FloatOrArray) -> FloatOrArray:
    """1 from -40 to 204 degrees Celsius; NaN outside, where the maker has to be asked.

    Source: ASME B30.26-2010: below -40 F and above 400 F.
    """
    heat = np.asarray(temperature_C, dtype=np.float64)
    return as_given(np.where((heat >= -40.0) & (heat <= (400.0 - 32.0) / 1.8), 1.0, np.nan))


def least_proof_load_kg(rated_kg: FloatOrArray) -> FloatOrArray:
    """Least proof load: twice the rated load up to 150 short tons, 1.33 times above, kg.

    Source: ASME B30.26-2010 26-1.4.
    """
    rated = np.asarray(rated_kg, dtype=np.float64)
    return as_given(np.where(rated <= 150.0 * 907.18474, 2.0, 1.33) * rated)


def rule_of_thumb_imperial_kg(body_m: FloatOrArray) -> FloatOrArray:
    """Rule of thumb ``3 D2`` short tons with the body D in inches, kg; no rated load, a cross-check of one.

    Source: United States Navy training manual on rigging.
    """
    return 3.0 * (body_m / 0.0254) ** 2 * 907.18474


def rule_of_thumb_metric_kg(body_m: FloatOrArray) -> FloatOrArray:
    """Rule of thumb ``0.417 D2`` tonnes with the body D in centimetres, kg; a cross-check only.

    Source: United States Navy training manual on rigging.
    """
    return 0.417 * (body_m / 0.01) ** 2 * 1000.0
