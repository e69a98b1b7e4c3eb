"""What the ground may carry and who says so, and crane and mats as the ground checks need them."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from plumbhook.crane.bearing import classical
from plumbhook.crane.bearing.en_1997_1 import bearing_resistance_Pa, combinations_of, design_soil
from plumbhook.crane.bearing.ground_model import Pad, Soil
from plumbhook.crane.bearing.presumed import presumed_bearing_Pa
from plumbhook.crane.ground import Crawler
from plumbhook.crane.mats import PadOnMat
from plumbhook.crane.outriggers import bound_force_N
from plumbhook.crane.pad_checks import PadsOfCrane
from plumbhook.crane.pad_reactions import OutriggerBase, SlewingCrane
from plumbhook.crane.pads_along import CarrierStiffness
from plumbhook.model.ground import Mat, OutriggerGeometry, SoilStrength
from plumbhook.model.place import Crane, Ground, Outriggers, Tracks

ALL_ROUND = (0.0, 2.0 * math.pi)


@dataclass(frozen=True, slots=True)
class BearingBasis:
    """Allowable pressure of the ground.

    Attributes:
        allowable_Pa: the pressure; None where nobody has stated it.
        source: who says so: report and date, presumption, or formula; "" where that is not known.
        attention: a sentence for the crew where the value is not one of a report; "" otherwise.
    """

    allowable_Pa: float | None
    source: str
    attention: str = ""


def bearing_basis(ground: Ground | None, sides_m: tuple[float, float]) -> BearingBasis:
    """What the ground may carry below an area.

    Args:
        ground: the section of the lift file.
        sides_m: sides of the area below one pad or track, m; they matter for a calculated resistance only.
    """
    if ground is None:
        return BearingBasis(None, "")
    if ground.presumed is not None:
        presumed = ground.presumed
        seen = f"{presumed.seen_by}, {presumed.date.isoformat()}" if presumed.date else presumed.seen_by
        return BearingBasis(
            presumed_bearing_Pa(presumed.ground),
            f"presumed for {presumed.ground}, table from memory; ground seen by {seen}",
            f"The bearing value is presumed from the look of the ground ({presumed.ground}), not investigated: have "
            "those responsible for the ground confirm it.",
        )
    if ground.soil is not None:
        source = stated_source(ground)
        words = f"{_soil_words(ground.soil)}; soil: {source}" if source else ""
        return BearingBasis(soil_allowable_Pa(ground.soil, sides_m), words)
    return BearingBasis(ground.allowable_pressure_Pa, stated_source(ground))


def stated_source(ground: Ground | None) -> str:
    """Report, date and who gave the value; "" where no report is named."""
    if ground is None or ground.source is None:
        return ""
    parts = [ground.source]
    if ground.date is not None:
        parts.append(ground.date.isoformat())
    if ground.given_by is not None:
        parts.append(f"given by {ground.given_by}")
    return ", ".join(parts)


def soil_allowable_Pa(soil: SoilStrength, sides_m: tuple[float, float]) -> float:
    """Pressure that a calculated bearing resistance allows below an area, Pa.

    By EN 1997-1 every force counts as variable: least design resistance of the design approach over its factor of
    variable actions. By the other formulas: pressure at failure over the factor of safety.

    Args:
        soil: the section of the lift file.
        sides_m: sides of the area, m.

    Raises:
        InputError: the formula does not know the shape of the area (Terzaghi: strip or square only).
    """
    pad, ground = bearing_pad(soil, sides_m), soil_of(soil)
    if soil.method == "EN 1997-1":
        return min(
            bearing_resistance_Pa(pad, design_soil(ground, one)) / one.gamma_R / one.gamma_Q
            for one in combinations_of(soil.design_approach or "")
        )
    failure = {
        "Terzaghi": lambda: classical.terzaghi_Pa(pad, ground),
        "Meyerhof": lambda: classical.meyerhof_Pa(pad, ground),
        "Brinch Hansen": lambda: classical.brinch_hansen_Pa(pad, ground, vertical_N=1.0),
        "Vesic": lambda: classical.vesic_Pa(pad, ground),
    }[soil.method]()
    return failure / (soil.safety_factor or math.nan)


def bearing_pad(soil: SoilStrength, sides_m: tuple[float, float]) -> Pad:
    """The area as the bearing formulas see it, the shorter side first."""
    return Pad(min(sides_m), max(sides_m), soil.depth_m)


def soil_of(soil: SoilStrength) -> Soil:
    """The soil as the bearing formulas see it."""
    return Soil(
        soil.friction_angle_rad,
        soil.cohesion_Pa,
        soil.unit_weight_N_per_m3,
        soil.saturated_unit_weight_N_per_m3,
        soil.water_depth_m,
    )


def _soil_words(soil: SoilStrength) -> str:
    if soil.method == "EN 1997-1":
        return f"EN 1997-1 Annex D, design approach {soil.design_approach}, every force as variable"
    return f"{soil.method}, pressure at failure over {soil.safety_factor:g}"


def crawler_of(tracks: Tracks) -> Crawler:
    """The crawler as the ground checks see it."""
    return Crawler(
        machine_mass_kg=tracks.machine_mass_kg,
        cog_behind_slew_axis_m=tracks.machine_cog_behind_slew_axis_m,
        track_length_m=tracks.length_m,
        track_width_m=tracks.width_m,
    )


def pads_of(outriggers: Outriggers, mat: Mat | None) -> PadsOfCrane | None:
    """The crane on its pads; None where their geometry is not given.

    Raises:
        InputError: pads, masses or mat make no sense.
    """
    geometry = outriggers.geometry
    if geometry is None:
        return None
    return PadsOfCrane(
        names=tuple(geometry.pads),
        base=OutriggerBase(tuple(geometry.pads.values())),
        crane=_masses(outriggers, geometry),
        stiffness=None
        if geometry.pad_stiffness_N_per_m is None or geometry.torsional_stiffness_Nm_per_rad is None
        else CarrierStiffness(geometry.pad_stiffness_N_per_m, geometry.torsional_stiffness_Nm_per_rad),
        mat=None if mat is None else _pad_on_mat(geometry, mat),
        area_m=(outriggers.mat_length_m, outriggers.mat_width_m),
        sector_rad=geometry.slew_sector or ALL_ROUND,
    )


def _masses(outriggers: Outriggers, geometry: OutriggerGeometry) -> SlewingCrane:
    """Superstructure and counterweight as one mass that slews."""
    weight, behind = geometry.counterweight_kg or 0.0, geometry.counterweight_behind_m or 0.0
    upper = geometry.superstructure_mass_kg + weight
    moment = geometry.superstructure_mass_kg * geometry.superstructure_cog_m - weight * behind
    return SlewingCrane(outriggers.machine_mass_kg - upper, geometry.carrier_cog, upper, moment / upper)


def _pad_on_mat(geometry: OutriggerGeometry, mat: Mat) -> PadOnMat:
    return PadOnMat(
        pad_length_m=geometry.pad_length_m or math.nan,
        pad_width_m=geometry.pad_width_m or math.nan,
        mat_length_m=mat.length_m,
        mat_width_m=mat.width_m,
        thickness_m=mat.thickness_m,
        bending_strength_Pa=mat.bending_strength_Pa,
        shear_strength_Pa=mat.shear_strength_Pa,
        both_ways=mat.spreads == "both ways",
        offset_length_m=mat.pad_offset[0],
        offset_width_m=mat.pad_offset[1],
    )


def sides_below_m(
    crane: Crane, ground: Ground | None, gross_kg: float, gravity_m_s2: float
) -> tuple[float, float]:
    """Sides of the area below one pad, under the customary bound of its force, or below one track, m.

    NaN where the crane has neither tracks nor outriggers.
    """
    if crane.tracks is not None:
        mats = None if ground is None else ground.mat_width_m
        return (crane.tracks.width_m if mats is None else mats, crane.tracks.length_m)
    if crane.outriggers is None:
        return (math.nan, math.nan)
    pads = pads_of(crane.outriggers, None if ground is None else ground.mat)
    if pads is None:
        return (crane.outriggers.mat_length_m, crane.outriggers.mat_width_m)
    force = bound_force_N(
        crane.outriggers.machine_mass_kg + gross_kg, crane.outriggers.larger_share, gravity_m_s2
    )
    length, width = pads.sides_m(np.array([force]))[0]
    return (float(length), float(width))
