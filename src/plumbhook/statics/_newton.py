"""Newton's method on the energy of a rig: down to a rest, or to a saddle where symmetry leads there."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plumbhook.statics._arrays import Floats, RigArrays, State
from plumbhook.statics._energy import Lines, gradient, hessian, lines, moved
from plumbhook.statics._neutral import NeutralFinder

_EPS = float(np.finfo(float).eps)
_SMALLEST_SHIFT = 1e-12
_FIRST_SHIFT = 1e-5
_PIVOT = 1e-14
# Stiffness that neutral motions are given, in units of the metric: enough to bound the step, but little enough not to
# hinder motions that are nearly a sum of neutral ones, such as the swing of a long chain.
_NEUTRAL = 1e-2
_CREEPING = 20
_LARGEST_MOVE = 0.5
_LARGEST_TURN = 0.6
_SUFFICIENT = 1e-4
_BALANCE_STEPS = 40
_POLISHING = 6


@dataclass(frozen=True, slots=True)
class Descent:
    """Where the iteration ended.

    Attributes:
        state: the last posture.
        converged: True if the residuals are within the tolerance.
        iterations: Newton steps taken.
        force_N: largest net force on a body.
        moment_Nm: largest net moment on a body about its reference point.
    """

    state: State
    converged: bool
    iterations: int
    force_N: float
    moment_Nm: float


def rounding_floor_N(arrays: RigArrays, stiffness: Floats) -> float:
    """Force that the rounding of coordinates alone may leave unbalanced (N)."""
    return 64.0 * _EPS * float(stiffness.max()) * arrays.coordinate_size_m


def descend(
    arrays: RigArrays,
    stiffness: Floats,
    state: State,
    neutral: NeutralFinder,
    *,
    tolerance: float,
    limit: int,
    follow: bool = False,
) -> Descent:
    """Minimise the energy from a posture.

    Args:
        arrays: the rig.
        stiffness: (ne,) stiffness of the elements to use (N/m).
        state: first posture.
        neutral: finder of the neutral motions of the same rig.
        tolerance: largest net force in units of the total weight, largest net moment in weight times size.
        limit: most Newton steps.
        follow: whether to leave a balance at speed where the way has led off it; a posture that is to be judged as
            drawn must not be.
    """
    force_limit = max(tolerance * arrays.total_weight_N, rounding_floor_N(arrays, stiffness))
    moment_limit = force_limit * arrays.size_m
    metric = metric_of(arrays, stiffness)
    shift = 0.0
    floor = 1e-13 * arrays.total_weight_N * arrays.size_m
    now = lines(arrays, stiffness, state)
    height = _energy_of(arrays, state, now)
    for iteration in range(limit + 1):
        slope = gradient(arrays, now)
        force, moment = residuals(slope)
        if force <= force_limit and moment <= moment_limit:
            ended = Descent(state, True, iteration, force, moment)
            return _polished(arrays, stiffness, ended, neutral, tolerance * arrays.total_weight_N)
        if iteration == limit or not np.isfinite(force + moment):
            break
        creeping = follow and iteration >= _CREEPING
        step, shift = _step(arrays, stiffness, state, now, slope, metric, neutral, shift, creeping=creeping)
        found = _search(arrays, stiffness, state, height, slope, step, floor)
        if found is None:
            break
        state, height, now = found
    return Descent(state, False, iteration, force, moment)


def find_balance(arrays: RigArrays, state: State, neutral: NeutralFinder, *, tolerance: float) -> Descent:
    """Newton's method for zero net force from a posture nearby, whether the energy falls or rises on the way.

    It ends in a saddle as readily as in a rest; what it ends in must be judged.
    """
    stiffness = arrays.stiffness_N_m
    force_limit = max(tolerance * arrays.total_weight_N, rounding_floor_N(arrays, stiffness))
    for iteration in range(_BALANCE_STEPS):
        now = lines(arrays, stiffness, state)
        step, force, moment = _plain_step(arrays, stiffness, state, now, neutral)
        converged = force <= force_limit and moment <= force_limit * arrays.size_m
        if converged or step is None:
            return Descent(state, converged, iteration, force, moment)
        state = moved(state, _bounded(arrays, now, step))
    return Descent(state, False, _BALANCE_STEPS, force, moment)


def _plain_step(
    arrays: RigArrays, stiffness: Floats, state: State, now: Lines, neutral: NeutralFinder
) -> tuple[Floats | None, float, float]:
    """Newton step without any shift (None if there is none) and the net force and moment before it."""
    root = np.sqrt(metric_of(arrays, stiffness))
    slope = gradient(arrays, now)
    force, moment = residuals(slope)
    basis = neutral.basis(now.active > 0.0, state, root)
    matrix = hessian(arrays, stiffness, now) / (root[:, None] * root[None, :]) + _NEUTRAL * (basis @ basis.T)
    try:
        step = np.linalg.solve(matrix, -slope / root) / root
    except np.linalg.LinAlgError:
        return None, force, moment
    return (step if np.isfinite(step).all() else None), force, moment


def _polished(
    arrays: RigArrays, stiffness: Floats, ended: Descent, neutral: NeutralFinder, wanted_N: float
) -> Descent:
    """Further steps where only the rounding floor let the iteration end, for as long as the residual falls."""
    best = ended
    trial = best.state
    now = lines(arrays, stiffness, trial)
    for _ in range(_POLISHING):
        if best.force_N <= wanted_N and best.moment_Nm <= wanted_N * arrays.size_m:
            break
        step, _, _ = _plain_step(arrays, stiffness, trial, now, neutral)
        if step is None:
            break
        trial = moved(trial, _bounded(arrays, now, step))
        now = lines(arrays, stiffness, trial)
        force, moment = residuals(gradient(arrays, now))
        if not max(force, moment / arrays.size_m) < 0.5 * max(best.force_N, best.moment_Nm / arrays.size_m):
            break
        best = Descent(trial, True, best.iterations + 1, force, moment)
    return best


def residuals(slope: Floats) -> tuple[float, float]:
    """Largest net force (N) and largest net moment (N m) on a body from an energy gradient."""
    per_body = slope.reshape(-1, 2, 3)
    norms = np.sqrt((per_body * per_body).sum(axis=2)).max(axis=0)
    return float(norms[0]), float(norms[1])


def metric_of(arrays: RigArrays, stiffness: Floats) -> Floats:
    """(6 nb,) stiffness of a coordinate by itself, loose lines counted: the scale of shifts and pivots."""
    n_all = arrays.n_bodies + 1
    out = np.zeros((n_all, 6))
    for body, lever in ((arrays.body_i, arrays.lever_i_m), (arrays.body_j, arrays.lever_j_m)):
        out[:, :3] += np.bincount(body, weights=stiffness, minlength=n_all)[:, None]
        turning = stiffness * (lever * lever).sum(axis=1)
        out[:, 3:] += np.bincount(body, weights=turning, minlength=n_all)[:, None]
    # A body held at its centre of gravity has no turning stiffness of its own.
    out[:, 3:] = np.maximum(out[:, 3:], 1e-4 * arrays.size_m**2 * out[:, :3])
    return out[: arrays.n_bodies].ravel()


def _energy_of(arrays: RigArrays, state: State, now: Lines) -> float:
    return 0.5 * float(now.tension @ now.stretch) + float(arrays.weight_N @ state.position_m[:, 2])


def _step(
    arrays: RigArrays,
    stiffness: Floats,
    state: State,
    now: Lines,
    slope: Floats,
    metric: Floats,
    neutral: NeutralFinder,
    last_shift: float,
    *,
    creeping: bool,
) -> tuple[Floats, float]:
    """Newton step bounded in move and turn, and the shift that made the matrix positive definite.

    While ``creeping``, modes that fall away are followed as far as they are weak instead.
    """
    root = np.sqrt(metric)
    matrix = hessian(arrays, stiffness, now) / (root[:, None] * root[None, :])
    basis = neutral.basis(now.active > 0.0, state, root)
    matrix = matrix + _NEUTRAL * (basis @ basis.T)
    right = -slope / root
    if creeping:
        # A load about to rock over on its supports leaves the balance too slowly with a shift.
        values, vectors = np.linalg.eigh(matrix)
        away = (vectors.T @ right) / np.maximum(np.abs(values), _SMALLEST_SHIFT)
        return _bounded(arrays, now, (vectors @ away) / root), last_shift
    diagonal = np.einsum("ii->i", matrix)
    shift, added = _SMALLEST_SHIFT, 0.0
    while True:
        diagonal += shift - added
        added = shift
        if _is_positive(matrix):
            break
        shift = max(_FIRST_SHIFT, 0.3 * last_shift) if shift < _FIRST_SHIFT else 4.0 * shift
    scaled = np.linalg.solve(matrix, right)
    step = _bounded(arrays, now, scaled / root)
    return step, shift if shift > _SMALLEST_SHIFT else last_shift


def _bounded(arrays: RigArrays, now: Lines, step: Floats) -> Floats:
    """The step, shortened if a body would move or turn too far for a second-order model."""
    q = step.reshape(-1, 6)
    # Lines that are drawn far too long leave room for longer moves.
    reach = max(arrays.size_m, float(now.stretch.max()))
    move = float(np.sqrt((q[:, :3] ** 2).sum(axis=1)).max()) / (_LARGEST_MOVE * reach)
    turn = float(np.sqrt((q[:, 3:] ** 2).sum(axis=1)).max()) / _LARGEST_TURN
    return step / max(move, turn, 1.0)


def _is_positive(matrix: Floats) -> bool:
    try:
        factor = np.linalg.cholesky(matrix)
    except np.linalg.LinAlgError:
        return False
    return bool(np.einsum("ii->i", factor).min() ** 2 > _PIVOT)


def _search(
    arrays: RigArrays,
    stiffness: Floats,
    state: State,
    height: float,
    slope: Floats,
    step: Floats,
    floor: float,
) -> tuple[State, float, Lines] | None:
    """First posture along the step that lowers the energy enough; None if rounding hides any lowering."""
    downhill = float(slope @ step)
    fraction = 1.0
    noise = floor + 1e-13 * abs(height)
    for _ in range(60):
        trial = moved(state, fraction * step)
        now = lines(arrays, stiffness, trial)
        new = _energy_of(arrays, trial, now)
        gain = -fraction * downhill
        if new <= height - _SUFFICIENT * gain or (gain < noise and new <= height + noise):
            return trial, new, now
        curve = 2.0 * (new - height + gain)
        best = gain * fraction / curve if curve > 0.0 else 0.5 * fraction
        fraction = min(max(best, 0.1 * fraction), 0.5 * fraction)
    return None
