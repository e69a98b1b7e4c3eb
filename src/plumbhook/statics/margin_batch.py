"""Effective restoring height of many samples of one rig at once; the single one is in :mod:`plumbhook.statics.margin`.

The stiffness of every sample is formed from its rest as the batch solver left it. Motions that cost no energy are held
by a stiffness of their own: a moment about a horizontal axis does no work on them, so the answer is the same.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from plumbhook.model.rig_graph import RigGraph
from plumbhook.statics._arrays import Bools, Floats, State
from plumbhook.statics.kernel.batch import BatchResult, BatchSamples
from plumbhook.statics.kernel.drive import all_modes
from plumbhook.statics.kernel.problem import Modes, Problem

_SAME_MOTION = 1e-4
# Keeps a matrix solvable whose neutral motion is held by rounding alone; far below what any answer shows.
_TINY = 1e-16
# So many matrices fit into the processor's cache.
_AT_ONCE = 512


@dataclass(frozen=True, slots=True)
class _Posture:
    """Posture of every sample.

    Attributes:
        shift: (N, nb, 3) how far centres of gravity are from those of the graph, in body axes; ``position`` where they
            are, from the datum.
        rotation: (N, nb, 3, 3).
        arm_i: (N, ne, 3) from the centre of gravity to the first end of each element; ``arm_j``.
        span: (N, ne, 3) from first end to second.
        hook: (N, nh, 3).
    """

    shift: Floats
    position: Floats
    rotation: Floats
    arm_i: Floats
    arm_j: Floats
    span: Floats
    hook: Floats


def restoring_heights_m(
    graph: RigGraph, samples: BatchSamples, result: BatchResult, load: str, *, problem: Problem | None = None
) -> Floats:
    """Effective restoring height GM of the load in its weaker vertical plane, for every sample.

    Args:
        graph: the rig.
        samples: what varied.
        result: their rests, solved with poses; heights it holds already are those of the kernel's own stiffness.
        load: name of the body that is the load.
        problem: the graph prepared, where it is at hand already.

    Returns:
        (N,) m; not positive where the load turns over, NaN where a sample found no rest, where the load has no
        weight, where the rig has supports, or where a loose line leaves motions free that are held while all lines
        carry.

    Raises:
        KeyError: no body has that name.
        ValueError: the result has no poses.
    """
    if result.origin_m is None or result.rotation is None:
        raise ValueError("the restoring height needs the poses of the samples")
    names = [body.name for body in graph.bodies]
    if load not in names:
        raise KeyError(load)
    number = names.index(load)
    problem = problem or Problem(graph)
    if problem.arrays.structure.has_supports:
        return np.full(len(samples), math.nan)
    modes = all_modes(problem)
    weight = np.full(len(samples), problem.arrays.weight_N[number])
    if samples.mass_kg is not None:
        weight = samples.mass_kg[:, number] * graph.gravity_m_s2
    known: Bools = result.converged & _as_neutral_as_taut(problem, result)
    if bool((modes.spins * modes.members[:, number]).any()):
        known = np.zeros_like(known)  # a load that spins about an axis of its own is not held at all
    found = np.full(len(samples), math.nan)
    if result.restoring_height_m is not None:
        found[known] = result.restoring_height_m[known]
    every = np.flatnonzero(known & (weight > 0.0) & np.isnan(found))
    for first in range(0, len(every), _AT_ONCE):
        rows = every[first : first + _AT_ONCE]
        posture = _posture(problem, samples, result, rows)
        matrix = _stiffness(problem, samples, result, posture, rows)
        _hold(problem, modes, posture, matrix)
        found[rows] = _weaker(matrix, number) / weight[rows]
    return found


def _as_neutral_as_taut(problem: Problem, result: BatchResult) -> Bools:
    """(N,) True where the motions that cost no energy are those of the rig with every line carrying."""
    fine = np.ones(len(result.slack), dtype=np.bool_)
    loose = result.slack.any(axis=1)
    if not loose.any() or result.rotation is None or result.origin_m is None:
        return fine
    patterns, which = np.unique(result.slack[loose], axis=0, return_inverse=True)
    rows = np.flatnonzero(loose)
    for index, pattern in enumerate(patterns):
        own = rows[which.reshape(-1) == index]
        one = int(own[0])
        rotation = result.rotation[one]
        reference = np.einsum("bij,bj->bi", rotation, problem.arrays.reference_m)
        state = State(result.origin_m[one] + reference - problem.arrays.datum_m, rotation)
        taut = problem.neutral.basis(np.ones_like(pattern), state, problem.arrays.scale, _SAME_MOTION)
        now = problem.neutral.basis(~pattern, state, problem.arrays.scale, _SAME_MOTION)
        fine[own] = taut.shape[1] == now.shape[1]
    return fine


def _posture(problem: Problem, samples: BatchSamples, result: BatchResult, rows: np.ndarray) -> _Posture:
    arrays, graph = problem.arrays, problem.graph
    assert result.origin_m is not None
    assert result.rotation is not None
    rotation = result.rotation[rows]
    shift = np.zeros((len(rows), arrays.n_bodies, 3))
    if samples.cog_shift_m is not None:
        shift = samples.cog_shift_m[rows]
    hook = np.repeat(problem.nominal.hook, len(rows), axis=0)
    if samples.hook_position_m is not None:
        hook = samples.hook_position_m[rows] - arrays.datum_m
    reference = arrays.reference_m + shift
    position = result.origin_m[rows] + np.einsum("nbij,nbj->nbi", rotation, reference) - arrays.datum_m

    def arms(ends: np.ndarray, levers: Floats) -> tuple[Floats, Floats]:
        arm = np.zeros((len(rows), len(graph.elements), 3))
        place = np.zeros_like(arm)
        for element, (end, lever) in enumerate(zip(ends.tolist(), levers, strict=True)):
            if end >= arrays.n_bodies:
                place[:, element] = hook[:, end - arrays.n_bodies]
                continue
            arm[:, element] = np.einsum("nij,nj->ni", rotation[:, end], lever - shift[:, end])
            place[:, element] = position[:, end] + arm[:, element]
        return arm, place

    arm_i, place_i = arms(problem.end_a, problem.lever_a)
    arm_j, place_j = arms(problem.end_b, problem.lever_b)
    return _Posture(shift, position, rotation, arm_i, arm_j, place_j - place_i, hook)


def _stiffness(
    problem: Problem, samples: BatchSamples, result: BatchResult, posture: _Posture, rows: np.ndarray
) -> Floats:
    """(N, 6 nb, 6 nb) second derivative of the energy of every sample, about its own centres of gravity."""
    arrays = problem.arrays
    count, elements = len(rows), len(problem.law)
    length = np.broadcast_to(arrays.length_m, (count, elements))
    if samples.unstretched_length_m is not None:
        length = np.where(arrays.is_pin, 0.0, samples.unstretched_length_m[rows])
    rigidity = np.where(arrays.is_pin, arrays.stiffness_N_m, arrays.stiffness_N_m * arrays.length_m)
    stiffness = rigidity / np.where(arrays.is_pin, 1.0, length)
    if samples.stiffness_factor is not None:
        stiffness = stiffness * samples.stiffness_factor[rows]
    distance = np.linalg.norm(posture.span, axis=2)
    safe = np.where(distance > 0.0, distance, 1.0)
    unit = posture.span / safe[:, :, None]
    active = ~(result.slack[rows] & arrays.is_sling)
    across = np.where(arrays.is_pin, stiffness, active * stiffness * (distance - length) / safe)
    along = stiffness * active - across
    motion = _motion(problem, posture)
    stretch = np.einsum("neiq,nei->neq", motion, unit)
    flat = motion.reshape(count, 3 * elements, arrays.n_dof)
    total: Floats = flat.transpose(0, 2, 1) @ (np.repeat(across, 3, axis=1)[:, :, None] * flat)
    total += stretch.transpose(0, 2, 1) @ (along[:, :, None] * stretch)
    force = across[:, :, None] * posture.span
    for ends, arm, sign in ((arrays.body_i, posture.arm_i, -1.0), (arrays.body_j, posture.arm_j, 1.0)):
        work = _turning(sign * force, arm)
        for element, end in enumerate(ends.tolist()):
            if end < arrays.n_bodies:
                turn = slice(6 * end + 3, 6 * end + 6)
                total[:, turn, turn] += work[:, element]
    return total


def _motion(problem: Problem, posture: _Posture) -> Floats:
    """(N, ne, 3, 6 nb) how the second end of each element moves from the first with the motions of the bodies."""
    arrays = problem.arrays
    count, elements, _ = posture.span.shape
    out = np.zeros((count, elements, 3, arrays.n_dof))
    for element in range(elements):
        for end, arms, sign in (
            (int(arrays.body_i[element]), posture.arm_i, -1.0),
            (int(arrays.body_j[element]), posture.arm_j, 1.0),
        ):
            if end == arrays.n_bodies:
                continue
            arm, own = sign * arms[:, element], out[:, element]
            for axis in range(3):
                own[:, axis, 6 * end + axis] += sign
            # A turn moves the end of its arm by turn x arm.
            for axis, turn, factor in (
                (0, 1, arm[:, 2]),
                (0, 2, -arm[:, 1]),
                (1, 0, -arm[:, 2]),
                (1, 2, arm[:, 0]),
                (2, 0, arm[:, 1]),
                (2, 1, -arm[:, 0]),
            ):
                own[:, axis, 6 * end + 3 + turn] += factor
    return out


def _turning(force: Floats, arm: Floats) -> Floats:
    """(N, ne, 3, 3) second-order work of forces on arms that turn: ``(f a^T + a f^T)/2 - (f.a) I``."""
    outer = force[:, :, :, None] * arm[:, :, None, :]
    work = (force * arm).sum(axis=2)
    out: Floats = 0.5 * (outer + outer.transpose(0, 1, 3, 2)) - work[:, :, None, None] * np.eye(3)
    return out


def _hold(problem: Problem, modes: Modes, posture: _Posture, matrix: Floats) -> None:
    """Add a stiffness along every motion that costs no energy, in proportion to that of each coordinate by itself."""
    arrays = problem.arrays
    bodies = arrays.n_bodies
    own = np.abs(np.einsum("nii->ni", matrix)) + 1e-300
    size = own.max(axis=1, keepdims=True)
    motion = np.zeros((len(matrix), len(modes.end), arrays.n_dof))
    for number in range(len(modes.end)):
        end = int(modes.end[number])
        axis = np.broadcast_to([0.0, 0.0, 1.0], (len(matrix), 3))
        if modes.spins[number]:
            axis = posture.rotation[:, end] @ modes.axis[number]
        if end >= bodies:
            centre = posture.hook[:, end - bodies]
        else:
            lever = modes.lever_m[number] - posture.shift[:, end]
            centre = posture.position[:, end] + np.einsum("nij,nj->ni", posture.rotation[:, end], lever)
        for body in np.flatnonzero(modes.members[number]).tolist():
            motion[:, number, 6 * body : 6 * body + 3] = np.cross(axis, posture.position[:, body] - centre)
            motion[:, number, 6 * body + 3 : 6 * body + 6] = axis
    matrix += motion.transpose(0, 2, 1) @ (size[:, :, None] * motion)
    index = np.arange(arrays.n_dof)
    matrix[:, index, index] += _TINY * size


def _weaker(matrix: Floats, load: int) -> Floats:
    """(N,) smaller of the two stiffnesses against tilting of the load, N m per rad."""
    turns = [6 * load + 3, 6 * load + 4]
    moments = np.zeros((matrix.shape[1], 2))
    moments[turns[0], 0] = moments[turns[1], 1] = 1.0
    compliance = np.linalg.solve(matrix, np.broadcast_to(moments, (len(matrix), *moments.shape)))[:, turns]
    first, second = compliance[:, 0, 0], compliance[:, 1, 1]
    mixed = 0.5 * (compliance[:, 0, 1] + compliance[:, 1, 0])
    middle, apart = 0.5 * (first + second), np.hypot(0.5 * (first - second), mixed)
    with np.errstate(divide="ignore"):
        weaker: Floats = np.minimum(1.0 / (middle + apart), 1.0 / (middle - apart))
    return weaker
