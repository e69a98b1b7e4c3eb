"""Independent proof of an equilibrium: sums of forces and moments from the reported poses and tensions alone.

Written with plain numbers on purpose: it shares no line with the solver, so an error of one does not hide in
the other. Each body is cut free: the pull of every element along its own line, its weight, and nothing else;
the whole rig is cut free at its hooks and supports. Then each element is asked whether the tension reported is the one
that its elongation gives.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from plumbhook.model.rig_graph import Element, ElementType, Pose, RigGraph, Vector

_EPS = 2.220446049250313e-16
_RELATIVE = 1e-8


@dataclass(frozen=True, slots=True)
class Proof:
    """Outcome of the proof.

    Attributes:
        holds: True if every sum is zero and every law is kept within its tolerance.
        force_N: largest sum of forces on a body or on the whole rig (N).
        moment_Nm: largest sum of moments (N m), about each body's centre of gravity or the first hook.
        law_N: largest difference between a reported tension and that of its elongation (N).
        force_tolerance_N: what ``force_N`` was held against.
        moment_tolerance_Nm: what ``moment_Nm`` was held against.
        worst: the first body, element or sum that does not hold, "" if all hold.
    """

    holds: bool
    force_N: float
    moment_Nm: float
    law_N: float
    force_tolerance_N: float
    moment_tolerance_Nm: float
    worst: str = ""


def prove(
    graph: RigGraph,
    poses: Mapping[str, Pose],
    tensions_N: Mapping[str, float],
    pin_forces_N: Mapping[str, Vector],
    support_forces_N: Mapping[str, float] | None = None,
) -> Proof:
    """Sum forces and moments on every body and on the whole rig.

    Args:
        graph: the rig.
        poses: world pose of every body (origin as in the graph).
        tensions_N: by element, positive in tension.
        pin_forces_N: for every pin the force on the body at its ``from`` end.
        support_forces_N: by support, positive where it pushes its body up.

    Returns:
        The proof; anything that is missing or not finite makes it fail.
    """
    weight = sum(body.mass_kg for body in graph.bodies) * graph.gravity_m_s2
    points = _world_points(graph, poses)
    sums: dict[str, list[float]] = {body.name: [0.0] * 6 for body in graph.bodies}
    sums[""] = [0.0] * 6
    centres = {body.name: poses[body.name].world(body.cog_m) for body in graph.bodies}
    centres[""] = graph.hooks_m[0].position_m if graph.hooks_m else centres[graph.bodies[0].name]
    reach = 0.0
    largest = 0.0
    steepest = 0.0
    law, law_worst = 0.0, ""
    spread = max((max(abs(x), abs(y), abs(z)) for x, y, z in points.values()), default=0.0)
    pushes = support_forces_N or {}
    for element in graph.elements:
        start = points[element.from_ref]
        if element.type is ElementType.SUPPORT:
            carried = pushes.get(element.name, math.nan)
            force = (0.0, 0.0, carried)
            off, allowed = _support_law(element, start[2], carried, spread)
        else:
            span = _minus(points[element.to_ref], start)
            distance, carried = _norm(span), tensions_N[element.name]
            force = _force(element, span, distance, carried, pin_forces_N)
            if element.type is not ElementType.PIN and distance > 0.0:
                steepest = max(steepest, abs(carried) / distance)
            off, allowed = _law(element, distance, span, carried, force, spread)
        largest = max(largest, abs(carried))
        if not off <= allowed + _RELATIVE * weight:
            what = "push" if element.type is ElementType.SUPPORT else "tension"
            law_worst = law_worst or f"{what} of '{element.name}'"
        law = off if not off <= law else law
        for name, point, pull in _actions(element, points, force):
            arm = _minus(point, centres[name])
            _add(sums[name], arm, pull)
            reach = max(reach, _norm(arm))
    for body in graph.bodies:
        pull = (0.0, 0.0, -body.mass_kg * graph.gravity_m_s2)
        sums[body.name][2] += pull[2]
        arm = _minus(centres[body.name], centres[""])
        _add(sums[""], arm, pull)
        reach = max(reach, _norm(arm))
    mean = _mean_length(graph)
    size = max(reach, mean)
    rounding = 64.0 * _EPS * (spread * steepest + largest + _stiffest(graph) * (2.0 * reach + mean))
    force_tolerance = _RELATIVE * weight + rounding
    return _conclude(sums, law, law_worst, force_tolerance, force_tolerance * size)


def _force(
    element: Element, span: Vector, distance: float, tension: float, pin_forces_N: Mapping[str, Vector]
) -> Vector:
    """Force on the body at the ``from`` end."""
    if element.type is ElementType.PIN:
        return pin_forces_N[element.name]
    if not distance > 0.0:
        return (math.nan, math.nan, math.nan)
    return (tension / distance * span[0], tension / distance * span[1], tension / distance * span[2])


def _actions(
    element: Element, points: Mapping[str, Vector], force: Vector
) -> list[tuple[str, Vector, Vector]]:
    """Bodies an element acts on ("" for the whole rig), where, and with what force.

    On the whole rig the hooks act with the opposite of what the element does to them, and the ground as it does on
    the body.
    """
    start = element.from_ref
    out = [_action(start, points[start], force)]
    if element.type is ElementType.SUPPORT:
        out.append(("", points[start], force))
    else:
        out.append(_action(element.to_ref, points[element.to_ref], _negative(force)))
    return out


def _action(ref: str, point: Vector, pull: Vector) -> tuple[str, Vector, Vector]:
    owner = ref[: ref.index(".")]
    return ("", point, _negative(pull)) if owner == "hook" else (owner, point, pull)


def _conclude(
    sums: Mapping[str, list[float]],
    law: float,
    law_worst: str,
    force_tolerance: float,
    moment_tolerance: float,
) -> Proof:
    worst = law_worst
    force = moment = 0.0
    for name, total in sums.items():
        f, m = math.hypot(*total[:3]), math.hypot(*total[3:])
        subject = f"'{name}'" if name else "the whole rig"
        if not f <= force_tolerance:
            worst = worst or f"sum of forces on {subject}"
        if not m <= moment_tolerance:
            worst = worst or f"sum of moments on {subject}"
        force = f if not f <= force else force
        moment = m if not m <= moment else moment
    return Proof(not worst, force, moment, law, force_tolerance, moment_tolerance, worst)


def _law(
    element: Element, distance: float, span: Vector, tension: float, force: Vector, spread: float
) -> tuple[float, float]:
    """Difference of the reported tension from the law of the element, and what rounding explains of it."""
    if element.type is ElementType.PIN:
        k = element.stiffness_N_per_m or math.nan
        off = math.hypot(*(k * s - f for s, f in zip(span, force, strict=True)))
        return max(off, abs(math.hypot(*force) - tension)), 64.0 * _EPS * k * spread
    length = element.unstretched_length_m or math.nan
    k = (element.EA_N or math.nan) / length
    expected = k * (distance - length)
    if element.type is ElementType.SLING:
        expected = max(expected, 0.0)
    return abs(tension - expected), 64.0 * _EPS * k * (spread + distance)


def _support_law(element: Element, height: float, push: float, spread: float) -> tuple[float, float]:
    """Difference of a reported push from what the sinking of the point gives, and what rounding explains of it."""
    k = element.stiffness_N_per_m or math.nan
    level = math.nan if element.level_m is None else element.level_m
    return abs(push - k * max(0.0, level - height)), 64.0 * _EPS * k * (spread + abs(level))


def _world_points(graph: RigGraph, poses: Mapping[str, Pose]) -> dict[str, Vector]:
    points = {f"hook.{hook.name}": hook.position_m for hook in graph.hooks_m}
    for body in graph.bodies:
        for point in body.points_m:
            points[f"{body.name}.{point.name}"] = poses[body.name].world(point.position_m)
    return points


def _mean_length(graph: RigGraph) -> float:
    lengths = [e.unstretched_length_m for e in graph.elements if e.unstretched_length_m is not None]
    return sum(lengths) / len(lengths) if lengths else 0.0


def _stiffest(graph: RigGraph) -> float:
    return max(
        e.stiffness_N_per_m
        if e.stiffness_N_per_m is not None
        else (e.EA_N or 0.0) / (e.unstretched_length_m or 1.0)
        for e in graph.elements
    )


def _minus(a: Vector, b: Vector) -> Vector:
    return (a[0] - b[0], a[1] - b[1], a[2] - b[2])


def _negative(a: Vector) -> Vector:
    return (-a[0], -a[1], -a[2])


def _norm(a: Vector) -> float:
    return math.sqrt(a[0] * a[0] + a[1] * a[1] + a[2] * a[2])


def _add(total: list[float], arm: Vector, force: Vector) -> None:
    total[0] += force[0]
    total[1] += force[1]
    total[2] += force[2]
    total[3] += arm[1] * force[2] - arm[2] * force[1]
    total[4] += arm[2] * force[0] - arm[0] * force[2]
    total[5] += arm[0] * force[1] - arm[1] * force[0]
