"""Postures: lowered before a start, and compared with where the rig was drawn."""

from __future__ import annotations

import math

import numpy as np

from plumbhook.model.rig_graph import Vector
from plumbhook.statics._arrays import Bools, RigArrays, State
from plumbhook.statics._energy import cross
from plumbhook.statics._neutral import NeutralFinder

_LOWERING = 0.02
_CLEARLY = 1e-9


def lowered(arrays: RigArrays, state: State) -> State:
    """Every body moved down, the lower in the chain the more, so that all lines and supports start to carry."""
    position = state.position_m.copy()
    position[:, 2] -= _LOWERING * arrays.size_m * arrays.structure.depth
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
    held = _held_bodies(arrays, neutral, carrying)
    if not held:
        return 0.0
    was, became = before.rotation[held, 2, :], after.rotation[held, 2, :]
    sine = cross(was, became)
    return float(np.arctan2(np.sqrt((sine * sine).sum(axis=1)), (was * became).sum(axis=1)).max())


def gravity_turns_less(
    arrays: RigArrays, neutral: NeutralFinder, before: State, after: State, carrying: Bools, limit_rad: float
) -> bool:
    """Whether the turn of gravity is clearly less than a limit."""
    was, became = before.rotation[:, 2].tolist(), after.rotation[:, 2].tolist()
    least = math.cos(limit_rad) + _CLEARLY
    for body in _held_bodies(arrays, neutral, carrying):
        (a, b, c), (x, y, z) = was[body], became[body]
        if not a * x + b * y + c * z > least:
            return False
    return True


def _held_bodies(arrays: RigArrays, neutral: NeutralFinder, carrying: Bools) -> list[int]:
    """Bodies whose axes mean something: that neither spin nor hang loose without weight."""
    spins, idle = neutral.motions(carrying)[1], neutral.loose(carrying).idle
    if not spins and not idle:
        return list(range(arrays.n_bodies))
    free = {*idle, *(spin.body for spin in spins)}
    return [body for body in range(arrays.n_bodies) if body not in free]


def moved_from(
    arrays: RigArrays, neutral: NeutralFinder, before: State, after: State, carrying: Bools
) -> tuple[float, float]:
    """Largest turn (rad) and sideways shift (m) of a body between two postures, neutral motions left out."""
    scale = arrays.scale
    change = (after.rotation @ before.rotation.transpose(0, 2, 1)).tolist()
    motion = np.empty((arrays.n_bodies, 6))
    np.subtract(after.position_m, before.position_m, out=motion[:, :3])
    motion[:, 3:] = [_rotation_vector(rows) for rows in change]
    scaled = motion.reshape(-1) * scale
    basis = neutral.basis(carrying, after, scale)
    rest = ((scaled - basis @ (basis.T @ scaled)) / scale).tolist()
    turn = max([x * x + y * y + z * z for x, y, z in zip(rest[3::6], rest[4::6], rest[5::6], strict=True)])
    shift = max([x * x + y * y for x, y in zip(rest[::6], rest[1::6], strict=True)])
    return math.sqrt(turn), math.sqrt(shift)


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
