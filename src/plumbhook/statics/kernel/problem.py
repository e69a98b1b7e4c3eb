"""A rig and its samples as the flat arrays that the kernel takes."""

from __future__ import annotations

from dataclasses import InitVar, dataclass, field, fields
from functools import lru_cache

import numpy as np

from plumbhook.model.rig_graph import RigGraph
from plumbhook.statics._arrays import Bools, Floats, Ints, RigArrays, State, assemble, state_of
from plumbhook.statics._neutral import Kinds, NeutralFinder, Turn
from plumbhook.statics._structure import Structure
from plumbhook.statics.kernel.posture import LINK, PIN, SLING, SUPPORT

_ON_AXIS = 1e-9
_REMEMBERED = 64


@dataclass(frozen=True, slots=True)
class Modes:
    """Neutral motions of a rig while certain elements carry, as the kernel takes them.

    Attributes:
        end: (nm,) body, or number of bodies plus hook, that the point of each motion belongs to.
        spins: (nm,) 1 where the axis is fixed in that body, 0 where it is the vertical.
        members: (nm, nb) 1 for the bodies that turn.
        lever_m: (nm, 3) point in the axes of the body from its reference point.
        axis: (nm, 3) unit axis in the axes of the body; without meaning for a vertical.
        hooks: for each motion, the hooks that must be on one vertical for it to be neutral.
    """

    end: Ints
    spins: Ints
    members: Ints
    lever_m: Floats
    axis: Floats
    hooks: tuple[tuple[int, ...], ...]


@dataclass(frozen=True, slots=True)
class Rows:
    """Samples of one rig, one per row: N, m, N/m; centres of gravity relative to the graph's, in body axes."""

    weight: Floats
    shift: Floats
    length: Floats
    stiffness: Floats
    hook: Floats

    def __len__(self) -> int:
        return len(self.weight)

    def part(self, rows: slice | Ints) -> Rows:
        """Some of the rows."""
        return Rows(
            self.weight[rows], self.shift[rows], self.length[rows], self.stiffness[rows], self.hook[rows]
        )


@dataclass(frozen=True, slots=True)
class Solved:
    """What the kernel found for every row; positions are of the reference points, from the datum.

    Attributes:
        tension: (N, ne) N.
        position: (N, nb, 3) m.
        rotation: (N, nb, 3, 3).
        force: (N,) largest net force on a body (N); ``moment`` (N,) likewise (N m).
        compliance: (N, 3) tilt of the body watched about x and y under a moment about the same axis, and the mean of
            the two about the other axis (rad/(N m)); of use where the status is stable, if a body was watched.
        pivot: (N,) smallest pivot of the stiffness, in units of the stiffness of a coordinate by itself.
        status: (N,) as numbered in :mod:`plumbhook.statics.kernel.newton`.
        iterations: (N,) Newton steps.
    """

    tension: Floats
    position: Floats
    rotation: Floats
    force: Floats
    moment: Floats
    compliance: Floats
    pivot: Floats
    status: Ints
    iterations: Ints

    def part(self, count: int, *, keep: bool = True) -> Solved:
        """The first rows, in memory of their own if they are to be kept."""
        parts = (getattr(self, own.name)[:count] for own in fields(self))
        return Solved(*(part.copy() if keep else part for part in parts))


@dataclass(slots=True)
class Problem:
    """A rig graph without problems, ready for the kernel.

    Attributes:
        graph: the rig.
        prepared: its arrays, finder of neutral motions and drawn posture, if they are known.
        arrays: the rig as arrays; ``neutral`` the finder of its neutral motions; ``drawn`` its drawn posture.
        end_a, end_b: (ne,) body, or number of bodies plus hook, at either end of every element. The level of a support
            counts as a hook of its own, after all others.
        lever_a, lever_b: (ne, 3) the ends in body axes from the reference point, zero for a hook.
        law: (ne,) law of every element.
    """

    graph: RigGraph
    prepared: InitVar[tuple[RigArrays, NeutralFinder, State] | None] = None
    arrays: RigArrays = field(init=False)
    neutral: NeutralFinder = field(init=False)
    drawn: State = field(init=False)
    end_a: Ints = field(init=False)
    end_b: Ints = field(init=False)
    lever_a: Floats = field(init=False)
    lever_b: Floats = field(init=False)
    law: Ints = field(init=False)

    def __post_init__(self, prepared: tuple[RigArrays, NeutralFinder, State] | None) -> None:
        if prepared is None:
            arrays = assemble(self.graph)
            prepared = (
                arrays,
                NeutralFinder(arrays),
                state_of(arrays, [body.start for body in self.graph.bodies]),
            )
        self.arrays, self.neutral, self.drawn = prepared
        arrays = self.arrays
        self.end_a, self.end_b, self.law = _ends_and_laws(arrays.structure)
        lever, n_el = arrays.lever_m * arrays.structure.on_body, len(self.law)
        self.lever_a, self.lever_b = lever[:n_el], lever[n_el:]

    @property
    def nominal(self) -> Rows:
        """The rig itself as the only row."""
        arrays = self.arrays
        places = arrays.values[arrays.structure.values.places].reshape(-1, 3)
        hook = places[: len(arrays.structure.hooks)] - arrays.datum_m
        if arrays.structure.has_supports:
            hook = np.concatenate([hook, arrays.lever_j_m[arrays.is_support]])
        return Rows(
            weight=arrays.weight_N[None],
            shift=np.zeros((1, arrays.n_bodies, 3)),
            length=arrays.length_m[None],
            stiffness=arrays.stiffness_N_m[None],
            hook=hook[None],
        )

    @property
    def n_hooks(self) -> int:
        """Number of hooks, levels of supports counted."""
        return len(self.arrays.structure.hooks) + int(self.arrays.is_support.sum())

    def modes(self, carrying: Bools) -> Modes:
        """Neutral motions of the rig as drawn while just the elements marked carry."""
        turns, _ = self.neutral.motions(carrying)
        tables = self.neutral.tables(carrying)
        end, spinning, members, hooks = _whole_numbers(
            tables.kinds, tuple([self._hooks_of(turn) for turn in turns]), self.arrays.n_bodies
        )
        return Modes(
            end=end, spins=spinning, members=members, lever_m=tables.lever_m, axis=tables.axis, hooks=hooks
        )

    def _hooks_of(self, turn: Turn) -> tuple[int, ...]:
        """Hooks in use on the vertical that a motion turns about; none if that goes through a body."""
        if turn.body < self.arrays.n_bodies:
            return ()
        used = _used_hooks(self.arrays.structure)
        if len(used) == 1:
            return used
        place = self.nominal.hook[0]
        near = _ON_AXIS * max(self.arrays.size_m, 1.0)
        return tuple(number for number in used if np.abs(place[number, :2] - turn.lever_m[:2]).max() <= near)

    def modes_on(self, modes: Modes, rows: Rows) -> Floats:
        """(N, nm) 1 where a motion is neutral in a sample, 0 where its axis has been left."""
        on = np.ones((len(rows), len(modes.end)))
        if len(self.arrays.structure.hooks) == 1 and not rows.shift.any():
            return on
        near = _ON_AXIS * max(self.arrays.size_m, 1.0)
        for number, hooks in enumerate(modes.hooks):
            if len(hooks) > 1:
                place = rows.hook[:, hooks, :2]
                apart = np.abs(place - place[:, :1]).max(axis=(1, 2))
                on[:, number] = apart <= near
            body = int(modes.end[number])
            if modes.spins[number] and self.arrays.has_mass[body]:
                shift, axis = rows.shift[:, body], modes.axis[number]
                if shift.any():
                    off = shift - (shift @ axis)[:, None] * axis
                    on[:, number] = np.abs(off).max(axis=1) <= near
        return on


@lru_cache(maxsize=_REMEMBERED)
def _ends_and_laws(structure: Structure) -> tuple[Ints, Ints, Ints]:
    """Ends of all elements as the kernel numbers them, and their laws."""
    bodies = structure.n_bodies
    law = np.select([structure.is_sling, structure.is_pin, structure.is_support], [SLING, PIN, SUPPORT], LINK)
    end_b = np.where(structure.body_j < bodies, structure.body_j, bodies + structure.place_j)
    levels = bodies + len(structure.hooks) + np.arange(int(structure.is_support.sum()))
    end_b[structure.is_support] = levels
    return (
        _closed(np.where(structure.body_i < bodies, structure.body_i, bodies + structure.place_i)),
        _closed(end_b),
        _closed(law.astype(np.int64)),
    )


@lru_cache(maxsize=_REMEMBERED)
def _used_hooks(structure: Structure) -> tuple[int, ...]:
    """Hooks that elements end at."""
    end_a, end_b, _ = _ends_and_laws(structure)
    levels = structure.n_bodies + len(structure.hooks)
    return tuple(
        sorted(
            {
                end - structure.n_bodies
                for end in (*end_a.tolist(), *end_b.tolist())
                if structure.n_bodies <= end < levels
            }
        )
    )


@lru_cache(maxsize=_REMEMBERED)
def _whole_numbers(
    kinds: Kinds, hooks: tuple[tuple[int, ...], ...], bodies: int
) -> tuple[Ints, Ints, Ints, tuple[tuple[int, ...], ...]]:
    """Ends, kinds, members and hooks of neutral motions (see :class:`Modes`)."""
    ends = [bodies + own[0] if own else body for (body, _), own in zip(kinds.turns, hooks, strict=True)]
    return (
        _closed(np.array([*ends, *kinds.spins], dtype=np.int64)),
        _closed(1 - kinds.is_turn[:, 0].astype(np.int64)),
        _closed(kinds.members[:, :, 0].astype(np.int64)),
        (*hooks, *(() for _ in kinds.spins)),
    )


def _closed(array: Ints) -> Ints:
    array.flags.writeable = False
    return array
