"""Pressure under the two tracks of a crawler for many positions at once, with the boom at any angle to the tracks.

The moment across the tracks moves load from one track to the other; the moment along them makes the pressure below
each a trapezoid or, beyond a sixth of its length, a triangle.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from plumbhook.core.errors import InputError
from plumbhook.crane.ground import Crawler

FloatArray = NDArray[np.float64]


def track_loads_along(
    crawler: Crawler,
    gauge_m: float,
    *,
    hook_mass_kg: ArrayLike,
    radius_m: ArrayLike,
    slew_rad: ArrayLike,
    gravity_m_s2: float,
) -> tuple[FloatArray, FloatArray]:
    """Force on each track and where it stands along the track.

    Args:
        crawler: the machine; the undercarriage has its centre of gravity on the slew axis.
        gauge_m: distance of the middles of the tracks, m.
        hook_mass_kg: everything below the boom head, kg, zero for the crane alone; ``(N,)`` or one number.
        radius_m: radius of the hook, m; ``(N,)`` or one number.
        slew_rad: bearing of the boom from the front of the tracks, clockwise from above, rad; ``(N,)`` or one number.
        gravity_m_s2: acceleration of gravity, m/s2.

    Returns:
        Forces ``(N, 2)`` on the left and the right track, N, and their distance ``(N,)`` ahead of the slew axis, m.
        A force below zero says that the crane overturns across its tracks.

    Raises:
        InputError: the gauge is not a positive number.

    Source: statics; that both tracks share the moment along them as they share the force is common practice.
    """
    if not (math.isfinite(gauge_m) and gauge_m > 0.0):
        raise InputError.one("the gauge of the tracks must be a positive number", field="tracks.gauge")
    hook, radius, slew = (
        np.atleast_1d(np.asarray(a, dtype=float))
        for a in np.broadcast_arrays(hook_mass_kg, radius_m, slew_rad)
    )
    hook = np.where(hook >= 0.0, hook, np.nan)
    total = crawler.machine_mass_kg + hook
    offset = (hook * radius - crawler.machine_mass_kg * crawler.cog_behind_slew_axis_m) / total
    across = offset * np.sin(slew) / gauge_m
    forces = total[:, None] * gravity_m_s2 * np.column_stack([0.5 - across, 0.5 + across])
    return forces, offset * np.cos(slew)


def track_pressures_along_Pa(
    crawler: Crawler,
    gauge_m: float,
    *,
    hook_mass_kg: ArrayLike,
    radius_m: ArrayLike,
    slew_rad: ArrayLike,
    gravity_m_s2: float,
) -> FloatArray:
    """Largest pressure under the left and the right track along a way, Pa.

    Args:
        crawler: as :func:`track_loads_along`.
        gauge_m: as there.
        hook_mass_kg: as there.
        radius_m: as there.
        slew_rad: as there.
        gravity_m_s2: as there.

    Returns:
        Array ``(N, 2)``; infinite where the crane overturns, along or across its tracks, NaN where a number is missing.

    Raises:
        InputError: as :func:`track_loads_along`.

    Source: as :func:`plumbhook.crane.ground.largest_track_pressure_Pa` for each track.
    """
    forces, offset = track_loads_along(
        crawler,
        gauge_m,
        hook_mass_kg=hook_mass_kg,
        radius_m=radius_m,
        slew_rad=slew_rad,
        gravity_m_s2=gravity_m_s2,
    )
    length, width = crawler.track_length_m, crawler.track_width_m
    e = np.abs(offset)[:, None]
    pressed = np.maximum(length / 2.0 - e, 1e-9 * length)
    pressure = np.where(
        e <= length / 6.0,
        forces / (width * length) * (1.0 + 6.0 * e / length),
        2.0 * forces / (3.0 * pressed * width),
    )
    standing = (e < length / 2.0) & (forces.min(axis=1, keepdims=True) > 0.0)
    known = np.isfinite(forces).all(axis=1, keepdims=True) & np.isfinite(e)
    return np.where(known, np.where(standing, pressure, np.inf), np.nan)
