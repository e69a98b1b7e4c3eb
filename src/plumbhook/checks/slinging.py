"""Geometry of the slings: angle of the top slings, lean of the lower slings, sharing side by side, slack.

The limits are habits of the trade that a firm may set otherwise; they are arguments, never constants inside.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from plumbhook.core.check import Check, Clause, SourceQuality, Step, Value
from plumbhook.core.units import format_quantity

TOP_SLING_ANGLE = Clause(
    "Top slings at a spreader between 30 and 45 degrees from the vertical",
    quality=SourceQuality.COMMON_PRACTICE,
)
LOWER_SLING_LEAN = Clause(
    "Lower slings close to plumb: look above 3 degrees, stop above 6 degrees",
    quality=SourceQuality.COMMON_PRACTICE,
)
NO_SLACK = Clause("Every line of the rig stays taut in every case", quality=SourceQuality.COMMON_PRACTICE)

DRAWN_ANGLE_TOLERANCE_RAD = 1e-6
"""Grace for an angle found from drawn lengths, so that exactly the limit is within it (0.00006 degrees)."""


def within_drawn_tolerance_rad(limit_rad: float) -> float:
    """The limit with the grace of drawn geometry added, rad."""
    return limit_rad + DRAWN_ANGLE_TOLERANCE_RAD


def _angle_limit_step(limit: Value) -> Step:
    grace = Value("tol", DRAWN_ANGLE_TOLERANCE_RAD, "rad", "grace of drawn geometry", "fixed", display="deg")
    result = Value(
        f"{limit.symbol}_lim",
        within_drawn_tolerance_rad(limit.value),
        "rad",
        f"{limit.meaning}, with the grace of drawn geometry",
        display="deg",
    )
    return Step(result, f"{limit.symbol} + tol", (limit, grace))


def top_sling_angle_check(
    check_id: str,
    station: str,
    title: str,
    *,
    angle_from_vertical_rad: float,
    max_angle_rad: float,
    min_angle_rad: float,
    clause: Clause = TOP_SLING_ANGLE,
) -> Check:
    """Angle of a top sling from the vertical, on the rig as drawn and unstretched.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        angle_from_vertical_rad: angle from the vertical, rad.
        max_angle_rad: largest angle allowed, rad; above it the check fails.
        min_angle_rad: smallest usual angle, rad; below it the check passes with attention.
        clause: the rule that sets the limit.

    Returns:
        The check, in rad.
    """
    angle = Value(
        "beta", angle_from_vertical_rad, "rad", "angle of the top sling from the vertical", "as drawn", "deg"
    )
    largest = Value("beta_max", max_angle_rad, "rad", "largest angle allowed", "policy", "deg")
    step = _angle_limit_step(largest)
    attention = ""
    if angle_from_vertical_rad < min_angle_rad - DRAWN_ANGLE_TOLERANCE_RAD:
        attention = (
            f"The top sling is steeper than the usual {_degrees(min_angle_rad)} from the vertical: it needs "
            "more headroom than usual; nothing is overloaded by that."
        )
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=angle,
        capacity=step.result,
        clause=clause,
        steps=(step,),
        attention=attention,
        not_evaluated_because=_missing("smallest usual angle", min_angle_rad),
        cure="use longer top slings, so that the angle from the vertical becomes smaller, or a shorter strut",
    )


def lower_sling_lean_check(
    check_id: str,
    station: str,
    title: str,
    *,
    lean_rad: float,
    attention_above_rad: float,
    max_lean_rad: float,
    origin: str = "geometry of the rig",
    quantity: str = "",
    clause: Clause = LOWER_SLING_LEAN,
) -> Check:
    """Lean of a lower sling from plumb, both planes combined.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        lean_rad: angle from the vertical, rad.
        attention_above_rad: lean above which a reader must look, rad.
        max_lean_rad: lean above which the check fails, rad.
        origin: which posture the lean was taken from, e.g. "as it hangs, worst case".
        quantity: key of the lean among the quantities of the rig, e.g. ``angle:V1``.
        clause: the rule that sets the limit.

    Returns:
        The check, in rad.
    """
    lean = Value("phi", lean_rad, "rad", "lean of the lower sling from plumb", origin, "deg", quantity)
    largest = Value("phi_max", max_lean_rad, "rad", "largest lean allowed", "policy", "deg")
    step = _angle_limit_step(largest)
    attention = ""
    if lean_rad > within_drawn_tolerance_rad(attention_above_rad):
        attention = (
            f"The lower sling leans more than {_degrees(attention_above_rad)}: it pulls the lift point "
            "sideways and adds to or takes from the force in the strut; see that both are in the figures."
        )
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=lean,
        capacity=step.result,
        clause=clause,
        steps=(step,),
        attention=attention,
        not_evaluated_because=_missing("lean above which to look", attention_above_rad),
        cure="choose a pin-to-pin span closer to the distance of the lift points, or longer lower slings",
    )


def side_by_side_note(side_by_side: int, larger_share: float) -> str:
    """The sentence on how items side by side share a line; "" for a single item.

    Args:
        side_by_side: number of equal items.
        larger_share: part of the force in the most loaded of them.
    """
    if side_by_side <= 1:
        return ""
    share = format_quantity(larger_share, "1", "%", rounding="up")
    even = math.isclose(larger_share, 1.0 / side_by_side)
    how = "shared evenly, which needs matched lengths" if even else "the most loaded of them"
    return f"{side_by_side} items side by side are reckoned with {share} of the force ({how})."


def slack_check(
    check_id: str,
    station: str,
    title: str,
    *,
    least_tension_N: float,
    least_tension_where: str,
    slack: Sequence[str],
    required_tension_N: float = 0.0,
    clause: Clause = NO_SLACK,
) -> Check:
    """Whether any line goes slack in any case: a slack line lets the rig take another shape than planned.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        least_tension_N: smallest tension of any line in any case and method, N.
        least_tension_where: line, method and case of it.
        slack: lines that went slack, each with its case; empty where none did.
        required_tension_N: tension that each line must keep, N.
        clause: the rule that sets the limit.

    Returns:
        The check, in N; it fails where a line is slack or keeps no tension.
    """
    required = Value("T_req", required_tension_N, "N", "tension that each line must keep", "policy", "kN")
    least = Value(
        "T_min",
        least_tension_N,
        "N",
        "smallest tension of any line",
        least_tension_where,
        "kN",
        "least_tension",
    )
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=required,
        capacity=least,
        clause=clause,
        refused_because=f"slack: {'; '.join(slack)}" if slack else "",
        cure="correct the lengths of the lines or the place of the hook, so that every line carries",
    )


def _missing(name: str, angle_rad: float) -> str:
    return "" if math.isfinite(angle_rad) else f"{name} missing"


def _degrees(angle_rad: float) -> str:
    return format_quantity(angle_rad, "rad", "deg")
