"""Slings in United States law and practice: hitches, angles from the HORIZONTAL, alloy chain and fibre rope.

Angles of the tables are from the horizontal, as the documents give them; the functions take the angle that their
name says.
"""

from __future__ import annotations

import math

import numpy as np

from plumbhook.checks.inputs import FloatOrArray, as_given
from plumbhook.checks.leg_factors import row_of
from plumbhook.core.check import Clause, SourceQuality
from plumbhook.core.errors import InputError
from plumbhook.core.tables import Column, packaged_table
from plumbhook.core.units import Kind

CHAIN_GUIDANCE = Clause("OSHA Guidance on Safe Sling Use", "", "Tables 1 and 2: alloy chain slings")
FIBRE_ROPE = Clause("29 CFR 1918 Appendix II", "", "Table 2: natural fibre rope slings")
NEAR_VERTICAL = Clause("29 CFR 1910.184", "", "(b): up to 5 degrees from the vertical")
BRIDLE = Clause("United States Navy training manual on rigging", "", "bridle hitch")
CHOKE_ANGLE = Clause("ASME B30.9", "", "angle of choke")
FIBRE_CORE_HEAT = Clause("29 CFR 1926.251", "", "(c): fibre core wire rope above 200 F")
PROOF_OF_SPECIAL_ACCESSORIES = Clause("29 CFR 1926.251", "", "(a)(4): proof test to 125 %")
DESIGN_FACTORS = Clause("ASME B30.9", "", "design factors", SourceQuality.FROM_MEMORY)

_CHAIN_COLUMNS = (
    Column("chain", Kind.LENGTH, required=True),
    Column("one_leg", Kind.MASS, required=True),
    *(
        Column(f"{legs}_legs_{angle}", Kind.MASS, required=True)
        for legs in ("two", "three")
        for angle in (60, 45, 30)
    ),
)
_FIBRE_COLUMNS = (
    Column("form", "text", required=True),
    Column("rope", Kind.LENGTH, required=True),
    Column("vertical", Kind.MASS, required=True),
    Column("choker", Kind.MASS, required=True),
    *(Column(f"basket_{angle}", Kind.MASS, required=True) for angle in (0, 30, 45, 60)),
)
_CHOKE_COLUMNS = (
    Column("least_angle", Kind.ANGLE, required=True),
    Column("factor", Kind.RATIO, required=True),
)
_GRACE_RAD = 1e-9
CHOKE_PART = 0.75
"""Part of the vertical rated load of a wire rope choker at 45 degrees and more (United States Navy manuals)."""


def leg_load_factor(angle_from_horizontal_rad: FloatOrArray) -> FloatOrArray:
    """Tension of a leg over its vertical part, ``1/sin(angle)``; NaN at or below the horizontal.

    Source: statics.
    """
    angle = np.asarray(angle_from_horizontal_rad, dtype=np.float64)
    sine = np.sin(angle)
    inside = (angle > 0.0) & (angle <= math.pi / 2.0 + _GRACE_RAD)
    return as_given(np.divide(1.0, sine, out=np.full_like(sine, np.nan), where=inside))


def bridle_leg_tension_N(load_N: FloatOrArray, leg_m: FloatOrArray, height_m: FloatOrArray) -> FloatOrArray:
    """Tension ``W L/(2 H)`` in each of two equal legs of length L and height H, N.

    Source: United States Navy training manual on rigging.
    """
    return load_N * leg_m / (2.0 * height_m)


def bridle_rated_kg(
    single_rated_kg: FloatOrArray, leg_m: FloatOrArray, height_m: FloatOrArray
) -> FloatOrArray:
    """Rated load ``2 WLL H/L`` of a bridle of two legs, which also holds for three and four, kg.

    Source: United States Navy training manual on rigging.
    """
    return 2.0 * single_rated_kg * height_m / leg_m


def single_basket_rated_kg(
    single_rated_kg: FloatOrArray, leg_m: FloatOrArray, height_m: FloatOrArray
) -> FloatOrArray:
    """Rated load ``2 WLL H/L`` of one sling in a basket, kg.

    Source: United States Navy training manual on rigging, which prints a factor of 4 for the inclined case; that
    contradicts its own factor of 2 for vertical legs and statics, and is a misprint.
    """
    return 2.0 * single_rated_kg * height_m / leg_m


def double_basket_rated_kg(
    single_rated_kg: FloatOrArray, leg_m: FloatOrArray, height_m: FloatOrArray
) -> FloatOrArray:
    """Rated load ``4 WLL H/L`` of two slings in baskets, kg.

    Source: United States Navy training manual on rigging.
    """
    return 4.0 * single_rated_kg * height_m / leg_m


def choker_rated_kg(single_rated_kg: FloatOrArray) -> FloatOrArray:
    """Rated load ``3/4`` of the vertical one of a choker at 45 degrees or more from the horizontal, kg.

    Source: United States Navy training manual on rigging.
    """
    return CHOKE_PART * single_rated_kg


def choke_angle_factor(angle_of_choke_rad: float) -> float:
    """Part of the choker rating at an angle of choke: 1 above 120 degrees, down to 0.49 below 30.

    Args:
        angle_of_choke_rad: angle between the standing part and the loop, rad, 0 to pi.

    Returns:
        The factor of the band; at exactly 120 degrees that of the band below. NaN outside 0 to 180 degrees.

    Source: ASME B30.9, as copied by the trade.
    """
    if not 0.0 <= angle_of_choke_rad <= math.pi + _GRACE_RAD:
        return math.nan
    table = packaged_table("choke_angle_b30_9", _CHOKE_COLUMNS, "least_angle")
    found = math.nan
    for row in table.rows:
        least, factor = row.number("least_angle"), row.number("factor")
        assert least is not None and factor is not None  # required columns  # noqa: PT018
        above = (
            angle_of_choke_rad > least + _GRACE_RAD
            if factor == 1.0
            else angle_of_choke_rad >= least - _GRACE_RAD
        )
        if above:
            found = factor
    return found


def countable_legs(legs: int, *, rigid_load: bool = True) -> int:
    """Legs of a bridle that are counted: two of three or four for a rigid load, else three of four.

    Args:
        legs: legs of the bridle, 1 to 4.
        rigid_load: two legs on a diagonal may carry practically all of a rigid load.

    Raises:
        InputError: not 1 to 4 legs.

    Source: United States Navy training manual on rigging (two); OSHA tables of chain slings (three).
    """
    if legs not in (1, 2, 3, 4):
        raise InputError.one(f'"{legs}" is not a number of legs of a bridle; write 1 to 4', field="legs")
    return min(legs, 2 if rigid_load else 3)


def alloy_chain_rated_kg(chain_m: float, grade: int, legs: int, angle_from_horizontal_rad: float) -> float:
    """Rated load of an alloy chain sling by the table.

    Args:
        chain_m: nominal size of the chain, m.
        grade: 80 or 100.
        legs: 1, 2, or 3 (three and four legs, double baskets).
        angle_from_horizontal_rad: angle of the legs from the horizontal, rad: 90, 60, 45 or 30 degrees; an angle
            between two columns takes the flatter one.

    Returns:
        Rated load, kg; NaN below 30 degrees.

    Raises:
        InputError: no such chain, grade or number of legs.

    Source: OSHA Guidance on Safe Sling Use, Tables 1 and 2.
    """
    if grade not in (80, 100):
        raise InputError.one(f'"{grade}" is not a grade of these tables; write 80 or 100', field="grade")
    if legs not in (1, 2, 3, 4):
        raise InputError.one(f'"{legs}" is not a number of legs of a chain sling; write 1 to 4', field="legs")
    table = packaged_table(f"osha_grade_{grade}_chain", _CHAIN_COLUMNS, "chain")
    row = row_of(table, "chain", chain_m, what="a chain", unit="m", display="in", field="chain")
    if not 0.0 <= angle_from_horizontal_rad <= math.pi / 2.0 + _GRACE_RAD:
        return math.nan
    if legs == 1:
        return row.number("one_leg") or math.nan
    for angle in (60, 45, 30):
        if angle_from_horizontal_rad >= math.radians(angle) - _GRACE_RAD:
            return row.number(f"{'two' if legs == 2 else 'three'}_legs_{angle}") or math.nan
    return math.nan


def alloy_chain_formula_kg(
    single_rated_kg: FloatOrArray, legs: int, angle_from_horizontal_rad: FloatOrArray
) -> FloatOrArray:
    """Formula beside the tables: legs (four counted as three) times ``sin(angle)`` times the single leg, kg.

    Source: OSHA Guidance on Safe Sling Use, from its tables.
    """
    return as_given(min(legs, 3) * np.sin(angle_from_horizontal_rad) * single_rated_kg)


def fibre_rope_rated_kg(rope_m: float, form: str, hitch: str) -> float:
    """Rated load of a natural fibre rope sling, safety factor 5, by the table, kg.

    Args:
        rope_m: nominal diameter, m.
        form: ``eye and eye`` or ``endless``.
        hitch: ``vertical``, ``choker``, ``basket_0``, ``basket_30``, ``basket_45`` or ``basket_60``, from vertical.

    Raises:
        InputError: no such rope, form or hitch.

    Source: 29 CFR 1918 Appendix II, Table 2.
    """
    table = packaged_table("fibre_rope_1918", _FIBRE_COLUMNS)
    hitches = tuple(column.name for column in _FIBRE_COLUMNS[2:])
    if hitch not in hitches:
        raise InputError.one(
            f'"{hitch}" is not a hitch of this table; write one of {", ".join(hitches)}', field="hitch"
        )
    rows = tuple(row for row in table.rows if row.text("form") == form)
    if not rows:
        raise InputError.one(
            f'"{form}" is not a form of this table; write eye and eye or endless', field="form"
        )
    sizes = type(table)(table.provenance, rows)
    row = row_of(sizes, "rope", rope_m, what="a rope", unit="m", display="in", field="rope")
    return row.number(hitch) or math.nan


def near_vertical_angle_rad(angle_from_vertical_rad: FloatOrArray) -> FloatOrArray:
    """The angle to reckon with: zero up to 5 degrees from the vertical, else the angle itself, rad.

    Source: 29 CFR 1910.184(b).
    """
    angle = np.asarray(angle_from_vertical_rad, dtype=np.float64)
    return as_given(np.where((angle >= 0.0) & (angle <= math.radians(5.0) + _GRACE_RAD), 0.0, angle))


def fibre_core_rope_allowed(temperature_C: float) -> bool:
    """Whether a wire rope sling with a fibre core may go on being used after this heat (200 F at most).

    Source: 29 CFR 1926.251.
    """
    return temperature_C <= (200.0 - 32.0) / 1.8


def steel_core_rope_needs_maker(temperature_C: float) -> bool:
    """Whether the maker of a wire rope sling without fibre core has to be asked: above 400 F or below -60 F.

    Source: 29 CFR 1926.251; a page that prints 15.55 degrees Celsius for -60 F (-51.1) has a misprint.
    """
    return not (-60.0 - 32.0) / 1.8 <= temperature_C <= (400.0 - 32.0) / 1.8


def special_accessory_proof_kg(rated_kg: FloatOrArray) -> FloatOrArray:
    """Proof load of a special lifting accessory before use, 125 % of its rated load, kg.

    Source: 29 CFR 1926.251(a)(4).
    """
    return 1.25 * rated_kg


def least_clear_rope_m(rope_m: FloatOrArray, *, braided: bool = False) -> FloatOrArray:
    """Least clear rope between splices, sleeves or fittings: 10 diameters; braided 40 of the component rope, m.

    Source: DOE-STD-1090-96 11.3.2.3.
    """
    return (40.0 if braided else 10.0) * rope_m


def least_grommet_circumference_m(body_m: FloatOrArray) -> FloatOrArray:
    """Least circumference of a grommet or endless sling, 96 diameters of its body, m.

    Source: DOE-STD-1090-96 11.3.2.3.
    """
    return 96.0 * body_m


def clip_spacing_m(rope_m: FloatOrArray) -> FloatOrArray:
    """Spacing of wire rope clips, 6 rope diameters, m.

    Source: 29 CFR 1918 Appendix II, Table 1.
    """
    return 6.0 * rope_m
