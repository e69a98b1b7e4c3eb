"""A load below two hooks: what each may have to hold when the hooks are not level and the CoG is not exactly known."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from plumbhook.core.check import Check, Clause, SourceQuality, Step, Value
from plumbhook.core.errors import InputError, Problem

FloatArray = NDArray[np.float64]

LEVER_RULE = Clause(
    "Lever rule of two plumb hoist lines on a tilted load", quality=SourceQuality.OWN_DERIVATION
)
QUEENSLAND_MULTIPLE_CRANES = Clause(
    "Queensland Mobile Crane Code of Practice",
    clause="multiple crane lifts",
    quality=SourceQuality.FROM_MEMORY,
)
QUEENSLAND_MARGIN_BY_CRANES = {2: 0.20, 3: 0.33, 4: 0.50}
RIGHT_ANGLE_RAD = math.pi / 2.0


@dataclass(frozen=True, slots=True)
class TwoHookLoad:
    """A load on two plumb hoist lines, measured while it is level.

    Attributes:
        weight_N: its weight, N.
        spacing_m: distance of the lift points of hook 1 and hook 2 in plan, m.
        depth_1_m: how far the CoG is below the lift points of hook 1, m; negative above.
        depth_2_m: the same for hook 2, m.
        from_2_m: distance of the CoG from hook 2 in plan, towards hook 1, m.
        box_x_m: how far the CoG may be from there along the line of the hooks, either way, m.
        box_z_m: how far it may be up or down, m.

    Raises:
        InputError: a number is missing, the weight or the spacing is not above zero, a box is negative, or the CoG may
            be outside of the hooks.
    """

    weight_N: float
    spacing_m: float
    depth_1_m: float
    depth_2_m: float
    from_2_m: float
    box_x_m: float = 0.0
    box_z_m: float = 0.0

    def __post_init__(self) -> None:
        problems = [
            Problem(name, "must be a number")
            for name in ("depth_1_m", "depth_2_m", "from_2_m")
            if not math.isfinite(getattr(self, name))
        ]
        for name, least in (("weight_N", True), ("spacing_m", True), ("box_x_m", False), ("box_z_m", False)):
            value = getattr(self, name)
            if not (math.isfinite(value) and (value > 0.0 or (value == 0.0 and not least))):
                problems.append(Problem(name, f"must be {'more than zero' if least else 'zero or more'}"))
        if not problems and not self.box_x_m <= self.from_2_m <= self.spacing_m - self.box_x_m:
            problems.append(
                Problem("from_2_m", "with its box must lie between the hooks; move the lift points outwards")
            )
        if problems:
            raise InputError(tuple(problems))

    @property
    def swapped(self) -> TwoHookLoad:
        """The same load with hook 1 and hook 2 exchanged."""
        return TwoHookLoad(
            self.weight_N,
            self.spacing_m,
            self.depth_2_m,
            self.depth_1_m,
            self.spacing_m - self.from_2_m,
            self.box_x_m,
            self.box_z_m,
        )

    def tilt_rad(self, difference_m: ArrayLike) -> FloatArray:
        """Tilt of the load when the lift points of hook 1 have come up by so much more than those of hook 2.

        Args:
            difference_m: difference from level, hook 1 higher positive, any shape, m.

        Returns:
            Tilt, rad; NaN where the difference is more than the load can tilt by.
        """
        rise = self.depth_1_m - self.depth_2_m
        size, own = math.hypot(self.spacing_m, rise), math.atan2(rise, self.spacing_m)
        sine = (rise + np.asarray(difference_m, dtype=float)) / size
        inside = np.abs(sine) <= 1.0
        tilt: FloatArray = np.where(inside, np.arcsin(np.where(inside, sine, 0.0)) - own, np.nan)
        return tilt

    def difference_m(self, tilt_rad: ArrayLike) -> FloatArray:
        """Difference of hoist height that goes with a tilt; the reverse of :meth:`tilt_rad`, any shape, m."""
        t, rise = np.asarray(tilt_rad, dtype=float), self.depth_1_m - self.depth_2_m
        out: FloatArray = self.spacing_m * np.sin(t) + rise * (np.cos(t) - 1.0)
        return out

    def closer_m(self, tilt_rad: ArrayLike) -> FloatArray:
        """How much closer in plan the hooks must come at a tilt for both lines to stay plumb, any shape, m."""
        t = np.asarray(tilt_rad, dtype=float)
        out: FloatArray = self.spacing_m * (1.0 - np.cos(t)) - (self.depth_2_m - self.depth_1_m) * np.sin(t)
        return out


def hook_1_N(
    load: TwoHookLoad, tilt_rad: ArrayLike, off_x_m: ArrayLike = 0.0, off_z_m: ArrayLike = 0.0
) -> FloatArray:
    """Pull of hook 1: ``W ((h2 + z) sin g + (d2 + x) cos g) / (L cos g + (h2 - h1) sin g)``.

    Args:
        load: the load.
        tilt_rad: tilt, hook 1 up positive, any shape, rad.
        off_x_m: CoG off its place, towards hook 1, m.
        off_z_m: CoG off its place, downwards, m.

    Returns:
        Pull, N, in the common shape; NaN where both lines would be one. Hook 2 has the rest of the weight.
    """
    t = np.asarray(tilt_rad, dtype=float)
    s, c = np.sin(t), np.cos(t)
    arm = load.spacing_m * c + (load.depth_2_m - load.depth_1_m) * s
    lever = (load.depth_2_m + np.asarray(off_z_m)) * s + (load.from_2_m + np.asarray(off_x_m)) * c
    known = arm > 1e-9 * load.spacing_m
    pull: FloatArray = np.where(known, load.weight_N * lever / np.where(known, arm, 1.0), np.nan)
    return pull


@dataclass(frozen=True, slots=True)
class WorstShare:
    """The most that a hook may have to hold.

    Attributes:
        pull_N: its pull, N.
        tilt_rad: tilt at which that is, this hook up positive, rad.
        off_x_m: CoG off its place there, towards this hook, m.
        off_z_m: CoG off its place there, downwards, m.
    """

    pull_N: float
    tilt_rad: float
    off_x_m: float
    off_z_m: float


def worst_shares(load: TwoHookLoad, tilt_rad: float) -> tuple[WorstShare, WorstShare]:
    """The most on hook 1 and on hook 2, over a tilt either way and the corners of the CoG box.

    The pull is a ratio of straight lines in tan g and in the place of the CoG, so that no place between is worse.

    Raises:
        InputError: the tilt is not an angle from zero to less than a right angle, or the lines meet at it.
    """
    if not 0.0 <= tilt_rad < RIGHT_ANGLE_RAD:
        raise InputError.one("must be from zero to less than a right angle", field="tilt")
    return _worst_share(load, tilt_rad), _worst_share(load.swapped, tilt_rad)


def _worst_share(load: TwoHookLoad, tilt_rad: float) -> WorstShare:
    corners = np.array(
        list(itertools.product((tilt_rad, -tilt_rad), (load.box_x_m,), (load.box_z_m, -load.box_z_m)))
    )
    pulls = hook_1_N(load, *corners.T)
    if np.isnan(pulls).any():
        raise InputError.one(
            "is so large that both lines become one; keep the hooks closer to level", field="tilt"
        )
    at = int(np.argmax(pulls))
    return WorstShare(float(pulls[at]), *map(float, corners[at]))


@dataclass(frozen=True, slots=True)
class HeightDifference:
    """How far the hooks may be from level.

    Attributes:
        hook_1_up_m: the most that hook 1 may be ahead of hook 2, m; NaN where a hook is overloaded when level.
        hook_2_up_m: the most that hook 2 may be ahead, m, likewise.
        limited_by_1_up: hook whose limit is reached first when hook 1 is ahead, 1 or 2; 0 where the tilt sets it.
        limited_by_2_up: the same when hook 2 is ahead.
    """

    hook_1_up_m: float
    hook_2_up_m: float
    limited_by_1_up: int
    limited_by_2_up: int

    @property
    def either_way_m(self) -> float:
        """The site number: the difference that may not be passed whichever hook is ahead, m."""
        both = (self.hook_1_up_m, self.hook_2_up_m)
        return math.nan if any(map(math.isnan, both)) else min(both)


def largest_height_difference(
    load: TwoHookLoad, limit_1_N: float, limit_2_N: float, largest_tilt_rad: float
) -> HeightDifference:
    """The difference of hoist height at which a hook reaches what it may hold, CoG anywhere in its box.

    Closed form: with T = tan g, ``W (a T + b) = P (L + c T)`` gives ``T = (P L - W b) / (W a - P c)``.

    Args:
        load: the load.
        limit_1_N: what hook 1 may hold, rig excluded, N.
        limit_2_N: the same for hook 2, N.
        largest_tilt_rad: tilt that is not to be passed whatever the hooks hold, rad, less than a right angle.

    Returns:
        The largest differences; NaN both ways where a hook holds too much with level hooks.

    Raises:
        InputError: a limit is not above zero, or the tilt is not between zero and a right angle.
    """
    problems = [
        Problem(name, "must be more than zero")
        for name, value in (("limit_1_N", limit_1_N), ("limit_2_N", limit_2_N))
        if not (math.isfinite(value) and value > 0.0)
    ]
    if not 0.0 < largest_tilt_rad < RIGHT_ANGLE_RAD:
        problems.append(Problem("largest_tilt_rad", "must be more than zero and less than a right angle"))
    if problems:
        raise InputError(tuple(problems))
    ways = []
    for sign in (1.0, -1.0):
        own = _tilt_to_limit(load, min(limit_1_N, load.weight_N), sign)
        other = _tilt_to_limit(load.swapped, min(limit_2_N, load.weight_N), -sign)
        together = _tilt_to_meeting(load, sign)
        candidates = ((own, 1), (other, 2), (together, 0), (largest_tilt_rad, 0))
        if math.isnan(own) or math.isnan(other):
            return HeightDifference(
                math.nan, math.nan, 1 if math.isnan(own) else 2, 1 if math.isnan(own) else 2
            )
        tilt, by = min(candidates)
        ways.append((abs(float(load.difference_m(sign * tilt))), by))
    return HeightDifference(ways[0][0], ways[1][0], ways[0][1], ways[1][1])


def _tilt_to_limit(load: TwoHookLoad, limit_N: float, sign: float) -> float:
    """Smallest tilt in a direction at which hook 1 holds its limit; inf where it never does, NaN if it does level."""
    w, c = load.weight_N, load.depth_2_m - load.depth_1_m
    found = math.inf
    for off_z in (load.box_z_m, -load.box_z_m):
        a, b = load.depth_2_m + off_z, load.from_2_m + load.box_x_m
        spare = limit_N * load.spacing_m - w * b
        if spare < -1e-12 * w * load.spacing_m:
            return math.nan
        rate = sign * (w * a - limit_N * c)
        if rate > 0.0:
            found = min(found, math.atan(max(spare, 0.0) / rate))
    return found


def _tilt_to_meeting(load: TwoHookLoad, sign: float) -> float:
    """Tilt in a direction at which both lines become one; inf where they do not."""
    c = sign * (load.depth_2_m - load.depth_1_m)
    return math.atan(load.spacing_m / -c) if c < 0.0 else math.inf


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
