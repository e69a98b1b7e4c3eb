"""ASME BTH-1, 3-3.3 and 3-2: pin-connected plates, and solid pins in shear and bending.

The nominal design factor is an argument; :func:`nominal_design_factor` gives it by design category. Functions
work on numbers and on arrays.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from plumbhook.checks.inputs import FloatOrArray, as_given
from plumbhook.core.check import Clause, SourceQuality
from plumbhook.core.errors import InputError

_DOCUMENT, _EDITION = "ASME BTH-1", "2014"
DESIGN_CATEGORY = Clause(_DOCUMENT, _EDITION, "3-1.3")
DESIGN_CATEGORY_C = Clause(_DOCUMENT, "", "3-1.3, category C", SourceQuality.FROM_MEMORY)
PLATE_TENSION = Clause(_DOCUMENT, _EDITION, "3-3.3.1, eq. (3-45)")
PLATE_EFFECTIVE_WIDTH = Clause(_DOCUMENT, _EDITION, "3-3.3.1, effective width")
PLATE_FRACTURE = Clause(_DOCUMENT, _EDITION, "3-3.3.1, eq. (3-49)")
PLATE_DOUBLE_SHEAR = Clause(_DOCUMENT, _EDITION, "3-3.3.1, eq. (3-50) to (3-52)")
PLATE_BEARING = Clause(_DOCUMENT, _EDITION, "3-3.3, eq. (3-53)")
PIN_SHEAR = Clause(_DOCUMENT, _EDITION, "3-2.3.6, shear of bars", SourceQuality.FROM_MEMORY)
PIN_BENDING = Clause(_DOCUMENT, _EDITION, "3-2.3, bending of solid bars", SourceQuality.FROM_MEMORY)
PIN_COMBINED = Clause(
    _DOCUMENT, _EDITION, "3-2.5, combined normal and shear stress", SourceQuality.FROM_MEMORY
)

DESIGN_FACTORS: Mapping[str, float] = MappingProxyType({"A": 2.0, "B": 3.0, "C": 6.0})
"""Nominal design factor by design category; that of C is from memory."""


def nominal_design_factor(category: str, *, field: str = "design_category") -> float:
    """Nominal design factor Nd of a design category.

    Args:
        category: ``A``, ``B`` or ``C``.
        field: field of the category as the user knows it.

    Raises:
        InputError: no such category.

    Source: ASME BTH-1 3-1.3; C from memory.
    """
    if category not in DESIGN_FACTORS:
        raise InputError.one(
            f'"{category}" is not a design category of ASME BTH-1; write A, B or C', field=field
        )
    return DESIGN_FACTORS[category]


def hole_clearance_factor(pin_m: FloatOrArray, hole_m: FloatOrArray) -> FloatOrArray:
    """Strength reduction Cr for the play of the pin, ``1 - 0.275 sqrt(1 - Dp2/Dh2)``, dimensionless.

    Args:
        pin_m: pin Dp, m.
        hole_m: hole Dh, m.

    Returns:
        1 for a pin without play; NaN for a pin larger than its hole.

    Source: ASME BTH-1:2014 3-3.3.1.
    """
    ratio = np.asarray(pin_m / hole_m, dtype=np.float64)
    play = np.where(ratio <= 1.0, 1.0 - ratio**2, np.nan)
    return as_given(1.0 - 0.275 * np.sqrt(play))


def effective_width_m(
    width_m: FloatOrArray,
    thickness_m: FloatOrArray,
    hole_m: FloatOrArray,
    yield_Pa: FloatOrArray,
    ultimate_Pa: FloatOrArray,
    *,
    stiffened: bool = False,
) -> FloatOrArray:
    """Effective width beff beside the hole: least of be, 4 t (dishing) and ``0.6 be Fu/Fy sqrt(Dh/be)``, m.

    Args:
        width_m: actual width be from the edge of the hole to the edge of the plate, across the force, m.
        thickness_m: thickness t, m.
        hole_m: hole Dh, m.
        yield_Pa: Fy, Pa.
        ultimate_Pa: Fu, Pa.
        stiffened: the plate is held against dishing or buckling out of its plane, so that 4 t is not needed.

    Source: ASME BTH-1:2014 3-3.3.1.
    """
    width = np.asarray(width_m, dtype=np.float64)
    least = np.minimum(width, 0.6 * width * ultimate_Pa / yield_Pa * np.sqrt(hole_m / width))
    return as_given(least if stiffened else np.minimum(least, 4.0 * np.asarray(thickness_m)))


def plate_tension_N(
    clearance_factor: FloatOrArray,
    effective_width_m: FloatOrArray,
    thickness_m: FloatOrArray,
    ultimate_Pa: FloatOrArray,
    design_factor: float,
) -> FloatOrArray:
    """Allowable tension through the pin hole, ``Cr Fu/(1.20 Nd) 2 t beff``, N.

    Source: ASME BTH-1:2014 eq. (3-45).
    """
    return clearance_factor * ultimate_Pa / (1.20 * design_factor) * 2.0 * thickness_m * effective_width_m


def plate_fracture_N(
    clearance_factor: FloatOrArray,
    radius_m: FloatOrArray,
    hole_m: FloatOrArray,
    width_m: FloatOrArray,
    thickness_m: FloatOrArray,
    ultimate_Pa: FloatOrArray,
    design_factor: float,
) -> FloatOrArray:
    """Allowable load of fracture on one plane beyond the hole, N.

    ``Cr Fu/(1.20 Nd) [1.13 (R - Dh/2) + 0.92 be/(1 + be/Dh)] t``

    Args:
        clearance_factor: Cr of :func:`hole_clearance_factor`.
        radius_m: distance R from the centre of the hole to the edge of the plate along the force, m.
        hole_m: hole Dh, m.
        width_m: actual width be beside the hole, m.
        thickness_m: thickness t, m.
        ultimate_Pa: Fu, Pa.
        design_factor: Nd.

    Source: ASME BTH-1:2014 eq. (3-49).
    """
    path = 1.13 * (radius_m - hole_m / 2.0) + 0.92 * width_m / (1.0 + width_m / hole_m)
    return clearance_factor * ultimate_Pa / (1.20 * design_factor) * path * thickness_m


def shear_plane_angle_rad(pin_m: FloatOrArray, hole_m: FloatOrArray) -> FloatOrArray:
    """Angle phi of the shear planes, ``55 degrees Dp/Dh``, rad.

    Source: ASME BTH-1:2014 eq. (3-52).
    """
    return math.radians(55.0) * pin_m / hole_m


def double_shear_area_m2(
    end_m: FloatOrArray, pin_m: FloatOrArray, hole_m: FloatOrArray, thickness_m: FloatOrArray
) -> FloatOrArray:
    """Area of the two shear planes beyond the pin, ``2 [a + Dp/2 (1 - cos phi)] t``, m2.

    Args:
        end_m: distance a from the edge of the hole to the edge of the plate along the force, m.
        pin_m: pin Dp, m.
        hole_m: hole Dh, m.
        thickness_m: thickness t, m.

    Source: ASME BTH-1:2014 eq. (3-51).
    """
    angle = shear_plane_angle_rad(pin_m, hole_m)
    return as_given(2.0 * (end_m + pin_m / 2.0 * (1.0 - np.cos(angle))) * thickness_m)


def plate_double_shear_N(
    area_m2: FloatOrArray, ultimate_Pa: FloatOrArray, design_factor: float
) -> FloatOrArray:
    """Allowable double plane shear, ``0.70 Fu/(1.20 Nd) Av``, N.

    Source: ASME BTH-1:2014 eq. (3-50).
    """
    return 0.70 * ultimate_Pa / (1.20 * design_factor) * area_m2


def bearing_stress_Pa(
    yield_Pa: FloatOrArray, design_factor: float, *, turns_under_load: bool = False
) -> FloatOrArray:
    """Allowable bearing stress on the projected area, ``1.25 Fy/Nd``; ``0.63 Fy/Nd`` where the pin turns, Pa.

    Source: ASME BTH-1:2014 eq. (3-53); 0.63 from memory.
    """
    return (0.63 if turns_under_load else 1.25) * yield_Pa / design_factor


def plate_bearing_N(
    bearing_stress_Pa: FloatOrArray, pin_m: FloatOrArray, thickness_m: FloatOrArray
) -> FloatOrArray:
    """Allowable bearing load ``Fp Dp t``, N.

    Source: ASME BTH-1:2014 eq. (3-53).
    """
    return bearing_stress_Pa * pin_m * thickness_m


def pin_shear_stress_limit_Pa(yield_Pa: FloatOrArray, design_factor: float) -> FloatOrArray:
    """Allowable shear stress ``Fy/(Nd sqrt3)``, Pa.

    Source: ASME BTH-1:2014, from memory.
    """
    return yield_Pa / (design_factor * math.sqrt(3.0))


def pin_bending_stress_limit_Pa(yield_Pa: FloatOrArray, design_factor: float) -> FloatOrArray:
    """Allowable bending stress of a solid round bar ``1.25 Fy/Nd``, Pa.

    Source: ASME BTH-1:2014 3-2.3, from memory.
    """
    return 1.25 * yield_Pa / design_factor


def combined_stress_Pa(normal_Pa: FloatOrArray, shear_Pa: FloatOrArray) -> FloatOrArray:
    """Stress ``sqrt(f2 + 3 fv2)`` to be held against ``Fy/Nd``, Pa, at one point of the section.

    Source: ASME BTH-1:2014 3-2.5, from memory.
    """
    return as_given(np.sqrt(np.asarray(normal_Pa) ** 2 + 3.0 * np.asarray(shear_Pa) ** 2))
