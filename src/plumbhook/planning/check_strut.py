"""The checks of a strut as what it is: bolted pieces, bent by its own weight, offset pins, bow and soft joints."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from copy import copy
from functools import partial

import numpy as np
import numpy.typing as npt

from plumbhook.checks.asme_bth_1.compression import StrutBasis
from plumbhook.checks.asme_bth_1.segmented import amplification_level, segmented_check
from plumbhook.checks.demand import Demand
from plumbhook.checks.en_1993_1_1_2005.second_order import bow_divisor
from plumbhook.checks.en_1993_1_1_2005.strut import interaction_check, second_order_check
from plumbhook.checks.en_13155_2003.strength import (
    NO_RELEASE_COEFFICIENT,
    NO_SET_COEFFICIENT,
    no_permanent_set_check,
    no_release_check,
)
from plumbhook.checks.solved_strut import SolvedStrut
from plumbhook.checks.strut_layout import LineAttachment, end_pins_only_check
from plumbhook.checks.strut_rating import rating_table_check
from plumbhook.core.check import Check, Status
from plumbhook.model.lift import Lift
from plumbhook.model.rules import Rules
from plumbhook.model.strut_rating import RatingTable
from plumbhook.planning.cases import RigProblem
from plumbhook.planning.interpolation import ManyValues
from plumbhook.planning.layout import lines_above, lines_below, strut_ends
from plumbhook.planning.rig import ResolvedLine, ResolvedRig, ResolvedStrut
from plumbhook.planning.solutions import Solutions
from plumbhook.planning.strut_analysis import BodyLoad, JointForces, StrutAnalysis

Array = npt.NDArray[np.float64]

SERVICE, DESIGN = "service", "design"
ALLOWABLE, SECOND_ORDER, NO_SET, NO_RELEASE = "allowable_stress", "second_order", "no_set", "no_release"


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
    """Second-order checks of a strut, and the maker's rating where the firm has entered one.

    Args:
        lift: the lift.
        solutions: all cases of it.
        strut: the strut.
        basis: strut family and rules of the allowable-stress route.

    Returns:
        The checks, all at the station of the strut's compression.
    """
    demand = solutions.compression_demand(strut.name)
    analysis = analyse(lift, solutions.problem, strut, _body_loads(solutions, strut))
    force, levels = demand.worst, levels_of(lift.file.rules, strut, solutions.problem.dynamic_factor)
    station, name = strut_station(strut, "compression"), f"Strut {strut.name}"

    def at(level: str) -> SolvedStrut:
        factor, divisor = levels[level]
        return analysis.solved(
            force, factor=factor, bow_divisor=divisor, quantity=moment_key(strut.name, level)
        )

    yield segmented_check(
        f"compression.{strut.name}.{ALLOWABLE}",
        station,
        f"{name}, {strut.family.name} in {len(strut.pieces)} pieces: second order, allowable stress",
        demand=demand,
        solved=at(ALLOWABLE),
        basis=basis,
    )
    yield from _eurocode_checks(lift.file.rules, strut, demand, at(SECOND_ORDER), analysis, basis)
    dynamic = solutions.problem.dynamic_factor
    for level, builder, words in (
        (NO_SET, no_permanent_set_check, "no permanent set at two times the static load"),
        (NO_RELEASE, no_release_check, "no release of the load at three times the static load"),
    ):
        yield builder(
            f"compression.{strut.name}.{level}",
            station,
            f"{name}: {words}",
            demand=demand,
            solved=at(level),
            section=basis.section,
            yield_Pa=strut.family.yield_strength_Pa,
            dynamic_factor=dynamic,
        )
    if strut.family.rating is not None:
        yield _rating_check(solutions, strut, strut.family.rating)


def _eurocode_checks(
    rules: Rules,
    strut: ResolvedStrut,
    demand: Demand,
    bent: SolvedStrut,
    analysis: StrutAnalysis,
    basis: StrutBasis,
) -> Iterator[Check]:
    family, station = strut.family, strut_station(strut, "compression")
    yield second_order_check(
        f"compression.{strut.name}.{SECOND_ORDER}",
        station,
        f"Strut {strut.name}: second order with the bow of curve {family.buckling_curve}",
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
        f"Strut {strut.name}: buckling and bending by interaction",
        demand=demand,
        solved=bent,
        moments=analysis.first_order(
            demand.worst, factor=rules.load_partial_factor, quantity=first_order_key(strut.name)
        ),
        section=basis.section,
        yield_Pa=family.yield_strength_Pa,
        curve=family.buckling_curve,
        gamma_F=rules.load_partial_factor,
        gamma_M1=rules.gamma_M1,
    )


def _rating_check(solutions: Solutions, strut: ResolvedStrut, table: RatingTable) -> Check:
    problem = solutions.problem
    first, second = (tuple(line.name for line in lines_below(problem.rig, end)) for end in strut_ends(strut))
    return rating_table_check(
        f"compression.{strut.name}.rating",
        strut_station(strut, "compression"),
        f"Strut {strut.name}: rating of its maker",
        demand=solutions.hung_demand(strut.name, first, second),
        table=table,
        span_m=strut.span_m,
        angle_from_vertical_rad=flattest_top_rad(solutions, strut),
        gravity_m_s2=problem.gravity_m_s2,
    )


def levels_of(rules: Rules, strut: ResolvedStrut, dynamic_factor: float) -> dict[str, tuple[float, float]]:
    """Levels at which a strut is bent: factor on compression and loads, and span over bow."""
    stated = 1.0 / rules.bow_ratio
    return {
        ALLOWABLE: (amplification_level(rules.nominal_design_factor), stated),
        SECOND_ORDER: (rules.load_partial_factor, bow_divisor(strut.family.buckling_curve)),
        NO_SET: (NO_SET_COEFFICIENT / dynamic_factor, stated),
        NO_RELEASE: (NO_RELEASE_COEFFICIENT / dynamic_factor, stated),
    }


def moment_key(strut: str, level: str) -> str:
    """Key of the second-order moment of a strut at a level, as a quantity of the rig."""
    return f"strut_moment:{strut}:{level}"


def first_order_key(strut: str) -> str:
    """Key of the first-order moments of a strut; each adds its own word."""
    return f"strut_first_order:{strut}"


def joint_levels(rules: Rules) -> dict[str, float]:
    """Factor on compression and loads of the joints: service at the dynamic load, and design values."""
    return {SERVICE: 1.0, DESIGN: rules.load_partial_factor}


def joint_key(strut: str, level: str, station_m: float) -> str:
    """Key of the forces of a joint of a strut at a level of load."""
    return f"joint:{strut}:{level}:{1e3 * station_m:.0f}"


class StrutMoments:
    """Moments of every strut of a lift for many compressions at once, by the keys that the checks name.

    A strut that is loaded or held off its pins has none: there the forces of the lines count as well.
    """

    def __init__(self, lift: Lift, problem: RigProblem) -> None:
        """Prepare the struts of a lift and its rig."""
        self._of: dict[str, dict[str, Callable[[Array], Array]]] = {}
        partial_factor = lift.file.rules.load_partial_factor
        for strut in problem.rig.struts.values():
            if any(a.distance_from_end_pin_m for a in attachments(problem.rig, strut)):
                continue
            analysis = analyse(lift, problem, strut)
            levels = levels_of(lift.file.rules, strut, problem.dynamic_factor)
            own: dict[str, Callable[[Array], Array]] = {
                moment_key(strut.name, level): ManyValues(
                    partial(analysis.moments_Nm, factor=factor, bow_divisor=divisor)
                )
                for level, (factor, divisor) in levels.items()
            }
            for word in ("largest", "end", "middle"):
                own[f"{first_order_key(strut.name)}:{word}"] = ManyValues(
                    partial(_first_order_moment_Nm, analysis, partial_factor, word)
                )
            divisor = 1.0 / lift.file.rules.bow_ratio
            for level, factor in joint_levels(lift.file.rules).items():
                own |= _joint_values(analysis, strut.name, level, factor, divisor)
            self._of[strut.name] = own

    def only(self, keys: Collection[str]) -> StrutMoments:
        """The same with only the quantities named."""
        less = copy(self)
        less._of = {
            strut: {key: value for key, value in own.items() if key in keys}
            for strut, own in self._of.items()
        }
        return less

    def quantities(self, compressions_N: Mapping[str, Array]) -> dict[str, Array]:
        """Every moment by its key, (N,), N m.

        Args:
            compressions_N: compression by strut, (N,), N.
        """
        return {
            key: moment(compressions_N[name]) for name, own in self._of.items() for key, moment in own.items()
        }


def _joint_values(
    analysis: StrutAnalysis, strut: str, level: str, factor: float, bow_divisor: float
) -> dict[str, Callable[[Array], Array]]:
    """Compression, shear and moment of every joint by their keys, as functions of the compression of the strut."""
    found: dict[str, Callable[[Array], Array]] = {}
    for at in analysis.joint_arrays(0.0, factor=factor, bow_divisor=bow_divisor):
        key = joint_key(strut, level, at)
        found[f"{key}:N"] = partial(np.multiply, factor)
        for symbol, which in (("V", 0), ("M", 1)):
            found[f"{key}:{symbol}"] = ManyValues(
                partial(_at_joint, analysis, factor=factor, bow_divisor=bow_divisor, at=at, which=which)
            )
    return found


def _at_joint(
    analysis: StrutAnalysis, force_N: Array, *, factor: float, bow_divisor: float, at: float, which: int
) -> Array:
    return analysis.joint_arrays(force_N, factor=factor, bow_divisor=bow_divisor)[at][which]


def _first_order_moment_Nm(analysis: StrutAnalysis, factor: float, word: str, force_N: Array) -> Array:
    return analysis.first_order_Nm(force_N, factor=factor)[word]


def analyse(
    lift: Lift, problem: RigProblem, strut: ResolvedStrut, body_loads: Sequence[BodyLoad] = ()
) -> StrutAnalysis:
    """The strut of a lift, ready to be bent; lines that hold it inboard of its pins leave overhangs.

    Args:
        lift: the lift.
        problem: its rig.
        strut: the strut.
        body_loads: what hangs from its body, or from its pins where those overhang.
    """
    place = lift.file.place
    wind = place.wind.chart_limit_m_s if place is not None and place.wind is not None else None
    first, second = (
        max((line.lower_inboard_m for line in lines_above(problem.rig, end)), default=0.0)
        for end in strut_ends(strut)
    )
    held = (first, strut.span_m - second)
    return StrutAnalysis(
        strut,
        lift.families,
        gravity_m_s2=problem.gravity_m_s2,
        dynamic_factor=problem.dynamic_factor,
        wind_m_s=wind or 0.0,
        held_at_m=held if held[1] > held[0] else None,
        body_loads=body_loads,
    )


def _body_loads(solutions: Solutions, strut: ResolvedStrut) -> tuple[BodyLoad, ...]:
    """The largest vertical force of every line below a strut that is loaded or held off its pins."""
    rig = solutions.problem.rig
    if not any(a.distance_from_end_pin_m for a in attachments(rig, strut)):
        return ()
    return tuple(
        BodyLoad(_from_first(strut, end, line.upper_inboard_m), _vertical_N(solutions, line))
        for end in strut_ends(strut)
        for line in lines_below(rig, end)
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
    analysis = analyse(lift, solutions.problem, strut, _body_loads(solutions, strut))
    return analysis.joints(force, factor=factor, bow_divisor=1.0 / lift.file.rules.bow_ratio)


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
