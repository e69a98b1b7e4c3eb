"""The checks of the lift points and of what slings do to the load: rating, direction, edge, sliding, squeeze."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from plumbhook.checks.bearing_on_load import LeaningPull, edge_check, sliding_check, squeeze_check
from plumbhook.checks.lift_point import (
    RATING_BY_ANGLE,
    lift_point_angle_check,
    lift_point_load_check,
    rating_at_angle_kg,
)
from plumbhook.core.check import Check, Value
from plumbhook.model.equipment import Item, ItemKind
from plumbhook.model.lift import Lift
from plumbhook.model.lift_point import LiftPoint
from plumbhook.planning.rig import ResolvedLine
from plumbhook.planning.solutions import Solutions

LOAD, ANGLE = "lift_point.load", "lift_point.angle"


def lift_point_checks(lift: Lift, solutions: Solutions) -> Iterator[Check]:
    """Checks of every lift point that a line takes hold of, and of the squeeze on the load."""
    lines = [line for line in solutions.problem.rig.lines.values() if line.lower.startswith("load.")]
    for line in lines:
        name = line.lower.removeprefix("load.")
        point = lift.file.load.lift_points[name]
        yield _load_check(solutions, line, name, point)
        yield lift_point_angle_check(
            f"lift_point_angle.{name}",
            ANGLE,
            f"Lift point {name}: angle off its axis",
            demand=solutions.off_axis_demand(name),
            max_angle_rad=point.angle_limit_rad,
        )
        yield from _edge_checks(line, name, point)
        if point.contact_slope_rad is not None:
            yield _sliding_check(solutions, line, name, point)
    if lift.file.load.squeeze_limit_N is not None:
        yield _squeeze_check(lift, solutions)


def _load_check(solutions: Solutions, line: ResolvedLine, name: str, point: LiftPoint) -> Check:
    rated = point.rated_load_kg
    beyond = ""
    if point.rating_by_angle:
        rows = [(row.angle_rad, row.rated_load_kg) for row in point.rating_by_angle]
        rated = rating_at_angle_kg(rows, solutions.off_axis_demand(name).worst)
        if rated is None:
            beyond = "the pull is further off the axis than the last row of the rating"
        elif point.rated_load_kg is not None:
            rated = min(rated, point.rated_load_kg)
    check = lift_point_load_check(
        f"lift_point.{name}",
        LOAD,
        f"Lift point {name}: force against its rated load",
        demand=solutions.line_demand(line.name),
        rated_mass_kg=rated,
        gravity_m_s2=solutions.problem.gravity_m_s2,
    )
    if point.rating_by_angle:
        check = replace(check, clause=RATING_BY_ANGLE)
    return replace(check, refused_because=beyond) if beyond else check


def _slings(line: ResolvedLine) -> list[Item]:
    """The slings of a line that are nearest to the load."""
    for group in reversed(line.groups):
        if group.items[0].kind.is_sling:
            return list(group.items)
    return []


def _edge_checks(line: ResolvedLine, name: str, point: LiftPoint) -> Iterator[Check]:
    if point.edge_radius_m is None:
        return
    for item in _slings(line):
        yield edge_check(
            f"edge.{name}.{item.serial}",
            LOAD,
            f"Lift point {name}: {item.serial} on an edge of the load",
            sling=item.serial,
            thickness_m=item.thickness_m,
            edge_radius_m=point.edge_radius_m,
            protector=point.protector,
        )


def _sliding_check(solutions: Solutions, line: ResolvedLine, name: str, point: LiftPoint) -> Check:
    lean = Value(
        "phi",
        solutions.largest_angle_rad(line.name),
        "rad",
        f"lean of {line.name} from plumb",
        "as it hangs, worst case with stretch",
        "deg",
        f"angle:{line.name}",
    )
    return sliding_check(
        f"sliding.{name}",
        LOAD,
        f"Lift point {name}: sling held by friction",
        slope_rad=point.contact_slope_rad or 0.0,
        lean=lean,
        friction=point.friction,
        tied=point.tie is not None,
        needs_tie=any(item.kind is ItemKind.BELLY_SLING for item in _slings(line)),
    )


def squeeze_cautions(lift: Lift, solutions: Solutions) -> Iterator[str]:
    """What somebody must ask the load's designer where slings lean and no limit of squeeze is stated."""
    if lift.file.load.squeeze_limit_N is None and (check := _squeeze_check(lift, solutions)).attention:
        yield check.attention


def _squeeze_check(lift: Lift, solutions: Solutions) -> Check:
    """Horizontal force of the slings on the load."""
    return squeeze_check(
        "squeeze.load",
        LOAD,
        "Load: squeeze by slings that lean",
        pulls=[
            LeaningPull(
                line.name, solutions.line_demand(line.name).worst, solutions.largest_angle_rad(line.name)
            )
            for line in solutions.problem.rig.lines.values()
            if line.lower.startswith("load.")
        ],
        squeeze_limit_N=lift.file.load.squeeze_limit_N,
        attention_above_rad=lift.file.rules.lower_sling_lean_attention_rad,
    )
