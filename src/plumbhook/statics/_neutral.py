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
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np

from plumbhook.model.rig_graph import Vector
from plumbhook.statics._arrays import Bools, Floats, RigArrays, State
from plumbhook.statics._layout import COINCIDENT, WORLD_NODE, Layout, Nodes, distances, turning_parts

_PARALLEL = 0.5
_USED = 128
_CLEARLY_OFF = 1e-7


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


_NOTHING_LOOSE = Loose()


@dataclass(slots=True)
class NeutralFinder:
    """Finds the neutral motions of a rig for any set of elements that carry; remembers what it has found."""

    arrays: RigArrays
    _nodes: Nodes = field(init=False, repr=False)
    _known: dict[bytes, tuple[tuple[Turn, ...], tuple[Spin, ...]]] = field(init=False, repr=False)
    _known_loose: dict[bytes, Loose] = field(init=False, repr=False)
    _known_tables: dict[bytes, Tables] = field(init=False, repr=False)
    _last: tuple[State | None, bytes, Floats] = field(init=False, repr=False)
    _last_basis: tuple[Floats, Floats, float, Floats] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        self._nodes = Nodes(self.arrays)
        self._known = {}
        self._known_loose = {}
        self._known_tables = {}
        nothing = np.zeros((0, 0))
        self._last = (None, b"", nothing)
        self._last_basis = (nothing.copy(), nothing, 0.0, nothing)

    def motions(self, carrying: Bools) -> tuple[tuple[Turn, ...], tuple[Spin, ...]]:
        """Turning and spinning motions while just the elements marked carry."""
        key = carrying.tobytes()
        if key not in self._known:
            self._known[key] = (
                tuple(_turns(self._nodes, carrying, self.loose(carrying).standing)),
                tuple(_spins(self.arrays, self._nodes, carrying)),
            )
        return self._known[key]

    def tables(self, carrying: Bools) -> Tables:
        """The same motions as arrays."""
        key = carrying.tobytes()
        if key not in self._known_tables:
            self._known_tables[key] = Tables.of(self.arrays.n_bodies, *self.motions(carrying))
        return self._known_tables[key]

    def loose(self, carrying: Bools) -> Loose:
        """Bodies that slide or idle while just the elements marked carry; none in a rig without supports."""
        if not self.arrays.structure.has_supports:
            return _NOTHING_LOOSE
        key = carrying.tobytes()
        if key not in self._known_loose:
            self._known_loose[key] = _loose(self.arrays, self._nodes, carrying)
        return self._known_loose[key]

    def basis(self, carrying: Bools, state: State, scale: Floats, tolerance: float = _PARALLEL) -> Floats:
        """Orthonormal columns (6 nb, m) of the neutral motions in scaled coordinates ``scale * q``.

        Motions that depend on the others within the tolerance are left out: about a plumb line the turn of a
        chain of bodies is the sum of the turns of its links.
        """
        known, known_scale, smallest, basis = self._last_basis
        columns = self._columns(carrying, state)
        if known is columns and known_scale is scale and smallest > tolerance:
            return basis
        unit = _unit_rows(columns, scale)
        if len(unit) == 1:
            self._last_basis = (columns, scale, 1.0, unit.T)
            return unit.T
        if 0 < len(unit) <= self.arrays.n_dof:
            basis, upper = np.linalg.qr(unit.T)
            smallest = float(np.abs(upper.diagonal()).min())
            if smallest > tolerance:
                self._last_basis = (columns, scale, smallest, basis)
                return basis
        return _independent(unit, tolerance)

    def _columns(self, carrying: Bools, state: State) -> Floats:
        """(m, 6 nb) increments of all motions; those of the last posture are kept, for it is asked for twice."""
        key = carrying.tobytes()
        last_state, last_key, columns = self._last  # read at once, for threads share a finder
        if last_state is state and last_key == key:
            return columns
        loose = self.loose(carrying)
        columns = self.tables(carrying).columns(state)
        if loose.standing or loose.idle:
            first = [row for group in loose.standing for row in _slide_columns(self.arrays, state, group)]
            first += [
                row for body in loose.idle for row in np.eye(self.arrays.n_dof)[6 * body : 6 * body + 6]
            ]
            columns = np.concatenate([np.array(first), columns])
        self._last = (state, key, columns)
        return columns


def _unit_rows(columns: Floats, scale: Floats) -> Floats:
    """All motions in scaled coordinates, each of length one, in the order of their standing."""
    scaled = columns * scale
    norms = np.sqrt((scaled * scaled).sum(axis=1))
    if norms.all():
        return np.asarray(scaled / norms[:, None])
    some = norms > 0.0
    return np.asarray(scaled[some] / norms[some, None])


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


_DATUM = (0.0, 0.0, 0.0)
_UPRIGHT = (0.0, 0.0, 1.0)


@dataclass(frozen=True, slots=True, eq=False)
class Kinds:
    """Turns and spins without any place: one object for all that turn the same bodies, turns first.

    Attributes:
        turns: body of the point of each turn (``nb`` for a hook), and the bodies that turn; ``spins`` their bodies.
        members: (m, nb, 1) 1 for the bodies that turn.
        is_turn: (m, 1) True for turns.
    """

    turns: tuple[tuple[int, tuple[int, ...]], ...]
    spins: tuple[int, ...]
    members: Floats
    is_turn: Bools


@lru_cache(maxsize=_USED)
def _kinds(n_bodies: int, turns: tuple[tuple[int, tuple[int, ...]], ...], spins: tuple[int, ...]) -> Kinds:
    members = np.zeros((len(turns) + len(spins), n_bodies, 1))
    for number, (_, bodies) in enumerate(turns):
        members[number, list(bodies)] = 1.0
    for number, body in enumerate(spins, start=len(turns)):
        members[number, body] = 1.0
    is_turn = np.array([True] * len(turns) + [False] * len(spins), dtype=np.bool_)[:, None]
    for array in (members, is_turn):
        array.flags.writeable = False
    return Kinds(turns, spins, members, is_turn)


@dataclass(frozen=True, slots=True)
class Tables:
    """Turns and spins as arrays: each is a turn of some bodies about an axis through a point.

    Attributes:
        kinds: which bodies.
        lever_m: (m, 3) the point in the axes of its body.
        axis: (m, 3) axis of a spin in the axes of its body; upright, whatever the posture, for a turn.
    """

    kinds: Kinds
    lever_m: Floats
    axis: Floats

    @classmethod
    def of(cls, n_bodies: int, turns: tuple[Turn, ...], spins: tuple[Spin, ...]) -> Tables:
        """Tables of the motions of a rig."""
        of_turns = tuple([(turn.body, turn.bodies) for turn in turns])
        return cls(
            _kinds(n_bodies, of_turns, tuple([spin.body for spin in spins])),
            np.array([turn.lever_m for turn in turns] + [spin.lever_m for spin in spins]).reshape(-1, 3),
            np.array([_UPRIGHT] * len(turns) + [spin.axis for spin in spins]).reshape(-1, 3),
        )

    def columns(self, state: State) -> Floats:
        """(m, 6 nb) increments of the motions in a posture."""
        position, rotation = state.position_m.tolist(), state.rotation.tolist()
        out = np.zeros((len(self.axis), len(position), 6))
        # Few bodies take part, so that plain numbers are several times faster than small arrays.
        turns, levers = self.kinds.turns, self.lever_m.tolist()
        for number, (body, bodies) in enumerate(turns):
            x, y, _ = through = levers[number]
            if body < len(position):
                x, y, _ = _placed(position[body], rotation[body], through)
            for own in bodies:
                px, py, _ = position[own]
                out[number, own] = (y - py, px - x, 0.0, 0.0, 0.0, 1.0)
        for number, body in enumerate(self.kinds.spins, start=len(turns)):
            ax, ay, az = _placed(_DATUM, rotation[body], self.axis[number].tolist())
            # From the point on the axis to the reference point.
            x, y, z = _placed(_DATUM, rotation[body], levers[number])
            out[number, body] = (az * y - ay * z, ax * z - az * x, ay * x - ax * y, ax, ay, az)
        return out.reshape(len(self.axis), 6 * len(position))


def _placed(origin: Sequence[float], rotation: Sequence[Sequence[float]], point: Sequence[float]) -> Vector:
    """World place of a point of a body."""
    (ox, oy, oz), ((a, b, c), (d, e, f), (g, h, i)), (x, y, z) = origin, rotation, point
    return (ox + (a * x + b * y + c * z), oy + (d * x + e * y + f * z), oz + (g * x + h * y + i * z))


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
    near, points = COINCIDENT * max(arrays.size_m, 1.0), nodes.points
    clearly = _CLEARLY_OFF * nodes.reach_m**2
    for body, own in enumerate(_used_points(nodes.layout, carrying.tobytes())):
        if not own:
            continue
        if len(own) > 2:
            (x, y, z), (a, b, c), (d, e, f) = (points[point][1] for point in own[:3])
            a, b, c, d, e, f = a - x, b - y, c - z, d - x, e - y, f - z
            if max(abs(b * f - c * e), abs(c * d - a * f), abs(a * e - b * d)) > clearly:
                continue  # three points far off one line
        places = [points[point][1] for point in own]
        if arrays.has_mass[body]:
            places.append((0.0, 0.0, 0.0))
        through = x0, y0, z0 = places[0]
        offsets = [(x - x0, y - y0, z - z0) for x, y, z in places]
        reach = max([max(abs(x), abs(y), abs(z)) for x, y, z in offsets])
        if reach <= near:
            out.extend(
                Spin(body, through, axis) for axis in ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
            )
            continue
        squares = [x * x + y * y + z * z for x, y, z in offsets]
        longest = max(squares)
        length = math.sqrt(longest)
        ax, ay, az = (x / length for x in offsets[squares.index(longest)])
        limit = COINCIDENT * reach
        on_axis = all(
            abs(y * az - z * ay) <= limit and abs(z * ax - x * az) <= limit and abs(x * ay - y * ax) <= limit
            for x, y, z in offsets
        )
        # Held at one point, its spin at rest is the turn below that point.
        if on_axis and len(own) > 1:
            out.append(Spin(body, through, (ax, ay, az)))
    return out


@lru_cache(maxsize=_USED)
def _used_points(layout: Layout, carrying: bytes) -> tuple[tuple[int, ...], ...]:
    """By body, the points that elements which carry are held at."""
    used: list[set[int]] = [set() for _ in range(layout.n_bodies)]
    for number in np.flatnonzero(np.frombuffer(carrying, dtype=np.bool_)).tolist():
        for point in layout.ends[number]:
            if layout.owners[point] < layout.n_bodies:
                used[layout.owners[point]].add(point)
    return tuple(tuple(sorted(own)) for own in used)
