"""Lift points of the load: rated load, and the angle of the pull off the axis of the lift point."""

from __future__ import annotations

import math
from collections.abc import Sequence

from plumbhook.checks.demand import Demand
from plumbhook.checks.rated_load import rated_load_check
from plumbhook.core.check import Check, Clause, SourceQuality, Value

LIFT_POINT_LOAD = Clause(
    "Rated load of the lift point as stated by its designer", quality=SourceQuality.COMMON_PRACTICE
)
LIFT_POINT_ANGLE = Clause(
    "Largest angle off axis of the lift point as stated by its designer",
    quality=SourceQuality.COMMON_PRACTICE,
)
RATING_BY_ANGLE = Clause(
    "Rated load of the lift point by the direction of the pull, as stated by its designer, next worse row",
    quality=SourceQuality.COMMON_PRACTICE,
)
_GRACE_RAD = 1e-9


def rating_at_angle_kg(rows: Sequence[tuple[float, float]], angle_rad: float) -> float | None:
    """Rated load at an angle off the axis, kg: the next worse row, never between two and never beyond the last.

    Args:
        rows: (angle rad, rated load kg), angles increasing.
        angle_rad: angle of the pull off the axis, rad.

    Returns:
        The rated load; None beyond the last row, for a negative angle, NaN, and without rows.
    """
    if not angle_rad >= 0.0:
        return None
    return next((rated for angle, rated in rows if angle_rad <= angle + _GRACE_RAD), None)


def lift_point_load_check(
    check_id: str,
    station: str,
    title: str,
    *,
    demand: Demand,
    rated_mass_kg: float | None,
    gravity_m_s2: float,
    clause: Clause = LIFT_POINT_LOAD,
) -> Check:
    """Force at a lift point against its rated load.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        demand: force at the lift point, N, dynamic factor included.
        rated_mass_kg: rated load, kg; None where the designer has not stated it.
        gravity_m_s2: acceleration of gravity, m/s2.
        clause: the rule that sets the limit.

    Returns:
        The check, in kg. ``NOT_EVALUATED`` where the rated load is missing: neither zero nor no limit.
    """
    return rated_load_check(
        check_id,
        station,
        title,
        demand=demand,
        rated_mass_kg=rated_mass_kg,
        gravity_m_s2=gravity_m_s2,
        item_kind="lift point",
        clause=clause,
    )


def lift_point_angle_check(
    check_id: str,
    station: str,
    title: str,
    *,
    demand: Demand,
    max_angle_rad: float | None,
    clause: Clause = LIFT_POINT_ANGLE,
) -> Check:
    """Angle between the pull and the axis of a lift point, as the load hangs, tilt included.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        demand: angle off axis, rad.
        max_angle_rad: largest angle allowed, rad; None where the designer has not stated it.
        clause: the rule that sets the limit.

    Returns:
        The check, in rad. ``NOT_EVALUATED`` where the limit is missing.
    """
    worst = demand.worst_step("delta", "largest angle of the pull off the axis of the lift point")
    missing = max_angle_rad is None
    capacity = Value(
        "delta_max",
        math.nan if max_angle_rad is None else max_angle_rad,
        "rad",
        "largest angle off axis allowed",
        "missing" if missing else "designer of the lift point",
        display="deg",
    )
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=worst.result,
        capacity=capacity,
        clause=clause,
        steps=(worst,),
        nominal=demand.nominal,
        not_evaluated_because="largest angle off axis missing" if missing else demand.missing,
        cure=(
            "ask the designer of the lift point for the largest angle off axis"
            if missing
            else "bring the hook over the centre of gravity and the slings to plumb"
        ),
    )
