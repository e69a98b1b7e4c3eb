"""The readings of a trial lift as they are written: cells, level, place of the hook, and what may be aboard."""

from __future__ import annotations

import datetime
import math
import re
from pathlib import Path
from typing import Annotated

from pydantic import BeforeValidator, Field, ValidationError

from plumbhook.core.errors import InputError, Problem
from plumbhook.core.units import Kind
from plumbhook.model._problems import problems_of
from plumbhook.model.files import read_text
from plumbhook.model.quantity import (
    Coordinate,
    Length,
    Mass,
    MassOrZero,
    Position,
    Quantity,
    RatioOrZero,
    Section,
    Serial,
    Text,
    refuse,
)
from plumbhook.model.yaml_source import YamlSource, read_yaml

LEVEL_ACCURACY_RAD = math.radians(0.1)
"""Of a level or inclinometer on the load. Source: common practice, no source."""
HOOK_ACCURACY_M = 0.02
"""Of a plumb line dropped from the hook. Source: common practice, no source."""

Slope = Annotated[float, Quantity(Kind.ANGLE, at_least=-math.pi / 4.0, at_most=math.pi / 4.0)]
Accuracy = Annotated[float, Quantity(Kind.ANGLE, above=0.0, at_most=math.radians(5.0))]


def _moment(raw: object) -> datetime.datetime:
    text = raw if isinstance(raw, str) else str(raw)
    if not re.fullmatch(r"\d{4}-\d{2}-\d{2}[ T]\d{2}:\d{2}", text):
        raise refuse(f'"{text}" is not a day and a time; write them as in 2027-03-24 07:40')
    try:
        return datetime.datetime.fromisoformat(text)
    except ValueError:
        raise refuse(f'"{text}" is not a time of the calendar; check day and hour') from None


Moment = Annotated[datetime.datetime, BeforeValidator(_moment), Field(examples=["2027-03-24 07:40"])]


class TiltReading(Section):
    """Level of the load as read; positive where the plus side of the axis is low."""

    x_plus_low_rad: Slope | None = Field(
        default=None,
        alias="x_plus_low",
        description="Slope along x: positive when the x+ side is low, negative when the x- side is.",
    )
    y_plus_low_rad: Slope | None = Field(
        default=None, alias="y_plus_low", description="Slope along y, likewise."
    )
    accuracy_rad: Accuracy = Field(
        default=LEVEL_ACCURACY_RAD,
        alias="accuracy",
        description="How far a reading may be off. Source: common practice, no source.",
    )


class HookReading(Section):
    """The point of the load that is plumb below the hook, in load coordinates."""

    x_m: Coordinate | None = Field(default=None, alias="x", description="Its x.")
    y_m: Coordinate | None = Field(default=None, alias="y", description="Its y.")
    height_m: Coordinate = Field(
        alias="height", examples=["2.50 m"], description="Height z of the load at which it was marked."
    )
    accuracy_m: Length = Field(
        default=HOOK_ACCURACY_M,
        alias="accuracy",
        description="How far a reading may be off. Source: common practice, no source.",
    )


class MayBeAboard(Section):
    """Something that may be aboard and is not in the parts list: water, ice, tools."""

    what: Text = Field(description="What it is.")
    at_m: Position = Field(alias="at", description="Where its centre of gravity would be, load coordinates.")
    most_kg: Mass = Field(alias="most", description="The most that it can be.")
    least_kg: MassOrZero = Field(default=0.0, alias="least", description="The least that it can be.")


class RigAccuracy(Section):
    """How far the rig may be off; what is left out is as the tolerances of the lift file and their defaults say."""

    length_m: Length | None = Field(
        default=None,
        alias="length",
        description="Of the length of each line, as it was measured when rigged.",
    )
    stiffness_ratio: RatioOrZero | None = Field(
        default=None, alias="stiffness", description="Of the stretch of each line."
    )


class Readings(Section):
    """What was read at the trial lift, when and by whom."""

    lift_id: Text | None = Field(
        default=None, alias="lift", description="Number of the lift, to be sure that it is this one."
    )
    taken: Moment = Field(description="Day and time of the readings.")
    by: Text = Field(description="Who read them.")
    cells_kg: dict[Serial, Mass] = Field(
        default={}, alias="cells", description="Load cells: serial and reading as a mass."
    )
    tilt: TiltReading | None = Field(default=None, description="Level of the load.")
    hook_over: HookReading | None = Field(default=None, description="Where the hook is above the load.")
    may_be_aboard: tuple[MayBeAboard, ...] = Field(
        default=(), description="What may explain a difference besides the parts."
    )
    rig_accuracy: RigAccuracy = Field(default=RigAccuracy(), description="How exact the rig is.")


class ReadingsFile(Section):
    """A file of readings."""

    trial_lift: Readings = Field(description="The readings.")


def read_readings(path: Path | str) -> Readings:
    """Read a file of readings.

    Raises:
        InputError: with every problem found.
    """
    path = Path(path)
    return parse_readings(read_text(path), source=str(path))


def parse_readings(text: str, *, source: str = "") -> Readings:
    """Read readings from YAML or JSON text.

    Raises:
        InputError: with every problem found.
    """
    tree = read_yaml(text, source)
    problems = list(tree.problems)
    readings = None
    try:
        readings = ReadingsFile.model_validate(tree.data).trial_lift
    except ValidationError as error:
        problems.extend(problems_of(error, tree, ReadingsFile))
    if readings is not None:
        problems.extend(_contradictions(readings, tree))
    if problems or readings is None:
        raise InputError(tuple(dict.fromkeys(problems)))
    return readings


def _contradictions(readings: Readings, tree: YamlSource) -> list[Problem]:
    found: list[Problem] = []

    def report(path: tuple[str | int, ...], field: str, message: str) -> None:
        found.append(Problem(field, message, tree.line_of(path), tree.source))

    tilt, hook = readings.tilt, readings.hook_over
    if tilt is not None and tilt.x_plus_low_rad is None and tilt.y_plus_low_rad is None:
        report(
            ("trial_lift", "tilt"),
            "trial_lift.tilt",
            "there is no level reading here; give x_plus_low or y_plus_low",
        )
    if hook is not None and hook.x_m is None and hook.y_m is None:
        report(
            ("trial_lift", "hook_over"),
            "trial_lift.hook_over",
            "there is no place here; give x or y of the hook",
        )
    if not readings.cells_kg and tilt is None and hook is None:
        report(
            ("trial_lift",),
            "trial_lift",
            "there is no reading; give at least one of cells, tilt and hook_over",
        )
    for number, aboard in enumerate(readings.may_be_aboard):
        if aboard.least_kg >= aboard.most_kg:
            report(
                ("trial_lift", "may_be_aboard", number),
                f"trial_lift.may_be_aboard[{number + 1}].least",
                "the least must be less than the most; check the two",
            )
    return found
