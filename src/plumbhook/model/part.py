"""One part of the load as the lift file claims it: mass, place, shape, tolerance, and whether it can move."""

from __future__ import annotations

import math
from typing import Literal

from pydantic import Field

from plumbhook.model.quantity import (
    Flag,
    Length,
    LengthOrZero,
    Mass,
    MassTolerance,
    Position,
    RatioOrMass,
    Section,
    Share,
    Size,
    Text,
)

Vector = tuple[float, float, float]


class Cylinder(Section):
    """A cylinder along one axis of the load."""

    diameter_m: Length = Field(alias="diameter", description="Outside diameter.")
    length_m: Length = Field(alias="length", description="Length along the axis.")
    axis: Literal["x", "y", "z"] = Field(description="Axis of the load that it lies along.")


class Container(Section):
    """The room in which a movable part can be, in load coordinates."""

    low_m: Position = Field(alias="low", description="Corner with the smallest x, y, z.")
    high_m: Position = Field(alias="high", description="Corner with the largest x, y, z.")


class Movable(Section):
    """That a part can move, where to, and what holds it."""

    kind: Literal["fluid", "loose"] = Field(description="A fluid, or a loose part.")
    within: Container | None = Field(
        default=None, description="Room in which it can be; its centre of gravity may be anywhere in it."
    )
    fills: Share | None = Field(
        default=None,
        description="Part of the room that a fluid fills; the fuller, the less it can move.",
        examples=["80 %"],
    )
    held_by: Text | None = Field(
        default=None, description="What holds a loose part. A fluid is held by a full room only."
    )


class Part(Section):
    """One part of the load."""

    name: Text = Field(description="What it is.")
    mass_kg: Mass = Field(alias="mass", description="Its mass.")
    at_m: Position = Field(alias="at", description="Its centre of gravity in load coordinates.")
    size_m: Size | None = Field(
        default=None, alias="size", description="Its box along x, y, z, centred on its centre of gravity."
    )
    cylinder: Cylinder | None = Field(
        default=None, description="Its shape if it is a cylinder, centred on its centre of gravity."
    )
    tolerance: RatioOrMass | None = Field(
        default=None, description="How far its mass may be off; if left out, as the tolerance of the weight."
    )
    position_tolerance_m: LengthOrZero | None = Field(
        default=None,
        alias="position_tolerance",
        description="How far its centre of gravity may be off along each axis.",
    )
    source: Text | None = Field(default=None, description="Where mass and position come from.")
    state: Text | None = Field(
        default=None, description="State that its mass is for: drained, with guards, with dunnage."
    )
    opening: Flag = Field(
        default=False, description="true for an opening: its mass is not there and is taken away."
    )
    solid_of: Text | None = Field(
        default=None,
        description="Material that its box or cylinder is full of, from the table of densities; "
        "the mass is then compared with the volume.",
        examples=["reinforced concrete"],
    )
    movable: Movable | None = Field(default=None, description="That it can move, where to, what holds it.")


def signed_mass_kg(part: Part) -> float:
    """Mass as it enters a sum, kg: negative for an opening."""
    return -part.mass_kg if part.opening else part.mass_kg


def extent_m(part: Part) -> Vector | None:
    """Whole size of the box around a part along x, y, z, m; None where the file gives no shape."""
    if part.cylinder is None:
        return part.size_m
    sizes = [part.cylinder.diameter_m] * 3
    sizes["xyz".index(part.cylinder.axis)] = part.cylinder.length_m
    return (sizes[0], sizes[1], sizes[2])


def box_m(part: Part) -> tuple[Vector, Vector] | None:
    """Low and high corner of the box around a part, load coordinates, m; None where there is no shape."""
    size = extent_m(part)
    if size is None:
        return None
    (x, y, z), (a, b, c) = part.at_m, size
    return (x - a / 2.0, y - b / 2.0, z - c / 2.0), (x + a / 2.0, y + b / 2.0, z + c / 2.0)


def volume_m3(part: Part) -> float | None:
    """Volume of the box or cylinder of a part, m3; None where there is no shape."""
    if part.cylinder is not None:
        return math.pi / 4.0 * part.cylinder.diameter_m**2 * part.cylinder.length_m
    return None if part.size_m is None else math.prod(part.size_m)


def is_held(part: Part) -> bool:
    """Whether a part cannot move: not movable, a loose part that something holds, or a full room of fluid."""
    if part.movable is None:
        return True
    if part.movable.kind == "fluid":
        return part.movable.fills == 1.0
    return part.movable.held_by is not None


def free_range_m(part: Part) -> tuple[Vector, Vector] | None:
    """Low and high end of where the centre of gravity of a part can come to lie, along each axis, m.

    A part that is held stays where it is. A fluid that fills the share f of a room of length L lies, however it
    sloshes, with its centre of gravity between f L/2 from one wall and f L/2 from the other: the nearest to a wall
    is the layer of thickness f L against it. A loose part of known size stays half its size off the walls.

    Returns:
        The two ends, or None where the part can move and the file does not say where to.
    """
    if part.movable is None or is_held(part):
        return part.at_m, part.at_m
    room = part.movable.within
    if room is None:
        return None
    low, high = [], []
    for axis in range(3):
        length = room.high_m[axis] - room.low_m[axis]
        if part.movable.kind == "fluid":
            off = 0.5 * (part.movable.fills or 0.0) * length
        else:
            size = extent_m(part)
            off = 0.0 if size is None else min(0.5 * size[axis], 0.5 * length)
        low.append(room.low_m[axis] + off)
        high.append(room.high_m[axis] - off)
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])


__all__ = [
    "Container",
    "Cylinder",
    "MassTolerance",
    "Movable",
    "Part",
    "box_m",
    "extent_m",
    "free_range_m",
    "is_held",
    "signed_mass_kg",
    "volume_m3",
]
