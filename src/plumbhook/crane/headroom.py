"""Hook height: what the rig needs at a station against what the crane gives there."""

from __future__ import annotations

import math

from plumbhook.core.check import Check, Clause, SourceQuality, Step, Value

HEADROOM = Clause(
    "Height needed at the hook against the hook height of the crane", quality=SourceQuality.COMMON_PRACTICE
)


def hook_height_needed_m(support_level_m: float, clearance_m: float, rig_height_m: float) -> float:
    """Height of the hook, m: support level, clearance, and rig from the lowest point of the load to the hook.

    Args:
        support_level_m: level of the support or obstacle that the load must pass, m above the crane's ground.
        clearance_m: clearance between it and the lowest point of the load, m.
        rig_height_m: height from the lowest point of the load, as it hangs, to the seat of the hook, m.

    Source: geometry.
    """
    return support_level_m + clearance_m + rig_height_m


def headroom_check(
    check_id: str,
    station: str,
    title: str,
    *,
    support_level_m: float,
    clearance_m: float,
    worst_rig_height_m: float,
    worst_case: str,
    nominal_rig_height_m: float,
    hook_height_limit_m: float | None,
    clause: Clause = HEADROOM,
) -> Check:
    """Hook height needed at one station against the largest hook height of the crane there.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        support_level_m: level of the support or obstacle, m above the crane's ground.
        clearance_m: clearance above it, m.
        worst_rig_height_m: largest height of the rig in any case, lowest point of the load to hook seat, m.
        worst_case: the case and method of it.
        nominal_rig_height_m: the same as the rig hangs with the expected load, m.
        hook_height_limit_m: largest hook height, two-block allowance taken off, m; None where not known.
        clause: the rule that sets the limit.

    Returns:
        The check, in m. ``NOT_EVALUATED`` where the hook height of the crane is missing.
    """
    level = Value("h_sup", support_level_m, "m", "level of the support above the crane's ground", "station")
    clearance = Value("h_clr", clearance_m, "m", "clearance below the load", "station")
    worst = Value(
        "h_rig",
        worst_rig_height_m,
        "m",
        "lowest point of the load to hook seat",
        worst_case,
        quantity="rig_height",
    )
    nominal = Value(
        "h_rig_nom",
        nominal_rig_height_m,
        "m",
        "lowest point of the load to hook seat, as it hangs",
        "elastic",
        quantity="rig_height",
    )
    needed = Value(
        "H",
        hook_height_needed_m(support_level_m, clearance_m, worst_rig_height_m),
        "m",
        "hook height needed, worst case",
    )
    needed_nominal = Value(
        "H_nom",
        hook_height_needed_m(support_level_m, clearance_m, nominal_rig_height_m),
        "m",
        "hook height needed, as the rig hangs",
    )
    missing = hook_height_limit_m is None
    limit = Value(
        "H_max",
        math.nan if hook_height_limit_m is None else hook_height_limit_m,
        "m",
        "largest hook height of the crane at this station",
        "missing" if missing else "crane, boom length and radius",
    )
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=needed,
        capacity=limit,
        clause=clause,
        steps=(
            Step(needed_nominal, "h_sup + h_clr + h_rig_nom", (level, clearance, nominal), clause),
            Step(needed, "h_sup + h_clr + h_rig", (level, clearance, worst), clause),
        ),
        assumptions=("Levels are above the ground that the crane stands on.",),
        nominal=needed_nominal,
        not_evaluated_because=_not_evaluated(missing, worst_rig_height_m, nominal_rig_height_m),
        cure=(
            "enter the largest hook height of the crane at this radius"
            if missing
            else "use shorter slings within their angle limits, a longer boom or a smaller radius"
        ),
    )


def _not_evaluated(limit_missing: bool, *heights_m: float) -> str:
    if limit_missing:
        return "hook height of the crane missing"
    return "" if all(math.isfinite(height) for height in heights_m) else "height of the rig missing"
