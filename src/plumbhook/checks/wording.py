"""Numbers inside sentences (cures, assumptions): rounded to the safe side, with their unit."""

from __future__ import annotations

import math


def at_least_tonnes(mass_kg: float) -> str:
    """A mass that must be reached, rounded up to 10 kg, in tonnes; "" where there is no number."""
    return f"{math.ceil(mass_kg / 10.0 - 1e-9) / 100.0:.2f} t" if math.isfinite(mass_kg) else ""


def at_least_kilonewtons(force_N: float) -> str:
    """A force that must be reached, rounded up to 0.1 kN; "" where there is no number."""
    return f"{math.ceil(force_N / 100.0 - 1e-9) / 10.0:.1f} kN" if math.isfinite(force_N) else ""


def degrees(angle_rad: float) -> str:
    """An angle in degrees with one decimal; "" where there is no number."""
    return f"{math.degrees(angle_rad):.1f} deg" if math.isfinite(angle_rad) else ""


def metres(length_m: float) -> str:
    """A length in metres with two decimals; "" where there is no number."""
    return f"{length_m:.2f} m" if math.isfinite(length_m) else ""
