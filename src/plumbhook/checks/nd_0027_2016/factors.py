"""0027/ND Rev 11.2: factors on the load, on slings and shackles, and on what they hang from.

The guideline reckons in tonnes; the functions take kilograms. Its factors are its own: they are never multiplied with
those of another document.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from plumbhook.checks.inputs import FloatOrArray, as_given
from plumbhook.core.check import Clause
from plumbhook.core.errors import InputError

_DOCUMENT, _EDITION = "0027/ND", "Rev 11.2 (2016)"
DYNAMIC_FACTOR = Clause(_DOCUMENT, _EDITION, "Table 5-1")
TILT = Clause(_DOCUMENT, _EDITION, "5.3.2")
SKEW_LOAD = Clause(_DOCUMENT, _EDITION, "5.6.12")
SHARE_OVER_BEND = Clause(_DOCUMENT, _EDITION, "5.8")
DESIGN_WEIGHT = Clause(_DOCUMENT, _EDITION, "6.2.1")
SLING_SAFETY = Clause(_DOCUMENT, _EDITION, "7.2.1 and 7.3.1")
CONSEQUENCE = Clause(_DOCUMENT, _EDITION, "7.5.1")
TERMINATION = Clause(_DOCUMENT, _EDITION, "7.7.1 and 7.7.2")
SHACKLES = Clause(_DOCUMENT, _EDITION, "8.2.4 to 8.2.6")
STRUCTURE = Clause(_DOCUMENT, _EDITION, "11.4, Table 11-1")

TILT_LIMIT_RAD = math.radians(2.0)
SKEW_FACTOR = 1.25
"""On each diagonal pair in turn: four slings, pairs matched within one diameter, use of the slings above 0.6."""

SLING_CONSEQUENCE_FACTOR = 1.3
LEAST_SAFETY = 2.3

SHARES: Mapping[str, float] = MappingProxyType(
    {
        "two parts over a bend": 0.55,
        "two parts sliding, upending": 0.675,
        "two parts over a rotating greased sheave": 0.51,
        "doubled twice": 0.55 * 0.55,
    }
)
"""Part of the force in the most loaded part of a sling, 5.8."""

TERMINATION_FACTORS: Mapping[str, float] = MappingProxyType(
    {
        "hand splice": 1.25,
        "steel ferrule": 1.12,
        "resin socket": 1.00,
        "swaged": 1.00,
        "aluminium ferrule": 2.0,
        "cable-laid hand splice": 1.33,
        "cable-laid grommet": 1.00,
        "fibre splice": 1.0,
    }
)
"""Termination factor by the end of the sling, 7.7."""

STRUCTURE_FACTORS: Mapping[str, float] = MappingProxyType(
    {
        "lift point": 1.30,
        "spreader": 1.30,
        "attachment": 1.30,
        "member supporting a lift point": 1.15,
        "other": 1.00,
    }
)
"""Consequence factor on structure, Table 11-1."""

PLACES = ("onshore", "inshore", "offshore")
_STEPS: Mapping[str, tuple[float, ...]] = MappingProxyType(
    # above 100, 300, 1000 and 2500 t
    {
        "onshore": (1.05, 1.05, 1.03, 1.03),
        "inshore": (1.12, 1.10, 1.08, 1.05),
        "offshore": (1.25, 1.20, 1.15, 1.10),
    }
)


def dynamic_factor(weight_kg: FloatOrArray, hook_load_kg: FloatOrArray, place: str) -> FloatOrArray:
    """Dynamic factor of a lift in air.

    Args:
        weight_kg: gross weight of the load; number or array.
        hook_load_kg: static hook load, which counts up to 100 t of weight; below 3 t as 3 t.
        place: ``onshore``, ``inshore`` (also a crawler crane that travels with the load) or ``offshore``.

    Returns:
        The factor; a weight of exactly 100, 300, 1000 or 2500 t has the larger one. NaN for NaN and for a weight that
        is not positive.

    Raises:
        InputError: another place.

    Source: 0027/ND Rev 11.2, Table 5-1.
    """
    if place not in PLACES:
        raise InputError.one(
            f'"{place}" is not a place here; write one of {", ".join(PLACES)}', field="place"
        )
    weight = np.asarray(weight_kg, dtype=np.float64)
    hook = np.maximum(np.asarray(hook_load_kg, dtype=np.float64), 3000.0)
    root = np.sqrt(100e3 / hook)
    light = {
        "onshore": np.where(np.isnan(hook), np.nan, 1.10),
        "inshore": 1.07 + 0.05 * root,
        "offshore": 1.0 + 0.25 * root,
    }[place]
    over_100, over_300, over_1000, over_2500 = _STEPS[place]
    factor = np.select(
        [weight <= 100e3, weight <= 300e3, weight <= 1000e3, weight <= 2500e3, weight > 2500e3],
        [light, over_100, over_300, over_1000, over_2500],
        default=np.nan,
    )
    return as_given(np.where(weight > 0.0, factor, np.nan))


def design_weight_kg(weight_kg: FloatOrArray, contingency: float) -> FloatOrArray:
    """Design weight: net or weighed weight times the contingency factor, kg.

    Source: 0027/ND Rev 11.2, 6.2.1.
    """
    return weight_kg * contingency


def termination_factor(kind: str) -> float:
    """Termination factor of the end of a sling.

    Raises:
        InputError: another kind of end.

    Source: 0027/ND Rev 11.2, 7.7.
    """
    if kind not in TERMINATION_FACTORS:
        known = ", ".join(TERMINATION_FACTORS)
        raise InputError.one(
            f'"{kind}" is not an end of a sling here; write one of {known}', field="termination"
        )
    return TERMINATION_FACTORS[kind]


def reduction_factor(termination: FloatOrArray, bending: FloatOrArray) -> FloatOrArray:
    """The worse of termination and bending factor; they are not multiplied.

    Source: 0027/ND Rev 11.2, 7.7.2.
    """
    return as_given(np.maximum(termination, bending))


def sling_safety_factor(
    load: float, consequence: float, reduction: FloatOrArray, wear: float, material: float, twist: float
) -> FloatOrArray:
    """Safety factor on the breaking load of a sling, product of its parts, at least ``2.3 gr gw gtw``.

    Source: 0027/ND Rev 11.2, 7.3.1.
    """
    least = LEAST_SAFETY * np.asarray(reduction) * wear * twist
    return as_given(np.maximum(load * consequence * np.asarray(reduction) * wear * material * twist, least))


def shackle_limit_kg(
    rated_kg: FloatOrArray, breaking_kg: FloatOrArray, proof_kg: FloatOrArray, dynamic_factor: float
) -> FloatOrArray:
    """Largest dynamic load on a shackle: least of ``WLL DAF``, a third of the breaking load and the proof load, kg.

    Source: 0027/ND Rev 11.2, 8.2.4 to 8.2.6; the static load must also be within the rated load.
    """
    return as_given(
        np.minimum(np.minimum(rated_kg * dynamic_factor, np.asarray(breaking_kg) / 3.0), proof_kg)
    )


def structure_factor(part: str) -> float:
    """Consequence factor on a part of the structure.

    Raises:
        InputError: another part.

    Source: 0027/ND Rev 11.2, Table 11-1.
    """
    if part not in STRUCTURE_FACTORS:
        known = ", ".join(STRUCTURE_FACTORS)
        raise InputError.one(f'"{part}" is not a part of Table 11-1; write one of {known}', field="part")
    return STRUCTURE_FACTORS[part]
