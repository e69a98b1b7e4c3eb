"""Every case of a lift solved by every method: expected centre of gravity and the corners of its box.

The solver's answers say what the rig does; the hand method stands beside them. No code factor enters the
equilibrium: forces are multiplied by the dynamic factor once, when a case is written down.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from plumbhook.core.errors import NotEvaluatedError
from plumbhook.model.rig_graph import Pose, RigGraph, with_stiffness_factor
from plumbhook.planning.assemble import LOAD, AssembledRig, assemble
from plumbhook.planning.assessment import Basis, Box, CaseResult, Method, Posture, Rows, Vector
from plumbhook.planning.hand import hand_forces
from plumbhook.planning.layout import Layout, strut_ends
from plumbhook.planning.planes import hand_tilts, tilt_planes
from plumbhook.planning.rig import ResolvedRig
from plumbhook.statics import Equilibrium, solve

RIGID_FACTOR = 1.0e4
EXPECTED_CASE = "expected"


@dataclass(frozen=True, slots=True)
class RigProblem:
    """All that is fixed while weight and centre of gravity vary."""

    rig: ResolvedRig
    layout: Layout
    lift_points_m: Mapping[str, Vector]
    envelope: Box | None
    gravity_m_s2: float
    dynamic_factor: float
    expected_mass_kg: float
    design_mass_kg: float


def box_corners(cog_m: Vector, half_sizes_m: Vector) -> Iterator[tuple[str, Vector]]:
    """Named corners of the box around a centre of gravity; an axis of zero half size gives one corner only."""
    axes = []
    for name, half in zip("xyz", half_sizes_m, strict=True):
        axes.append([(f"{name}+", half), (f"{name}-", -half)] if half > 0.0 else [("", 0.0)])
    for choice in itertools.product(*axes):
        name = " ".join(label for label, _ in choice if label)
        if name:
            x, y, z = (c + d for c, (_, d) in zip(cog_m, choice, strict=True))
            yield name, (x, y, z)


def cases_of(cog_m: Vector, half_sizes_m: Vector) -> list[tuple[str, Vector]]:
    """The expected centre of gravity, the mid-height corners in plan, and all corners of the box."""
    found = [(EXPECTED_CASE, cog_m)]
    flat = (half_sizes_m[0], half_sizes_m[1], 0.0)
    found.extend(box_corners(cog_m, flat))
    if half_sizes_m[2] > 0.0:
        found.extend(box_corners(cog_m, half_sizes_m))
    return found


@dataclass(frozen=True, slots=True)
class SolvedCase:
    """A case of the solver with its posture."""

    result: CaseResult
    posture: Posture
    graph: RigGraph
    equilibrium: Equilibrium


def solve_case(
    problem: RigProblem,
    method: Method,
    basis: Basis,
    case: str,
    cog_m: Vector,
    start: Mapping[str, Pose] | None = None,
) -> SolvedCase:
    """Solve one case with the equilibrium solver.

    Args:
        problem: the rig.
        method: RIGID multiplies every stiffness by 10,000; ELASTIC takes it as it is.
        basis: which weight; DESIGN forces include the dynamic factor.
        case: name of the case.
        cog_m: centre of gravity in load coordinates.
        start: poses of a neighbouring case, to start from.

    Raises:
        NotEvaluatedError: the solver found no equilibrium at all.
    """
    mass = problem.design_mass_kg if basis is Basis.DESIGN else problem.expected_mass_kg
    assembled = assemble(
        problem.rig,
        problem.layout,
        problem.lift_points_m,
        load_mass_kg=mass,
        cog_m=cog_m,
        gravity_m_s2=problem.gravity_m_s2,
        name=f"{method.value} {basis.name.lower()} {case}",
    )
    graph = assembled.graph
    if method is Method.RIGID:
        graph = with_stiffness_factor(graph, RIGID_FACTOR)
    equilibrium = solve(graph, start=start)
    if not equilibrium.poses or not equilibrium.tensions_N:
        raise NotEvaluatedError(f"no equilibrium was found for case {case!r}: {equilibrium.message}")
    posture = posture_of(assembled, equilibrium, cog_m, case)
    factor = problem.dynamic_factor if basis is Basis.DESIGN else 1.0
    below = sum(equilibrium.hook_load_N.values()) + assembled.mass_at_hook_kg * problem.gravity_m_s2
    result = CaseResult(
        method=method,
        basis=basis,
        case=case,
        cog_m=cog_m,
        tensions_N={
            name: factor * tension
            for name, tension in equilibrium.tensions_N.items()
            if name in problem.rig.lines
        },
        angles_from_vertical_rad={
            name: equilibrium.angle_from_vertical_rad[name] for name in problem.rig.lines
        },
        off_axis_rad=_off_axis(problem.rig, posture),
        compressions_N={
            name: factor * value
            for name, value in compressions(problem.rig, posture, equilibrium.tensions_N).items()
        },
        tilt_rad=equilibrium.tilt_rad[LOAD],
        tilt_x_rad=_low(posture, 0),
        tilt_y_rad=_low(posture, 1),
        hook_load_N=factor * below,
        rig_height_m=_rig_height(problem, posture),
        residual_force_N=equilibrium.residual_force_N,
        residual_moment_Nm=equilibrium.residual_moment_Nm,
        slack=tuple(equilibrium.slack_m),
        status=equilibrium.status.value,
    )
    return SolvedCase(result=result, posture=posture, graph=graph, equilibrium=equilibrium)


def hand_case(
    problem: RigProblem, basis: Basis, case: str, cog_m: Vector, *, same_pose: bool
) -> CaseResult | None:
    """One case by the hand method, or None where no closed form holds.

    Args:
        problem: the rig.
        basis: which weight.
        case: its name.
        cog_m: centre of gravity, load coordinates.
        same_pose: move the centre of gravity by the hand tilt and turn the legs with it.
    """
    if problem.rig.is_free:
        return None
    mass = problem.design_mass_kg if basis is Basis.DESIGN else problem.expected_mass_kg
    factor = problem.dynamic_factor if basis is Basis.DESIGN else 1.0
    planes = tilt_planes(problem.rig, problem.layout, problem.lift_points_m)
    tilts = hand_tilts(planes, problem.lift_points_m, mass, cog_m)
    forces = hand_forces(
        problem.rig,
        problem.layout,
        problem.lift_points_m,
        load_weight_N=mass * problem.gravity_m_s2,
        cog_m=cog_m,
        gravity_m_s2=problem.gravity_m_s2,
        tilt_by_plane=tilts if same_pose else (),
    )
    if forces is None:
        return None
    slope_x = sum(math.tan(tilt) * plane.direction[0] for plane, tilt in tilts)
    slope_y = sum(math.tan(tilt) * plane.direction[1] for plane, tilt in tilts)
    complete = bool(planes) and len(tilts) == len(planes)
    total_kg = mass + problem.rig.mass_below_hook_chain_kg
    return CaseResult(
        method=Method.HAND,
        basis=basis,
        case=case,
        cog_m=cog_m,
        tensions_N={name: factor * value for name, value in forces.tensions_N.items()},
        angles_from_vertical_rad={
            name: problem.layout.angle_from_vertical_rad(line) for name, line in problem.rig.lines.items()
        },
        off_axis_rad={},
        compressions_N={name: factor * value for name, value in forces.compressions_N.items()},
        tilt_rad=math.atan(math.hypot(slope_x, slope_y)) if complete else math.nan,
        tilt_x_rad=math.atan(slope_x) if complete else math.nan,
        tilt_y_rad=math.atan(slope_y) if complete else math.nan,
        hook_load_N=factor * total_kg * problem.gravity_m_s2,
        rig_height_m=_drawn_height(problem),
        residual_force_N=math.nan,
        residual_moment_Nm=math.nan,
        slack=(),
        status=forces.method,
    )


def hand_bounds(problem: RigProblem, cog_m: Vector) -> dict[str, float]:
    """Customary bound of each strut's compression, design weight, × dynamic factor, N."""
    if problem.rig.is_free:
        return {}
    forces = hand_forces(
        problem.rig,
        problem.layout,
        problem.lift_points_m,
        load_weight_N=problem.design_mass_kg * problem.gravity_m_s2,
        cog_m=cog_m,
        gravity_m_s2=problem.gravity_m_s2,
    )
    if forces is None:
        return {}
    return {name: problem.dynamic_factor * value for name, value in forces.bounds_N.items()}


def posture_of(assembled: AssembledRig, equilibrium: Equilibrium, cog_m: Vector, name: str) -> Posture:
    """World positions of every node and of the load in an equilibrium."""
    nodes: dict[str, Vector] = {hook.name: hook.position_m for hook in assembled.graph.hooks_m}
    points = {body.name: {p.name: p.position_m for p in body.points_m} for body in assembled.graph.bodies}
    for node, place in assembled.places.items():
        nodes[node] = equilibrium.poses[place.body].world(points[place.body][place.point])
    pose = equilibrium.poses[LOAD]
    return Posture(
        name=name,
        nodes_m=nodes,
        load_origin_m=pose.origin_m,
        load_rows=pose.rotation_rows,
        cog_m=pose.world(cog_m),
    )


def drawn_posture(problem: RigProblem, cog_m: Vector) -> Posture:
    """The rig as drawn: level and unstretched."""
    rows: Rows = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
    return Posture("as drawn", dict(problem.layout.nodes_m), (0.0, 0.0, 0.0), rows, cog_m)


def compressions(rig: ResolvedRig, posture: Posture, tensions_N: Mapping[str, float]) -> dict[str, float]:
    """Compression of each strut from the lines at its ends, N, positive in compression; the larger of its ends.

    At a corner of a frame the pull of the lines is split between the two struts that meet there.
    """
    pulls: dict[str, np.ndarray] = {}
    for line in rig.lines.values():
        upper, lower = np.array(posture.nodes_m[line.upper]), np.array(posture.nodes_m[line.lower])
        pull = tensions_N[line.name] * (lower - upper) / np.linalg.norm(lower - upper)
        pulls[line.upper] = pulls.get(line.upper, np.zeros(3)) + pull
        pulls[line.lower] = pulls.get(line.lower, np.zeros(3)) - pull
    inward: dict[str, dict[str, np.ndarray]] = {}
    for strut in rig.struts.values():
        end_a, end_b = strut_ends(strut)
        axis = np.array(posture.nodes_m[end_b]) - np.array(posture.nodes_m[end_a])
        axis /= np.linalg.norm(axis)
        inward.setdefault(end_a, {})[strut.name] = axis
        inward.setdefault(end_b, {})[strut.name] = -axis
    found: dict[str, float] = {}
    for node, axes in inward.items():
        matrix = np.column_stack(list(axes.values()))
        parts = np.linalg.lstsq(matrix, pulls[node], rcond=None)[0]
        for name, part in zip(axes, parts, strict=True):
            found[name] = max(found.get(name, -math.inf), float(part))
    return found


def _off_axis(rig: ResolvedRig, posture: Posture) -> dict[str, float]:
    """Angle between each line at a lift point and the load's own vertical axis."""
    axis = np.array([row[2] for row in posture.load_rows])
    angles = {}
    for line in rig.lines.values():
        if line.lower.startswith("load."):
            pull = np.array(posture.nodes_m[line.upper]) - np.array(posture.nodes_m[line.lower])
            cosine = float(pull @ axis / np.linalg.norm(pull))
            angles[line.lower.removeprefix("load.")] = math.acos(max(-1.0, min(1.0, cosine)))
    return angles


def _low(posture: Posture, axis: int) -> float:
    """Slope of a load axis, positive when its plus side is low."""
    return -math.asin(max(-1.0, min(1.0, posture.load_rows[2][axis])))


def _rig_height(problem: RigProblem, posture: Posture) -> float:
    """From the lowest point of the load (corner of its envelope) to the crane hook's bearing."""
    rows, origin = np.array(posture.load_rows), np.array(posture.load_origin_m)
    lowest = min(float((rows @ corner + origin)[2]) for corner in _load_corners(problem))
    return _highest_hook(problem, posture.nodes_m) + problem.rig.hook_chain_length_m - lowest


def _drawn_height(problem: RigProblem) -> float:
    lowest = min(float(corner[2]) for corner in _load_corners(problem))
    return _highest_hook(problem, problem.layout.nodes_m) + problem.rig.hook_chain_length_m - lowest


def _highest_hook(problem: RigProblem, nodes_m: Mapping[str, Vector]) -> float:
    return max(nodes_m[hook][2] for hook in problem.layout.hooks)


def _load_corners(problem: RigProblem) -> list[np.ndarray]:
    if problem.envelope is None:
        return [np.array(at) for at in problem.lift_points_m.values()]
    low, high = problem.envelope.low_m, problem.envelope.high_m
    return [np.array(corner) for corner in itertools.product(*zip(low, high, strict=True))]
