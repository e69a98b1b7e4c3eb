"""EN 13155: no permanent set at two times, no release of the load at three times the working load, static.

The text asks for a proof of strength by calculation or test; what is computed here is the strut alone. The dynamic
factor is taken out of the compression first: the coefficients stand for it.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from plumbhook.checks.demand import Demand
from plumbhook.checks.sections import CircularHollowSection
from plumbhook.checks.solved_strut import SolvedStrut, level_steps, limit_value, use_value
from plumbhook.core.check import Check, Clause, SourceQuality, Step, Value
from plumbhook.core.errors import InputError, Problem

FloatOrArray = float | npt.NDArray[np.float64]

_DOCUMENT, _EDITION = "EN 13155", "2003+A2:2009"
MECHANICAL_STRENGTH = Clause(_DOCUMENT, _EDITION, "5.1.1.1")
ELASTIC_EDGE = Clause(
    "Stress at the edge of a section in compression and bending", quality=SourceQuality.OWN_DERIVATION
)
PLASTIC_SECTION = Clause(
    "Straight-line interaction of squash load and plastic moment", quality=SourceQuality.OWN_DERIVATION
)

NO_SET_COEFFICIENT = 2.0
"""Times the working load without permanent set, EN 13155 5.1.1.1."""
NO_RELEASE_COEFFICIENT = 3.0
"""Times the working load without release of the load, permanent set allowed, EN 13155 5.1.1.1."""

MOST_LIFTING_CYCLES = 20_000
"""Lifting cycles for which the edition 2003+A2:2009 is written, by its scope."""
_WITHIN_SCOPE = f"No more than {MOST_LIFTING_CYCLES:,} lifting cycles; fatigue is not checked.".replace(
    ",", " "
)

_CURE = "use a larger family or a shorter span, or bring the top slings nearer to the vertical"


def edge_stress_Pa(
    compression_N: FloatOrArray, moment_Nm: FloatOrArray, area_m2: float, section_modulus_m3: float
) -> FloatOrArray:
    """Largest stress ``N/A + M/Z`` in a section, Pa.

    Args:
        compression_N: compression, N.
        moment_Nm: moment, N m.
        area_m2: area, m2.
        section_modulus_m3: elastic section modulus, m3.

    Source: theory of beams.
    """
    return compression_N / area_m2 + moment_Nm / section_modulus_m3


def plastic_use(
    compression_N: FloatOrArray, moment_Nm: FloatOrArray, squash_N: float, plastic_moment_Nm: float
) -> FloatOrArray:
    """Straight-line interaction ``N/Npl + M/Mpl``, below which a section has not formed a hinge.

    Args:
        compression_N: compression, N.
        moment_Nm: moment, N m.
        squash_N: squash load, N.
        plastic_moment_Nm: plastic moment, N m.

    Source: theory of plasticity; on the safe side of the exact interaction of a round tube.
    """
    return compression_N / squash_N + moment_Nm / plastic_moment_Nm


def no_permanent_set_check(
    check_id: str,
    station: str,
    title: str,
    *,
    demand: Demand,
    solved: SolvedStrut,
    section: CircularHollowSection,
    yield_Pa: float,
    dynamic_factor: float,
) -> Check:
    """At two times the working load the strut stays elastic.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        demand: compression in the strut, N, positive, dynamic factor included.
        solved: the strut bent under two times the static compression and self-weight.
        section: the tube.
        yield_Pa: yield strength, Pa.
        dynamic_factor: dynamic factor that is in the demand, 1 or more.

    Returns:
        The check, in Pa. Refused where the strut buckles at that load; ``NOT_EVALUATED`` where a number is missing.

    Raises:
        InputError: a number makes no sense, or the strut was solved at another compression.
    """
    levels = _levels(
        check_id,
        demand,
        solved,
        yield_Pa,
        dynamic_factor,
        NO_SET_COEFFICIENT,
        "N_2",
        "two times the static compression",
    )
    force, values = levels[-1].result, {**section.values(), **solved.values()}
    stress = Value(
        "sigma", float(edge_stress_Pa(force.value, solved.moment_Nm, section.area_m2, section.elastic_modulus_m3)),
        "Pa", "largest stress in the tube", display="MPa",
    )  # fmt: skip
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=stress,
        capacity=_strength(yield_Pa),
        clause=MECHANICAL_STRENGTH,
        steps=(
            *levels,
            *solved.plausibility_steps(force),
            section.elastic_modulus_step(),
            Step(stress, "N_2/A + M_II/Z", (force, values["A"], values["M_II"], values["Z"]), ELASTIC_EDGE),
        ),
        assumptions=(*solved.assumptions(), _WITHIN_SCOPE),
        refused_because=solved.beyond_critical,
        not_evaluated_because=demand.missing or solved.missing,
        cure=_CURE,
    )


def no_release_check(
    check_id: str,
    station: str,
    title: str,
    *,
    demand: Demand,
    solved: SolvedStrut,
    section: CircularHollowSection,
    yield_Pa: float,
    dynamic_factor: float,
) -> Check:
    """At three times the working load the strut neither buckles nor forms a hinge.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        demand: compression in the strut, N, positive, dynamic factor included.
        solved: the strut bent under three times the static compression and self-weight.
        section: the tube.
        yield_Pa: yield strength, Pa.
        dynamic_factor: dynamic factor that is in the demand, 1 or more.

    Returns:
        The check, use of at most 1. Refused where the strut buckles at that load; ``NOT_EVALUATED`` where a number
        is missing.

    Raises:
        InputError: a number makes no sense, or the strut was solved at another compression.
    """
    levels = _levels(
        check_id, demand, solved, yield_Pa, dynamic_factor, NO_RELEASE_COEFFICIENT, "N_3",
        "three times the static compression",
    )  # fmt: skip
    force, values = levels[-1].result, {**section.values(), **solved.values()}
    strength = _strength(yield_Pa)
    squash = Value("N_pl", section.area_m2 * yield_Pa, "N", "squash load", display="kN")
    plastic = Value("W_pl", section.plastic_modulus_m3, "m3", "plastic section modulus", display="cm3")
    moment = Value("M_pl", plastic.value * yield_Pa, "Nm", "plastic moment", display="kN.m")
    total = plastic_use(force.value, solved.moment_Nm, squash.value, moment.value)
    use = use_value(float(total), "use of the section")
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=use,
        capacity=limit_value("no hinge"),
        clause=MECHANICAL_STRENGTH,
        steps=(
            *levels,
            *solved.plausibility_steps(force),
            Step(squash, "A*f_y", (values["A"], strength), PLASTIC_SECTION),
            Step(plastic, "(D**3 - (D - 2*t)**3)/6", (values["D"], values["t"]), PLASTIC_SECTION),
            Step(moment, "W_pl*f_y", (plastic, strength), PLASTIC_SECTION),
            Step(use, "N_3/N_pl + M_II/M_pl", (force, squash, values["M_II"], moment), PLASTIC_SECTION),
        ),
        assumptions=(*solved.assumptions(), _WITHIN_SCOPE),
        refused_because=solved.beyond_critical,
        not_evaluated_because=demand.missing or solved.missing,
        cure=_CURE,
    )


def _strength(yield_Pa: float) -> Value:
    return Value("f_y", yield_Pa, "Pa", "yield strength", "material", "MPa")


def _levels(
    check_id: str,
    demand: Demand,
    solved: SolvedStrut,
    yield_Pa: float,
    dynamic_factor: float,
    coefficient: float,
    symbol: str,
    meaning: str,
) -> tuple[Step, ...]:
    problems = []
    if not (math.isfinite(yield_Pa) and yield_Pa > 0.0):
        problems.append(Problem(check_id, "the yield strength must be a positive number"))
    if not (math.isfinite(dynamic_factor) and dynamic_factor >= 1.0):
        problems.append(Problem(check_id, "the dynamic factor must be a number, 1 or more"))
    if problems:
        raise InputError(tuple(problems))
    times = Value("k_p", coefficient, "1", "times the working load", "5.1.1.1")
    dynamic = Value("k_d", dynamic_factor, "1", "dynamic factor, taken out", "rules of the lift")
    return level_steps(demand, solved, times, symbol, meaning, divided_by=dynamic)
