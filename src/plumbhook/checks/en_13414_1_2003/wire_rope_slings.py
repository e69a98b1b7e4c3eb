"""EN 13414-1:2003: rated loads of wire rope slings, by Table 4 and by the formula of 5.2.4; rope over a pin."""

from __future__ import annotations

import math

import numpy as np

from plumbhook.checks.inputs import FloatOrArray, as_given
from plumbhook.checks.leg_factors import by_angle, leg_factor, row_of
from plumbhook.core.check import Clause, SourceQuality
from plumbhook.core.errors import InputError
from plumbhook.core.tables import Column, packaged_table
from plumbhook.core.units import Kind

ROPE_TABLE = Clause("EN 13414-1", "2003", "Table 4")
ROPE_FORMULA = Clause("EN 13414-1", "2003", "5.2.4")
ENDLESS_FORMULA = Clause("EN 13414-1", "2003", "5.3.4")
LEAST_BREAKING_FORCE = Clause("EN 12385-4", "2002", "least breaking force", SourceQuality.FROM_MEMORY)
BEND_FORMULA = Clause("IMCA M 179", "", "as quoted in 0027/ND Rev 11.2, 7.8.1")
BEND_TABLE = Clause("Wire rope users' table of the strength of a rope over a pin", "", "efficiency by D/d")

LEAST_EYE_BEARING_RATIO = 2.0
"""Diameter that a soft eye must bear on, in rope diameters (EN 13414-1:2003, notes of Table 4)."""

TERMINATION_FACTORS = {"ferrule": 0.9, "hand splice": 0.8}
"""KT of EN 13414-1:2003 5.2.4."""

_COEFFICIENT = 5.0
_STANDARD_GRAVITY = 9.81
_COLUMNS = (
    Column("rope", Kind.LENGTH, required=True),
    Column("one_leg", Kind.MASS, required=True),
    Column("two_legs_to_45", Kind.MASS, required=True),
    Column("two_legs_to_60", Kind.MASS, required=True),
    Column("four_legs_to_45", Kind.MASS, required=True),
    Column("four_legs_to_60", Kind.MASS, required=True),
    Column("endless_choked", Kind.MASS, required=True),
)
_BEND_COLUMNS = (
    Column("bend_ratio", Kind.RATIO, required=True),
    Column("efficiency", Kind.RATIO, required=True),
)
_BY_LEGS = {
    1: ("one_leg", "one_leg"),
    2: ("two_legs_to_45", "two_legs_to_60"),
    3: ("four_legs_to_45", "four_legs_to_60"),
    4: ("four_legs_to_45", "four_legs_to_60"),
}


def rope_sling_rated_kg(rope_m: float, legs: int, angle_from_vertical_rad: FloatOrArray) -> FloatOrArray:
    """Rated load of a wire rope sling of steel core and ferrule-secured eyes by the table.

    Args:
        rope_m: nominal diameter of the rope, m.
        legs: legs counted, 1 to 4.
        angle_from_vertical_rad: largest angle of a leg from the vertical, rad; number or array.

    Returns:
        Rated load, kg; NaN beyond 60 degrees.

    Raises:
        InputError: the rope is not in the table, or not 1 to 4 legs.

    Source: EN 13414-1:2003 Table 4.
    """
    leg_factor(legs, 0.0)  # refuses what is no number of legs
    near, far = (_cell(rope_m, column) for column in _BY_LEGS[legs])
    return by_angle(near, far, angle_from_vertical_rad)


def endless_rope_rated_kg(rope_m: float) -> float:
    """Rated load of an endless wire rope sling in choke hitch by the table, kg.

    Raises:
        InputError: the rope is not in the table.

    Source: EN 13414-1:2003 Table 4.
    """
    return _cell(rope_m, "endless_choked")


def least_breaking_force_N(
    rope_m: FloatOrArray, wire_grade_Pa: float = 1770e6, factor: float = 0.356
) -> FloatOrArray:
    """Least breaking force ``K d2 R`` of a rope, N.

    Args:
        rope_m: nominal diameter, m.
        wire_grade_Pa: rope grade R, counted up to 1770 MPa, Pa.
        factor: K of the class: 0.356 for 6x19 and 6x36 with a core of steel rope.

    Source: EN 12385-4, from memory; that the grade counts up to 1770 was read for EN 13414-1.
    """
    return factor * rope_m**2 * min(wire_grade_Pa, 1770e6)


def rope_sling_formula_kg(
    breaking_force_N: FloatOrArray, termination_factor: float, leg_factor: FloatOrArray
) -> FloatOrArray:
    """Rated load ``Fmin KT KL/(5 g)`` with g 9.81, kg.

    Args:
        breaking_force_N: least breaking force Fmin, N.
        termination_factor: KT: 0.9 ferrule, 0.8 hand splice.
        leg_factor: KL of :func:`plumbhook.checks.leg_factors.leg_factor`.

    Source: EN 13414-1:2003 5.2.4.
    """
    return breaking_force_N * termination_factor * leg_factor / (_COEFFICIENT * _STANDARD_GRAVITY)


def endless_rope_formula_kg(breaking_force_N: FloatOrArray, termination_factor: float) -> FloatOrArray:
    """Rated load of an endless sling in choke hitch, ``Fmin KT 2 0.8/(5 g)`` with g 9.81, kg.

    Source: EN 13414-1:2003 5.3.4.
    """
    return breaking_force_N * termination_factor * 2.0 * 0.8 / (_COEFFICIENT * _STANDARD_GRAVITY)


def bend_efficiency(bend_ratio: FloatOrArray) -> FloatOrArray:
    """Part of its strength that a wire rope keeps over a pin, ``1 - 0.5/sqrt(D/d)``.

    Args:
        bend_ratio: diameter D of the pin over diameter d of the rope; number or array.

    Returns:
        The efficiency; NaN below 1, where a sling must not be bent.

    Source: IMCA M 179 as quoted in 0027/ND Rev 11.2, 7.8.1 and Table 7-1.
    """
    ratio = np.asarray(bend_ratio, dtype=np.float64)
    with np.errstate(invalid="ignore", divide="ignore"):
        efficiency = 1.0 - 0.5 / np.sqrt(ratio)
    return as_given(np.where(ratio >= 1.0, efficiency, np.nan))


def bending_factor(bend_ratio: FloatOrArray) -> FloatOrArray:
    """Bending factor ``1/(1 - 0.5/sqrt(D/d))`` by which the strength of a rope is divided.

    Source: 0027/ND Rev 11.2, 7.8.1.
    """
    return as_given(1.0 / np.asarray(bend_efficiency(bend_ratio)))


def bend_efficiency_by_table(bend_ratio: float) -> float:
    """Efficiency of a rope over a pin by the users' table, the row of the next smaller D/d.

    Args:
        bend_ratio: diameter of the pin over diameter of the rope.

    Returns:
        The efficiency; NaN below 1.

    Source: wire rope users' table, two copies by the trade.
    """
    table = packaged_table("wire_rope_bend_efficiency", _BEND_COLUMNS, "bend_ratio")
    found = math.nan
    for row in table.rows:
        ratio, efficiency = row.number("bend_ratio"), row.number("efficiency")
        if ratio is not None and efficiency is not None and ratio <= bend_ratio * (1.0 + 1e-12):
            found = efficiency
    return found


def _cell(rope_m: float, column: str) -> float:
    table = packaged_table("en_13414_1_steel_core", _COLUMNS, "rope")
    number = row_of(table, "rope", rope_m, what="a rope", unit="m", display="mm", field="rope").number(column)
    if number is None:
        raise InputError.one(f"the table of wire rope slings has no {column} for this rope", field="rope")
    return number
