"""What cannot be true of a crane: its chart, the rigging the chart is for, rope, deductions, growth of the radius."""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from plumbhook.core.units import format_quantity
from plumbhook.model.crane_chart import ChartIdentity, RiggedAs, differences, plain
from plumbhook.model.finding import Finding
from plumbhook.model.place import Crane, Wind

_CRANE = ("place", "crane")


def crane_findings(crane: Crane) -> Iterator[Finding]:
    """Everything about the crane that cannot be true."""
    yield from _chart(crane)
    if crane.chart_for is not None:
        yield from identity_findings(crane.chart_for, crane, (*_CRANE, "chart_for"))
    yield from _rope(crane)
    yield from _growth(crane)


def identity_findings(
    identity: ChartIdentity, crane: Crane, path: tuple[str | int, ...]
) -> Iterator[Finding]:
    """Where a chart is for another machine, configuration, page or rigging than the crane's."""
    words = (
        ("machine", identity.machine, crane.machine),
        ("configuration", identity.configuration, crane.configuration),
        ("page", identity.page, crane.chart_page),
    )
    for name, of_chart, of_crane in words:
        if of_chart is not None and plain(of_chart) != plain(of_crane):
            yield Finding(path, _another(name, of_chart, of_crane))
    for name, of_chart, of_crane in differences(identity, crane.rigged_as or RiggedAs()):
        yield Finding(path, _another(name, of_chart, of_crane))
    if identity.jib is not None and "stowed" in plain(identity.jib) and crane.stowed_jib_kg is None:
        yield Finding(
            (*_CRANE, "stowed_jib"),
            "the chart is for a stowed jib; enter what it takes off for it, 0 kg where the capacities allow for it",
        )


def wind_findings(crane: Crane, wind: Wind | None) -> Iterator[Finding]:
    """Two wind limits of one chart."""
    stated = crane.chart_for.wind_limit_m_s if crane.chart_for is not None else None
    given = wind.chart_limit_m_s if wind is not None else None
    if stated is not None and given is not None and abs(stated - given) > 0.005:
        first, second = format_quantity(stated, "m_s"), format_quantity(given, "m_s")
        yield Finding(
            ("place", "wind", "chart_limit"),
            f"the chart says {first} and place.wind says {second}; keep the one that stands on the chart",
        )


def _another(name: str, of_chart: str, of_crane: str) -> str:
    return (
        f'the chart is for another crane as it stands, {name} "{of_chart}" and not "{of_crane}"; take the chart of the '
        "crane as rigged, or write both alike where they are the same"
    )


def _chart(crane: Crane) -> Iterator[Finding]:
    if crane.set_up is not None and plain(crane.set_up) != plain(crane.configuration):
        yield Finding(
            (*_CRANE, "set_up"),
            f'the crane stands with "{crane.set_up}" and the chart is for "{crane.configuration}"; take the chart of '
            "the crane as it stands, or write both alike where they are the same",
        )
    if crane.chart and crane.chart_file is not None:
        yield Finding((*_CRANE, "chart_file"), "the chart is given twice; keep chart or chart_file")
    if not crane.chart and crane.chart_file is None:
        yield Finding(
            (*_CRANE, "chart"),
            'the crane has no chart; give rows such as "- [12 m, 84.0 t]", or chart_file',
        )
    if crane.chart and all(capacity is None for _, capacity in crane.chart):
        yield Finding((*_CRANE, "chart"), "no row of the chart has a capacity; enter them")
    for position, ((radius, _), (following, _)) in enumerate(itertools.pairwise(crane.chart), start=1):
        if following <= radius:
            yield Finding(
                (*_CRANE, "chart", position),
                f"the radius {_length(following)} comes after {_length(radius)}; sort the rows by radius",
            )
    given = [(n, capacity) for n, (_, capacity) in enumerate(crane.chart) if capacity is not None]
    for (_, nearer), (position, farther) in itertools.pairwise(given):
        if farther > nearer:
            yield Finding(
                (*_CRANE, "chart", position),
                "the capacity rises with the radius; check the row in the chart",
            )


def _rope(crane: Crane) -> Iterator[Finding]:
    rope = crane.rope
    falls = None if crane.rigged_as is None else crane.rigged_as.falls
    by_length = rope is not None and rope.line_mass_kg_per_m is not None
    if crane.hoist_rope_kg is None and not by_length:
        yield Finding(
            (*_CRANE, "hoist_rope"),
            'the mass of the hoist rope is missing; write for instance "0.3 t", or rope with line_mass and '
            "hanging_length",
        )
    if crane.hoist_rope_kg is not None and by_length:
        yield Finding(
            (*_CRANE, "hoist_rope"),
            "the rope is given by mass and by length; keep hoist_rope or rope.line_mass",
        )
    if rope is None:
        return
    if by_length and rope.hanging_length_m is None:
        yield Finding(
            (*_CRANE, "rope", "hanging_length"),
            'the length that hangs is missing; write for instance "28 m", boom head to block at its lowest',
        )
    if falls is None and (by_length or rope.line_pull_N is not None):
        yield Finding(
            (*_CRANE, "rigged_as", "falls"), 'the number of falls is missing; write for instance "falls: 6"'
        )
    if rope.reeving_efficiency is not None and rope.sheave_factor is not None:
        yield Finding(
            (*_CRANE, "rope", "sheave_factor"),
            "the friction is given twice; keep reeving_efficiency or sheave_factor",
        )


def _growth(crane: Crane) -> Iterator[Finding]:
    growth = crane.radius_growth
    if growth is None:
        return
    path = (*_CRANE, "radius_growth")
    if growth.boom_deflection_m is None and growth.boom_deflection_share is None:
        yield Finding(
            (*path, "boom_deflection"),
            'the deflection of the boom is missing; write for instance "0.30 m", or boom_deflection_share',
        )
    if growth.boom_deflection_m is not None and growth.boom_deflection_share is not None:
        yield Finding(
            (*path, "boom_deflection_share"),
            "the deflection of the boom is given twice; keep boom_deflection or boom_deflection_share",
        )
    if growth.out_of_level_rad > 0.0 and growth.boom_head_height_m is None:
        yield Finding(
            (*path, "boom_head_height"),
            'a crane out of level needs the height of the boom head; write for instance "36 m"',
        )
    if growth.wind_swing_rad > 0.0 and growth.suspended_length_m is None:
        yield Finding(
            (*path, "suspended_length"),
            'wind swing needs the length that hangs; write for instance "30 m", boom head to centre of gravity',
        )


def _length(value_m: float) -> str:
    return format_quantity(value_m, "m", "m", decimals=3)
