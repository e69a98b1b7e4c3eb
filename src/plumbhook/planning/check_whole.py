"""Checks of the rig as a whole: attitude, stability, slack, second method, pieces of the struts, state of the items."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from plumbhook.checks.assembly import joint_torque_check
from plumbhook.checks.attitude import (
    cog_inside_lift_points_check,
    cog_margin,
    overturning_check_by_energy,
    restoring_height_check,
    tilt_check,
)
from plumbhook.checks.equipment import ItemState, item_usable_check
from plumbhook.checks.held_by_slings import solved_restoring_height_check
from plumbhook.checks.second_method import MethodPair, second_method_check
from plumbhook.checks.slinging import slack_check
from plumbhook.checks.strut_layout import (
    StrutPart,
    mid_span_joint_check,
    one_family_check,
    piece_count_check,
)
from plumbhook.checks.two_points import two_point_hang_check
from plumbhook.core.check import Check, Clause, SourceQuality, Value
from plumbhook.core.errors import InputError
from plumbhook.core.units import format_quantity
from plumbhook.model.equipment import ItemKind
from plumbhook.model.lift import Lift
from plumbhook.model.load import cog_m
from plumbhook.planning.assemble import LOAD
from plumbhook.planning.assessment import Method
from plumbhook.planning.check_rig import ASSEMBLY, used_items
from plumbhook.planning.planes import tilt_planes
from plumbhook.planning.rig import ResolvedStrut
from plumbhook.planning.solutions import Solutions
from plumbhook.planning.statement import same_pose_pairs
from plumbhook.statics.margin import margins

ATTITUDE = "load.attitude"
STABILITY = "load.stability"
ITEMS = "items.state"
METHODS = "second_method"
FACTORS = "factors"
STATED_FACTORS = Clause(
    "Factors on weight and motion are stated with their source", quality=SourceQuality.POLICY
)


def refuse_cog_outside(lift: Lift) -> None:
    """Stop at once where the expected centre of gravity itself is outside the lift points, in plan.

    No share of the load can be stated then: the load turns until something else stops it. A box that leaves the
    lift points while its middle is inside is for the check to fail. A rig of free bodies is judged by its
    equilibrium alone, and so are lift points in one line.

    Raises:
        InputError: the centre of gravity is outside.
    """
    load = lift.file.load
    points = [(point.at_m[0], point.at_m[1]) for point in load.lift_points.values()]
    x, y, _ = cog_m(load)
    margin = cog_margin(points, (x, y), (0.0, 0.0))
    if lift.file.rig.arrangement == "free" or margin is None or margin.distance_m >= 0.0:
        return
    where = ", ".join(format_quantity(at, "m", "m", decimals=3) for at in (x, y))
    beyond = format_quantity(-margin.distance_m, "m", "mm", decimals=0)
    raise InputError.one(
        f"the centre of gravity ({where} in plan) is {beyond} outside the lift points: the load would turn over "
        "in the slings; correct it, or use lift points around it",
        field="load.cog" if load.declared_cog_m is not None else "load.parts",
        source=lift.source,
    )


def attitude_checks(lift: Lift, solutions: Solutions) -> Iterator[Check]:
    """Tilt, centre of gravity inside the lift points, restoring height by plane, verdict by energy, slack."""
    rules, problem = lift.file.rules, solutions.problem
    load = lift.file.load
    cog, box = cog_m(load), load.cog_box
    yield tilt_check(
        "tilt.load",
        ATTITUDE,
        "Tilt of the load, expected weight, worst corner of the box",
        demand=solutions.tilt_demand(),
        max_tilt_rad=rules.tilt_limit_rad,
    )
    if len(problem.lift_points_m) >= 3:
        yield cog_inside_lift_points_check(
            "cog.inside",
            ATTITUDE,
            "Box of the centre of gravity inside the lift points, in plan",
            lift_points_m=[(at[0], at[1]) for at in problem.lift_points_m.values()],
            cog_m=(cog[0], cog[1]),
            cog_half_box_m=(box.x_m, box.y_m),
        )
    if not problem.rig.is_free:
        above = cog[2] + box.z_m - float(np.mean([at[2] for at in problem.lift_points_m.values()]))
        yield from _restoring_heights(lift, solutions, above)
    yield _solved_restoring_height(lift, solutions)
    yield overturning_check_by_energy(
        "stability.energy",
        STABILITY,
        "Overturning in the slings: every case comes to a stable rest",
        case_status={
            f"{case.method.value}, {case.basis.value}, {case.case}": case.status
            for case in (*solutions.expected, *solutions.design)
            if case.method is not Method.HAND
        },
    )
    yield _slack(solutions)


def _restoring_heights(lift: Lift, solutions: Solutions, cog_above_points_m: float) -> Iterator[Check]:
    """One check per vertical plane; a load on two points turns about their line in the plane across it."""
    problem = solutions.problem
    planes = tilt_planes(problem.rig, problem.layout, problem.lift_points_m)
    tallest = max(plane.height_m for plane in planes)
    ratio = lift.file.rules.min_restoring_height_ratio
    for number, plane in enumerate(planes, start=1):
        if plane.height_m > 0.0:
            yield restoring_height_check(
                f"stability.{number}",
                STABILITY,
                f"Overturning in the slings, {plane.name}: restoring height, highest centre of gravity",
                plane=plane.name,
                triangle_height_m=plane.height_m,
                strut_mass_kg=plane.mass_kg,
                load_mass_kg=problem.design_mass_kg,
                cog_height_m=cog_above_points_m,
                required_ratio=ratio,
            )
        else:
            yield two_point_hang_check(
                f"stability.{number}",
                STABILITY,
                f"Turning over about the two lift points, {plane.name}: depth of the highest centre of gravity",
                cog_height_m=cog_above_points_m,
                reference_height_m=tallest,
                required_ratio=ratio,
            )


def _solved_restoring_height(lift: Lift, solutions: Solutions) -> Check:
    """The weaker plane as the solver finds it: the only answer where no closed form holds."""
    problem, hanging = solutions.problem, solutions.hanging
    weaker, _ = margins(hanging.graph, hanging.equilibrium, LOAD)
    x, y = weaker.direction
    nodes = problem.layout.nodes_m
    hook = max(nodes[name][2] for name in problem.layout.hooks)
    return solved_restoring_height_check(
        "stability.solver",
        STABILITY,
        "Overturning in the slings: restoring height of the weaker plane, by the solver",
        restoring_height_m=weaker.restoring_height_m,
        plane=f"plane {math.degrees(math.atan2(y, x)):.0f} degrees from x towards y",
        reference_height_m=hook - float(np.mean([at[2] for at in problem.lift_points_m.values()])),
        required_ratio=lift.file.rules.min_restoring_height_ratio,
    )


def _slack(solutions: Solutions) -> Check:
    # Lines without stretch overstate slack wherever statics alone does not decide, so the elastic answers count.
    solved = [case for case in solutions.design if case.method is Method.ELASTIC]
    least = min(
        (
            (tension, f"{line}, {case.method.value}, {case.case}")
            for case in solved
            for line, tension in case.tensions_N.items()
        ),
        key=lambda pair: pair[0],
    )
    return slack_check(
        "slack.lines",
        STABILITY,
        "No line goes slack in any case",
        least_tension_N=least[0],
        least_tension_where=least[1],
        slack=[f"{line} ({case.method.value}, {case.case})" for case in solved for line in case.slack],
    )


def factor_checks(lift: Lift) -> Iterator[Check]:
    """A weight or dynamic factor that nobody has stated: the numbers stand without it, and are no pass."""
    rules = lift.file.rules
    for name, factor, words in (
        ("weight_factor", rules.weight_factor, "Weight factor on the load"),
        ("dynamic_factor", rules.dynamic_factor, "Dynamic factor"),
    ):
        if factor is None:
            missing = Value("k", math.nan, "1", words, "missing")
            yield Check(
                check_id=f"factor.{name}",
                station=FACTORS,
                title=words,
                demand=missing,
                capacity=missing,
                clause=STATED_FACTORS,
                not_evaluated_because=f"rules.{name} is not given",
                cure=f"enter rules.{name} with its source (1 only if a source says so)",
            )


def second_method(lift: Lift, solutions: Solutions) -> Iterator[Check]:
    """Hand method in the same pose against the solver with rigid lines, every force of every case."""
    pairs = [
        MethodPair(f"{quantity}, {case}", hand, rigid)
        for quantity, case, hand, rigid in same_pose_pairs(solutions)
    ]
    check = second_method_check(
        "second_method.forces",
        METHODS,
        "Second method: hand statics in the same pose against the solver, largest difference",
        pairs=pairs,
        max_difference_ratio=lift.file.rules.second_method_tolerance,
    )
    if not pairs:
        check = replace(check, not_applicable_because="no closed form holds for this arrangement")
    yield check


def piece_checks(lift: Lift, strut: ResolvedStrut) -> Iterator[Check]:
    """Pieces of one strut: one family, few pieces, no joint at mid-span."""
    families = [
        strut.fittings[0].family,
        *(piece.family for piece in strut.pieces),
        strut.fittings[-1].family,
    ]
    parts = [
        StrutPart(p.serial, family, p.end_m - p.start_m, p.is_fitting)
        for p, family in zip(strut.placements, families, strict=True)
    ]
    rules = lift.file.rules
    yield one_family_check(
        f"family.{strut.name}",
        ASSEMBLY,
        f"Strut {strut.name}: pieces and fittings of one family",
        parts=parts,
    )
    yield piece_count_check(
        f"pieces.{strut.name}",
        ASSEMBLY,
        f"Strut {strut.name}: number of pieces between the fittings",
        parts=parts,
        max_pieces=rules.max_pieces,
    )
    yield mid_span_joint_check(
        f"mid_span.{strut.name}",
        ASSEMBLY,
        f"Strut {strut.name}: no joint at mid-span",
        parts=parts,
        least_distance_m=rules.mid_span_clear_ratio * strut.span_m,
    )
    yield joint_torque_check(
        f"torque.{strut.name}",
        ASSEMBLY,
        f"Strut {strut.name}: torque of the joint bolts",
        joint_bolts=strut.family.joint_bolts,
        joint_torque_Nm=strut.family.joint_torque_Nm,
        least_torque_Nm=rules.least_M20_torque_Nm,
    )


def item_checks(lift: Lift, solutions: Solutions) -> Iterator[Check]:
    """Items in order and in date on the day of the lift; load cells by their calibration."""
    cells: list[ItemState] = []
    accessories: list[ItemState] = []
    for item in used_items(solutions.problem.rig):
        state = ItemState(item.serial, _words(item.status, item.note), item.last_examination, item.mass_kg)
        (cells if item.kind is ItemKind.LOAD_CELL else accessories).append(state)
    rules, back = lift.file.rules, lift.file.lift.equipment_back
    days = "on the day of the lift" if back is None else f"until they are back on {back.isoformat()}"
    if accessories:
        yield item_usable_check(
            "items.accessories",
            ITEMS,
            f"Accessories in order and in date {days}",
            items=accessories,
            lift_date=lift.file.lift.date,
            used_until=lift.file.lift.equipment_back,
            interval_months=rules.accessory_examination_months,
        )
    if cells:
        yield item_usable_check(
            "items.load_cells",
            ITEMS,
            f"Load cells in order and calibrated {days}",
            items=cells,
            lift_date=lift.file.lift.date,
            used_until=lift.file.lift.equipment_back,
            interval_months=rules.load_cell_calibration_months,
        )


def _words(status: str, note: str) -> str:
    return status if status == "ok" or not note else f"{status}: {note}"
