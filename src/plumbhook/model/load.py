"""The load as the lift file claims it, and its mass and centre of gravity."""

from __future__ import annotations

import math

from pydantic import Field

from plumbhook.core.claims import Claim
from plumbhook.model.quantity import (
    Angle,
    Date,
    Length,
    LengthOrZero,
    Mass,
    Name,
    Position,
    RatioOrZero,
    Section,
    Size,
    Text,
)

Vector = tuple[float, float, float]


class WeightClaim(Section):
    """What is claimed of the weight, and by whom."""

    mass_kg: Mass | None = Field(
        default=None,
        alias="mass",
        description="Total mass if one is declared or weighed; otherwise the parts are summed.",
    )
    tolerance: RatioOrZero = Field(
        examples=["1.5 %"], description="How far the true mass may be off, in proportion to the mass."
    )
    source: Text = Field(description="Where the mass comes from: weighing, drawing, catalogue.")
    state: Text = Field(
        description="State of the load that the mass is for: empty, drained, with what aboard."
    )
    said_by: Text | None = Field(default=None, description="Who says so.")
    date: Date | None = Field(default=None, description="When it was said or weighed.")


class CogBox(Section):
    """Half sizes of the box around the claimed centre of gravity within which the true one may be."""

    x_m: LengthOrZero = Field(alias="x", description="Plus or minus along x.")
    y_m: LengthOrZero = Field(alias="y", description="Plus or minus along y.")
    z_m: LengthOrZero = Field(alias="z", description="Plus or minus along z.")
    source: Text = Field(description="Why the box has this size.")


class Envelope(Section):
    """Smallest box around the load, in load coordinates."""

    low_m: Position = Field(alias="low", description="Corner with the smallest x, y, z.")
    high_m: Position = Field(alias="high", description="Corner with the largest x, y, z.")


class Part(Section):
    """One part of the load."""

    name: Text = Field(description="What it is.")
    mass_kg: Mass = Field(alias="mass", description="Its mass.")
    at_m: Position = Field(alias="at", description="Its centre of gravity in load coordinates.")
    size_m: Size | None = Field(
        default=None, alias="size", description="Its box along x, y, z, for the drawing."
    )
    source: Text | None = Field(default=None, description="Where mass and position come from.")


class LiftPoint(Section):
    """A point of the load that a lower sling takes hold of."""

    at_m: Position = Field(alias="at", description="Where the sling bears, in load coordinates.")
    rated_load_kg: Mass | None = Field(
        default=None,
        alias="rated_load",
        description="What it may carry along its axis; not evaluated while it is missing.",
    )
    angle_limit_rad: Angle | None = Field(
        default=None,
        alias="angle_limit",
        description="How far from its axis it may be pulled.",
    )
    hole_m: Length | None = Field(default=None, alias="hole", description="Diameter of the hole.")
    plate_m: Length | None = Field(default=None, alias="plate", description="Thickness of the plate.")
    source: Text | None = Field(default=None, description="Where the rating comes from.")


class Load(Section):
    """The load: what it weighs, where its centre of gravity is, where it may be held."""

    name: Text = Field(description="What is lifted.")
    axes: Text = Field(description="Where the origin is and which way x, y and z point; z is up.")
    weight: WeightClaim = Field(description="Mass with tolerance, source and state.")
    declared_cog_m: Position | None = Field(
        default=None,
        alias="cog",
        description="Centre of gravity if it is declared; otherwise it follows from the parts.",
    )
    can_move: Text | None = Field(
        default=None, description="What may shift, and what holds it; 'nothing' if so."
    )
    cog_box: CogBox = Field(description="How far the centre of gravity may be off.")
    envelope: Envelope | None = Field(default=None, description="Box around the load.")
    parts: tuple[Part, ...] = Field(default=(), description="Parts with mass and place.")
    lift_points: dict[Name, LiftPoint] = Field(min_length=1, description="Lift points by name.")


def mass_kg(load: Load) -> float:
    """Best estimate of the mass, kg: the declared total, else the sum of the parts.

    NaN where the file gives neither; a file that has passed validation always gives one.
    """
    if load.weight.mass_kg is not None:
        return load.weight.mass_kg
    return parts_mass_kg(load)


def parts_mass_kg(load: Load) -> float:
    """Sum of the masses of the parts, kg; NaN where there are none."""
    return math.fsum(part.mass_kg for part in load.parts) if load.parts else math.nan


def cog_m(load: Load) -> Vector:
    """Best estimate of the centre of gravity in load coordinates, m: declared, else of the parts."""
    return load.declared_cog_m if load.declared_cog_m is not None else parts_cog_m(load)


def parts_cog_m(load: Load) -> Vector:
    """Centre of gravity of the parts, m: sum(m r) / sum(m); NaN where there are none."""
    total = parts_mass_kg(load)
    x, y, z = (math.fsum(part.mass_kg * part.at_m[axis] for part in load.parts) / total for axis in range(3))
    return (x, y, z)


def weight_claim(load: Load) -> Claim:
    """The mass of the load as a claim, kg."""
    best = mass_kg(load)
    weight = load.weight
    return Claim(
        value=best,
        unit="kg",
        tolerance=best * weight.tolerance,
        source=weight.source,
        state=weight.state,
        said_by=weight.said_by or "",
        date=weight.date,
    )


def cog_claims(load: Load) -> tuple[Claim, Claim, Claim]:
    """The three coordinates of the centre of gravity as claims, m."""
    box = load.cog_box
    x, y, z = (
        Claim(value=at, unit="m", tolerance=half, source=box.source, state=load.weight.state)
        for at, half in zip(cog_m(load), (box.x_m, box.y_m, box.z_m), strict=True)
    )
    return (x, y, z)


__all__ = [
    "CogBox",
    "Envelope",
    "LiftPoint",
    "Load",
    "Part",
    "WeightClaim",
    "cog_claims",
    "cog_m",
    "mass_kg",
    "parts_cog_m",
    "parts_mass_kg",
    "weight_claim",
]
