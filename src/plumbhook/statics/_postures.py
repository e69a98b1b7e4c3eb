"""Postures: lowered before a start, and compared with where the rig was drawn."""

from __future__ import annotations

import math

import numpy as np

from plumbhook.model.rig_graph import Vector
from plumbhook.statics._arrays import Bools, RigArrays, State
from plumbhook.statics._energy import cross
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


def slid_to(arrays: RigArrays, state: State, drawn: State, group: tuple[int, ...]) -> State:
    """Bodies slid and turned about a vertical together, until the heaviest is where it was drawn in plan."""
    bodies = list(group)
    lead = max(bodies, key=lambda body: float(arrays.weight_N[body]))
    angle = _rotation_vector((drawn.rotation[lead] @ state.rotation[lead].T).tolist())[2]
    c, s = math.cos(angle), math.sin(angle)
    turn = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
    position, rotation = state.position_m.copy(), state.rotation.copy()
    to = np.array([*drawn.position_m[lead, :2], position[lead, 2]])
    position[bodies] = (position[bodies] - position[lead]) @ turn.T + to
    rotation[bodies] = turn @ rotation[bodies]
    return State(position, rotation)


def turn_of_gravity_rad(
    arrays: RigArrays, neutral: NeutralFinder, before: State, after: State, carrying: Bools
) -> float:
    """Largest angle between the directions of gravity that a body sees before and after.

    Turning about the vertical does not count, nor do bodies that may spin: their own axes mean nothing.
    """
    free = {spin.body for spin in neutral.motions(carrying)[1]} | set(neutral.loose(carrying).idle)
    held = [body for body in range(arrays.n_bodies) if body not in free]
    if not held:
        return 0.0
    was, became = before.rotation[held, 2, :], after.rotation[held, 2, :]
    sine = cross(was, became)
    return float(np.arctan2(np.sqrt((sine * sine).sum(axis=1)), (was * became).sum(axis=1)).max())


def moved_from(
    arrays: RigArrays, neutral: NeutralFinder, before: State, after: State, carrying: Bools
) -> tuple[float, float]:
    """Largest turn (rad) and sideways shift (m) of a body between two postures, neutral motions left out."""
    motion = np.empty((arrays.n_bodies, 6))
    motion[:, :3] = after.position_m - before.position_m
    change = after.rotation @ before.rotation.transpose(0, 2, 1)
    for body, rows in enumerate(change.tolist()):
        motion[body, 3:] = _rotation_vector(rows)
    scale = arrays.scale
    basis = neutral.basis(carrying, after, scale)
    scaled = motion.ravel() * scale
    rest = ((scaled - basis @ (basis.T @ scaled)) / scale).reshape(-1, 6) ** 2
    return (
        math.sqrt(float(rest[:, 3:].sum(axis=1).max())),
        math.sqrt(float(rest[:, :2].sum(axis=1).max())),
    )


def _rotation_vector(rows: list[list[float]]) -> Vector:
    (a, b, c), (d, e, f), (g, h, i) = rows
    x, y, z = h - f, c - g, d - b
    sine = 0.5 * math.sqrt(x * x + y * y + z * z)
    angle = math.atan2(sine, 0.5 * (a + e + i - 1.0))
    if sine > 1e-9 or angle < 1.0:
        factor = 0.5 * angle / sine if sine > 1e-9 else 0.5
        return (factor * x, factor * y, factor * z)
    # Half a turn: the axis is the column of R + I that is farthest from zero.
    columns = ((a + 1.0, d, g), (b, e + 1.0, h), (c, f, i + 1.0))
    axis = max(columns, key=lambda column: math.hypot(*column))
    factor = angle / math.hypot(*axis)
    return (factor * axis[0], factor * axis[1], factor * axis[2])
