"""EN 1993-1-8:2005, 3.13: pin-connected plates and pins. Functions work on numbers and on arrays."""

from __future__ import annotations

import math

import numpy as np

from plumbhook.checks.en_1993_1_8_2005.bolts import DOCUMENT, EDITION
from plumbhook.checks.inputs import FloatOrArray, as_given
from plumbhook.core.check import Clause, SourceQuality

PIN_SHEAR = Clause(DOCUMENT, EDITION, "Table 3.10, shear of the pin")
PIN_BEARING = Clause(DOCUMENT, EDITION, "Table 3.10, bearing of plate and pin")
PIN_BENDING = Clause(DOCUMENT, EDITION, "Table 3.10, bending of the pin")
PIN_COMBINED = Clause(DOCUMENT, EDITION, "Table 3.10, shear and bending of the pin")
PIN_BEARING_SERVICE = Clause(DOCUMENT, EDITION, "Table 3.10, bearing of a replaceable pin")
PIN_BENDING_SERVICE = Clause(DOCUMENT, EDITION, "Table 3.10, bending of a replaceable pin")
PIN_CONTACT = Clause(DOCUMENT, EDITION, "3.13.2(3), eq. (3.14) to (3.16)")
PIN_MOMENT = Clause(DOCUMENT, EDITION, "Figure 3.11", SourceQuality.FROM_MEMORY)
PLATE_TYPE_A = Clause(DOCUMENT, EDITION, "Table 3.9, type A: given thickness", SourceQuality.FROM_MEMORY)
PLATE_TYPE_B = Clause(DOCUMENT, EDITION, "Table 3.9, type B: given geometry", SourceQuality.FROM_MEMORY)


def pin_area_m2(diameter_m: FloatOrArray) -> FloatOrArray:
    """Area of a solid pin ``pi d2/4``, m2.

    Source: geometry.
    """
    return math.pi * diameter_m**2 / 4.0


def pin_modulus_m3(diameter_m: FloatOrArray) -> FloatOrArray:
    """Elastic modulus of a solid pin ``pi d3/32``, m3.

    Source: geometry.
    """
    return math.pi * diameter_m**3 / 32.0


def pin_shear_resistance_N(
    area_m2: FloatOrArray, ultimate_Pa: FloatOrArray, gamma_M2: float = 1.25
) -> FloatOrArray:
    """Shear resistance of a pin in one plane, ``0.6 A fup / gamma_M2``, N.

    Source: EN 1993-1-8:2005 Table 3.10.
    """
    return 0.6 * area_m2 * ultimate_Pa / gamma_M2


def pin_bearing_resistance_N(
    thickness_m: FloatOrArray, diameter_m: FloatOrArray, yield_Pa: FloatOrArray, gamma_M0: float = 1.0
) -> FloatOrArray:
    """Bearing resistance of plate and pin, ``1.5 t d fy / gamma_M0``, N.

    Args:
        thickness_m: thickness of the plate, m.
        diameter_m: diameter of the pin, m.
        yield_Pa: lower of the yield strengths of pin and plate, Pa.
        gamma_M0: partial factor.

    Source: EN 1993-1-8:2005 Table 3.10.
    """
    return 1.5 * thickness_m * diameter_m * yield_Pa / gamma_M0


def pin_bending_resistance_Nm(
    modulus_m3: FloatOrArray, yield_Pa: FloatOrArray, gamma_M0: float = 1.0
) -> FloatOrArray:
    """Bending resistance of a pin, ``1.5 Wel fyp / gamma_M0``, Nm.

    Source: EN 1993-1-8:2005 Table 3.10.
    """
    return 1.5 * modulus_m3 * yield_Pa / gamma_M0


def pin_moment_Nm(
    force_N: FloatOrArray, middle_m: FloatOrArray, outer_m: FloatOrArray, gap_m: FloatOrArray
) -> FloatOrArray:
    """Moment in a pin of two outer plates and one middle plate, ``F/8 (b + 4 c + 2 a)``, Nm.

    Args:
        force_N: force on the pin, N.
        middle_m: thickness b of the middle plate, m.
        outer_m: thickness a of each outer plate, m.
        gap_m: gap c between them, m.

    Source: EN 1993-1-8:2005 Figure 3.11, from memory.
    """
    return force_N / 8.0 * (middle_m + 4.0 * gap_m + 2.0 * outer_m)


def pin_combined_utilisation(
    moment_Nm: FloatOrArray,
    moment_resistance_Nm: FloatOrArray,
    shear_N: FloatOrArray,
    shear_resistance_N: FloatOrArray,
) -> FloatOrArray:
    """Left side of ``(M/MRd)2 + (F/FRd)2 <= 1``, shear per plane.

    Source: EN 1993-1-8:2005 Table 3.10.
    """
    return (moment_Nm / moment_resistance_Nm) ** 2 + (shear_N / shear_resistance_N) ** 2


def pin_bearing_service_limit_N(
    thickness_m: FloatOrArray, diameter_m: FloatOrArray, yield_Pa: FloatOrArray, gamma_M6_ser: float = 1.0
) -> FloatOrArray:
    """Bearing at which a replaceable pin can still be taken out, ``0.6 t d fy / gamma_M6,ser``, N.

    Source: EN 1993-1-8:2005 Table 3.10.
    """
    return 0.6 * thickness_m * diameter_m * yield_Pa / gamma_M6_ser


def pin_bending_service_limit_Nm(
    modulus_m3: FloatOrArray, yield_Pa: FloatOrArray, gamma_M6_ser: float = 1.0
) -> FloatOrArray:
    """Bending at which a replaceable pin can still be taken out, ``0.8 Wel fyp / gamma_M6,ser``, Nm.

    Source: EN 1993-1-8:2005 Table 3.10.
    """
    return 0.8 * modulus_m3 * yield_Pa / gamma_M6_ser


def contact_stress_Pa(
    elastic_modulus_Pa: FloatOrArray,
    service_force_N: FloatOrArray,
    hole_m: FloatOrArray,
    diameter_m: FloatOrArray,
    thickness_m: FloatOrArray,
) -> FloatOrArray:
    """Contact stress of a replaceable pin, ``0.591 sqrt(E F (d0 - d)/(d2 t))``, Pa.

    Args:
        elastic_modulus_Pa: modulus of elasticity, Pa.
        service_force_N: force at serviceability, N.
        hole_m: hole d0, not smaller than the pin, m.
        diameter_m: pin d, m.
        thickness_m: plate t, m.

    Returns:
        Stress, Pa; NaN where the pin is larger than its hole.

    Source: EN 1993-1-8:2005 eq. (3.15).
    """
    play = np.asarray(hole_m - diameter_m, dtype=np.float64)
    under = elastic_modulus_Pa * service_force_N * np.where(play >= 0.0, play, np.nan)
    return as_given(0.591 * np.sqrt(under / (diameter_m**2 * thickness_m)))


def contact_limit_Pa(yield_Pa: FloatOrArray, gamma_M6_ser: float = 1.0) -> FloatOrArray:
    """Largest contact stress of a replaceable pin, ``2.5 fy / gamma_M6,ser``, Pa.

    Source: EN 1993-1-8:2005 eq. (3.16).
    """
    return 2.5 * yield_Pa / gamma_M6_ser


def plate_end_ligament_m(
    force_N: FloatOrArray,
    thickness_m: FloatOrArray,
    hole_m: FloatOrArray,
    yield_Pa: FloatOrArray,
    gamma_M0: float = 1.0,
) -> FloatOrArray:
    """Least distance a from edge of hole to end of plate, ``F gM0/(2 t fy) + 2 d0/3``, m.

    Source: EN 1993-1-8:2005 Table 3.9 type A, from memory.
    """
    return force_N * gamma_M0 / (2.0 * thickness_m * yield_Pa) + 2.0 * hole_m / 3.0


def plate_side_ligament_m(
    force_N: FloatOrArray,
    thickness_m: FloatOrArray,
    hole_m: FloatOrArray,
    yield_Pa: FloatOrArray,
    gamma_M0: float = 1.0,
) -> FloatOrArray:
    """Least distance c from edge of hole to side of plate, ``F gM0/(2 t fy) + d0/3``, m.

    Source: EN 1993-1-8:2005 Table 3.9 type A, from memory.
    """
    return force_N * gamma_M0 / (2.0 * thickness_m * yield_Pa) + hole_m / 3.0


def plate_least_thickness_m(
    force_N: FloatOrArray, yield_Pa: FloatOrArray, gamma_M0: float = 1.0
) -> FloatOrArray:
    """Least thickness of a plate of the standard outline, ``0.7 sqrt(F gM0/fy)``, m.

    Source: EN 1993-1-8:2005 Table 3.9 type B, from memory.
    """
    return as_given(0.7 * np.sqrt(np.asarray(force_N) * gamma_M0 / yield_Pa))
