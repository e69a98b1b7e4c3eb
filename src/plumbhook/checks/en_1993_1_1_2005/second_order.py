"""EN 1993-1-1:2005, 5.3.2 and 6.2: second-order moments with the bow of Table 5.1, against the section.

Where second-order effects and bow are in the analysis, the section is checked and nothing else (5.2.2(7)). The section
is taken elastic with the bow for elastic analysis.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

from plumbhook.core.check import Clause, SourceQuality
from plumbhook.core.errors import InputError

FloatOrArray = float | npt.NDArray[np.float64]

_DOCUMENT, _EDITION = "EN 1993-1-1", "2005"
BOW = Clause(_DOCUMENT, _EDITION, "5.3.2(3), Table 5.1, elastic analysis", SourceQuality.FROM_MEMORY)
BOW_NEEDED = Clause(_DOCUMENT, _EDITION, "5.3.2(6), eq. (5.8)")
SECTION_RESISTANCE = Clause(_DOCUMENT, _EDITION, "6.2.1(7), eq. (6.2)", SourceQuality.FROM_MEMORY)

BOW_DIVISORS: Mapping[str, float] = MappingProxyType(
    {"a0": 350.0, "a": 300.0, "b": 250.0, "c": 200.0, "d": 150.0}
)
"""Span over bow for elastic analysis by buckling curve, EN 1993-1-1:2005 Table 5.1; from memory."""


def bow_divisor(curve: str) -> float:
    """Span over the bow of a member for elastic analysis.

    Args:
        curve: buckling curve ``a0``, ``a``, ``b``, ``c`` or ``d``.

    Raises:
        InputError: the curve is none of these.

    Source: EN 1993-1-1:2005 Table 5.1; from memory.
    """
    if curve not in BOW_DIVISORS:
        raise InputError.one(
            f"buckling curve '{curve}' is not one of {', '.join(BOW_DIVISORS)}", field="buckling_curve"
        )
    return BOW_DIVISORS[curve]


def least_slenderness_with_bow(area_m2: float, yield_Pa: float, compression_N: FloatOrArray) -> FloatOrArray:
    """Slenderness ``0.5 sqrt(A fy/N_Ed)`` above which the bow belongs into a global analysis, dimensionless.

    Source: EN 1993-1-1:2005 5.3.2(6), eq. (5.8).
    """
    return 0.5 * np.sqrt(area_m2 * yield_Pa / compression_N)


def section_use(
    compression_N: FloatOrArray,
    moment_Nm: FloatOrArray,
    *,
    area_m2: FloatOrArray,
    section_modulus_m3: FloatOrArray,
    yield_Pa: float,
    gamma_M: float,
) -> FloatOrArray:
    """Use ``N_Ed/N_Rd + M_Ed/M_Rd`` of a section in compression and bending.

    Args:
        compression_N: design compression, N.
        moment_Nm: design moment, N m.
        area_m2: area, m2.
        section_modulus_m3: section modulus, m3.
        yield_Pa: yield strength, Pa.
        gamma_M: partial factor for resistance.

    Returns:
        Dimensionless, at most 1 where the section holds; broadcast shape.

    Source: EN 1993-1-1:2005 6.2.1(7), eq. (6.2).
    """
    return gamma_M * (compression_N / (area_m2 * yield_Pa) + moment_Nm / (section_modulus_m3 * yield_Pa))
