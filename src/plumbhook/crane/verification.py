"""Published cases of the crane, ground and wind, computed by the functions of this layer.

The cases are data (``data/verification/checks_crane.json``); nothing here knows an answer.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

from plumbhook.core.verification import VerificationCase, cases_of_data
from plumbhook.crane import chart, chart_way, ground, hoist, pad_reactions, two_hooks, wind
from plumbhook.crane.bearing.verification import bearing_cases


def crane_cases() -> tuple[VerificationCase, ...]:
    """Every published case of crane, ground and wind with the value computed now."""
    return (
        *cases_of_data("checks_crane.json", _FUNCTIONS),
        *cases_of_data("crane_two_hooks.json", _FUNCTIONS),
        *bearing_cases(),
    )


def _track_pressure(
    machine_mass_kg: float,
    behind_m: float,
    length_m: float,
    width_m: float,
    hook_mass_kg: float,
    radius_m: float,
    gravity: float,
) -> float:
    crawler = ground.Crawler(machine_mass_kg, behind_m, length_m, width_m)
    return ground.largest_track_pressure_Pa(
        (machine_mass_kg + hook_mass_kg) * gravity,
        ground.eccentricity_m(crawler, hook_mass_kg, radius_m),
        length_m,
        width_m,
    )


def _mat_pressure(mat_width_m: float, **crane: float) -> float:
    return ground.pressure_below_mats_Pa(_track_pressure(**crane), crane["width_m"], mat_width_m)


def _pad_reaction_N(vertical_N: float, x_m: float, y_m: float, half_base_m: float, pad: int) -> float:
    a = half_base_m
    base = pad_reactions.OutriggerBase(((a, a), (-a, a), (a, -a), (-a, -a)))
    return float(pad_reactions.pad_reactions_N(base, vertical_N, x_m, y_m)[pad])


def _lead_line_pull_N(load_kg: float, falls: int, sheave_factor: float, lead_sheaves: int = 0) -> float:
    return load_kg * _STANDARD_GRAVITY_M_S2 * hoist.lead_line_factor(falls, sheave_factor, lead_sheaves)


def _chart_use(chart: str, gross_kg: float, radius_m: float) -> float:
    return float(chart_way.duty_along_way(_CHARTS[chart], radius_m, gross_kg).utilisation)


_STANDARD_GRAVITY_M_S2 = 9.80665  # pounds-force are stated with it
# Invented charts of the example lifts: radius m, capacity t.
_CHARTS = {
    name: chart.DutyChart(
        name, "invented", "example", tuple(chart.DutyRow(radius, 1e3 * tonnes) for radius, tonnes in rows)
    )
    for name, rows in {
        "crawler": ((10.0, 98.0), (12.0, 84.0), (14.0, 71.5), (16.0, 61.8), (18.0, 53.9), (20.0, 47.6)),
        "all-terrain": ((10.0, 34.0), (12.0, 29.2), (14.0, 25.1), (16.0, 21.7), (18.0, 18.9), (20.0, 16.6)),
    }.items()
}


def _worst_share_N(tilt_rad: float, **load: float) -> float:
    return two_hooks.worst_shares(two_hooks.TwoHookLoad(**load), tilt_rad)[0].pull_N


def _height_difference_m(limit_1_N: float, limit_2_N: float, largest_tilt_rad: float, **load: float) -> float:
    two = two_hooks.TwoHookLoad(**load)
    return two_hooks.largest_height_difference(two, limit_1_N, limit_2_N, largest_tilt_rad).either_way_m


_FUNCTIONS: Mapping[str, Callable[..., Any]] = MappingProxyType(
    {
        "permissible_wind_m_s": wind.permissible_wind_m_s,
        "gust_m_s": wind.gust_m_s,
        "track_pressure": _track_pressure,
        "mat_pressure": _mat_pressure,
        "pad_reaction_N": _pad_reaction_N,
        "lead_line_factor": hoist.lead_line_factor,
        "lead_line_pull": _lead_line_pull_N,
        "chart_use": _chart_use,
        "worst_share_N": _worst_share_N,
        "height_difference_m": _height_difference_m,
        "largest_track_pressure_Pa": ground.largest_track_pressure_Pa,
    }
)
