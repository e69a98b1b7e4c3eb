"""ANSI/AISC 360-10, E3: flexural buckling of members without slender elements."""

from __future__ import annotations

import math

import numpy as np

from plumbhook.checks.inputs import FloatOrArray, as_given
from plumbhook.core.check import Clause

COLUMN = Clause("ANSI/AISC 360", "2010", "E3, eq. (E3-1) to (E3-4)")
RESISTANCE_FACTOR = 0.90
SAFETY_FACTOR = 1.67


def elastic_stress_Pa(slenderness: FloatOrArray, elastic_modulus_Pa: float) -> FloatOrArray:
    """Elastic buckling stress ``pi2 E/(KL/r)2``, Pa.

    Source: ANSI/AISC 360-10 eq. (E3-4).
    """
    return as_given(math.pi**2 * elastic_modulus_Pa / np.asarray(slenderness, dtype=np.float64) ** 2)


def critical_stress_Pa(slenderness: FloatOrArray, yield_Pa: float, elastic_modulus_Pa: float) -> FloatOrArray:
    """Critical stress Fcr: ``0.658^(Fy/Fe) Fy`` up to ``4.71 sqrt(E/Fy)``, else ``0.877 Fe``, Pa.

    Args:
        slenderness: ``K L/r``, positive; number or array.
        yield_Pa: Fy, Pa.
        elastic_modulus_Pa: E, Pa.

    Source: ANSI/AISC 360-10 eq. (E3-2) and (E3-3).
    """
    ratio = np.asarray(slenderness, dtype=np.float64)
    elastic = np.asarray(elastic_stress_Pa(ratio, elastic_modulus_Pa))
    limit = 4.71 * math.sqrt(elastic_modulus_Pa / yield_Pa)
    stress = np.where(ratio <= limit, 0.658 ** (yield_Pa / elastic) * yield_Pa, 0.877 * elastic)
    return as_given(np.where(np.isnan(ratio), np.nan, stress))


def design_strength_N(
    slenderness: FloatOrArray, area_m2: float, yield_Pa: float, elastic_modulus_Pa: float
) -> FloatOrArray:
    """Design strength ``0.90 Fcr Ag``, load and resistance factor design, N.

    Source: ANSI/AISC 360-10 E1 and eq. (E3-1).
    """
    return RESISTANCE_FACTOR * critical_stress_Pa(slenderness, yield_Pa, elastic_modulus_Pa) * area_m2


def allowable_strength_N(
    slenderness: FloatOrArray, area_m2: float, yield_Pa: float, elastic_modulus_Pa: float
) -> FloatOrArray:
    """Allowable strength ``Fcr Ag/1.67``, allowable strength design, N.

    Source: ANSI/AISC 360-10 E1 and eq. (E3-1).
    """
    return critical_stress_Pa(slenderness, yield_Pa, elastic_modulus_Pa) * area_m2 / SAFETY_FACTOR
