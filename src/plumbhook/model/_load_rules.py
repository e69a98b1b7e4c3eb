"""What cannot be true of a load, rules or place, whatever the equipment: said while the file is read."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from plumbhook.core.units import format_quantity
from plumbhook.model.load import Load, cog_m, parts_cog_m, parts_mass_kg
from plumbhook.model.place import Crane, PlaceStation
from plumbhook.model.rules import Rules
from plumbhook.model.yaml_source import Path

_AXES = "xyz"
# Two lift points nearer than this are the same one written twice.
_SAME_PLACE_M = 1e-3


@dataclass(frozen=True, slots=True)
class Finding:
    """Something wrong at a path of the lift file."""

    path: Path
    message: str


def load_findings(load: Load) -> Iterator[Finding]:
    """Mass and centre of gravity that are missing or contradict each other; impossible boxes."""
    weighed = load.weight.mass_kg
    if not load.parts and weighed is None:
        yield Finding(("load", "weight", "mass"), "the load has no mass; give it here, or list its parts")
    if not load.parts and load.declared_cog_m is None:
        yield Finding(("load", "cog"), "the load has no centre of gravity; give it here, or list its parts")
        return
    if load.parts and weighed is not None:
        total = parts_mass_kg(load)
        if abs(total - weighed) > load.weight.tolerance * weighed:
            yield Finding(
                ("load", "weight", "mass"),
                f"the parts sum to {_mass(total)}, further from {_mass(weighed)} than the tolerance allows; "
                "correct one of them or widen the tolerance",
            )
    yield from _cog_findings(load)
    yield from _box_findings(load)
    for (first, one), (second, other) in itertools.combinations(load.lift_points.items(), 2):
        if math.dist(one.at_m, other.at_m) < _SAME_PLACE_M:
            yield Finding(
                ("load", "lift_points", second), f"this lift point is at the place of {first}; correct one"
            )


def _cog_findings(load: Load) -> Iterator[Finding]:
    if not load.parts or load.declared_cog_m is None:
        return
    box = (load.cog_box.x_m, load.cog_box.y_m, load.cog_box.z_m)
    for axis, said, summed, half in zip(_AXES, load.declared_cog_m, parts_cog_m(load), box, strict=True):
        if abs(said - summed) > half + 1e-9:
            yield Finding(
                ("load", "cog"),
                f"along {axis} the parts give {_length(summed)}, which is outside the box around "
                f"{_length(said)}; correct the parts, the value or the box",
            )


def _box_findings(load: Load) -> Iterator[Finding]:
    if load.envelope is None:
        return
    rows = zip(_AXES, load.envelope.low_m, load.envelope.high_m, cog_m(load), strict=True)
    for axis, low, high, at in rows:
        if not low < high:
            yield Finding(
                ("load", "envelope"),
                f"along {axis} the low end is not below the high end; swap or correct them",
            )
        elif not low <= at <= high:
            yield Finding(
                ("load", "envelope"),
                f"along {axis} the centre of gravity ({_length(at)}) is outside the envelope "
                f"({_length(low)} to {_length(high)}); correct the parts or the envelope",
            )


def rules_findings(rules: Rules) -> Iterator[Finding]:
    """Limits that contradict each other."""
    if not rules.top_sling_angle_min_rad < rules.top_sling_angle_max_rad:
        yield Finding(("rules", "top_sling_angle_min"), "this must be less than top_sling_angle_max")
    if rules.lower_sling_lean_attention_rad > rules.lower_sling_lean_limit_rad:
        yield Finding(
            ("rules", "lower_sling_lean_attention"), "this must not be more than lower_sling_lean_limit"
        )


def crane_findings(crane: Crane) -> Iterator[Finding]:
    """A chart that is absent, given twice or out of order."""
    if crane.chart and crane.chart_file is not None:
        yield Finding(("place", "crane", "chart_file"), "the chart is given twice; keep chart or chart_file")
    if not crane.chart and crane.chart_file is None:
        yield Finding(
            ("place", "crane", "chart"),
            'the crane has no chart; give rows such as "- [12 m, 84.0 t]", or chart_file',
        )
    for position, ((radius, _), (following, _)) in enumerate(itertools.pairwise(crane.chart), start=1):
        if following <= radius:
            yield Finding(
                ("place", "crane", "chart", position),
                f"the radius {_length(following)} comes after {_length(radius)}; sort the rows by radius",
            )


def station_findings(stations: Sequence[PlaceStation]) -> Iterator[Finding]:
    """Stations with the same name."""
    names: set[str] = set()
    for position, station in enumerate(stations):
        if station.name in names:
            yield Finding(
                ("place", "stations", position, "name"),
                f'two stations are called "{station.name}"; rename one',
            )
        names.add(station.name)


def _mass(value_kg: float) -> str:
    return format_quantity(value_kg, "kg", "kg")


def _length(value_m: float) -> str:
    return format_quantity(value_m, "m", "m", decimals=3)
