"""A rig at rest, linearised: how lengths change with motions, and what motion a small load makes."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plumbhook.core.errors import NotEvaluatedError
from plumbhook.model.rig_graph import RigGraph
from plumbhook.statics._arrays import Floats, RigArrays, State, assemble, state_of
from plumbhook.statics._energy import Lines, cross, hessian, lines
from plumbhook.statics._neutral import NeutralFinder
from plumbhook.statics._stability import judge
from plumbhook.statics.result import Equilibrium

_SAME_MOTION = 1e-4


@dataclass(frozen=True, slots=True)
class LinearRest:
    """An equilibrium with its stiffness.

    Attributes:
        arrays: the rig as arrays.
        state: posture at rest.
        now: elements in that posture.
        unit: (ne, 3) direction of every element.
        stretch_rows: (ne, 6 nb) change of each element's length with the motion of the bodies.
    """

    arrays: RigArrays
    state: State
    now: Lines
    unit: Floats
    stretch_rows: Floats

    @classmethod
    def of(cls, graph: RigGraph, result: Equilibrium) -> LinearRest:
        """Linearise a rig at the poses of its equilibrium."""
        arrays = assemble(graph)
        state = state_of(arrays, [result.poses[body.name] for body in graph.bodies])
        now = lines(arrays, arrays.stiffness_N_m, state)
        unit = now.span / np.where(now.distance > 0.0, now.distance, 1.0)[:, None]
        return cls(arrays, state, now, unit, _stretch_rows(arrays, now, unit))

    def motion_under(self, load: Floats) -> Floats:
        """Motion (6 nb, P) that loads (6 nb, P), forces in N and moments in N m, make; neutral motions left out.

        Raises:
            NotEvaluatedError: nothing holds some motion that is not neutral, so that it has no size.
        """
        arrays = self.arrays
        scale = np.tile([1.0, 1.0, 1.0, *(3 * [arrays.size_m])], arrays.n_bodies)
        matrix = hessian(arrays, arrays.stiffness_N_m, self.now) / (scale[:, None] * scale[None, :])
        neutral = NeutralFinder(arrays)
        basis = neutral.basis(self.now.active > 0.0, self.state, scale, tolerance=_SAME_MOTION)
        if arrays.is_support.any():
            basis = np.concatenate([basis, judge(arrays, self.state, neutral, self.now).sliding], axis=1)
        whole, _ = np.linalg.qr(np.concatenate([basis, np.eye(arrays.n_dof)], axis=1))
        free = whole[:, basis.shape[1] : arrays.n_dof]
        try:
            answer = np.linalg.solve(free.T @ matrix @ free, free.T @ (load / scale[:, None]))
        except np.linalg.LinAlgError as error:
            raise NotEvaluatedError("the rig is indifferent: a small load makes no certain motion") from error
        motion: Floats = (free @ answer) / scale[:, None]
        return motion

    def tensions_under(self, motion: Floats) -> Floats:
        """(ne, P) change of the tensions with a motion, N."""
        change: Floats = (self.arrays.stiffness_N_m * self.now.active)[:, None] * (self.stretch_rows @ motion)
        return change


def _stretch_rows(arrays: RigArrays, now: Lines, unit: Floats) -> Floats:
    """(ne, 6 nb) change of each element's length with the motion of the bodies."""
    rows = np.zeros((len(unit), arrays.n_dof + 6))
    parts = np.concatenate([-unit, -cross(now.arm_i, unit), unit, cross(now.arm_j, unit)], axis=1)
    for number, (i, j) in enumerate(zip(arrays.body_i.tolist(), arrays.body_j.tolist(), strict=True)):
        rows[number, 6 * i : 6 * i + 6] += parts[number, :6]
        rows[number, 6 * j : 6 * j + 6] += parts[number, 6:]
    return rows[:, : arrays.n_dof]
