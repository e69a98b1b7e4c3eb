"""How firmly the slings hold the load, from the stiffness of the whole rig: true of every rig, closed form or not."""

from __future__ import annotations

import math

from plumbhook.checks.attitude import RESTORING_POLICY
from plumbhook.core.check import Check, Clause, SourceQuality, Step, Value
from plumbhook.core.errors import InputError

HELD_BY_SLINGS = Clause(
    "Moment on the load over its tilt and weight, from the stiffness of the rig at rest",
    quality=SourceQuality.OWN_DERIVATION,
)


def solved_restoring_height_check(
    check_id: str,
    station: str,
    title: str,
    *,
    restoring_height_m: float,
    plane: str,
    reference_height_m: float,
    required_ratio: float,
) -> Check:
    """Effective restoring height of the weaker vertical plane, as the solver finds it, against the one required.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        restoring_height_m: effective restoring height GM of the solver, stretch included, m; NaN where not found.
        plane: direction of the weaker plane, in words.
        reference_height_m: height that the required one refers to: hook above lift points, m.
        required_ratio: restoring height required, as a part of that height (policy).

    Returns:
        The check, in m; it fails where the load is not held at all.

    Raises:
        InputError: a height or ratio makes no sense.

    Source: own derivation; equal to ``v (1 + m_T/m_C) - z`` where that closed form holds.
    """
    if not (math.isfinite(reference_height_m) and reference_height_m > 0.0 and required_ratio >= 0.0):
        raise InputError.one("the hook must be above the lift points", field=check_id)
    held = Value(
        "GM",
        restoring_height_m,
        "m",
        f"restoring height, {plane}",
        "solver, stretch included",
        quantity="restoring_height",
    )
    height = Value("h", reference_height_m, "m", "height of the hook above the lift points", "as drawn")
    ratio = Value("k_GM", required_ratio, "1", "restoring height required, as a part of h", "policy", "%")
    required = Value("GM_req", required_ratio * reference_height_m, "m", "restoring height required")
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=required,
        capacity=held,
        clause=HELD_BY_SLINGS,
        steps=(Step(required, "k_GM*h", (ratio, height), RESTORING_POLICY),),
        assumptions=("Small tilts about the rest as it hangs, expected weight and centre of gravity.",),
        cure="raise the lift points above the centre of gravity, or use longer top slings",
    )
