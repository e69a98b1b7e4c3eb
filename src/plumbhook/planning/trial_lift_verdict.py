"""Inside, amber or stop, with the reasons: bands, limits, and what the estimate does to the plan."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from plumbhook.core.units import format_quantity
from plumbhook.model.lift import Lift
from plumbhook.model.load import mass_tolerance_ratio
from plumbhook.planning.levelling_measure import limits_of
from plumbhook.planning.trial_lift_back_solve import Fit
from plumbhook.planning.trial_lift_records import (
    Band,
    Consistency,
    ExpectedReadings,
    ReadChannel,
    TrialVerdict,
)

_DISPLAY = {"kg": "t", "rad": "deg", "m": "m"}
_DECIMALS = {"kg": 2, "rad": 2, "m": 3}


def judge_readings(
    lift: Lift,
    card: ExpectedReadings,
    read: Sequence[ReadChannel],
    found: Fit | None,
    consistency: Consistency,
) -> tuple[TrialVerdict, tuple[str, ...]]:
    """Verdict on a set of readings and every reason for it, the gravest first.

    Args:
        lift: the lift as planned.
        card: expected readings.
        read: readings with their bands.
        found: the estimate; None where no weight explains the readings.
        consistency: whether it does.
    """
    stops = [*_red(card, read), *_tilt(card, read)]
    ambers = list(_amber(card, read))
    if not consistency.explained or found is None:
        stops.append(consistency.why)
    else:
        stops.extend(_stops_of_estimate(lift, found))
        ambers.extend(_ambers_of_estimate(lift, card, found))
    if stops:
        return TrialVerdict.STOP, (*stops, *ambers)
    if ambers:
        return TrialVerdict.AMBER, tuple(ambers)
    return TrialVerdict.INSIDE, ("Every reading is in its green band and the estimate within the claim.",)


def _red(card: ExpectedReadings, read: Sequence[ReadChannel]) -> Iterator[str]:
    for one in read:
        if one.band is Band.RED:
            low, high = card.channel(one.name).red
            yield (
                f"{one.name} reads {shown(one.reading, one.unit)}, outside of {shown(low, one.unit)} to "
                f"{shown(high, one.unit)}: stop."
            )


def _amber(card: ExpectedReadings, read: Sequence[ReadChannel]) -> Iterator[str]:
    for one in read:
        if one.band is Band.AMBER:
            low, high = card.channel(one.name).green
            yield (
                f"{one.name} reads {shown(one.reading, one.unit)}, outside of {shown(low, one.unit)} to "
                f"{shown(high, one.unit)}."
            )


def _tilt(card: ExpectedReadings, read: Sequence[ReadChannel]) -> Iterator[str]:
    slopes = [math.tan(one.reading) for one in read if one.unit == "rad"]
    total = math.atan(math.hypot(*slopes)) if slopes else 0.0
    if not total <= card.tilt_limit_rad:
        yield (
            f"The load tilts {shown(total, 'rad')}, over the limit of {shown(card.tilt_limit_rad, 'rad')}: put it down."
        )


def _stops_of_estimate(lift: Lift, found: Fit) -> Iterator[str]:
    problem, load = found.prediction.rest.problem, found.load
    if load.mass_kg > problem.design_mass_kg:
        yield (
            f"The load weighs {shown(load.mass_kg, 'kg')} by the readings, more than the "
            f"{shown(problem.design_mass_kg, 'kg')} that strength was checked with: the plan does not hold."
        )
    slack = list(found.prediction.rest.equilibrium.slack_m)
    if slack:
        yield f"By the readings line {', '.join(slack)} hangs slack: put the load down."
    heavier = max(1.0, load.mass_kg / problem.expected_mass_kg)
    limits = limits_of(lift, problem)
    factor = limits.force_ratio / heavier
    for name, rated in limits.rated_N.items():
        use = factor * found.prediction.rest.equilibrium.tensions_N[name] / rated
        if use > 1.0:
            percent = format_quantity(use, "1", "%", rounding="up")
            yield f"By the readings line {name} carries {percent} of its rated load, factors included."


def _ambers_of_estimate(lift: Lift, card: ExpectedReadings, found: Fit) -> Iterator[str]:
    load, sd = found.load, [math.sqrt(float(found.covariance[i, i])) for i in range(4)]
    allowed = mass_tolerance_ratio(lift.file.load) * card.mass_kg
    away = load.mass_kg - card.mass_kg
    if not found.held[0] and abs(away) > allowed + sd[0]:
        word = "more" if away > 0.0 else "less"
        yield (
            f"The load weighs {shown(load.mass_kg, 'kg')} by the readings, {shown(abs(away), 'kg')} {word} than "
            f"claimed and outside of its tolerance of {shown(allowed, 'kg')}: find out why."
        )
    strength = found.prediction.rest.problem.design_mass_kg
    if not found.held[0] and load.mass_kg <= strength < load.mass_kg + 2.0 * sd[0]:
        yield (
            f"The readings leave it open whether the load weighs more than the {shown(strength, 'kg')} that strength "
            "was checked with."
        )
    box = lift.file.load.cog_box
    for axis, half in enumerate((box.x_m, box.y_m)):
        off = load.cog_m[axis] - card.cog_m[axis]
        if not found.held[axis + 1] and abs(off) > half + sd[axis + 1]:
            yield (
                f"The centre of gravity is {shown(abs(off), 'm')} towards {'xy'[axis]}{'+' if off > 0.0 else '-'} of "
                f"where it is claimed, outside of its box of ± {shown(half, 'm')}: the envelope was not checked there."
            )


def shown(value: float, unit: str) -> str:
    """A reading as an instrument shows it: tonnes and degrees to two decimals, metres to three."""
    return format_quantity(value, unit, _DISPLAY[unit], decimals=_DECIMALS[unit])
