"""Stiffness of a rig at rest by another way than that of the iteration: motions of all elements in one matrix.

The span of every element follows the bodies by ``G``, so the stiffness is ``G^T K G`` and the work of the forces on
arms that turn. The iteration adds up blocks of single elements instead, which is better for rigs of many bodies; tests
hold the two together.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from plumbhook.statics._arrays import Floats, Ints, RigArrays
from plumbhook.statics._energy import Lines, force_per_length
from plumbhook.statics._structure import Structure

_REMEMBERED = 64
# Entries (row, column) of the matrix of a cross product by the components of its vector, two by two.
_ROWS = np.array([0, 0, 1, 1, 2, 2])
_COLUMNS = np.array([1, 2, 0, 2, 0, 1])
_FROM = np.array([2, 1, 2, 0, 1, 0])
_SIGNS = np.array([-1.0, 1.0, 1.0, -1.0, -1.0, 1.0])
# What turns products of force and arm (nine numbers) into the second-order work of the force on an arm that turns:
# ``(f a^T + a f^T)/2 - (f.a) I``.
_TURNING = 0.5 * (np.eye(9) + np.eye(9)[[0, 3, 6, 1, 4, 7, 2, 5, 8]]) - np.outer(np.eye(3), np.eye(3))


@dataclass(frozen=True, slots=True, eq=False)
class Stiffness:
    """Stiffness of a rig in a posture.

    Attributes:
        matrix: (6 nb, 6 nb) second derivative of the energy.
        stretches: (ne, 6 nb) change of the length of every element with the motion of the bodies.
        pulls: (ne, 3, 6 nb) change of its force on the body at its second end, the other way round: ``K G``.
    """

    matrix: Floats
    stretches: Floats
    pulls: Floats


@dataclass(frozen=True, slots=True, eq=False)
class _Table:
    """Where arms and turning work go, for all rigs of a structure.

    Attributes:
        spans: (ne, 3, 6 nb) the part of the spans that is the same in every posture.
        arms: (n, 6) where the numbers of the arms at bodies are among those of all first, then all second ends;
            ``signs`` (n, 6) and ``places`` (n, 6) of them among the spans.
        to_body: (nb, 2 ne) minus one for a first end, plus one for a second end, at the body it belongs to.
        turns: (9 nb,) places of the rotations of each body by themselves in the flat matrix.
    """

    spans: Floats
    arms: Ints
    signs: Floats
    places: Ints
    to_body: Floats
    turns: Ints


@lru_cache(maxsize=_REMEMBERED)
def _table(structure: Structure) -> _Table:
    n_bodies, n_el = structure.n_bodies, len(structure.elements)
    n_dof = 6 * n_bodies
    spans = np.zeros((n_el, 3, n_dof))
    to_body = np.zeros((n_bodies, 2 * n_el))
    side = np.repeat([-1.0, 1.0], n_el)
    ends = np.flatnonzero(structure.body_ends < n_bodies)
    for end in ends.tolist():
        element, body = end % n_el, int(structure.body_ends[end])
        spans[element, range(3), range(6 * body, 6 * body + 3)] += side[end]
        to_body[body, end] = side[end]
    column = 6 * structure.body_ends[ends][:, None] + 3 + _COLUMNS
    places = ((ends % n_el)[:, None] * 3 + _ROWS) * n_dof + column
    first = 6 * np.arange(n_bodies)[:, None, None] + 3
    turns = (first + np.arange(3)[:, None]) * n_dof + first + np.arange(3)
    out = _Table(
        spans, 3 * ends[:, None] + _FROM, -side[ends][:, None] * _SIGNS, places, to_body, turns.ravel()
    )
    for array in (out.spans, out.arms, out.signs, out.places, out.to_body, out.turns):
        array.flags.writeable = False
    return out


def stiffness_at(arrays: RigArrays, now: Lines, unit: Floats) -> Stiffness:
    """Stiffness in a posture where the elements are as told; loose ones contribute nothing.

    Args:
        arrays: the rig.
        now: what its elements do.
        unit: (ne, 3) their directions.
    """
    table = _table(arrays.structure)
    n_el, n_dof = len(unit), arrays.n_dof
    arms = np.concatenate([now.arm_i, now.arm_j])
    spans = table.spans.copy()
    spans.reshape(-1)[table.places] = arms.reshape(-1)[table.arms] * table.signs
    stretches = (unit[:, None, :] @ spans)[:, 0]
    per_length = force_per_length(arrays, arrays.stiffness_N_m, now)
    across = np.where(arrays.is_support, 0.0, per_length) if arrays.structure.has_supports else per_length
    along = (arrays.stiffness_N_m * now.active - across)[:, None] * unit
    pulls = along[:, :, None] * stretches[:, None, :]
    pulls += across[:, None, None] * spans
    matrix = spans.reshape(3 * n_el, n_dof).T @ pulls.reshape(3 * n_el, n_dof)
    force = per_length[:, None] * now.span
    outer = force[:, :, None] * arms.reshape(2, n_el, 1, 3)
    work = table.to_body @ outer.reshape(2 * n_el, 9)
    matrix.reshape(-1)[table.turns] += (work @ _TURNING).ravel()
    return Stiffness(matrix, stretches, pulls)
