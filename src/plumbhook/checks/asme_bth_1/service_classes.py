"""ASME BTH-1: the service class of a lifter by its number of load cycles, and what of fatigue is not checked."""

from __future__ import annotations

import math

from plumbhook.core.check import Clause, SourceQuality
from plumbhook.core.errors import InputError

SERVICE_CLASSES = Clause("ASME BTH-1", "2014", "Table 2-3-1", SourceQuality.FROM_MEMORY)
"""The limits of the classes. That of class 0 was read in a published calculation; the others are from memory."""

MOST_CYCLES = (20_000, 100_000, 500_000, 2_000_000)
"""Most load cycles of service classes 0 to 3; class 4 has no upper limit."""

FATIGUE_NOT_CHECKED = f"No more than {MOST_CYCLES[0]:,} load cycles; fatigue is not checked.".replace(
    ",", " "
)
"""What every check of a strut takes for granted: service class 0, which needs no design for fatigue."""


def service_class(load_cycles: float) -> int:
    """Service class by the load cycles of the whole life of a lifter.

    Args:
        load_cycles: number of load cycles, past ones included.

    Returns:
        0 up to 20 000 cycles, which needs no design for fatigue; 1 to 100 000, 2 to 500 000, 3 to 2 000 000, else 4.

    Raises:
        InputError: the number is missing or negative; a class is never guessed.

    Source: ASME BTH-1 Table 2-3-1; the limit of class 0 as stated on a published calculation, the rest from memory.
    """
    if not (math.isfinite(load_cycles) and load_cycles >= 0.0):
        raise InputError.one(
            "the number of load cycles must be zero or more; count those of the whole life of the lifter",
            field="load_cycles",
        )
    return sum(load_cycles > most for most in MOST_CYCLES)
