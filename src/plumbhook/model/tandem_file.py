"""A load lifted by two cranes, as its file states it."""

from __future__ import annotations

from pathlib import Path

from pydantic import Field

from plumbhook.model.files import read_text
from plumbhook.model.quantity import (
    Angle,
    Coordinate,
    Factor,
    Length,
    LengthOrZero,
    Mass,
    MassOrZero,
    Name,
    RatioOrZero,
    Section,
    Text,
)
from plumbhook.model.rules import Gravity
from plumbhook.model.whole_file import parse_whole


class TandemBox(Section):
    """How far the centre of gravity may be from its place, either way."""

    along_m: LengthOrZero = Field(alias="along", description="Along the line of the hooks.")
    height_m: LengthOrZero = Field(alias="height", description="Up or down.")


class TandemHook(Section):
    """One hook with its crane."""

    name: Name = Field(description="Which crane.")
    depth_m: Coordinate = Field(
        alias="depth", description="How far the centre of gravity is below the lift points of this hook."
    )
    rig_kg: MassOrZero = Field(alias="rig", description="Mass of rig, block and rope on this hook.")
    capacity_kg: Mass | None = Field(
        default=None, alias="capacity", description="What its chart gives at the largest radius of the lift."
    )
    source: Text | None = Field(default=None, description="Chart, configuration and row of the capacity.")


class TandemFile(Section):
    """A load on two hooks, measured while it is level."""

    mass_kg: Mass = Field(alias="mass", description="Mass of the load.")
    weight_factor: Factor = Field(description="Factor for what is not known of the mass.")
    gravity_m_s2: Gravity = Field(default=9.81, alias="gravity", description="Acceleration of gravity.")
    spacing_m: Length = Field(alias="spacing", description="Distance of the hooks in plan.")
    cog_from_second_m: Coordinate = Field(
        alias="cog_from_second", description="Distance of the centre of gravity from the second hook in plan."
    )
    cog_box: TandemBox = Field(description="How far the centre of gravity may be from its place.")
    height_difference_m: LengthOrZero = Field(
        alias="height_difference", description="How far the hooks may be from level on site, either way."
    )
    largest_tilt_rad: Angle = Field(alias="largest_tilt", description="Tilt not to be passed in any case.")
    margin: RatioOrZero = Field(
        description="What the rule adds to the share of each crane.", examples=["20 %"]
    )
    margin_source: Text = Field(description="The rule that sets the margin.")
    first: TandemHook = Field(description="The first hook.")
    second: TandemHook = Field(description="The second hook.")


class _File(Section):
    tandem: TandemFile


def parse_tandem(text: str, *, source: str = "") -> TandemFile:
    """The lift by two cranes in a text, under the key ``tandem``.

    Args:
        text: YAML or JSON.
        source: name of the file, for the messages.

    Raises:
        InputError: it is wrong; with every problem found.
    """
    return parse_whole(text, _File, source).tandem


def read_tandem(path: Path) -> TandemFile:
    """Read a lift by two cranes from a file.

    Raises:
        InputError: as :func:`parse_tandem`; the file is not there, is too large or is no text.
    """
    return parse_tandem(read_text(path), source=str(path))
