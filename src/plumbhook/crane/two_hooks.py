"""A load below two hooks: what each may have to hold when the hooks are not level and the CoG is not exactly known."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from plumbhook.core.errors import InputError, Problem

FloatArray = NDArray[np.float64]

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
