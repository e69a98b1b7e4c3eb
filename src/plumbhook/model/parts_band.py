"""Between what mass and centre of gravity of a load lie, given how far its parts may be off.

Three rules for the same parts. *Correlated*: every part is off the same way by its whole tolerance, as with one
density for all. *Independent*: the parts are off each by chance, and the tolerances add as the root of the sum of
their squares (first order). *Worst*: each part anywhere within its tolerance, whatever makes the answer largest
(exact). What can move freely is not by chance: its range is added in full under each rule.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

Vector = tuple[float, float, float]
Errors = Literal["correlated", "independent", "worst"]
RULES: tuple[Errors, ...] = ("correlated", "independent", "worst")


@dataclass(frozen=True, slots=True)
class PartClaim:
    """What one part contributes.

    Attributes:
        mass_kg: mass, kg; negative for an opening.
        mass_tolerance_kg: half width of the band around it, kg.
        at_m: its centre of gravity, m.
        position_tolerance_m: how far that may be off along each axis, m.
        low_m: where the centre of gravity can move to, smallest x, y, z, m; ``at_m`` where it cannot move.
        high_m: the same, largest x, y, z, m.
    """

    mass_kg: float
    mass_tolerance_kg: float
    at_m: Vector
    position_tolerance_m: float
    low_m: Vector
    high_m: Vector

    def lowest_m(self, axis: int) -> float:
        """Smallest coordinate by position tolerance and free range, m."""
        return min(self.at_m[axis] - self.position_tolerance_m, self.low_m[axis])

    def highest_m(self, axis: int) -> float:
        """Largest coordinate by position tolerance and free range, m."""
        return max(self.at_m[axis] + self.position_tolerance_m, self.high_m[axis])


@dataclass(frozen=True, slots=True)
class PartsBand:
    """Bands of mass and centre of gravity by one rule: kg, and m along x, y, z."""

    errors: Errors
    mass_low_kg: float
    mass_kg: float
    mass_high_kg: float
    cog_low_m: Vector
    cog_m: Vector
    cog_high_m: Vector

    @property
    def half_sizes_m(self) -> Vector:
        """Half sizes of the smallest box around ``cog_m`` that holds the band, m."""
        x, y, z = (
            max(high - at, at - low)
            for low, at, high in zip(self.cog_low_m, self.cog_m, self.cog_high_m, strict=True)
        )
        return (x, y, z)


def parts_band(claims: Sequence[PartClaim], errors: Errors) -> PartsBand:
    """Mass and centre of gravity of some parts with their bands.

    Args:
        claims: the parts; at least one.
        errors: how the errors of the parts go together.

    Returns:
        The bands. By ``worst`` and ``correlated`` they are exact, by ``independent`` of first order.

    Raises:
        ValueError: no parts, a number that is not finite, a negative tolerance, or openings that may take away
            as much as the other parts weigh.
    """
    _hold(claims)
    mass = math.fsum(claim.mass_kg for claim in claims)
    cog = _vector([math.fsum(c.mass_kg * c.at_m[axis] for c in claims) / mass for axis in range(3)])
    by_rule = {"correlated": _correlated, "independent": _independent, "worst": _worst}
    slack, low, high = by_rule[errors](claims)
    return PartsBand(errors, mass - slack, mass, mass + slack, low, cog, high)


def largest_centroid(low: Sequence[float], high: Sequence[float], at: Sequence[float]) -> float:
    """Largest ``sum(w c) / sum(w)`` over all weights ``low[i] <= w[i] <= high[i]``, exactly.

    Args:
        low: smallest weight of each part; may be negative, but their sum must be positive.
        high: largest weight of each part.
        at: coordinate c of each part.

    Returns:
        The largest coordinate of the centroid.

    Raises:
        ValueError: the sum of the smallest weights is not positive, or low exceeds high.

    Proof. Let F(w) = sum(w c)/sum(w). With sum(w) > 0 everywhere in the box, F(w) >= t if and only if
    sum(w (c - t)) >= 0, so the maximum t* is the t at which G(t) = max over w of sum(w (c - t)) is zero. That
    maximum takes each part by itself: w = high where c > t, w = low where c < t (either where c = t). G falls
    strictly with t, its slope being minus a sum of weights, so t* is unique, and the weights that reach it are
    "high above a threshold, low below it". Sorted by c, there are only n + 1 such choices; every one of them is in
    the box, so its F is at most t*, and one of them is t*: the largest of the n + 1 is the answer.

    Source: own derivation (a linear-fractional programme has its optimum at a vertex).
    """
    order = np.argsort(-np.asarray(at, dtype=float), kind="stable")
    c = np.asarray(at, dtype=float)[order]
    lo, hi = np.asarray(low, dtype=float)[order], np.asarray(high, dtype=float)[order]
    if not np.all(lo <= hi):
        raise ValueError("the smallest weight of a part exceeds its largest")
    if not math.fsum(lo) > 0.0:
        raise ValueError("the smallest weights do not add up to something positive")
    origin = c.mean()
    gain = hi - lo
    weight = math.fsum(lo) + np.concatenate(([0.0], np.cumsum(gain)))
    moment = math.fsum(lo * (c - origin)) + np.concatenate(([0.0], np.cumsum(gain * (c - origin))))
    return float(origin + np.max(moment / weight))


def smallest_centroid(low: Sequence[float], high: Sequence[float], at: Sequence[float]) -> float:
    """Smallest centroid over all weights in the box: :func:`largest_centroid` in the mirror.

    Args:
        low: smallest weight of each part.
        high: largest weight of each part.
        at: coordinate of each part.

    Raises:
        ValueError: as :func:`largest_centroid`.
    """
    return -largest_centroid(low, high, [-c for c in at])


def _worst(claims: Sequence[PartClaim]) -> tuple[float, Vector, Vector]:
    low = [claim.mass_kg - claim.mass_tolerance_kg for claim in claims]
    high = [claim.mass_kg + claim.mass_tolerance_kg for claim in claims]
    lowest = [smallest_centroid(low, high, _places(claims, axis, -1)) for axis in range(3)]
    highest = [largest_centroid(low, high, _places(claims, axis, 1)) for axis in range(3)]
    return math.fsum(claim.mass_tolerance_kg for claim in claims), _vector(lowest), _vector(highest)


def _correlated(claims: Sequence[PartClaim]) -> tuple[float, Vector, Vector]:
    """All off together: a line through the box of masses, along which the centroid only rises or only falls."""
    change = [math.copysign(claim.mass_tolerance_kg, claim.mass_kg) for claim in claims]
    ends = [[c.mass_kg + sign * d for c, d in zip(claims, change, strict=True)] for sign in (-1.0, 1.0)]
    lowest = [min(_centroid(w, _places(claims, axis, -1)) for w in ends) for axis in range(3)]
    highest = [max(_centroid(w, _places(claims, axis, 1)) for w in ends) for axis in range(3)]
    return abs(math.fsum(change)), _vector(lowest), _vector(highest)


def _independent(claims: Sequence[PartClaim]) -> tuple[float, Vector, Vector]:
    mass = math.fsum(claim.mass_kg for claim in claims)
    low, high = [], []
    for axis in range(3):
        cog = math.fsum(c.mass_kg * c.at_m[axis] for c in claims) / mass
        chance = math.hypot(
            *((c.at_m[axis] - cog) / mass * c.mass_tolerance_kg for c in claims),
            *(c.mass_kg / mass * c.position_tolerance_m for c in claims),
        )
        down = math.fsum(_move(c, axis, -1) for c in claims) / mass
        up = math.fsum(_move(c, axis, 1) for c in claims) / mass
        low.append(cog - chance - down)
        high.append(cog + chance + up)
    return math.hypot(*(claim.mass_tolerance_kg for claim in claims)), _vector(low), _vector(high)


def _move(claim: PartClaim, axis: int, sign: int) -> float:
    """Moment by which free movement can shift the sum down or up, kg m, never negative."""
    downwards, upwards = claim.at_m[axis] - claim.low_m[axis], claim.high_m[axis] - claim.at_m[axis]
    if (sign > 0) == (claim.mass_kg > 0.0):
        return abs(claim.mass_kg) * upwards
    return abs(claim.mass_kg) * downwards


def _places(claims: Sequence[PartClaim], axis: int, sign: int) -> list[float]:
    """Coordinate of each part that shifts the centroid furthest down or up; an opening goes the other way."""
    return [c.highest_m(axis) if (sign > 0) == (c.mass_kg > 0.0) else c.lowest_m(axis) for c in claims]


def _centroid(weights: Sequence[float], at: Sequence[float]) -> float:
    return math.fsum(w * c for w, c in zip(weights, at, strict=True)) / math.fsum(weights)


def _hold(claims: Sequence[PartClaim]) -> None:
    if not claims:
        raise ValueError("there are no parts")
    for claim in claims:
        numbers = (
            claim.mass_kg, claim.mass_tolerance_kg, claim.position_tolerance_m,
            *claim.at_m, *claim.low_m, *claim.high_m,
        )  # fmt: skip
        if not all(math.isfinite(number) for number in numbers):
            raise ValueError("a part has a number that is not finite")
        if claim.mass_tolerance_kg < 0.0 or claim.position_tolerance_m < 0.0:
            raise ValueError("a tolerance is negative")
        if claim.mass_tolerance_kg > abs(claim.mass_kg):
            raise ValueError("a tolerance exceeds the mass of its part")
    if math.fsum(claim.mass_kg - claim.mass_tolerance_kg for claim in claims) <= 0.0:
        raise ValueError("the openings may take away as much as the other parts weigh")


def _vector(values: Sequence[float]) -> Vector:
    x, y, z = values
    return (x, y, z)
