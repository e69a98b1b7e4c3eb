"""How numbers are printed in documents: utilisation rounded up, capacity down, everything else to nearest.

The rounding itself is :func:`plumbhook.core.units.format_quantity`'s; this module only says which way for what.
"""

from __future__ import annotations

import math

from plumbhook.core.check import Check, Value
from plumbhook.core.units import MINUS, THOUSANDS, format_quantity

DASH = "–"


def shown(value: Value | None) -> str:
    """A value to nearest with its unit, or a dash where there is none."""
    return DASH if value is None else format_quantity(value.value, value.unit, value.display)


def demand_text(check: Check) -> str:
    """The demand of a check, rounded up."""
    return _rounded_value(check.demand, "up")


def capacity_text(check: Check) -> str:
    """The capacity of a check, rounded down."""
    return _rounded_value(check.capacity, "down")


def demand_value_text(value: Value | None) -> str:
    """A demand, rounded up, or a dash where there is none."""
    return DASH if value is None else _rounded_value(value, "up")


def capacity_value_text(value: Value | None) -> str:
    """A capacity, rounded down, or a dash where there is none."""
    return DASH if value is None else _rounded_value(value, "down")


def _rounded_value(value: Value, rounding: str) -> str:
    way = "up" if rounding == "up" else "down"
    return format_quantity(value.value, value.unit, value.display, rounding=way)  # type: ignore[arg-type]


def used_text(utilisation: float) -> str:
    """Utilisation in per cent, one decimal, rounded up, without the sign; a dash where it is unknown."""
    if math.isnan(utilisation):
        return DASH
    if math.isinf(utilisation):
        return "∞"
    return (
        format_quantity(utilisation, "1", "%", rounding="up")
        .removesuffix(" %")
        .removesuffix(f"{THOUSANDS}%")
        .strip()
    )


def tonnes(mass_kg: float) -> str:
    """A mass in tonnes, two decimals, with unit."""
    return format_quantity(mass_kg, "kg", "t")


def kilograms(mass_kg: float) -> str:
    """A mass in whole kilograms without unit, for columns whose head has it."""
    return format_quantity(mass_kg, "kg", "kg").removesuffix("kg").strip().removesuffix(THOUSANDS)


def millimetres(length_m: float) -> str:
    """A length in whole millimetres without unit and without groups, as dimensions of a drawing are written."""
    text = format_quantity(length_m, "m", "mm", decimals=0)
    return text.removesuffix("mm").strip().replace(THOUSANDS, "")


def signed_millimetres(length_m: float) -> str:
    """A coordinate in whole millimetres with its sign; zero has none."""
    text = millimetres(length_m)
    return text if text == "0" or text.startswith(MINUS) else f"+{text}"


def metres(length_m: float, decimals: int = 2) -> str:
    """A length in metres without unit."""
    return format_quantity(length_m, "m", "m", decimals=decimals).removesuffix("m").strip()


def degrees(angle_rad: float, decimals: int | None = None) -> str:
    """An angle with its sign of degrees."""
    return format_quantity(angle_rad, "rad", "deg", decimals=decimals)


def hash_in_fours(content_hash: str) -> str:
    """First twelve hexadecimal digits in capitals, in groups of four."""
    digits = content_hash[:12].upper()
    return " ".join(digits[i : i + 4] for i in range(0, len(digits), 4))
