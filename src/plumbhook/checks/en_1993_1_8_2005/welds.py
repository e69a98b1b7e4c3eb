"""EN 1993-1-8:2005, 4.5.3: fillet welds by the directional and by the simplified method."""

from __future__ import annotations

import difflib
import math
from collections.abc import Mapping
from types import MappingProxyType

import numpy as np

from plumbhook.checks.en_1993_1_8_2005.bolts import DOCUMENT, EDITION
from plumbhook.checks.inputs import FloatOrArray, as_given
from plumbhook.core.check import Clause, SourceQuality
from plumbhook.core.errors import InputError

DIRECTIONAL = Clause(DOCUMENT, EDITION, "4.5.3.2, eq. (4.1)", SourceQuality.FROM_MEMORY)
SIMPLIFIED = Clause(DOCUMENT, EDITION, "4.5.3.3, eq. (4.3) and (4.4)", SourceQuality.FROM_MEMORY)
CORRELATION = Clause(DOCUMENT, EDITION, "Table 4.1", SourceQuality.FROM_MEMORY)

CORRELATION_FACTORS: Mapping[str, float] = MappingProxyType(
    {"S235": 0.80, "S275": 0.85, "S355": 0.90, "S420": 1.00, "S460": 1.00}
)
"""Correlation factor beta_w by the weaker of the grades joined, Table 4.1, from memory."""


def correlation_factor(grade: str, *, field: str = "steel") -> float:
    """Correlation factor beta_w of a steel grade.

    Args:
        grade: grade of the weaker part, with or without its quality.
        field: field of the grade as the user knows it.

    Raises:
        InputError: the grade is not in the table.

    Source: EN 1993-1-8:2005 Table 4.1, from memory.
    """
    name = grade.strip()[:4]
    if name not in CORRELATION_FACTORS:
        near = difflib.get_close_matches(name, CORRELATION_FACTORS, n=1, cutoff=0.5)
        hint = f"did you mean {near[0]}? " if near else ""
        raise InputError.one(
            f'no correlation factor of welds is tabled for the steel grade "{grade}"; {hint}'
            f"Known are {', '.join(CORRELATION_FACTORS)}",
            field=field,
        )
    return CORRELATION_FACTORS[name]


def equivalent_stress_Pa(
    normal_Pa: FloatOrArray, across_Pa: FloatOrArray, along_Pa: FloatOrArray
) -> FloatOrArray:
    """Equivalent stress on the throat, ``sqrt(s2 + 3 (ta2 + tl2))``, Pa.

    Args:
        normal_Pa: stress perpendicular to the throat, Pa.
        across_Pa: shear in the throat across the axis of the weld, Pa.
        along_Pa: shear in the throat along the axis of the weld, Pa.

    Source: EN 1993-1-8:2005 eq. (4.1), from memory.
    """
    squares = np.asarray(normal_Pa) ** 2 + 3.0 * (np.asarray(across_Pa) ** 2 + np.asarray(along_Pa) ** 2)
    return as_given(np.sqrt(squares))


def equivalent_limit_Pa(ultimate_Pa: FloatOrArray, beta_w: float, gamma_M2: float = 1.25) -> FloatOrArray:
    """Largest equivalent stress ``fu/(beta_w gamma_M2)``, Pa.

    Source: EN 1993-1-8:2005 eq. (4.1), from memory.
    """
    return ultimate_Pa / (beta_w * gamma_M2)


def normal_limit_Pa(ultimate_Pa: FloatOrArray, gamma_M2: float = 1.25) -> FloatOrArray:
    """Largest stress perpendicular to the throat, ``0.9 fu/gamma_M2``, Pa.

    Source: EN 1993-1-8:2005 eq. (4.1), from memory.
    """
    return 0.9 * ultimate_Pa / gamma_M2


def shear_strength_Pa(ultimate_Pa: FloatOrArray, beta_w: float, gamma_M2: float = 1.25) -> FloatOrArray:
    """Design shear strength ``fu/(sqrt3 beta_w gamma_M2)`` of the simplified method, Pa.

    Source: EN 1993-1-8:2005 eq. (4.4), from memory.
    """
    return ultimate_Pa / (math.sqrt(3.0) * beta_w * gamma_M2)


def simplified_resistance_N_per_m(
    throat_m: FloatOrArray, ultimate_Pa: FloatOrArray, beta_w: float, gamma_M2: float = 1.25
) -> FloatOrArray:
    """Resistance of a fillet weld per length whatever the direction of the force, ``a fvw,d``, N/m.

    Source: EN 1993-1-8:2005 eq. (4.3), from memory.
    """
    return throat_m * shear_strength_Pa(ultimate_Pa, beta_w, gamma_M2)


def effective_length_m(length_m: FloatOrArray, throat_m: FloatOrArray, *, returned: bool) -> FloatOrArray:
    """Effective length: full where the ends are full size or returned round the corner, else less ``2 a``, m.

    Source: EN 1993-1-8:2005 4.5.1, from memory.
    """
    return length_m if returned else as_given(np.maximum(length_m - 2.0 * np.asarray(throat_m), 0.0))
