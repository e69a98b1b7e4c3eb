"""What an imported chart gives for a radius and a gross load, in sentences."""

from __future__ import annotations

from dataclasses import dataclass

from plumbhook.core.units import format_quantity
from plumbhook.crane.chart import DutyChart, DutyRow, largest_radius_m, read_chart
from plumbhook.model.crane_chart import ChartIdentity, ImportedChart, stated


@dataclass(frozen=True, slots=True)
class ChartAnswer:
    """What a chart gives.

    Attributes:
        sentences: the answers.
        capacity_kg: rated capacity at the radius, kg; None where none was asked or there is none.
        largest_radius_m: largest radius for the load, m; None where none was asked or there is none.
        within: whether what was asked is within the chart and the limit; true where nothing was asked.
    """

    sentences: tuple[str, ...]
    capacity_kg: float | None
    largest_radius_m: float | None
    within: bool


def duty_chart_of(chart: ImportedChart) -> DutyChart:
    """The chart as the crane layer wants it."""
    identity = chart.identity
    return DutyChart(
        machine=identity.machine or "machine not stated",
        configuration=identity.configuration or chart.name,
        page=identity.page or chart.place,
        rows=tuple(DutyRow(radius, capacity) for radius, capacity in chart.rows),
        smallest_radius_m=identity.smallest_radius_m,
    )


def answer_of(
    chart: ImportedChart, *, radius_m: float | None, gross_load_kg: float | None, use_limit_ratio: float
) -> ChartAnswer:
    """What a chart gives for a radius, a gross load, or both.

    Args:
        chart: the chart.
        radius_m: radius under load, m; None where it is not asked.
        gross_load_kg: everything below the boom head, kg; None where it is not asked.
        use_limit_ratio: largest use of the chart, ratio.
    """
    duty = duty_chart_of(chart)
    sentences = []
    capacity = largest = None
    within = True
    if radius_m is not None:
        reading = read_chart(duty, radius_m)
        if reading.row is None:
            within = False
            sentences.append(f"{reading.reason[:1].upper()}{reading.reason[1:]}.")
        else:
            capacity = reading.capacity_kg
            sentences.append(_reading(radius_m, reading.row.radius_m, capacity, gross_load_kg))
            within = gross_load_kg is None or gross_load_kg <= use_limit_ratio * capacity
    if gross_load_kg is not None:
        largest = largest_radius_m(duty, gross_load_kg, use_limit_ratio)
        load = format_quantity(gross_load_kg, "kg", "t", rounding="up")
        limit = format_quantity(use_limit_ratio, "1", "%", decimals=0)
        within = within and largest is not None
        sentences.append(
            f"No radius of this chart carries {load} within {limit}."
            if largest is None
            else f"Largest radius for {load} within {limit}: {format_quantity(largest, 'm')}."
        )
    return ChartAnswer(tuple(sentences), capacity, largest, within)


def _reading(radius_m: float, row_m: float, capacity_kg: float, gross_load_kg: float | None) -> str:
    capacity = format_quantity(capacity_kg, "kg", "t", rounding="down")
    words = f"At {format_quantity(radius_m, 'm')} the row at {format_quantity(row_m, 'm')} counts: {capacity}"
    if gross_load_kg is None:
        return f"{words}."
    return f"{words}, used to {format_quantity(gross_load_kg / capacity_kg, '1', '%', rounding='up')}."


def stated_in(identity: ChartIdentity) -> tuple[tuple[str, str], ...]:
    """What the head of a chart says, by the words of the trade."""
    found = [
        (name, value)
        for name, value in (
            ("machine", identity.machine),
            ("configuration", identity.configuration),
            ("page", identity.page),
        )
        if value is not None
    ]
    return (*found, *rigging_of(identity))


def rigging_of(identity: ChartIdentity) -> tuple[tuple[str, str], ...]:
    """What the head of a chart says of the rigging, its limits and its standard."""
    found = list(stated(identity).items())
    if identity.smallest_radius_m is not None:
        found.append(("smallest radius", format_quantity(identity.smallest_radius_m, "m")))
    if identity.wind_limit_m_s is not None:
        found.append(("wind limit", format_quantity(identity.wind_limit_m_s, "m_s", "m/s")))
    if identity.stability_share is not None:
        share = format_quantity(identity.stability_share, "1", "%", decimals=0)
        found.append(("share of the tipping load", share))
    if identity.standard is not None:
        found.append(("standard", identity.standard))
    return tuple(found)
