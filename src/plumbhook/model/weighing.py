"""A weighing as the lift file states it: instruments, supports, attitudes, picks, hook."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Annotated, Literal

from pydantic import Field

from plumbhook.core.chi_square import chance_beyond, chance_of_sigmas
from plumbhook.core.units import Kind, format_quantity
from plumbhook.model.quantity import (
    Angle,
    Coordinate,
    Date,
    Flag,
    Length,
    LengthOrZero,
    Mass,
    MassOrZero,
    Name,
    Position,
    Quantity,
    RatioOrZero,
    Section,
    Text,
)
from plumbhook.model.weighing_adjustment import (
    Attitude,
    HookReading,
    Observations,
    Pick,
    Support,
    WeighingError,
    WeighingResult,
    adjust,
)

Reading = Annotated[float, Quantity(Kind.MASS)]
Limit = Annotated[float, Quantity(Kind.RATIO, at_least=1.0, at_most=5.0)]
_AZIMUTH = {"x+": 0.0, "y+": 0.5 * math.pi, "x-": math.pi, "y-": 1.5 * math.pi}
# Limits of error without a word about their distribution count as a rectangle: half width over the root of three.
# JCGM 100:2008 (GUM), 4.3.7; from memory, confirm.
_OF_LIMIT = 1.0 / math.sqrt(3.0)
_OF_DIVISION = 1.0 / math.sqrt(12.0)


class Instrument(Section):
    """How good the readings are. Accuracies are limits of error, plus or minus."""

    accuracy_of_reading: RatioOrZero = Field(
        default=0.0, examples=["0.5 %"], description="In proportion to the reading."
    )
    accuracy_of_full_scale: RatioOrZero = Field(
        default=0.0, examples=["0.1 %"], description="In proportion to the full scale."
    )
    full_scale_kg: Mass | None = Field(
        default=None, alias="full_scale", description="Largest reading of the instrument."
    )
    division_kg: MassOrZero = Field(
        default=0.0, alias="division", description="Smallest step of the display."
    )
    tare_kg: Reading = Field(
        default=0.0,
        alias="tare",
        description="Reading with no load on it, packing included; taken off each reading.",
    )
    one_for_all: Flag = Field(
        default=False,
        description="true where one instrument was carried from support to support: its error of scale is then "
        "the same in every reading.",
    )
    source: Text | None = Field(default=None, description="Which instrument, and its calibration.")


class TiltedWeighing(Section):
    """Readings with one end raised: by an angle, or by a height over a length of the slope."""

    raised: Literal["x+", "x-", "y+", "y-"] = Field(
        description="End that is raised, by the axes of the load."
    )
    angle_rad: Angle | None = Field(default=None, alias="angle", description="Angle from level.")
    angle_accuracy_rad: Angle | None = Field(
        default=None, alias="angle_accuracy", description="Limit of error of the angle.", examples=["0.1 deg"]
    )
    raised_by_m: Length | None = Field(
        default=None,
        alias="raised_by",
        description="Instead of the angle: how much higher the raised end is.",
    )
    over_m: Length | None = Field(
        default=None, alias="over", description="Distance along the load over which it is raised."
    )
    height_accuracy_m: Length | None = Field(
        default=None, alias="height_accuracy", description="Limit of error of the raised height."
    )
    readings_kg: dict[Name, Reading] = Field(
        alias="readings", min_length=1, description="Reading at each support."
    )


class EndPick(Section):
    """One end lifted just clear and kept level, while the far edge of the load stays down and carries the rest."""

    along: Literal["x", "y"] = Field(
        description="Axis of the load along which hook and far edge are measured."
    )
    hook_m: Coordinate = Field(alias="hook", description="Where the hook pulls, along that axis.")
    pivot_m: Coordinate = Field(
        alias="pivot", description="Far edge that the load turns about; where it really bears, not its end."
    )
    reading_kg: Reading = Field(alias="reading", description="Reading at the hook.")


class HookWeighing(Section):
    """The whole load on a hook with a load cell."""

    reading_kg: Reading = Field(alias="reading", description="Reading.")
    accuracy: RatioOrZero = Field(
        examples=["1 %"], description="Limit of error, in proportion to the reading."
    )
    tare_kg: Reading = Field(
        default=0.0, alias="tare", description="Mass of the gear below the cell; taken off."
    )


class Weighing(Section):
    """A weighing: what stood where, what was read, and with what."""

    source: Text = Field(description="Who weighed, with what, and the number of the record.")
    date: Date | None = Field(default=None, description="When.")
    state: Text | None = Field(default=None, description="State of the load while it was weighed.")
    instrument: Instrument = Field(description="How good the readings are.")
    position_accuracy_m: LengthOrZero = Field(
        alias="position_accuracy", description="Limit of error of each measured place.", examples=["5 mm"]
    )
    supports: dict[Name, Position] = Field(
        default={}, description="Places of the supports in load coordinates, where they bear."
    )
    level_kg: dict[Name, Reading] = Field(
        default={}, alias="level", description="Reading at each support, load level."
    )
    tilted: tuple[TiltedWeighing, ...] = Field(
        default=(), description="The same with one end raised; gives the height of the centre of gravity."
    )
    end_picks: tuple[EndPick, ...] = Field(
        default=(), description="One end lifted, then the other, instead of supports."
    )
    hook: HookWeighing | None = Field(
        default=None, description="The whole load on a hook, beside the supports."
    )
    disagreement_limit: Limit = Field(
        default=3.0,
        description="Readings that disagree by more than this many standard uncertainties are refused.",
        examples=["3"],
    )


def observations_of(weighing: Weighing) -> Observations:
    """The readings net of tare with their uncertainties, ready to be adjusted.

    Raises:
        WeighingError: a support without a reading, a reading without a support, an angle that is not given.
    """
    place = _OF_LIMIT * weighing.position_accuracy_m
    supports = tuple(Support(name, at, place) for name, at in weighing.supports.items())
    attitudes = []
    if weighing.level_kg:
        attitudes.append(_attitude(weighing, "level", weighing.level_kg, 0.0, 0.0, 0.0))
    for tilted in weighing.tilted:
        angle, uncertainty = _angle(tilted)
        name = f"{tilted.raised} raised {format_quantity(angle, 'rad', 'deg', decimals=2)}"
        attitudes.append(
            _attitude(weighing, name, tilted.readings_kg, _AZIMUTH[tilted.raised], angle, uncertainty)
        )
    hook = weighing.hook
    return Observations(
        supports if attitudes else (),
        tuple(attitudes),
        tuple(_pick(weighing, number, pick) for number, pick in enumerate(weighing.end_picks, start=1)),
        None
        if hook is None
        else HookReading(hook.reading_kg - hook.tare_kg, _OF_LIMIT * hook.accuracy * abs(hook.reading_kg)),
    )


def weigh(weighing: Weighing) -> WeighingResult:
    """Mass and centre of gravity of a weighing, refused where the readings contradict each other.

    How much of an instrument's accuracy stays the same from one attitude to the next is not known. The adjustment
    takes the readings as independent, which is on the safe side for the height; mass and place in plan are then
    given no smaller an uncertainty than the level readings alone would have, for a common error of scale does not
    average out.

    Raises:
        WeighingError: the readings give no mass, or they disagree by more than the weighing allows.
    """
    observations = observations_of(weighing)
    result = adjust(observations)
    limit = weighing.disagreement_limit
    gap = hook_disagreement(observations)
    if gap is not None and abs(gap[0]) > limit * gap[1]:
        raise WeighingError(
            f"the supports sum to {_mass(gap[0] + _hook_kg(observations))} and the hook reads "
            f"{_mass(_hook_kg(observations))} net: {_mass(abs(gap[0]))} apart, more than {limit:g} standard "
            f"uncertainties of {_mass(gap[1])}; find out which is wrong and weigh again"
        )
    if result.redundancy and chance_beyond(result.chi_square, result.redundancy) < chance_of_sigmas(limit):
        worst = max(abs(correction.normalised) for correction in result.corrections)
        # Readings whose errors look alike to the equilibrium cannot be told apart; all of them are named.
        suspects = [c.name for c in result.corrections if abs(c.normalised) > 0.98 * worst]
        raise WeighingError(
            f"no weight explains these readings within their accuracy (chi-square {result.chi_square:.1f} with "
            f"{result.redundancy} to spare, limit {limit:g} standard uncertainties); look first at the reading "
            f"{' or '.join(suspects[:4])}, and weigh again"
        )
    return _no_surer_than_level(observations, result)


def _no_surer_than_level(observations: Observations, result: WeighingResult) -> WeighingResult:
    if len(observations.attitudes) < 2:
        return result
    alone = adjust(replace(observations, attitudes=observations.attitudes[:1], picks=()))
    factors = []
    for number in range(4):
        own, single = result.covariance[number][number], alone.covariance[number][number]
        factors.append(math.sqrt(max(1.0, single / own)) if math.isfinite(single) and own > 0.0 else 1.0)
    covariance = tuple(
        tuple(factors[i] * factors[j] * entry for j, entry in enumerate(row))
        for i, row in enumerate(result.covariance)
    )
    return replace(result, covariance=covariance, mass_uncertainty_kg=factors[0] * result.mass_uncertainty_kg)


def hook_disagreement(observations: Observations) -> tuple[float, float] | None:
    """Sum at the supports less the net hook reading, and the standard uncertainty of that, kg; None without both."""
    if observations.hook is None or not observations.attitudes:
        return None
    first = observations.attitudes[0]
    variance = math.fsum(entry for row in first.covariance_kg2 for entry in row)
    gap = math.fsum(first.readings_kg) - observations.hook.reading_kg
    return gap, math.hypot(math.sqrt(variance), observations.hook.uncertainty_kg)


def _hook_kg(observations: Observations) -> float:
    return math.nan if observations.hook is None else observations.hook.reading_kg


def _attitude(
    weighing: Weighing,
    name: str,
    readings_kg: Mapping[str, float],
    azimuth_rad: float,
    angle_rad: float,
    uncertainty_rad: float,
) -> Attitude:
    lacking = [support for support in weighing.supports if support not in readings_kg]
    unknown = [support for support in readings_kg if support not in weighing.supports]
    if lacking or unknown:
        what = f"{lacking[0]} has no reading" if lacking else f"{unknown[0]} is not one of the supports"
        raise WeighingError(f"{name}: {what}; give one reading for each support")
    gross = [readings_kg[support] for support in weighing.supports]
    net = [reading - weighing.instrument.tare_kg for reading in gross]
    return Attitude(
        name, tuple(net), _covariance(weighing.instrument, gross), azimuth_rad, angle_rad, uncertainty_rad
    )


def _covariance(instrument: Instrument, gross_kg: Sequence[float]) -> tuple[tuple[float, ...], ...]:
    """Of the readings of one attitude; an instrument that was carried round has one error of scale for all."""
    rows = []
    for i, one in enumerate(gross_kg):
        row = []
        for j, other in enumerate(gross_kg):
            scale = (_OF_LIMIT * instrument.accuracy_of_reading) ** 2 * abs(one * other)
            own = _own_uncertainty_kg(instrument) ** 2
            row.append((scale + own if i == j else scale) if instrument.one_for_all or i == j else 0.0)
        rows.append(tuple(row))
    return tuple(rows)


def _own_uncertainty_kg(instrument: Instrument) -> float:
    """Part of the uncertainty of a reading that does not grow with it, kg."""
    if instrument.accuracy_of_full_scale > 0.0 and instrument.full_scale_kg is None:
        raise WeighingError("the accuracy is given of full scale, but not the full scale; add full_scale")
    return math.hypot(
        _OF_LIMIT * instrument.accuracy_of_full_scale * (instrument.full_scale_kg or 0.0),
        _OF_DIVISION * instrument.division_kg,
    )


def _angle(tilted: TiltedWeighing) -> tuple[float, float]:
    """Angle of a tilted weighing and its standard uncertainty, rad."""
    by_height = (tilted.raised_by_m, tilted.over_m, tilted.height_accuracy_m)
    by_angle = (tilted.angle_rad, tilted.angle_accuracy_rad)
    if tilted.angle_rad is not None and tilted.angle_accuracy_rad is not None and not any(by_height):
        angle, uncertainty = tilted.angle_rad, _OF_LIMIT * tilted.angle_accuracy_rad
    elif None not in by_height and not any(by_angle):
        height, length, accuracy = (value or math.nan for value in by_height)
        if height >= length:
            raise WeighingError(
                "the end is raised by more than the length it is raised over; correct one of them"
            )
        angle = math.asin(height / length)
        uncertainty = _OF_LIMIT * accuracy / math.sqrt(length**2 - height**2)
    else:
        raise WeighingError(
            "a tilted weighing needs angle with angle_accuracy, or raised_by with over and height_accuracy"
        )
    if angle < 3.0 * uncertainty:
        raise WeighingError(
            "the tilt is hardly more than its own accuracy, so that it tells nothing of the height; raise the end "
            "further"
        )
    return angle, uncertainty


def _pick(weighing: Weighing, number: int, pick: EndPick) -> Pick:
    instrument = weighing.instrument
    return Pick(
        f"end pick {number}",
        "xy".index(pick.along),
        pick.hook_m,
        pick.pivot_m,
        _OF_LIMIT * weighing.position_accuracy_m,
        pick.reading_kg - instrument.tare_kg,
        math.hypot(
            _OF_LIMIT * instrument.accuracy_of_reading * abs(pick.reading_kg), _own_uncertainty_kg(instrument)
        ),
    )


def _mass(value_kg: float) -> str:
    return format_quantity(value_kg, "kg", "kg", decimals=0)
