"""What a rig needs before it can be solved, made once for equal rigs."""

from __future__ import annotations

from dataclasses import dataclass

from plumbhook.model.rig_graph import IDENTITY, ElementType, Pose, RigGraph, orthonormal, problems_of
from plumbhook.statics._arrays import Floats, RigArrays, State, assemble, state_of
from plumbhook.statics._neutral import NeutralFinder
from plumbhook.statics._newton import rounding_floor_N
from plumbhook.statics._postures import lowered
from plumbhook.statics.kernel.problem import Problem
from plumbhook.statics.kernel.single import Single

_LARGEST_FLOOR = 1e-4


@dataclass(frozen=True, slots=True)
class Ready:
    """A rig without problems.

    Nothing here changes when the rig is solved; the finder of neutral motions only remembers what it has found, so
    that several threads may use it.

    Attributes:
        arrays: the rig as arrays.
        neutral: finder of its neutral motions.
        drawn: the posture as drawn; ``let_down`` the same, lowered until its lines are taut.
        single: the rig for the compiled kernel; None where that is not to be used or knows not all of its elements.
    """

    arrays: RigArrays
    neutral: NeutralFinder
    drawn: State
    let_down: State
    single: Single | None


def make_ready(graph: RigGraph, *, compiled: bool) -> Ready | str:
    """Check a rig and lay out its arrays; the reason in words where it is invalid."""
    problems = problems_of(graph)
    if problems:
        return " ".join(str(problem) for problem in problems)
    if compiled and all(element.type is not ElementType.SUPPORT for element in graph.elements):
        problem = Problem(graph)
        arrays, neutral = problem.arrays, problem.neutral
        reason = _too_stiff(arrays)
        single = None if reason else Single.of(problem)
    else:
        arrays, single = assemble(graph), None
        neutral, reason = NeutralFinder(arrays), _too_stiff(arrays)
    if reason:
        return reason
    drawn = drawn_state(arrays, [body.start for body in graph.bodies])
    let_down = lowered(arrays, drawn)
    for shared in (
        drawn.position_m,
        drawn.rotation,
        let_down.position_m,
        let_down.rotation,
        *_numbers(arrays),
    ):
        shared.flags.writeable = False
    return Ready(arrays, neutral, drawn, let_down, single)


def drawn_state(arrays: RigArrays, poses: list[Pose]) -> State:
    """State of poses whose rotations may be off by rounding."""
    upright = [
        pose if pose.rotation_rows == IDENTITY else Pose(pose.origin_m, orthonormal(pose.rotation_rows))
        for pose in poses
    ]
    return state_of(arrays, upright)


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
        arrays.lever_i_m,
        arrays.lever_j_m,
        arrays.length_m,
        arrays.stiffness_N_m,
        arrays.reference_m,
        arrays.datum_m,
    )
