"""Motions that cost no energy at all, found from how the rig is put together.

Four kinds occur:

- *turning*: whatever hangs below a single point (a hook, or a point of a body through which everything below
  is held) may turn about the vertical through that point, each separate part below it on its own;
- *spin*: a body whose held points and centre of gravity lie on one line may turn about that line; a body held
  at its centre of gravity only may turn about every axis;
- *sliding*: whatever stands on supports and is joined to no hook by anything that carries may slide in plan
  and turn about the vertical, because supports do not rub;
- *idling*: a body without mass on which nothing carries may be anywhere.

Supports hinder no turning about a vertical, so they do not count as joining anything to the world.

The energy gradient has exactly no component along these motions. They are taken out of every Newton matrix,
because their zero stiffness would make the steps unbounded, and they are counted, not judged, in the verdict
on stability.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass, field

import numpy as np

from plumbhook.statics._arrays import Bools, Floats, RigArrays, State

_COINCIDENT = 1e-9
_PARALLEL = 0.5
_WORLD_NODE = 0


@dataclass(frozen=True, slots=True)
class Turn:
    """Bodies that turn together about the vertical through a point of ``body`` (of the world for a hook)."""

    bodies: tuple[int, ...]
    body: int
    lever_m: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Spin:
    """A body that turns about an axis fixed in it, through ``lever_m``."""

    body: int
    lever_m: tuple[float, float, float]
    axis: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Loose:
    """Bodies that nothing ties to a hook.

    Attributes:
        standing: groups of bodies that stand on supports and slide together.
        idle: bodies without mass on which nothing carries.
    """

    standing: tuple[tuple[int, ...], ...] = ()
    idle: tuple[int, ...] = ()


@dataclass(slots=True)
class NeutralFinder:
    """Finds the neutral motions of a rig for any set of elements that carry; remembers what it has found."""

    arrays: RigArrays
    _nodes: _Nodes = field(init=False, repr=False)
    _known: dict[bytes, tuple[tuple[Turn, ...], tuple[Spin, ...]]] = field(init=False, repr=False)
    _known_loose: dict[bytes, Loose] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        self._nodes = _Nodes(self.arrays)
        self._known = {}
        self._known_loose = {}

    def motions(self, carrying: Bools) -> tuple[tuple[Turn, ...], tuple[Spin, ...]]:
        """Turning and spinning motions while just the elements marked carry."""
        key = carrying.tobytes()
        if key not in self._known:
            self._known[key] = (
                tuple(_turns(self._nodes, carrying, self.loose(carrying).standing)),
                tuple(_spins(self.arrays, self._nodes, carrying)),
            )
        return self._known[key]

    def loose(self, carrying: Bools) -> Loose:
        """Bodies that slide or idle while just the elements marked carry; none in a rig without supports."""
        if not self.arrays.is_support.any():
            return Loose()
        key = carrying.tobytes()
        if key not in self._known_loose:
            self._known_loose[key] = _loose(self.arrays, self._nodes, carrying)
        return self._known_loose[key]

    def basis(self, carrying: Bools, state: State, scale: Floats, tolerance: float = _PARALLEL) -> Floats:
        """Orthonormal columns (6 nb, m) of the neutral motions in scaled coordinates ``scale * q``.

        Motions that depend on the others within the tolerance are left out: about a plumb line the turn of a
        chain of bodies is the sum of the turns of its links.
        """
        turns, spins = self.motions(carrying)
        loose = self.loose(carrying)
        columns = [column for group in loose.standing for column in _slide_columns(self.arrays, state, group)]
        columns += [
            column for body in loose.idle for column in np.eye(self.arrays.n_dof)[6 * body : 6 * body + 6]
        ]
        columns += [_turn_column(self.arrays, state, turn) for turn in turns]
        columns += [_spin_column(self.arrays, state, spin) for spin in spins]
        kept = np.zeros((self.arrays.n_dof, len(columns)))
        count = 0
        for column in columns:
            rest = scale * column
            norm = float(np.sqrt(rest @ rest))
            if norm == 0.0:
                continue
            rest = rest / norm
            known = kept[:, :count]
            for _ in range(2):
                rest = rest - known @ (known.T @ rest)
            left = float(np.sqrt(rest @ rest))
            if left > tolerance:
                kept[:, count] = rest / left
                count += 1
        return kept[:, :count]


def _turn_column(arrays: RigArrays, state: State, turn: Turn) -> Floats:
    through = np.array(turn.lever_m)
    if turn.body < arrays.n_bodies:
        through = state.position_m[turn.body] + state.rotation[turn.body] @ through
    column = np.zeros((arrays.n_bodies, 6))
    bodies = list(turn.bodies)
    offset = state.position_m[bodies] - through
    column[bodies, 0] = -offset[:, 1]
    column[bodies, 1] = offset[:, 0]
    column[bodies, 5] = 1.0
    return column.ravel()


def _slide_columns(arrays: RigArrays, state: State, group: tuple[int, ...]) -> list[Floats]:
    """Sliding along x and y, and turning about the vertical through the first body."""
    bodies = list(group)
    sliding = np.zeros((2, arrays.n_bodies, 6))
    sliding[0, bodies, 0] = sliding[1, bodies, 1] = 1.0
    turn = _turn_column(arrays, state, Turn(group, group[0], (0.0, 0.0, 0.0)))
    return [sliding[0].ravel(), sliding[1].ravel(), turn]


def _spin_column(arrays: RigArrays, state: State, spin: Spin) -> Floats:
    rotation = state.rotation[spin.body]
    axis = rotation @ np.array(spin.axis)
    column = np.zeros((arrays.n_bodies, 6))
    # The reference point lies off the axis only where a mass-less body has a loose line.
    column[spin.body, :3] = np.cross(axis, -(rotation @ np.array(spin.lever_m)))
    column[spin.body, 3:] = axis
    return column.ravel()


class _Nodes:
    """The rig as a graph: node 0 is the world, then the bodies, then the points they are held at."""

    def __init__(self, arrays: RigArrays) -> None:
        self.n_bodies = arrays.n_bodies
        self.points: list[tuple[int, Floats]] = []
        tolerance = _COINCIDENT * max(arrays.size_m, 1.0)
        self.ends = [
            tuple(
                self._point(int(body[number]), lever[number], tolerance)
                for body, lever in (
                    (arrays.body_i, arrays.lever_i_m),
                    (arrays.body_j, arrays.lever_j_m),
                )[: 1 if arrays.is_support[number] else 2]
            )
            for number in range(len(arrays.length_m))
        ]

    def _point(self, body: int, lever: Floats, tolerance: float) -> int:
        # Hooks on one vertical count as one: turning about it moves none of them.
        axes = 2 if body == self.n_bodies else 3
        for number, (other, place) in enumerate(self.points):
            if other == body and float(np.abs(place[:axes] - lever[:axes]).max()) <= tolerance:
                return number
        self.points.append((body, lever))
        return len(self.points) - 1

    def point_node(self, point: int) -> int:
        return 1 + self.n_bodies + point

    def owner_node(self, point: int) -> int:
        body = self.points[point][0]
        return _WORLD_NODE if body == self.n_bodies else 1 + body

    def neighbours(self, carrying: Bools) -> list[set[int]]:
        """Neighbours of every node while just the elements marked carry."""
        out: list[set[int]] = [set() for _ in range(1 + self.n_bodies + len(self.points))]
        for number in np.flatnonzero(carrying):
            if len(self.ends[number]) == 1:
                continue
            first, second = self.ends[number]
            pairs = [(self.point_node(first), self.point_node(second))]
            pairs += [(self.point_node(end), self.owner_node(end)) for end in (first, second)]
            for a, b in pairs:
                out[a].add(b)
                out[b].add(a)
        return out


def _distances(neighbours: list[set[int]], start: int, without: int = -1) -> dict[int, int]:
    """Number of steps to every node that can be reached from the start without passing one node."""
    found = {start: 0}
    queue = deque([start])
    while queue:
        node = queue.popleft()
        for other in neighbours[node]:
            if other != without and other not in found:
                found[other] = found[node] + 1
                queue.append(other)
    return found


def _turns(nodes: _Nodes, carrying: Bools, standing: tuple[tuple[int, ...], ...]) -> list[Turn]:
    """Turns of all that hangs from hooks, and of the parts of each standing group against its first body."""
    neighbours = nodes.neighbours(carrying)
    roots = [_WORLD_NODE, *(1 + group[0] for group in standing)]
    return [turn for root in roots for turn in _turns_below(nodes, neighbours, root)]


def _turns_below(nodes: _Nodes, neighbours: list[set[int]], root: int) -> list[Turn]:
    held = _distances(neighbours, root)
    out: dict[frozenset[int], Turn] = {}
    candidates = [point for point in range(len(nodes.points)) if nodes.point_node(point) in held]
    for point in sorted(candidates, key=lambda number: held[nodes.point_node(number)]):
        cut = nodes.point_node(point)
        left = set(held) - set(_distances(neighbours, root, without=cut)) - {cut}
        while left:
            part = set(_distances(neighbours, next(iter(left)), without=cut))
            left -= part
            bodies = frozenset(node - 1 for node in part if 1 <= node <= nodes.n_bodies)
            if bodies and bodies not in out:
                body, lever = nodes.points[point]
                out[bodies] = Turn(tuple(sorted(bodies)), body, (lever[0], lever[1], lever[2]))
    return list(out.values())


def _loose(arrays: RigArrays, nodes: _Nodes, carrying: Bools) -> Loose:
    neighbours = nodes.neighbours(carrying)
    seen = set(_distances(neighbours, _WORLD_NODE))
    stood_on = set(arrays.body_i[carrying & arrays.is_support].tolist())
    standing: list[tuple[int, ...]] = []
    for body in range(arrays.n_bodies):
        if 1 + body in seen:
            continue
        part = set(_distances(neighbours, 1 + body))
        seen |= part
        group = tuple(sorted(node - 1 for node in part if 1 <= node <= arrays.n_bodies))
        if stood_on.intersection(group):
            standing.append(group)
    ends = {*arrays.body_i[carrying].tolist(), *arrays.body_j[carrying].tolist()}
    idle = (body for body in range(arrays.n_bodies) if body not in ends and not arrays.has_mass[body])
    return Loose(tuple(standing), tuple(idle))


def _spins(arrays: RigArrays, nodes: _Nodes, carrying: Bools) -> list[Spin]:
    out: list[Spin] = []
    used: list[set[int]] = [set() for _ in range(arrays.n_bodies)]
    for number in np.flatnonzero(carrying):
        for point in nodes.ends[number]:
            body = nodes.points[point][0]
            if body < arrays.n_bodies:
                used[body].add(point)
    for body, own in enumerate(used):
        if not own:
            continue
        places = [nodes.points[point][1] for point in sorted(own)]
        if arrays.has_mass[body]:
            places.append(np.zeros(3))
        start = places[0]
        through = (float(start[0]), float(start[1]), float(start[2]))
        offsets = np.array(places) - start
        reach = float(np.abs(offsets).max())
        if reach <= _COINCIDENT * max(arrays.size_m, 1.0):
            out.extend(
                Spin(body, through, axis) for axis in ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
            )
            continue
        axis = offsets[int(np.argmax((offsets * offsets).sum(axis=1)))]
        axis = axis / np.sqrt(axis @ axis)
        off_axis = float(np.abs(np.cross(offsets, axis)).max())
        # Held at one point, its spin at rest is the turn below that point.
        if off_axis <= _COINCIDENT * reach and len(own) > 1:
            out.append(Spin(body, through, (float(axis[0]), float(axis[1]), float(axis[2]))))
    return out
