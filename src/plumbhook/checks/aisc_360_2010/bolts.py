"""ANSI/AISC 360-10, J3: bolts in shear, and in shear with tension (load and resistance factor design)."""

from __future__ import annotations

import numpy as np

from plumbhook.checks.inputs import FloatOrArray, as_given
from plumbhook.core.check import Clause

BOLT_SHEAR = Clause("ANSI/AISC 360", "2010", "J3.6, eq. (J3-1)")
BOLT_COMBINED = Clause("ANSI/AISC 360", "2010", "J3.7, eq. (J3-3a)")
RESISTANCE_FACTOR = 0.75


def shear_strength_N(nominal_shear_Pa: FloatOrArray, area_m2: FloatOrArray, planes: int) -> FloatOrArray:
    """Design shear strength ``0.75 Fnv Ab`` in each of a number of planes, N.

    Args:
        nominal_shear_Pa: nominal shear stress Fnv: 54 ksi for A325-N from the edition of 2010 on, 48 ksi before, Pa.
        area_m2: area Ab of the unthreaded body, m2.
        planes: number of shear planes.

    Source: ANSI/AISC 360-10 eq. (J3-1).
    """
    return RESISTANCE_FACTOR * nominal_shear_Pa * area_m2 * planes


def tension_strength_with_shear_N(
    nominal_tension_Pa: FloatOrArray,
    nominal_shear_Pa: FloatOrArray,
    area_m2: FloatOrArray,
    shear_N: FloatOrArray,
) -> FloatOrArray:
    """Nominal tension strength of a bolt that also carries shear, ``(1.3 Fnt - Fnt/(0.75 Fnv) fv) Ab <= Fnt Ab``, N.

    Args:
        nominal_tension_Pa: Fnt, Pa.
        nominal_shear_Pa: Fnv, Pa.
        area_m2: Ab, m2.
        shear_N: factored shear, N.

    Source: ANSI/AISC 360-10 eq. (J3-3a).
    """
    shear_stress = shear_N / area_m2
    left = (
        1.3 * nominal_tension_Pa - nominal_tension_Pa / (RESISTANCE_FACTOR * nominal_shear_Pa) * shear_stress
    )
    return as_given(np.clip(left, 0.0, nominal_tension_Pa) * area_m2)
