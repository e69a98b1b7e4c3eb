"""The maker's rating of a strut by span and angle of its top slings: it always limits, whatever a calculation says."""

from __future__ import annotations

import math

from plumbhook.checks.demand import Demand
from plumbhook.core.check import Check, Clause, SourceQuality, Step, Value
from plumbhook.core.errors import InputError, Problem
from plumbhook.core.units import format_quantity
from plumbhook.model.strut_rating import RatingTable

RATED_BY_THE_MAKER = Clause(
    "Rating table of the maker, as entered by the firm; next worse row, nothing beyond the table",
    quality=SourceQuality.POLICY,
)
_SAME_M = 1e-6
_SAME_RAD = 1e-6
_CURE = "use a shorter span, a larger family, or top slings nearer to the vertical"


def next_worse(levels: tuple[float, ...], number: float, grace: float) -> float | None:
    """The smallest level of a table that is not below a number; None where the table ends before it.

    Args:
        levels: levels of the table, growing.
        number: what is looked for.
        grace: excess that still counts as the level itself.
    """
    return next((level for level in levels if number <= level + grace), None)


def rating_table_check(
    check_id: str,
    station: str,
    title: str,
    *,
    demand: Demand,
    table: RatingTable,
    span_m: float,
    angle_from_vertical_rad: float,
    gravity_m_s2: float,
) -> Check:
    """Load on a strut against the maker's rating at its span and angle.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        demand: load on the strut, twice that of its more loaded end, N, dynamic factor included.
        table: the rating table of the strut's family.
        span_m: span pin to pin, m.
        angle_from_vertical_rad: flattest top sling of the strut, from the vertical, rad.
        gravity_m_s2: acceleration of gravity, m/s2.

    Returns:
        The check, in N. Refused beyond the table and where the maker rates nothing.

    Raises:
        InputError: span, angle or gravity make no sense, or the table has no rows.
    """
    _refuse_nonsense(check_id, table, span_m, angle_from_vertical_rad, gravity_m_s2)
    span_row = next_worse(table.spans_m, span_m, _SAME_M)
    angle_row = next_worse(table.angles_from_vertical_rad, angle_from_vertical_rad, _SAME_RAD)
    rated: float | None = None
    if span_row is not None and angle_row is not None:
        rated = table.rated_kg[table.spans_m.index(span_row)][table.angles_from_vertical_rad.index(angle_row)]
    worst = demand.worst_step("F", "load on the strut")
    mass = Value(
        "m_R",
        math.nan if rated is None else rated,
        "kg",
        f"rated load{_row_words(span_row, angle_row)}",
        table.source,
        "t",
    )
    gravity = Value("g", gravity_m_s2, "m_s2", "acceleration of gravity", "rules of the lift")
    capacity = Value(
        "F_R",
        mass.value * gravity_m_s2,
        "N",
        "rated load as a force",
        "no rating" if rated is None else "",
        "kN",
    )
    steps = (
        (worst,) if rated is None else (worst, Step(capacity, "m_R*g", (mass, gravity), RATED_BY_THE_MAKER))
    )
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=worst.result,
        capacity=capacity,
        clause=RATED_BY_THE_MAKER,
        steps=steps,
        assumptions=(
            "The table is the maker's for this configuration; it is not interpolated.",
            "The load counts as twice that of the more loaded end.",
        ),
        nominal=demand.nominal,
        refused_because=_refusal(table, span_m, angle_from_vertical_rad, span_row, angle_row, rated),
        not_evaluated_because=demand.missing,
        cure=_CURE,
    )


def _row_words(span_m: float | None, angle_rad: float | None) -> str:
    if span_m is None or angle_rad is None:
        return ""
    return (
        f", row {format_quantity(span_m, 'm')}, {format_quantity(angle_rad, 'rad', 'deg')} from the vertical"
    )


def _refusal(
    table: RatingTable,
    span_m: float,
    angle_rad: float,
    span_row: float | None,
    angle_row: float | None,
    rated: float | None,
) -> str:
    if span_row is None:
        return (
            f"the maker's table of {table.family} ends at a span of "
            f"{format_quantity(table.spans_m[-1], 'm')}; this strut has {format_quantity(span_m, 'm', rounding='up')}"
        )
    if angle_row is None:
        last = format_quantity(table.angles_from_vertical_rad[-1], "rad", "deg")
        return (
            f"the maker's table of {table.family} ends at top slings {last} from the vertical; here they are at "
            f"{format_quantity(angle_rad, 'rad', 'deg', rounding='up')}"
        )
    if rated is None:
        return f"the maker rates {table.family} for nothing at{_row_words(span_row, angle_row).removeprefix(', row')}"
    return ""


def _refuse_nonsense(
    check_id: str, table: RatingTable, span_m: float, angle_rad: float, gravity_m_s2: float
) -> None:
    problems = []
    if not (math.isfinite(span_m) and span_m > 0.0):
        problems.append(Problem(check_id, "the span of a strut must be a positive number"))
    if not (math.isfinite(angle_rad) and 0.0 <= angle_rad < 0.5 * math.pi):
        problems.append(Problem(check_id, "the angle of the top slings must be between 0 and 90 degrees"))
    if not (math.isfinite(gravity_m_s2) and gravity_m_s2 > 0.0):
        problems.append(Problem(check_id, "the acceleration of gravity must be a positive number"))
    if not (table.spans_m and table.angles_from_vertical_rad):
        problems.append(
            Problem(check_id, f"the rating table of {table.family} has no rows; enter the maker's table")
        )
    if problems:
        raise InputError(tuple(problems))
