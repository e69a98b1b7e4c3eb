"""From readings back to weight and centre of gravity: weighted least squares on the real equilibrium.

Gauss-Newton steps with the exact sensitivities of the solved rig, damped where they do not lower the misfit. What the
readings tell is taken from them alone; what they do not tell is held at the claim with the claim's doubt. See
``docs/theory/trial-lift.md``.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from plumbhook.core.errors import InputError, NotEvaluatedError
from plumbhook.model.lift import Lift
from plumbhook.model.load import Load, cog_m
from plumbhook.model.trial_lift_file import RigAccuracy
from plumbhook.planning.assessment import Vector
from plumbhook.planning.cases import RigProblem
from plumbhook.planning.levelling_rest import Floats, LoadState
from plumbhook.planning.trial_lift_channels import Channel, Prediction, predict
from plumbhook.planning.trial_lift_scatter import SD_OF_HALF_WIDTH, Scatter, scatter_of

# Readings tell a direction if they alone know it to about three times the claim's doubt or better.
_TELLS = 0.1
_STEPS, _ROUNDS, _SETTLED = 25, 2, 1e-9
_MOST_STEP = 20.0
_MOST_REFUSALS = 6
# A load of less than this share of the claim is no load: the readings are wrong.
_LEAST_LOAD = 0.02
FREE_TO_TELL = (0, 1, 2)
"""Mass, x and y. One attitude cannot tell z: all it shows is the plumb line that the centre of gravity is on."""


@dataclass(frozen=True, slots=True)
class Fit:
    """A least-squares solution.

    Attributes:
        load: the state of the load.
        prediction: readings at that state.
        covariance: (4, 4) of mass, x, y, z.
        noise: (n, n) covariance of the readings, instruments and rig.
        misfit: (n,) reading less prediction.
        chi_square: of the readings alone.
        held: (4,) True where the claim holds an unknown.
    """

    load: LoadState
    prediction: Prediction
    covariance: Floats
    noise: Floats
    misfit: Floats
    chi_square: float
    held: np.ndarray


@dataclass(frozen=True, slots=True)
class Inverse:
    """A trial lift to be solved back.

    Attributes:
        problem: the rig.
        channels: what was read.
        readings: (n,) in the units of the channels.
        claim: claimed state of the load.
        scatter: how far claim and rig may be off.
        reach_m: least and largest x, y, z of a centre of gravity that is looked at.
    """

    problem: RigProblem
    channels: tuple[Channel, ...]
    readings: Floats
    claim: LoadState
    scatter: Scatter
    reach_m: tuple[Vector, Vector]

    @property
    def claim_sd(self) -> Floats:
        """(4,) standard deviations of the claim."""
        return self.scatter.claim_sd

    def at(self, unknowns: Floats) -> Prediction:
        """Prediction at a state (4,).

        Raises:
            NotEvaluatedError: there is no stable rest, next to no load, or the centre of gravity is out of reach.
        """
        mass, x, y, z = unknowns.tolist()
        if not (math.isfinite(mass) and mass > _LEAST_LOAD * self.claim.mass_kg):
            raise NotEvaluatedError("there would have to be next to no load on the hook")
        low, high = self.reach_m
        if not (low[0] <= x <= high[0] and low[1] <= y <= high[1]):
            raise NotEvaluatedError("the centre of gravity would be far outside of the load")
        return predict(self.problem, LoadState(mass, (x, y, z)), self.channels)

    def noise(self, prediction: Prediction) -> Floats:
        """(n, n) covariance of the readings: instruments, and what the rig may be off."""
        widths = [c.half_width(float(r)) for c, r in zip(self.channels, self.readings, strict=True)]
        instrument = np.diag((np.array(widths) * SD_OF_HALF_WIDTH) ** 2)
        return np.asarray(instrument + self.scatter.covariance(prediction.by_length, prediction.by_stretch))

    def held_by_claim(self, prediction: Prediction) -> np.ndarray:
        """(4,) True for the unknowns that the readings do not tell.

        z always; of mass, x and y those that leave a combination untold, the weakest first.
        """
        scaled = prediction.by_load * self.claim_sd
        information = scaled.T @ np.linalg.solve(self.noise(prediction), scaled)
        free = list(FREE_TO_TELL)
        while free:
            values, vectors = np.linalg.eigh(information[free][:, free])
            if values[0] >= _TELLS:
                break
            free.remove(free[int(np.abs(vectors[:, 0]).argmax())])
        return np.array([unknown not in free for unknown in range(4)])


def inverse_of(
    problem: RigProblem, lift: Lift, channels: tuple[Channel, ...], readings: Floats, accuracy: RigAccuracy
) -> Inverse:
    """The trial lift of a rig and its readings (n,), with the claim of the load."""
    load = lift.file.load
    claim = LoadState(problem.expected_mass_kg, cog_m(load))
    low, high = extent_of(load)
    margin = 0.1 * (high - low)
    reach = [(float(x), float(y), float(z)) for x, y, z in (low - margin, high + margin)]
    scatter = scatter_of(lift, problem.rig, claim.mass_kg, accuracy)
    return Inverse(problem, channels, readings, claim, scatter, (reach[0], reach[1]))


def extent_of(load: Load) -> tuple[Floats, Floats]:
    """(3,), (3,) lowest and highest corner of the load: of its envelope, else of its lift points."""
    if load.envelope is not None:
        return np.array(load.envelope.low_m), np.array(load.envelope.high_m)
    points = np.array([point.at_m for point in load.lift_points.values()])
    return points.min(axis=0), points.max(axis=0)


def start_of(inverse: Inverse) -> Floats:
    """(4,) the claimed state."""
    return np.array([inverse.claim.mass_kg, *inverse.claim.cog_m])


def fit(inverse: Inverse, held: np.ndarray) -> Fit:
    """The most likely state of the load.

    Args:
        inverse: readings and rig.
        held: (4,) True for the unknowns that the claim is weighed in for; all four for readings and claim together.

    Raises:
        NotEvaluatedError: no state near the claim hangs at rest, or the steps do not settle: no weight explains the
            readings.
    """
    claimed = start_of(inverse)
    precision = np.diag(np.where(held, inverse.claim_sd**-2.0, 0.0))
    state, prediction = claimed, inverse.at(claimed)
    for _ in range(_ROUNDS):  # the second with the noise of the rig where the first has come to
        noise = inverse.noise(prediction)
        state, prediction = _settle(inverse, state, prediction, noise, precision, claimed)
    noise = inverse.noise(prediction)
    misfit = inverse.readings - prediction.values
    weighted = np.linalg.solve(noise, prediction.by_load)
    return Fit(
        load=prediction.rest.load,
        prediction=prediction,
        covariance=np.linalg.inv(prediction.by_load.T @ weighted + precision),
        noise=noise,
        misfit=misfit,
        chi_square=float(misfit @ np.linalg.solve(noise, misfit)),
        held=held,
    )


def _settle(
    inverse: Inverse,
    state: Floats,
    prediction: Prediction,
    noise: Floats,
    precision: Floats,
    claimed: Floats,
) -> tuple[Floats, Prediction]:
    """Damped Gauss-Newton steps until they vanish; the noise stays as it is."""
    scale, damping, refusals = inverse.claim_sd, 0.0, 0
    weight = np.linalg.inv(noise)

    def cost(at: Floats, found: Prediction) -> float:
        off, away = inverse.readings - found.values, at - claimed
        return float(off @ weight @ off + away @ precision @ away)

    now = cost(state, prediction)
    for _ in range(_STEPS):
        pull = prediction.by_load.T @ weight @ (inverse.readings - prediction.values)
        pull -= precision @ (state - claimed)
        matrix = prediction.by_load.T @ weight @ prediction.by_load + precision
        step = np.linalg.solve(matrix + damping * np.diag(scale**-2.0), pull)
        largest = float(np.abs(step / scale).max())
        if largest < _SETTLED:
            return state, prediction
        if largest > _MOST_STEP:
            step *= _MOST_STEP / largest
        try:
            tried = inverse.at(state + step)
        except (NotEvaluatedError, InputError):
            damping, refusals = max(10.0 * damping, 1.0), refusals + 1
            if refusals > _MOST_REFUSALS:
                break
            continue
        refusals = 0
        new = cost(state + step, tried)
        if new <= now * (1.0 + 1e-12) + 1e-15:
            state, prediction, now, damping = state + step, tried, new, 0.1 * damping
            if damping < 1e-6:
                damping = 0.0
        elif largest < 1e-6:  # the misfit is lowest to the last digits
            return state, prediction
        else:
            damping = max(10.0 * damping, 1e-3)
    raise NotEvaluatedError("no weight and centre of gravity were found that explain the readings")


def chi_square_exceeded(value: float, freedom: int) -> float:
    """Probability that a chi-square of so many degrees of freedom exceeds a value.

    Args:
        value: not negative.
        freedom: degrees of freedom, one or more.

    Returns:
        By the finite sums for whole degrees of freedom (Abramowitz and Stegun 26.4.4 and 26.4.5, from memory).

    Raises:
        ValueError: the value is negative or not finite, or there is no degree of freedom.
    """
    if not (math.isfinite(value) and value >= 0.0) or freedom < 1:
        raise ValueError("chi-square needs a finite value, zero or more, and a degree of freedom")
    half = 0.5 * value
    if freedom % 2 == 0:
        term = total = math.exp(-half)
        for k in range(1, freedom // 2):
            term *= half / k
            total += term
        return min(total, 1.0)
    total = math.erfc(math.sqrt(half))
    term = 2.0 * math.sqrt(half / math.pi) * math.exp(-half)
    for k in range(1, (freedom - 1) // 2 + 1):
        total += term
        term *= value / (2 * k + 1)
    return min(total, 1.0)


def without(fit_: Fit, number: int) -> float:
    """Chi-square of the readings without one of them, to first order from a fit."""
    keep = [i for i in range(len(fit_.misfit)) if i != number]
    change = fit_.prediction.by_load[keep][:, ~fit_.held]
    weight = np.linalg.inv(fit_.noise[keep][:, keep])
    misfit = fit_.misfit[keep]
    step = np.linalg.pinv(change.T @ weight @ change) @ change.T @ weight @ misfit
    left = misfit - change @ step
    return float(left @ weight @ left)


def most_likely_wrong(inverse: Inverse, found: Fit | None, at_claim: Prediction) -> str:
    """Name of the channel that is most likely wrong where no weight explains the readings.

    The one without which the others agree best; where there are too few readings to tell by that, the one furthest
    from what the claim makes it read.
    """
    names: Sequence[str] = [channel.name for channel in inverse.channels]
    spare = 0 if found is None else len(names) - int((~found.held).sum())
    if found is not None and spare >= 2:
        return names[int(np.argmin([without(found, number) for number in range(len(names))]))]
    claim = at_claim.by_load * inverse.claim_sd
    spread = np.sqrt(np.diag(inverse.noise(at_claim) + claim @ claim.T))
    return names[int(np.argmax(np.abs(inverse.readings - at_claim.values) / spread))]
