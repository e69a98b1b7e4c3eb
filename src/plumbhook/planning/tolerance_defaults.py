"""How inputs scatter where the lift file does not say: shapes and half widths by kind of item, each with its source."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from types import MappingProxyType

from plumbhook.core.check import Clause, SourceQuality
from plumbhook.model.equipment import ItemKind


class Shape(Enum):
    """Shape of the scatter within a band of half width a: its standard deviation follows from it."""

    UNIFORM = "uniform"
    TRIANGULAR = "triangular"
    NORMAL = "normal"


STANDARD_DEVIATIONS: Mapping[Shape, float] = MappingProxyType(
    {Shape.UNIFORM: 3.0**-0.5, Shape.TRIANGULAR: 6.0**-0.5, Shape.NORMAL: 0.5}
)
"""Standard deviation over half width. JCGM 100:2008 (GUM) 4.3.7 (a2/3), 4.3.9 (a2/6), 6.2 (expanded, k = 2)."""

_MEMORY, _PRACTICE = SourceQuality.FROM_MEMORY, SourceQuality.COMMON_PRACTICE

BOUNDS_ONLY = Clause("JCGM 100 (GUM)", "2008", "4.3.7: only bounds are known, so anywhere between them")
EXPANDED = Clause(
    "JCGM 100 (GUM)", "2008", "6.2: the tolerance of a weighing is twice its standard deviation"
)
MEASURED_LINE = Clause("Measured bearing to bearing by tape, ± 5 mm", quality=_PRACTICE)
MEASURED_LINE_M = 0.005


@dataclass(frozen=True, slots=True)
class LengthDefault:
    """Length of a kind of sling as marked: plus or minus a part of it, never less than a length, m."""

    half_width: float
    at_least_m: float
    clause: Clause


@dataclass(frozen=True, slots=True)
class StiffnessDefault:
    """Stiffness of a kind of sling: plus or minus shared by all of the kind, and of each by itself (parts of it)."""

    together: float
    each: float
    clause: Clause


_ROUND = Clause(
    "EN 1492-2", "2000", "length within 2 % of the nominal one, as quoted by an operator's specification"
)
_FLAT = Clause(
    "EN 1492-1", "2000", "length within 3 % of the nominal one, as quoted by an operator's specification"
)
_ROPE = Clause("EN 13414-1", "2003", "length within 0.5 % or two rope diameters, taken as 50 mm", _MEMORY)

LENGTHS: Mapping[ItemKind, LengthDefault] = MappingProxyType(
    {
        ItemKind.ROUNDSLING: LengthDefault(0.02, 0.0, _ROUND),
        ItemKind.WEBBING_SLING: LengthDefault(0.03, 0.0, _FLAT),
        ItemKind.BELLY_SLING: LengthDefault(0.03, 0.0, _FLAT),
        ItemKind.WIRE_ROPE_SLING: LengthDefault(0.005, 0.05, _ROPE),
    }
)

CHAIN_LENGTH = Clause("EN 818-4", "1996", "tolerance on length: 0 to + 2 pitches of the chain")
CHAIN_LEGS = Clause(
    "EN 818-4", "1996", "Table 2: legs joined by mechanical devices differ by 10 mm, or 5 mm/m above 2 m"
)
CHAIN_SET = Clause("Leg set to a length of its own: within half a pitch of it", quality=_PRACTICE)
CHAIN_PITCHES = 2.0
CHAIN_STRESS_PA = 200.0e6
"""Mean stress at the working load limit of grade 8, EN 818-2; it gives the size of a chain from its rated load."""
CHAIN_PITCH_DIAMETERS = 3.0
"""Pitch over nominal size of chain for lifting, EN 818-2."""
CHAIN_LEGS_SHORT_M, CHAIN_LEGS_PER_M, CHAIN_LEGS_UP_TO_M = 0.010, 0.005, 2.0

STIFFNESS: Mapping[ItemKind, StiffnessDefault] = MappingProxyType(
    {
        kind: StiffnessDefault(together, each, Clause(words, quality=_PRACTICE))
        for kind, together, each, words in (
            (
                ItemKind.ROUNDSLING,
                0.20,
                0.10,
                "Stretch of textile slings varies by make and age: ± 20 % and ± 10 %",
            ),
            (
                ItemKind.WEBBING_SLING,
                0.20,
                0.10,
                "Stretch of textile slings varies by make and age: ± 20 % and ± 10 %",
            ),
            (
                ItemKind.BELLY_SLING,
                0.20,
                0.10,
                "Stretch of textile slings varies by make and age: ± 20 % and ± 10 %",
            ),
            (
                ItemKind.WIRE_ROPE_SLING,
                0.10,
                0.05,
                "Modulus of rope varies by construction and use: ± 10 % and ± 5 %",
            ),
            (ItemKind.CHAIN_SLING, 0.05, 0.03, "Stretch of chain is steady: ± 5 % and ± 3 %"),
        )
    }
)


def chain_pitch_m(rated_load_kg: float, gravity_m_s2: float) -> float:
    """Pitch of a grade 8 chain from the rated load of one leg, m: size from stress on both sides of a link, times 3.

    Args:
        rated_load_kg: rated load of one leg, kg.
        gravity_m_s2: acceleration of gravity, m/s2.

    Source: EN 818-2 basis: 200 N/mm2 on twice the section of the bar, pitch of three bar diameters.
    """
    section_m2 = rated_load_kg * gravity_m_s2 / CHAIN_STRESS_PA / 2.0
    return CHAIN_PITCH_DIAMETERS * math.sqrt(4.0 * section_m2 / math.pi)


def chain_legs_differ_m(length_m: float) -> float:
    """Largest difference between the legs of one chain sling, m, by their length. Source: EN 818-4 Table 2."""
    return CHAIN_LEGS_SHORT_M if length_m <= CHAIN_LEGS_UP_TO_M else CHAIN_LEGS_PER_M * length_m
