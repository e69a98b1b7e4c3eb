"""Reactions of a crane on outriggers as statics gives them, pads that can only push, all the way round the slew.

The carrier is a rigid plate on springs, one below each pad; a pad that would have to pull lifts off. With four pads of
equal stiffness this is the usual formula ``V/4 ± Mx/(2b) ± My/(2a)``, and with one pad lifted the textbook's shift of
its share to the others. A carrier that bends divides the load otherwise: that is what the customary bound is for.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plumbhook.core.errors import InputError, NotEvaluatedError, Problem

FloatArray = NDArray[np.float64]

# No pad changes side more often than this before all are settled; a plate on springs needs a handful of rounds.
_MOST_ROUNDS = 60


@dataclass(frozen=True, slots=True)
class OutriggerBase:
    """Pads of a crane, in a frame with its origin on the slew axis, x to the front and y to the left.

    Attributes:
        pads_m: places (x, y) of the pads, m; at least three, not on one line.
        stiffness_ratio: stiffness of each pad with its ground in proportion to the others; empty for equal ones.

    Raises:
        InputError: fewer than three pads, pads on one line, or a number that makes no sense; all of them at once.
    """

    pads_m: tuple[tuple[float, float], ...]
    stiffness_ratio: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        problems = []
        if len(self.pads_m) < 3:
            problems.append(Problem("outriggers.pads", "a crane needs three pads or more"))
        if not all(math.isfinite(c) for pad in self.pads_m for c in pad):
            problems.append(Problem("outriggers.pads", "the place of every pad is two numbers"))
        elif len(self.pads_m) >= 3 and _spread_m2(self.pads_m) <= 0.0:
            problems.append(
                Problem(
                    "outriggers.pads",
                    "the pads stand on one line and cannot hold the crane; check their places",
                )
            )
        if self.stiffness_ratio and len(self.stiffness_ratio) != len(self.pads_m):
            problems.append(Problem("outriggers.stiffness_ratio", "give one stiffness for each pad, or none"))
        if not all(math.isfinite(k) and k > 0.0 for k in self.stiffness_ratio):
            problems.append(
                Problem("outriggers.stiffness_ratio", "every stiffness must be a positive number")
            )
        if problems:
            raise InputError(tuple(problems))


def _spread_m2(pads: Sequence[tuple[float, float]]) -> float:
    """Smaller principal second moment of the pads about their middle, zero within rounding where on one line."""
    places = np.array(pads, dtype=float)
    offsets = places - places.mean(axis=0)
    smaller, larger = np.linalg.eigvalsh(offsets.T @ offsets)
    return float(smaller) if smaller > 1e-9 * larger else 0.0


def pad_reactions_N(base: OutriggerBase, vertical_N: float, x_m: float, y_m: float) -> FloatArray:
    """Reactions of the pads to one vertical force, N, in the order of the pads; none is negative.

    Args:
        base: the pads.
        vertical_N: vertical force, N, positive downwards.
        x_m: place of its line of action, m.
        y_m: place of its line of action, m.

    Returns:
        Array ``(pads,)``. Their sum is the force and their moments are its moments to rounding.

    Raises:
        InputError: the force is not a positive number or its place is no number.
        NotEvaluatedError: the force stands outside the pads (the crane overturns) or on their edge.

    Source: statics; for one pad lifted, Shapiro et al., Cranes and Derricks, p. 278 (shift of its share).
    """
    if not (math.isfinite(vertical_N) and vertical_N > 0.0):
        raise InputError.one(
            "the force on the outriggers must be a positive number", field="outriggers.force"
        )
    if not (math.isfinite(x_m) and math.isfinite(y_m)):
        raise InputError.one("the place of the force must be two numbers", field="outriggers.force")
    if not _stands_inside(base, x_m, y_m):
        raise NotEvaluatedError("the weight stands outside the outriggers: the crane overturns")
    places = np.array(base.pads_m, dtype=float)
    ratio = np.array(base.stiffness_ratio or [1.0] * len(places))
    # Unknown plane of the carrier: sinking at the origin and two slopes; one row of `shape` for each pad.
    shape = np.column_stack([np.ones(len(places)), places])
    load = vertical_N * np.array([1.0, x_m, y_m])
    pressed = np.ones(len(places), dtype=bool)
    plane = np.zeros(3)
    for _ in range(_MOST_ROUNDS):
        active = shape[pressed] * ratio[pressed, None]
        step = np.linalg.lstsq(shape[pressed].T @ active, load, rcond=None)[0] - plane
        plane = plane + _descent(shape, ratio, load, plane, step) * step
        now = shape @ plane > 0.0
        if np.array_equal(now, pressed):
            reactions = np.where(now, ratio * (shape @ plane), 0.0)
            if np.allclose(
                shape.T @ reactions, load, rtol=0.0, atol=1e-9 * vertical_N * (1.0 + np.abs(places).max())
            ):
                return reactions
        pressed = now if now.any() else np.ones(len(places), dtype=bool)
    raise NotEvaluatedError("no set of pads was found that carries the crane")


def _descent(
    shape: FloatArray, ratio: FloatArray, load: FloatArray, plane: FloatArray, step: FloatArray
) -> float:
    """Length of the step that lowers the energy of the springs most, of a few; 1 where the full step does."""
    best, length = math.inf, 1.0
    for part in (1.0, 0.5, 0.25, 0.1, 0.02):
        sinking = shape @ (plane + part * step)
        energy = float(0.5 * (ratio * np.maximum(sinking, 0.0) ** 2).sum() - load @ (plane + part * step))
        if energy < best:
            best, length = energy, part
    return length


def _stands_inside(base: OutriggerBase, x_m: float, y_m: float) -> bool:
    """Whether a point lies strictly inside the convex hull of the pads: no half-plane of it is free of pads."""
    places = np.array(base.pads_m, dtype=float)
    bearings = np.sort(np.arctan2(places[:, 1] - y_m, places[:, 0] - x_m))
    gaps = np.diff(np.append(bearings, bearings[0] + 2.0 * math.pi))
    return bool(gaps.max() < math.pi - 1e-9)


@dataclass(frozen=True, slots=True)
class SlewingCrane:
    """Masses of a crane on outriggers.

    Attributes:
        carrier_mass_kg: what does not slew, kg.
        carrier_cog_m: place (x, y) of its centre of gravity, m.
        upper_mass_kg: what slews, with ballast and boom, without block, rope and load, kg.
        upper_cog_m: its centre of gravity along the boom from the slew axis, m, positive towards the boom head.
    """

    carrier_mass_kg: float
    carrier_cog_m: tuple[float, float]
    upper_mass_kg: float
    upper_cog_m: float


def slew_reactions_N(
    base: OutriggerBase,
    crane: SlewingCrane,
    *,
    hook_mass_kg: float,
    radius_m: float,
    slew_rad: Sequence[float],
    gravity_m_s2: float,
) -> FloatArray:
    """Reactions of every pad at every slew angle, N.

    Args:
        base: the pads.
        crane: masses of the crane.
        hook_mass_kg: everything below the boom head, kg, zero for the crane alone.
        radius_m: radius of the hook, m.
        slew_rad: angles of the boom from x, anticlockwise from above, rad.
        gravity_m_s2: acceleration of gravity, m/s2.

    Returns:
        Array ``(angles, pads)``.

    Raises:
        InputError: a number makes no sense.
        NotEvaluatedError: the crane overturns at one of the angles.
    """
    total = crane.carrier_mass_kg + crane.upper_mass_kg + hook_mass_kg
    along = (crane.upper_mass_kg * crane.upper_cog_m + hook_mass_kg * radius_m) / total
    x0, y0 = (crane.carrier_mass_kg * c / total for c in crane.carrier_cog_m)
    return np.array(
        [
            pad_reactions_N(
                base, total * gravity_m_s2, x0 + along * math.cos(angle), y0 + along * math.sin(angle)
            )
            for angle in slew_rad
        ]
    )
