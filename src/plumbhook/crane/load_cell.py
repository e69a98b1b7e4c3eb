"""The reading expected on the load cell at the trial lift, and the bands around it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from plumbhook.core.check import Clause, SourceQuality, Step, Value
from plumbhook.core.errors import InputError, Problem

EXPECTED_READING = Clause(
    "Everything that hangs below the cell is read", quality=SourceQuality.COMMON_PRACTICE
)
READING_BAND = Clause(
    "Root sum of squares of independent uncertainties", quality=SourceQuality.OWN_DERIVATION
)
STOP_BAND = Clause("Stop beyond twice the band", quality=SourceQuality.POLICY)


def reading_band_kg(expected_kg: float, cell_ratio: float, load_kg: float, load_ratio: float) -> float:
    """Half width of the band, kg: ``sqrt((cell x reading)2 + (tolerance x load)2)``.

    Args:
        expected_kg: reading expected, kg.
        cell_ratio: accuracy of the cell, ratio of the reading.
        load_kg: mass of the load, kg.
        load_ratio: tolerance of that mass, ratio.

    Source: root sum of squares of independent uncertainties, own derivation.
    """
    return math.hypot(cell_ratio * expected_kg, load_ratio * load_kg)


SHOWN_KG = 10.0
"""What the display of a load cell shows: hundredths of a tonne."""


def rounded_inward(low: float, high: float, step: float) -> tuple[float, float]:
    """A band rounded inward to whole steps of a display, so that no reading outside of it counts as inside.

    Args:
        low: lower edge.
        high: upper edge, same unit.
        step: of the display, same unit.
    """
    # A relative grace of 1e-9, so that an edge on a step does not lose one to rounding.
    lower = math.ceil(low / step - 1e-9) * step
    upper = math.floor(high / step + 1e-9) * step
    return float(f"{lower:.12g}"), float(f"{upper:.12g}")


@dataclass(frozen=True, slots=True)
class ExpectedReading:
    """What the load cell should show, and how far off it may be.

    Attributes:
        expected_kg: reading expected, kg.
        green_kg: half width of the band within which to go on, kg.
        red_kg: difference beyond which to stop, kg.
        steps: the working.
    """

    expected_kg: float
    green_kg: float
    red_kg: float
    steps: tuple[Step, ...]


def expected_reading(
    *,
    load_mass_kg: float,
    load_tolerance_ratio: float,
    rig_mass_below_cell_kg: float,
    cell_accuracy_ratio: float,
    stop_multiple: float = 2.0,
) -> ExpectedReading:
    """Reading expected at the trial lift, at the weight stated and not the design weight, with its bands.

    Args:
        load_mass_kg: mass of the load as stated, kg.
        load_tolerance_ratio: tolerance of that mass, ratio.
        rig_mass_below_cell_kg: mass of everything between cell and load, kg.
        cell_accuracy_ratio: accuracy of the cell, ratio of the reading.
        stop_multiple: stop beyond this many times the band.

    Returns:
        The reading, its bands and the working.

    Raises:
        InputError: a number is missing or makes no sense.
    """
    problems = [
        Problem("load_cell", f"the {name} must be a number, zero or more")
        for name, number in (
            ("mass of the load", load_mass_kg),
            ("tolerance of the load", load_tolerance_ratio),
            ("mass of the rig below the cell", rig_mass_below_cell_kg),
            ("accuracy of the cell", cell_accuracy_ratio),
            ("multiple for the stop", stop_multiple - 1.0),
        )
        if not (math.isfinite(number) and number >= 0.0)
    ]
    if problems:
        raise InputError(tuple(problems))
    load = Value("m_load", load_mass_kg, "kg", "mass of the load as stated", "load statement", "t")
    rig = Value("m_rig", rig_mass_below_cell_kg, "kg", "mass of the rig below the cell", "item masses", "t")
    cell = Value("u_cell", cell_accuracy_ratio, "1", "accuracy of the cell", "item record", "%")
    tolerance = Value("u_load", load_tolerance_ratio, "1", "tolerance of the load", "load statement", "%")
    multiple = Value("k_stop", stop_multiple, "1", "multiple of the band at which to stop", "policy")
    reading = Value("m_cell", load_mass_kg + rig_mass_below_cell_kg, "kg", "reading expected", display="t")
    band = Value(
        "m_green",
        reading_band_kg(reading.value, cell_accuracy_ratio, load_mass_kg, load_tolerance_ratio),
        "kg",
        "band within which to go on",
        display="t",
    )
    stop = Value("m_red", stop_multiple * band.value, "kg", "difference beyond which to stop", display="t")
    return ExpectedReading(
        reading.value,
        band.value,
        stop.value,
        (
            Step(reading, "m_load + m_rig", (load, rig), EXPECTED_READING),
            Step(
                band,
                "sqrt((u_cell*m_cell)**2 + (u_load*m_load)**2)",
                (cell, reading, tolerance, load),
                READING_BAND,
            ),
            Step(stop, "k_stop*m_green", (multiple, band), STOP_BAND),
        ),
    )
