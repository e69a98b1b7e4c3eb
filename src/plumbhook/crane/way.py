"""The way of the load between its stations: poses along it, and where a curve along it is worst.

Frame: x east, y north, z up, metres; bearings clockwise from north, rad. A way is a chain of moves (hoist, luff, slew,
travel); within a move every coordinate changes evenly, so that a place is told by one number u: 2.25 is a quarter into
the third move.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from plumbhook.core.errors import InputError

FloatArray = NDArray[np.float64]

STEP_M = 0.1
STEP_RAD = math.radians(0.5)
MOST_STEPS = 200_000
_ZOOM = 21
_ZOOMS = 4
_HALVINGS = 40


@dataclass(frozen=True, slots=True)
class HookState:
    """Where crane and load are at one end of a move.

    Attributes:
        crane_x_m: slew axis, east, m.
        crane_y_m: slew axis, north, m.
        slew_rad: bearing of the boom, not cut at a full turn, rad.
        radius_m: radius of the hook, m.
        load_bottom_m: lowest point of the load over the ground of the crane, m; NaN where not known.
        load_bearing_rad: bearing of the load's x axis, rad; NaN where not known.
    """

    crane_x_m: float
    crane_y_m: float
    slew_rad: float
    radius_m: float
    load_bottom_m: float
    load_bearing_rad: float = math.nan


@dataclass(frozen=True, slots=True)
class WayMove:
    """One move of the way.

    Attributes:
        kind: hoist, luff, slew or travel.
        to: state at its end.
        station: station that it leads to.
    """

    kind: str
    to: HookState
    station: str


@dataclass(frozen=True, slots=True, eq=False)
class Poses:
    """Crane and load at many places of the way, arrays of one shape; units and signs as in :class:`HookState`.

    Attributes:
        u: place on the way.
        crane_x_m: slew axis, east.
        crane_y_m: slew axis, north.
        slew_rad: bearing of the boom.
        radius_m: radius of the hook.
        load_bottom_m: lowest point of the load.
        load_bearing_rad: bearing of the load's x axis.
    """

    u: FloatArray
    crane_x_m: FloatArray
    crane_y_m: FloatArray
    slew_rad: FloatArray
    radius_m: FloatArray
    load_bottom_m: FloatArray
    load_bearing_rad: FloatArray

    @property
    def hook_x_m(self) -> FloatArray:
        """Hook, east, m."""
        return self.crane_x_m + self.radius_m * np.sin(self.slew_rad)

    @property
    def hook_y_m(self) -> FloatArray:
        """Hook, north, m."""
        return self.crane_y_m + self.radius_m * np.cos(self.slew_rad)


@dataclass(frozen=True, slots=True)
class Way:
    """A chain of moves.

    Attributes:
        start: state before the first move.
        moves: the moves in order.

    Raises:
        InputError: there is no move, or a state holds no radius, slew or place of the crane.
    """

    start: HookState
    moves: tuple[WayMove, ...]

    def __post_init__(self) -> None:
        if not self.moves:
            raise InputError.one("the way has no move; give two stations that differ", field="place.stations")
        if not np.isfinite(self._table()[:, :4]).all() or not (self._table()[:, 3] > 0.0).all():
            raise InputError.one(
                "the way needs radius, slew and position of the crane at every station",
                field="place.stations",
            )

    def _table(self) -> FloatArray:
        states = (self.start, *(move.to for move in self.moves))
        return np.array(
            [
                (s.crane_x_m, s.crane_y_m, s.slew_rad, s.radius_m, s.load_bottom_m, s.load_bearing_rad)
                for s in states
            ]
        )

    def poses(self, u: ArrayLike) -> Poses:
        """Crane and load at places ``u`` of 0 to the number of moves, any shape."""
        places = np.asarray(u, dtype=float)
        at = np.arange(len(self.moves) + 1.0)
        return Poses(places, *(np.interp(places, at, column) for column in self._table().T))

    def lengths_m(self) -> FloatArray:
        """How far the hook goes in each move, m, one number for each move."""
        steps = np.diff(self._table()[:, :5], axis=0)
        rise = np.abs(np.where(np.isfinite(steps[:, 4]), steps[:, 4], 0.0))
        radius = np.array([self.start.radius_m, *(move.to.radius_m for move in self.moves[:-1])])
        arc = np.maximum(radius, [move.to.radius_m for move in self.moves]) * np.abs(steps[:, 2])
        lengths: FloatArray = np.hypot(steps[:, 0], steps[:, 1]) + arc + np.abs(steps[:, 3]) + rise
        return lengths

    def distance_m(self, u: ArrayLike) -> FloatArray:
        """How far the hook has come at places ``u``, m."""
        at = np.arange(len(self.moves) + 1.0)
        ends = np.concatenate([[0.0], np.cumsum(self.lengths_m())])
        distance: FloatArray = np.interp(np.asarray(u, dtype=float), at, ends)
        return distance

    def sample(self, step_m: float = STEP_M, step_rad: float = STEP_RAD) -> FloatArray:
        """Places close enough that neither the hook goes further than a step nor the boom slews by more than one.

        Args:
            step_m: longest way of the hook between two places, m.
            step_rad: largest slew between two places, rad.

        Returns:
            Places in order, both ends of every move among them.

        Raises:
            InputError: a step is not positive, or the way is so long that it would be cut into too many.
        """
        if not (step_m > 0.0 and step_rad > 0.0):
            raise InputError.one("the steps along the way must be more than zero", field="place.stations")
        turns = np.abs(np.diff(self._table()[:, 2]))
        counts = np.maximum(np.ceil(np.maximum(self.lengths_m() / step_m, turns / step_rad) - 1e-9), 1.0)
        if not counts.sum() <= MOST_STEPS:
            raise InputError.one(
                f"the way is {self.lengths_m().sum():.0f} m long, too long for one lift; check the levels, radii and "
                "positions of the stations",
                field="place.stations",
            )
        parts = [n + np.arange(count) / count for n, count in enumerate(counts)]
        return np.concatenate([*parts, [float(len(self.moves))]])


Law = Callable[[Poses], FloatArray]


@dataclass(frozen=True, slots=True)
class CurveLaw:
    """A quantity along the way with its limit.

    Attributes:
        value: the quantity at poses.
        limit: its limit at poses.
        at_least: True where the quantity must not fall below the limit (a clearance).
    """

    value: Law
    limit: Law
    at_least: bool = False

    def use(self, poses: Poses) -> FloatArray:
        """Value over limit, or limit over value for a least value: above 1 is beyond; NaN where a number is missing.

        Infinite where nothing is allowed, and where a clearance is used up.
        """
        value, limit = np.broadcast_arrays(self.value(poses), self.limit(poses))
        over, under = (limit, value) if self.at_least else (value, limit)
        with np.errstate(divide="ignore", invalid="ignore"):
            ratio = np.where(under > 0.0, over / under, np.inf)
        missing = np.isnan(value) | np.isnan(limit)
        return np.where(missing, np.nan, ratio)


@dataclass(frozen=True, slots=True, eq=False)
class CurveFound:
    """A curve sampled along a way.

    Attributes:
        u: places, with the worst one and the ends of what lies beyond among them.
        value: the quantity there.
        limit: its limit there.
        use: as :meth:`CurveLaw.use`.
        worst_u: the worst place; the first place where a number is missing, if one is.
        worst_use: use there.
        beyond_u: stretches from and to that lie beyond the limit or cannot be told.
    """

    u: FloatArray
    value: FloatArray
    limit: FloatArray
    use: FloatArray
    worst_u: float
    worst_use: float
    beyond_u: tuple[tuple[float, float], ...]


def follow(way: Way, law: CurveLaw, u: FloatArray) -> CurveFound:
    """A curve along a way, refined round each of its peaks that may be the highest.

    Args:
        way: the way.
        law: the quantity and its limit.
        u: places to look at first, in order, from :meth:`Way.sample`.

    Returns:
        The curve. A peak narrower than the distance of the places may go unseen; one that is seen is narrowed down to
        a thousandth of that distance.
    """
    use = law.use(way.poses(u))
    worst = _worst_place(way, law, u, use)
    beyond = _beyond(way, law, u, use)
    more = np.unique(np.concatenate([u, [worst], *beyond])) if beyond else np.unique(np.append(u, worst))
    poses = way.poses(more)
    value, limit, every = (np.broadcast_to(f(poses), more.shape) for f in (law.value, law.limit, law.use))
    # Rounding may put the worst place a hair below a sample beside it; the worse of the two is told.
    worst_use = float(np.maximum(law.use(way.poses(worst)), use.max()))
    return CurveFound(more, value, limit, every, worst, worst_use, beyond)


def _worst_place(way: Way, law: CurveLaw, u: FloatArray, use: FloatArray) -> float:
    missing = np.flatnonzero(np.isnan(use))
    if missing.size:
        return float(u[missing[0]])
    endless = np.flatnonzero(np.isposinf(use))
    if endless.size:
        return _crossing(way, u, int(endless[0]), lambda p: np.isposinf(law.use(p)))
    best, at = _highest(way, u, use)
    peaks = _peaks(use)
    low, high = u[np.maximum(peaks - 1, 0)], u[np.minimum(peaks + 1, len(u) - 1)]
    for _ in range(_ZOOMS):
        if not len(low):
            break
        grid = np.linspace(low, high, _ZOOM, axis=-1)
        found = law.use(way.poses(grid))
        top = np.argmax(np.where(np.isnan(found), np.inf, found), axis=-1)
        rows = np.arange(len(grid))
        place, height = grid[rows, top], found[rows, top]
        lead = int(np.argmax(np.where(np.isnan(height), np.inf, height)))
        if not height[lead] <= best * (1.0 + 1e-12):
            best, at = float(height[lead]), float(place[lead])
        low, high = grid[rows, np.maximum(top - 1, 0)], grid[rows, np.minimum(top + 1, _ZOOM - 1)]
    return at


def _highest(way: Way, u: FloatArray, use: FloatArray) -> tuple[float, float]:
    """Highest use and its place; among equals that at the largest radius, and of those the first."""
    best = float(use.max())
    equal = np.flatnonzero(use >= best - 1e-12 * abs(best))
    return best, float(u[equal[int(np.argmax(way.poses(u[equal]).radius_m))]])


def _peaks(use: FloatArray) -> NDArray[np.intp]:
    """Samples not below their neighbours that could rise, by as much as they differ from them, to the highest."""
    before, after = np.append(use[0], use[:-1]), np.append(use[1:], use[-1])
    rise = np.maximum(np.abs(use - before), np.abs(use - after))
    return np.flatnonzero((use >= before) & (use >= after) & (rise > 0.0) & (use + rise >= use.max()))


def _beyond(way: Way, law: CurveLaw, u: FloatArray, use: FloatArray) -> tuple[tuple[float, float], ...]:
    bad = ~(use <= 1.0)
    edges = np.diff(np.concatenate([[False], bad, [False]]).astype(int))
    spans = []
    for first, after in zip(np.flatnonzero(edges == 1), np.flatnonzero(edges == -1), strict=True):
        start = _crossing(way, u, int(first), lambda p: ~(law.use(p) <= 1.0))
        end = float(u[-1])
        if after < len(u):
            end = _crossing(way, u, int(after), lambda p: law.use(p) <= 1.0)
        spans.append((start, end))
    return tuple(spans)


def _crossing(way: Way, u: FloatArray, index: int, holds: Callable[[Poses], NDArray[np.bool_]]) -> float:
    """First place at or before ``u[index]`` where a condition holds that does not hold at the sample before."""
    if index == 0:
        return float(u[0])
    low, high = float(u[index - 1]), float(u[index])
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        if not low < middle < high:
            break
        low, high = (low, middle) if bool(holds(way.poses(middle))) else (middle, high)
    return high
