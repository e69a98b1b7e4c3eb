"""Closed forms of a uniform pin-ended strut and of a few stepped ones: what the solver of pieces is held against.

Angles of the functions: ``u = (L/2) sqrt(N/EI)``. Source unless a function names another: S. P. Timoshenko and
J. M. Gere, Theory of Elastic Stability, 2nd ed. 1961, chapters 1 and 2; formulas from memory, each confirmed by the
differential equation in the tests.
"""

from __future__ import annotations

import math


def euler_load_N(stiffness_Nm2: float, span_m: float) -> float:
    """Critical load ``pi2 EI/L2`` of a uniform pin-ended strut, N."""
    return math.pi**2 * stiffness_Nm2 / span_m**2


def half_angle(compression_N: float, stiffness_Nm2: float, span_m: float) -> float:
    """``u = (L/2) sqrt(N/EI)``, rad; pi/2 at the critical load."""
    return 0.5 * span_m * math.sqrt(compression_N / stiffness_Nm2)


def uniform_load_moment_Nm(
    load_N_per_m: float, compression_N: float, stiffness_Nm2: float, span_m: float
) -> float:
    """Moment at mid-span under a uniform load, ``w L2/8 * 2 (sec u - 1)/u2``, N m; w L2/8 without compression."""
    first = load_N_per_m * span_m**2 / 8.0
    u = half_angle(compression_N, stiffness_Nm2, span_m)
    return first if u == 0.0 else first * 4.0 * math.sin(0.5 * u) ** 2 / math.cos(u) / u**2


def uniform_load_deflection_m(
    load_N_per_m: float, compression_N: float, stiffness_Nm2: float, span_m: float
) -> float:
    """Deflection at mid-span under a uniform load, ``5wL4/384EI * 12 (2 sec u - 2 - u2)/(5 u4)``, m."""
    first = 5.0 * load_N_per_m * span_m**4 / (384.0 * stiffness_Nm2)
    u = half_angle(compression_N, stiffness_Nm2, span_m)
    if u == 0.0:
        return first
    return first * 12.0 * (4.0 * math.sin(0.5 * u) ** 2 / math.cos(u) - u**2) / (5.0 * u**4)


def eccentric_moment_Nm(
    eccentricity_m: float, compression_N: float, stiffness_Nm2: float, span_m: float
) -> float:
    """Moment at mid-span of a strut pressed off its axis equally at both ends, ``N e sec u``, N m (secant formula)."""
    return compression_N * eccentricity_m / math.cos(half_angle(compression_N, stiffness_Nm2, span_m))


def bow_moment_Nm(amplitude_m: float, compression_N: float, stiffness_Nm2: float, span_m: float) -> float:
    """Moment at mid-span of a strut with a sine bow, ``N a/(1 - N/Ncr)``, N m."""
    return compression_N * amplitude_m / (1.0 - compression_N / euler_load_N(stiffness_Nm2, span_m))


def cantilever_moment_Nm(
    tip_load_N: float, compression_N: float, stiffness_Nm2: float, length_m: float
) -> float:
    """Moment at the foot of a cantilever with a transverse load at its tip, ``H L tan(v)/v``, N m."""
    v = length_m * math.sqrt(compression_N / stiffness_Nm2)
    return tip_load_N * length_m * (1.0 if v == 0.0 else math.tan(v) / v)


def cantilever_deflection_m(
    tip_load_N: float, compression_N: float, stiffness_Nm2: float, length_m: float
) -> float:
    """Deflection of the tip of a cantilever, ``H L3/3EI * 3 (tan v - v)/v3``, m."""
    v = length_m * math.sqrt(compression_N / stiffness_Nm2)
    first = tip_load_N * length_m**3 / (3.0 * stiffness_Nm2)
    return first if v == 0.0 else first * 3.0 * (math.tan(v) - v) / v**3


def stepped_column_residual(
    compression_N: float,
    end_stiffness_Nm2: float,
    middle_stiffness_Nm2: float,
    span_m: float,
    middle_m: float,
) -> float:
    """``tan(k1 l1) tan(k2 l2/2) - k1/k2`` of a strut with a stiffer middle: zero at the critical loads.

    Args:
        compression_N: compression, N.
        end_stiffness_Nm2: EI of both ends, N m2.
        middle_stiffness_Nm2: EI of the middle, N m2.
        span_m: span, m.
        middle_m: length of the middle, m.
    """
    k1 = math.sqrt(compression_N / end_stiffness_Nm2)
    k2 = math.sqrt(compression_N / middle_stiffness_Nm2)
    return math.tan(k1 * 0.5 * (span_m - middle_m)) * math.tan(0.5 * k2 * middle_m) - k1 / k2


def middle_splice_residual(
    compression_N: float, stiffness_Nm2: float, splice_Nm_per_rad: float, span_m: float
) -> float:
    """``cot u - k EI/(2K)`` of a uniform strut with one splice at mid-span: zero at its critical load."""
    u = half_angle(compression_N, stiffness_Nm2, span_m)
    return 1.0 / math.tan(u) - math.sqrt(compression_N / stiffness_Nm2) * stiffness_Nm2 / (
        2.0 * splice_Nm_per_rad
    )
