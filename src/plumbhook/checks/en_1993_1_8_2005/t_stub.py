"""EN 1993-1-8:2005, 6.2.4: the T-stub, and the part of a bolted flange of a tube that one bolt pulls at.

The clause is written for a T-stub with a bolt on each side of its web. One bolt of a flange joint of a tube pulls at
half such a T-stub, the wall of the tube in the place of the web: half of each resistance, with the yield lines of a
single bolt cut off half-way to its neighbours. That use is an own application, safe because the ring is taken as
straight and its hoop stiffness is left out.
"""

from __future__ import annotations

import math

import numpy as np

from plumbhook.checks.en_1993_1_8_2005.bolts import DOCUMENT, EDITION
from plumbhook.checks.inputs import FloatOrArray, as_given
from plumbhook.core.check import Clause, SourceQuality

T_STUB = Clause(DOCUMENT, EDITION, "6.2.4.1, Table 6.2")
EFFECTIVE_LENGTH = Clause(DOCUMENT, EDITION, "6.2.6, Table 6.6", SourceQuality.FROM_MEMORY)
HALF_T_STUB = Clause("Flange of a tube as half a T-stub for each bolt", quality=SourceQuality.OWN_DERIVATION)


def plastic_moment_Nm(
    effective_length_m: FloatOrArray, thickness_m: FloatOrArray, yield_Pa: FloatOrArray, gamma_M0: float = 1.0
) -> FloatOrArray:
    """Plastic moment of a yield line, ``0.25 leff tf2 fy/gamma_M0``, Nm.

    Source: EN 1993-1-8:2005 Table 6.2.
    """
    return 0.25 * effective_length_m * thickness_m**2 * yield_Pa / gamma_M0


def prying_lever_m(edge_m: FloatOrArray, web_distance_m: FloatOrArray) -> FloatOrArray:
    """Lever n of the prying force: edge distance, at most ``1.25 m``, m.

    Source: EN 1993-1-8:2005 Table 6.2.
    """
    return as_given(np.minimum(edge_m, 1.25 * np.asarray(web_distance_m)))


def mode_1_N(plastic_moment_Nm: FloatOrArray, web_distance_m: FloatOrArray) -> FloatOrArray:
    """Mode 1, complete yielding of the flange: ``4 Mpl,1/m``, N.

    Args:
        plastic_moment_Nm: Mpl,1, Nm.
        web_distance_m: distance m from the bolt to the face of the web less 0.8 of the leg of the weld, m.

    Source: EN 1993-1-8:2005 Table 6.2.
    """
    return 4.0 * plastic_moment_Nm / web_distance_m


def mode_2_N(
    plastic_moment_Nm: FloatOrArray,
    web_distance_m: FloatOrArray,
    lever_m: FloatOrArray,
    bolts_tension_N: FloatOrArray,
) -> FloatOrArray:
    """Mode 2, bolts fail while the flange yields: ``(2 Mpl,2 + n sum Ft)/(m + n)``, N.

    Source: EN 1993-1-8:2005 Table 6.2.
    """
    return (2.0 * plastic_moment_Nm + lever_m * bolts_tension_N) / (web_distance_m + lever_m)


def t_stub_resistance_N(
    plastic_moment_Nm: FloatOrArray,
    web_distance_m: FloatOrArray,
    lever_m: FloatOrArray,
    bolts_tension_N: FloatOrArray,
) -> FloatOrArray:
    """Resistance of a T-stub with prying: least of modes 1, 2 and 3, N.

    Args:
        plastic_moment_Nm: plastic moment of the yield lines, the same in modes 1 and 2, Nm.
        web_distance_m: m, m.
        lever_m: n of :func:`prying_lever_m`, m.
        bolts_tension_N: sum of the tension resistances of the bolts, mode 3, N.

    Source: EN 1993-1-8:2005 Table 6.2.
    """
    first = mode_1_N(plastic_moment_Nm, web_distance_m)
    second = mode_2_N(plastic_moment_Nm, web_distance_m, lever_m, bolts_tension_N)
    return as_given(np.minimum(np.minimum(first, second), bolts_tension_N))


def effective_length_of_one_bolt_m(
    web_distance_m: FloatOrArray, edge_m: FloatOrArray, pitch_m: FloatOrArray
) -> FloatOrArray:
    """Effective length of one bolt: least of ``2 pi m``, ``4 m + 1.25 e`` and the pitch, m.

    Args:
        web_distance_m: m, m.
        edge_m: edge distance e, m.
        pitch_m: distance of the bolts along the circle, m.

    Source: EN 1993-1-8:2005 Table 6.6 for a row of its own, from memory; cut off at the pitch.
    """
    web = np.asarray(web_distance_m, dtype=np.float64)
    return as_given(np.minimum(np.minimum(2.0 * math.pi * web, 4.0 * web + 1.25 * edge_m), pitch_m))
