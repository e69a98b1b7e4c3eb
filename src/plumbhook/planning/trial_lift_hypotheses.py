"""Which part or fluid explains the readings: each possible cause weighed by how probable it makes them."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from plumbhook.model.load import Load, part_mass_tolerance_kg
from plumbhook.model.trial_lift_file import MayBeAboard
from plumbhook.planning.assessment import Vector
from plumbhook.planning.levelling_rest import Floats
from plumbhook.planning.trial_lift_back_solve import Fit, Inverse, extent_of, start_of
from plumbhook.planning.trial_lift_records import Hypothesis

PART_MAY_BE_OFF = 0.3
"""Largest error of a part's stated mass that is weighed. Source: policy of the firm."""
CLAIM_HOLDS = 0.5
"""Probability before any reading that the claim holds within its tolerances. Source: policy of the firm."""
_UNLISTED_MASS = 0.1
_GRID = 801
# 5 % to 95 % of a normal distribution, in standard deviations to each side.
_NINE_TENTHS = 1.645
NOTHING = "nothing: the claim holds within its tolerances"
UNLISTED = "something that is not listed here"


@dataclass(frozen=True, slots=True)
class _Cause:
    """A mass at a place, anywhere between two bounds (kg) equally likely."""

    what: str
    at_m: Vector
    low_kg: float
    high_kg: float


def weigh_hypotheses(
    inverse: Inverse, fit: Fit, load: Load, aboard: tuple[MayBeAboard, ...]
) -> tuple[Hypothesis, ...]:
    """What may explain the readings, the most probable first.

    The claim with its tolerances is the background of every hypothesis; each adds an unknown mass at its place. The
    probability of the readings under each is integrated over that mass (equal shares of belief before the readings
    but for "nothing", which has half of it). Readings are linear in the load around the fit.

    Args:
        inverse: the readings.
        fit: the least-squares solution.
        load: parts of the load.
        aboard: what else may be there.
    """
    causes = list(_causes(load, aboard))
    share = (1.0 - CLAIM_HOLDS) / (len(causes) + 1)
    space = _Space.of(inverse, fit)
    found = [(Hypothesis(NOTHING, None, 0.0, 0.0, 0.0, 0.0), math.log(CLAIM_HOLDS) + space.log_claim())]
    for cause in causes:
        masses = np.linspace(cause.low_kg, cause.high_kg, _GRID)
        logs = space.log_likelihood(masses, cause.at_m)
        top = float(logs.max())
        weights = np.exp(logs - top)
        best, low, high = _bounds(masses, weights)
        evidence = top + math.log(float(weights.mean()))
        hypothesis = Hypothesis(cause.what, cause.at_m, 0.0, best, low, high)
        found.append((hypothesis, math.log(share) + evidence))
    extra, spread = fit.load.mass_kg - inverse.claim.mass_kg, _NINE_TENTHS * math.sqrt(fit.covariance[0, 0])
    unlisted = Hypothesis(UNLISTED, None, 0.0, extra, extra - spread, extra + spread)
    found.append((unlisted, math.log(share) + space.log_unlisted(np.subtract(*extent_of(load)[::-1]))))
    return _ranked(found)


def _causes(load: Load, aboard: tuple[MayBeAboard, ...]) -> Iterator[_Cause]:
    for one in aboard:
        yield _Cause(one.what, one.at_m, one.least_kg, one.most_kg)
    for part in load.parts:
        if part.opening:
            continue
        stated = max(PART_MAY_BE_OFF * part.mass_kg, part_mass_tolerance_kg(load, part) or 0.0)
        low, high = -min(stated, part.mass_kg), stated
        if part.movable is not None and part.movable.kind == "fluid":  # anything from drained to a full room
            low, high = -part.mass_kg, max(stated, part.mass_kg * (1.0 / (part.movable.fills or 1.0) - 1.0))
        yield _Cause(f"{part.name} heavier or lighter than stated", part.at_m, low, high)


def _bounds(masses: Floats, weights: Floats) -> tuple[float, float, float]:
    """Most likely mass, 5 % and 95 % bound."""
    total = np.cumsum(weights) / weights.sum()
    low, high = (float(masses[int(np.searchsorted(total, part))]) for part in (0.05, 0.95))
    return float(masses[int(weights.argmax())]), low, high


def _ranked(found: list[tuple[Hypothesis, float]]) -> tuple[Hypothesis, ...]:
    logs = np.array([log for _, log in found])
    shares = np.exp(logs - logs.max())
    shares /= shares.sum()
    listed = [
        Hypothesis(one.what, one.at_m, float(share), one.mass_kg, one.low_kg, one.high_kg)
        for (one, _), share in zip(found, shares, strict=True)
    ]
    return tuple(sorted(listed, key=lambda one: -one.probability))


@dataclass(frozen=True, slots=True)
class _Space:
    """The readings as a linear function of the load around the fit, with the claim as background."""

    claimed: Floats
    fitted: Floats
    by_load: Floats
    misfit: Floats
    noise: Floats
    claim: Floats

    @classmethod
    def of(cls, inverse: Inverse, fit: Fit) -> _Space:
        fitted = np.array([fit.load.mass_kg, *fit.load.cog_m])
        claim = np.diag(inverse.claim_sd**2.0)
        return cls(start_of(inverse), fitted, fit.prediction.by_load, fit.misfit, fit.noise, claim)

    def log_likelihood(self, masses_kg: Floats, at_m: Vector) -> Floats:
        """(n,) log probability density of the readings with each mass at a place on top of the claim."""
        mass, cog = self.claimed[0], self.claimed[1:]
        total = mass + masses_kg
        moved = (mass * cog[None, :] + masses_kg[:, None] * np.array(at_m)[None, :]) / total[:, None]
        states = np.column_stack([total, moved])
        return self._log(states, self.claim)

    def log_claim(self) -> float:
        """The same with nothing on top."""
        return float(self._log(self.claimed[None, :], self.claim)[0])

    def log_unlisted(self, extent_m: Floats) -> float:
        """The same with a mass of a tenth of the load, more or less, anywhere in it."""
        mass = self.claimed[0]
        spread = np.array([_UNLISTED_MASS * mass, *(_UNLISTED_MASS * extent_m / math.sqrt(12.0))])
        return float(self._log(self.claimed[None, :], self.claim + np.diag(spread**2.0))[0])

    def _log(self, states: Floats, doubt: Floats) -> Floats:
        off = self.misfit[None, :] - (states - self.fitted[None, :]) @ self.by_load.T
        covariance = self.noise + self.by_load @ doubt @ self.by_load.T
        _, log_determinant = np.linalg.slogdet(2.0 * math.pi * covariance)
        squares = np.einsum("ni,ni->n", off, np.linalg.solve(covariance, off.T).T)
        return np.asarray(-0.5 * (squares + log_determinant))
