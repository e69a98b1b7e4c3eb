"""Slings of several legs: which column of a table, how many legs may be counted, and what the angle leaves.

European standards rate a sling by bands of the angle of its legs from the vertical; United States tables by the angle
from the horizontal. Beyond the last band there is no rated load at all: the functions give NaN, which never passes.
"""

from __future__ import annotations

import math

import numpy as np

from plumbhook.checks.inputs import FloatOrArray, as_given
from plumbhook.core.check import Clause, SourceQuality
from plumbhook.core.errors import InputError
from plumbhook.core.tables import Row, SourcedTable
from plumbhook.core.units import format_quantity

ASYMMETRIC = Clause(
    "EN 818-6",
    "2000+A1:2008",
    "legs that may be relied on where loading is not symmetric",
    SourceQuality.FROM_MEMORY,
)
SYMMETRIC = Clause("EN 818-6", "2000+A1:2008", "loading that may be taken as symmetric")
ANGLE_BANDS = Clause(
    "EN 818-4, EN 1492-1, EN 1492-2, EN 13414-1", "", "angles of 0 to 45 and 45 to 60 degrees"
)

FIRST_BAND_RAD = math.radians(45.0)
LAST_BAND_RAD = math.radians(60.0)
_GRACE_RAD = 1e-9
SYMMETRIC_USE_RATIO = 0.80
_LEAST_SYMMETRIC_ANGLE_RAD = math.radians(15.0)


def leg_factor(legs: int, angle_from_vertical_rad: FloatOrArray) -> FloatOrArray:
    """Rated load of a sling of equal legs over that of one leg.

    Args:
        legs: legs counted, 1 to 4.
        angle_from_vertical_rad: largest angle of a leg from the vertical, rad; number or array.

    Returns:
        1 for one leg; 1.4 or 1.0 for two, 2.1 or 1.5 for three and four legs, up to 45 and up to 60 degrees; NaN
        beyond 60 degrees, for a negative angle and for NaN.

    Raises:
        InputError: not 1 to 4 legs.

    Source: EN 818-4, EN 1492-1, EN 1492-2 and EN 13414-1, the same factors in each.
    """
    near, far = {1: (1.0, 1.0), 2: (1.4, 1.0), 3: (2.1, 1.5), 4: (2.1, 1.5)}[_legs(legs)]
    return by_angle(near, far, angle_from_vertical_rad)


def by_angle(near: float, far: float, angle_from_vertical_rad: FloatOrArray) -> FloatOrArray:
    """The value of the first band up to 45 degrees, of the second up to 60, NaN elsewhere.

    Source: EN 818-4, EN 1492-1, EN 1492-2 and EN 13414-1.
    """
    angle = np.asarray(angle_from_vertical_rad, dtype=np.float64)
    value = np.where(angle <= FIRST_BAND_RAD + _GRACE_RAD, near, far)
    return as_given(np.where((angle >= 0.0) & (angle <= LAST_BAND_RAD + _GRACE_RAD), value, np.nan))


def legs_to_count(legs: int, *, symmetric: bool) -> int:
    """Legs that may be counted: all where loading is symmetric; else two of three or four, one of two.

    Args:
        legs: legs of the sling, 1 to 4.
        symmetric: loading may be taken as symmetric, :func:`may_be_taken_as_symmetric`.

    Raises:
        InputError: not 1 to 4 legs.

    Source: EN 818-6, from memory.
    """
    if symmetric:
        return _legs(legs)
    return {1: 1, 2: 1, 3: 2, 4: 2}[_legs(legs)]


def may_be_taken_as_symmetric(use_ratio: float, angles_from_vertical_rad: tuple[float, ...]) -> bool:
    """Whether the load on several legs may be taken as symmetric.

    Args:
        use_ratio: load over the marked rated load.
        angles_from_vertical_rad: angle of each leg from the vertical, rad.

    Returns:
        True where the load is below 80 % of the marked rated load and all angles are at least 15 degrees and within
        15 degrees of each other; never for NaN or without angles.

    Source: EN 818-6:2000+A1:2008; the 80 % read, the two angles from memory.
    """
    angles = angles_from_vertical_rad
    if not angles or not use_ratio < SYMMETRIC_USE_RATIO:
        return False
    if any(not angle >= _LEAST_SYMMETRIC_ANGLE_RAD - _GRACE_RAD for angle in angles):
        return False
    return max(angles) - min(angles) <= _LEAST_SYMMETRIC_ANGLE_RAD + _GRACE_RAD


def row_of(
    table: SourcedTable, column: str, size: float, *, what: str, unit: str, display: str, field: str
) -> Row:
    """The row of a size; never that of a neighbour.

    Args:
        table: the table.
        column: the column of the size.
        size: the size, SI.
        what: what has the size, e.g. "chain".
        unit: SI unit word of the size.
        display: unit word for the message.
        field: field of the size as the user knows it.

    Raises:
        InputError: the table has no such row.
    """
    known = []
    for row in table.rows:
        number = row.number(column)
        if number is not None and math.isclose(number, size, rel_tol=1e-6):
            return row
        known.append(math.nan if number is None else number)
    shown = format_quantity(size, unit, display, decimals=2)
    sizes = ", ".join(f"{number:g}" for number in (_in(number, unit, display) for number in known))
    raise InputError.one(
        f"{what} of {shown} is not in {table.provenance.document}, {table.provenance.table}; the sizes there are "
        f"{sizes} {display}; enter the size as marked, or the rated load from the certificate",
        field=field,
    )


def _in(value: float, unit: str, display: str) -> float:
    return float(format_quantity(value, unit, display, decimals=4).split()[0].replace("\u00a0", ""))


def _legs(legs: int) -> int:
    if legs not in (1, 2, 3, 4):
        raise InputError.one(
            f'"{legs}" is not a number of legs that a sling is rated for; write 1 to 4', field="legs"
        )
    return legs
