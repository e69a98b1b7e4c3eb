"""The hand method: closed forms on the level, unstretched rig, as a planner works them out on paper.

It is the second method beside the solver. It knows the arrangements whose forces statics alone decides; where a rig
is indeterminate it uses the customary bound and says so. "Same pose" repeats it with the centre of gravity moved by
the tilt, which is the figure the solver's rigid answer must agree with.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from plumbhook.planning.assessment import Vector
from plumbhook.planning.layout import Layout, lines_above, lines_below, strut_ends, struts_from_below
from plumbhook.planning.planes import Plane
from plumbhook.planning.rig import ResolvedLine, ResolvedRig, ResolvedStrut
from plumbhook.statics.closed_forms import (
    barycentric_shares,
    lever_shares,
    product_shares,
    strut_force_N,
)

_RECTANGLE_TOLERANCE_M = 1e-3
DIAGONAL_BOUND = "either diagonal pair carries everything"
"""Four legs from one hook to a stiff load: a customary bound, not an answer that the solver could agree with."""


@dataclass(frozen=True, slots=True)
class HandForces:
    """Result of the hand method. Forces without dynamic factor unless the weight handed in had it.

    ``bounds_N`` is the customary bound of a strut's compression: the heavier end times the tangent of its leg angle,
    plus the inward lean of its lower slings.
    """

    shares_N: dict[str, float]
    tensions_N: dict[str, float]
    compressions_N: dict[str, float]
    bounds_N: dict[str, float]
    method: str


def lift_point_shares(
    lift_points_m: Mapping[str, Vector], cog_m: Vector, *, diagonal: bool
) -> tuple[dict[str, float], str] | None:
    """Share of the weight at each lift point (sums to 1 but for the diagonal bound), with the name of the rule.

    Args:
        lift_points_m: two, three, or four on a rectangle; load coordinates.
        cog_m: centre of gravity, load coordinates.
        diagonal: four points on slings to one hook, stiff load: either diagonal may carry everything.

    Returns:
        None where no closed form holds.
    """
    names = list(lift_points_m)
    plan = np.array([lift_points_m[name][:2] for name in names])
    cog = np.array(cog_m[:2])
    if len(names) == 2:
        along = plan[1] - plan[0]
        length = float(np.hypot(*along))
        if length == 0.0:
            return None
        position = float((cog - plan[0]) @ along) / length
        return dict(zip(names, lever_shares(length, position), strict=True)), "lever rule on two points"
    if len(names) == 3:
        first, second, third = ((float(x), float(y)) for x, y in plan)
        shares = barycentric_shares(first, second, third, (float(cog[0]), float(cog[1])))
        return dict(zip(names, shares, strict=True)), "three points, barycentric"
    corners = _rectangle(plan) if len(names) == 4 else None
    if corners is None:
        return None
    centre, half_u, half_v, signs = corners
    offset = cog - centre
    length_u, length_v = float(np.hypot(*half_u)), float(np.hypot(*half_v))
    across = float(offset @ half_u) / length_u
    along_v = float(offset @ half_v) / length_v
    if diagonal:
        # Each diagonal in turn carries everything: lever rule along that diagonal.
        half = math.hypot(length_u, length_v)
        shares_d = {}
        for name, (su, sv) in zip(names, signs, strict=True):
            position = (su * across * length_u + sv * along_v * length_v) / half
            shares_d[name] = 0.5 * (1.0 + position / half)
        return shares_d, DIAGONAL_BOUND
    product = product_shares(2.0 * length_u, 2.0 * length_v, across, along_v)
    order = {(-1, -1): 0, (1, -1): 1, (1, 1): 2, (-1, 1): 3}
    return {
        name: product[order[sign]] for name, sign in zip(names, signs, strict=True)
    }, "product share on a rectangle"


def _rectangle(
    plan: np.ndarray,
) -> tuple[np.ndarray, np.ndarray, np.ndarray, list[tuple[int, int]]] | None:
    """Centre, half sides and the corner signs of four points, or None if they are no rectangle."""
    centre = plan.mean(axis=0)
    arms = plan - centre
    half = float(np.hypot(*arms[0]))
    if any(abs(float(np.hypot(*arm)) - half) > _RECTANGLE_TOLERANCE_M for arm in arms):
        return None
    opposite = min(range(1, 4), key=lambda i: float(np.hypot(*(arms[0] + arms[i]))))
    if float(np.hypot(*(arms[0] + arms[opposite]))) > _RECTANGLE_TOLERANCE_M:
        return None
    neighbour = next(i for i in range(1, 4) if i != opposite)
    half_u, half_v = 0.5 * (arms[0] - arms[neighbour]), 0.5 * (arms[0] + arms[neighbour])
    if min(float(np.hypot(*half_u)), float(np.hypot(*half_v))) < _RECTANGLE_TOLERANCE_M:
        return None
    signs = [(1 if float(arm @ half_u) > 0 else -1, 1 if float(arm @ half_v) > 0 else -1) for arm in arms]
    return centre, half_u, half_v, signs


def hand_forces(
    rig: ResolvedRig,
    layout: Layout,
    lift_points_m: Mapping[str, Vector],
    *,
    load_weight_N: float,
    cog_m: Vector,
    gravity_m_s2: float,
    tilt_by_plane: tuple[tuple[Plane, float], ...] = (),
) -> HandForces | None:
    """Forces of the level rig from the load upward.

    Args:
        rig: resolved rig.
        layout: as drawn.
        lift_points_m: by name.
        load_weight_N: weight of the load.
        cog_m: its centre of gravity, load coordinates.
        gravity_m_s2: for the rig's own masses.
        tilt_by_plane: planes with the tilt found in each; moves the centre of gravity by z tan(tilt) and turns the
            legs ("same pose"). Empty for the level rig.

    Returns:
        None where statics alone does not decide and no customary bound exists.
    """
    cog = _moved_cog(cog_m, lift_points_m, tilt_by_plane)
    bridle = not rig.struts
    found = lift_point_shares(lift_points_m, cog, diagonal=bridle and len(lift_points_m) == 4)
    if found is None:
        return None
    shares, method = found
    vertical: dict[str, float] = {f"load.{name}": share * load_weight_N for name, share in shares.items()}
    tensions: dict[str, float] = {}
    compressions: dict[str, float] = {}
    bounds: dict[str, float] = {}
    for strut in struts_from_below(rig):
        for end in strut_ends(strut):
            if end in vertical:
                continue
            below = lines_below(rig, end)
            if any(line.lower not in vertical or len(lines_above(rig, line.lower)) != 1 for line in below):
                return None
            vertical[end] = sum(vertical[line.lower] + line.mass_kg * gravity_m_s2 for line in below)
        _add_strut_weight(strut, vertical, gravity_m_s2)
    for line in rig.lines.values():
        if line.lower not in vertical:
            return None
        tensions[line.name] = (
            vertical[line.lower]
            * _turned(line, layout, tilt_by_plane)
            / math.cos(layout.angle_from_vertical_rad(line))
        )
    for strut in rig.struts.values():
        compressions[strut.name], bounds[strut.name] = _strut_forces(
            rig, layout, strut, vertical, with_lean=bool(tilt_by_plane)
        )
    return HandForces(
        shares_N={name: vertical[f"load.{name}"] for name in shares},
        tensions_N=tensions,
        compressions_N=compressions,
        bounds_N=bounds,
        method=method,
    )


def _add_strut_weight(strut: ResolvedStrut, vertical: dict[str, float], gravity_m_s2: float) -> None:
    end_a, end_b = strut_ends(strut)
    part_b = strut.centre_m / strut.span_m
    vertical[end_a] += strut.mass_kg * gravity_m_s2 * (1.0 - part_b)
    vertical[end_b] += strut.mass_kg * gravity_m_s2 * part_b


def _moved_cog(
    cog_m: Vector, lift_points_m: Mapping[str, Vector], tilt_by_plane: tuple[tuple[Plane, float], ...]
) -> Vector:
    x, y, z = cog_m
    above = z - float(np.mean([at[2] for at in lift_points_m.values()]))
    for plane, tilt in tilt_by_plane:
        x += above * math.tan(tilt) * plane.direction[0]
        y += above * math.tan(tilt) * plane.direction[1]
    return (x, y, z)


def _turned(line: ResolvedLine, layout: Layout, tilt_by_plane: tuple[tuple[Plane, float], ...]) -> float:
    """Factor on a leg's tension when its triangle has turned: V cos(tilt) / cos(beta)."""
    upper, lower = layout.between(line)
    reach = math.hypot(upper[0] - lower[0], upper[1] - lower[1])
    if reach < 1e-9 * line.length_m or line.role == "lower":
        return 1.0
    factor = 1.0
    for plane, tilt in tilt_by_plane:
        along = abs((upper[0] - lower[0]) * plane.direction[0] + (upper[1] - lower[1]) * plane.direction[1])
        if along > 0.01 * reach:
            factor *= math.cos(tilt)
    return factor


def _strut_forces(
    rig: ResolvedRig, layout: Layout, strut: ResolvedStrut, vertical: Mapping[str, float], *, with_lean: bool
) -> tuple[float, float]:
    """Compression with the apex over the centre of gravity, and the customary bound of the heavier end.

    The level figure leaves the lean of the lower slings out, as it is customary; in the same pose it counts, and in
    the bound it counts where it adds.
    """
    end_a, end_b = strut_ends(strut)
    at_a, at_b = (np.array(layout.nodes_m[end]) for end in (end_a, end_b))
    along = (at_b - at_a) / strut.span_m
    above = lines_above(rig, end_a)[0]
    apex = np.array(layout.nodes_m[above.upper])
    height = float(apex[2] - at_a[2])
    leans = (_lean_rad(rig, layout, end_a, along), _lean_rad(rig, layout, end_b, -along))
    if strut.corners is not None:
        compression = _frame_strut_force(rig, layout, strut, vertical)
        if with_lean:
            compression += max(
                vertical[end] * math.tan(lean) for end, lean in zip((end_a, end_b), leans, strict=True)
            )
    else:
        lean_a, lean_b = leans if with_lean else (0.0, 0.0)
        compression = strut_force_N(
            vertical[end_a], vertical[end_b], strut.span_m, height, lean_1_rad=lean_a, lean_2_rad=lean_b
        )
    bounds = [
        vertical[end] * (abs(float((apex - at) @ along)) / height + max(math.tan(lean), 0.0))
        for end, at, lean in zip((end_a, end_b), (at_a, at_b), leans, strict=True)
    ]
    return compression, max(bounds)


def _lean_rad(rig: ResolvedRig, layout: Layout, end: str, inward: np.ndarray) -> float:
    """Lean of what hangs below a strut end, from the end down to the lift points, positive towards mid-span."""
    points = np.array([layout.nodes_m[node] for node in _lift_points_below(rig, end)])
    offset = points.mean(axis=0) - np.array(layout.nodes_m[end])
    return math.atan2(float(offset @ inward), -float(offset[2]))


def _lift_points_below(rig: ResolvedRig, node: str) -> list[str]:
    """Lift points that a node carries, through lower struts."""
    found: list[str] = []
    for line in lines_below(rig, node):
        if line.lower.startswith("load."):
            found.append(line.lower)
            continue
        for strut in rig.struts.values():
            if line.lower in strut_ends(strut):
                found.extend(_lift_points_below(rig, line.lower))
    return found


def _frame_strut_force(
    rig: ResolvedRig, layout: Layout, strut: ResolvedStrut, vertical: Mapping[str, float]
) -> float:
    """Strut of a four-strut frame with the hook over the common centre of gravity: V dx / v, mean of its ends."""
    corners = list(rig.corners)
    total = sum(vertical[corner] for corner in corners)
    hook = sum(vertical[c] * np.array(layout.nodes_m[c]) for c in corners) / total
    height = layout.nodes_m["hook"][2] - layout.nodes_m[corners[0]][2]
    ends = strut_ends(strut)
    at_a, at_b = (np.array(layout.nodes_m[end]) for end in ends)
    along = (at_b - at_a) / strut.span_m
    forces = [
        vertical[end] * abs(float((hook - np.array(layout.nodes_m[end])) @ along)) / height for end in ends
    ]
    return float(np.mean(forces))
