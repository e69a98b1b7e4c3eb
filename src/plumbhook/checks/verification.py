"""Published cases of the checks, computed by the functions of the checks.

The cases are data (``data/verification/checks_*.json``); nothing here knows an answer.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

from plumbhook.checks import (
    attitude,
    sections,
    verification_joints,
    verification_limits,
    verification_rules,
    verification_slings,
)
from plumbhook.checks.asme_bth_1 import bending, compression
from plumbhook.checks.en_1993_1_1_2005 import flexural_buckling as ec3
from plumbhook.checks.strut_verification import strut_cases
from plumbhook.core.verification import VerificationCase, cases_of_data

_FILES = (
    "checks_sections.json",
    "checks_en_1993_1_1.json",
    "checks_buckling_curves.json",
    "checks_asme_bth_1.json",
    "checks_stability.json",
    "checks_bolts.json",
    "checks_pins.json",
    "checks_asme_bth_1_plates.json",
    "checks_slings.json",
    "checks_us_slings.json",
    "checks_shackles.json",
    "checks_rules.json",
    "checks_limits.json",
)


def checks_cases() -> tuple[VerificationCase, ...]:
    """Every published case of the checks with the value computed now."""
    return (*(case for name in _FILES for case in cases_of_data(name, _FUNCTIONS)), *strut_cases())


def _strut_slenderness(
    area_m2: float, second_moment_m4: float, length_m: float, yield_Pa: float, modulus_Pa: float
) -> float:
    critical = ec3.elastic_critical_force_N(modulus_Pa, second_moment_m4, length_m)
    return float(ec3.relative_slenderness(area_m2, yield_Pa, critical))


def _strut_phi(curve: str, **strut: float) -> float:
    return float(ec3.buckling_phi(_strut_slenderness(**strut), ec3.imperfection_factor(curve)))


def _strut_chi(curve: str, **strut: float) -> float:
    return float(ec3.buckling_reduction(_strut_slenderness(**strut), ec3.imperfection_factor(curve)))


def _strut_resistance(curve: str, gamma_M1: float, **strut: float) -> float:
    chi = _strut_chi(curve, **strut)
    return float(ec3.buckling_resistance_N(chi, strut["area_m2"], strut["yield_Pa"], gamma_M1))


def _chs_strut_chi(
    outside_diameter_m: float, wall_m: float, length_m: float, yield_Pa: float, modulus_Pa: float, curve: str
) -> float:
    return _strut_chi(
        curve,
        area_m2=sections.chs_area_m2(outside_diameter_m, wall_m),
        second_moment_m4=sections.chs_second_moment_m4(outside_diameter_m, wall_m),
        length_m=length_m,
        yield_Pa=yield_Pa,
        modulus_Pa=modulus_Pa,
    )


def _chi_of_curve(slenderness: float, curve: str) -> float:
    return float(ec3.buckling_reduction(slenderness, ec3.imperfection_factor(curve)))


def _squash_force(area_m2: float, yield_Pa: float) -> float:
    return float(ec3.buckling_resistance_N(1.0, area_m2, yield_Pa, 1.0))


def _chs_squash_force(outside_diameter_m: float, wall_m: float, yield_Pa: float) -> float:
    return _squash_force(sections.chs_area_m2(outside_diameter_m, wall_m), yield_Pa)


def _allowable_compression(
    length_m: float, radius_m: float, modulus_Pa: float, yield_Pa: float, design_factor: float
) -> float:
    return float(
        compression.allowable_compression_Pa(length_m / radius_m, modulus_Pa, yield_Pa, design_factor)
    )


def _centre_pick_stress(
    load_N: float,
    span_m: float,
    edge_m: float,
    second_moment_m4: float,
    line_mass_kg_per_m: float,
    gravity: float,
) -> float:
    moment = bending.centre_pick_moment_Nm(load_N, span_m)
    moment += bending.self_weight_moment_Nm(line_mass_kg_per_m * gravity, span_m)
    return bending.bending_stress_Pa(moment, edge_m, second_moment_m4)


_FUNCTIONS: Mapping[str, Callable[..., Any]] = MappingProxyType(
    {
        "chs_area_m2": sections.chs_area_m2,
        "chs_second_moment_m4": sections.chs_second_moment_m4,
        "chs_radius_of_gyration_m": sections.chs_radius_of_gyration_m,
        "chs_elastic_modulus_m3": sections.chs_elastic_modulus_m3,
        "chs_plastic_modulus_m3": sections.chs_plastic_modulus_m3,
        "chs_class": ec3.chs_class,
        "elastic_critical_force_N": ec3.elastic_critical_force_N,
        "imperfection_factor": ec3.imperfection_factor,
        "strut_slenderness": _strut_slenderness,
        "strut_phi": _strut_phi,
        "strut_chi": _strut_chi,
        "strut_resistance": _strut_resistance,
        "chs_strut_chi": _chs_strut_chi,
        "chi_of_curve": _chi_of_curve,
        "squash_force": _squash_force,
        "chs_squash_force": _chs_squash_force,
        "column_slenderness_limit": compression.column_slenderness_limit,
        "allowable_compression": _allowable_compression,
        "allowable_bending_compact_Pa": compression.allowable_bending_compact_Pa,
        "centre_pick_moment_Nm": bending.centre_pick_moment_Nm,
        "centre_pick_stress": _centre_pick_stress,
        "largest_centre_pick_load_N": bending.largest_centre_pick_load_N,
        "brace_spacing_by_flange_m": bending.brace_spacing_by_flange_m,
        "brace_spacing_by_gyration_m": bending.brace_spacing_by_gyration_m,
        "compact_flange_limit": bending.compact_flange_limit,
        "largest_cog_height_m": attitude.largest_cog_height_m,
        "restoring_height_m": attitude.restoring_height_m,
        **verification_joints.FUNCTIONS,
        **verification_slings.FUNCTIONS,
        **verification_rules.FUNCTIONS,
        **verification_limits.FUNCTIONS,
    }
)
