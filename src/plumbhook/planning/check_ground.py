"""Checks of the ground through the slew: pads or tracks, loaded and alone; settlement; what lies near."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from plumbhook.core.check import Check
from plumbhook.crane.bearing.en_1997_1 import bearing_resistance_check, combinations_of
from plumbhook.crane.hazards import hazard_check
from plumbhook.crane.pad_checks import (
    PadsOfCrane,
    out_of_level_check,
    pad_pressure_check,
    slew_angles_rad,
)
from plumbhook.crane.pads_along import reactions_along_N
from plumbhook.crane.track_checks import track_slew_check
from plumbhook.crane.tracks_along import track_pressures_along_Pa
from plumbhook.model.ground import Settlement
from plumbhook.model.place import Crane, Ground, Place
from plumbhook.planning.ground_basis import (
    ALL_ROUND,
    BearingBasis,
    bearing_basis,
    bearing_pad,
    crawler_of,
    pads_of,
    sides_below_m,
    soil_of,
    stated_source,
)
from plumbhook.planning.loaded_radius import loaded_radius_m

ALONE = "ground.alone"
NEAR = "ground.near"


@dataclass(frozen=True, slots=True)
class Standing:
    """One state of the crane that the ground is checked for.

    Attributes:
        name: for the identifiers of its checks.
        station: station of the load path.
        words: how it reads in a title.
        hook_mass_kg: everything below the boom head, kg.
        radius_m: radius of the hook, m.
    """

    name: str
    station: str
    words: str
    hook_mass_kg: float
    radius_m: float


def standings(place: Place, gross_kg: float) -> tuple[Standing, ...]:
    """The crane alone and the crane with the load at every station."""
    alone = Standing("alone", ALONE, "crane alone, no load on the hook", 0.0, place.stations[0].radius_m)
    return (
        alone,
        *(
            Standing(
                s.name,
                f"ground.{s.name}",
                f"{s.name} at {s.radius_m:g} m",
                gross_kg,
                loaded_radius_m(place.crane, s),
            )
            for s in place.stations
        ),
    )


def ground_checks(place: Place, gross_kg: float, gravity_m_s2: float) -> Iterator[Check]:
    """Checks of the ground beyond the customary ones, as far as the file gives what they need.

    Args:
        place: the section of the lift file.
        gross_kg: everything below the boom head, kg.
        gravity_m_s2: acceleration of gravity, m/s2.

    Raises:
        InputError: the crane, its mats or the soil make no sense.
    """
    crane, ground = place.crane, place.ground
    basis = bearing_basis(ground, sides_below_m(crane, ground, gross_kg, gravity_m_s2))
    states = standings(place, gross_kg)
    pads = None if crane.outriggers is None else pads_of(crane.outriggers, ground.mat if ground else None)
    if pads is not None:
        yield from _pad_checks(pads, states, basis, gravity_m_s2)
        if ground is not None and ground.soil is not None and ground.soil.method == "EN 1997-1":
            yield from _resistance_checks(pads, ground, states, gravity_m_s2)
    elif crane.tracks is not None and crane.tracks.gauge_m is not None:
        yield from _track_checks(crane, ground, states, basis, gravity_m_s2)
    if ground is not None and ground.settlement is not None:
        yield from _level_checks(crane, pads, ground, ground.settlement, states, gravity_m_s2)
    for number, hazard in enumerate(ground.hazards if ground is not None else (), start=1):
        yield hazard_check(
            f"ground_near.{number}",
            NEAR,
            f"{hazard.kind.capitalize()} at {hazard.distance_m:g} m from the crane",
            kind=hazard.kind,
            distance_m=hazard.distance_m,
            depth_m=hazard.depth_m,
            checked_by=hazard.checked_by or "",
        )


def _pad_checks(
    pads: PadsOfCrane, states: Sequence[Standing], basis: BearingBasis, gravity_m_s2: float
) -> Iterator[Check]:
    for state in states:
        check = pad_pressure_check(
            f"ground_slew.{state.name}",
            state.station,
            f"Ground, {state.words}: pressure below the worst pad in the slew",
            pads=pads,
            hook_mass_kg=state.hook_mass_kg,
            radius_m=state.radius_m,
            gravity_m_s2=gravity_m_s2,
            allowable_Pa=basis.allowable_Pa,
            allowable_source=basis.source,
        )
        yield with_attention(check, basis)


def unknown_standing(crane: Crane) -> str:
    """What is not reckoned for want of the places of the pads or the gauge of the tracks; "" where both are known."""
    if crane.outriggers is not None and crane.tracks is None and crane.outriggers.geometry is None:
        return (
            "The places of the outrigger pads are not given: no reaction through the slew is computed, only the "
            "customary bound is held to the ground."
        )
    if crane.tracks is not None and crane.tracks.gauge_m is None:
        return (
            "The gauge of the tracks is not given: the ground is checked with the boom along the tracks only."
        )
    return ""


def with_attention(check: Check, basis: BearingBasis) -> Check:
    """The check with the sentence that a bearing value without a report needs."""
    words = " ".join(part for part in (check.attention, basis.attention) if part)
    return check if words == check.attention else replace(check, attention=words)


def _reactions_N(pads: PadsOfCrane, state: Standing, gravity_m_s2: float) -> NDArray[np.float64]:
    return reactions_along_N(
        pads.base,
        pads.crane,
        hook_mass_kg=state.hook_mass_kg,
        radius_m=state.radius_m,
        slew_rad=slew_angles_rad(pads.sector_rad),
        gravity_m_s2=gravity_m_s2,
        stiffness=pads.stiffness,
    )


def _resistance_checks(
    pads: PadsOfCrane, ground: Ground, states: Sequence[Standing], gravity_m_s2: float
) -> Iterator[Check]:
    """Annex D for the worst pad of every state, every combination of the design approach; all forces as variable."""
    soil = ground.soil
    if soil is None:
        return
    for state in states:
        forces = _reactions_N(pads, state, gravity_m_s2)
        if not np.isfinite(forces).all():
            continue  # it overturns: the check of the pressure refuses it
        worst = float(forces.max())
        length, width = pads.sides_m(np.array([worst]))[0]
        for number, one in enumerate(combinations_of(soil.design_approach or ""), start=1):
            yield bearing_resistance_check(
                f"ground_bearing.{state.name}.{number}",
                state.station,
                f"Ground, {state.words}: bearing resistance, {one.name}",
                pad=bearing_pad(soil, (float(length), float(width))),
                soil=soil_of(soil),
                permanent_N=0.0,
                variable_N=worst,
                combination=one,
                soil_source=stated_source(ground),
            )


def _track_checks(
    crane: Crane, ground: Ground | None, states: Sequence[Standing], basis: BearingBasis, gravity_m_s2: float
) -> Iterator[Check]:
    tracks = crane.tracks
    if tracks is None or tracks.gauge_m is None:
        return
    for state in states:
        check = track_slew_check(
            f"ground_slew.{state.name}",
            state.station,
            f"Ground, {state.words}: pressure under the tracks in the slew",
            crawler=crawler_of(tracks),
            gauge_m=tracks.gauge_m,
            sector_rad=tracks.slew_sector or ALL_ROUND,
            hook_mass_kg=state.hook_mass_kg,
            radius_m=state.radius_m,
            gravity_m_s2=gravity_m_s2,
            mat_width_m=None if ground is None else ground.mat_width_m,
            allowable_Pa=basis.allowable_Pa,
            allowable_source=basis.source,
        )
        yield with_attention(check, basis)


def _level_checks(
    crane: Crane,
    pads: PadsOfCrane | None,
    ground: Ground,
    settlement: Settlement,
    states: Sequence[Standing],
    gravity_m_s2: float,
) -> Iterator[Check]:
    for state in states:
        found = _settlement(crane, pads, ground, settlement, state, gravity_m_s2)
        if found is None:
            continue  # without geometry, or overturned: other checks say so
        difference, base = found
        yield out_of_level_check(
            f"ground_level.{state.name}",
            state.station,
            f"Ground, {state.words}: out-of-level by settlement",
            difference_m=difference,
            base_m=base,
            limit_ratio=settlement.out_of_level_limit,
            source=settlement.source or "",
        )


def _settlement(
    crane: Crane,
    pads: PadsOfCrane | None,
    ground: Ground,
    settlement: Settlement,
    state: Standing,
    gravity_m_s2: float,
) -> tuple[float, float] | None:
    """Difference of settlement, m, and the distance over which it tilts the crane, m, at the steepest slew."""
    if pads is not None:
        return _pad_settlement(pads, settlement, state, gravity_m_s2)
    tracks = crane.tracks
    if tracks is None or tracks.gauge_m is None:
        return None
    if settlement.difference_m is not None:
        return settlement.difference_m, min(tracks.gauge_m, tracks.length_m)
    pressure = float(
        track_pressures_along_Pa(
            crawler_of(tracks),
            tracks.gauge_m,
            hook_mass_kg=state.hook_mass_kg,
            radius_m=state.radius_m,
            slew_rad=slew_angles_rad(tracks.slew_sector or ALL_ROUND),
            gravity_m_s2=gravity_m_s2,
        ).max()
    )
    if not math.isfinite(pressure) or settlement.subgrade_modulus_N_per_m3 is None:
        return None
    below = pressure * tracks.width_m / (ground.mat_width_m or tracks.width_m)
    # The other end or the other track as if it did not sink at all.
    return below / settlement.subgrade_modulus_N_per_m3, min(tracks.gauge_m, tracks.length_m)


def _pad_settlement(
    pads: PadsOfCrane, settlement: Settlement, state: Standing, gravity_m_s2: float
) -> tuple[float, float] | None:
    places = np.array(pads.base.pads_m)
    apart = np.linalg.norm(places[:, None, :] - places[None, :, :], axis=2)
    if settlement.difference_m is not None:
        return settlement.difference_m, float(apart[apart > 0.0].min())
    forces = _reactions_N(pads, state, gravity_m_s2)
    if not np.isfinite(forces).all() or settlement.subgrade_modulus_N_per_m3 is None:
        return None
    pressure = forces / pads.sides_m(forces.ravel()).reshape(*forces.shape, 2).prod(axis=2)
    sinking = pressure / settlement.subgrade_modulus_N_per_m3
    difference = np.abs(sinking[:, :, None] - sinking[:, None, :])
    slope = difference / np.where(apart > 0.0, apart, np.inf)
    row, one, other = np.unravel_index(int(np.argmax(slope)), slope.shape)
    if one == other:
        return 0.0, float(apart[apart > 0.0].min())
    return float(difference[row, one, other]), float(apart[one, other])
