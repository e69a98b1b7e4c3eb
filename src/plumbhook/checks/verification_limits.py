"""Functions that the published cases of limits name: where a factor ends, a class ends, a temperature is too high."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

from plumbhook.checks import leg_factors
from plumbhook.checks.asme_bth_1.service_classes import service_class
from plumbhook.checks.en_818_4_1996 import chain_slings
from plumbhook.checks.en_1492_2000 import textile_slings
from plumbhook.checks.en_1993_1_1_2005.flexural_buckling import chs_class
from plumbhook.checks.en_13155_2003.strength import MOST_LIFTING_CYCLES
from plumbhook.checks.en_13414_1_2003 import wire_rope_slings as ropes
from plumbhook.checks.inputs import FloatOrArray
from plumbhook.checks.shackles import reductions
from plumbhook.checks.us_slings.hitches import countable_legs


def last_where(holds: Callable[[float], bool], low: float, high: float) -> float:
    """The last number from ``low`` on for which something still holds; by halving.

    Args:
        holds: true at ``low``, false at ``high``, and turning once between them.
        low: where it holds.
        high: where it does not.

    Returns:
        The place of the turn; NaN where there is none, so that no case can pass by it.
    """
    if not holds(low) or holds(high):
        return math.nan
    for _ in range(80):
        middle = 0.5 * (low + high)
        low, high = (middle, high) if holds(middle) else (low, middle)
    return low


def _is_number(value: FloatOrArray) -> bool:
    return not math.isnan(float(value))


def _textile_heat(material: str) -> float:
    return last_where(lambda heat: textile_slings.textile_temperature_allowed(heat, material), 0.0, 500.0)


def _textile_cold(material: str) -> float:
    return -last_where(lambda cold: textile_slings.textile_temperature_allowed(-cold, material), 0.0, 500.0)


def _shackle_heat() -> float:
    return last_where(lambda heat: _is_number(reductions.temperature_factor(heat)), 0.0, 500.0)


def _shackle_cold() -> float:
    return -last_where(lambda cold: _is_number(reductions.temperature_factor(-cold)), 0.0, 500.0)


def _shackle_pull() -> float:
    return last_where(lambda angle: _is_number(reductions.side_load_factor(angle)), 0.0, math.pi)


def _round_pin_pull() -> float:
    return last_where(
        lambda angle: _is_number(reductions.side_load_factor(angle, round_pin=True)), 0.0, math.pi
    )


def _bow_angle() -> float:
    return last_where(lambda angle: _is_number(reductions.included_angle_factor(angle)), 0.0, math.pi)


def _leg_angle() -> float:
    return last_where(lambda angle: _is_number(leg_factors.leg_factor(2, angle)), 0.0, math.pi)


def _symmetric_use() -> float:
    even = (math.radians(30.0),) * 4
    return last_where(lambda use: leg_factors.may_be_taken_as_symmetric(use, even), 0.0, 2.0)


def _rope_body_ratio() -> float:
    return -last_where(lambda ratio: _is_number(ropes.bend_efficiency(-ratio)), -10.0, 0.0)


def _chs_class_limit(section_class: float, yield_Pa: float) -> float:
    return last_where(lambda ratio: chs_class(ratio, 1.0, yield_Pa) <= section_class, 1.0, 1000.0)


def _most_cycles(of_class: float) -> float:
    return last_where(lambda cycles: service_class(cycles) <= of_class, 0.0, 1e8)


def _legs_counted(legs: float) -> float:
    return countable_legs(int(legs))


FUNCTIONS: Mapping[str, Callable[..., Any]] = MappingProxyType(
    {
        "textile_heat": _textile_heat,
        "textile_cold": _textile_cold,
        "least_attachment_radius_m": textile_slings.least_attachment_radius_m,
        "largest_eye_angle": lambda: textile_slings.LARGEST_EYE_ANGLE_RAD,
        "largest_leg_angle": _leg_angle,
        "symmetric_use": _symmetric_use,
        "chain_edge_factor": chain_slings.chain_edge_factor,
        "chain_on_lug_factor": chain_slings.chain_on_lug_factor,
        "shackle_heat": _shackle_heat,
        "shackle_cold": _shackle_cold,
        "largest_shackle_pull": _shackle_pull,
        "largest_round_pin_pull": _round_pin_pull,
        "largest_bow_angle": _bow_angle,
        "rope_body_ratio": _rope_body_ratio,
        "least_eye_bearing_ratio": lambda: ropes.LEAST_EYE_BEARING_RATIO,
        "chs_class_limit": _chs_class_limit,
        "most_cycles": _most_cycles,
        "en_13155_most_cycles": lambda: MOST_LIFTING_CYCLES,
        "countable_legs": _legs_counted,
    }
)
