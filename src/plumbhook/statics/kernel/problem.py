"""A rig and its samples as the flat arrays that the kernel takes."""

from __future__ import annotations

import inspect
from dataclasses import dataclass, field, fields

import numpy as np

from plumbhook.model.rig_graph import HOOK, ElementType, RigGraph, split_reference
from plumbhook.statics._arrays import Bools, Floats, Ints, RigArrays, State, assemble, state_of
from plumbhook.statics._neutral import NeutralFinder, Spin, Turn
from plumbhook.statics.kernel.posture import LINK, PIN, SLING
from plumbhook.statics.kernel.rows import solve_rows

LAWS = {ElementType.SLING: SLING, ElementType.LINK: LINK, ElementType.PIN: PIN}
_ON_AXIS = 1e-9

INTEGERS = frozenset(
    {
        "end_a",
        "end_b",
        "law",
        "mode_end",
        "mode_spins",
        "mode_members",
        "out_status",
        "out_iterations",
        "phase",
        "iterations",
        "trials",
        "polished",
        "status",
        "need",
        "take",
    }
)
SCALARS = ("lanes", "n_rows", "n_bodies", "n_elements", "n_hooks", "n_modes", "limit_steps", "tolerance")
ARGUMENTS = tuple(inspect.signature(solve_rows).parameters)
ARRAYS = ARGUMENTS[len(SCALARS) :]


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
        pivot: (N,) smallest pivot of the stiffness, in units of the stiffness of a coordinate by itself.
        status: (N,) as numbered in :mod:`plumbhook.statics.kernel.newton`.
        iterations: (N,) Newton steps.
    """

    tension: Floats
    position: Floats
    rotation: Floats
    force: Floats
    moment: Floats
    pivot: Floats
    status: Ints
    iterations: Ints

    def part(self, count: int) -> Solved:
        """The first rows, in memory of their own."""
        return Solved(*(getattr(self, own.name)[:count].copy() for own in fields(self)))


@dataclass(slots=True)
class Problem:
    """A rig graph without problems, of slings, links and pins only, ready for the kernel."""

    graph: RigGraph
    arrays: RigArrays = field(init=False)
    neutral: NeutralFinder = field(init=False)
    drawn: State = field(init=False)
    end_a: Ints = field(init=False)
    end_b: Ints = field(init=False)
    lever_a: Floats = field(init=False)
    lever_b: Floats = field(init=False)
    law: Ints = field(init=False)

    def __post_init__(self) -> None:
        graph = self.graph
        self.arrays = assemble(graph)
        self.neutral = NeutralFinder(self.arrays)
        self.drawn = state_of(self.arrays, [body.start for body in graph.bodies])
        hooks = {hook.name: number for number, hook in enumerate(graph.hooks_m)}
        bodies = len(graph.bodies)

        def ends(refs: list[str], body: Ints, lever: Floats) -> tuple[Ints, Floats]:
            owners = [split_reference(ref) for ref in refs]
            numbers = [
                bodies + hooks[point] if owner == HOOK else int(own)
                for (owner, point), own in zip(owners, body, strict=True)
            ]
            return np.array(numbers), np.where((body < bodies)[:, None], lever, 0.0)

        arrays = self.arrays
        self.end_a, self.lever_a = ends([e.from_ref for e in graph.elements], arrays.body_i, arrays.lever_i_m)
        self.end_b, self.lever_b = ends([e.to_ref for e in graph.elements], arrays.body_j, arrays.lever_j_m)
        self.law = np.array([LAWS[element.type] for element in graph.elements])

    @property
    def nominal(self) -> Rows:
        """The rig itself as the only row."""
        arrays = self.arrays
        hook = np.array([hook.position_m for hook in self.graph.hooks_m]) - arrays.datum_m
        return Rows(
            weight=arrays.weight_N[None],
            shift=np.zeros((1, arrays.n_bodies, 3)),
            length=arrays.length_m[None],
            stiffness=arrays.stiffness_N_m[None],
            hook=hook[None],
        )

    def modes(self, carrying: Bools) -> Modes:
        """Neutral motions of the rig as drawn while just the elements marked carry."""
        turns, spins = self.neutral.motions(carrying)
        bodies = self.arrays.n_bodies
        members = np.zeros((len(turns) + len(spins), bodies), dtype=np.int64)
        for number, turn in enumerate(turns):
            members[number, list(turn.bodies)] = 1
        for number, spin in enumerate(spins, start=len(turns)):
            members[number, spin.body] = 1
        hooks = [self._hooks_of(turn) for turn in turns]
        ends = [bodies + own[0] if own else turn.body for turn, own in zip(turns, hooks, strict=True)]
        parts: list[Turn | Spin] = [*turns, *spins]
        return Modes(
            end=np.array([*ends, *(spin.body for spin in spins)], dtype=np.int64),
            spins=np.array([0] * len(turns) + [1] * len(spins), dtype=np.int64),
            members=members,
            lever_m=np.array([part.lever_m for part in parts]).reshape(-1, 3),
            axis=np.array([(0.0, 0.0, 1.0)] * len(turns) + [spin.axis for spin in spins]).reshape(-1, 3),
            hooks=(*hooks, *(() for _ in spins)),
        )

    def _hooks_of(self, turn: Turn) -> tuple[int, ...]:
        """Hooks in use on the vertical that a motion turns about; none if that goes through a body."""
        bodies = self.arrays.n_bodies
        if turn.body < bodies:
            return ()
        used = sorted({int(end) - bodies for end in (*self.end_a, *self.end_b) if end >= bodies})
        place = self.nominal.hook[0]
        near = _ON_AXIS * max(self.arrays.size_m, 1.0)
        return tuple(number for number in used if np.abs(place[number, :2] - turn.lever_m[:2]).max() <= near)

    def modes_on(self, modes: Modes, rows: Rows) -> Floats:
        """(N, nm) 1 where a motion is neutral in a sample, 0 where its axis has been left."""
        near = _ON_AXIS * max(self.arrays.size_m, 1.0)
        on = np.ones((len(rows), len(modes.end)))
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


def written_sizes(
    lanes: int, rows: int, n_bodies: int, n_elements: int, n_hooks: int, n_modes: int
) -> dict[str, int]:
    """Length of every array that the kernel writes: results by rows, and room for one block of lanes."""
    blocks = 18 * n_bodies * (n_bodies + 1)
    per_row = {"out_tension": n_elements, "out_position": 3 * n_bodies, "out_rotation": 9 * n_bodies}
    per_lane = {
        **dict.fromkeys(("weight",), n_bodies),
        **dict.fromkeys(("metric",), 2 * n_bodies),
        **dict.fromkeys(("shift", "position", "trial_position"), 3 * n_bodies),
        **dict.fromkeys(("gradient", "motion", "inverse", "found", "step"), 6 * n_bodies),
        **dict.fromkeys(("rotation", "trial_rotation"), 9 * n_bodies),
        **dict.fromkeys(("length", "stiffness", "tension", "across", "along"), n_elements),
        **dict.fromkeys(("arm_a", "arm_b", "span"), 3 * n_elements),
        **dict.fromkeys(("matrix", "work", "lower"), blocks),
        **dict.fromkeys(("place_a", "place_b"), 3),
        **dict.fromkeys(("held", "rest"), 6),
        "hook": 3 * n_hooks,
        "mode_on": n_modes,
    }
    written = ARRAYS[ARRAYS.index("out_tension") :]
    return {
        name: rows * per_row.get(name, 1) if name.startswith("out_") else lanes * per_lane.get(name, 1)
        for name in written
    }
