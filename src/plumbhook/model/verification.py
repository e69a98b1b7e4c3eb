"""Published weights and centres of gravity, computed by the functions of the load.

The cases are data (``data/verification/load.json``); nothing here knows an answer.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

from plumbhook.core.verification import VerificationCase, cases_of_data
from plumbhook.model.parts_band import PartClaim, PartsBand, parts_band
from plumbhook.model.weighing_adjustment import Attitude, Observations, Support, adjust


def load_cases() -> tuple[VerificationCase, ...]:
    """Every published weight and centre of gravity with the value computed now."""
    return cases_of_data("load.json", _FUNCTIONS)


def _parts(**given: float) -> PartsBand:
    """Parts ``m_1`` at ``x_1``, ``m_2`` at ``x_2`` and so on; a place that is left out is the origin."""
    numbers = sorted(key.removeprefix("m_") for key in given if key.startswith("m_"))
    claims = []
    for number in numbers:
        at = (given.get(f"x_{number}", 0.0), 0.0, 0.0)
        claims.append(PartClaim(given[f"m_{number}"], 0.0, at, 0.0, at, at))
    return parts_band(claims, "worst")


def _parts_mass(**given: float) -> float:
    return _parts(**given).mass_kg


def _parts_cog(**given: float) -> float:
    return _parts(**given).cog_m[0]


def _line_and_part(length_m: float, line_mass_kg_per_m: float, mass_kg: float) -> float:
    return _parts(m_1=length_m * line_mass_kg_per_m, m_2=mass_kg).mass_kg


def _axles(front_m: float, rear_m: float) -> tuple[Support, ...]:
    """A vehicle on four wheels, one metre to either side; the readings of an axle are shared evenly."""
    return tuple(
        Support(f"{name} {side:+.0f}", (at, side, 0.0))
        for name, at in (("front", front_m), ("rear", rear_m))
        for side in (-1.0, 1.0)
    )


def _weighed(supports: tuple[Support, ...], *attitudes: Attitude) -> tuple[float, float, float]:
    return adjust(Observations(supports, attitudes)).cog_m


def _attitude(
    name: str, front_kg: float, rear_kg: float, angle_rad: float, azimuth_rad: float = 0.0
) -> Attitude:
    readings = (front_kg / 2.0, front_kg / 2.0, rear_kg / 2.0, rear_kg / 2.0)
    variance = (1e-3 * (front_kg + rear_kg)) ** 2
    covariance = tuple(tuple(variance if i == j else 0.0 for j in range(4)) for i in range(4))
    return Attitude(name, readings, covariance, azimuth_rad, angle_rad)


def _axle_cog(front_kg: float, rear_kg: float, front_m: float, rear_m: float) -> float:
    supports = _axles(front_m, rear_m)
    return _weighed(supports, _attitude("level", front_kg, rear_kg, 0.0))[0]


def _tricycle_mass(nose_kg: float, main_kg: float, nose_m: float, main_m: float) -> float:
    return adjust(_tricycle(nose_kg, main_kg, main_kg, nose_m, main_m)).mass_kg


def _tricycle_cog(nose_kg: float, left_kg: float, right_kg: float, nose_m: float, main_m: float) -> float:
    return adjust(_tricycle(nose_kg, left_kg, right_kg, nose_m, main_m)).cog_m[0]


def _tricycle(nose_kg: float, left_kg: float, right_kg: float, nose_m: float, main_m: float) -> Observations:
    supports = (
        Support("nose", (nose_m, 0.0, 0.0)),
        Support("left", (main_m, 1.0, 0.0)),
        Support("right", (main_m, -1.0, 0.0)),
    )
    readings = (nose_kg, left_kg, right_kg)
    covariance = tuple(tuple(1.0 if i == j else 0.0 for j in range(3)) for i in range(3))
    return Observations(supports, (Attitude("level", readings, covariance),))


def _tilt_height(
    weight: float,
    wheelbase_m: float,
    front_level: float,
    front_raised: float,
    wheel_radius_m: float,
    angle_rad: float,
) -> float:
    """Height above the ground; the axles are the supports, for the ground is plumb below them in any attitude."""
    supports = tuple(
        Support(f"{at:g} {side:+.0f}", (at, side, wheel_radius_m))
        for at in (wheelbase_m, 0.0)
        for side in (-1.0, 1.0)
    )
    level = _attitude("level", front_level, weight - front_level, 0.0)
    raised = _attitude("front raised", front_raised, weight - front_raised, angle_rad)
    return _weighed(supports, level, raised)[2]


def _formula_height(
    weight: float,
    wheelbase_m: float,
    cog_from_rear_m: float,
    front_raised: float,
    wheel_radius_m: float,
    angle_rad: float,
) -> float:
    """H = (b - L R'/W) cot(theta) + r."""
    level_arm = cog_from_rear_m - wheelbase_m * front_raised / weight
    return level_arm / math.tan(angle_rad) + wheel_radius_m


_FUNCTIONS: Mapping[str, Callable[..., Any]] = MappingProxyType(
    {
        "parts_mass_kg": _parts_mass,
        "parts_cog_m": _parts_cog,
        "line_and_part_mass_kg": _line_and_part,
        "axle_cog_m": _axle_cog,
        "tricycle_mass_kg": _tricycle_mass,
        "tricycle_cog_m": _tricycle_cog,
        "tilt_height_m": _tilt_height,
        "formula_height_m": _formula_height,
    }
)
