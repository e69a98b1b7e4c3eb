"""What is read at a trial lift and what the rig says it should be: cells, level of the load, place of the hook.

Every channel is a number of the real, elastic equilibrium with its exact first-order sensitivities.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum

import numpy as np

from plumbhook.core.errors import InputError, Problem
from plumbhook.crane.load_cell import ExpectedReading, expected_reading
from plumbhook.model.equipment import Item, ItemKind
from plumbhook.model.trial_lift_file import HOOK_ACCURACY_M, LEVEL_ACCURACY_RAD, Readings
from plumbhook.planning.assemble import LOAD
from plumbhook.planning.cases import RigProblem
from plumbhook.planning.levelling_rest import Floats, LoadState, Rest, rest_of
from plumbhook.planning.rig import ResolvedRig
from plumbhook.statics.sensitivity import ParameterKind


class ChannelKind(Enum):
    """What a channel reads."""

    HOOK_CELL = "load cell below the hook"
    LINE_CELL = "load cell in a line"
    TILT_X = "slope along x, positive when the x+ side is low"
    TILT_Y = "slope along y, positive when the y+ side is low"
    HOOK_X = "x of the hook above the load"
    HOOK_Y = "y of the hook above the load"


@dataclass(frozen=True, slots=True)
class Channel:
    """One thing that is read.

    Attributes:
        name: serial of a cell, ``tilt x`` ...
        kind: what it reads.
        unit: ``kg``, ``rad`` or ``m``.
        accuracy: half width of the instrument's error, in the unit; of a cell in proportion to the reading.
        line: line that a cell hangs in, "" below the hook.
        share: part of the force of a line that a cell sees when several hang side by side.
        mass_below_kg: mass of the rig between a cell and what the equilibrium gives: of a hook cell everything of the
            rig below it, of a cell in a line the items of the line below it.
        height_m: height on the load at which the hook's place is read.
    """

    name: str
    kind: ChannelKind
    unit: str
    accuracy: float
    line: str = ""
    share: float = 1.0
    mass_below_kg: float = 0.0
    height_m: float = 0.0

    @property
    def is_cell(self) -> bool:
        """Whether it is a load cell."""
        return self.kind in {ChannelKind.HOOK_CELL, ChannelKind.LINE_CELL}

    def half_width(self, reading: float) -> float:
        """Half width of the instrument's error at a reading, in the unit."""
        return self.accuracy * abs(reading) if self.is_cell else self.accuracy


def hook_cell(rig: ResolvedRig) -> tuple[Item, float] | None:
    """The load cell of the hook chain and the mass of the rig below it, kg; None where there is none to read."""
    chain = rig.hook_chain
    cell = next((item for item in chain if item.kind is ItemKind.LOAD_CELL), None)
    if cell is None or cell.accuracy_ratio is None:
        return None
    below = sum(rig.hook_item_mass_kg(item) for item in chain[chain.index(cell) + 1 :])
    return cell, below + rig.mass_below_hook_chain_kg


def hook_cell_reading(problem: RigProblem, tolerance_ratio: float) -> tuple[Item, ExpectedReading] | None:
    """What the load cell of the hook chain should read, with its bands; None where there is none."""
    found = hook_cell(problem.rig)
    if found is None:
        return None
    cell, below = found
    return cell, expected_reading(
        load_mass_kg=problem.expected_mass_kg,
        load_tolerance_ratio=tolerance_ratio,
        rig_mass_below_cell_kg=below,
        cell_accuracy_ratio=cell.accuracy_ratio or 0.0,
    )


def rig_channels(problem: RigProblem, readings: Readings | None = None) -> tuple[Channel, ...]:
    """Everything that can be read on a rig: its cells, the level of the load, the place of the hook.

    Args:
        problem: the rig.
        readings: where the instruments' accuracies and the height of the hook's mark come from; None for the usual.
    """
    tilt = LEVEL_ACCURACY_RAD if readings is None or readings.tilt is None else readings.tilt.accuracy_rad
    channels = list(_cells(problem))
    channels.append(Channel("tilt x", ChannelKind.TILT_X, "rad", tilt))
    channels.append(Channel("tilt y", ChannelKind.TILT_Y, "rad", tilt))
    if len(problem.layout.hooks) == 1:
        hook = None if readings is None else readings.hook_over
        height = _mark_height_m(problem) if hook is None else hook.height_m
        accuracy = HOOK_ACCURACY_M if hook is None else hook.accuracy_m
        channels.append(Channel("hook x", ChannelKind.HOOK_X, "m", accuracy, height_m=height))
        channels.append(Channel("hook y", ChannelKind.HOOK_Y, "m", accuracy, height_m=height))
    return tuple(channels)


def _mark_height_m(problem: RigProblem) -> float:
    """Top of the load's envelope, else of its lift points: where a plumb line from the hook ends."""
    if problem.envelope is not None:
        return problem.envelope.high_m[2]
    return max(at[2] for at in problem.lift_points_m.values())


def _cells(problem: RigProblem) -> Iterator[Channel]:
    rig = problem.rig
    found = hook_cell(rig)
    if found is not None and len(problem.layout.hooks) == 1:
        cell, below = found
        yield Channel(
            cell.serial, ChannelKind.HOOK_CELL, "kg", cell.accuracy_ratio or 0.0, mass_below_kg=below
        )
    for line in rig.lines.values():
        for number, group in enumerate(line.groups):
            below = sum(lower.mass_kg for lower in line.groups[number + 1 :])
            for item in group.items:
                if item.kind is ItemKind.LOAD_CELL and item.accuracy_ratio is not None:
                    yield Channel(
                        item.serial,
                        ChannelKind.LINE_CELL,
                        "kg",
                        item.accuracy_ratio,
                        line=line.name,
                        share=1.0 / group.side_by_side,
                        mass_below_kg=below,
                    )


def read_channels(
    problem: RigProblem, readings: Readings, lift_id: str
) -> tuple[tuple[Channel, ...], Floats]:
    """The channels that were read, and the readings (n,), in the order of the rig.

    Raises:
        InputError: a cell is not in the rig or its accuracy is not known, or the readings are of another lift.
    """
    possible = {channel.name: channel for channel in rig_channels(problem, readings)}
    problems = []
    if readings.lift_id is not None and readings.lift_id != lift_id:
        problems.append(
            Problem(
                "trial_lift.lift",
                f"the readings are of lift {readings.lift_id} and the lift file is {lift_id}; take the right file",
            )
        )
    given: dict[str, float] = {}
    cells = [name for name, channel in possible.items() if channel.is_cell]
    for serial, reading in readings.cells_kg.items():
        if serial not in cells:
            have = f"it has {', '.join(cells)}" if cells else "it has none"
            problems.append(
                Problem(
                    f"trial_lift.cells.{serial}",
                    f"{serial} is no load cell with a known accuracy in this rig ({have}); check the serial",
                )
            )
        else:
            given[serial] = reading
    tilt, hook = readings.tilt, readings.hook_over
    for name, value in (
        ("tilt x", None if tilt is None else tilt.x_plus_low_rad),
        ("tilt y", None if tilt is None else tilt.y_plus_low_rad),
        ("hook x", None if hook is None else hook.x_m),
        ("hook y", None if hook is None else hook.y_m),
    ):
        if value is not None and name in possible:
            given[name] = value
        elif value is not None:
            problems.append(
                Problem(
                    "trial_lift.hook_over",
                    "the place of the hook cannot be used below several hooks; leave it out",
                )
            )
    if problems:
        raise InputError(tuple(problems))
    channels = tuple(channel for name, channel in possible.items() if name in given)
    return channels, np.array([given[channel.name] for channel in channels])


@dataclass(frozen=True, slots=True)
class Prediction:
    """What the channels read for one state of the load.

    Attributes:
        rest: the equilibrium.
        values: (n,) readings expected.
        by_load: (n, 4) change per kg of mass and per metre of x, y, z of the centre of gravity.
        by_length: (n, lines) change per metre of each line's unstretched length.
        by_stretch: (n, lines) change per unit ratio of each line's stiffness.
    """

    rest: Rest
    values: Floats
    by_load: Floats
    by_length: Floats
    by_stretch: Floats


def predict(problem: RigProblem, load: LoadState, channels: tuple[Channel, ...]) -> Prediction:
    """What the channels read for one state of the load, by the real equilibrium and its sensitivities.

    Raises:
        NotEvaluatedError: there is no stable rest.
    """
    rest = rest_of(problem, load)
    found = rest.sensitivities
    change = np.array([_change(rest, channel) for channel in channels])
    change = change.reshape(len(channels), len(found.parameters))
    load_columns = [found.of(ParameterKind.MASS, LOAD)]
    load_columns += [found.of(ParameterKind.COG, LOAD, axis) for axis in range(3)]
    lines = list(problem.rig.lines)
    lengths = [found.of(ParameterKind.UNSTRETCHED_LENGTH, name) for name in lines]
    stiffness = [found.of(ParameterKind.AXIAL_STIFFNESS, name) for name in lines]
    axial = np.array([problem.rig.lines[name].EA_N for name in lines])
    return Prediction(
        rest=rest,
        values=values_at(rest, channels),
        by_load=change[:, load_columns],
        by_length=change[:, lengths],
        by_stretch=change[:, stiffness] * axial,
    )


def values_at(rest: Rest, channels: tuple[Channel, ...]) -> Floats:
    """(n,) what the channels read at a rest."""
    return np.array([_value(rest, channel) for channel in channels])


def _value(rest: Rest, channel: Channel) -> float:
    kind = channel.kind
    if kind is ChannelKind.HOOK_CELL:
        return rest.load.mass_kg + channel.mass_below_kg
    if kind is ChannelKind.LINE_CELL:
        # What hangs in the line below the cell pulls along it by its weight times the cosine of the line's angle.
        leaning = math.cos(rest.equilibrium.angle_from_vertical_rad[channel.line])
        force = rest.equilibrium.tensions_N[channel.line]
        return channel.share * (force / rest.problem.gravity_m_s2 + channel.mass_below_kg * leaning)
    if kind in {ChannelKind.TILT_X, ChannelKind.TILT_Y}:
        return rest.tilt_x_rad if kind is ChannelKind.TILT_X else rest.tilt_y_rad
    return rest.hook_over_m(channel.height_m)[0 if kind is ChannelKind.HOOK_X else 1]


def _change(rest: Rest, channel: Channel) -> Floats:
    """(P,) change of a reading by every parameter of the rig."""
    kind = channel.kind
    if kind is ChannelKind.HOOK_CELL:
        change = np.zeros(len(rest.sensitivities.parameters))
        change[rest.sensitivities.of(ParameterKind.MASS, LOAD)] = 1.0
        return change
    if kind is ChannelKind.LINE_CELL:
        per_newton = channel.share / rest.problem.gravity_m_s2
        return per_newton * rest.sensitivities.tensions[channel.line]
    if kind in {ChannelKind.TILT_X, ChannelKind.TILT_Y}:
        return rest.tilt_change(0 if kind is ChannelKind.TILT_X else 1)
    return rest.hook_over_change(channel.height_m)[0 if kind is ChannelKind.HOOK_X else 1]
