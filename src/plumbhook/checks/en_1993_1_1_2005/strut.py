"""EN 1993-1-1:2005: checks of a strut of pieces, compression with bending, by second order and by interaction."""

from __future__ import annotations

import math
from dataclasses import dataclass

from plumbhook.checks.demand import Demand
from plumbhook.checks.en_1993_1_1_2005.flexural_buckling import (
    BUCKLING_RESISTANCE,
    buckling_resistance_N,
    chs_class,
    class_step,
    imperfection_factor,
    reduction_steps,
    slenderness_step,
)
from plumbhook.checks.en_1993_1_1_2005.interaction import (
    INTERACTION_FACTOR,
    MEMBER_INTERACTION,
    MOMENT_FACTOR,
    interaction_factor,
    member_interaction,
    moment_factor_uniform_load,
)
from plumbhook.checks.en_1993_1_1_2005.second_order import (
    BOW,
    SECTION_RESISTANCE,
    bow_divisor,
    section_use,
)
from plumbhook.checks.sections import CircularHollowSection
from plumbhook.checks.solved_strut import ANALYSIS, SolvedStrut, level_steps, limit_value, use_value
from plumbhook.core.check import Check, Step, Value
from plumbhook.core.errors import InputError, Problem

_FIRST_ORDER = f"{ANALYSIS}, first order"
_CURE = "use a larger family or a shorter span, or bring the top slings nearer to the vertical"
_CLASS_4 = "the section is of class 4 (local buckling), which the gross section does not cover"


@dataclass(frozen=True, slots=True)
class FirstOrderMoments:
    """Moments of a strut from its loads and the offset of its pins, without bow and without further bending, N m.

    Attributes:
        first_end_Nm: at the first pin, sagging positive.
        second_end_Nm: at the other pin.
        middle_Nm: at mid-span.
        largest_Nm: the largest amount along the strut.
        quantity: key of these moments as quantities of the rig, for programs; each adds its own word.
    """

    first_end_Nm: float
    second_end_Nm: float
    middle_Nm: float
    largest_Nm: float
    quantity: str = ""

    def key(self, word: str) -> str:
        """Key of one of the moments, "" where they have none."""
        return f"{self.quantity}:{word}" if self.quantity else ""

    @property
    def larger_end_Nm(self) -> float:
        """End moment that is larger by amount."""
        return max(self.first_end_Nm, self.second_end_Nm, key=abs)

    @property
    def psi(self) -> float:
        """Smaller end moment over the larger, -1 to 1; 1 where both are zero."""
        smaller = min(self.first_end_Nm, self.second_end_Nm, key=abs)
        return smaller / self.larger_end_Nm if self.larger_end_Nm else 1.0


def second_order_check(
    check_id: str,
    station: str,
    title: str,
    *,
    demand: Demand,
    solved: SolvedStrut,
    section: CircularHollowSection,
    span_m: float,
    yield_Pa: float,
    curve: str,
    gamma_F: float,
    gamma_M1: float,
) -> Check:
    """Strut of pieces with the bow of its buckling curve: second-order moment and compression against the section.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        demand: compression in the strut, N, positive, dynamic factor included.
        solved: the strut bent under ``gamma_F`` times compression and self-weight, with the bow of Table 5.1.
        section: the tube.
        span_m: span pin to pin, m.
        yield_Pa: yield strength, Pa.
        curve: buckling curve of Table 6.2.
        gamma_F: load factor on compression and self-weight.
        gamma_M1: partial factor; that of instability, since no other check of stability is made here.

    Returns:
        The check, use of at most 1. Refused where the compression reaches the critical load; ``NOT_EVALUATED`` for a
        class 4 section or a number that is missing.

    Raises:
        InputError: a number is not positive, the curve is unknown, or the strut was solved at another compression or
            with another bow.
    """
    _refuse_nonsense(
        check_id,
        {"span": span_m, "yield strength": yield_Pa, "load factor": gamma_F, "partial factor": gamma_M1},
    )
    divisor = Value("n_0", bow_divisor(curve), "1", f"span over bow, curve {curve}", "Table 5.1")
    span = Value("L", span_m, "m", "span pin to pin", "pieces of the strut")
    bow = Value("e_0", span_m / divisor.value, "m", "bow of the strut", display="mm")
    if math.isfinite(solved.bow_m) and not math.isclose(solved.bow_m, bow.value, rel_tol=1e-9):
        raise InputError.one(
            f"the strut was analysed with a bow of {solved.bow_m:.6g} m; Table 5.1 asks for {bow.value:.6g} m",
            field=check_id,
        )
    levels = level_steps(demand, solved, _load_factor(gamma_F), "N_Ed", "design compression")
    force, values = levels[-1].result, {**section.values(), **solved.values()}
    strength, partial = _strength(yield_Pa), _partial(gamma_M1)
    squash = Value(
        "N_Rd", section.area_m2 * yield_Pa / gamma_M1, "N", "resistance to compression", display="kN"
    )
    bending = Value(
        "M_Rd", section.elastic_modulus_m3 * yield_Pa / gamma_M1, "Nm", "elastic resistance to bending",
        display="kN.m",
    )  # fmt: skip
    total = section_use(
        force.value, solved.moment_Nm, area_m2=section.area_m2, section_modulus_m3=section.elastic_modulus_m3,
        yield_Pa=yield_Pa, gamma_M=gamma_M1,
    )  # fmt: skip
    use = use_value(float(total), "use of the section, second order")
    section_class = chs_class(section.outside_diameter_m, section.wall_m, yield_Pa)
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=use,
        capacity=limit_value("6.2.1(7)"),
        clause=SECTION_RESISTANCE,
        steps=(
            *levels,
            Step(bow, "L/n_0", (span, divisor), BOW),
            *solved.plausibility_steps(force),
            class_step(values["D"], values["t"], strength, section_class),
            section.elastic_modulus_step(),
            Step(squash, "A*f_y/gamma_M1", (values["A"], strength, partial), SECTION_RESISTANCE),
            Step(bending, "Z*f_y/gamma_M1", (values["Z"], strength, partial), SECTION_RESISTANCE),
            Step(use, "N_Ed/N_Rd + M_II/M_Rd", (force, squash, values["M_II"], bending), SECTION_RESISTANCE),
        ),
        assumptions=solved.assumptions(),
        refused_because=solved.beyond_critical,
        not_evaluated_because=_CLASS_4 if section_class == 4 else demand.missing or solved.missing,
        cure=_CURE,
    )


def interaction_check(
    check_id: str,
    station: str,
    title: str,
    *,
    demand: Demand,
    solved: SolvedStrut,
    moments: FirstOrderMoments,
    section: CircularHollowSection,
    yield_Pa: float,
    curve: str,
    gamma_F: float,
    gamma_M1: float,
) -> Check:
    """Strut of pieces by interaction of flexural buckling and first-order moment, Annex B.

    The bow is in the buckling curve and not in the moments. Slenderness follows from the critical load of the strut
    with its joints.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        demand: compression in the strut, N, positive, dynamic factor included.
        solved: the strut under ``gamma_F`` times compression and self-weight; its critical load is used.
        moments: first-order moments at that level, without bow.
        section: the tube.
        yield_Pa: yield strength, Pa.
        curve: buckling curve of Table 6.2.
        gamma_F: load factor on compression and self-weight.
        gamma_M1: partial factor for resistance to instability.

    Returns:
        The check, use of at most 1. ``NOT_EVALUATED`` for a class 4 section or a number that is missing.

    Raises:
        InputError: a number is not positive, the curve is unknown, or the strut was solved at another compression.
    """
    _refuse_nonsense(
        check_id, {"yield strength": yield_Pa, "load factor": gamma_F, "partial factor": gamma_M1}
    )
    section_class = chs_class(section.outside_diameter_m, section.wall_m, yield_Pa)
    levels = level_steps(demand, solved, _load_factor(gamma_F), "N_Ed", "design compression")
    force, values = levels[-1].result, {**section.values(), **solved.values()}
    alpha = Value(
        "alpha", imperfection_factor(curve), "1", f"imperfection factor, curve {curve}", "Table 6.1"
    )
    strength, partial = _strength(yield_Pa), _partial(gamma_M1)
    slender = slenderness_step(values["A"], strength, values["N_cr"])
    reduction = reduction_steps(slender.result, alpha)
    chi = reduction[-1].result
    buckling = Value(
        "N_b_Rd", float(buckling_resistance_N(chi.value, section.area_m2, yield_Pa, gamma_M1)), "N",
        "design buckling resistance", display="kN",
    )  # fmt: skip
    resistance = _moment_resistance_steps(section, section_class, strength, partial)
    factors = _factor_steps(moments, force, buckling, slender.result, section_class)
    largest = Value(
        "M_Ed", moments.largest_Nm, "Nm", "largest first-order moment, no bow", _FIRST_ORDER, "kN.m",
        moments.key("largest"),
    )  # fmt: skip
    total = member_interaction(
        force.value, buckling.value, factors[-1].result.value, largest.value, resistance[-1].result.value
    )
    use = use_value(float(total), "use of the member")
    gone = "" if _finite(moments) else "a first-order moment of the strut is missing"
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=use,
        capacity=limit_value("6.3.3(4)"),
        clause=MEMBER_INTERACTION,
        steps=(
            *levels,
            class_step(values["D"], values["t"], strength, section_class),
            slender,
            *reduction,
            Step(buckling, "chi*A*f_y/gamma_M1", (chi, values["A"], strength, partial), BUCKLING_RESISTANCE),
            *resistance,
            *factors,
            Step(
                use,
                "N_Ed/N_b_Rd + k_yy*M_Ed/M_Rd",
                (force, buckling, factors[-1].result, largest, resistance[-1].result),
                MEMBER_INTERACTION,
                "eq. (6.62) has the smaller factor 0.6 k_yy for a tube bent in one plane",
            ),
        ),
        assumptions=solved.assumptions(),
        refused_because=solved.beyond_critical,
        not_evaluated_because=_CLASS_4 if section_class == 4 else demand.missing or gone or solved.missing,
        cure=_CURE,
    )


def _finite(moments: FirstOrderMoments) -> bool:
    numbers = (moments.first_end_Nm, moments.second_end_Nm, moments.middle_Nm, moments.largest_Nm)
    return all(math.isfinite(number) for number in numbers) and moments.largest_Nm >= 0.0


def _moment_resistance_steps(
    section: CircularHollowSection, section_class: int, strength: Value, partial: Value
) -> tuple[Step, ...]:
    values = section.values()
    if section_class > 2:
        first = section.elastic_modulus_step()
    else:
        plastic = Value("W_pl", section.plastic_modulus_m3, "m3", "plastic section modulus", display="cm3")
        first = Step(plastic, "(D**3 - (D - 2*t)**3)/6", (values["D"], values["t"]), SECTION_RESISTANCE)
    modulus = first.result
    moment = Value(
        "M_Rd", modulus.value * strength.value / partial.value, "Nm", "resistance to bending", display="kN.m"
    )
    return first, Step(
        moment, f"{modulus.symbol}*f_y/gamma_M1", (modulus, strength, partial), SECTION_RESISTANCE
    )


def _factor_steps(
    moments: FirstOrderMoments, force: Value, buckling: Value, slenderness: Value, section_class: int
) -> tuple[Step, ...]:
    """Equivalent moment factor and interaction factor."""
    end = Value(
        "M_h", moments.larger_end_Nm, "Nm", "larger end moment", _FIRST_ORDER, "kN.m", moments.key("end")
    )
    middle = Value(
        "M_s", moments.middle_Nm, "Nm", "moment at mid-span", _FIRST_ORDER, "kN.m", moments.key("middle")
    )
    number = moment_factor_uniform_load(moments.larger_end_Nm, moments.middle_Nm, moments.psi)
    factor = Value("C_my", number, "1", "equivalent uniform moment factor")
    psi = Value("psi", moments.psi, "1", "smaller end moment over the larger", _FIRST_ORDER)
    formula, inputs = _moment_factor_formula(end, middle, psi)
    room = "abs(M_s) - abs(M_h)" if abs(middle.value) >= abs(end.value) else "abs(M_h) - abs(M_s)"
    holds = room if {"M_s", "M_h"} <= {value.symbol for value in inputs} else ""
    ratio = Value("n", force.value / buckling.value, "1", "part of the buckling resistance used")
    k_yy = Value(
        "k_yy", float(interaction_factor(number, slenderness.value, ratio.value, min(section_class, 3))), "1",
        "interaction factor",
    )  # fmt: skip
    plastic = section_class <= 2
    return (
        Step(factor, formula, inputs, MOMENT_FACTOR, holds_while=holds),
        Step(ratio, "N_Ed/N_b_Rd", (force, buckling), MEMBER_INTERACTION),
        Step(
            k_yy,
            "C_my*min(1 + (lambda_bar - 0.2)*n, 1 + 0.8*n)"
            if plastic
            else "C_my*min(1 + 0.6*lambda_bar*n, 1 + 0.6*n)",
            (factor, slenderness, ratio),
            INTERACTION_FACTOR,
        ),
    )


def _moment_factor_formula(end: Value, middle: Value, psi: Value) -> tuple[str, tuple[Value, ...]]:
    if abs(middle.value) >= abs(end.value):
        if not middle.value:
            limit = Value("C_0", 0.95, "1", "factor without end moments", "Table B.3")
            return "C_0", (limit,)
        if end.value / middle.value < 0.0 and psi.value < 0.0:
            return "0.95 + 0.05*M_h/M_s*(1 + 2*psi)", (end, middle, psi)
        return "0.95 + 0.05*M_h/M_s", (end, middle)
    if middle.value / end.value >= 0.0:
        return "max(0.4, 0.2 + 0.8*M_s/M_h)", (end, middle)
    if psi.value >= 0.0:
        return "max(0.4, 0.1 - 0.8*M_s/M_h)", (end, middle)
    return "max(0.4, 0.1*(1 - psi) - 0.8*M_s/M_h)", (end, middle, psi)


def _load_factor(gamma_F: float) -> Value:
    return Value("gamma_F", gamma_F, "1", "load factor", "rules of the lift")


def _strength(yield_Pa: float) -> Value:
    return Value("f_y", yield_Pa, "Pa", "yield strength", "material", "MPa")


def _partial(gamma_M1: float) -> Value:
    return Value("gamma_M1", gamma_M1, "1", "partial factor for instability", "rules of the lift")


def _refuse_nonsense(check_id: str, positive: dict[str, float]) -> None:
    problems = tuple(
        Problem(check_id, f"the {name} must be a positive number")
        for name, number in positive.items()
        if not (math.isfinite(number) and number > 0.0)
    )
    if problems:
        raise InputError(problems)
