"""Verdict on an equilibrium: eigenvalues of the stiffness with the neutral motions taken out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plumbhook.statics._arrays import Floats, RigArrays, State
from plumbhook.statics._energy import Lines, hessian
from plumbhook.statics._neutral import NeutralFinder
from plumbhook.statics.result import StiffnessModes

_ZERO = 1e-7
_SAME_MOTION = 1e-4
BARELY_TAUT = 1e-9


@dataclass(frozen=True, slots=True)
class Verdict:
    """Modes of a rig at rest.

    Attributes:
        modes: summary of the eigenvalues.
        neutral_modes: number of independent neutral motions.
        lowest_motion: (6 nb,) increment along the lowest mode, of any size.
    """

    modes: StiffnessModes
    neutral_modes: int
    lowest_motion: Floats


def judge(arrays: RigArrays, state: State, neutral: NeutralFinder, now: Lines) -> Verdict:
    """Eigenvalues of the stiffness at a posture in units of weight over size.

    A sling that is barely taut counts as loose, and a support that barely carries as clear: where it would let go it
    holds nothing, and a push that way is what the verdict must survive. ``now`` is what the elements do there.
    """
    barely = arrays.is_one_way & (now.tension <= BARELY_TAUT * arrays.total_weight_N)
    now = now._replace(active=np.where(barely, 0.0, now.active), tension=np.where(barely, 0.0, now.tension))
    scale = arrays.scale
    unit = arrays.size_m / arrays.total_weight_N
    matrix = hessian(arrays, arrays.stiffness_N_m, now) * (unit / (scale[:, None] * scale[None, :]))
    basis, free = neutral.split(now.active > 0.0, state, scale, tolerance=_SAME_MOTION)
    n_neutral = basis.shape[1]
    if free.shape[1] == 0:
        return Verdict(StiffnessModes(), n_neutral, np.zeros(arrays.n_dof))
    values, vectors = np.linalg.eigh(free.T @ matrix @ free)
    zero = max(_ZERO, 64.0 * float(np.finfo(float).eps) * float(values[-1]))
    modes = StiffnessModes(
        lowest=float(values[0]),
        highest=float(values[-1]),
        negative=int((values < -zero).sum()),
        indifferent=int((np.abs(values) <= zero).sum()),
    )
    return Verdict(modes, n_neutral, (free @ vectors[:, 0]) / scale)
