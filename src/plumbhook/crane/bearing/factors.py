"""Bearing factors N_q, N_c, N_gamma by the authors that differ in them."""

from __future__ import annotations

import math

N_C_UNDRAINED = math.pi + 2.0


def passive_ratio(phi_rad: float) -> float:
    """Ratio of passive pressure, ``K_p = tan2(45 deg + phi/2)``.

    Source: Rankine.
    """
    return math.tan(math.pi / 4.0 + phi_rad / 2.0) ** 2


def N_q(phi_rad: float) -> float:
    """``N_q = K_p exp(pi tan phi)``.

    Source: Prandtl and Reissner; EN 1997-1:2004, D.4(2).
    """
    return passive_ratio(phi_rad) * math.exp(math.pi * math.tan(phi_rad))


def N_c(phi_rad: float) -> float:
    """``N_c = (N_q - 1) cot phi``, ``pi + 2`` without friction.

    Source: EN 1997-1:2004, D.3 and D.4(2).
    """
    return N_C_UNDRAINED if phi_rad == 0.0 else (N_q(phi_rad) - 1.0) / math.tan(phi_rad)


def N_gamma_en_1997(phi_rad: float) -> float:
    """``N_gamma = 2 (N_q - 1) tan phi`` for a rough base.

    Source: EN 1997-1:2004, D.4(2).
    """
    return 2.0 * (N_q(phi_rad) - 1.0) * math.tan(phi_rad)


def N_gamma_meyerhof(phi_rad: float) -> float:
    """``N_gamma = (N_q - 1) tan(1.4 phi)``.

    Source: Meyerhof 1963.
    """
    return (N_q(phi_rad) - 1.0) * math.tan(1.4 * phi_rad)


def N_gamma_vesic(phi_rad: float) -> float:
    """``N_gamma = 2 (N_q + 1) tan phi``.

    Source: Vesic 1973.
    """
    return 2.0 * (N_q(phi_rad) + 1.0) * math.tan(phi_rad)


def N_gamma_brinch_hansen(phi_rad: float) -> float:
    """``N_gamma = 1.8 (N_q - 1) tan phi``.

    Source: Brinch Hansen 1961, Danish Geotechnical Institute, bulletin 11.
    """
    return 1.8 * (N_q(phi_rad) - 1.0) * math.tan(phi_rad)


def N_q_terzaghi(phi_rad: float) -> float:
    """``N_q = a2 / (2 cos2(45 deg + phi/2))``, ``a = exp((3 pi/4 - phi/2) tan phi)``.

    Source: Terzaghi 1943.
    """
    a = math.exp((0.75 * math.pi - phi_rad / 2.0) * math.tan(phi_rad))
    return a**2 / (2.0 * math.cos(math.pi / 4.0 + phi_rad / 2.0) ** 2)


def N_c_terzaghi(phi_rad: float) -> float:
    """``N_c = (N_q - 1) cot phi``, ``3 pi/2 + 1`` without friction.

    Source: Terzaghi 1943.
    """
    if phi_rad == 0.0:
        return 1.5 * math.pi + 1.0
    return (N_q_terzaghi(phi_rad) - 1.0) / math.tan(phi_rad)


def N_gamma_terzaghi(phi_rad: float) -> float:
    """``N_gamma = 2 (N_q + 1) tan phi / (1 + 0.4 sin 4 phi)``.

    Source: Coduto's closed form of Terzaghi's chart.
    """
    return 2.0 * (N_q_terzaghi(phi_rad) + 1.0) * math.tan(phi_rad) / (1.0 + 0.4 * math.sin(4.0 * phi_rad))
