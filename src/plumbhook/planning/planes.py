"""The vertical planes in which a rig tilts, each with its triangle: tilt and restoring height in closed form."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from plumbhook.planning.assessment import Vector
from plumbhook.planning.layout import Layout, lines_above, lines_below, strut_ends, struts_from_below
from plumbhook.planning.rig import ResolvedRig, ResolvedStrut
from plumbhook.statics.closed_forms import restoring_height_m


@dataclass(frozen=True, slots=True)
class Plane:
    """One vertical plane in which the rig can tilt: horizontal direction, triangle height and masses.

    ``height_m`` is that of the triangle that acts in this plane (0 where the load hangs on two points and turns about
    their line); ``mass_kg`` is the mass at the foot of the triangle, ``offset_m`` the horizontal distance of its
    centre from the apex along ``direction``; ``apex_m`` is the apex along the same direction.
    """

    name: str
    direction: tuple[float, float]
    height_m: float
    mass_kg: float
    offset_m: float
    apex_m: float


def tilt_planes(rig: ResolvedRig, layout: Layout, lift_points_m: Mapping[str, Vector]) -> tuple[Plane, ...]:
    """The vertical planes in which the rig tilts independently, each with its triangle.

    A strut's plane has the triangle above it; a load on two points turns about their line; a bridle swings as one
    body below its hook in both planes. Empty where the arrangement has no closed form.
    """
    if rig.arrangement == "direct bridle":
        return _bridle_planes(layout, lift_points_m)
    if rig.arrangement == "four-strut frame":
        return _frame_planes(rig, layout)
    planes: list[Plane] = []
    for strut in struts_from_below(rig)[::-1]:
        direction = _direction(layout, strut)
        if any(abs(direction[0] * p.direction[0] + direction[1] * p.direction[1]) > 0.999 for p in planes):
            continue
        planes.append(_strut_plane(rig, layout, strut, direction))
    if rig.arrangement == "one strut":
        planes.append(_transverse_plane(rig, layout, planes[0]))
    return tuple(planes)


def _direction(layout: Layout, strut: ResolvedStrut) -> tuple[float, float]:
    """Horizontal direction of a strut, turned so that its larger component is positive."""
    end_a, end_b = strut_ends(strut)
    delta = np.array(layout.nodes_m[end_b])[:2] - np.array(layout.nodes_m[end_a])[:2]
    delta = delta / np.hypot(*delta)
    return _positive((float(delta[0]), float(delta[1])))


def _positive(direction: tuple[float, float]) -> tuple[float, float]:
    """The same line, pointing so that its larger component is positive."""
    larger = max(direction, key=abs)
    return direction if larger > 0.0 else (-direction[0], -direction[1])


def _strut_plane(
    rig: ResolvedRig, layout: Layout, strut: ResolvedStrut, direction: tuple[float, float]
) -> Plane:
    end_a = strut_ends(strut)[0]
    apex = layout.nodes_m[lines_above(rig, end_a)[0].upper]
    apex_along = apex[0] * direction[0] + apex[1] * direction[1]
    parallel = [
        s for s in rig.struts.values() if abs(float(np.dot(_direction(layout, s), direction))) > 0.999
    ]
    mass = moment = 0.0
    for other in parallel:
        a, b = (np.array(layout.nodes_m[end]) for end in strut_ends(other))
        centre = a + (b - a) * other.centre_m / other.span_m
        mass += other.mass_kg
        moment += other.mass_kg * (float(centre[:2] @ np.array(direction)) - apex_along)
        for end, at in zip(strut_ends(other), (a, b), strict=True):
            hung = _hung_mass_kg(rig, end)
            mass += hung
            moment += hung * (float(at[:2] @ np.array(direction)) - apex_along)
    name = " and ".join(s.name for s in parallel)
    return Plane(
        name=f"plane of {name}",
        direction=direction,
        height_m=apex[2] - layout.nodes_m[end_a][2],
        mass_kg=mass,
        offset_m=moment / mass,
        apex_m=apex_along,
    )


def _hung_mass_kg(rig: ResolvedRig, node: str) -> float:
    """Gear and lower struts that hang from a node like links (without the load)."""
    mass = 0.0
    for line in lines_below(rig, node):
        mass += line.mass_kg
        for strut in rig.struts.values():
            ends = strut_ends(strut)
            if line.lower in ends:
                part = strut.centre_m / strut.span_m
                mass += strut.mass_kg * (part if line.lower == ends[1] else 1.0 - part)
                mass += _hung_mass_kg(rig, line.lower)
    return mass


def _transverse_plane(rig: ResolvedRig, layout: Layout, along: Plane) -> Plane:
    """Across a single strut: the bridle triangle below an end, or the line of two lift points (height 0)."""
    across = _positive((-along.direction[1], along.direction[0]))
    strut = next(iter(rig.struts.values()))
    end = strut_ends(strut)[0]
    below = lines_below(rig, end)
    at = layout.nodes_m[end]
    height = 0.0
    if len(below) > 1:
        height = at[2] - float(np.mean([layout.nodes_m[line.lower][2] for line in below]))
    return Plane(
        name=f"across {strut.name}",
        direction=across,
        height_m=height,
        mass_kg=0.0,
        offset_m=0.0,
        apex_m=at[0] * across[0] + at[1] * across[1],
    )


def _bridle_planes(layout: Layout, lift_points_m: Mapping[str, Vector]) -> tuple[Plane, ...]:
    hook = layout.nodes_m["hook"]
    points = np.array(list(lift_points_m.values()))
    height = hook[2] - float(points[:, 2].mean())
    if len(points) == 2:
        along = points[1][:2] - points[0][:2]
        along = along / np.hypot(*along)
        directions = ((float(along[0]), float(along[1])), (float(-along[1]), float(along[0])))
        heights = (height, 0.0)
    else:
        directions, heights = ((1.0, 0.0), (0.0, 1.0)), (height, height)
    return tuple(
        Plane(f"plane {name}", d, h, 0.0, 0.0, hook[0] * d[0] + hook[1] * d[1])
        for name, d, h in zip(("along", "across"), directions, heights, strict=True)
    )


def _frame_planes(rig: ResolvedRig, layout: Layout) -> tuple[Plane, ...]:
    hook = layout.nodes_m["hook"]
    corners = list(rig.corners)
    height = hook[2] - layout.nodes_m[corners[0]][2]
    first = next(iter(rig.struts.values()))
    along = _direction(layout, first)
    across = _positive((-along[1], along[0]))
    planes = []
    for direction in (along, across):
        apex = hook[0] * direction[0] + hook[1] * direction[1]
        mass = moment = 0.0
        for strut in rig.struts.values():
            a, b = (np.array(layout.nodes_m[end]) for end in strut_ends(strut))
            centre = a + (b - a) * strut.centre_m / strut.span_m
            mass += strut.mass_kg
            moment += strut.mass_kg * (float(centre[:2] @ np.array(direction)) - apex)
        for corner in corners:
            hung = _hung_mass_kg(rig, corner)
            mass += hung
            moment += hung * (float(np.array(layout.nodes_m[corner])[:2] @ np.array(direction)) - apex)
        planes.append(
            Plane(
                f"plane of {first.name}" if direction == along else "plane across",
                direction,
                height,
                mass,
                moment / mass,
                apex,
            )
        )
    return tuple(planes)


def hand_tilts(
    planes: tuple[Plane, ...], lift_points_m: Mapping[str, Vector], load_mass_kg: float, cog_m: Vector
) -> tuple[tuple[Plane, float], ...]:
    """Tilt in each plane, positive when the side towards ``direction`` is low; planes that overturn are left out."""
    above = cog_m[2] - float(np.mean([at[2] for at in lift_points_m.values()]))
    found = []
    for plane in planes:
        restoring = restoring_height(plane, load_mass_kg, above)
        if restoring <= 0.0:
            continue
        offset = cog_m[0] * plane.direction[0] + cog_m[1] * plane.direction[1] - plane.apex_m
        # The triangle's own mass pulls at its own offset; refer both to the load's mass.
        common = offset + plane.offset_m * plane.mass_kg / load_mass_kg
        found.append((plane, math.atan(common / restoring)))
    return tuple(found)


def restoring_height(plane: Plane, load_mass_kg: float, cog_above_lift_points_m: float) -> float:
    """Effective restoring height in a plane, v(1 + m_T/m_C) - z, m; not positive means it rolls over."""
    if plane.height_m == 0.0:  # the load turns about the line of its lift points
        return -cog_above_lift_points_m
    return restoring_height_m(plane.height_m, cog_above_lift_points_m, plane.mass_kg / load_mass_kg)
