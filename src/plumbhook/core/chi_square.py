"""Chance that a chi-square of a few degrees of freedom is exceeded, in closed form.

Source: M. Abramowitz, I. A. Stegun, Handbook of Mathematical Functions (1964), 26.4.4 and 26.4.5; from memory,
compared with a general-purpose statistics library in the tests.
"""

from __future__ import annotations

import math


def chance_beyond(chi_square: float, degrees_of_freedom: int) -> float:
    """Chance of a chi-square of at least this size.

    Args:
        chi_square: the sum of squares, not negative.
        degrees_of_freedom: 1 or more.

    Returns:
        The chance, 0 to 1; NaN for a NaN.

    Raises:
        ValueError: a negative sum or no degree of freedom.
    """
    if degrees_of_freedom < 1 or chi_square < 0.0:
        raise ValueError("a chi-square is not negative and has at least one degree of freedom")
    half = chi_square / 2.0
    if degrees_of_freedom % 2 == 0:
        term = total = math.exp(-half)
        for j in range(1, degrees_of_freedom // 2):
            term *= half / j
            total += term
        return total
    total = math.erfc(math.sqrt(half))
    term = math.exp(-half) * math.sqrt(half / math.pi) * 2.0
    for j in range(1, (degrees_of_freedom + 1) // 2):
        total += term
        term *= half / (j + 0.5)
    return total


def limit_of(chance: float, degrees_of_freedom: int) -> float:
    """The chi-square that is exceeded with a chance, found by halving.

    Args:
        chance: between 0 and 1, both excluded.
        degrees_of_freedom: 1 or more.

    Raises:
        ValueError: a chance out of range, or no degree of freedom.
    """
    if not 0.0 < chance < 1.0:
        raise ValueError("a chance lies between 0 and 1")
    low, high = 0.0, 1.0
    while chance_beyond(high, degrees_of_freedom) > chance:
        high *= 2.0
    for _ in range(200):
        middle = 0.5 * (low + high)
        if middle in (low, high):
            break
        low, high = (middle, high) if chance_beyond(middle, degrees_of_freedom) > chance else (low, middle)
    return high


def chance_of_sigmas(count: float) -> float:
    """Chance that a normal error is beyond so many standard deviations, either way."""
    return math.erfc(count / math.sqrt(2.0))
