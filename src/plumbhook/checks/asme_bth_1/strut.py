"""ASME BTH-1: checks of one strut, compression with bending and slenderness, with their working."""

from __future__ import annotations

import math

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
    euler_allowable_Pa,
    interaction,
    strut_allowable_force_N,
)
from plumbhook.checks.asme_bth_1.service_classes import FATIGUE_NOT_CHECKED
from plumbhook.checks.demand import Demand
from plumbhook.core.check import Check, Clause, SourceQuality, Step, Value
from plumbhook.core.errors import InputError

SELF_WEIGHT = Clause("Simply supported beam under its own weight", quality=SourceQuality.OWN_DERIVATION)
ECCENTRICITY = Clause(
    "Pin offset, bow and joint slack of a strut add up", quality=SourceQuality.COMMON_PRACTICE
)
SLENDERNESS_LIMIT = Clause(
    "AISC 360", "2016", "E2, user note: slenderness preferably at most 200", SourceQuality.FROM_MEMORY
)
CLOSED_FORM = Clause("Smaller root of the interaction set to 1", quality=SourceQuality.OWN_DERIVATION)

_CURE = "use a larger family or a shorter span, or bring the top slings nearer to the vertical"


def compression_check(
    check_id: str, station: str, title: str, *, demand: Demand, span_m: float, basis: StrutBasis
) -> Check:
    """Compression in a strut against what it may carry at this span, self-weight and eccentricity included.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        demand: compression in the strut, N, positive, dynamic factor included.
        span_m: span pin to pin, m.
        basis: the strut family and the rules.

    Returns:
        The check, in N. ``NOT_EVALUATED`` where the wall is too slender for the allowable bending stress.

    Raises:
        InputError: the span is no positive number.

    Source: ASME BTH-1 3-2.2 to 3-2.4.
    """
    _refuse_span(check_id, span_m)
    working = _Working(span_m, basis)
    worst = demand.worst_step("N", "largest compression in the strut")
    steps = [worst, *working.steps()]
    force = worst.result.value
    if force < working.N_e.value:
        steps.append(working.interaction_step(worst.result))
    steps.append(working.allowable_step())
    compact = compact_tube(
        basis.section.outside_diameter_m, basis.section.wall_m, basis.elastic_modulus_Pa, basis.yield_Pa
    )
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=worst.result,
        capacity=steps[-1].result,
        clause=COMBINED_STRESS,
        steps=tuple(steps),
        assumptions=(
            "The strut is loaded at its end pins only; nothing hangs from its body.",
            "Both ends are held by slings to one hook, so that the effective length is the span times K.",
            "Joints are as stiff and as strong as the tube and stay closed.",
            FATIGUE_NOT_CHECKED,
        ),
        nominal=demand.nominal,
        not_evaluated_because=(
            demand.missing
            if compact
            else "the wall of the tube is too slender for the allowable bending stress used"
        ),
        cure=_CURE,
    )


def slenderness_check(
    check_id: str,
    station: str,
    title: str,
    *,
    span_m: float,
    basis: StrutBasis,
    max_slenderness: float = 200.0,
    clause: Clause = SLENDERNESS_LIMIT,
) -> Check:
    """Slenderness ``K L / r`` of a strut against its limit.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        span_m: span pin to pin, m.
        basis: the strut family and the rules.
        max_slenderness: largest slenderness allowed.
        clause: the rule that sets the limit.

    Returns:
        The check, dimensionless.

    Raises:
        InputError: the span is no positive number.
    """
    _refuse_span(check_id, span_m)
    step = _Working(span_m, basis).slenderness_step()
    limit = Value("lambda_max", max_slenderness, "1", "largest slenderness allowed", "policy")
    return Check(
        check_id,
        station,
        title,
        step.result,
        limit,
        clause,
        (step,),
        cure="use a larger family or a shorter span",
    )


def _refuse_span(check_id: str, span_m: float) -> None:
    if not (math.isfinite(span_m) and span_m > 0.0):
        raise InputError.one("the span of a strut must be a positive number", field=check_id)


class _Working:
    """The values of one strut at one span, and the steps that give them."""

    def __init__(self, span_m: float, basis: StrutBasis) -> None:
        section, rules = basis.section, "rules of the lift"
        self._basis, self._span_m = basis, span_m
        properties = section.values()
        self.A, self.D, self.I, self.r = (properties[symbol] for symbol in "ADIr")
        self.L = Value("L", span_m, "m", "span pin to pin", "pieces of the strut")
        self.q = Value("q", basis.line_mass_kg_per_m, "kg_per_m", "mass per length", "strut family")
        self.g = Value("g", basis.gravity_m_s2, "m_s2", "acceleration of gravity", rules)
        self.k_d = Value("k_d", basis.dynamic_factor, "1", "dynamic factor", rules)
        self.e_pin = Value("e_pin", basis.pin_offset_m, "m", "pin offset", "strut family", "mm")
        self.n_bow = Value("n_bow", basis.bow_divisor, "1", "span over bow", rules)
        self.e_slack = Value("e_slack", basis.joint_slack_m, "m", "slack of the joints", rules, "mm")
        self.F_y = Value("F_y", basis.yield_Pa, "Pa", "yield strength", "strut family", "MPa")
        self.E = Value("E", basis.elastic_modulus_Pa, "Pa", "modulus of elasticity", "strut family", "GPa")
        self.N_d = Value("N_d", basis.design_factor, "1", "nominal design factor", rules)
        self.K = Value("K", basis.effective_length_factor, "1", "effective length factor", rules)

        weight = self.q.value * self.g.value * self.k_d.value
        slenderness = self.K.value * span_m / self.r.value
        eccentricity = self.e_pin.value + span_m / self.n_bow.value + self.e_slack.value
        F_b = allowable_bending_compact_Pa(basis.yield_Pa, basis.design_factor)
        F_a = float(
            allowable_compression_Pa(
                slenderness, basis.elastic_modulus_Pa, basis.yield_Pa, basis.design_factor
            )
        )
        F_e = float(euler_allowable_Pa(slenderness, basis.elastic_modulus_Pa, basis.design_factor))
        self.w = Value("w", weight, "N_per_m", "self-weight per length, × dynamic factor", display="N/m")
        self.M_w = Value("M_w", weight * span_m**2 / 8.0, "Nm", "moment of the self-weight")
        self.e = Value("e", eccentricity, "m", "eccentricity of the compression", display="mm")
        self.Z = Value("Z", section.elastic_modulus_m3, "m3", "elastic section modulus", display="cm3")
        self.slenderness = Value("lambda_KL", slenderness, "1", "slenderness")
        self.C_c = Value(
            "C_c",
            column_slenderness_limit(basis.elastic_modulus_Pa, basis.yield_Pa),
            "1",
            "slenderness above which buckling is elastic",
        )
        self.F_a = Value("F_a", F_a, "Pa", "allowable compressive stress", display="MPa")
        self.F_e = Value("F_e_prime", F_e, "Pa", "Euler stress over 1.15 times the factor", display="MPa")
        self.F_b = Value("F_b", F_b, "Pa", "allowable bending stress", display="MPa")
        self.N_a = Value("N_a", section.area_m2 * F_a, "N", "allowable compression alone", display="kN")
        self.N_e = Value("N_e", section.area_m2 * F_e, "N", "force of the amplification", display="kN")
        self.M_b = Value("M_b", section.elastic_modulus_m3 * F_b, "Nm", "allowable moment", display="kN.m")
        self.m = Value("m", self.M_w.value / self.M_b.value, "1", "part used by the self-weight")

    def slenderness_step(self) -> Step:
        return Step(self.slenderness, "K*L/r", (self.K, self.L, self.r), ALLOWABLE_COMPRESSION)

    def steps(self) -> tuple[Step, ...]:
        return (
            Step(self.w, "q*g*k_d", (self.q, self.g, self.k_d), SELF_WEIGHT),
            Step(self.M_w, "w*L**2/8", (self.w, self.L), SELF_WEIGHT),
            Step(
                self.e,
                "e_pin + L/n_bow + e_slack",
                (self.e_pin, self.L, self.n_bow, self.e_slack),
                ECCENTRICITY,
            ),
            self._basis.section.elastic_modulus_step(),
            self.slenderness_step(),
            Step(self.C_c, "sqrt(2*pi**2*E/F_y)", (self.E, self.F_y), COLUMN_SLENDERNESS_LIMIT),
            self._allowable_compression_step(),
            Step(
                self.F_e,
                "pi**2*E/(1.15*N_d*lambda_KL**2)",
                (self.E, self.N_d, self.slenderness),
                COMBINED_STRESS,
            ),
            Step(self.F_b, "1.1*F_y/N_d", (self.F_y, self.N_d), ALLOWABLE_BENDING),
            Step(self.N_a, "A*F_a", (self.A, self.F_a), COMBINED_STRESS),
            Step(self.N_e, "A*F_e_prime", (self.A, self.F_e), COMBINED_STRESS),
            Step(self.M_b, "Z*F_b", (self.Z, self.F_b), COMBINED_STRESS),
            Step(self.m, "M_w/M_b", (self.M_w, self.M_b), COMBINED_STRESS),
        )

    def _allowable_compression_step(self) -> Step:
        if self.slenderness.value <= self.C_c.value:
            return Step(
                self.F_a,
                "(1 - lambda_KL**2/(2*C_c**2))*F_y"
                "/(N_d*(1 + 9*lambda_KL/(40*C_c) - 3*lambda_KL**3/(40*C_c**3)))",
                (self.slenderness, self.C_c, self.F_y, self.N_d),
                ALLOWABLE_COMPRESSION,
                "inelastic buckling: slenderness up to the limit",
            )
        return Step(
            self.F_a,
            "pi**2*E/(1.15*N_d*lambda_KL**2)",
            (self.E, self.N_d, self.slenderness),
            ALLOWABLE_COMPRESSION_ELASTIC,
            "elastic buckling: slenderness above the limit",
        )

    def interaction_step(self, force: Value) -> Step:
        section = self._basis.section
        total = interaction(
            force.value,
            area_m2=section.area_m2,
            section_modulus_m3=section.elastic_modulus_m3,
            self_weight_moment_Nm=self.M_w.value,
            eccentricity_m=self.e.value,
            allowable_compression_Pa=self.F_a.value,
            euler_allowable_Pa=self.F_e.value,
            allowable_bending_Pa=self.F_b.value,
        )
        result = Value("U", float(total), "1", "interaction at the largest compression, at most 1")
        return Step(
            result,
            "N/N_a + (M_w + N*e)/((1 - N/N_e)*M_b)",
            (force, self.N_a, self.M_w, self.e, self.N_e, self.M_b),
            COMBINED_STRESS,
        )

    def allowable_step(self) -> Step:
        result = Value(
            "N_all",
            float(strut_allowable_force_N(self._span_m, self._basis)),
            "N",
            "allowable compression at this span",
            display="kN",
        )
        return Step(
            result,
            "max(0, 2*(1 - m)/(1/N_a + 1/N_e + e/M_b + "
            "sqrt((1/N_a + 1/N_e + e/M_b)**2 - 4*(1 - m)/(N_a*N_e))))",
            (self.m, self.N_a, self.N_e, self.e, self.M_b),
            CLOSED_FORM,
            "the self-weight alone uses up the section" if self.m.value >= 1.0 else "",
        )
