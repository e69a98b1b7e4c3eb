"""Verdict on an equilibrium: eigenvalues of the stiffness with the neutral motions taken out."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from plumbhook.statics._arrays import Floats, RigArrays, State
from plumbhook.statics._energy import Lines, hessian
from plumbhook.statics._neutral import NeutralFinder
from plumbhook.statics.result import StiffnessModes

_ZERO = 1e-7
_SAME_MOTION = 1e-4
_IN_PLAN = 0.05
BARELY_TAUT = 1e-9
# Between standing and hanging, lines that have just come taut hold a load in plan by next to nothing.
BARELY_CARRYING = 1e-6


@dataclass(frozen=True, slots=True)
class Verdict:
    """Modes of a rig at rest.

    Attributes:
        modes: summary of the eigenvalues.
        neutral_modes: number of independent neutral motions, sliding counted.
        lowest_motion: (6 nb,) increment along the lowest mode, of any size.
        sliding: (6 nb, m) orthonormal motions, lengths as they are and turns times the size of the rig, in which a
            standing body and what hangs together with it move in plan only and nothing but friction would resist.
    """

    modes: StiffnessModes
    neutral_modes: int
    lowest_motion: Floats
    sliding: Floats


def negligible_N(arrays: RigArrays) -> float:
    """Force up to which a sling counts as slack and a support as clear (N)."""
    share = BARELY_CARRYING if arrays.is_support.any() else BARELY_TAUT
    return share * arrays.total_weight_N


def judge(arrays: RigArrays, state: State, neutral: NeutralFinder, now: Lines) -> Verdict:
    """Eigenvalues of the stiffness at a posture in units of weight over size.

    A sling that is barely taut counts as loose, and a support that barely carries as clear: where it would let go it
    holds nothing, and a push that way is what the verdict must survive. ``now`` is what the elements do there.
    """
    barely = arrays.is_one_way & (now.tension <= negligible_N(arrays))
    now = now._replace(active=np.where(barely, 0.0, now.active), tension=np.where(barely, 0.0, now.tension))
    scale = arrays.scale
    unit = arrays.size_m / arrays.total_weight_N
    matrix = hessian(arrays, arrays.stiffness_N_m, now) * (unit / (scale[:, None] * scale[None, :]))
    basis, free = neutral.split(now.active > 0.0, state, scale, tolerance=_SAME_MOTION)
    n_neutral = basis.shape[1]
    if free.shape[1] == 0:
        nothing = np.zeros((arrays.n_dof, 0))
        return Verdict(StiffnessModes(), n_neutral, np.zeros(arrays.n_dof), nothing)
    values, vectors = np.linalg.eigh(free.T @ matrix @ free)
    zero = max(_ZERO, 64.0 * float(np.finfo(float).eps) * float(values[-1]))
    unheld = np.abs(values) <= zero
    sliding = _sliding(arrays, now, free @ vectors[:, unheld])
    held = values[~unheld] if sliding.shape[1] == unheld.sum() else values
    modes = StiffnessModes(
        lowest=float(held[0]) if len(held) else math.nan,
        highest=float(values[-1]),
        negative=int((values < -zero).sum()),
        indifferent=int(unheld.sum()) - sliding.shape[1],
    )
    return Verdict(modes, n_neutral + sliding.shape[1], (free @ vectors[:, 0]) / scale, sliding)


def _sliding(arrays: RigArrays, now: Lines, unheld: Floats) -> Floats:
    """Those of some motions that nothing holds in which a standing body moves and all bodies move in plan only.

    Slings below a single point turn freely, so that struts and a standing load may form a linkage in plan.
    """
    standing = np.unique(arrays.body_i[arrays.is_support & (now.active > 0.0)])
    if not (unheld.shape[1] and len(standing)):
        return np.zeros((arrays.n_dof, 0))
    by_body = unheld.reshape(arrays.n_bodies, 6, -1)
    out_of_plan = by_body[:, 2:5].reshape(-1, unheld.shape[1])
    _, size, combinations = np.linalg.svd(out_of_plan, full_matrices=True)
    flat = np.concatenate([size, np.zeros(max(0, unheld.shape[1] - len(size)))]) <= _IN_PLAN
    motions = unheld @ combinations[flat].T
    moves = np.abs(motions.reshape(arrays.n_bodies, 6, -1)[standing]).max(axis=(0, 1), initial=0.0)
    return np.asarray(motions[:, moves > _IN_PLAN])
