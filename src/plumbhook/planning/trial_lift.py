"""The trial lift: a card of expected readings before it, and from the readings the truth, the verdict and the cure."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

import numpy as np

from plumbhook.core.errors import InputError, NotEvaluatedError
from plumbhook.core.units import format_quantity
from plumbhook.model.lift import Lift
from plumbhook.model.trial_lift_file import Readings
from plumbhook.planning.assess import state_problem
from plumbhook.planning.levelling_rest import Floats
from plumbhook.planning.trial_lift_back_solve import (
    Fit,
    Inverse,
    chi_square_exceeded,
    extent_of,
    fit,
    inverse_of,
    most_likely_wrong,
    start_of,
)
from plumbhook.planning.trial_lift_channels import (
    ChannelKind,
    Prediction,
    read_channels,
)
from plumbhook.planning.trial_lift_cure import find_cure
from plumbhook.planning.trial_lift_expected import expected_readings
from plumbhook.planning.trial_lift_hypotheses import weigh_hypotheses
from plumbhook.planning.trial_lift_records import (
    Consistency,
    Cure,
    Estimate,
    ExpectedReadings,
    ReadChannel,
    TrialLiftResult,
)
from plumbhook.planning.trial_lift_verdict import judge_readings

REFUSED_BELOW = 1e-3
"""Probability below which readings count as explained by no weight. Source: policy of the firm."""
_CANNOT_BE_SD = 3.0


def back_solve(lift: Lift, readings: Readings, *, with_cure: bool = True) -> TrialLiftResult:
    """From the readings of a trial lift to weight and centre of gravity, verdict and cure.

    Args:
        lift: the lift as planned; the rig must be rigged as it says.
        readings: what was read.
        with_cure: whether to look for lines to set otherwise, which takes longer than all the rest.

    Returns:
        The result. Where no weight explains the readings it says so, names the channel that is most likely wrong, and
        the verdict is stop.

    Raises:
        InputError: a reading does not belong to this rig, or the rig cannot be drawn.
        NotEvaluatedError: the rig has no stable rest at the claimed weight.
    """
    problem, load = state_problem(lift), lift.file.load
    channels, values = read_channels(problem, readings, lift.file.lift.lift_id)
    card = expected_readings(lift, readings)
    inverse = inverse_of(problem, lift, channels, values, readings.rig_accuracy)
    at_claim = inverse.at(start_of(inverse))
    alone = _fit(inverse, inverse.held_by_claim(at_claim))
    both = None if alone is None else _fit(inverse, np.ones(4, dtype=np.bool_))
    consistency = _consistency(lift, inverse, alone, at_claim)
    explained = alone if consistency.explained else None
    estimated = None if explained is None else explained.prediction.values
    read = tuple(_read(card, inverse, estimated))
    estimate = None if explained is None else _estimate(explained, explained.held)
    cure = _cure(lift, explained) if explained is not None and with_cure else None
    verdict, reasons = judge_readings(lift, card, read, explained, consistency)
    return TrialLiftResult(
        expected=card,
        taken=readings.taken.isoformat(sep=" ", timespec="minutes"),
        by=readings.by,
        readings=read,
        verdict=verdict,
        reasons=reasons,
        estimate=estimate,
        with_claim=None if explained is None or both is None else _estimate(both, explained.held),
        consistency=consistency,
        observability=tuple(_untold(inverse, at_claim)),
        hypotheses=(
            () if explained is None else weigh_hypotheses(inverse, explained, load, readings.may_be_aboard)
        ),
        cure=cure,
    )


def _fit(inverse: Inverse, held: np.ndarray) -> Fit | None:
    try:
        return fit(inverse, held)
    except (NotEvaluatedError, InputError, np.linalg.LinAlgError):
        return None


def _estimate(found: Fit, held: np.ndarray) -> Estimate:
    sd = np.sqrt(np.diag(found.covariance))
    told = [not one for one in held.tolist()]
    return Estimate(
        mass_kg=found.load.mass_kg,
        cog_m=found.load.cog_m,
        sd=(float(sd[0]), float(sd[1]), float(sd[2]), float(sd[3])),
        covariance=tuple(tuple(float(one) for one in row) for row in found.covariance),
        told=(told[0], told[1], told[2], told[3]),
    )


def _read(card: ExpectedReadings, inverse: Inverse, estimated: Floats | None) -> Iterator[ReadChannel]:
    for number, channel in enumerate(inverse.channels):
        expected = card.channel(channel.name)
        reading = float(inverse.readings[number])
        yield ReadChannel(
            name=channel.name,
            unit=channel.unit,
            reading=reading,
            expected=expected.expected,
            estimated=math.nan if estimated is None else float(estimated[number]),
            band=expected.band(reading),
        )


def _consistency(lift: Lift, inverse: Inverse, found: Fit | None, at_claim: Prediction) -> Consistency:
    """Whether one weight explains all readings; if not, which channel is most likely wrong."""
    if found is None:
        out = most_likely_wrong(inverse, None, at_claim)
        return Consistency(
            math.nan, 0, math.nan, explained=False, out=out,
            why=f"No weight and centre of gravity were found that explain the readings; {out} is furthest out.",
        )  # fmt: skip
    freedom = len(inverse.channels) - int((~found.held).sum())
    probability = chi_square_exceeded(found.chi_square, freedom) if freedom > 0 else math.nan
    wrong = _cannot_be(lift, found)
    if freedom > 0 and not probability >= REFUSED_BELOW:
        wrong = (
            f"honest readings would disagree as much as these in {probability:.1g} of all cases "
            f"(chi-square {found.chi_square:.1f}, {freedom} to spare)"
        )
    if wrong:
        out = most_likely_wrong(inverse, found, at_claim)
        why = f"No weight explains the readings: {wrong}. The reading most likely wrong is {out}."
        return Consistency(found.chi_square, freedom, probability, explained=False, out=out, why=why)
    why = "One weight and one centre of gravity explain all readings."
    if freedom <= 0:
        why = (
            "There is no spare reading: a wrong one cannot be told from another load. Read more than is needed, for "
            "instance the place of the hook."
        )
    return Consistency(found.chi_square, freedom, probability, explained=True, out="", why=why)


def _cannot_be(lift: Lift, found: Fit) -> str:
    """Why the estimate cannot be true, "" where it can: the centre of gravity would be outside of the load."""
    load = lift.file.load
    low, high = extent_of(load)
    where = "its lift points" if load.envelope is None else "the load"
    for axis in (0, 1):
        doubt = _CANNOT_BE_SD * math.sqrt(float(found.covariance[axis + 1, axis + 1]))
        at = found.load.cog_m[axis]
        if not found.held[axis + 1] and not low[axis] - doubt <= at <= high[axis] + doubt:
            place = format_quantity(at, "m", "m")
            return f"the centre of gravity would be at {'xyz'[axis]} {place}, outside of {where}"
    return ""


def _cure(lift: Lift, found: Fit) -> Cure | None:
    try:
        return find_cure(lift, found.load)
    except (InputError, NotEvaluatedError):  # nothing can be set, or the rig hangs from several hooks
        return None


def _untold(inverse: Inverse, at_claim: Prediction) -> Iterator[str]:
    """What the readings cannot tell, one sentence each."""
    held = inverse.held_by_claim(at_claim)
    words: Mapping[str, tuple[str, str]] = {
        "mass": ("kg", "t"),
        "x": ("m", "mm"),
        "y": ("m", "mm"),
        "z": ("m", "mm"),
    }
    kinds = {channel.kind for channel in inverse.channels}
    if kinds == {ChannelKind.HOOK_CELL}:
        yield "A cell below the hook alone says nothing of where the centre of gravity is."
    for unknown, (name, (unit, display)) in enumerate(words.items()):
        if not held[unknown]:
            continue
        half = format_quantity(float(inverse.scatter.claim[unknown]), unit, display, rounding="up")
        what = "the mass" if name == "mass" else f"{name} of the centre of gravity"
        why = (
            "in one attitude the readings show only the plumb line that it is on"
            if name == "z"
            else "no reading tells it well enough"
        )
        yield f"{what[:1].upper()}{what[1:]} stays as claimed, ± {half}: {why}."


__all__ = ["back_solve", "expected_readings"]
