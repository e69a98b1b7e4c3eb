"""Published values of compression with bending: interaction of EN 1993-1-1, bows, strength of EN 13155."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

from plumbhook.checks import sections
from plumbhook.checks.asme_bth_1 import segmented
from plumbhook.checks.en_1993_1_1_2005 import flexural_buckling as ec3
from plumbhook.checks.en_1993_1_1_2005 import interaction, second_order
from plumbhook.checks.en_13155_2003 import strength
from plumbhook.core.verification import VerificationCase, cases_of_data


def strut_cases() -> tuple[VerificationCase, ...]:
    """Every published case of compression with bending with the value computed now."""
    return cases_of_data("checks_struts.json", _FUNCTIONS)


def _weak_axis_factor(
    compression_N: float, resistance_N: float, slenderness: float, end_moment_ratio: float
) -> float:
    factor = interaction.moment_factor_linear(end_moment_ratio)
    return float(interaction.interaction_factor_twisting(factor, slenderness, compression_N / resistance_N))


def _weak_axis_use(
    compression_N: float,
    resistance_N: float,
    slenderness: float,
    end_moment_ratio: float,
    moment_Nm: float,
    moment_resistance_Nm: float,
) -> float:
    factor = _weak_axis_factor(compression_N, resistance_N, slenderness, end_moment_ratio)
    return float(
        interaction.member_interaction(compression_N, resistance_N, factor, moment_Nm, moment_resistance_Nm)
    )


def _tube_factor(**strut: float | str) -> float:
    return _tube(**strut)[0]


def _tube_use(**strut: float | str) -> float:
    return _tube(**strut)[1]


def _tube(**strut: float | str) -> tuple[float, float]:
    """k_yy and use of a tube under compression and its own weight, pins on its axis."""
    curve = str(strut.pop("curve"))
    given = {name: float(number) for name, number in strut.items()}
    diameter, wall, span = given["outside_diameter_m"], given["wall_m"], given["span_m"]
    yield_Pa, force = given["yield_Pa"], given["compression_N"]
    area = sections.chs_area_m2(diameter, wall)
    critical = ec3.elastic_critical_force_N(
        given["modulus_Pa"], sections.chs_second_moment_m4(diameter, wall), span
    )
    slenderness = float(ec3.relative_slenderness(area, yield_Pa, critical))
    chi = ec3.buckling_reduction(slenderness, ec3.imperfection_factor(curve))
    resistance = float(ec3.buckling_resistance_N(chi, area, yield_Pa, 1.0))
    moment = given["load_N_per_m"] * span**2 / 8.0
    plastic = sections.chs_plastic_modulus_m3(diameter, wall) * yield_Pa
    factor = interaction.moment_factor_uniform_load(0.0, moment, 1.0)
    k_yy = float(interaction.interaction_factor(factor, slenderness, force / resistance, 1))
    return k_yy, float(interaction.member_interaction(force, resistance, k_yy, moment, plastic))


def _no_set_coefficient() -> float:
    return strength.NO_SET_COEFFICIENT


def _no_release_coefficient() -> float:
    return strength.NO_RELEASE_COEFFICIENT


def _equivalent_slenderness(
    length_m: float, second_moment_m4: float, area_m2: float, modulus_Pa: float
) -> float:
    critical = ec3.elastic_critical_force_N(modulus_Pa, second_moment_m4, length_m)
    return float(segmented.equivalent_slenderness(critical, area_m2, modulus_Pa))


_FUNCTIONS: Mapping[str, Callable[..., Any]] = MappingProxyType(
    {
        "weak_axis_factor": _weak_axis_factor,
        "weak_axis_use": _weak_axis_use,
        "tube_factor": _tube_factor,
        "tube_use": _tube_use,
        "bow_divisor": second_order.bow_divisor,
        "moment_factor_uniform_load": interaction.moment_factor_uniform_load,
        "no_set_coefficient": _no_set_coefficient,
        "no_release_coefficient": _no_release_coefficient,
        "equivalent_slenderness": _equivalent_slenderness,
    }
)
