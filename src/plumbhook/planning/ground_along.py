"""Pressure on the ground along a way of the load: every pad or track at every slew, radius and load at once."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from plumbhook.crane.pads_along import reactions_along_N
from plumbhook.crane.tracks_along import track_loads_along, track_pressures_along_Pa
from plumbhook.model.place import Crane, Ground
from plumbhook.planning.ground_basis import bearing_basis, crawler_of, pads_of, sides_below_m

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class GroundAlong:
    """Ground along a way.

    Attributes:
        names: the pads, or the left and the right track.
        force_N: force on each, N, ``(N, names)``; NaN where the crane overturns on its pads.
        pressure_Pa: largest pressure below each, below its mat where there is one, Pa, ``(N, names)``; infinite where
            the crane overturns, NaN where a number is missing.
        allowable_Pa: allowable pressure, Pa; NaN where nobody has stated it with its source.
    """

    names: tuple[str, ...]
    force_N: FloatArray
    pressure_Pa: FloatArray
    allowable_Pa: float

    @property
    def use_ratio(self) -> FloatArray:
        """Largest pressure over the allowable one, ``(N,)``; NaN or infinite never passes."""
        worst: FloatArray = self.pressure_Pa.max(axis=1) / self.allowable_Pa
        return worst


def ground_along(
    crane: Crane,
    ground: Ground | None,
    *,
    slew_rad: ArrayLike,
    radius_m: ArrayLike,
    hook_mass_kg: ArrayLike,
    gravity_m_s2: float,
) -> GroundAlong | None:
    """The ground at many positions of the crane.

    Args:
        crane: the section of the lift file.
        ground: the section of the lift file, or None.
        slew_rad: bearing of the boom from the front of the undercarriage, clockwise, rad (bearing from north less the
            heading of the undercarriage); ``(N,)`` or one number.
        radius_m: radius of the hook, m; ``(N,)`` or one number.
        hook_mass_kg: everything below the boom head, kg, zero with the hook empty; ``(N,)`` or one number.
        gravity_m_s2: acceleration of gravity, m/s2.

    Returns:
        The ground along the way; None where neither the places of the pads nor the gauge of the tracks are given.

    Raises:
        InputError: the crane, its mats or the soil make no sense.
    """
    slew, radius, hook = (
        np.atleast_1d(np.asarray(a, dtype=float))
        for a in np.broadcast_arrays(slew_rad, radius_m, hook_mass_kg)
    )
    heaviest = float(np.nanmax(hook, initial=0.0))
    basis = bearing_basis(ground, sides_below_m(crane, ground, heaviest, gravity_m_s2))
    allowable = basis.allowable_Pa if basis.allowable_Pa is not None and basis.source else np.nan
    if crane.tracks is not None and crane.tracks.gauge_m is not None:
        crawler, gauge = crawler_of(crane.tracks), crane.tracks.gauge_m
        forces, _ = track_loads_along(
            crawler, gauge, hook_mass_kg=hook, radius_m=radius, slew_rad=slew, gravity_m_s2=gravity_m_s2
        )
        pressure = track_pressures_along_Pa(
            crawler, gauge, hook_mass_kg=hook, radius_m=radius, slew_rad=slew, gravity_m_s2=gravity_m_s2
        )
        if ground is not None and ground.mat_width_m is not None:
            pressure = pressure * crane.tracks.width_m / ground.mat_width_m
        return GroundAlong(("left track", "right track"), forces, pressure, allowable)
    pads = None if crane.outriggers is None else pads_of(crane.outriggers, ground.mat if ground else None)
    if pads is None:
        return None
    forces = reactions_along_N(
        pads.base,
        pads.crane,
        hook_mass_kg=hook,
        radius_m=radius,
        slew_rad=slew,
        gravity_m_s2=gravity_m_s2,
        stiffness=pads.stiffness,
    )
    known = np.isfinite(slew) & np.isfinite(radius) & (hook >= 0.0) & np.isfinite(hook)
    sides = pads.sides_m(forces.ravel()).reshape(*forces.shape, 2)
    pressure = forces / sides.prod(axis=2)
    overturned = known & np.isnan(forces).all(axis=1)
    pressure[overturned] = np.inf
    return GroundAlong(pads.names, forces, pressure, allowable)
