"""EN 818-4 and EN 818-6: rated loads of chain slings of grade 8, by the table and by the formula beside it.

The table holds preferred numbers; the product of the single leg and the leg factor differs from it by up to 6 %.
Rated loads come from the table; the formula is there to be compared.
"""

from __future__ import annotations

import math

import numpy as np

from plumbhook.checks.inputs import FloatOrArray, as_given
from plumbhook.checks.leg_factors import by_angle, leg_factor, row_of
from plumbhook.core.check import Clause, SourceQuality
from plumbhook.core.errors import InputError
from plumbhook.core.tables import Column, packaged_table
from plumbhook.core.units import Kind

CHAIN_TABLE = Clause("EN 818-4", "1996+A1:2008", "table of rated loads, grade 8")
CHAIN_TEMPERATURE = Clause("EN 818-6", "2000+A1:2008", "temperature")
CHAIN_STRESS = Clause("EN 818-2", "1996", "mean stress at the rated load", SourceQuality.FROM_MEMORY)
CHAIN_EDGE = Clause("Chain over an edge by its radius", quality=SourceQuality.COMMON_PRACTICE)
CHAIN_ON_LUG = Clause("Chain directly on a lug", quality=SourceQuality.COMMON_PRACTICE)

ENDLESS_FACTOR = 1.6
_RATED_STRESS_PA = 200e6
_COLUMNS = (
    Column("chain", Kind.LENGTH, required=True),
    Column("one_leg", Kind.MASS, required=True),
    Column("two_legs_to_45", Kind.MASS, required=True),
    Column("two_legs_to_60", Kind.MASS, required=True),
    Column("four_legs_to_45", Kind.MASS, required=True),
    Column("four_legs_to_60", Kind.MASS, required=True),
    Column("endless_choked", Kind.MASS, required=True),
)
_BY_LEGS = {
    1: ("one_leg", "one_leg"),
    2: ("two_legs_to_45", "two_legs_to_60"),
    3: ("four_legs_to_45", "four_legs_to_60"),
    4: ("four_legs_to_45", "four_legs_to_60"),
}


def chain_sling_rated_kg(chain_m: float, legs: int, angle_from_vertical_rad: FloatOrArray) -> FloatOrArray:
    """Rated load of a chain sling of grade 8 by the table.

    Args:
        chain_m: nominal diameter of the chain, m.
        legs: legs counted, 1 to 4.
        angle_from_vertical_rad: largest angle of a leg from the vertical, rad; number or array.

    Returns:
        Rated load, kg; NaN beyond 60 degrees.

    Raises:
        InputError: the chain is not in the table, or not 1 to 4 legs.

    Source: EN 818-4, table of rated loads.
    """
    leg_factor(legs, 0.0)  # refuses what is no number of legs
    near, far = (_cell(chain_m, column) for column in _BY_LEGS[legs])
    return by_angle(near, far, angle_from_vertical_rad)


def endless_chain_rated_kg(chain_m: float) -> float:
    """Rated load of an endless chain sling in choke hitch by the table, kg.

    Raises:
        InputError: the chain is not in the table.

    Source: EN 818-4, table of rated loads.
    """
    return _cell(chain_m, "endless_choked")


def chain_rated_by_stress_kg(chain_m: FloatOrArray, gravity_m_s2: float = 9.80665) -> FloatOrArray:
    """Load of a single chain at a mean stress of 200 MPa on its two bars, before rounding down, kg.

    Source: EN 818-2, from memory.
    """
    return _RATED_STRESS_PA * 2.0 * math.pi / 4.0 * chain_m**2 / gravity_m_s2


def chain_temperature_factor(temperature_C: FloatOrArray) -> FloatOrArray:
    """Part of the rated load that a grade 8 chain keeps at a temperature in degrees Celsius.

    Returns:
        1 from -40 to 200, 0.90 to 300, 0.75 to 400; NaN outside, where it must not be used.

    Source: EN 818-6.
    """
    heat = np.asarray(temperature_C, dtype=np.float64)
    factor = np.where(heat <= 200.0, 1.0, np.where(heat <= 300.0, 0.90, 0.75))
    return as_given(np.where((heat >= -40.0) & (heat <= 400.0), factor, np.nan))


def chain_edge_factor(edge_radius_m: FloatOrArray, chain_m: FloatOrArray) -> FloatOrArray:
    """Part of the rated load of a chain over an edge: 1 above twice its diameter, 0.7 above once, 0.5 at once.

    Returns:
        NaN where the radius is smaller than the diameter of the chain.

    Source: common practice of the trade.
    """
    ratio = np.asarray(edge_radius_m / chain_m, dtype=np.float64)
    factor = np.where(ratio > 2.0, 1.0, np.where(ratio > 1.0, 0.7, 0.5))
    return as_given(np.where(ratio >= 1.0, factor, np.nan))


def chain_on_lug_factor(lug_diameter_m: FloatOrArray, chain_m: FloatOrArray) -> FloatOrArray:
    """Part of the rated load of a chain laid directly on a lug: 1 from three pitches (9 diameters), else 0.5.

    Source: common practice of the trade; a pitch is three diameters (EN 818-2).
    """
    ratio = np.asarray(lug_diameter_m / chain_m, dtype=np.float64)
    return as_given(np.where(np.isnan(ratio), np.nan, np.where(ratio >= 9.0, 1.0, 0.5)))


def _cell(chain_m: float, column: str) -> float:
    table = packaged_table("en_818_4_grade_8", _COLUMNS, "chain")
    number = row_of(table, "chain", chain_m, what="a chain", unit="m", display="mm", field="chain").number(
        column
    )
    if number is None:
        raise InputError.one(f"the table of chain slings has no {column} for this chain", field="chain")
    return number
