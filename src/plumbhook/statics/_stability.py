"""Verdict on an equilibrium: eigenvalues of the stiffness with the neutral motions taken out."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from plumbhook.statics._arrays import Floats, RigArrays, State
from plumbhook.statics._energy import Lines, unit_of
from plumbhook.statics._neutral import NeutralFinder
from plumbhook.statics._stiffness import Stiffness, stiffness_at
from plumbhook.statics.modes import StiffnessModes

_ZERO = 1e-7
_SAME_MOTION = 1e-4
_ROUNDING = 64.0 * float(np.finfo(float).eps)
_IN_PLAN = 0.05
BARELY_TAUT = 1e-9
# Between standing and hanging, lines that have just come taut hold a load in plan by next to nothing.
BARELY_CARRYING = 1e-6


@dataclass(frozen=True, slots=True)
class Held:
    """Stiffness of a rig that resists every motion but the neutral ones.

    Attributes:
        matrix: (6 nb, 6 nb) in units of weight over size and scaled coordinates, positive definite: neutral motions
            have a stiffness of their own, apart from all others.
        basis: (6 nb, m) orthonormal neutral motions in scaled coordinates.
        plain: the stiffness it was made of.
        loads: (6 nb, 1) what loads are multiplied by to come to these units.
    """

    matrix: Floats
    basis: Floats
    plain: Stiffness
    loads: Floats


@dataclass(frozen=True, slots=True)
class Verdict:
    """Modes of a rig at rest.

    Attributes:
        modes: summary of the eigenvalues.
        neutral_modes: number of independent neutral motions, sliding counted.
        lowest_motion: (6 nb,) increment along the lowest mode, of any size; empty where every mode is held.
        sliding: (6 nb, m) orthonormal motions, lengths as they are and turns times the size of the rig, in which a
            standing body and what hangs together with it move in plan only and nothing but friction would resist.
        held: the stiffness; None unless every mode is held and no element barely carries.
    """

    modes: StiffnessModes
    neutral_modes: int
    lowest_motion: Floats
    sliding: Floats
    held: Held | None = None


def negligible_N(arrays: RigArrays) -> float:
    """Force up to which a sling counts as slack and a support as clear (N)."""
    share = BARELY_CARRYING if arrays.structure.has_supports else BARELY_TAUT
    return share * arrays.total_weight_N


def judge(
    arrays: RigArrays, state: State, neutral: NeutralFinder, now: Lines, known: Stiffness | None = None
) -> Verdict:
    """Eigenvalues of the stiffness at a posture in units of weight over size.

    A sling that is barely taut counts as loose, and a support that barely carries as clear: where it would let go it
    holds nothing, and a push that way is what the verdict must survive. ``now`` is what the elements do there, and
    ``known`` the stiffness, if it is known.
    """
    least = negligible_N(arrays)
    some_barely = any(0.0 < tension <= least for tension in now.tension.tolist())
    if some_barely:
        barely = arrays.is_one_way & (now.tension <= least)
        now = now._replace(
            active=np.where(barely, 0.0, now.active), tension=np.where(barely, 0.0, now.tension)
        )
        known = None
    scale = arrays.scale
    loads = (arrays.size_m / arrays.total_weight_N / scale)[:, None]
    stiffness = known or stiffness_at(arrays, now, unit_of(now))
    matrix = stiffness.matrix * (loads / scale)
    basis = neutral.basis(now.active > 0.0, state, scale, tolerance=_SAME_MOTION)
    n_neutral = basis.shape[1]
    if n_neutral == arrays.n_dof:
        nothing = np.zeros((arrays.n_dof, 0))
        return Verdict(StiffnessModes(), n_neutral, np.zeros(arrays.n_dof), nothing)
    # At rest a neutral motion has no stiffness with any other, so that what is added to it stays apart.
    above = 2.0 * math.sqrt(float(np.vdot(matrix, matrix)))
    held = matrix + above * (basis @ basis.T)
    values = np.linalg.eigvalsh(held)[: arrays.n_dof - n_neutral]
    lowest, highest = float(values[0]), float(values[-1])
    zero = max(_ZERO, _ROUNDING * highest)
    if lowest > zero:
        return Verdict(
            StiffnessModes(lowest, highest),
            n_neutral,
            np.zeros(0),
            np.zeros((arrays.n_dof, 0)),
            None if some_barely else Held(held, basis, stiffness, loads),
        )
    return _judge_closely(arrays, now, matrix, basis, zero)


def _judge_closely(arrays: RigArrays, now: Lines, matrix: Floats, basis: Floats, zero: float) -> Verdict:
    """Verdict where some motion is not clearly resisted: which one, and whether it is but sliding in plan."""
    n_neutral = basis.shape[1]
    free = np.linalg.qr(basis, mode="complete")[0][:, n_neutral:] if n_neutral else np.eye(arrays.n_dof)
    values, vectors = np.linalg.eigh(free.T @ matrix @ free)
    unheld = np.abs(values) <= zero
    sliding = _sliding(arrays, now, free @ vectors[:, unheld])
    held = values[~unheld] if sliding.shape[1] == unheld.sum() else values
    modes = StiffnessModes(
        lowest=float(held[0]) if len(held) else math.nan,
        highest=float(values[-1]),
        negative=int((values < -zero).sum()),
        indifferent=int(unheld.sum()) - sliding.shape[1],
    )
    return Verdict(modes, n_neutral + sliding.shape[1], (free @ vectors[:, 0]) / arrays.scale, sliding)


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
