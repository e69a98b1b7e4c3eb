"""The checks of a strut as what it is: bolted pieces, bent by its own weight, offset pins, bow and soft joints."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from plumbhook.checks.asme_bth_1.compression import StrutBasis
from plumbhook.checks.asme_bth_1.segmented import amplification_level, segmented_check
from plumbhook.checks.en_1993_1_1_2005.second_order import bow_divisor
from plumbhook.checks.en_1993_1_1_2005.strut import interaction_check, second_order_check
from plumbhook.checks.en_13155_2003.strength import (
    NO_RELEASE_COEFFICIENT,
    NO_SET_COEFFICIENT,
    no_permanent_set_check,
    no_release_check,
)
from plumbhook.checks.strut_layout import LineAttachment, end_pins_only_check
from plumbhook.checks.strut_rating import rating_table_check
from plumbhook.core.check import Check, Status
from plumbhook.model.lift import Lift
from plumbhook.planning.layout import lines_above, lines_below, strut_ends
from plumbhook.planning.rig import ResolvedLine, ResolvedRig, ResolvedStrut
from plumbhook.planning.solutions import Solutions
from plumbhook.planning.strut_analysis import BodyLoad, JointForces, StrutAnalysis


def strut_station(strut: ResolvedStrut, what: str) -> str:
    """Struts of one family and span are one station."""
    return f"strut.{strut.family.name}.{strut.span_m:.3f}.{what}"


def attachment_checks(rig: ResolvedRig, strut: ResolvedStrut) -> Iterator[Check]:
    """That lines pull at the end pins of a strut: a row only where one does not, for nothing else may be written."""
    found = attachments(rig, strut)
    check = end_pins_only_check(
        f"end_pins.{strut.name}",
        strut_station(strut, "compression"),
        f"Strut {strut.name}: every line pulls at an end pin",
        attachments=found,
    )
    if check.status is not Status.PASS:
        yield check


def strut_of_pieces_checks(
    lift: Lift, solutions: Solutions, strut: ResolvedStrut, basis: StrutBasis
) -> Iterator[Check]:
    """Second-order checks of a strut and the maker's rating; of struts that are alike, of the most loaded one.

    Args:
        lift: the lift.
        solutions: all cases of it.
        strut: the strut.
        basis: strut family and rules of the allowable-stress route.

    Returns:
        The checks, all at the station of the strut's compression; none where another strut stands for this one.
    """
    alike = [
        other
        for other in solutions.problem.rig.struts.values()
        if are_alike(solutions.problem.rig, strut, other)
    ]
    most_loaded = max(alike, key=lambda other: _sortable(solutions.compression_demand(other.name).worst))
    if most_loaded.name == strut.name:
        yield from _checks_of(lift, solutions, strut, basis, [other.name for other in alike])


def are_alike(rig: ResolvedRig, one: ResolvedStrut, other: ResolvedStrut) -> bool:
    """Whether two struts bend alike: family, pieces in the same or the opposite order, and lines at the same places."""

    def described(strut: ResolvedStrut) -> list[tuple[str, float, float]]:
        family = {item.serial: item.family for item in (*strut.fittings, *strut.pieces)}
        return [
            (family[p.serial], round(p.end_m - p.start_m, 9), round(p.mass_kg, 9)) for p in strut.placements
        ]

    inboard = any(a.distance_from_end_pin_m for strut in (one, other) for a in attachments(rig, strut))
    if inboard or one.family.name != other.family.name:
        return one.name == other.name
    return described(one) in (described(other), described(other)[::-1])


def _sortable(force_N: float) -> float:
    """A compression that is missing comes first: it must not hide behind a strut whose compression is known."""
    return math.inf if math.isnan(force_N) else force_N


def _checks_of(
    lift: Lift, solutions: Solutions, strut: ResolvedStrut, basis: StrutBasis, alike: Sequence[str]
) -> Iterator[Check]:
    rules, problem = lift.file.rules, solutions.problem
    demand = solutions.compression_demand(strut.name)
    analysis = analyse(lift, solutions, strut)
    station = strut_station(strut, "compression")
    force, family, name = demand.worst, strut.family, _name(strut, alike)
    stated_bow = 1.0 / rules.bow_ratio
    yield segmented_check(
        f"compression.{strut.name}.allowable_stress",
        station,
        f"{name}, {family.name} in {len(strut.pieces)} pieces: second order, allowable stress",
        demand=demand,
        solved=analysis.solved(
            force, factor=amplification_level(rules.nominal_design_factor), bow_divisor=stated_bow
        ),
        basis=basis,
    )
    bent = analysis.solved(
        force, factor=rules.load_partial_factor, bow_divisor=bow_divisor(family.buckling_curve)
    )
    yield second_order_check(
        f"compression.{strut.name}.second_order",
        station,
        f"{name}: second order with the bow of curve {family.buckling_curve}",
        demand=demand,
        solved=bent,
        section=basis.section,
        span_m=analysis.held_span_m,
        yield_Pa=family.yield_strength_Pa,
        curve=family.buckling_curve,
        gamma_F=rules.load_partial_factor,
        gamma_M1=rules.gamma_M1,
    )
    yield interaction_check(
        f"compression.{strut.name}.interaction",
        station,
        f"{name}: buckling and bending by interaction",
        demand=demand,
        solved=bent,
        moments=analysis.first_order(force, factor=rules.load_partial_factor),
        section=basis.section,
        yield_Pa=family.yield_strength_Pa,
        curve=family.buckling_curve,
        gamma_F=rules.load_partial_factor,
        gamma_M1=rules.gamma_M1,
    )
    dynamic = problem.dynamic_factor
    yield no_permanent_set_check(
        f"compression.{strut.name}.no_set",
        station,
        f"{name}: no permanent set at two times the static load",
        demand=demand,
        solved=analysis.solved(force, factor=NO_SET_COEFFICIENT / dynamic, bow_divisor=stated_bow),
        section=basis.section,
        yield_Pa=family.yield_strength_Pa,
        dynamic_factor=dynamic,
    )
    yield no_release_check(
        f"compression.{strut.name}.no_release",
        station,
        f"{name}: no release of the load at three times the static load",
        demand=demand,
        solved=analysis.solved(force, factor=NO_RELEASE_COEFFICIENT / dynamic, bow_divisor=stated_bow),
        section=basis.section,
        yield_Pa=family.yield_strength_Pa,
        dynamic_factor=dynamic,
    )
    if family.rating is not None:
        below = [[line.name for line in lines_below(problem.rig, end)] for end in strut_ends(strut)]
        yield rating_table_check(
            f"compression.{strut.name}.rating",
            station,
            f"{name}: rating of its maker",
            demand=solutions.hung_demand(*below),
            table=family.rating,
            span_m=strut.span_m,
            angle_from_vertical_rad=flattest_top_rad(solutions, strut),
            gravity_m_s2=problem.gravity_m_s2,
        )


def _name(strut: ResolvedStrut, alike: Sequence[str]) -> str:
    others = [name for name in alike if name != strut.name]
    return f"Strut {strut.name} (and {', '.join(others)}, alike)" if others else f"Strut {strut.name}"


def analyse(lift: Lift, solutions: Solutions, strut: ResolvedStrut) -> StrutAnalysis:
    """The strut of a lift, ready to be bent.

    Lines that hold it inboard of its pins shorten the span and leave overhangs; lines that hang from its body load it
    there with the largest vertical force of any case.
    """
    problem, place = solutions.problem, lift.file.place
    wind = place.wind.chart_limit_m_s if place is not None and place.wind is not None else None
    first, second = strut_ends(strut)
    above = [
        max((line.lower_inboard_m for line in lines_above(problem.rig, end)), default=0.0)
        for end in (first, second)
    ]
    held = (above[0], strut.span_m - above[1])
    loads = [
        BodyLoad(_from_first(strut, end, line.upper_inboard_m), _vertical_N(solutions, line))
        for end in (first, second)
        for line in lines_below(problem.rig, end)
    ]
    inboard = any(above) or any(
        line.upper_inboard_m for end in (first, second) for line in lines_below(problem.rig, end)
    )
    return StrutAnalysis(
        strut,
        lift.families,
        gravity_m_s2=problem.gravity_m_s2,
        dynamic_factor=problem.dynamic_factor,
        wind_m_s=wind or 0.0,
        held_at_m=held if held[1] > held[0] else None,
        body_loads=loads if inboard else (),
    )


def joint_forces(
    lift: Lift, solutions: Solutions, strut: ResolvedStrut, *, factor: float
) -> tuple[JointForces, ...]:
    """Compression, shear and second-order moment at every bolted joint, worst compression of all cases.

    Args:
        lift: the lift.
        solutions: all cases of it.
        strut: the strut.
        factor: factor on compression and self-weight: 1 at the level of service, a load factor for design values.

    Returns:
        One record for each joint in order from end a, N and N m.
    """
    force = solutions.compression_demand(strut.name).worst
    return analyse(lift, solutions, strut).joints(
        force, factor=factor, bow_divisor=1.0 / lift.file.rules.bow_ratio
    )


def attachments(rig: ResolvedRig, strut: ResolvedStrut) -> tuple[LineAttachment, ...]:
    """Where every line at a strut takes hold of it; a line choked round the tube holds nowhere that is known."""
    found = []
    for end in strut_ends(strut):
        for line, inboard, way in (
            *((line, line.lower_inboard_m, "to") for line in lines_above(rig, end)),
            *((line, line.upper_inboard_m, "from") for line in lines_below(rig, end)),
        ):
            found.append(LineAttachment(line.name, inboard, round_tube=line.choked_round == way))
    return tuple(found)


def flattest_top_rad(solutions: Solutions, strut: ResolvedStrut) -> float:
    """Largest angle from the vertical of the lines that hold a strut, as drawn and as it hangs, rad."""
    problem = solutions.problem
    angles = [
        max(
            problem.layout.angle_from_vertical_rad(line),
            solutions.nominal.angles_from_vertical_rad[line.name],
        )
        for end in strut_ends(strut)
        for line in lines_above(problem.rig, end)
    ]
    return max(angles, default=math.nan)


def _from_first(strut: ResolvedStrut, end: str, inboard_m: float) -> float:
    return inboard_m if end == strut_ends(strut)[0] else strut.span_m - inboard_m


def _vertical_N(solutions: Solutions, line: ResolvedLine) -> float:
    return max(
        case.tensions_N[line.name] * math.cos(case.angles_from_vertical_rad[line.name])
        for case in solutions.design
    )
