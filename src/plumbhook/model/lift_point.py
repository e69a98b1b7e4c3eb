"""A lift point of the load: what it may carry and how far off its axis, what a pin or a sling meets there."""

from __future__ import annotations

import itertools
import re
from typing import Annotated

from pydantic import AfterValidator, Field

from plumbhook.core.units import Kind
from plumbhook.model.quantity import (
    Angle,
    Length,
    LengthOrZero,
    Mass,
    Position,
    Quantity,
    Section,
    Text,
    refuse,
)

# What is found under slings after they were cut; none of it keeps an edge from a sling.
_NO_PROTECTION = re.compile(
    r"\b(cardboard|foam|cloth(?:es|ing)?|jackets?|gloves?|rags?|carpets?|sack(?:s|ing)?|blankets?|paper)\b",
    re.IGNORECASE,
)
Slope = Annotated[float, Quantity(Kind.ANGLE, at_least=0.0, at_most=1.5)]
Friction = Annotated[float, Quantity(Kind.RATIO, above=0.0, at_most=1.0)]


class RatingByAngle(Section):
    """One row of a rated load by the direction of the pull."""

    angle_rad: Angle = Field(
        alias="angle", description="Angle of the pull off the axis, in the weakest direction."
    )
    rated_load_kg: Mass = Field(alias="rated_load", description="Rated load up to that angle.")


def _protector(text: str) -> str:
    found = _NO_PROTECTION.search(text)
    if found:
        raise refuse(
            f"{found.group(0)} does not keep an edge from cutting a sling; name an edge protector made for it, by its "
            "number"
        )
    if not re.search(r"\d", text):
        raise refuse("name the edge protector by its number, as in EP-07; words alone protect nothing")
    return text


def _rows(rows: tuple[RatingByAngle, ...]) -> tuple[RatingByAngle, ...]:
    for before, after in itertools.pairwise(rows):
        if after.angle_rad <= before.angle_rad:
            raise refuse("the angles of the rows must increase; sort them")
        if after.rated_load_kg > before.rated_load_kg:
            raise refuse("the rated load cannot grow with the angle; check the rows")
    return rows


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
    rating_by_angle: Annotated[tuple[RatingByAngle, ...], AfterValidator(_rows)] = Field(
        default=(),
        description="Rated load by the angle off the axis; the next worse row counts, none beyond the last.",
    )
    edge_radius_m: LengthOrZero | None = Field(
        default=None,
        alias="edge_radius",
        description="Radius of the edge of the load that the sling bears on; left out where it bears on none.",
    )
    protector: Annotated[Text, AfterValidator(_protector)] | None = Field(
        default=None, description="Number of the edge protector between sling and edge."
    )
    contact_slope_rad: Slope | None = Field(
        default=None,
        alias="contact_slope",
        description="Slope of the surface from the horizontal where a sling is held by friction alone.",
    )
    friction: Friction | None = Field(
        default=None,
        description="Coefficient of friction between sling and surface; 0.1 (wet) where it is not known.",
    )
    tie: Text | None = Field(
        default=None,
        description="What ties a sling held by friction to its neighbour so that it cannot slide.",
    )
    source: Text | None = Field(default=None, description="Where the rating comes from.")
