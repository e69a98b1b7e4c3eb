"""What a rig needs before it can be solved, made once for equal rigs."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plumbhook.model.rig_graph import Figures, Pose, RigGraph, orthonormal, problems_of
from plumbhook.statics._arrays import Floats, RigArrays, State, assemble, known_figures
from plumbhook.statics._neutral import NeutralFinder
from plumbhook.statics._newton import rounding_floor_N
from plumbhook.statics._postures import lowered
from plumbhook.statics.kernel.problem import Problem
from plumbhook.statics.kernel.single import Single
from plumbhook.statics.proof import ProofTable, proof_table

_LARGEST_FLOOR = 1e-4
_ROUNDED = 4e-16
_UNIT = np.eye(3)


@dataclass(frozen=True, slots=True)
class Ready:
    """A rig without problems.

    Nothing here changes when the rig is solved; the finder of neutral motions only remembers what it has found, so
    that several threads may use it.

    Attributes:
        arrays: the rig as arrays.
        neutral: finder of its neutral motions.
        drawn: the posture as drawn; ``let_down`` the same, lowered until its lines are taut.
        table: what the independent proof needs to know of the names.
        single: the rig for the compiled kernel; None where that is not to be used or knows not all of its elements.
    """

    arrays: RigArrays
    neutral: NeutralFinder
    drawn: State
    let_down: State
    single: Single | None
    table: ProofTable


def make_ready(graph: RigGraph, figures: Figures | None, *, compiled: bool) -> Ready | str:
    """Check a rig and lay out its arrays; the reason in words where it is invalid.

    Args:
        graph: the rig.
        figures: ``figures_of(graph)``.
        compiled: whether the kernel is there to be used.
    """
    problems = problems_of(graph, figures=figures)
    if problems:
        return " ".join(str(problem) for problem in problems)
    figures = figures or known_figures(graph)
    arrays = assemble(graph, figures)
    reason = _too_stiff(arrays)
    if reason:
        return reason
    neutral, drawn = NeutralFinder(arrays), drawn_state(arrays)
    let_down = lowered(arrays, drawn)
    single = None
    if compiled and not arrays.structure.has_supports:
        single = Single.of(Problem(graph, (arrays, neutral, drawn)))
    for shared in (
        drawn.position_m,
        drawn.rotation,
        let_down.position_m,
        let_down.rotation,
        *_numbers(arrays),
    ):
        shared.setflags(write=False)
    return Ready(arrays, neutral, drawn, let_down, single, proof_table(figures.pattern))


def drawn_state(arrays: RigArrays) -> State:
    """State of the start poses; their rotations may be off by rounding."""
    at, bodies = arrays.structure.values, arrays.n_bodies
    origins = arrays.values[at.origins].reshape(bodies, 3)
    return _upright(arrays, origins, arrays.values[at.rows].reshape(bodies, 3, 3).copy())


def started_state(arrays: RigArrays, poses: list[Pose]) -> State:
    """State of poses whose rotations may be off by rounding."""
    origins = np.array([pose.origin_m for pose in poses], dtype=np.float64)
    return _upright(arrays, origins, np.array([pose.rotation_rows for pose in poses], dtype=np.float64))


def _upright(arrays: RigArrays, origins: Floats, rotation: Floats) -> State:
    """State of body origins (nb, 3) in world axes and rotations (nb, 3, 3) that are made exactly orthonormal."""
    off = np.abs(rotation.transpose(0, 2, 1) @ rotation - _UNIT)
    if not off.max() <= _ROUNDED:
        for number in np.flatnonzero(off.max(axis=(1, 2)) > _ROUNDED).tolist():
            a, b, c = ((x, y, z) for x, y, z in rotation[number].tolist())
            rotation[number] = orthonormal((a, b, c))
    place = origins - arrays.datum_m + (rotation @ arrays.reference_m[:, :, None])[:, :, 0]
    return State(place, rotation)


def _too_stiff(arrays: RigArrays) -> str:
    floor = rounding_floor_N(arrays, arrays.stiffness_N_m) / arrays.total_weight_N
    if floor <= _LARGEST_FLOOR:
        return ""
    return (
        "The stiffest line is so stiff for this weight that rounding would hide the forces; "
        f"lower EA_N or stiffness_N_per_m by a factor of at least {floor / _LARGEST_FLOOR:.2g}."
    )


def _numbers(arrays: RigArrays) -> tuple[Floats, ...]:
    return (
        arrays.weight_N,
        arrays.lever_m,
        arrays.length_m,
        arrays.stiffness_N_m,
        arrays.reference_m,
        arrays.datum_m,
        arrays.scale,
        arrays.values,
    )
