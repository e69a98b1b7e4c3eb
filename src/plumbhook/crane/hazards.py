"""Edges, slabs, voids and services near a crane: whether the spread of its load reaches them."""

from __future__ import annotations

import math

from plumbhook.core.check import Check, Clause, SourceQuality, Step, Value
from plumbhook.core.errors import InputError, Problem

LOAD_SPREAD = Clause("Spread of load in the ground at 45 degrees", quality=SourceQuality.COMMON_PRACTICE)


def hazard_check(
    check_id: str,
    station: str,
    title: str,
    *,
    kind: str,
    distance_m: float,
    depth_m: float | None,
    checked_by: str,
) -> Check:
    """Depth of an edge or of something buried against its distance: beyond 45 degrees the load passes it by.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        kind: what it is, in words.
        distance_m: clear distance from the nearest mat or track in plan, m, zero or more.
        depth_m: height of the edge, or depth of what is buried, m; None where nobody knows.
        checked_by: who has checked it for these forces; "" where nobody has.

    Returns:
        The check, in m. Not applicable where somebody has checked it, with a sentence that says so; not evaluated for
        a suspended slab nobody has checked, and where the depth is not known.

    Raises:
        InputError: a distance or depth makes no sense.
    """
    problems = [
        Problem(check_id, f"the {words} must be a number, zero or more")
        for words, value in (("distance", distance_m), ("depth", depth_m))
        if value is not None and not (math.isfinite(value) and value >= 0.0)
    ]
    if problems:
        raise InputError(tuple(problems))
    depth = Value(
        "z", math.nan if depth_m is None else depth_m, "m", f"depth of the {kind}", "place.ground.hazards"
    )
    needed = Value("d_min", depth.value, "m", "distance that the spread of the load needs")
    unknown = ""
    if kind == "suspended slab":
        unknown = "a slab carries what its structure carries, not what the ground does"
    elif depth_m is None:
        unknown = f"nobody has stated the depth of the {kind}"
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=needed,
        capacity=Value("d", distance_m, "m", f"clear distance of the {kind}", "place.ground.hazards"),
        clause=LOAD_SPREAD,
        steps=() if depth_m is None else (Step(needed, "z*tan(pi/4)", (depth,), LOAD_SPREAD),),
        assumptions=("Load spreads in the ground at 45 degrees from the edge of the mat.",),
        not_applicable_because=f"checked by {checked_by} for the forces of this crane"
        if checked_by.strip()
        else "",
        attention=_attention(kind, distance_m, depth_m, checked_by, unknown),
        not_evaluated_because=unknown,
        cure=f"have the {kind} checked for the forces of the crane and state checked_by, or stand further away",
    )


def _attention(kind: str, distance_m: float, depth_m: float | None, checked_by: str, unknown: str) -> str:
    """What the crew must know of it; "" where the load passes it by."""
    where = f"{kind.capitalize()} at {distance_m:g} m from the crane"
    if checked_by.strip():
        return f"{where}: checked by {checked_by}."
    if unknown or depth_m is None or depth_m > distance_m:
        return f"{where}: nobody has checked it for the forces of this crane."
    return ""
