"""A load turned from lying to upright between a head hook and a tail hook, attitude by attitude.

Load axes: ``s`` along the load towards its head, ``n`` square to it, up while the load lies. At an attitude ``t`` (0
lying, pi/2 upright, head up) a point is at ``X = s cos t - n sin t``, ``Z = s sin t + n cos t``, X and Z in the upright
plane through both hooks. Own derivation from moments about the head lug: the load is rigid, both lines are straight.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from plumbhook.core.errors import InputError, Problem
from plumbhook.model.rig_graph import Body, NamedPoint, Pose, RigGraph, sling
from plumbhook.statics._solve import solve

FloatArray = NDArray[np.float64]
BoolArray = NDArray[np.bool_]

UPRIGHT_RAD = math.pi / 2.0
_COARSE_RAD = math.radians(1.0)
_FINE = 50
_SAME_LINE = 1e-9
_LINE_M = 20.0
_HALF_PAIR_M = 1.0
_STIFF_EA_N = 1e11


@dataclass(frozen=True, slots=True)
class UpendedLoad:
    """A load with the lugs of its head and of its tail, in load axes.

    Attributes:
        weight_N: its weight, N.
        head_m: head lug, s and n, m.
        tail_m: tail lug, s and n, m; below the head lug in the upright load.
        cog_m: centre of gravity, s and n, m.
        head_lug_axis_rad: direction that the head lug is made for, from the n axis towards the head, rad: pi/2 for a
            lug in line with the load.
        tail_lug_axis_rad: the same of the tail lug; 0 for one square to the load.

    Raises:
        InputError: a number is not finite, the weight is not above zero, or the head lug is not ahead of the tail lug.
    """

    weight_N: float
    head_m: tuple[float, float]
    tail_m: tuple[float, float]
    cog_m: tuple[float, float]
    head_lug_axis_rad: float = UPRIGHT_RAD
    tail_lug_axis_rad: float = 0.0

    def __post_init__(self) -> None:
        places = (("head", self.head_m), ("tail", self.tail_m), ("cog", self.cog_m))
        problems = [
            Problem(name, "must be two numbers in load axes, along the load and square to it")
            for name, place in places
            if not all(map(math.isfinite, place))
        ]
        if not (math.isfinite(self.weight_N) and self.weight_N > 0.0):
            problems.append(Problem("weight", "must be more than zero"))
        if not (math.isfinite(self.head_lug_axis_rad) and math.isfinite(self.tail_lug_axis_rad)):
            problems.append(Problem("lug_axis", "must be an angle from the square of the load"))
        if not problems and not self.head_m[0] > self.tail_m[0]:
            problems.append(
                Problem("head", "must lie further along the load than the tail lug; swap the lugs")
            )
        if problems:
            raise InputError(tuple(problems))

    @property
    def tail_off_rad(self) -> float:
        """Attitude at which the tail line goes slack, the centre of gravity plumb below the head lug, rad."""
        along, square = (head - cog for head, cog in zip(self.head_m, self.cog_m, strict=True))
        return math.atan2(along, square)

    @property
    def lines_meet_rad(self) -> float:
        """Attitude at which both lugs lie on one plumb line, rad."""
        along, square = (head - tail for head, tail in zip(self.head_m, self.tail_m, strict=True))
        return math.atan2(along, square)


def place_m(point_m: tuple[float, float], attitude_rad: ArrayLike) -> tuple[FloatArray, FloatArray]:
    """Where a point of the load is.

    Args:
        point_m: s and n, m.
        attitude_rad: attitudes, any shape, rad.

    Returns:
        X and Z from the origin of the load axes, m, in the shape of the attitudes.
    """
    t = np.asarray(attitude_rad, dtype=float)
    s, n = point_m
    return s * np.cos(t) - n * np.sin(t), s * np.sin(t) + n * np.cos(t)


@dataclass(frozen=True, slots=True, eq=False)
class UpendingForces:
    """Forces of the two lines at many attitudes; every array in the shape of the attitudes.

    Attributes:
        attitude_rad: attitude, rad.
        head_N: pull of the head line, N; NaN where ``determinate`` does not hold.
        tail_N: pull of the tail line, N, likewise.
        head_lean_rad: head line from the vertical, towards +X, rad.
        tail_lean_rad: tail line likewise.
        head_off_axis_rad: pull on the head lug from the lug's direction, -pi to pi, towards the head positive, rad.
        tail_off_axis_rad: pull on the tail lug likewise.
        slack: True where one line would have to push: the load does not stay at that attitude.
        determinate: True where statics alone tells the shares; not where both lines pull along one line.
    """

    attitude_rad: FloatArray
    head_N: FloatArray
    tail_N: FloatArray
    head_lean_rad: FloatArray
    tail_lean_rad: FloatArray
    head_off_axis_rad: FloatArray
    tail_off_axis_rad: FloatArray
    slack: BoolArray
    determinate: BoolArray


def upending_forces(
    load: UpendedLoad, attitude_rad: ArrayLike, tail_lean_rad: ArrayLike = 0.0
) -> UpendingForces:
    """Pull of both lines by moments about the head lug, in closed form.

    ``R_tail = W (X_head - X_cog) / ((X_head - X_tail) cos f + (Z_tail - Z_head) sin f)`` with the lean ``f`` of the
    tail line; with plumb lines (``f`` = 0) the usual lever rule. The head line takes the rest of the weight and all
    that the tail line pulls sideways.

    Args:
        load: the load.
        attitude_rad: attitudes, any shape, rad.
        tail_lean_rad: tail line from the vertical, towards the head positive, rad; one number or one for each attitude.

    Returns:
        The forces. Where a line would have to push its force is negative and ``slack`` is set.

    Raises:
        InputError: an attitude is not a finite angle, or a lean reaches a right angle.
    """
    t, lean = np.broadcast_arrays(
        np.asarray(attitude_rad, dtype=float), np.asarray(tail_lean_rad, dtype=float)
    )
    if not np.isfinite(t).all():
        raise InputError.one("must be finite angles", field="attitude")
    if not (np.abs(lean) < UPRIGHT_RAD).all():
        raise InputError.one("must be less than a right angle from the vertical", field="lean")
    (xh, zh), (xt, zt), (xc, _) = (place_m(p, t) for p in (load.head_m, load.tail_m, load.cog_m))
    arm = (xh - xt) * np.cos(lean) + (zt - zh) * np.sin(lean)
    size = math.dist(load.head_m, load.tail_m)
    known = np.abs(arm) > _SAME_LINE * size
    tail = np.where(known, load.weight_N * (xh - xc) / np.where(known, arm, 1.0), np.nan)
    across, down = -tail * np.sin(lean), load.weight_N - tail * np.cos(lean)
    plumb = lean == 0.0
    head = np.where(plumb, down, np.hypot(across, down))
    head_lean = np.where(plumb, 0.0, np.arctan2(across, down))
    tiny = -1e-12 * load.weight_N
    slack = known & ((tail < tiny) | (down < tiny))
    return UpendingForces(
        np.array(t),
        head,
        tail,
        np.where(known, head_lean, np.nan),
        np.array(lean),
        _turn(t + head_lean - load.head_lug_axis_rad),
        _turn(t + lean - load.tail_lug_axis_rad),
        slack,
        known,
    )


def _turn(angle: FloatArray) -> FloatArray:
    out: FloatArray = np.angle(np.exp(1j * np.asarray(angle, dtype=float)))
    return out


@dataclass(frozen=True, slots=True)
class Peak:
    """The largest of a quantity and where.

    Attributes:
        value: the quantity.
        attitude_rad: attitude at which it is reached, or nearest to it, rad.
    """

    value: float
    attitude_rad: float


@dataclass(frozen=True, slots=True, eq=False)
class Upending:
    """A load upended from one attitude to another with plumb lines.

    Attributes:
        load: the load.
        forces: forces along the way, at steps of one degree at most and finer round the peaks and the end of the tail.
        head_peak: largest pull of the head line, N. The whole weight where the tail line comes off on the way.
        tail_peak: largest pull of the tail line, N.
        head_off_axis_peak: largest angle between the pull on the head lug and the lug's direction, rad.
        tail_off_axis_peak: the same of the tail lug, while the tail line carries.
        tail_off_rad: attitude at which the tail line goes slack; NaN where it carries to the end.
            Every peak is NaN where a line would have to push before that.
        stops: sentences on what a person must look at: slack on the way, lines that meet, a share that jumps.
    """

    load: UpendedLoad
    forces: UpendingForces
    head_peak: Peak
    tail_peak: Peak
    head_off_axis_peak: Peak
    tail_off_axis_peak: Peak
    tail_off_rad: float
    stops: tuple[str, ...]


def upend(load: UpendedLoad, start_rad: float = 0.0, end_rad: float = UPRIGHT_RAD) -> Upending:
    """Follow a load from lying to upright and find the peak of every quantity.

    The share of the tail line only ever rises or only ever falls with the attitude (it is a ratio of two straight
    lines in tan t), so that the peak is where a line carries last; the steps are refined there all the same.

    Args:
        load: the load.
        start_rad: attitude at the start, rad.
        end_rad: attitude at the end, rad, above the start, at most pi/2.

    Returns:
        The way with its peaks.

    Raises:
        InputError: the attitudes are not in order between -pi/2 and pi/2.
    """
    if not -UPRIGHT_RAD < start_rad < end_rad <= UPRIGHT_RAD:
        raise InputError.one("must rise from the start to the end, at most to upright", field="attitude")
    special = [t for t in (load.tail_off_rad, load.lines_meet_rad) if start_rad < t < end_rad]
    forces = upending_forces(load, _attitudes(start_rad, end_rad, special))
    carries = forces.determinate & ~forces.slack
    off, stops = _stops(load, forces, start_rad, end_rad)
    before = forces.attitude_rad <= (off + 1e-12 if math.isfinite(off) else math.inf)
    stays = not (forces.slack & before).any()
    carries &= before & stays
    head = _peak(np.where(carries, forces.head_N, np.nan), forces.attitude_rad)
    ends_alone = math.isfinite(off) or end_rad >= UPRIGHT_RAD
    if stays and ends_alone and not head.value >= load.weight_N:
        head = Peak(load.weight_N, off if math.isfinite(off) else end_rad)
    return Upending(
        load,
        forces,
        head,
        _peak(np.where(carries, forces.tail_N, np.nan), forces.attitude_rad),
        _peak(np.where(carries, np.abs(forces.head_off_axis_rad), np.nan), forces.attitude_rad),
        _peak(np.where(carries, np.abs(forces.tail_off_axis_rad), np.nan), forces.attitude_rad),
        off,
        stops,
    )


def _attitudes(start: float, end: float, special: list[float]) -> FloatArray:
    count = max(math.ceil((end - start) / _COARSE_RAD - 1e-9), 1)
    coarse = start + (end - start) * np.arange(count + 1) / count
    fine = [
        np.linspace(max(t - _COARSE_RAD, start), min(t + _COARSE_RAD, end), 2 * _FINE + 1)
        for t in (start, *special, end)
    ]
    return np.unique(np.concatenate([coarse, special, *fine]))


def _stops(
    load: UpendedLoad, forces: UpendingForces, start: float, end: float
) -> tuple[float, tuple[str, ...]]:
    """Attitude at which the tail line goes slack, and what a person must look at."""
    off, meet = load.tail_off_rad, load.lines_meet_rad
    stops = []
    gone = start <= off <= end and not math.isclose(off, meet, abs_tol=1e-9)
    early = forces.slack & (forces.attitude_rad < (off if gone else math.inf) - 1e-9)
    if gone and not early.any():
        stops.append(
            f"The tail line goes slack at {math.degrees(off):.1f} degrees: the head line then holds the whole load and "
            "the load hangs at that attitude."
        )
    if early.any():
        gone = False
        at = math.degrees(float(forces.attitude_rad[early][0]))
        stops.append(
            f"At {at:.1f} degrees a line would have to push: the load does not stay there; move the lugs."
        )
    if start <= meet <= end:
        stops.append(
            f"Both lines are one plumb line at {math.degrees(meet):.1f} degrees: there the shares follow from the "
            "hoists alone; the head line must be able to hold the whole load."
        )
    return (off if gone else math.nan), tuple(stops)


def _peak(values: FloatArray, attitude_rad: FloatArray) -> Peak:
    if np.isnan(values).all():
        return Peak(math.nan, math.nan)
    at = int(np.nanargmax(values))
    return Peak(float(values[at]), float(attitude_rad[at]))


@dataclass(frozen=True, slots=True)
class SolvedUpending:
    """Rest of an upended load as the equilibrium solver finds it.

    Attributes:
        head_N: pull of the head lines, N.
        tail_N: pull of the tail lines, N.
        attitude_rad: attitude at rest, rad.
        tail_lean_rad: tail line from the vertical, towards the head positive, rad.
    """

    head_N: float
    tail_N: float
    attitude_rad: float
    tail_lean_rad: float


def solved_upending(load: UpendedLoad, attitude_rad: float, gravity_m_s2: float = 9.81) -> SolvedUpending:
    """Pull of head and tail line found by the equilibrium solver, beside the closed form.

    Each end hangs from a pair of lines that are plumb as drawn, so that the load cannot roll. The lines stretch a
    little, so that the load comes to rest a little off the attitude asked for, with lines that lean a little.

    Args:
        load: the load.
        attitude_rad: attitude as drawn, rad.
        gravity_m_s2: gravity, m/s2.

    Returns:
        The rest; NaN where the rig does not hang stable.
    """
    places = {
        f"{end} {side:+.0f}": (*point, side * _HALF_PAIR_M)
        for end, point in (("head", load.head_m), ("tail", load.tail_m))
        for side in (-1.0, 1.0)
    }
    c, s = math.cos(attitude_rad), math.sin(attitude_rad)
    body = Body(
        "load",
        load.weight_N / gravity_m_s2,
        (load.cog_m[0], 0.0, load.cog_m[1]),
        tuple(NamedPoint(name, (a, y, b)) for name, (a, b, y) in places.items()),
        Pose((0.0, 0.0, 0.0), ((c, 0.0, -s), (0.0, 1.0, 0.0), (s, 0.0, c))),
    )
    hooks = tuple(
        NamedPoint(name, (a * c - b * s, y, a * s + b * c + _LINE_M)) for name, (a, b, y) in places.items()
    )
    lines = tuple(sling(name, f"hook.{name}", f"load.{name}", _LINE_M, _STIFF_EA_N) for name in places)
    found = solve(
        RigGraph(
            name="upended load",
            hooks_m=hooks,
            bodies=(body,),
            elements=lines,
            gravity_m_s2=gravity_m_s2,
        )
    )
    if not found.is_stable:
        return SolvedUpending(math.nan, math.nan, math.nan, math.nan)
    rows = found.poses["load"].rotation_rows
    x, _, z = found.hook_forces_N["tail +1"]
    pulls = [
        sum(found.tensions_N[name] for name in places if name.startswith(end)) for end in ("head", "tail")
    ]
    return SolvedUpending(pulls[0], pulls[1], math.atan2(rows[2][0], rows[0][0]), math.atan2(-x, -z))
