"""How the load hangs: tilt, restoring height, stability by energy, centre of gravity in the lift points."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
import numpy.typing as npt

from plumbhook.checks.demand import Demand
from plumbhook.core.check import Check, Clause, SourceQuality, Step, Value
from plumbhook.core.errors import InputError, Problem

FloatOrArray = float | npt.NDArray[np.float64]

TILT = Clause("Tilt of the hanging load", quality=SourceQuality.POLICY)
RESTORING_HEIGHT = Clause(
    "SN Applied Sciences, article s42452-021-04259-3",
    "2021",
    "Table 1: largest height of the centre of gravity v (1 + m_T/m_C)",
)
RESTORING_POLICY = Clause("Restoring height left over", quality=SourceQuality.POLICY)
STABLE_BY_ENERGY = Clause(
    "Every case hangs in a minimum of potential energy", quality=SourceQuality.OWN_DERIVATION
)
COG_INSIDE = Clause(
    "Centre of gravity inside the lift points, with its whole box", quality=SourceQuality.COMMON_PRACTICE
)


def tilt_check(
    check_id: str,
    station: str,
    title: str,
    *,
    demand: Demand,
    max_tilt_rad: float,
    clause: Clause = TILT,
) -> Check:
    """Largest tilt of the load over all cases against the policy.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        demand: angle between the load's own vertical axis and the vertical, rad.
        max_tilt_rad: largest tilt allowed, rad.
        clause: the rule that sets the limit.

    Returns:
        The check, in rad.
    """
    worst = demand.worst_step("theta", "largest tilt of the load")
    limit = Value("theta_max", max_tilt_rad, "rad", "largest tilt allowed", "policy", "deg")
    return Check(
        check_id,
        station,
        title,
        worst.result,
        limit,
        clause,
        (worst,),
        nominal=demand.nominal,
        not_evaluated_because=demand.missing,
        cure="bring the hook over the centre of gravity with legs of unequal length, or narrow the box "
        "of the centre of gravity by weighing",
    )


def largest_cog_height_m(
    triangle_height_m: FloatOrArray, strut_mass_kg: FloatOrArray, load_mass_kg: FloatOrArray
) -> FloatOrArray:
    """Largest stable height of the centre of gravity above the lower lift points, ``v (1 + m_T/m_C)``, m.

    Args:
        triangle_height_m: height v of the triangle of the top slings in the plane considered, m.
        strut_mass_kg: mass m_T at the base of that triangle (struts and gear there), kg.
        load_mass_kg: mass m_C of the load, kg.

    Returns:
        Height, m, above the lower lift points; the lower slings are vertical and of any length.

    Source: SN Applied Sciences (2021), article s42452-021-04259-3, Table 1 (5.27 m from v = 4.44 m and
    300 kN over 1600 kN).
    """
    return triangle_height_m * (1.0 + strut_mass_kg / load_mass_kg)


def restoring_height_m(
    triangle_height_m: FloatOrArray,
    strut_mass_kg: FloatOrArray,
    load_mass_kg: FloatOrArray,
    cog_height_m: FloatOrArray,
) -> FloatOrArray:
    """Restoring height ``GM = v (1 + m_T/m_C) - z``, m; the load turns over where it is not positive.

    Args:
        triangle_height_m: height v of the triangle of the top slings in the plane considered, m.
        strut_mass_kg: mass m_T at the base of that triangle, kg.
        load_mass_kg: mass m_C of the load, kg.
        cog_height_m: height z of the centre of gravity above the lower lift points, m; negative below them.

    Returns:
        Restoring height, m.

    Source: as :func:`largest_cog_height_m`, less the height of the centre of gravity.
    """
    return largest_cog_height_m(triangle_height_m, strut_mass_kg, load_mass_kg) - cog_height_m


def restoring_height_check(
    check_id: str,
    station: str,
    title: str,
    *,
    plane: str,
    triangle_height_m: float,
    strut_mass_kg: float,
    load_mass_kg: float,
    cog_height_m: float,
    required_ratio: float,
    clause: Clause = RESTORING_HEIGHT,
) -> Check:
    """Restoring height in one vertical plane against the part of the triangle's height that must be left.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        plane: the vertical plane, in words.
        triangle_height_m: height v of the triangle of the top slings in that plane, m.
        strut_mass_kg: mass m_T at the base of that triangle, kg; zero is on the safe side.
        load_mass_kg: mass m_C of the load, the greatest, kg.
        cog_height_m: highest place of the centre of gravity above the lower lift points, m; negative below.
        required_ratio: restoring height required, as a part of v (policy).
        clause: the rule that sets the limit.

    Returns:
        The check, in m: restoring height required against the restoring height there is.

    Raises:
        InputError: a height, mass or ratio makes no sense.
    """
    problems = [
        Problem(check_id, f"the {name} must be a {kind} number")
        for name, number, kind, ok in (
            ("height of the triangle", triangle_height_m, "positive", triangle_height_m > 0.0),
            ("mass of the load", load_mass_kg, "positive", load_mass_kg > 0.0),
            ("mass of the strut", strut_mass_kg, "non-negative", strut_mass_kg >= 0.0),
            ("required part", required_ratio, "non-negative", required_ratio >= 0.0),
        )
        if not (math.isfinite(number) and ok)
    ]
    if problems:
        raise InputError(tuple(problems))
    v = Value("v", triangle_height_m, "m", f"height of the triangle of top slings, {plane}", "as drawn")
    m_T = Value("m_T", strut_mass_kg, "kg", "mass at the base of the triangle", "item masses")
    m_C = Value("m_C", load_mass_kg, "kg", "mass of the load", "load statement", quantity="load_mass")
    z = Value(
        "z",
        cog_height_m,
        "m",
        "height of the centre of gravity above the lower lift points",
        "top of its box",
        quantity="cog_above_lift_points",
    )
    ratio = Value("k_GM", required_ratio, "1", "restoring height required, as a part of v", "policy", "%")
    z_max = Value(
        "z_max",
        float(largest_cog_height_m(triangle_height_m, strut_mass_kg, load_mass_kg)),
        "m",
        "largest stable height of the centre of gravity",
    )
    GM = Value(
        "GM",
        float(restoring_height_m(triangle_height_m, strut_mass_kg, load_mass_kg, cog_height_m)),
        "m",
        "restoring height",
    )
    required = Value("GM_req", required_ratio * triangle_height_m, "m", "restoring height required")
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=required,
        capacity=GM,
        clause=clause,
        steps=(
            Step(z_max, "v*(1 + m_T/m_C)", (v, m_T, m_C), RESTORING_HEIGHT),
            Step(GM, "z_max - z", (z_max, z), RESTORING_HEIGHT),
            Step(required, "k_GM*v", (ratio, v), RESTORING_POLICY),
        ),
        assumptions=(
            "The lower slings hang plumb; their length does not matter.",
            "One triangle of top slings acts in this plane.",
        ),
        cure="raise the lift points above the centre of gravity, or use longer top slings",
    )


def overturning_check_by_energy(
    check_id: str,
    station: str,
    title: str,
    *,
    case_status: Mapping[str, str],
    clause: Clause = STABLE_BY_ENERGY,
) -> Check:
    """Whether every case solved hangs stably: the solver's own verdict, case by case.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        case_status: verdict of the solver by name of the case; only the word ``stable`` is good.
        clause: the rule that sets the limit.

    Returns:
        The check: it fails where a case is ``unstable``, and is ``NOT_EVALUATED`` where there is no case or a
        case ended without a verdict.
    """
    unstable = [case for case, status in case_status.items() if status == "unstable"]
    unknown = [
        f"{case} ({status})" for case, status in case_status.items() if status not in ("stable", "unstable")
    ]
    count = Value(
        "n_not_stable",
        float(len(unstable) + len(unknown)) if case_status else math.nan,
        "1",
        "cases that do not hang stably",
        f"equilibrium of {len(case_status)} cases",
        quantity="not_stable",
    )
    refused_from = Value("n_lim", 1.0, "1", "number from which the rig is refused", "policy")
    not_evaluated = f"no verdict for: {', '.join(unknown)}" if unknown else ""
    return Check(
        check_id,
        station,
        title,
        count,
        refused_from,
        clause,
        refused_because=f"the load turns over in: {', '.join(unstable)}" if unstable else "",
        not_evaluated_because=not_evaluated if case_status else "no case was solved",
        cure="raise the lift points above the centre of gravity, or use longer top slings",
    )


Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class CogMargin:
    """The corner of the box nearest to an edge of the lift points.

    Attributes:
        corner: corner of the box in plan, m.
        edge_start: first lift point of the edge, counter-clockwise, m.
        edge_end: second lift point of the edge, m.
        distance_m: distance of the corner from the edge, m; negative outside.
    """

    corner: Point
    edge_start: Point
    edge_end: Point
    distance_m: float


def cog_margin(points: Sequence[Point], cog: Point, half_box: Point) -> CogMargin | None:
    """Smallest distance of the box of the centre of gravity from the edges of the lift points, in plan.

    Args:
        points: lift points in plan, m, in any order.
        cog: centre of gravity in plan, m.
        half_box: half sizes of its box, m, not negative.

    Returns:
        The governing corner and edge, or None where the lift points span no area.
    """
    hull = convex_hull(points)
    if len(hull) < 3:
        return None
    corners = [
        (cog[0] + sx * half_box[0], cog[1] + sy * half_box[1]) for sx, sy in product((-1, 1), repeat=2)
    ]
    margins = [
        CogMargin(corner, start, end, _distance_left_of(corner, start, end))
        for start, end in zip(hull, [*hull[1:], hull[0]], strict=True)
        for corner in corners
    ]
    return min(margins, key=lambda margin: margin.distance_m)


def _distance_left_of(point: Point, start: Point, end: Point) -> float:
    along = (end[0] - start[0], end[1] - start[1])
    across = along[0] * (point[1] - start[1]) - along[1] * (point[0] - start[0])
    return across / math.hypot(*along)


def convex_hull(points: Sequence[Point]) -> list[Point]:
    """Corners of the convex hull, counter-clockwise (monotone chain)."""
    ordered = sorted(set(points))

    def chain(sequence: Sequence[Point]) -> list[Point]:
        corners: list[Point] = []
        for point in sequence:
            while len(corners) > 1 and _distance_left_of(point, corners[-2], corners[-1]) <= 0.0:
                corners.pop()
            corners.append(point)
        return corners[:-1]

    return chain(ordered) + chain(ordered[::-1]) if len(ordered) > 2 else ordered


def cog_inside_lift_points_check(
    check_id: str,
    station: str,
    title: str,
    *,
    lift_points_m: Sequence[Point],
    cog_m: Point,
    cog_half_box_m: Point,
    required_margin_m: float = 0.0,
    clause: Clause = COG_INSIDE,
) -> Check:
    """Whether the whole box of the centre of gravity lies inside the lift points, in plan.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        lift_points_m: lift points in plan (x, y), m.
        cog_m: centre of gravity in plan, m.
        cog_half_box_m: half sizes of its box in plan, m.
        required_margin_m: margin that must be left, m.
        clause: the rule that sets the limit.

    Returns:
        The check, in m: margin required against the margin there is. Not applicable to lift points in a line.

    Raises:
        InputError: a coordinate is no number, or a half size is negative.
    """
    numbers = [*(c for point in lift_points_m for c in point), *cog_m, *cog_half_box_m, required_margin_m]
    if not all(math.isfinite(number) for number in numbers) or min(*cog_half_box_m, required_margin_m) < 0.0:
        raise InputError.one(
            "lift points and centre of gravity need coordinates, and its box half sizes of zero or more",
            field=check_id,
        )
    required = Value("d_req", required_margin_m, "m", "margin required", "policy", "mm")
    margin = cog_margin(lift_points_m, cog_m, cog_half_box_m)
    if margin is None:
        none = Value("d_in", math.nan, "m", "margin inside the lift points", "no area in plan", "mm")
        reason = "the lift points lie in one line; tilt about it is checked by equilibrium"
        return Check(
            check_id,
            station,
            title,
            required,
            none,
            clause,
            not_applicable_because=reason if len(set(lift_points_m)) > 1 else "",
            not_evaluated_because="" if len(set(lift_points_m)) > 1 else "fewer than two lift points",
        )
    step = _margin_step(margin, clause)
    return Check(
        check_id,
        station,
        title,
        required,
        step.result,
        clause,
        (step,),
        cure="use lift points that enclose the box of the centre of gravity, or find it more closely",
    )


def _margin_step(margin: CogMargin, clause: Clause) -> Step:
    places = {
        "x_a": (margin.edge_start[0], "x of the first lift point of the nearest edge"),
        "y_a": (margin.edge_start[1], "y of the first lift point of the nearest edge"),
        "x_b": (margin.edge_end[0], "x of the second lift point of that edge"),
        "y_b": (margin.edge_end[1], "y of the second lift point of that edge"),
        "x_c": (margin.corner[0], "x of the nearest corner of the box"),
        "y_c": (margin.corner[1], "y of the nearest corner of the box"),
    }
    inputs = tuple(
        Value(symbol, number, "m", meaning, "load statement") for symbol, (number, meaning) in places.items()
    )
    result = Value(
        "d_in",
        margin.distance_m,
        "m",
        "margin inside the lift points",
        display="mm",
        quantity="cog_inside_lift_points",
    )
    formula = "((x_b - x_a)*(y_c - y_a) - (y_b - y_a)*(x_c - x_a))/sqrt((x_b - x_a)**2 + (y_b - y_a)**2)"
    return Step(result, formula, inputs, clause)
