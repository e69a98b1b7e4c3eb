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
from functools import lru_cache
from itertools import chain
from operator import attrgetter
from typing import TypeAlias

from plumbhook.model.rig_graph import Element, ElementType, Pattern, Pose, RigGraph, Vector, figures_of

_EPS = 2.220446049250313e-16
_RELATIVE = 1e-8
_TABLES = 64
# What acts on a body cut free, or on the whole rig: its number, the place and the force (N).
_Act: TypeAlias = tuple[int, Vector, Vector]
_position = attrgetter("position_m")
_pose = attrgetter("origin_m", "rotation_rows")


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


@dataclass(frozen=True, slots=True)
class ProofTable:
    """Which body each element acts on and where, read from the names of a rig alone.

    Places are counted hooks first, then the points of body after body; the last of the bodies stands for the whole rig.

    Attributes:
        elements: by element: is it a pin, is it a support, place at its ``from`` end, place at its ``to`` end (0 for a
            support), body at either end, the whole rig for a hook and for the ground.
    """

    elements: tuple[tuple[bool, bool, int, int, int, int], ...]


@lru_cache(maxsize=_TABLES)
def proof_table(pattern: Pattern) -> ProofTable:
    """The table of all rigs of a pattern."""
    whole = len(pattern.bodies)
    places = {f"hook.{name}": (number, whole) for number, name in enumerate(pattern.hooks)}
    for number, body in enumerate(pattern.bodies):
        for point in body.points:
            places[f"{body.name}.{point}"] = (len(places), number)
    rows = []
    for kind, from_ref, to_ref in zip(pattern.types, pattern.from_refs, pattern.to_refs, strict=True):
        support = kind is ElementType.SUPPORT
        start, first = places[from_ref]
        end, second = (0, whole) if support else places[to_ref]
        rows.append((kind is ElementType.PIN, support, start, end, first, second))
    return ProofTable(tuple(rows))


def table_of(graph: RigGraph) -> ProofTable:
    """The table of a rig.

    Raises:
        ValueError: if a place is not told by three numbers.
    """
    figures = figures_of(graph)
    if figures is None:
        raise ValueError(f"a place of rig {graph.name!r} is not told by three numbers")
    return proof_table(figures.pattern)


def prove(
    graph: RigGraph,
    poses: Mapping[str, Pose],
    tensions_N: Mapping[str, float],
    pin_forces_N: Mapping[str, Vector],
    support_forces_N: Mapping[str, float] | None = None,
    *,
    table: ProofTable | None = None,
) -> Proof:
    """Sum forces and moments on every body and on the whole rig.

    Args:
        graph: the rig.
        poses: world pose of every body (origin as in the graph).
        tensions_N: by element, positive in tension.
        pin_forces_N: for every pin the force on the body at its ``from`` end.
        support_forces_N: by support, positive where it pushes its body up.
        table: ``table_of(graph)``, if that is known.

    Returns:
        The proof; anything that is missing or not finite makes it fail.
    """
    table = table or table_of(graph)
    weight = sum([body.mass_kg for body in graph.bodies]) * graph.gravity_m_s2
    points, centres = _world_points(graph, poses)
    places = list(chain.from_iterable(points))
    spread = max(*places, -min(places))
    law, law_worst = 0.0, ""
    carries, slopes, stiffnesses = [0.0], [0.0], [0.0]
    pushes = support_forces_N or {}
    world, allowed_always = len(centres) - 1, _RELATIVE * weight
    acts: list[_Act] = []
    for element, (is_pin, is_support, at, to, first, second) in zip(
        graph.elements, table.elements, strict=True
    ):
        start, end = points[at], points[to]
        if is_support:
            carried = pushes.get(element.name, math.nan)
            fx, fy, fz = 0.0, 0.0, carried
            off, allowed, k = _support_law(element, start[2], carried, spread)
            acts.append((world, start, (fx, fy, fz)))
        else:
            carried = tensions_N[element.name]
            x, y, z = end[0] - start[0], end[1] - start[1], end[2] - start[2]
            if is_pin:
                fx, fy, fz = force = pin_forces_N[element.name]
                off, allowed, k = _pin_law(element, (x, y, z), carried, force, spread)
            else:
                distance = math.sqrt(x * x + y * y + z * z)
                per_length = carried / distance if distance > 0.0 else math.nan
                fx, fy, fz = per_length * x, per_length * y, per_length * z
                slopes.append(abs(per_length))
                off, allowed, k = _line_law(element, distance, carried, spread)
            # On the whole rig a hook acts with the opposite of what the element does to it.
            acts.append((second, end, (fx, fy, fz) if second == world else (-fx, -fy, -fz)))
        acts.append((first, start, (-fx, -fy, -fz) if first == world else (fx, fy, fz)))
        carries.append(abs(carried))
        stiffnesses.append(k)
        if not off <= allowed + allowed_always:
            law_worst = law_worst or f"{'push' if is_support else 'tension'} of '{element.name}'"
        law = off if not off <= law else law
    for number, body in enumerate(graph.bodies):
        pull = (0.0, 0.0, -body.mass_kg * graph.gravity_m_s2)
        acts += [(number, centres[number], pull), (world, centres[number], pull)]
    sums, reach = _sums(acts, centres)
    mean = _mean_length(graph)
    rounding = 64.0 * _EPS * (spread * max(slopes) + max(carries) + max(stiffnesses) * (2.0 * reach + mean))
    force_tolerance = _RELATIVE * weight + rounding
    return _conclude(graph, sums, law, law_worst, force_tolerance, force_tolerance * max(reach, mean))


def _sums(acts: list[_Act], centres: list[Vector]) -> tuple[list[list[float]], float]:
    """Forces and moments (N, N m) of everything that acts, by body about its centre, and the longest arm (m)."""
    sums = [[0.0] * 6 for _ in centres]
    squares = [0.0]
    for body, (px, py, pz), (fx, fy, fz) in acts:
        cx, cy, cz = centres[body]
        x, y, z = px - cx, py - cy, pz - cz
        total = sums[body]
        total[0] += fx
        total[1] += fy
        total[2] += fz
        total[3] += y * fz - z * fy
        total[4] += z * fx - x * fz
        total[5] += x * fy - y * fx
        squares.append(x * x + y * y + z * z)
    return sums, math.sqrt(max(squares))


def _conclude(
    graph: RigGraph,
    sums: list[list[float]],
    law: float,
    law_worst: str,
    force_tolerance: float,
    moment_tolerance: float,
) -> Proof:
    worst = law_worst
    force = moment = 0.0
    for number, (fx, fy, fz, mx, my, mz) in enumerate(sums):
        f, m = math.hypot(fx, fy, fz), math.hypot(mx, my, mz)
        if not (f <= force_tolerance and m <= moment_tolerance):
            subject = f"'{graph.bodies[number].name}'" if number < len(graph.bodies) else "the whole rig"
            what = "moments" if f <= force_tolerance else "forces"
            worst = worst or f"sum of {what} on {subject}"
        force = f if not f <= force else force
        moment = m if not m <= moment else moment
    return Proof(not worst, force, moment, law, force_tolerance, moment_tolerance, worst)


def _pin_law(
    element: Element, span: Vector, magnitude: float, force: Vector, spread: float
) -> tuple[float, float, float]:
    """Difference of the reported force of a pin from its law, what rounding explains of it, and its stiffness."""
    k = element.stiffness_N_per_m or math.nan
    (x, y, z), (fx, fy, fz) = span, force
    off = math.hypot(k * x - fx, k * y - fy, k * z - fz)
    return max(off, abs(math.hypot(fx, fy, fz) - magnitude)), 64.0 * _EPS * k * spread, k


def _line_law(element: Element, distance: float, tension: float, spread: float) -> tuple[float, float, float]:
    """Difference of a reported tension from the law of the line, what rounding explains of it, and the stiffness."""
    length = element.unstretched_length_m or math.nan
    k = (element.EA_N or math.nan) / length
    expected = k * (distance - length)
    if expected < 0.0 and element.type is ElementType.SLING:
        expected = 0.0
    return abs(tension - expected), 64.0 * _EPS * k * (spread + distance), k


def _support_law(element: Element, height: float, push: float, spread: float) -> tuple[float, float, float]:
    """Difference of a reported push from that of the sinking, what rounding explains of it, and the stiffness."""
    k = element.stiffness_N_per_m or math.nan
    level = math.nan if element.level_m is None else element.level_m
    return abs(push - k * max(0.0, level - height)), 64.0 * _EPS * k * (spread + abs(level)), k


def _world_points(graph: RigGraph, poses: Mapping[str, Pose]) -> tuple[list[Vector], list[Vector]]:
    """World places of hooks and points; centres of gravity, and last the point that moments of the whole are about."""
    points = [hook.position_m for hook in graph.hooks_m]
    centres = []
    for body in graph.bodies:
        (ox, oy, oz), ((a, b, c), (d, e, f), (g, h, i)) = _pose(poses[body.name])
        own = [
            (ox + a * x + b * y + c * z, oy + d * x + e * y + f * z, oz + g * x + h * y + i * z)
            for x, y, z in [*map(_position, body.points_m), body.cog_m]
        ]
        centres.append(own.pop())
        points += own
    return points, [*centres, points[0] if graph.hooks_m else centres[0]]


def _mean_length(graph: RigGraph) -> float:
    lengths = [e.unstretched_length_m for e in graph.elements if e.unstretched_length_m is not None]
    return sum(lengths) / len(lengths) if lengths else 0.0
