"""Published cases of bearing resistance, computed by the functions of this package.

The cases are data (``data/verification/crane_bearing.json``); nothing here knows an answer.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

from plumbhook.core.verification import VerificationCase, cases_of_data
from plumbhook.crane.bearing import classical, en_1997_1, factors
from plumbhook.crane.bearing.ground_model import Pad, Soil


def bearing_cases() -> tuple[VerificationCase, ...]:
    """Every published case of bearing resistance with the value computed now."""
    return cases_of_data("crane_bearing.json", _BEARING)


def _pad(width_m: float, length_m: float, depth_m: float, eccentricity_m: float = 0.0) -> Pad:
    return Pad(width_m, length_m, depth_m, eccentricity_width_m=eccentricity_m)


def _soil(
    phi: float,
    cohesion: float,
    gamma: float = 18e3,
    saturated: float | None = None,
    water_depth: float | None = None,
) -> Soil:
    return Soil(phi, cohesion, gamma, saturated, water_depth)


_PAD_WORDS = ("width_m", "length_m", "depth_m", "eccentricity_m")


def _site(arguments: Mapping[str, float]) -> tuple[Pad, Soil]:
    pad = {word: value for word, value in arguments.items() if word in _PAD_WORDS}
    soil = {word: value for word, value in arguments.items() if word not in _PAD_WORDS}
    return _pad(**pad), _soil(**soil)


def _by(method: Callable[[Pad, Soil], float]) -> Callable[..., float]:
    def pressure_Pa(**arguments: float) -> float:
        return method(*_site(arguments))

    return pressure_Pa


def _utilisation(permanent: float, variable: float, approach: str, **site: float) -> float:
    pad, soil = _site(site)
    combinations = {c.name: c for found in en_1997_1.DESIGN_APPROACHES.values() for c in found}
    number, _, part = approach.partition("-")
    name = f"design approach {number}" + (f", combination {part}" if part else "")
    return en_1997_1.bearing_resistance_check(
        "bearing",
        "ground",
        "pad",
        pad=pad,
        soil=soil,
        permanent_N=permanent,
        variable_N=variable,
        combination=combinations[name],
        soil_source="example",
    ).utilisation


def _hansen_factor(
    symbol: str, phi: float, cohesion: float, vertical: float, horizontal: float, **pad: float
) -> float:
    if symbol.startswith("N_"):
        own = {"N_gamma": factors.N_gamma_brinch_hansen, "N_q": factors.N_q, "N_c": factors.N_c}
        return own[symbol](phi)
    found = classical.brinch_hansen_factors(
        _pad(**pad), _soil(phi, cohesion), vertical_N=vertical, horizontal_N=horizontal
    )
    return found[symbol]


def _hansen_clay(
    cohesion: float, surcharge: float, vertical: float, horizontal: float, **pad: float
) -> float:
    soil = _soil(0.0, cohesion, surcharge / pad["depth_m"])
    return classical.brinch_hansen_Pa(_pad(**pad), soil, vertical_N=vertical, horizontal_N=horizontal)


def _factor(symbol: str, phi: float) -> float:
    return {"N_q": factors.N_q, "N_c": factors.N_c, "N_gamma": factors.N_gamma_en_1997}[symbol](phi)


def _terzaghi_factor(symbol: str, phi: float) -> float:
    own = {"N_q": factors.N_q_terzaghi, "N_c": factors.N_c_terzaghi, "N_gamma": factors.N_gamma_terzaghi}
    return own[symbol](phi)


_BEARING: Mapping[str, Callable[..., Any]] = MappingProxyType(
    {
        "bearing_factor": _factor,
        "en_1997_1": _by(en_1997_1.bearing_resistance_Pa),
        "en_1997_1_utilisation": _utilisation,
        "brinch_hansen_factor": _hansen_factor,
        "brinch_hansen_clay": _hansen_clay,
        "terzaghi": _by(classical.terzaghi_Pa),
        "terzaghi_factor": _terzaghi_factor,
        "meyerhof": _by(classical.meyerhof_Pa),
        "vesic": _by(classical.vesic_Pa),
    }
)
