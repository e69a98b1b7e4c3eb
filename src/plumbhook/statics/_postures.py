"""Postures: lowered before a start, and compared with where the rig was drawn."""

from __future__ import annotations

import math

import numpy as np

from plumbhook.statics._arrays import Bools, Floats, RigArrays, State
from plumbhook.statics._energy import lines
from plumbhook.statics._neutral import NeutralFinder

_LOWERING = 0.02


def lowered(arrays: RigArrays, state: State) -> State:
    """Every body moved down, the lower in the chain the more, so that all lines and supports start to carry."""
    joining = ~arrays.is_support
    depth = np.full(arrays.n_bodies + 1, -1)
    depth[arrays.n_bodies] = 0
    pairs = list(zip(arrays.body_i[joining].tolist(), arrays.body_j[joining].tolist(), strict=True))
    for level in range(arrays.n_bodies):
        for a, b in pairs:
            for near, far in ((a, b), (b, a)):
                if depth[near] == level and depth[far] < 0:
                    depth[far] = level + 1
    depth[depth < 0] = 1  # stands apart from every hook
    position = state.position_m.copy()
    position[:, 2] -= _LOWERING * arrays.size_m * depth[: arrays.n_bodies]
    return State(position, state.rotation.copy())


def carrying(arrays: RigArrays, state: State) -> Bools:
    """(ne,) True for the elements that are not loose."""
    return np.asarray(lines(arrays, arrays.stiffness_N_m, state).active > 0.0)


def slid_to(arrays: RigArrays, state: State, drawn: State, group: tuple[int, ...]) -> State:
    """Bodies slid and turned about a vertical together, until the heaviest is where it was drawn in plan."""
    bodies = list(group)
    lead = max(bodies, key=lambda body: float(arrays.weight_N[body]))
    angle = float(_rotation_vector(drawn.rotation[lead] @ state.rotation[lead].T)[2])
    c, s = math.cos(angle), math.sin(angle)
    turn = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
    position, rotation = state.position_m.copy(), state.rotation.copy()
    to = np.array([*drawn.position_m[lead, :2], position[lead, 2]])
    position[bodies] = (position[bodies] - position[lead]) @ turn.T + to
    rotation[bodies] = turn @ rotation[bodies]
    return State(position, rotation)


def turn_of_gravity_rad(arrays: RigArrays, neutral: NeutralFinder, before: State, after: State) -> float:
    """Largest angle between the directions of gravity that a body sees before and after.

    Turning about the vertical does not count, nor do bodies that may spin: their own axes mean nothing.
    """
    now = carrying(arrays, after)
    free = {spin.body for spin in neutral.motions(now)[1]} | set(neutral.loose(now).idle)
    held = [body for body in range(arrays.n_bodies) if body not in free]
    if not held:
        return 0.0
    was, became = before.rotation[held, 2, :], after.rotation[held, 2, :]
    cross = np.cross(was, became)
    return float(np.arctan2(np.sqrt((cross * cross).sum(axis=1)), (was * became).sum(axis=1)).max())


def moved_from(arrays: RigArrays, neutral: NeutralFinder, before: State, after: State) -> tuple[float, float]:
    """Largest turn (rad) and sideways shift (m) of a body between two postures, neutral motions left out."""
    motion = np.zeros((arrays.n_bodies, 6))
    motion[:, :3] = after.position_m - before.position_m
    change = after.rotation @ before.rotation.transpose(0, 2, 1)
    motion[:, 3:] = [_rotation_vector(matrix) for matrix in change]
    scale = np.tile([1.0, 1.0, 1.0, *(3 * [arrays.size_m])], arrays.n_bodies)
    basis = neutral.basis(carrying(arrays, after), after, scale)
    scaled = motion.ravel() * scale
    rest = ((scaled - basis @ (basis.T @ scaled)) / scale).reshape(-1, 6)
    return (
        float(np.sqrt((rest[:, 3:] ** 2).sum(axis=1)).max()),
        float(np.sqrt((rest[:, :2] ** 2).sum(axis=1)).max()),
    )


def _rotation_vector(matrix: Floats) -> Floats:
    axial = np.array([matrix[2, 1] - matrix[1, 2], matrix[0, 2] - matrix[2, 0], matrix[1, 0] - matrix[0, 1]])
    sine = 0.5 * float(np.sqrt(axial @ axial))
    angle = math.atan2(sine, 0.5 * (float(np.trace(matrix)) - 1.0))
    if sine > 1e-9:
        return axial * (0.5 * angle / sine)
    if angle < 1.0:
        return 0.5 * axial
    # Half a turn: the axis is the column of R + I that is farthest from zero.
    columns = matrix + np.eye(3)
    axis = columns[:, int(np.argmax((columns * columns).sum(axis=0)))]
    return np.asarray(angle * axis / np.sqrt(axis @ axis))
