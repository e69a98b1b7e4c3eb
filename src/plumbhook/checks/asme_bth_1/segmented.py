"""ASME BTH-1: a strut of pieces by allowable stress, with the moments of its second-order analysis.

The amplification ``1/(1 - fa/Fe')`` of the combined-stress rule is that of a uniform strut under ``1.15 Nd`` times its
loads. A strut of pieces is therefore analysed under ``1.15 Nd`` times compression and self-weight, and the moment
divided by the same: for a uniform strut with a sine bow that is the rule itself, for others what the rule stands
for.
The column slenderness follows from the critical load with the joints: ``KL/r = pi sqrt(E A/Ncr)``.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from plumbhook.checks.asme_bth_1.compression import (
    ALLOWABLE_BENDING,
    ALLOWABLE_COMPRESSION,
    ALLOWABLE_COMPRESSION_ELASTIC,
    COLUMN_SLENDERNESS_LIMIT,
    COMBINED_STRESS,
    StrutBasis,
    allowable_bending_compact_Pa,
    allowable_compression_Pa,
    column_slenderness_limit,
    compact_tube,
)
from plumbhook.checks.asme_bth_1.service_classes import FATIGUE_NOT_CHECKED
from plumbhook.checks.demand import Demand
from plumbhook.checks.solved_strut import SolvedStrut, level_steps, limit_value, use_value
from plumbhook.core.check import Check, Clause, SourceQuality, Step, Value

FloatOrArray = float | npt.NDArray[np.float64]

EQUIVALENT_SLENDERNESS = Clause(
    "Slenderness of the uniform strut of equal critical load", quality=SourceQuality.OWN_DERIVATION
)
BACK_TO_SERVICE = Clause("Moment over the factor it was found under", quality=SourceQuality.OWN_DERIVATION)


def equivalent_slenderness(
    critical_force_N: FloatOrArray, area_m2: float, elastic_modulus_Pa: float
) -> FloatOrArray:
    """Slenderness ``pi sqrt(E A/Ncr)`` of the uniform strut that has the same critical load, dimensionless.

    Args:
        critical_force_N: elastic critical load, N; number or array.
        area_m2: area of the tube, m2.
        elastic_modulus_Pa: modulus of elasticity, Pa.

    Source: own derivation from Euler's load; for a uniform strut it is K L/r.
    """
    return np.pi * np.sqrt(elastic_modulus_Pa * area_m2 / critical_force_N)


def amplification_level(design_factor: float) -> float:
    """Factor ``1.15 Nd`` on all loads under which the second-order moments are found, dimensionless.

    Source: ASME BTH-1 3-2.4, the factor in Fe'; from memory.
    """
    return 1.15 * design_factor


def combined_use(
    compression_N: FloatOrArray,
    moment_Nm: FloatOrArray,
    *,
    area_m2: float,
    section_modulus_m3: float,
    allowable_compression_Pa: FloatOrArray,
    allowable_bending_Pa: float,
) -> FloatOrArray:
    """Use ``fa/Fa + fb/Fb`` with the moment already amplified.

    Args:
        compression_N: compression, N.
        moment_Nm: second-order moment at the level of service, N m.
        area_m2: area, m2.
        section_modulus_m3: elastic section modulus, m3.
        allowable_compression_Pa: Fa, Pa.
        allowable_bending_Pa: Fb, Pa.

    Returns:
        Dimensionless, broadcast shape.

    Source: ASME BTH-1 3-2.4, eq. (3-29); from memory.
    """
    axial = compression_N / (area_m2 * allowable_compression_Pa)
    return axial + moment_Nm / (section_modulus_m3 * allowable_bending_Pa)


def segmented_check(
    check_id: str, station: str, title: str, *, demand: Demand, solved: SolvedStrut, basis: StrutBasis
) -> Check:
    """Strut of pieces by allowable stress: compression, and the moment of the second-order analysis.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        demand: compression in the strut, N, positive, dynamic factor included.
        solved: the strut bent under ``1.15 Nd`` times compression and self-weight.
        basis: the strut family and the rules.

    Returns:
        The check, use of at most 1. Refused where the strut buckles at that level; ``NOT_EVALUATED`` where the wall is
        too slender for the allowable bending stress or a number is missing.

    Raises:
        InputError: the strut was solved at another compression.
    """
    section = basis.section
    level = Value(
        "k_II", amplification_level(basis.design_factor), "1", "1.15 times the design factor", "1.15 Nd"
    )
    levels = level_steps(demand, solved, level, "N_II", "compression of the analysis")
    force, values = levels[0].result, {**section.values(), **solved.values()}
    strength = Value("F_y", basis.yield_Pa, "Pa", "yield strength", "strut family", "MPa")
    modulus = Value("E", basis.elastic_modulus_Pa, "Pa", "modulus of elasticity", "strut family", "GPa")
    factor = Value("N_d", basis.design_factor, "1", "nominal design factor", "rules of the lift")
    slenderness = Value(
        "lambda_eq",
        float(equivalent_slenderness(solved.critical_force_N, section.area_m2, basis.elastic_modulus_Pa)),
        "1", "slenderness with the joints",
    )  # fmt: skip
    column = _column_steps(slenderness, modulus, strength, factor)
    F_a = column[-1].result
    F_b = Value(
        "F_b", allowable_bending_compact_Pa(basis.yield_Pa, basis.design_factor), "Pa", "allowable bending stress",
        display="MPa",
    )  # fmt: skip
    moment = Value(
        "M", solved.moment_Nm / level.value, "Nm", "moment at the level of service", display="kN.m"
    )
    total = combined_use(
        force.value, moment.value, area_m2=section.area_m2, section_modulus_m3=section.elastic_modulus_m3,
        allowable_compression_Pa=F_a.value, allowable_bending_Pa=F_b.value,
    )  # fmt: skip
    use = use_value(float(total), "use by combined stress")
    compact = compact_tube(
        section.outside_diameter_m, section.wall_m, basis.elastic_modulus_Pa, basis.yield_Pa
    )
    slender_wall = (
        "" if compact else "the wall of the tube is too slender for the allowable bending stress used"
    )
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=use,
        capacity=limit_value("3-2.4"),
        clause=COMBINED_STRESS,
        steps=(
            *levels,
            *solved.plausibility_steps(levels[-1].result),
            Step(moment, "M_II/k_II", (values["M_II"], level), BACK_TO_SERVICE),
            Step(
                slenderness,
                "pi*sqrt(E*A/N_cr)",
                (modulus, values["A"], values["N_cr"]),
                EQUIVALENT_SLENDERNESS,
            ),
            *column,
            Step(F_b, "1.1*F_y/N_d", (strength, factor), ALLOWABLE_BENDING),
            section.elastic_modulus_step(),
            Step(
                use,
                "N/(A*F_a) + M/(Z*F_b)",
                (force, values["A"], F_a, moment, values["Z"], F_b),
                COMBINED_STRESS,
            ),
        ),
        assumptions=(*solved.assumptions(), FATIGUE_NOT_CHECKED),
        refused_because=solved.beyond_critical,
        not_evaluated_because=slender_wall or demand.missing or solved.missing,
        cure="use a larger family or a shorter span, or bring the top slings nearer to the vertical",
    )


def _column_steps(slenderness: Value, modulus: Value, strength: Value, factor: Value) -> tuple[Step, ...]:
    """Limit of elastic buckling and allowable compressive stress."""
    limit = Value(
        "C_c", column_slenderness_limit(modulus.value, strength.value), "1",
        "slenderness above which buckling is elastic",
    )  # fmt: skip
    allowable = Value(
        "F_a",
        float(allowable_compression_Pa(slenderness.value, modulus.value, strength.value, factor.value))
        if math.isfinite(slenderness.value)
        else math.nan,
        "Pa", "allowable compressive stress", display="MPa",
    )  # fmt: skip
    first = Step(limit, "sqrt(2*pi**2*E/F_y)", (modulus, strength), COLUMN_SLENDERNESS_LIMIT)
    if slenderness.value <= limit.value:
        return first, Step(
            allowable,
            "(1 - lambda_eq**2/(2*C_c**2))*F_y/(N_d*(1 + 9*lambda_eq/(40*C_c) - 3*lambda_eq**3/(40*C_c**3)))",
            (slenderness, limit, strength, factor),
            ALLOWABLE_COMPRESSION,
            "inelastic buckling: slenderness up to the limit",
        )
    return first, Step(
        allowable,
        "pi**2*E/(1.15*N_d*lambda_eq**2)",
        (modulus, factor, slenderness),
        ALLOWABLE_COMPRESSION_ELASTIC,
        "elastic buckling: slenderness above the limit",
    )
