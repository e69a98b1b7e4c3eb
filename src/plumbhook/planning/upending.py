"""A load upended: peaks over all attitudes and over the CoG box, and a check of every component."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from plumbhook.core.audit import require_audit
from plumbhook.core.check import Check, Clause, SourceQuality
from plumbhook.core.units import format_quantity
from plumbhook.crane.lug_direction import lug_direction_check
from plumbhook.crane.two_hook_checks import upending_peak_check
from plumbhook.model.upending_file import UpendedEnd, UpendingFile
from plumbhook.statics.upending import UPRIGHT_RAD, Peak, UpendedLoad, Upending, upend, upending_forces

RATED = Clause("Load of a component within its rated load", quality=SourceQuality.COMMON_PRACTICE)
_TABLE_DEG = (0, 10, 20, 30, 40, 50, 60, 70, 75, 80, 82, 84, 85, 86, 87, 88, 89, 90)
_IN_PLANE_RAD = math.radians(5.0)


@dataclass(frozen=True, slots=True)
class UpendingRow:
    """Forces at one attitude, CoG at its best estimate; NaN where the load does not stay there.

    Attributes:
        attitude_rad: attitude, rad.
        head_N: pull of the head line, N.
        tail_N: pull of the tail line, N.
        head_off_axis_rad: pull on the head lug from its direction, rad.
        tail_off_axis_rad: pull on the tail lug likewise, rad.
    """

    attitude_rad: float
    head_N: float
    tail_N: float
    head_off_axis_rad: float
    tail_off_axis_rad: float


@dataclass(frozen=True, slots=True)
class UpendingStatement:
    """What an upending asks of everything that holds the load.

    Attributes:
        weight_N: weight with its factor, N.
        rows: the load-angle table.
        head_peak: largest pull of the head line over all attitudes and the CoG box, N.
        tail_peak: the same of the tail line, N.
        tail_off_rad: attitudes between which the tail line goes slack, over the CoG box, rad; NaN where it does not.
        checks: every component and lug.
        stops: sentences on what a person must look at.
    """

    weight_N: float
    rows: tuple[UpendingRow, ...]
    head_peak: Peak
    tail_peak: Peak
    tail_off_rad: tuple[float, float]
    checks: tuple[Check, ...]
    stops: tuple[str, ...]


def state_upending(file: UpendingFile) -> UpendingStatement:
    """Work an upending out.

    Raises:
        InputError: the lugs make no sense.
        AuditError: a printed formula and the computed number disagree (a bug).
    """
    ways = [upend(load) for load in _loads(file)]
    heads, tails = [way.head_peak for way in ways], [way.tail_peak for way in ways]
    checks = (
        *_end_checks(
            file, "head", file.head, _worst(heads), _worst([way.head_off_axis_peak for way in ways])
        ),
        *_end_checks(
            file, "tail", file.tail, _worst(tails), _worst([way.tail_off_axis_peak for way in ways])
        ),
    )
    require_audit(checks)
    offs = [way.tail_off_rad for way in ways]
    off = (min(offs), max(offs)) if all(map(math.isfinite, offs)) else (math.nan, math.nan)
    return UpendingStatement(
        file.mass_kg * file.weight_factor * file.gravity_m_s2,
        _rows(ways[0]),
        _worst(heads),
        _worst(tails),
        off,
        checks,
        (*_stops(ways, off), *_side_loads(file, _worst(heads), _worst(tails))),
    )


def _stops(ways: Sequence[Upending], off_rad: tuple[float, float]) -> Iterator[str]:
    """What is to be looked at with the CoG as stated, and where else in its box the way is another."""
    own = ways[0].stops
    yield from own
    if off_rad[1] > off_rad[0]:
        yield (
            f"With the CoG anywhere in its box the tail line goes slack between {math.degrees(off_rad[0]):.1f} and "
            f"{math.degrees(off_rad[1]):.1f} degrees."
        )
    elif math.isnan(off_rad[0]):
        others = dict.fromkeys(stop for way in ways[1:] for stop in way.stops)
        yield from (f"With the CoG elsewhere in its box: {stop}" for stop in others if stop not in own)


def _loads(file: UpendingFile) -> Iterator[UpendedLoad]:
    """The load with its CoG at the best estimate, then at each corner of its box."""
    box = file.cog_box
    corners = itertools.product((-box.along_m, box.along_m), (-box.square_m, box.square_m))
    axes = (file.head.lug_axis_rad, file.tail.lug_axis_rad)
    for along, square in dict.fromkeys(((0.0, 0.0), *corners)):
        yield UpendedLoad(
            file.mass_kg * file.weight_factor * file.gravity_m_s2,
            file.head.lug.place_m,
            file.tail.lug.place_m,
            (file.cog.along_m + along, file.cog.square_m + square),
            UPRIGHT_RAD if axes[0] is None else axes[0],
            0.0 if axes[1] is None else axes[1],
        )


def _worst(peaks: Sequence[Peak]) -> Peak:
    """The largest of them; NaN where one of them is not known."""
    return max(peaks, key=lambda peak: math.inf if math.isnan(peak.value) else peak.value)


def _end_checks(
    file: UpendingFile, end: str, held: UpendedEnd, peak: Peak, off_axis: Peak
) -> Iterator[Check]:
    for number, one in enumerate(held.components):
        rated = None if one.rated_kg is None or one.source is None else one.rated_kg * file.gravity_m_s2
        yield upending_peak_check(
            f"upending.{end}.{number}",
            end,
            f"{one.name}, {end}: largest load from lying to upright against the rated load",
            end=end,
            peak_N=peak.value,
            attitude_rad=peak.attitude_rad,
            largest_share_ratio=one.share,
            below_N=one.below_kg * file.gravity_m_s2,
            rated_N=rated,
            rated_source=one.source or "",
            clause=RATED,
        )
    yield lug_direction_check(
        f"upending.{end}.lug-direction",
        end,
        f"Lug, {end}: angle of the pull from lying to upright",
        off_axis_rad=off_axis.value,
        attitude_rad=off_axis.attitude_rad,
        largest_off_axis_rad=held.largest_off_axis_rad if held.lug_axis_rad is not None else None,
    )


def _rows(way: Upending) -> tuple[UpendingRow, ...]:
    f = upending_forces(way.load, [math.radians(degrees) for degrees in _TABLE_DEG])
    stays = f.determinate & ~f.slack
    return tuple(
        UpendingRow(
            float(f.attitude_rad[n]),
            *(
                float(column[n]) if stays[n] else math.nan
                for column in (f.head_N, f.tail_N, f.head_off_axis_rad, f.tail_off_axis_rad)
            ),
        )
        for n in range(len(_TABLE_DEG))
    )


def _side_loads(file: UpendingFile, head: Peak, tail: Peak) -> Iterator[str]:
    """What a lean of one degree does to each boom; a boom in the plane of the load is not pulled sideways."""
    for end, held, peak in (("head", file.head, head), ("tail", file.tail, tail)):
        angle = held.boom_to_plane_rad
        if angle is None:
            yield (
                f"Side load on the boom of the {end} crane is not reckoned: state boom_to_plane, the angle between the "
                "boom and the plane in which the load turns."
            )
        elif angle > _IN_PLANE_RAD and math.isfinite(peak.value):
            side = format_quantity(
                peak.value * math.sin(math.radians(1.0)) * math.sin(angle),
                "N",
                "kN",
                decimals=1,
                rounding="up",
            )
            yield (
                f"The boom of the {end} crane stands at {math.degrees(angle):.0f} degrees to the plane in which the "
                f"load turns: each degree that its line leans in that plane pulls the boom sideways by up to {side}. "
                "Keep the line plumb, or turn the load in line with the boom."
            )
