"""A rig at rest, linearised: how lengths change with motions, and what motion a small load makes."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from plumbhook.core.errors import NotEvaluatedError
from plumbhook.model.rig_graph import RigGraph
from plumbhook.statics._arrays import Floats, RigArrays, State, assemble, levers_of, state_of
from plumbhook.statics._energy import Lines, lines, unit_of
from plumbhook.statics._neutral import NeutralFinder
from plumbhook.statics._stability import Held, judge
from plumbhook.statics._stiffness import Stiffness, stiffness_at

if TYPE_CHECKING:
    from plumbhook.statics.result import Equilibrium

_SAME_MOTION = 1e-4


@dataclass(frozen=True, eq=False)
class LinearRest:
    """An equilibrium with its stiffness.

    Attributes:
        arrays: the rig as arrays.
        state: posture at rest.
        now: elements in that posture.
        unit: (ne, 3) direction of every element.
        lever_m: (np, 3) every point of the bodies from their reference points in world axes.
        held: its stiffness, where every motion that is not neutral is resisted and that is known; else None.
        inputs: what every input changes (see :class:`plumbhook.statics._seen.Seen`), if that is known.
        remembered: what has been derived from it, by name.
    """

    arrays: RigArrays
    state: State
    now: Lines
    unit: Floats
    lever_m: Floats
    held: Held | None = field(default=None, repr=False)
    inputs: tuple[Floats, Floats] | None = field(default=None, repr=False)
    remembered: dict[str, object] = field(default_factory=dict, repr=False)

    @classmethod
    def of(cls, graph: RigGraph, result: Equilibrium) -> LinearRest:
        """Linearise a rig at the poses of its equilibrium."""
        arrays = assemble(graph)
        state = state_of(arrays, [result.poses[body.name] for body in graph.bodies])
        now = lines(arrays, arrays.stiffness_N_m, state)
        return cls(arrays, state, now, unit_of(now), levers_of(arrays, state))

    @cached_property
    def plain(self) -> Stiffness:
        """The stiffness with nothing taken out of it or added."""
        return self.held.plain if self.held else stiffness_at(self.arrays, self.now, self.unit)

    def motion_under(self, load: Floats) -> Floats:
        """Motion (6 nb, P) that loads (6 nb, P), forces in N and moments in N m, make; neutral motions left out.

        Raises:
            NotEvaluatedError: nothing holds some motion that is not neutral, so that it has no size.
        """
        if self.held is None:
            return self._motion_by_parts(load)
        # The stiffness of the neutral motions is apart from all others, so that their share is taken off afterwards.
        motion: Floats = np.asarray(
            np.linalg.solve(self.held.matrix, load * self.held.loads), dtype=np.float64
        )
        motion -= self.held.basis @ (self.held.basis.T @ motion)
        motion /= self.arrays.scale[:, None]
        return motion

    def _motion_by_parts(self, load: Floats) -> Floats:
        """The same where the stiffness must first be formed on the motions that are not neutral."""
        arrays, scale = self.arrays, self.arrays.scale
        matrix = self.plain.matrix / (scale[:, None] * scale[None, :])
        neutral = NeutralFinder(arrays)
        basis = neutral.basis(self.now.active > 0.0, self.state, scale, tolerance=_SAME_MOTION)
        if arrays.structure.has_supports:
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
        change: Floats = (self.arrays.stiffness_N_m * self.now.active)[:, None] * (
            self.plain.stretches @ motion
        )
        return change
