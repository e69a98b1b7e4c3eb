"""What cannot be true of the ground, the mats and the outriggers: said while the file is read."""

from __future__ import annotations

import math
from collections.abc import Iterator

from plumbhook.model.finding import Finding
from plumbhook.model.ground import Mat, OutriggerGeometry, SoilStrength
from plumbhook.model.place import Crane, Ground, Outriggers

_GROUND = ("place", "ground")
_GEOMETRY = ("place", "crane", "outriggers", "geometry")


def ground_findings(ground: Ground) -> Iterator[Finding]:
    """Two allowable values, a soil without the numbers that its method needs, two statements of settlement."""
    given = [
        name
        for name, value in (
            ("allowable_pressure", ground.allowable_pressure_Pa),
            ("presumed", ground.presumed),
            ("soil", ground.soil),
        )
        if value is not None
    ]
    if len(given) > 1:
        yield Finding(
            (*_GROUND, given[-1]),
            f"the ground is given by {' and by '.join(given)}; keep the one that is to be relied on",
        )
    if ground.soil is not None:
        yield from _soil_findings(ground.soil)
    settlement = ground.settlement
    if settlement is not None:
        both = settlement.subgrade_modulus_N_per_m3, settlement.difference_m
        if (both[0] is None) == (both[1] is None):
            yield Finding(
                (*_GROUND, "settlement"), "give either subgrade_modulus or difference, whichever is stated"
            )


def _soil_findings(soil: SoilStrength) -> Iterator[Finding]:
    path = (*_GROUND, "soil")
    if soil.friction_angle_rad == 0.0 and soil.cohesion_Pa == 0.0:
        yield Finding((*path, "cohesion"), "a soil needs an angle of shearing resistance or a cohesion")
    if not 5e3 <= soil.unit_weight_N_per_m3 <= 30e3:
        yield Finding((*path, "unit_weight"), "the unit weight of soil lies between 5 and 30 kN/m3")
    saturated = soil.saturated_unit_weight_N_per_m3
    if soil.water_depth_m is not None and saturated is None:
        yield Finding((*path, "saturated_unit_weight"), "state the unit weight below the water table")
    if saturated is not None and not 9810.0 < saturated <= 30e3:
        yield Finding(
            (*path, "saturated_unit_weight"), "soil below the water weighs more than water, up to 30 kN/m3"
        )
    if soil.method == "EN 1997-1" and soil.design_approach is None:
        yield Finding(
            (*path, "design_approach"),
            'EN 1997-1 needs the design approach of the national annex; write "1", "2" or "3"',
        )
    if soil.method != "EN 1997-1" and soil.safety_factor is None:
        yield Finding(
            (*path, "safety_factor"),
            f"the pressure at failure by {soil.method} needs a factor of safety; write for instance 3.0",
        )


def outrigger_findings(crane: Crane, ground: Ground | None) -> Iterator[Finding]:
    """Pads on one line, masses that do not add up, halves of pairs, a pad that stands out over its mat."""
    outriggers = crane.outriggers
    if outriggers is None or outriggers.geometry is None:
        return
    geometry = outriggers.geometry
    if _on_one_line(geometry):
        yield Finding(
            (*_GEOMETRY, "pads"),
            "the pads stand on one line and cannot hold the crane; check their places",
        )
    yield from _mass_findings(outriggers, geometry)
    for one, other in (
        ("pad_length", "pad_width"),
        ("pad_stiffness", "torsional_stiffness"),
        ("counterweight", "counterweight_behind_slew_axis"),
    ):
        values = [_by_alias(geometry, name) for name in (one, other)]
        if (values[0] is None) != (values[1] is None):
            missing = other if values[1] is None else one
            yield Finding((*_GEOMETRY, missing), f"{one} and {other} belong together; give {missing} too")
    sector = geometry.slew_sector
    if sector is not None and not sector[0] < sector[1]:
        yield Finding(
            (*_GEOMETRY, "slew_sector"),
            "the sector goes clockwise from its first bearing to a larger one; write for instance [-30 deg, 60 deg]",
        )
    if ground is not None and ground.mat is not None:
        yield from _mat_findings(geometry, ground.mat)


def _mass_findings(outriggers: Outriggers, geometry: OutriggerGeometry) -> Iterator[Finding]:
    slewing = geometry.superstructure_mass_kg + (geometry.counterweight_kg or 0.0)
    if not slewing < outriggers.machine_mass_kg:
        yield Finding(
            (*_GEOMETRY, "superstructure_mass"),
            "superstructure and counterweight weigh as much as the machine and leave nothing for the carrier; check "
            "machine_mass",
        )


def _mat_findings(geometry: OutriggerGeometry, mat: Mat) -> Iterator[Finding]:
    if geometry.pad_length_m is None or geometry.pad_width_m is None:
        yield Finding(
            (*_GEOMETRY, "pad_length"), "a mat spreads the force from the pad: give pad_length and pad_width"
        )
        return
    for side, pad, whole, offset in (
        ("length", geometry.pad_length_m, mat.length_m, mat.pad_offset[0]),
        ("width", geometry.pad_width_m, mat.width_m, mat.pad_offset[1]),
    ):
        if math.fabs(offset) + pad / 2.0 > whole / 2.0 * (1.0 + 1e-12):
            yield Finding(
                (*_GROUND, "mat", side),
                f"the pad stands out over the {side} of the mat; move it onto the mat or use a larger mat",
            )


def track_findings(crane: Crane) -> Iterator[Finding]:
    """A slew sector without the gauge, or the wrong way round."""
    tracks = crane.tracks
    if tracks is None or tracks.slew_sector is None:
        return
    path = ("place", "crane", "tracks")
    if tracks.gauge_m is None:
        yield Finding(
            (*path, "gauge"), "a slew sector needs the distance of the middles of the tracks; give gauge"
        )
    if not tracks.slew_sector[0] < tracks.slew_sector[1]:
        yield Finding(
            (*path, "slew_sector"),
            "the sector goes clockwise from its first bearing to a larger one; write for instance [-30 deg, 60 deg]",
        )


def _by_alias(geometry: OutriggerGeometry, alias: str) -> float | None:
    name = next(n for n, f in type(geometry).model_fields.items() if (f.alias or n) == alias)
    value: float | None = getattr(geometry, name)
    return value


def _on_one_line(geometry: OutriggerGeometry) -> bool:
    places = list(geometry.pads.values())
    n = len(places)
    mx, my = sum(p[0] for p in places) / n, sum(p[1] for p in places) / n
    xx = sum((p[0] - mx) ** 2 for p in places)
    yy = sum((p[1] - my) ** 2 for p in places)
    xy = sum((p[0] - mx) * (p[1] - my) for p in places)
    return xx * yy - xy * xy <= 1e-9 * (xx + yy) ** 2
