"""Checks of a load on two hooks and of an upended one: share with margin, difference of height, peak of a component."""

from __future__ import annotations

import math

from plumbhook.core.check import Check, Clause, SourceQuality, Step, Value
from plumbhook.core.errors import InputError
from plumbhook.crane.two_hooks import TwoHookLoad, worst_shares

LEVER_RULE = Clause(
    "Lever rule of two plumb hoist lines on a tilted load", quality=SourceQuality.OWN_DERIVATION
)
QUEENSLAND_MULTIPLE_CRANES = Clause(
    "Queensland Mobile Crane Code of Practice",
    clause="multiple crane lifts",
    quality=SourceQuality.FROM_MEMORY,
)
QUEENSLAND_MARGIN_BY_CRANES = {2: 0.20, 3: 0.33, 4: 0.50}


def two_hook_share_check(
    check_id: str,
    station: str,
    title: str,
    *,
    load: TwoHookLoad,
    tilt_rad: float,
    rig_N: float,
    capacity_N: float | None,
    capacity_source: str,
    margin_ratio: float,
    margin_clause: Clause,
) -> Check:
    """Worst pull on hook 1 with everything that hangs there, increased by a margin, against what its crane holds.

    For hook 2 hand in ``load.swapped``.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        load: the load.
        tilt_rad: largest tilt either way, rad.
        rig_N: weight of rig, block and rope on this hook, N.
        capacity_N: what the crane holds there by its chart, N; None where it is not known.
        capacity_source: which chart and row.
        margin_ratio: what the rule adds to the share, e.g. 0.2 for 20 %.
        margin_clause: the rule that sets the margin.

    Returns:
        The check, in N; ``NOT_EVALUATED`` where the capacity is not known.

    Raises:
        InputError: a number makes no sense.
    """
    for name, number in (("rig_N", rig_N), ("margin_ratio", margin_ratio), ("capacity_N", capacity_N)):
        if number is not None and not (math.isfinite(number) and number >= 0.0):
            raise InputError.one("must be a number, zero or more", field=f"{check_id}.{name}")
    worst, _ = worst_shares(load, tilt_rad)
    inputs = (
        Value("W", load.weight_N, "N", "weight of the load"),
        Value("L", load.spacing_m, "m", "distance of the hooks in plan"),
        Value("h_1", load.depth_1_m, "m", "CoG below the lift points of this hook"),
        Value("h_2", load.depth_2_m, "m", "CoG below the lift points of the other hook"),
        Value("d_2", load.from_2_m, "m", "CoG from the other hook"),
        Value("x", worst.off_x_m, "m", "CoG box towards this hook"),
        Value("z", worst.off_z_m, "m", "CoG box downwards"),
        Value("g", worst.tilt_rad, "rad", "tilt, this hook up", display="deg"),
    )
    share = Value("F", worst.pull_N, "N", "worst share of the load", display="kN")
    rig = Value("G", rig_N, "N", "rig, block and rope on this hook")
    margin = Value("m", margin_ratio, "1", "margin over the share", str(margin_clause))
    demand = Value("E", (worst.pull_N + rig_N) * (1.0 + margin_ratio), "N", "share with margin", display="kN")
    formula = "W*((h_2 + z)*sin(g) + (d_2 + x)*cos(g))/(L*cos(g) + (h_2 - h_1)*sin(g))"
    return Check(
        check_id,
        station,
        title,
        demand,
        Value(
            "R",
            math.nan if capacity_N is None else capacity_N,
            "N",
            "what the crane holds",
            "missing" if capacity_N is None else capacity_source,
            display="kN",
        ),
        margin_clause,
        steps=(
            Step(share, formula, inputs, LEVER_RULE),
            Step(demand, "(F + G)*(1 + m)", (share, rig, margin), margin_clause),
        ),
        assumptions=(
            "Both hoist lines stay plumb; the cranes follow as the load tilts.",
            "One person directs both cranes.",
        ),
        not_evaluated_because="capacity of this crane missing" if capacity_N is None else "",
        cure="state what the chart of this crane gives, and which chart"
        if capacity_N is None
        else "keep the hooks closer to level, move the lift points, or use a stronger crane configuration",
    )


def height_difference_check(
    check_id: str, station: str, title: str, *, difference_m: float, largest_m: float
) -> Check:
    """Difference of hoist height permitted on site against the largest at which both cranes keep their margin.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        difference_m: permitted on site, m.
        largest_m: from :func:`largest_height_difference`, m; NaN where it is not known.

    Returns:
        The check, in m; ``NOT_EVALUATED`` where the largest difference is not known.
    """
    return Check(
        check_id,
        station,
        title,
        Value("d", difference_m, "m", "difference of hoist height on site", "file"),
        Value("d_max", largest_m, "m", "largest difference", "share of each crane at its limit"),
        LEVER_RULE,
        not_evaluated_because="" if math.isfinite(largest_m) else "largest difference not known",
        cure="keep the hooks closer to level, or give both cranes capacity to spare with level hooks",
    )


def upending_peak_check(
    check_id: str,
    station: str,
    title: str,
    *,
    end: str,
    peak_N: float,
    attitude_rad: float,
    largest_share_ratio: float,
    below_N: float,
    rated_N: float | None,
    rated_source: str,
    clause: Clause,
) -> Check:
    """Largest load of one component on the way from lying to upright against its rated load.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: which component.
        end: head or tail.
        peak_N: largest pull of that end's line over all attitudes, N.
        attitude_rad: attitude at which it is, rad.
        largest_share_ratio: largest part of the pull that this component takes, above 0 to 1.
        below_N: weight of the rig that hangs below it, N.
        rated_N: its rated load in the direction of the pull, N; None where it is not known.
        rated_source: where that comes from.
        clause: the rule that sets the limit.

    Returns:
        The check, in N; ``NOT_EVALUATED`` where the rated load or the peak is not known.

    Raises:
        InputError: the share is not above 0 and up to 1, or the weight below is negative.
    """
    if not 0.0 < largest_share_ratio <= 1.0:
        raise InputError.one("must be more than zero and at most 1", field=f"{check_id}.largest_share_ratio")
    if not (math.isfinite(below_N) and below_N >= 0.0):
        raise InputError.one("must be a number, zero or more", field=f"{check_id}.below_N")
    missing = [
        words
        for words, known in (
            ("rated load", rated_N is not None),
            ("peak of the pull", math.isfinite(peak_N)),
            ("attitude of the peak", math.isfinite(attitude_rad)),
        )
        if not known
    ]
    at = (
        ""
        if math.isnan(attitude_rad) or math.isinf(attitude_rad)
        else f"{math.degrees(attitude_rad):.1f} degrees"
    )
    pull = Value("R", peak_N, "N", f"largest pull of the {end} line, at {at}", "all attitudes", display="kN")
    share = Value("k", largest_share_ratio, "1", "largest part of the pull on this component")
    below = Value("G", below_N, "N", "rig that hangs below it")
    demand = Value(
        "E",
        largest_share_ratio * peak_N + below_N,
        "N",
        "largest load of the component",
        "all attitudes",
        display="kN",
    )
    rated = math.nan if rated_N is None else rated_N
    return Check(
        check_id,
        station,
        title,
        demand,
        Value(
            "R_max",
            rated,
            "N",
            "rated load",
            rated_source if rated_N is not None else "missing",
            display="kN",
        ),
        clause,
        steps=() if missing else (Step(demand, "k*R + G", (pull, share, below), clause),),
        assumptions=("Hoist lines stay plumb from lying to upright.",),
        not_evaluated_because=f"{' and '.join(missing)} missing" if missing else "",
        cure=f"state the {' and the '.join(missing)}"
        if missing
        else "use a stronger component or move the lugs",
    )
