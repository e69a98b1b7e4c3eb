"""Everything that can be read off a posture, put into the words of the rig graph."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from plumbhook.model.rig_graph import Pose, RigGraph, Vector
from plumbhook.statics._arrays import Bools, Floats, RigArrays, State, poses_of
from plumbhook.statics._energy import Lines
from plumbhook.statics._linear import LinearRest
from plumbhook.statics._neutral import Kinds, Loose, NeutralFinder
from plumbhook.statics._seen import Seen
from plumbhook.statics._stability import Verdict, negligible_N
from plumbhook.statics._structure import Structure
from plumbhook.statics.proof import Proof, ProofTable, prove
from plumbhook.statics.result import AssembledPosture, Equilibrium, EquilibriumStatus

_WORDS = 128


@dataclass(frozen=True, slots=True)
class Ending:
    """What is said of a posture: name of the rig, status and sentence, Newton steps, and the drawn posture."""

    name: str
    status: EquilibriumStatus
    message: str
    iterations: int
    posture: AssembledPosture


@dataclass(frozen=True, slots=True)
class Readings:
    """Poses and forces of a posture by name, and their proof.

    Attributes:
        poses: by body.
        tensions_N: by line, link and pin; ``pushes_N`` by support; ``pin_forces_N`` by pin.
        forces_N: (ne, 3) of every element on the body at its first end.
        proof: the independent sums of forces and moments of just these numbers.
    """

    poses: dict[str, Pose]
    tensions_N: dict[str, float]
    pushes_N: dict[str, float]
    pin_forces_N: dict[str, Vector]
    forces_N: Floats
    proof: Proof


def read(graph: RigGraph, arrays: RigArrays, state: State, seen: Seen, table: ProofTable) -> Readings:
    """Poses and forces of a posture, and the proof of them."""
    structure = arrays.structure
    tension = seen.now.tension.tolist()
    poses = dict(zip(structure.bodies, poses_of(arrays, state), strict=True))
    forces = seen.now.tension[:, None] * seen.unit
    tensions: dict[str, float]
    pushes: dict[str, float] = {}
    pins: dict[str, Vector] = {}
    if structure.has_unlike:
        tensions = {}
        kinds = zip(structure.elements, structure.is_support.tolist(), structure.is_pin.tolist(), strict=True)
        for number, (name, is_support, is_pin) in enumerate(kinds):
            (pushes if is_support else tensions)[name] = tension[number]
            if is_pin:
                pins[name] = _vector(forces[number].tolist())
    else:
        tensions = dict(zip(structure.elements, tension, strict=True))
    proof = prove(graph, poses, tensions, pins, pushes, table=table)
    return Readings(poses, tensions, pushes, pins, forces, proof)


def apart(arrays: RigArrays, now: Lines) -> tuple[Bools, dict[str, float], dict[str, float]]:
    """(ne,) what carries nothing; by sling by how much it hangs loose, and by support by how much it is clear (m)."""
    # A line that rounding alone keeps taut, or a support it keeps pressed, carries nothing either.
    gone = arrays.is_one_way & (now.tension <= negligible_N(arrays))
    slack: dict[str, float] = {}
    clear: dict[str, float] = {}
    for number in np.flatnonzero(gone).tolist() if gone.any() else ():
        out = clear if arrays.is_support[number] else slack
        out[arrays.structure.elements[number]] = max(0.0, float(-now.stretch[number]))
    return gone, slack, clear


def measure(
    arrays: RigArrays,
    neutral: NeutralFinder,
    state: State,
    seen: Seen,
    verdict: Verdict,
    readings: Readings,
    ending: Ending,
) -> Equilibrium:
    """Everything that can be read off a posture, with the verdict on it."""
    structure, proof, now = arrays.structure, readings.proof, seen.now
    gone, slack, clear = apart(arrays, now)
    carrying = (now.active > 0.0) & ~gone
    hook_forces = (structure.hook_signs @ readings.forces_N).tolist()
    tilt = [math.atan2(math.hypot(x, y), z) for x, y, z in state.rotation[:, :, 2].tolist()]
    angle = [math.atan2(math.hypot(x, y), abs(z)) for x, y, z in seen.unit.tolist()]
    angles = zip(structure.elements, angle, strict=True)
    return Equilibrium(
        name=ending.name,
        status=ending.status,
        message=ending.message,
        neutral_modes=verdict.neutral_modes,
        neutral_motions=(
            *_neutral_words(structure, neutral, carrying),
            *_linkage_words(structure, verdict),
        ),
        poses=readings.poses,
        tensions_N=readings.tensions_N,
        pin_forces_N=readings.pin_forces_N,
        support_forces_N=readings.pushes_N,
        slack_m=slack,
        clear_m=clear,
        attachment_heights_m=_heights(arrays, state, seen.lever_m),
        angle_from_vertical_rad={
            name: value for name, value in angles if not readings.pushes_N or name not in readings.pushes_N
        },
        tilt_rad=dict(zip(structure.bodies, tilt, strict=True)),
        hook_forces_N={
            name: _vector(force) for name, force in zip(structure.hooks, hook_forces, strict=True)
        },
        hook_load_N={
            name: math.hypot(*force) for name, force in zip(structure.hooks, hook_forces, strict=True)
        },
        residual_force_N=proof.force_N,
        residual_moment_Nm=proof.moment_Nm,
        iterations=ending.iterations,
        modes=verdict.modes,
        assembled_posture=ending.posture,
        proof=proof,
        linear=LinearRest(arrays, state, now, seen.unit, seen.lever_m, verdict.held, seen.inputs),
    )


def _heights(arrays: RigArrays, state: State, lever_m: Floats) -> dict[str, dict[str, float]]:
    """World height of every point of every body (m)."""
    structure = arrays.structure
    height = (state.position_m[structure.point_body, 2] + lever_m[:, 2] + arrays.datum_m[2]).tolist()
    out, first = {}, 0
    for name, points in zip(structure.bodies, structure.points, strict=True):
        out[name] = dict(zip(points, height[first : first + len(points)], strict=True))
        first += len(points)
    return out


def _neutral_words(structure: Structure, neutral: NeutralFinder, carrying: Bools) -> tuple[str, ...]:
    return _words(structure.bodies, neutral.tables(carrying).kinds, neutral.loose(carrying))


@lru_cache(maxsize=_WORDS)
def _words(names: tuple[str, ...], kinds: Kinds, loose: Loose) -> tuple[str, ...]:
    words = [_turn_words(names, *turn) for turn in kinds.turns]
    words += [f"'{names[body]}' may spin about the line through its points" for body in kinds.spins]
    words += [_slide_words([names[body] for body in group]) for group in loose.standing]
    words += [f"'{names[body]}' has no weight and hangs loose: it may be anywhere" for body in loose.idle]
    return tuple(dict.fromkeys(words))


def _turn_words(names: tuple[str, ...], body: int, bodies: tuple[int, ...]) -> str:
    subject = ", ".join(f"'{names[own]}'" for own in bodies)
    through = "the hook" if body == len(names) else f"a point of '{names[body]}'"
    return f"{subject} may turn about the vertical through {through}"


def _linkage_words(structure: Structure, verdict: Verdict) -> tuple[str, ...]:
    """What slides together although lines hold it, because the lines are plumb and turn with it."""
    if not verdict.sliding.shape[1]:
        return ()
    part = np.abs(verdict.sliding.reshape(structure.n_bodies, 6, -1)).max(axis=(1, 2))
    names = [f"'{name}'" for name, it in zip(structure.bodies, part, strict=True) if it > 0.1 * part.max()]
    return (
        f"{', '.join(names)} may swing together in plan while the load slides on its supports, which do not rub",
    )


def _slide_words(group: list[str]) -> str:
    subject = ", ".join(f"'{name}'" for name in group)
    return f"{subject} may slide on the supports and turn about a vertical: no hook holds it and supports do not rub"


def _vector(values: list[float]) -> Vector:
    x, y, z = values
    return (x, y, z)
