"""Chart of the crane of a lift, and the radius under load with which it is entered."""

from __future__ import annotations

from plumbhook.core.check import Step
from plumbhook.crane.chart import DutyChart, DutyRow
from plumbhook.crane.radius_growth import RadiusGrowth, radius_steps, radius_under_load_m
from plumbhook.model.place import Crane, PlaceStation


def duty_chart(crane: Crane) -> DutyChart:
    """Chart of the crane, its holes as holes."""
    identity = crane.chart_for
    return DutyChart(
        machine=crane.machine,
        configuration=crane.configuration,
        page=crane.chart_page,
        rows=tuple(DutyRow(radius, capacity) for radius, capacity in crane.chart),
        smallest_radius_m=None if identity is None else identity.smallest_radius_m,
    )


def radius_growth(crane: Crane) -> RadiusGrowth | None:
    """Growth of the radius as stated; None where nothing is stated."""
    given = crane.radius_growth
    if given is None:
        return None
    return RadiusGrowth(
        deflection_m=given.boom_deflection_m or 0.0,
        deflection_ratio=given.boom_deflection_share or 0.0,
        out_of_level_rad=given.out_of_level_rad,
        head_height_m=given.boom_head_height_m or 0.0,
        wind_swing_rad=given.wind_swing_rad,
        suspended_length_m=given.suspended_length_m or 0.0,
        source=given.source,
    )


def loaded_radius_m(crane: Crane, station: PlaceStation) -> float:
    """Radius under load at a station, m: the chart is entered with it."""
    return radius_under_load_m(station.radius_m, radius_growth(crane))


def loaded_radius_steps(crane: Crane, station: PlaceStation) -> tuple[Step, ...]:
    """The working of the radius under load; () where the planned radius is taken as it is."""
    growth = radius_growth(crane)
    return () if growth is None else radius_steps(station.radius_m, growth)
