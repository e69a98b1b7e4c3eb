"""Functions that the published cases of marine factors, second opinions, hand lifting and periods name."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

from plumbhook.checks import sections
from plumbhook.checks.aisc_360_2010 import columns
from plumbhook.checks.en_13414_1_2003.wire_rope_slings import bending_factor
from plumbhook.checks.loler_1998.periods import examination_months
from plumbhook.checks.manual_handling import guidelines
from plumbhook.checks.nd_0027_2016 import factors as nd
from plumbhook.checks.us_slings import handbook

STEEL_KG_PER_M3 = 7850.0


def _aisc_column(
    length_m: float, radius_m: float, area_m2: float, yield_Pa: float, modulus_Pa: float
) -> float:
    return float(columns.design_strength_N(length_m / radius_m, area_m2, yield_Pa, modulus_Pa))


def _aisc_column_allowable(
    length_m: float, radius_m: float, area_m2: float, yield_Pa: float, modulus_Pa: float
) -> float:
    return float(columns.allowable_strength_N(length_m / radius_m, area_m2, yield_Pa, modulus_Pa))


def _aisc_elastic(length_m: float, radius_m: float, modulus_Pa: float) -> float:
    return float(columns.elastic_stress_Pa(length_m / radius_m, modulus_Pa))


def _aisc_critical(length_m: float, radius_m: float, yield_Pa: float, modulus_Pa: float) -> float:
    return float(columns.critical_stress_Pa(length_m / radius_m, yield_Pa, modulus_Pa))


def _chs_line_mass(outside_diameter_m: float, wall_m: float) -> float:
    return STEEL_KG_PER_M3 * sections.chs_area_m2(outside_diameter_m, wall_m)


def _chs_torsion_constant(outside_diameter_m: float, wall_m: float) -> float:
    return 2.0 * sections.chs_second_moment_m4(outside_diameter_m, wall_m)


def _nd_static_leg(weight_kg: float, contingency: float, legs: float, sine: float) -> float:
    return float(nd.design_weight_kg(weight_kg, contingency)) / legs / sine


def _nd_dynamic_leg(weight_kg: float, contingency: float, legs: float, sine: float) -> float:
    factor = float(nd.dynamic_factor(weight_kg, weight_kg, "onshore"))
    return _nd_static_leg(weight_kg, contingency, legs, sine) * factor * nd.SKEW_FACTOR


def _nd_breaking_load(
    weight_kg: float, contingency: float, legs: float, sine: float, termination: str, bend_ratio: float
) -> float:
    reduction = nd.reduction_factor(nd.termination_factor(termination), bending_factor(bend_ratio))
    safety = float(nd.sling_safety_factor(1.0, 1.0, reduction, 1.0, 1.0, 1.0))
    return safety * _nd_dynamic_leg(weight_kg, contingency, legs, sine)


def _nd_shackle(rated_kg: float, breaking_kg: float, proof_kg: float, dynamic_factor: float) -> float:
    return float(nd.shackle_limit_kg(rated_kg, breaking_kg, proof_kg, dynamic_factor))


def _examination_months(subject: str) -> float:
    return examination_months(accessory=subject == "accessory", lifts_persons=subject == "persons")


FUNCTIONS: Mapping[str, Callable[..., Any]] = MappingProxyType(
    {
        "aisc_column": _aisc_column,
        "aisc_column_allowable": _aisc_column_allowable,
        "aisc_elastic": _aisc_elastic,
        "aisc_critical": _aisc_critical,
        "chs_line_mass": _chs_line_mass,
        "chs_torsion_constant": _chs_torsion_constant,
        "nd_dynamic_factor": nd.dynamic_factor,
        "nd_termination": nd.termination_factor,
        "nd_structure": nd.structure_factor,
        "nd_share": lambda how: nd.SHARES[how],
        "nd_tilt_limit": lambda: nd.TILT_LIMIT_RAD,
        "nd_skew": lambda: nd.SKEW_FACTOR,
        "nd_consequence": lambda: nd.SLING_CONSEQUENCE_FACTOR,
        "nd_sling_safety": nd.sling_safety_factor,
        "nd_shackle": _nd_shackle,
        "nd_static_leg": _nd_static_leg,
        "nd_dynamic_leg": _nd_dynamic_leg,
        "nd_breaking_load": _nd_breaking_load,
        "horizontal_multiplier": guidelines.horizontal_multiplier,
        "vertical_multiplier": guidelines.vertical_multiplier,
        "distance_multiplier": guidelines.distance_multiplier,
        "recommended_weight_kg": guidelines.recommended_weight_kg,
        "frequency_part": guidelines.frequency_part,
        "twist_part": guidelines.twist_part,
        "push_limit_kg": guidelines.push_limit_kg,
        "examination_months": _examination_months,
        "chain_inspection_months": lambda: handbook.CHAIN_INSPECTION_MONTHS,
    }
)
