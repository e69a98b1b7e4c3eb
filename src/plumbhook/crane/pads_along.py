"""Reactions of the pads of a crane for many positions at once: slew, radius and load along a way.

The carrier is a plate on springs that only push, as in :mod:`plumbhook.crane.pad_reactions`; where its stiffness is
given it may also twist between its front and rear pads. Each set of pads that may be pressed is solved once for unit
loads, so that a whole way costs a few small products of matrices and nothing is iterated.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from plumbhook.core.errors import InputError, Problem
from plumbhook.crane.pad_reactions import OutriggerBase, SlewingCrane

FloatArray = NDArray[np.float64]

MOST_PADS = 8
_SETTLED = 1e-9


@dataclass(frozen=True, slots=True)
class CarrierStiffness:
    """How far carrier and pads give way; without it the carrier is rigid and only ratios of the pads matter.

    Attributes:
        pad_N_per_m: stiffness of one pad with its beam, jack and ground, N/m.
        torsion_Nm_per_rad: moment that twists the carrier by one radian between its front and rear pads, Nm/rad.

    Raises:
        InputError: a stiffness is not a positive number; both at once.
    """

    pad_N_per_m: float
    torsion_Nm_per_rad: float

    def __post_init__(self) -> None:
        problems = [
            Problem(f"outriggers.{name}", f"the {words} must be a positive number")
            for name, words, value in (
                ("pad_stiffness", "stiffness of a pad", self.pad_N_per_m),
                ("torsional_stiffness", "torsional stiffness of the carrier", self.torsion_Nm_per_rad),
            )
            if not (math.isfinite(value) and value > 0.0)
        ]
        if problems:
            raise InputError(tuple(problems))


def reactions_at_N(
    base: OutriggerBase,
    vertical_N: ArrayLike,
    x_m: ArrayLike,
    y_m: ArrayLike,
    *,
    stiffness: CarrierStiffness | None = None,
) -> FloatArray:
    """Reactions of the pads to vertical forces, each at its own place, N.

    Args:
        base: the pads, eight at most.
        vertical_N: vertical forces, N, positive downwards, ``(N,)`` or one number.
        x_m: places of their lines of action to the front of the slew axis, m, ``(N,)`` or one number.
        y_m: the same to the left, m.
        stiffness: of carrier and pads; None for a rigid carrier. The moments of the upper carriage enter at the slew
            axis, so that they do not twist the carrier themselves.

    Returns:
        Array ``(N, pads)``, none negative. A row is NaN where the force is not a positive number, or stands outside the
        pads or on their edge: the crane overturns there.

    Raises:
        InputError: there are more than eight pads, or the pads stand at one distance along the carrier that twists.

    Source: statics; for one pad lifted, Shapiro et al., Cranes and Derricks, p. 278 (shift of its share).
    """
    force, x, y = (np.atleast_1d(a) for a in np.broadcast_arrays(*map(_floats, (vertical_N, x_m, y_m))))
    pads = np.array(base.pads_m, dtype=float)
    if len(pads) > MOST_PADS:
        raise InputError.one(
            f"reactions are found for {MOST_PADS} pads at most; give the pads of the outriggers only",
            field="outriggers.pads",
        )
    shape, spring, frame = _springs(base, pads, stiffness)
    load = np.zeros((len(force), shape.shape[1]))
    # Forces of one newton, so that one tolerance serves all; a force that is no number settles nowhere.
    load[:, :3] = np.column_stack([np.ones_like(x), x, y])
    possible = np.isfinite(force) & (force > 0.0) & np.isfinite(x) & np.isfinite(y)
    found = np.full((len(force), len(pads)), np.nan)
    missing = possible & _inside(pads, np.where(possible, x, 0.0), np.where(possible, y, 0.0))
    for pressed in _sets_of_pads(pads):
        if not missing.any():
            break
        active = shape[list(pressed)]
        matrix = active.T @ (active * spring[list(pressed), None]) + frame
        sinking = np.linalg.solve(matrix, load[missing].T).T @ shape.T
        on = np.zeros(len(pads), dtype=bool)
        on[list(pressed)] = True
        share = np.where(on, spring * sinking, 0.0)
        lifted = (spring * sinking)[:, ~on].max(axis=1, initial=-np.inf)
        settled = (share.min(axis=1) >= -_SETTLED) & (lifted <= _SETTLED)
        rows = np.flatnonzero(missing)[settled]
        found[rows] = np.maximum(share[settled], 0.0) * force[rows, None]
        missing[rows] = False
    return found


def reactions_along_N(
    base: OutriggerBase,
    crane: SlewingCrane,
    *,
    hook_mass_kg: ArrayLike,
    radius_m: ArrayLike,
    slew_rad: ArrayLike,
    gravity_m_s2: float,
    stiffness: CarrierStiffness | None = None,
) -> FloatArray:
    """Reactions of every pad along a way, N.

    Args:
        base: the pads.
        crane: masses of the crane.
        hook_mass_kg: everything below the boom head, kg, zero for the crane alone; ``(N,)`` or one number.
        radius_m: radius of the hook, m; ``(N,)`` or one number.
        slew_rad: bearing of the boom from the front of the carrier, clockwise from above, rad; ``(N,)`` or one number.
        gravity_m_s2: acceleration of gravity, m/s2.
        stiffness: of carrier and pads; None for a rigid carrier.

    Returns:
        Array ``(N, pads)``; a row is NaN where the crane overturns or a number is missing.

    Raises:
        InputError: as :func:`reactions_at_N`.
    """
    total, x, y = resultant_along_m(crane, hook_mass_kg=hook_mass_kg, radius_m=radius_m, slew_rad=slew_rad)
    return reactions_at_N(base, total * gravity_m_s2, x, y, stiffness=stiffness)


def resultant_along_m(
    crane: SlewingCrane, *, hook_mass_kg: ArrayLike, radius_m: ArrayLike, slew_rad: ArrayLike
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Mass of everything, kg, and where it stands, m to the front and to the left of the slew axis, each ``(N,)``.

    Args:
        crane: masses of the crane.
        hook_mass_kg: everything below the boom head, kg.
        radius_m: radius of the hook, m.
        slew_rad: bearing of the boom from the front of the carrier, clockwise from above, rad.
    """
    hook, radius, slew = (
        np.atleast_1d(a) for a in np.broadcast_arrays(*map(_floats, (hook_mass_kg, radius_m, slew_rad)))
    )
    hook = np.where(hook >= 0.0, hook, np.nan)
    total = crane.carrier_mass_kg + crane.upper_mass_kg + hook
    along = (crane.upper_mass_kg * crane.upper_cog_m + hook * radius) / total
    x0, y0 = (crane.carrier_mass_kg * c / total for c in crane.carrier_cog_m)
    return total, x0 + along * np.cos(slew), y0 - along * np.sin(slew)


def shares_of_pads(
    base: OutriggerBase,
    pressed: Sequence[int],
    places_m: ArrayLike,
    *,
    stiffness: CarrierStiffness | None = None,
) -> FloatArray:
    """Part of a weight at each place that each of the pressed pads takes while those and no others are pressed, ratio.

    Args:
        base: the pads.
        pressed: which of them are pressed, by position; three or more, not on one line.
        places_m: places of the weights ahead and to the left of the slew axis, m, ``(weights, 2)``.
        stiffness: of carrier and pads; None for a rigid carrier.

    Returns:
        Array ``(weights, pads)``; each row sums to 1, a part may be negative, that of a pad not pressed is zero.

    Source: statics, as :func:`reactions_at_N`.
    """
    pads = np.array(base.pads_m, dtype=float)
    shape, spring, frame = _springs(base, pads, stiffness)
    places = np.atleast_2d(_floats(places_m))
    load = np.zeros((len(places), shape.shape[1]))
    load[:, :3] = np.column_stack([np.ones(len(places)), places])
    rows = list(pressed)
    matrix = shape[rows].T @ (shape[rows] * spring[rows, None]) + frame
    sinking = np.linalg.solve(matrix, load.T).T @ shape.T
    on = np.zeros(len(pads), dtype=bool)
    on[rows] = True
    shares: FloatArray = np.where(on, spring * sinking, 0.0)
    return shares


def _floats(values: ArrayLike) -> FloatArray:
    return np.asarray(values, dtype=float)


def _springs(
    base: OutriggerBase, pads: FloatArray, stiffness: CarrierStiffness | None
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """How each pad sinks with the unknowns (one row a pad), its spring, and the stiffness of the carrier itself."""
    ratio = np.array(base.stiffness_ratio or [1.0] * len(pads))
    plate = np.column_stack([np.ones(len(pads)), pads])
    if stiffness is None:
        return plate, ratio, np.zeros((3, 3))
    length = float(np.ptp(pads[:, 0]))
    if length <= 0.0:
        raise InputError.one(
            "a carrier that twists needs pads at its front and its rear; leave out torsional_stiffness",
            field="outriggers.torsional_stiffness",
        )
    frame = np.zeros((4, 4))
    frame[3, 3] = stiffness.torsion_Nm_per_rad
    twist = pads[:, 0] * pads[:, 1] / length
    return np.column_stack([plate, twist]), ratio * stiffness.pad_N_per_m, frame


def _sets_of_pads(pads: FloatArray) -> list[tuple[int, ...]]:
    """Sets of pads that can carry the crane, largest first: three or more, not on one line."""
    sets = []
    for size in range(len(pads), 2, -1):
        for pressed in itertools.combinations(range(len(pads)), size):
            offsets = pads[list(pressed)] - pads[list(pressed)].mean(axis=0)
            smaller, larger = np.linalg.eigvalsh(offsets.T @ offsets)
            if smaller > _SETTLED * larger:
                sets.append(pressed)
    return sets


def _inside(pads: FloatArray, x: FloatArray, y: FloatArray) -> NDArray[np.bool_]:
    """Whether points lie strictly inside the convex hull of the pads: no half-plane of one is free of pads."""
    bearings = np.sort(np.arctan2(pads[:, 1] - y[:, None], pads[:, 0] - x[:, None]), axis=1)
    gaps = np.diff(np.column_stack([bearings, bearings[:, 0] + 2.0 * math.pi]), axis=1)
    inside: NDArray[np.bool_] = gaps.max(axis=1) < math.pi - 1e-9
    return inside
