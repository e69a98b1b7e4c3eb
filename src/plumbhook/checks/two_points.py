"""A load held at two points turns about their line: only a centre of gravity below that line hangs stably."""

from __future__ import annotations

import math

from plumbhook.checks.attitude import RESTORING_POLICY
from plumbhook.core.check import Check, Clause, SourceQuality, Step, Value
from plumbhook.core.errors import InputError

HANGS_BELOW = Clause(
    "A body hung from two points on one line is stable only with its centre of gravity below that line",
    quality=SourceQuality.OWN_DERIVATION,
)


def two_point_hang_check(
    check_id: str,
    station: str,
    title: str,
    *,
    cog_height_m: float,
    reference_height_m: float,
    required_ratio: float,
) -> Check:
    """Depth of the centre of gravity below the line of the two lift points against the depth required.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        cog_height_m: highest place of the centre of gravity above the lift points, m; negative below.
        reference_height_m: height that the required depth refers to: that of the top slings' triangle, m.
        required_ratio: depth required, as a part of that height (policy).

    Returns:
        The check, in m; it fails for every centre of gravity at or above the line, whatever the slings.

    Raises:
        InputError: a height or ratio makes no sense.

    Source: statics of a body on two points, restoring moment W d sin(theta).
    """
    if not (math.isfinite(reference_height_m) and reference_height_m > 0.0 and required_ratio >= 0.0):
        raise InputError.one("the height of the top slings must be a positive number", field=check_id)
    z = Value(
        "z",
        cog_height_m,
        "m",
        "height of the centre of gravity above the two lift points",
        "top of its box",
        quantity="cog_above_lift_points",
    )
    v = Value("v", reference_height_m, "m", "height of the triangle of top slings", "as drawn")
    ratio = Value("k_GM", required_ratio, "1", "depth required, as a part of v", "policy", "%")
    depth = Value("d", -cog_height_m, "m", "depth of the centre of gravity below the lift points")
    required = Value("d_req", required_ratio * reference_height_m, "m", "depth required")
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=required,
        capacity=depth,
        clause=HANGS_BELOW,
        steps=(Step(depth, "-z", (z,), HANGS_BELOW), Step(required, "k_GM*v", (ratio, v), RESTORING_POLICY)),
        cure="use lift points above the centre of gravity, or four lift points",
    )
