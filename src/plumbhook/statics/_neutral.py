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

import math
from dataclasses import dataclass, field

import numpy as np

from plumbhook.statics._arrays import Bools, Floats, Ints, RigArrays, State
from plumbhook.statics._energy import cross
from plumbhook.statics._layout import COINCIDENT, WORLD_NODE, Nodes, distances, turning_parts

_PARALLEL = 0.5


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
    _nodes: Nodes = field(init=False, repr=False)
    _known: dict[bytes, tuple[tuple[Turn, ...], tuple[Spin, ...]]] = field(init=False, repr=False)
    _known_loose: dict[bytes, Loose] = field(init=False, repr=False)
    _known_tables: dict[bytes, _Tables] = field(init=False, repr=False)
    _last: tuple[State | None, bytes, Floats] = field(init=False, repr=False)
    _last_split: tuple[Floats, Floats, float, Floats] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        self._nodes = Nodes(self.arrays)
        self._known = {}
        self._known_loose = {}
        self._known_tables = {}
        nothing = np.zeros((0, 0))
        self._last = (None, b"", nothing)
        self._last_split = (nothing.copy(), nothing, 0.0, nothing)

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
        known, known_scale, smallest, basis = self._last_split
        if known is self._columns(carrying, state) and known_scale is scale and smallest > tolerance:
            return basis
        unit = self._unit_rows(carrying, state, scale)
        if 0 < len(unit) <= self.arrays.n_dof:
            whole, upper = np.linalg.qr(unit.T)
            if np.abs(upper.diagonal()).min() > tolerance:
                return whole
        return _independent(unit, tolerance)

    def split(
        self, carrying: Bools, state: State, scale: Floats, tolerance: float = _PARALLEL
    ) -> tuple[Floats, Floats]:
        """The same basis, and an orthonormal basis (6 nb, 6 nb - m) of all other motions."""
        unit = self._unit_rows(carrying, state, scale)
        count = len(unit)
        if 0 < count <= self.arrays.n_dof:
            whole, upper = np.linalg.qr(unit.T, mode="complete")
            smallest = float(np.abs(upper.diagonal()).min())
            if smallest > tolerance:
                self._last_split = (self._columns(carrying, state), scale, smallest, whole[:, :count])
                return whole[:, :count], whole[:, count:]
        basis = _independent(unit, tolerance)
        return basis, np.linalg.qr(basis, mode="complete")[0][:, basis.shape[1] :]

    def _unit_rows(self, carrying: Bools, state: State, scale: Floats) -> Floats:
        """All motions in scaled coordinates, each of length one, in the order of their standing."""
        columns = self._columns(carrying, state) * scale
        norms = np.sqrt((columns * columns).sum(axis=1))
        if norms.all():
            return np.asarray(columns / norms[:, None])
        some = norms > 0.0
        return np.asarray(columns[some] / norms[some, None])

    def _columns(self, carrying: Bools, state: State) -> Floats:
        """(m, 6 nb) increments of all motions; those of the last posture are kept, for it is asked for twice."""
        key = carrying.tobytes()
        last_state, last_key, columns = self._last  # read at once, for threads share a finder
        if last_state is state and last_key == key:
            return columns
        if key not in self._known_tables:
            self._known_tables[key] = _Tables.of(self.arrays.n_bodies, *self.motions(carrying))
        loose = self.loose(carrying)
        columns = self._known_tables[key].columns(state)
        if loose.standing or loose.idle:
            first = [row for group in loose.standing for row in _slide_columns(self.arrays, state, group)]
            first += [
                row for body in loose.idle for row in np.eye(self.arrays.n_dof)[6 * body : 6 * body + 6]
            ]
            columns = np.concatenate([np.array(first), columns])
        self._last = (state, key, columns)
        return columns


def _independent(unit: Floats, tolerance: float) -> Floats:
    """Orthonormal columns of the rows that do not depend on those before them within the tolerance."""
    kept = np.zeros_like(unit)
    count = 0
    for row in unit:
        rest = row
        if count:
            known = kept[:count]
            rest = rest - (known @ rest) @ known
            rest = rest - (known @ rest) @ known
        left = math.sqrt(float(rest @ rest))
        if left > tolerance:
            kept[count] = rest / left
            count += 1
    return kept[:count].T


@dataclass(frozen=True, slots=True)
class _Tables:
    """Turns and spins as arrays, so that their columns in a posture are formed all at once.

    Attributes:
        turn_body: (nt,) body, or ``nb`` for a hook, of the point of each turn; ``turn_lever_m`` (nt, 3).
        turning: (nt, nb) 1 for the bodies that turn.
        spin_body: (ns,); ``spin_lever_m`` and ``spin_axis`` (ns, 3).
    """

    turn_body: Ints
    turn_lever_m: Floats
    turning: Floats
    spin_body: Ints
    spin_lever_m: Floats
    spin_axis: Floats

    @classmethod
    def of(cls, n_bodies: int, turns: tuple[Turn, ...], spins: tuple[Spin, ...]) -> _Tables:
        """Tables of the motions of a rig."""
        turning = np.zeros((len(turns), n_bodies))
        for number, turn in enumerate(turns):
            turning[number, list(turn.bodies)] = 1.0
        return cls(
            np.array([turn.body for turn in turns], dtype=np.int64),
            np.array([turn.lever_m for turn in turns]).reshape(-1, 3),
            turning,
            np.array([spin.body for spin in spins], dtype=np.int64),
            np.array([spin.lever_m for spin in spins]).reshape(-1, 3),
            np.array([spin.axis for spin in spins]).reshape(-1, 3),
        )

    def columns(self, state: State) -> Floats:
        """(nt + ns, 6 nb) increments of the motions in a posture, turns first."""
        n_turns, n_bodies = self.turning.shape
        out = np.zeros((n_turns + len(self.spin_body), n_bodies, 6))
        if n_turns:
            rotation = np.concatenate([state.rotation, np.eye(3)[None]])[self.turn_body]
            position = np.concatenate([state.position_m, np.zeros((1, 3))])[self.turn_body]
            through = position + (rotation @ self.turn_lever_m[:, :, None])[:, :, 0]
            offset = state.position_m[None] - through[:, None]
            out[:n_turns, :, 0] = -offset[:, :, 1] * self.turning
            out[:n_turns, :, 1] = offset[:, :, 0] * self.turning
            out[:n_turns, :, 5] = self.turning
        if len(self.spin_body):
            rotation = state.rotation[self.spin_body]
            axis = (rotation @ self.spin_axis[:, :, None])[:, :, 0]
            lever = (rotation @ self.spin_lever_m[:, :, None])[:, :, 0]
            rows = np.arange(n_turns, len(out))
            # The reference point lies off the axis only where a mass-less body has a loose line.
            out[rows, self.spin_body, :3] = cross(lever, axis)
            out[rows, self.spin_body, 3:] = axis
        return out.reshape(len(out), 6 * n_bodies)


def _slide_columns(arrays: RigArrays, state: State, group: tuple[int, ...]) -> list[Floats]:
    """Sliding along x and y, and turning about the vertical through the first body."""
    bodies = list(group)
    columns = np.zeros((3, arrays.n_bodies, 6))
    columns[0, bodies, 0] = columns[1, bodies, 1] = columns[2, bodies, 5] = 1.0
    offset = state.position_m[bodies] - state.position_m[group[0]]
    columns[2, bodies, 0] = -offset[:, 1]
    columns[2, bodies, 1] = offset[:, 0]
    return list(columns.reshape(3, -1))


def _turns(nodes: Nodes, carrying: Bools, standing: tuple[tuple[int, ...], ...]) -> list[Turn]:
    """Turns of all that hangs from hooks, and of the parts of each standing group against its first body."""
    parts = turning_parts(nodes.layout, carrying.tobytes(), standing)
    return [Turn(bodies, *nodes.points[point]) for bodies, point in parts]


def _loose(arrays: RigArrays, nodes: Nodes, carrying: Bools) -> Loose:
    neighbours = nodes.layout.neighbours(carrying)
    seen = set(distances(neighbours, WORLD_NODE))
    stood_on = set(arrays.body_i[carrying & arrays.is_support].tolist())
    standing: list[tuple[int, ...]] = []
    for body in range(arrays.n_bodies):
        if 1 + body in seen:
            continue
        part = set(distances(neighbours, 1 + body))
        seen |= part
        group = tuple(sorted(node - 1 for node in part if 1 <= node <= arrays.n_bodies))
        if stood_on.intersection(group):
            standing.append(group)
    ends = {*arrays.body_i[carrying].tolist(), *arrays.body_j[carrying].tolist()}
    idle = (body for body in range(arrays.n_bodies) if body not in ends and not arrays.has_mass[body])
    return Loose(tuple(standing), tuple(idle))


def _spins(arrays: RigArrays, nodes: Nodes, carrying: Bools) -> list[Spin]:
    out: list[Spin] = []
    used: list[set[int]] = [set() for _ in range(arrays.n_bodies)]
    for number in np.flatnonzero(carrying).tolist():
        for point in nodes.layout.ends[number]:
            body = nodes.points[point][0]
            if body < arrays.n_bodies:
                used[body].add(point)
    for body, own in enumerate(used):
        if not own:
            continue
        places = [nodes.points[point][1] for point in sorted(own)]
        if arrays.has_mass[body]:
            places.append((0.0, 0.0, 0.0))
        through = places[0]
        offsets = [tuple(x - x0 for x, x0 in zip(place, through, strict=True)) for place in places]
        reach = max(abs(x) for offset in offsets for x in offset)
        if reach <= COINCIDENT * max(arrays.size_m, 1.0):
            out.extend(
                Spin(body, through, axis) for axis in ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
            )
            continue
        ax, ay, az = max(offsets, key=lambda offset: sum(x * x for x in offset))
        length = math.sqrt(ax * ax + ay * ay + az * az)
        ax, ay, az = ax / length, ay / length, az / length
        off_axis = max(
            max(abs(y * az - z * ay), abs(z * ax - x * az), abs(x * ay - y * ax)) for x, y, z in offsets
        )
        # Held at one point, its spin at rest is the turn below that point.
        if off_axis <= COINCIDENT * reach and len(own) > 1:
            out.append(Spin(body, through, (ax, ay, az)))
    return out
