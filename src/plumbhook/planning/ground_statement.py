"""What the plan shows of the ground: where the crane stands, pressures through the slew, allowable, who says so."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from plumbhook.crane.outriggers import bound_force_N
from plumbhook.crane.pad_checks import PadsOfCrane
from plumbhook.model.place import Crane, Ground, Place
from plumbhook.planning.check_ground import Standing, standings
from plumbhook.planning.ground_along import GroundAlong, ground_along
from plumbhook.planning.ground_basis import ALL_ROUND, bearing_basis, pads_of, sides_below_m

_MOST_ANGLES = 121


@dataclass(frozen=True, slots=True)
class Support:
    """One pad with its mat, or one track with its mats, in plan.

    Attributes:
        name: the pad, or the left or right track.
        ahead_m: its middle ahead of the slew axis, m.
        left_m: its middle to the left of the slew axis, m.
        length_m: length of pad or track along the carrier, m.
        width_m: width of pad or track, m.
        area_m: sides of the area below it that carries, along and across the carrier, m.
        force_N: largest force on it in the slew with the load, N.
    """

    name: str
    ahead_m: float
    left_m: float
    length_m: float
    width_m: float
    area_m: tuple[float, float]
    force_N: float


@dataclass(frozen=True, slots=True)
class GroundCurve:
    """Largest pressure below one support through the slew, Pa; NaN where the crane overturns."""

    name: str
    pressure_Pa: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class GroundStatement:
    """The ground through the slew at the station that presses most, and with the crane alone.

    Attributes:
        station: the station, with its radius.
        slew_rad: bearings of the boom from the front of the undercarriage, clockwise, rad.
        supports: pads or tracks.
        loaded: one curve for each support, with the load at that station.
        alone: worst support of the crane alone.
        allowable_Pa: allowable pressure, Pa; NaN where nobody has stated it.
        source: who says so; "" where that is not known.
        bound_Pa: pressure by the customary bound on the worst outrigger, Pa; NaN for tracks.
        larger_share: part of everything that the bound puts on one outrigger; NaN for tracks.
    """

    station: str
    slew_rad: tuple[float, ...]
    supports: tuple[Support, ...]
    loaded: tuple[GroundCurve, ...]
    alone: GroundCurve
    allowable_Pa: float
    source: str
    bound_Pa: float
    larger_share: float


def ground_statement(place: Place | None, gross_kg: float, gravity_m_s2: float) -> GroundStatement | None:
    """The ground through the slew; None where neither pads nor the gauge of the tracks are given.

    Args:
        place: the section of the lift file.
        gross_kg: everything below the boom head, kg.
        gravity_m_s2: acceleration of gravity, m/s2.

    Raises:
        InputError: the crane, its mats or the soil make no sense.
    """
    if place is None:
        return None
    crane, ground = place.crane, place.ground
    slews = _slews(crane)
    alone, *loaded = standings(place, gross_kg)
    ways = [(state, _way(crane, ground, state, slews, gravity_m_s2)) for state in loaded]
    known = [(state, way) for state, way in ways if way is not None]
    empty = _way(crane, ground, alone, slews, gravity_m_s2)
    if not known or empty is None:
        return None
    state, worst = max(known, key=lambda found: float(np.nan_to_num(found[1].pressure_Pa, nan=np.inf).max()))
    sides = sides_below_m(crane, ground, gross_kg, gravity_m_s2)
    basis = bearing_basis(ground, sides)
    bound, share = math.nan, math.nan
    if crane.tracks is None and crane.outriggers is not None:
        share = crane.outriggers.larger_share
        bound = bound_force_N(crane.outriggers.machine_mass_kg + gross_kg, share, gravity_m_s2) / (
            sides[0] * sides[1]
        )
    return GroundStatement(
        station=state.words,
        slew_rad=tuple(float(s) for s in slews),
        supports=_supports(crane, ground, worst),
        loaded=tuple(
            GroundCurve(name, _finite(column))
            for name, column in zip(worst.names, worst.pressure_Pa.T, strict=True)
        ),
        alone=GroundCurve("crane alone, worst", _finite(empty.pressure_Pa.max(axis=1))),
        allowable_Pa=math.nan if basis.allowable_Pa is None else basis.allowable_Pa,
        source=basis.source,
        bound_Pa=bound,
        larger_share=share,
    )


def _finite(values: NDArray[np.float64]) -> tuple[float, ...]:
    return tuple(float(v) if math.isfinite(v) else math.nan for v in values)


def _slews(crane: Crane) -> NDArray[np.float64]:
    sector = None
    if crane.tracks is not None:
        sector = crane.tracks.slew_sector
    elif crane.outriggers is not None and crane.outriggers.geometry is not None:
        sector = crane.outriggers.geometry.slew_sector
    low, high = sector or ALL_ROUND
    return np.linspace(low, min(high, low + 2.0 * math.pi), _MOST_ANGLES)


def _way(
    crane: Crane,
    ground: Ground | None,
    state: Standing,
    slews: NDArray[np.float64],
    gravity_m_s2: float,
) -> GroundAlong | None:
    return ground_along(
        crane,
        ground,
        slew_rad=slews,
        radius_m=state.radius_m,
        hook_mass_kg=state.hook_mass_kg,
        gravity_m_s2=gravity_m_s2,
    )


def _supports(crane: Crane, ground: Ground | None, way: GroundAlong) -> tuple[Support, ...]:
    most = np.nan_to_num(way.force_N, nan=0.0).max(axis=0)
    if crane.tracks is not None:
        tracks, mats = crane.tracks, None if ground is None else ground.mat_width_m
        half = (tracks.gauge_m or 0.0) / 2.0
        return tuple(
            Support(
                name, 0.0, side * half, tracks.length_m, tracks.width_m,
                (tracks.length_m, mats or tracks.width_m), float(force),
            )
            for name, side, force in zip(way.names, (1.0, -1.0), most, strict=True)
        )  # fmt: skip
    pads = None if crane.outriggers is None else pads_of(crane.outriggers, ground.mat if ground else None)
    if pads is None:
        return ()
    return tuple(_pad(pads, i, float(most[i])) for i in range(len(pads.names)))


def _pad(pads: PadsOfCrane, position: int, force_N: float) -> Support:
    x, y = pads.base.pads_m[position]
    length, width = pads.sides_m(np.array([force_N]))[0]
    plate = (0.0, 0.0) if pads.mat is None else (pads.mat.pad_length_m, pads.mat.pad_width_m)
    return Support(pads.names[position], x, y, *plate, (float(length), float(width)), force_N)
