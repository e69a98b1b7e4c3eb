"""Slips of units: which mistaken unit explains the ratio between two masses that should be equal."""

from __future__ import annotations

import math

# Number read with one unit that was meant in the other: what comes out over what is true. Sizes of the units: NIST
# Special Publication 811 (2008), Appendix B; 9.80665 m/s2: 3rd CGPM (1901).
_SLIPS: tuple[tuple[float, str], ...] = (
    (1000.0, "kilograms read as tonnes"),
    (1.0 / 0.45359237, "pounds read as kilograms"),
    (1.0 / 0.90718474, "short tons read as tonnes"),
    (9.80665, "kilonewtons read as tonnes"),
)
_NEAR = 0.02


def unit_slip(given_over_true: float) -> str:
    """The slip of units that explains a ratio, or "" where none does within 2 %.

    Args:
        given_over_true: the mass that is given over the mass that it should be.

    Returns:
        For instance ``pounds read as kilograms``; the same slip the other way round for the inverse ratio.
    """
    if not (math.isfinite(given_over_true) and given_over_true > 0.0):
        return ""
    for factor, words in _SLIPS:
        first, second = words.split(" read as ")
        if abs(given_over_true / factor - 1.0) <= _NEAR:
            return words
        if abs(given_over_true * factor - 1.0) <= _NEAR:
            return f"{second} read as {first}"
    return ""


def slip_sentence(given_over_true: float) -> str:
    """The slip as the end of a sentence, ``; the ratio is that of ...``, or "" where there is none."""
    slip = unit_slip(given_over_true)
    return f"; the ratio is that of {slip}" if slip else ""
