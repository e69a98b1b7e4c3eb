"""Everything that can be read off a posture, put into the words of the rig graph."""

from __future__ import annotations

import math

import numpy as np

from plumbhook.model.rig_graph import HOOK, ElementType, Pose, RigGraph, Vector, split_reference
from plumbhook.statics._arrays import Bools, RigArrays, State, poses_of
from plumbhook.statics._energy import Lines
from plumbhook.statics._neutral import NeutralFinder, Turn
from plumbhook.statics._stability import Verdict, negligible_N
from plumbhook.statics.proof import prove
from plumbhook.statics.result import Equilibrium, EquilibriumStatus


def measure(
    graph: RigGraph,
    arrays: RigArrays,
    neutral: NeutralFinder,
    state: State,
    now: Lines,
    verdict: Verdict,
) -> Equilibrium:
    """Poses, forces, angles and proof of a posture; status and message are still to be set."""
    names = [element.name for element in graph.elements]
    tension = now.tension.tolist()
    between = np.flatnonzero(~arrays.is_support).tolist()
    poses = dict(zip([body.name for body in graph.bodies], poses_of(arrays, state), strict=True))
    tensions = {names[number]: tension[number] for number in between}
    pushes = {names[number]: tension[number] for number in np.flatnonzero(arrays.is_support).tolist()}
    unit = now.span / np.where(now.distance > 0.0, now.distance, 1.0)[:, None]
    forces = (now.tension[:, None] * unit).tolist()
    pin_forces = {
        element.name: _vector(force)
        for element, force in zip(graph.elements, forces, strict=True)
        if element.type is ElementType.PIN
    }
    proof = prove(graph, poses, tensions, pin_forces, pushes)
    hook_forces = _hook_forces(graph, forces)
    # A line that rounding alone keeps taut, or a support it keeps pressed, carries nothing either.
    gone = arrays.is_one_way & (now.tension <= negligible_N(arrays))
    apart = {names[number]: max(0.0, float(-now.stretch[number])) for number in np.flatnonzero(gone).tolist()}
    return Equilibrium(
        name=graph.name,
        status=EquilibriumStatus.NO_EQUILIBRIUM,
        message="",
        neutral_modes=verdict.neutral_modes,
        neutral_motions=(
            *_neutral_words(graph, neutral, (now.active > 0.0) & ~gone),
            *_linkage_words(graph, verdict),
        ),
        poses=poses,
        tensions_N=tensions,
        pin_forces_N=pin_forces,
        support_forces_N=pushes,
        slack_m={name: by for name, by in apart.items() if name not in pushes},
        clear_m={name: by for name, by in apart.items() if name in pushes},
        attachment_heights_m={
            body.name: {point.name: poses[body.name].world(point.position_m)[2] for point in body.points_m}
            for body in graph.bodies
        },
        angle_from_vertical_rad={
            name: math.atan2(math.hypot(x, y), abs(z))
            for name, (x, y, z), support in zip(names, unit.tolist(), arrays.is_support.tolist(), strict=True)
            if not support
        },
        tilt_rad={name: _tilt(pose) for name, pose in poses.items()},
        hook_forces_N=hook_forces,
        hook_load_N={name: math.hypot(*force) for name, force in hook_forces.items()},
        residual_force_N=proof.force_N,
        residual_moment_Nm=proof.moment_Nm,
        modes=verdict.modes,
        proof=proof,
    )


def _hook_forces(graph: RigGraph, forces: list[list[float]]) -> dict[str, Vector]:
    totals = {hook.name: [0.0, 0.0, 0.0] for hook in graph.hooks_m}
    for element, force in zip(graph.elements, forces, strict=True):
        for ref, sign in zip(element.end_refs, (1.0, -1.0), strict=False):
            owner, point = split_reference(ref)
            if owner == HOOK:
                total = totals[point]
                for axis in range(3):
                    total[axis] += sign * force[axis]
    return {name: _vector(total) for name, total in totals.items()}


def _neutral_words(graph: RigGraph, neutral: NeutralFinder, carrying: Bools) -> tuple[str, ...]:
    turns, spins = neutral.motions(carrying)
    names = [body.name for body in graph.bodies]
    words = [_turn_words(names, turn) for turn in turns]
    words += [f"'{names[spin.body]}' may spin about the line through its points" for spin in spins]
    loose = neutral.loose(carrying)
    words += [_slide_words([names[body] for body in group]) for group in loose.standing]
    words += [f"'{names[body]}' has no weight and hangs loose: it may be anywhere" for body in loose.idle]
    return tuple(dict.fromkeys(words))


def _turn_words(names: list[str], turn: Turn) -> str:
    subject = ", ".join(f"'{names[body]}'" for body in turn.bodies)
    through = "the hook" if turn.body == len(names) else f"a point of '{names[turn.body]}'"
    return f"{subject} may turn about the vertical through {through}"


def _linkage_words(graph: RigGraph, verdict: Verdict) -> tuple[str, ...]:
    """What slides together although lines hold it, because the lines are plumb and turn with it."""
    if not verdict.sliding.shape[1]:
        return ()
    part = np.abs(verdict.sliding.reshape(len(graph.bodies), 6, -1)).max(axis=(1, 2))
    names = [f"'{body.name}'" for body, it in zip(graph.bodies, part, strict=True) if it > 0.1 * part.max()]
    return (
        f"{', '.join(names)} may swing together in plan while the load slides on its supports, which do not rub",
    )


def _slide_words(group: list[str]) -> str:
    subject = ", ".join(f"'{name}'" for name in group)
    return f"{subject} may slide on the supports and turn about a vertical: no hook holds it and supports do not rub"


def _tilt(pose: Pose) -> float:
    x, y, z = (row[2] for row in pose.rotation_rows)
    return math.atan2(math.hypot(x, y), z)


def _vector(values: list[float]) -> Vector:
    x, y, z = values
    return (x, y, z)
