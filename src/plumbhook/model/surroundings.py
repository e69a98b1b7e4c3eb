"""What the boom looks like and what stands about the crane: solids that nothing may touch."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from typing import Annotated

from pydantic import AfterValidator, Field, model_validator

from plumbhook.core.units import Kind
from plumbhook.model.finding import Finding
from plumbhook.model.quantity import Coordinate, Length, LengthOrZero, Quantity, Section, Text, refuse
from plumbhook.model.way import Bearing, GroundPoint

Voltage = Annotated[float, Quantity(Kind.RATIO, at_least=0.0)]


class BoomShape(Section):
    """The boom, for its angle and for what it may touch."""

    length_m: Length = Field(alias="length", description="Pivot to head sheave.")
    pivot_ahead_m: Coordinate = Field(
        alias="pivot_ahead_of_slew_axis",
        description="Pivot from the slew axis towards the head; negative behind the axis.",
    )
    pivot_height_m: LengthOrZero = Field(
        alias="pivot_height", description="Pivot over the ground of the crane."
    )
    depth_m: Length = Field(
        alias="depth", description="Largest size across its axis, corner to corner, with its fittings."
    )
    clearance_m: Length = Field(
        default=0.5,
        alias="clearance",
        description="Least distance of the boom from load and rig; half a metre is common practice, no source.",
    )
    two_block_m: LengthOrZero | None = Field(
        default=None,
        alias="two_block",
        description="Least distance of hook and head sheave, seat to sheave; limits the height of the hook.",
    )
    tail_radius_m: Length | None = Field(
        default=None,
        alias="tail_radius",
        description="How far the counterweight swings behind the slew axis.",
    )
    tail_bottom_m: LengthOrZero = Field(
        default=0.0, alias="tail_bottom", description="Underside of the counterweight over the ground."
    )
    tail_top_m: Length | None = Field(
        default=None, alias="tail_top", description="Upper side of the counterweight over the ground."
    )

    @model_validator(mode="after")
    def _tail_whole(self) -> BoomShape:
        if self.tail_radius_m is not None and (
            self.tail_top_m is None or self.tail_top_m <= self.tail_bottom_m
        ):
            raise refuse("the tail needs its upper side above its underside; give tail_top")
        return self


class Obstacle(Section):
    """Something that stands about: an upright solid over a box or a convex outline."""

    name: Text = Field(description="What it is.")
    centre_m: GroundPoint | None = Field(
        default=None, alias="centre", description="Middle of a box in plan, [east, north]."
    )
    length_m: Length | None = Field(default=None, alias="length", description="Length of the box.")
    width_m: Length | None = Field(default=None, alias="width", description="Width of the box.")
    bearing_rad: Bearing = Field(
        default=0.0, alias="bearing", description="Bearing of the length of the box, clockwise from north."
    )
    outline_m: tuple[GroundPoint, ...] = Field(
        default=(),
        alias="outline",
        description="Corners of a convex outline instead of a box, [[east, north], ...].",
    )
    bottom_m: Coordinate = Field(
        default=0.0, alias="bottom", description="Underside over the crane's ground."
    )
    top_m: Coordinate = Field(alias="top", description="Upper side over the crane's ground.")
    clearance_m: Length = Field(alias="clearance", description="Least distance that is kept from it.")
    source: Text = Field(description="Who says so: survey, drawing, rule.")
    carries_load: bool = Field(
        default=False,
        description="Whether the load is taken from its top or set down on it, where it may come near.",
    )

    @model_validator(mode="after")
    def _one_shape(self) -> Obstacle:
        box = (self.centre_m, self.length_m, self.width_m)
        if self.outline_m and any(side is not None for side in box):
            raise refuse("an obstacle is a box or an outline, not both; leave one out")
        if not self.outline_m and any(side is None for side in box):
            raise refuse("an obstacle needs centre, length and width, or an outline")
        if self.top_m <= self.bottom_m:
            raise refuse("the top of an obstacle is above its bottom; check the two levels")
        return self

    def corners_m(self) -> tuple[tuple[float, float], ...]:
        """Its outline in plan."""
        if self.outline_m:
            return self.outline_m
        assert self.centre_m is not None
        assert self.length_m is not None
        assert self.width_m is not None
        s, c = math.sin(self.bearing_rad), math.cos(self.bearing_rad)
        half, side = 0.5 * self.length_m, 0.5 * self.width_m
        x, y = self.centre_m
        return tuple(
            (x + a * half * s - b * side * c, y + a * half * c + b * side * s)
            for a, b in ((-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0))
        )


def _two_points(points: tuple[GroundPoint, ...]) -> tuple[GroundPoint, ...]:
    if len(points) < 2 or any(a == b for a, b in itertools.pairwise(points)):
        raise refuse("a power line runs between two points at least that differ")
    return points


class PowerLineRoute(Section):
    """A power line near the lift."""

    name: Text = Field(description="Which line.")
    points_m: Annotated[tuple[GroundPoint, ...], AfterValidator(_two_points)] = Field(
        alias="points", description="Where it runs, [[east, north], ...]."
    )
    lowest_m: Length = Field(alias="lowest", description="Lowest conductor over the crane's ground.")
    voltage_kV: Voltage | None = Field(
        default=None, description="Voltage in kilovolts, as its owner states it."
    )
    clearance_m: Length | None = Field(
        default=None,
        alias="clearance",
        description="Least distance that its owner or local law demands, where that is more than the rule's.",
    )
    source: Text = Field(description="Who gave route, height and voltage.")


def surrounding_findings(obstacles: Sequence[Obstacle], lines: Sequence[PowerLineRoute]) -> Iterator[Finding]:
    """Two that have one name: a check could not say which it means."""
    seen: set[str] = set()
    for section, names in (
        ("obstacles", [each.name for each in obstacles]),
        ("power_lines", [each.name for each in lines]),
    ):
        for number, name in enumerate(names):
            if name in seen:
                yield Finding(
                    ("place", section, number, "name"),
                    f'"{name}" is given twice; give every obstacle and power line a name of its own',
                )
            seen.add(name)
