"""EN 1492-1 and EN 1492-2: mode factors of textile slings, their colours and the limits of their use."""

from __future__ import annotations

import math

import numpy as np

from plumbhook.checks.inputs import FloatOrArray, as_given
from plumbhook.checks.leg_factors import by_angle
from plumbhook.core.check import Clause
from plumbhook.core.errors import InputError
from plumbhook.core.tables import Column, packaged_table
from plumbhook.core.units import Kind

MODE_FACTORS = Clause("EN 1492-1 and EN 1492-2", "2000+A1:2008", "mode factors M")
TEXTILE_TEMPERATURE = Clause("EN 1492-1 and EN 1492-2", "2000+A1:2008", "temperature")
ATTACHMENT = Clause("EN 1492-1 and EN 1492-2", "2000+A1:2008", "bearing width, eye angle")
TEXTILE_COEFFICIENT = Clause("EU Machinery Directive 2006/42/EC", "", "Annex I, 4.1.2.5: textile slings 7")

LARGEST_EYE_ANGLE_RAD = math.radians(20.0)
_WITH_BANDS = {
    "basket": ("basket to 45", "basket to 60"),
    "two legs": ("two legs to 45", "two legs to 60"),
    "four legs": ("four legs to 45", "four legs to 60"),
}
_WITHOUT_BANDS = ("straight", "choke", "parallel basket")
MODES = (*_WITHOUT_BANDS, *_WITH_BANDS)
"""Modes of use; "four legs" is for three and four legs."""

_COLUMNS = (Column("mode", "text", required=True), Column("factor", Kind.RATIO, required=True))
_COLOUR_COLUMNS = (Column("wll", Kind.MASS, required=True), Column("colour", "text", required=True))


def mode_factor(
    mode: str, angle_from_vertical_rad: FloatOrArray = 0.0, *, field: str = "mode"
) -> FloatOrArray:
    """Mode factor M: rated load in this mode over that of the straight sling.

    Args:
        mode: one of :data:`MODES`.
        angle_from_vertical_rad: angle of the legs from the vertical, rad; matters for basket and several legs.
        field: field of the mode as the user knows it.

    Returns:
        The factor; NaN beyond 60 degrees where the angle matters.

    Raises:
        InputError: no such mode.

    Source: EN 1492-1 and EN 1492-2, table of mode factors.
    """
    table = packaged_table("en_1492_modes", _COLUMNS)
    factors = {row.text("mode"): row.number("factor") or math.nan for row in table.rows}
    if mode in _WITHOUT_BANDS:
        shape = np.asarray(angle_from_vertical_rad, dtype=np.float64)
        return as_given(np.where(np.isnan(shape), np.nan, factors[mode]))
    if mode not in _WITH_BANDS:
        raise InputError.one(
            f'"{mode}" is not a mode in which textile slings are rated; write one of {", ".join(MODES)}',
            field=field,
        )
    near, far = (factors[name] for name in _WITH_BANDS[mode])
    return by_angle(near, far, angle_from_vertical_rad)


def textile_rated_kg(
    single_rated_kg: FloatOrArray, mode: str, angle_from_vertical_rad: FloatOrArray = 0.0
) -> FloatOrArray:
    """Rated load of a textile sling in a mode, ``M WLL``, kg; arguments as in :func:`mode_factor`.

    Source: EN 1492-1 and EN 1492-2, table of mode factors.
    """
    return single_rated_kg * mode_factor(mode, angle_from_vertical_rad)


def textile_temperature_allowed(temperature_C: float, material: str) -> bool:
    """Whether a textile sling may be used at a temperature in degrees Celsius.

    Args:
        temperature_C: temperature.
        material: ``polyester``, ``polyamide`` or ``polypropylene``.

    Raises:
        InputError: another material.

    Source: EN 1492-1: -40 to 100 degrees for polyester and polyamide, to 80 for polypropylene.
    """
    most = {"polyester": 100.0, "polyamide": 100.0, "polypropylene": 80.0}
    if material not in most:
        raise InputError.one(
            f'"{material}" has no temperature limits here; write one of {", ".join(most)}', field="material"
        )
    return -40.0 <= temperature_C <= most[material]


def least_attachment_radius_m(bearing_width_m: FloatOrArray) -> FloatOrArray:
    """Least bend radius of what a textile sling bears on, ``0.75`` of its bearing width, m.

    Source: EN 1492-1, as copied by the trade.
    """
    return 0.75 * bearing_width_m


def colour_of_rated_load(rated_kg: float) -> str:
    """Colour of a textile sling of this rated load; "" where the code of colours has none.

    Source: EN 1492-1 and EN 1492-2, colours of rated loads.
    """
    table = packaged_table("en_1492_colours", _COLOUR_COLUMNS, "wll")
    for row in table.rows:
        if math.isclose(row.number("wll") or math.nan, rated_kg, rel_tol=1e-9):
            return row.text("colour")
    return ""
