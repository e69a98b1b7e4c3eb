"""Functions that the published cases of slings and shackles name."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

from plumbhook.checks.en_818_4_1996 import chain_slings
from plumbhook.checks.en_1492_2000 import textile_slings
from plumbhook.checks.en_13414_1_2003 import wire_rope_slings as ropes
from plumbhook.checks.leg_factors import leg_factor
from plumbhook.checks.shackles import reductions, tables
from plumbhook.checks.us_slings import handbook, hitches


def _chain_formula(chain_m: float, legs: int, angle_from_vertical_rad: float) -> float:
    single = float(chain_slings.chain_sling_rated_kg(chain_m, 1, 0.0))
    return single * float(leg_factor(legs, angle_from_vertical_rad))


def _rope_formula(rope_m: float, legs: int, angle_from_vertical_rad: float) -> float:
    force = ropes.least_breaking_force_N(rope_m)
    factor = leg_factor(legs, angle_from_vertical_rad)
    return float(ropes.rope_sling_formula_kg(force, ropes.TERMINATION_FACTORS["ferrule"], factor))


def _endless_rope_formula(rope_m: float) -> float:
    force = ropes.least_breaking_force_N(rope_m)
    return float(ropes.endless_rope_formula_kg(force, ropes.TERMINATION_FACTORS["ferrule"]))


def _alloy_chain_formula(chain_m: float, grade: int, legs: int, angle_from_horizontal_rad: float) -> float:
    single = hitches.alloy_chain_rated_kg(chain_m, grade, 1, math.pi / 2.0)
    return float(hitches.alloy_chain_formula_kg(single, legs, angle_from_horizontal_rad))


def _fibre_rope_formula(rope_m: float, form: str, hitch: str) -> float:
    vertical = hitches.fibre_rope_rated_kg(rope_m, form, "vertical")
    if hitch == "choker":
        return 0.5 * vertical
    return 2.0 * vertical * math.cos(math.radians(float(hitch.removeprefix("basket_"))))


def _leg_tension(load_N: float, legs: int, angle_from_horizontal_rad: float) -> float:
    return load_N / legs * float(hitches.leg_load_factor(angle_from_horizontal_rad))


def _clear_braided(rope_m: float) -> float:
    return float(hitches.least_clear_rope_m(rope_m, braided=True))


def _hottest(allowed: Callable[[float], bool]) -> float:
    """The highest temperature, in degrees Celsius, at which something is still so; by halving."""
    low, high = 0.0, 1000.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if allowed(middle) else (low, middle)
    return low


def _fibre_core_limit() -> float:
    return _hottest(hitches.fibre_core_rope_allowed)


def _steel_core_limit() -> float:
    return _hottest(lambda heat: not hitches.steel_core_rope_needs_maker(heat))


def _steel_core_cold_limit() -> float:
    return -_hottest(lambda cold: not hitches.steel_core_rope_needs_maker(-cold))


def _dee_shackle(rated_kg: float, steel: str, what: str) -> float:
    return float(getattr(tables.dee_shackle(rated_kg, steel), what))


def _rr_c_271(size_m: float, what: str) -> float:
    return float(getattr(tables.rr_c_271_shackle(size_m), what))


def _en_13889(rated_kg: float, what: str) -> float:
    return float(getattr(tables.en_13889_shackle(rated_kg), what))


def _proof_ratio(rated_kg: float) -> float:
    return float(reductions.least_proof_load_kg(rated_kg)) / rated_kg


FUNCTIONS: Mapping[str, Callable[..., Any]] = MappingProxyType(
    {
        "chain_sling": chain_slings.chain_sling_rated_kg,
        "endless_chain": chain_slings.endless_chain_rated_kg,
        "chain_formula": _chain_formula,
        "chain_stress": chain_slings.chain_rated_by_stress_kg,
        "chain_heat": chain_slings.chain_temperature_factor,
        "mode_factor": textile_slings.mode_factor,
        "textile_rated": textile_slings.textile_rated_kg,
        "rope_sling": ropes.rope_sling_rated_kg,
        "endless_rope": ropes.endless_rope_rated_kg,
        "rope_formula": _rope_formula,
        "endless_rope_formula": _endless_rope_formula,
        "breaking_force": ropes.least_breaking_force_N,
        "bending_factor": ropes.bending_factor,
        "bend_efficiency": ropes.bend_efficiency,
        "bend_table": ropes.bend_efficiency_by_table,
        "alloy_chain": hitches.alloy_chain_rated_kg,
        "alloy_chain_formula": _alloy_chain_formula,
        "fibre_rope": hitches.fibre_rope_rated_kg,
        "fibre_rope_formula": _fibre_rope_formula,
        "leg_tension": _leg_tension,
        "leg_load_factor": hitches.leg_load_factor,
        "bridle_leg_tension_N": hitches.bridle_leg_tension_N,
        "bridle_rated_kg": hitches.bridle_rated_kg,
        "single_basket_rated_kg": hitches.single_basket_rated_kg,
        "double_basket_rated_kg": hitches.double_basket_rated_kg,
        "choker_rated_kg": hitches.choker_rated_kg,
        "choke_angle_factor": hitches.choke_angle_factor,
        "clip_spacing_m": hitches.clip_spacing_m,
        "clip_count": handbook.clip_count,
        "sling_design_factor": lambda: handbook.SLING_DESIGN_FACTOR,
        "least_thimble_ratio": lambda: handbook.LEAST_THIMBLE_RATIO,
        "web_sling_proof_kg": handbook.web_sling_proof_kg,
        "least_clear_rope_m": hitches.least_clear_rope_m,
        "clear_braided": _clear_braided,
        "least_grommet_circumference_m": hitches.least_grommet_circumference_m,
        "special_accessory_proof_kg": hitches.special_accessory_proof_kg,
        "fibre_core_limit": _fibre_core_limit,
        "steel_core_limit": _steel_core_limit,
        "steel_core_cold_limit": _steel_core_cold_limit,
        "near_vertical_angle_rad": hitches.near_vertical_angle_rad,
        "dee_shackle": _dee_shackle,
        "rr_c_271": _rr_c_271,
        "en_13889": _en_13889,
        "en_13889_most": lambda: tables.EN_13889_MOST_KG,
        "side_load_factor": reductions.side_load_factor,
        "included_angle_factor": reductions.included_angle_factor,
        "proof_ratio": _proof_ratio,
        "rule_of_thumb_imperial_kg": reductions.rule_of_thumb_imperial_kg,
        "rule_of_thumb_metric_kg": reductions.rule_of_thumb_metric_kg,
    }
)
