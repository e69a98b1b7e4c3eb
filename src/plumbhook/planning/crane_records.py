"""The crane in an assessment: chart, heights, duty at the stations, reading of the trial lift."""

from __future__ import annotations

from dataclasses import dataclass

from plumbhook.crane.load_cell import SHOWN_KG, rounded_inward


@dataclass(frozen=True, slots=True)
class ChartRow:
    """One row of the crane chart with what this lift makes of it."""

    radius_m: float
    capacity_kg: float
    utilisation: float
    within_policy: bool


@dataclass(frozen=True, slots=True)
class HeadroomRow:
    """One height of the stack from the support to the hook, m."""

    label: str
    height_m: float


@dataclass(frozen=True, slots=True)
class DutyStation:
    """What the chart gives at a station of the path.

    Attributes:
        name: name of the station.
        planned_radius_m: radius as planned, m.
        radius_m: radius under load, m.
        row_radius_m: radius of the row that counts, m; NaN where the chart gives nothing.
        capacity_kg: rated capacity there, kg; 0 where the chart gives nothing.
        utilisation: gross load over capacity; infinite where the chart gives nothing.
        reason: why it gives nothing; "" where it does.
    """

    name: str
    planned_radius_m: float
    radius_m: float
    row_radius_m: float
    capacity_kg: float
    utilisation: float
    reason: str


@dataclass(frozen=True, slots=True)
class CraneStatement:
    """The crane duty: chart and configuration, what hangs below the boom head, largest permitted radius."""

    machine: str
    configuration: str
    chart_page: str
    rows: tuple[ChartRow, ...]
    gross_load_kg: float
    deductions: tuple[tuple[str, float], ...]
    policy_limit_ratio: float
    largest_radius_m: float | None
    headroom: tuple[HeadroomRow, ...]
    deduction_sources: tuple[str, ...] = ()
    stations: tuple[DutyStation, ...] = ()
    holds_for: tuple[tuple[str, str], ...] = ()
    smallest_radius_m: float | None = None


@dataclass(frozen=True, slots=True)
class TrialLift:
    """Reading expected on the load cell at the trial lift and the bands around it, kg.

    Inside ``green`` go on; beyond ``red`` stop; between, ask. The edges are what stands on the display, rounded inward.
    """

    serial: str
    expected_kg: float
    green_kg: float
    red_kg: float

    @property
    def green_edges_kg(self) -> tuple[float, float]:
        """Least and largest reading to go on with."""
        return rounded_inward(self.expected_kg - self.green_kg, self.expected_kg + self.green_kg, SHOWN_KG)

    @property
    def red_edges_kg(self) -> tuple[float, float]:
        """Least and largest reading that is not a stop."""
        return rounded_inward(self.expected_kg - self.red_kg, self.expected_kg + self.red_kg, SHOWN_KG)
