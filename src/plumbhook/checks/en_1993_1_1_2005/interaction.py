"""EN 1993-1-1:2005, 6.3.3 with Annex B: compression and bending of a member together.

The functions work on numbers and on arrays. Annex B (method 2) for members that do not twist, such as round tubes,
and the factor of members that do, for which a printed example exists.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from plumbhook.core.check import Clause, SourceQuality
from plumbhook.core.errors import InputError

FloatOrArray = float | npt.NDArray[np.float64]

_DOCUMENT, _EDITION = "EN 1993-1-1", "2005"
MEMBER_INTERACTION = Clause(_DOCUMENT, _EDITION, "6.3.3, eq. (6.61)")
INTERACTION_FACTOR = Clause(_DOCUMENT, _EDITION, "Annex B, Table B.1", SourceQuality.FROM_MEMORY)
INTERACTION_FACTOR_TWISTING = Clause(_DOCUMENT, _EDITION, "Annex B, Table B.2")
MOMENT_FACTOR = Clause(_DOCUMENT, _EDITION, "Annex B, Table B.3", SourceQuality.FROM_MEMORY)

_LEAST_MOMENT_FACTOR = 0.4


def moment_factor_linear(psi: FloatOrArray) -> FloatOrArray:
    """Equivalent uniform moment factor of a straight moment diagram, ``0.6 + 0.4 psi``, at least 0.4.

    Args:
        psi: smaller end moment over the larger, -1 to 1.

    Source: EN 1993-1-1:2005 Table B.3.
    """
    return np.maximum(_LEAST_MOMENT_FACTOR, 0.6 + 0.4 * psi)


def moment_factor_uniform_load(end_moment_Nm: float, middle_moment_Nm: float, psi: float) -> float:
    """Equivalent uniform moment factor of a member under a uniform load with moments at its ends.

    Args:
        end_moment_Nm: larger end moment by amount, N m, sagging positive.
        middle_moment_Nm: moment at mid-span, N m, sagging positive.
        psi: smaller end moment over the larger, -1 to 1.

    Returns:
        Factor from 0.4 to 1; NaN for NaN.

    Source: EN 1993-1-1:2005 Table B.3, second and third row, uniform load; from memory.
    """
    if not all(math.isfinite(number) for number in (end_moment_Nm, middle_moment_Nm, psi)):
        return math.nan
    if abs(middle_moment_Nm) >= abs(end_moment_Nm):
        alpha = end_moment_Nm / middle_moment_Nm if middle_moment_Nm else 0.0
        if alpha < 0.0 and psi < 0.0:
            return 0.95 + 0.05 * alpha * (1.0 + 2.0 * psi)
        return 0.95 + 0.05 * alpha
    alpha = middle_moment_Nm / end_moment_Nm
    if alpha >= 0.0:
        return max(_LEAST_MOMENT_FACTOR, 0.2 + 0.8 * alpha)
    first = 0.1 if psi >= 0.0 else 0.1 * (1.0 - psi)
    return max(_LEAST_MOMENT_FACTOR, first - 0.8 * alpha)


def interaction_factor(
    moment_factor: FloatOrArray,
    slenderness: FloatOrArray,
    compression_ratio: FloatOrArray,
    section_class: int,
) -> FloatOrArray:
    """Factor k_yy of a member that does not twist, by class of its section.

    Args:
        moment_factor: equivalent uniform moment factor C_my.
        slenderness: non-dimensional slenderness in the plane of bending.
        compression_ratio: ``N_Ed/(chi N_Rk/gamma_M1)``.
        section_class: 1, 2 or 3.

    Returns:
        Dimensionless factor, broadcast shape.

    Raises:
        InputError: the class is none of these.

    Source: EN 1993-1-1:2005 Table B.1; from memory.
    """
    if section_class not in (1, 2, 3):
        raise InputError.one("Table B.1 is used for sections of class 1, 2 and 3 only", field="section_class")
    n, lam = compression_ratio, slenderness
    if section_class == 3:
        return moment_factor * np.minimum(1.0 + 0.6 * lam * n, 1.0 + 0.6 * n)
    return moment_factor * np.minimum(1.0 + (lam - 0.2) * n, 1.0 + 0.8 * n)


def interaction_factor_twisting(
    moment_factor: FloatOrArray, slenderness: FloatOrArray, compression_ratio: FloatOrArray
) -> FloatOrArray:
    """Factor k_zy of a member of class 1 or 2 that may twist, at a slenderness of 0.4 or more.

    Args:
        moment_factor: equivalent uniform moment factor C_mLT.
        slenderness: non-dimensional slenderness about the weak axis, 0.4 or more.
        compression_ratio: ``N_Ed/N_b,z,Rd``.

    Returns:
        Dimensionless factor, broadcast shape.

    Source: EN 1993-1-1:2005 Table B.2.
    """
    n = compression_ratio / (moment_factor - 0.25)
    return np.maximum(1.0 - 0.1 * slenderness * n, 1.0 - 0.1 * n)


def member_interaction(
    compression_N: FloatOrArray,
    buckling_resistance_N: FloatOrArray,
    factor: FloatOrArray,
    moment_Nm: FloatOrArray,
    moment_resistance_Nm: FloatOrArray,
) -> FloatOrArray:
    """Use ``N_Ed/N_b,Rd + k M_Ed/M_b,Rd`` of a member bent in one plane.

    Args:
        compression_N: design compression, N.
        buckling_resistance_N: design buckling resistance, N.
        factor: interaction factor k.
        moment_Nm: design moment, N m.
        moment_resistance_Nm: design moment resistance, N m.

    Returns:
        Dimensionless, at most 1 where the member holds; broadcast shape.

    Source: EN 1993-1-1:2005 6.3.3(4), eq. (6.61) and (6.62).
    """
    return compression_N / buckling_resistance_N + factor * moment_Nm / moment_resistance_Nm
