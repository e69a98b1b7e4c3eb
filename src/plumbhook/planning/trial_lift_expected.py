"""The card of a trial lift: what each instrument should read, and green, amber and red around it."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator

import numpy as np

from plumbhook.crane.load_cell import SHOWN_KG, rounded_inward
from plumbhook.model.lift import Lift
from plumbhook.model.load import cog_m, mass_tolerance_ratio
from plumbhook.model.trial_lift_file import Readings, RigAccuracy
from plumbhook.planning.assess import state_problem
from plumbhook.planning.cases import RigProblem
from plumbhook.planning.levelling_rest import Floats, LoadState, rest_of
from plumbhook.planning.trial_lift_channels import (
    Channel,
    ChannelKind,
    Prediction,
    hook_cell_reading,
    predict,
    rig_channels,
    values_at,
)
from plumbhook.planning.trial_lift_records import ExpectedChannel, ExpectedReadings
from plumbhook.planning.trial_lift_scatter import Scatter, scatter_of

STOP_MULTIPLE = 2.0
"""Stop beyond this many half widths. Source: policy of the firm."""
# What an instrument shows: 10 kg, 0.01 deg, 1 mm. Bands are rounded inward to it.
_SHOWN = {"kg": SHOWN_KG, "rad": math.radians(0.01), "m": 1e-3}
_LOAD_WORDS = ("mass of the load", "centre of gravity x", "centre of gravity y", "centre of gravity z")


def expected_readings(lift: Lift, readings: Readings | None = None) -> ExpectedReadings:
    """What every instrument of a trial lift should read at the claimed weight and centre of gravity.

    Half width of green: root sum of squares of what each tolerance makes of the reading to first order (mass, box of
    the centre of gravity, lengths and stretch of the lines) and of the instrument. Red is beyond twice that. The
    corners of the claim are solved beside it.

    Args:
        lift: the lift.
        readings: where the accuracies of instruments and rig come from; None for the usual ones.

    Raises:
        InputError: the rig cannot be drawn.
        NotEvaluatedError: the rig has no stable rest at the claimed weight.
    """
    problem, load = state_problem(lift), lift.file.load
    claim = LoadState(problem.expected_mass_kg, cog_m(load))
    channels = rig_channels(problem, readings)
    prediction = predict(problem, claim, channels)
    accuracy = RigAccuracy() if readings is None else readings.rig_accuracy
    scatter = scatter_of(lift, problem.rig, claim.mass_kg, accuracy)
    corners = _corner_values(problem, claim, scatter.claim, channels)
    return ExpectedReadings(
        lift_id=lift.file.lift.lift_id,
        revision=lift.file.lift.revision,
        content_hash=lift.content_hash,
        mass_kg=claim.mass_kg,
        cog_m=claim.cog_m,
        channels=tuple(
            _expected(lift, problem, channel, prediction, number, scatter, corners[:, number])
            for number, channel in enumerate(channels)
        ),
        tilt_rad=prediction.rest.tilt_rad,
        tilt_limit_rad=lift.file.rules.tilt_limit_rad,
        notes=tuple(_notes(channels)),
    )


def _expected(
    lift: Lift,
    problem: RigProblem,
    channel: Channel,
    prediction: Prediction,
    number: int,
    scatter: Scatter,
    corners: Floats,
) -> ExpectedChannel:
    value = float(prediction.values[number])
    parts = {
        word: abs(float(change) * float(width))
        for word, change, width in zip(_LOAD_WORDS, prediction.by_load[number], scatter.claim, strict=True)
    }
    parts["lengths of the lines"] = float(np.linalg.norm(prediction.by_length[number] @ scatter.length_m))
    parts["stretch of the lines"] = float(np.linalg.norm(prediction.by_stretch[number] @ scatter.stiffness))
    parts["instrument"] = channel.half_width(value)
    width = math.hypot(*parts.values())
    if channel.kind is ChannelKind.HOOK_CELL:
        # The same figure with its printed working stands in the plan; there is one formula for both.
        found = hook_cell_reading(problem, mass_tolerance_ratio(lift.file.load))
        if found is not None:
            value, width = found[1].expected_kg, found[1].green_kg
    return ExpectedChannel(
        name=channel.name,
        kind=channel.kind,
        unit=channel.unit,
        line=channel.line,
        expected=value,
        green=rounded_inward(value - width, value + width, _SHOWN[channel.unit]),
        red=rounded_inward(
            value - STOP_MULTIPLE * width, value + STOP_MULTIPLE * width, _SHOWN[channel.unit]
        ),
        half_width=width,
        parts={name: part for name, part in parts.items() if part > 0.0},
        corners=(float(corners.min()), float(corners.max())),
        height_m=channel.height_m if channel.kind in {ChannelKind.HOOK_X, ChannelKind.HOOK_Y} else math.nan,
    )


def _corner_values(
    problem: RigProblem, claim: LoadState, half: Floats, channels: tuple[Channel, ...]
) -> Floats:
    """(corners, channels) readings at the corners of mass and box, by the real equilibrium of each."""
    sides = [(-width, width) if width > 0.0 else (0.0,) for width in half.tolist()]
    rows = []
    for mass, x, y, z in itertools.product(*sides):
        at = (claim.cog_m[0] + x, claim.cog_m[1] + y, claim.cog_m[2] + z)
        rows.append(values_at(rest_of(problem, LoadState(claim.mass_kg + mass, at)), channels))
    return np.array(rows)


def _notes(channels: tuple[Channel, ...]) -> Iterator[str]:
    if not any(channel.is_cell for channel in channels):
        yield "The rig has no load cell with a known accuracy: no reading of the trial lift can tell the weight."
    if not any(channel.kind is ChannelKind.LINE_CELL for channel in channels):
        yield (
            "A cell below the hook says nothing of the centre of gravity; the level of the load and the place of the "
            "hook do."
        )
    yield "Readings are of the load hanging still and clear of the ground, hook rope plumb."
