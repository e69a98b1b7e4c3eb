"""EN 1993-1-1:2005, 6.3.1: flexural buckling of a uniform member in compression.

The functions work on numbers and on arrays. The builder takes a strut of circular hollow section, pin-ended,
with the axial force only; its self-weight and the eccentricity of its pins are the subject of the
allowable-stress check.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

from plumbhook.checks.demand import Demand
from plumbhook.checks.sections import CircularHollowSection
from plumbhook.core.check import Check, Clause, SourceQuality, Step, Value
from plumbhook.core.errors import InputError, Problem

FloatOrArray = float | npt.NDArray[np.float64]

_DOCUMENT, _EDITION = "EN 1993-1-1", "2005"
BUCKLING_RESISTANCE = Clause(_DOCUMENT, _EDITION, "6.3.1.1, eq. (6.47)")
BUCKLING_CURVE = Clause(_DOCUMENT, _EDITION, "6.3.1.2, eq. (6.49)")
IMPERFECTION_FACTOR = Clause(_DOCUMENT, _EDITION, "Table 6.1")
SLENDERNESS = Clause(_DOCUMENT, _EDITION, "6.3.1.3, eq. (6.50)")
SECTION_CLASS = Clause(_DOCUMENT, _EDITION, "Table 5.2 (sheet 3 of 3)", SourceQuality.FROM_MEMORY)
CRITICAL_FORCE = Clause("Euler critical force of a pin-ended member", quality=SourceQuality.OWN_DERIVATION)
LOAD_FACTOR = Clause("Load factor on the force in the strut", quality=SourceQuality.POLICY)

IMPERFECTION_FACTORS: Mapping[str, float] = MappingProxyType(
    {"a0": 0.13, "a": 0.21, "b": 0.34, "c": 0.49, "d": 0.76}
)
"""Imperfection factor of each buckling curve, EN 1993-1-1:2005 Table 6.1."""

_CLASS_LIMITS = ((1, 50.0), (2, 70.0), (3, 90.0))
_PLATEAU = 0.2


def chs_class(outside_diameter_m: float, wall_m: float, yield_Pa: float) -> int:
    """Class of a circular hollow section in bending or compression.

    Args:
        outside_diameter_m: outside diameter, m.
        wall_m: wall thickness, m.
        yield_Pa: yield strength, Pa.

    Returns:
        1, 2 or 3 where ``d/t`` is at most 50, 70 or 90 times ``235 MPa / fy``, else 4.

    Source: EN 1993-1-1:2005 Table 5.2 sheet 3; the limit of class 3 read, the others from memory.
    """
    slenderness = outside_diameter_m / wall_m * yield_Pa / 235e6
    return next((number for number, limit in _CLASS_LIMITS if slenderness <= limit), 4)


def elastic_critical_force_N(
    elastic_modulus_Pa: float, second_moment_m4: float, buckling_length_m: FloatOrArray
) -> FloatOrArray:
    """Euler's critical force ``pi2 E I / L2``, N.

    Args:
        elastic_modulus_Pa: modulus of elasticity, Pa.
        second_moment_m4: second moment of area, m4.
        buckling_length_m: buckling length, m; number or array.

    Returns:
        Critical force, N, compression positive, shape of the length.

    Source: Euler; used in EN 1993-1-1:2005 6.3.1.2(1).
    """
    return math.pi**2 * elastic_modulus_Pa * second_moment_m4 / buckling_length_m**2


def relative_slenderness(area_m2: float, yield_Pa: float, critical_force_N: FloatOrArray) -> FloatOrArray:
    """Non-dimensional slenderness ``sqrt(A fy / Ncr)`` of a class 1, 2 or 3 section.

    Args:
        area_m2: area, m2.
        yield_Pa: yield strength, Pa.
        critical_force_N: elastic critical force, N; number or array.

    Returns:
        Dimensionless, shape of the force.

    Source: EN 1993-1-1:2005 6.3.1.2(1), eq. (6.50).
    """
    return np.sqrt(area_m2 * yield_Pa / critical_force_N)


def imperfection_factor(curve: str) -> float:
    """Imperfection factor alpha of a buckling curve.

    Args:
        curve: ``a0``, ``a``, ``b``, ``c`` or ``d``.

    Returns:
        Dimensionless factor.

    Raises:
        InputError: the curve is none of these.

    Source: EN 1993-1-1:2005 Table 6.1.
    """
    if curve not in IMPERFECTION_FACTORS:
        raise InputError.one(
            f"buckling curve '{curve}' is not one of {', '.join(IMPERFECTION_FACTORS)}; "
            "hot-finished tubes of S235 to S420 take a, cold-formed ones c",
            field="buckling_curve",
        )
    return IMPERFECTION_FACTORS[curve]


def buckling_phi(slenderness: FloatOrArray, alpha: float) -> FloatOrArray:
    """Auxiliary value ``0.5 (1 + alpha (lambda - 0.2) + lambda2)``, dimensionless, shape of the slenderness.

    Source: EN 1993-1-1:2005 6.3.1.2(1), eq. (6.49).
    """
    return 0.5 * (1.0 + alpha * (slenderness - _PLATEAU) + slenderness**2)


def buckling_reduction(slenderness: FloatOrArray, alpha: float) -> FloatOrArray:
    """Reduction factor chi of flexural buckling.

    Args:
        slenderness: non-dimensional slenderness, not negative; number or array.
        alpha: imperfection factor.

    Returns:
        Factor from 0 to 1, shape of the slenderness; 1 up to a slenderness of 0.2; NaN for NaN.

    Source: EN 1993-1-1:2005 6.3.1.2(1), eq. (6.49), and (4) for the plateau.
    """
    slenderness = np.asarray(slenderness, dtype=np.float64)
    phi = np.asarray(buckling_phi(slenderness, alpha))
    # Below the plateau phi may be smaller than the slenderness term allows; chi is 1 there anyway.
    root = np.sqrt(np.maximum(phi**2 - slenderness**2, 0.0))
    chi = np.where(slenderness <= _PLATEAU, 1.0, np.minimum(1.0, 1.0 / (phi + root)))
    chi = np.where(np.isnan(slenderness), np.nan, chi)
    return float(chi) if chi.ndim == 0 else chi


def buckling_resistance_N(
    chi: FloatOrArray, area_m2: float, yield_Pa: float, gamma_M1: float
) -> FloatOrArray:
    """Design buckling resistance ``chi A fy / gamma_M1`` of a class 1, 2 or 3 section, N.

    Source: EN 1993-1-1:2005 6.3.1.1(3), eq. (6.47).
    """
    return chi * area_m2 * yield_Pa / gamma_M1


def flexural_buckling_check(
    check_id: str,
    station: str,
    title: str,
    *,
    demand: Demand,
    section: CircularHollowSection,
    buckling_length_m: float,
    yield_Pa: float,
    elastic_modulus_Pa: float,
    curve: str,
    gamma_F: float,
    gamma_M1: float,
) -> Check:
    """Strut of circular hollow section in compression, flexural buckling.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        demand: compression in the strut, N, positive, dynamic factor included.
        section: the tube.
        buckling_length_m: buckling length, m: pin to pin where nothing else holds the strut.
        yield_Pa: yield strength, Pa.
        elastic_modulus_Pa: modulus of elasticity, Pa.
        curve: buckling curve of Table 6.2.
        gamma_F: load factor on the compression; the dynamic factor is not part of it.
        gamma_M1: partial factor for resistance to instability.

    Returns:
        The check, in N. ``NOT_EVALUATED`` for a class 4 section, which this clause does not cover.

    Raises:
        InputError: a length, strength or factor is no positive number, or the curve is unknown.
    """
    _refuse_nonsense(
        check_id,
        {
            "buckling length": buckling_length_m,
            "yield strength": yield_Pa,
            "modulus of elasticity": elastic_modulus_Pa,
            "load factor": gamma_F,
            "partial factor gamma_M1": gamma_M1,
        },
    )
    alpha = Value(
        "alpha", imperfection_factor(curve), "1", f"imperfection factor, curve {curve}", "Table 6.1"
    )
    strength = Value("f_y", yield_Pa, "Pa", "yield strength", "material", "MPa")
    modulus = Value("E", elastic_modulus_Pa, "Pa", "modulus of elasticity", "material", "GPa")
    length = Value("L_cr", buckling_length_m, "m", "buckling length", "pin to pin, ends held")
    partial = Value("gamma_M1", gamma_M1, "1", "partial factor for instability", "rules of the lift")
    values = section.values()

    critical = critical_step(modulus, values["I"], length)
    slender = slenderness_step(values["A"], strength, critical.result)
    reduction = reduction_steps(slender.result, alpha)
    resistance = Value(
        "N_b_Rd",
        float(buckling_resistance_N(reduction[-1].result.value, section.area_m2, yield_Pa, gamma_M1)),
        "N",
        "design buckling resistance",
        display="kN",
    )
    resistance_step = Step(
        resistance,
        "chi*A*f_y/gamma_M1",
        (reduction[-1].result, values["A"], strength, partial),
        BUCKLING_RESISTANCE,
    )
    demand_steps = _demand_steps(demand, gamma_F)
    section_class = chs_class(section.outside_diameter_m, section.wall_m, yield_Pa)
    class_working = class_step(values["D"], values["t"], strength, section_class)
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=demand_steps[-1].result,
        capacity=resistance,
        clause=BUCKLING_RESISTANCE,
        steps=(class_working, critical, slender, *reduction, resistance_step, *demand_steps),
        assumptions=(
            "The strut is pinned at both ends and loaded along its axis at its end pins only.",
            "Joints are as stiff and as strong as the tube, or the section given stands for them.",
            "Self-weight and eccentricity of the pins are covered by the allowable-stress check.",
        ),
        nominal=demand_steps[-2].result,
        not_evaluated_because=(
            "the section is of class 4 (local buckling), which 6.3.1 with the gross section does not cover"
            if section_class == 4
            else demand.missing
        ),
        cure="use a larger family or a shorter span, or bring the top slings nearer to the vertical",
    )


def _refuse_nonsense(check_id: str, positive: Mapping[str, float]) -> None:
    problems = tuple(
        Problem(check_id, f"the {name} must be a positive number")
        for name, number in positive.items()
        if not (math.isfinite(number) and number > 0.0)
    )
    if problems:
        raise InputError(problems)


def class_step(diameter: Value, wall: Value, strength: Value, section_class: int) -> Step:
    """Working of the class of a circular hollow section, its limits in the note."""
    reference = Value("f_235", 235e6, "Pa", "reference yield strength", "Table 5.2", "MPa")
    ratio = diameter.value / wall.value * strength.value / reference.value
    result = Value("d_t_eps", ratio, "1", "slenderness of the wall, d/t over epsilon squared")
    note = (
        f"class {section_class}: limits 50, 70 and 90 for classes 1, 2 and 3"
        if section_class < 4
        else "class 4: above the limit of 90"
    )
    return Step(result, "D/t*f_y/f_235", (diameter, wall, strength, reference), SECTION_CLASS, note)


def critical_step(modulus: Value, second_moment: Value, length: Value) -> Step:
    """Working of Euler's critical force."""
    force = elastic_critical_force_N(modulus.value, second_moment.value, length.value)
    result = Value("N_cr", float(force), "N", "elastic critical force", display="kN")
    return Step(result, "pi**2*E*I/L_cr**2", (modulus, second_moment, length), CRITICAL_FORCE)


def slenderness_step(area: Value, strength: Value, critical: Value) -> Step:
    """Working of the non-dimensional slenderness."""
    slenderness = relative_slenderness(area.value, strength.value, critical.value)
    result = Value("lambda_bar", float(slenderness), "1", "non-dimensional slenderness")
    return Step(result, "sqrt(A*f_y/N_cr)", (area, strength, critical), SLENDERNESS)


def reduction_steps(slenderness: Value, alpha: Value) -> tuple[Step, ...]:
    """Working of the reduction factor: one step on the plateau, two beyond it."""
    chi = Value("chi", float(buckling_reduction(slenderness.value, alpha.value)), "1", "reduction factor")
    if slenderness.value <= _PLATEAU:
        plateau = Value(
            "lambda_0", _PLATEAU, "1", "slenderness up to which there is no reduction", "6.3.1.2(4)"
        )
        return (
            Step(
                chi,
                "min(1, lambda_0/lambda_bar)",
                (plateau, slenderness),
                BUCKLING_CURVE,
                "no reduction up to a slenderness of 0.2",
            ),
        )
    phi = Value("Phi", float(buckling_phi(slenderness.value, alpha.value)), "1", "auxiliary value")
    return (
        Step(
            phi,
            "0.5*(1 + alpha*(lambda_bar - 0.2) + lambda_bar**2)",
            (alpha, slenderness),
            BUCKLING_CURVE,
        ),
        Step(chi, "min(1, 1/(Phi + sqrt(Phi**2 - lambda_bar**2)))", (phi, slenderness), BUCKLING_CURVE),
    )


def _demand_steps(demand: Demand, gamma_F: float) -> tuple[Step, ...]:
    factor = Value("gamma_F", gamma_F, "1", "load factor", "rules of the lift")
    worst = demand.worst_step("N", "largest compression in the strut")
    nominal = Value(
        "N_Ed_nom",
        gamma_F * demand.nominal.value,
        "N",
        "design compression, as the rig hangs",
        display="kN",
    )
    design = Value("N_Ed", gamma_F * worst.result.value, "N", "design compression, worst case", display="kN")
    return (
        worst,
        Step(nominal, f"gamma_F*{demand.nominal.symbol}", (factor, demand.nominal), LOAD_FACTOR),
        Step(design, "gamma_F*N", (factor, worst.result), LOAD_FACTOR),
    )
