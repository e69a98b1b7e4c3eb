"""A load to be upended between two hooks, as its file states it."""

from __future__ import annotations

import math
from pathlib import Path
from typing import Annotated

from pydantic import Field

from plumbhook.core.units import Kind
from plumbhook.model.files import read_text
from plumbhook.model.quantity import (
    Angle,
    Coordinate,
    Factor,
    LengthOrZero,
    Mass,
    MassOrZero,
    Name,
    Quantity,
    Section,
    Share,
    Text,
)
from plumbhook.model.rules import Gravity
from plumbhook.model.whole_file import parse_whole

Direction = Annotated[float, Quantity(Kind.ANGLE, at_least=-math.pi, at_most=math.pi)]
BoomAngle = Annotated[float, Quantity(Kind.ANGLE, at_least=0.0, at_most=math.pi / 2.0)]


class LoadPoint(Section):
    """A point of the load: along it towards the head, and square to it, up while it lies."""

    along_m: Coordinate = Field(alias="along", description="Along the load, towards its head.")
    square_m: Coordinate = Field(alias="square", description="Square to the load, up while it lies.")

    @property
    def place_m(self) -> tuple[float, float]:
        """Along and square, m."""
        return self.along_m, self.square_m


class CogBox(Section):
    """How far the centre of gravity may be from its place, either way."""

    along_m: LengthOrZero = Field(alias="along", description="Along the load.")
    square_m: LengthOrZero = Field(alias="square", description="Square to the load.")


class UpendedComponent(Section):
    """One component between load and boom at one end: lug, shackle, sling, block, crane."""

    name: Name = Field(description="Which component.")
    share: Share = Field(
        description="Largest part of the pull that one such component takes.", examples=["55 %"]
    )
    below_kg: MassOrZero = Field(alias="below", description="Mass of the rig that hangs below it.")
    rated_kg: Mass | None = Field(
        default=None, alias="rated", description="Rated load in the direction of the pull."
    )
    source: Text | None = Field(default=None, description="Where the rated load comes from.")


class UpendedEnd(Section):
    """One end of the load with everything that holds it."""

    lug: LoadPoint = Field(description="Where the line holds the load.")
    lug_axis_rad: Direction | None = Field(
        default=None,
        alias="lug_axis",
        description="Direction that the lug is made for, from square to the load towards the head.",
    )
    largest_off_axis_rad: Angle | None = Field(
        default=None, alias="largest_off_axis", description="Largest angle of the pull to that direction."
    )
    boom_to_plane_rad: BoomAngle | None = Field(
        default=None,
        alias="boom_to_plane",
        description="Angle in plan between the boom and the plane in which the load turns.",
    )
    components: list[UpendedComponent] = Field(min_length=1, description="What holds this end.")


class UpendingFile(Section):
    """A load to be upended."""

    mass_kg: Mass = Field(alias="mass", description="Mass of the load.")
    weight_factor: Factor = Field(description="Factor for what is not known of the mass.")
    gravity_m_s2: Gravity = Field(default=9.81, alias="gravity", description="Acceleration of gravity.")
    cog: LoadPoint = Field(description="Centre of gravity.")
    cog_box: CogBox = Field(description="How far the centre of gravity may be from there.")
    head: UpendedEnd = Field(description="The end that comes up.")
    tail: UpendedEnd = Field(description="The end that stays low.")


class _File(Section):
    upending: UpendingFile


def parse_upending(text: str, *, source: str = "") -> UpendingFile:
    """The upending in a text, under the key ``upending``.

    Args:
        text: YAML or JSON.
        source: name of the file, for the messages.

    Raises:
        InputError: it is wrong; with every problem found.
    """
    return parse_whole(text, _File, source).upending


def read_upending(path: Path) -> UpendingFile:
    """Read an upending from a file.

    Raises:
        InputError: as :func:`parse_upending`; the file is not there, is too large or is no text.
    """
    return parse_upending(read_text(path), source=str(path))
