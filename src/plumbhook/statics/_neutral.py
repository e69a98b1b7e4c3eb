"""Motions that cost no energy at all, found from how the rig is put together.

Two kinds occur:

- *turning*: whatever hangs below a single point (a hook, or a point of a body through which everything below
  is
  held) may turn about the vertical through that point, each separate part below it on its own;
- *spin*: a body whose held points and centre of gravity lie on one line may turn about that line; a body held
  at its
  centre of gravity only may turn about every axis.

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


@dataclass(slots=True)
class NeutralFinder:
    """Finds the neutral motions of a rig for any set of elements that carry; remembers what it has found."""

    arrays: RigArrays
    _nodes: _Nodes = field(init=False, repr=False)
    _known: dict[bytes, tuple[tuple[Turn, ...], tuple[Spin, ...]]] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        self._nodes = _Nodes(self.arrays)
        self._known = {}

    def motions(self, carrying: Bools) -> tuple[tuple[Turn, ...], tuple[Spin, ...]]:
        """Turning and spinning motions while just the elements marked carry."""
        key = carrying.tobytes()
        if key not in self._known:
            self._known[key] = (
                tuple(_turns(self._nodes, carrying)),
                tuple(_spins(self.arrays, self._nodes, carrying)),
            )
        return self._known[key]

    def basis(self, carrying: Bools, state: State, scale: Floats, tolerance: float = _PARALLEL) -> Floats:
        """Orthonormal columns (6 nb, m) of the neutral motions in scaled coordinates ``scale * q``.

        Motions that depend on the others within the tolerance are left out: about a plumb line the turn of a
        chain of bodies is the sum of the turns of its links.
        """
        turns, spins = self.motions(carrying)
        columns = [_turn_column(self.arrays, state, turn) for turn in turns]
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
            (
                self._point(int(arrays.body_i[number]), arrays.lever_i_m[number], tolerance),
                self._point(int(arrays.body_j[number]), arrays.lever_j_m[number], tolerance),
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


def _turns(nodes: _Nodes, carrying: Bools) -> list[Turn]:
    neighbours = nodes.neighbours(carrying)
    held = _distances(neighbours, _WORLD_NODE)
    out: dict[frozenset[int], Turn] = {}
    candidates = [point for point in range(len(nodes.points)) if nodes.point_node(point) in held]
    for point in sorted(candidates, key=lambda number: held[nodes.point_node(number)]):
        cut = nodes.point_node(point)
        left = set(held) - set(_distances(neighbours, _WORLD_NODE, without=cut)) - {cut}
        while left:
            part = set(_distances(neighbours, next(iter(left)), without=cut))
            left -= part
            bodies = frozenset(node - 1 for node in part if 1 <= node <= nodes.n_bodies)
            if bodies and bodies not in out:
                body, lever = nodes.points[point]
                out[bodies] = Turn(tuple(sorted(bodies)), body, (lever[0], lever[1], lever[2]))
    return list(out.values())


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
