"""Levelling: the line lengths that hang a load level, and the nearest set that can be had.

Given the weight and centre of gravity: first the lengths at which it hangs level if every length were possible, then
the settings of shorteners, screws or stock slings near them, each solved on the real rig. Where no set keeps the
limits the answer says which limit stands in the way.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from plumbhook.core.errors import InputError, NotEvaluatedError
from plumbhook.core.units import format_quantity
from plumbhook.model.lift import Lift
from plumbhook.model.load import cog_m as claimed_cog_m
from plumbhook.planning.assemble import LOAD
from plumbhook.planning.assess import state_problem
from plumbhook.planning.assessment import Vector
from plumbhook.planning.levelling_adjusters import adjusters_of, can_be_had
from plumbhook.planning.levelling_exact import (
    closed_form_lengths_m,
    drawn_triangle_height_m,
    exact_rest,
    rest_at,
)
from plumbhook.planning.levelling_measure import Setting, limit_words, limits_of, measured, measured_sets
from plumbhook.planning.levelling_records import (
    LengthSet,
    LevelLimit,
    Levelling,
    TiltSensitivity,
)
from plumbhook.planning.levelling_rest import LoadState, Rest, rest_of, with_lengths
from plumbhook.statics.sensitivity import ParameterKind

_HEIGHTS = 25
_HEIGHT_SPAN = 0.12
_SETS_PER_HEIGHT = 12
_KEPT = 8
_ABOUT_M = 3e-3
# Sets that differ by less tilt than this are as level as each other; then the one with fewer lines to change is better.
SAME_TILT_RAD = math.radians(0.05)


def level(
    lift: Lift,
    *,
    mass_kg: float | None = None,
    cog_m: Vector | None = None,
    triangle_height_m: float | None = None,
    height_range_m: tuple[float, float] | None = None,
) -> Levelling:
    """Lengths of the lines that can be set at which the load hangs level.

    Args:
        lift: the lift; its rules give the limits, its lines and items what can be set.
        mass_kg: of the load; None for the mass the lift claims.
        cog_m: centre of gravity, load coordinates; None for the claimed one.
        triangle_height_m: height that the hook is to have above the lower ends of the top lines in the exact set;
            None for that of the rig as drawn.
        height_range_m: least and largest such height of the sets that can be had; None for 12 % around it.

    Raises:
        InputError: the rig cannot be drawn, or no line can be set.
        NotEvaluatedError: the rig has no stable rest as it is set now, or hangs from several hooks.
    """
    problem = state_problem(lift)
    load = LoadState(
        problem.expected_mass_kg if mass_kg is None else mass_kg,
        claimed_cog_m(lift.file.load) if cog_m is None else cog_m,
    )
    drawn = drawn_triangle_height_m(problem)
    target = drawn if triangle_height_m is None else triangle_height_m
    heights = height_range_m or ((1.0 - _HEIGHT_SPAN) * target, (1.0 + _HEIGHT_SPAN) * target)
    _require_heights(target, heights)
    setting = _setting(lift, load)
    present_rest = rest_of(problem, load)
    present = measured(setting, present_rest, setting.present_m)
    closed = closed_form_lengths_m(problem, load, target)
    exact_at = _exact(setting, closed, target)
    exact = None
    if exact_at is not None:
        exact = measured(setting, exact_at, _set_lengths(setting, exact_at))
    choices = _choices(setting, exact_at, target, heights, present)
    reasons, binding = _why_none(setting, exact, choices)
    return Levelling(
        mass_kg=load.mass_kg,
        cog_m=load.cog_m,
        limits=setting.limits,
        adjusters=setting.adjusters,
        present=present,
        closed_form_m=closed,
        exact=exact,
        choices=choices,
        sensitivities=tuple(_sensitivities(exact_at or present_rest, list(setting.adjusters))),
        reasons=reasons,
        binding=binding,
    )


def _setting(lift: Lift, load: LoadState) -> Setting:
    problem = state_problem(lift)
    adjusters = adjusters_of(lift, problem.rig)
    if not adjusters:
        raise InputError.one(
            "no line of the rig can be set and the stock has no sling to exchange for a top line; give the item a "
            "pitch and a shortest length, or the line an adjustment",
            field="rig.lines",
        )
    present = {name: problem.rig.lines[name].length_m for name in adjusters}
    limits = limits_of(lift, problem)
    heavier = load.mass_kg / problem.expected_mass_kg
    limits = replace(limits, force_ratio=limits.force_ratio * max(1.0, 1.0 / heavier))
    return Setting(problem, load, adjusters, limits, present)


def _require_heights(target: float, heights: tuple[float, float]) -> None:
    if not (math.isfinite(target) and target > 0.0):
        raise InputError.one("the height of the top triangle must be a length above zero", field="height")
    low, high = heights
    if not (math.isfinite(low) and math.isfinite(high) and 0.0 < low <= high):
        raise InputError.one(
            "the least height of the top triangle must be above zero and not more than the largest",
            field="height",
        )


def _exact(setting: Setting, closed: Mapping[str, float], target: float) -> Rest | None:
    """The level rest at a height; None where Newton's method finds none."""
    lines = list(setting.adjusters)
    known = {name: closed.get(name, length) for name, length in setting.present_m.items()}
    for start in (known, setting.present_m):
        try:
            near = rest_at(setting.problem, setting.load, start)
            return exact_rest(setting.problem, setting.load, lines, start=near, triangle_m=target)
        except (NotEvaluatedError, InputError):
            continue
    return None


def _choices(
    setting: Setting,
    exact: Rest | None,
    target: float,
    heights: tuple[float, float],
    present: LengthSet,
) -> tuple[LengthSet, ...]:
    """Sets that can be had in a range of heights, the most level first; those within the limits before the others.

    The best with no, one and two lines changed are always among them.
    """
    sets: dict[tuple[float, ...], dict[str, float]] = {}
    for chosen in _candidates(setting, exact, target, heights):
        if can_be_had(setting.adjusters, setting.present_m, chosen):
            sets.setdefault(tuple(round(length, 6) for length in chosen.values()), chosen)
    low, high = heights
    found = measured_sets(setting, list(sets.values())) if sets else []
    inside = sorted((one for one in found if low <= one.triangle_height_m <= high and one.changed), key=_rank)
    first = inside[: 2 * _KEPT] + [one for few in (1, 2) for one in inside if len(one.changed) == few][:_KEPT]
    distinct = {tuple(one.lengths_m.values()): one for one in first}.values()
    kept = [again for one in distinct if (again := _solved_again(setting, one)) is not None]
    if _can_be_set(setting, setting.present_m):
        kept.append(present)
    ranked = sorted(kept, key=_rank)
    fewest = [next((one for one in ranked if len(one.changed) == few), None) for few in (0, 1, 2)]
    return tuple(one for i, one in enumerate(ranked) if i < _KEPT or any(one is other for other in fewest))


def _solved_again(setting: Setting, one: LengthSet) -> LengthSet | None:
    """A set of the batch by the full solver, with its proof; None where that finds no stable rest."""
    try:
        return measured(
            setting, rest_of(with_lengths(setting.problem, one.lengths_m), setting.load), one.lengths_m
        )
    except (NotEvaluatedError, InputError):
        return None


def _rank(one: LengthSet) -> tuple[int, float, int, float]:
    tilt = one.tilt_rad if math.isfinite(one.tilt_rad) else math.inf
    steps = math.floor(tilt / SAME_TILT_RAD) if math.isfinite(tilt) else math.inf
    return (len(one.broken), steps, len(one.changed), tilt)


def _can_be_set(setting: Setting, lengths_m: Mapping[str, float]) -> bool:
    """Whether the lengths are settings that exist."""
    return all(
        any(abs(length - choice) < 1e-6 for choice in setting.adjusters[name].choices_m(length))
        for name, length in lengths_m.items()
    )


def _candidates(
    setting: Setting, exact: Rest | None, target: float, heights: tuple[float, float]
) -> Iterator[dict[str, float]]:
    """Settings around the level lengths of every height, those first that the sensitivities say hang most level."""
    yield from _around(setting, dict(setting.present_m), None, each_side=2)
    if exact is None:
        return
    if all(adjuster.is_continuous for adjuster in setting.adjusters.values()):
        yield from _around(setting, _set_lengths(setting, exact), exact)
        return
    grid = np.linspace(*heights, _grid_size(setting, heights)).tolist()
    for way in (
        sorted(h for h in grid if h >= target),
        sorted((h for h in grid if h < target), reverse=True),
    ):
        rest = exact
        for height in way:
            near = _level_at(setting, rest, height)
            if near is None:  # further on there is none either
                break
            rest = near
            yield from _around(setting, _set_lengths(setting, rest), rest)


def _grid_size(setting: Setting, heights: tuple[float, float]) -> int:
    """Heights to look at: three to a step of the finest pitch, as far as that stays a fair number."""
    pitches = [at.pitch_m for at in setting.adjusters.values() if at.pitch_m is not None]
    wanted = (heights[1] - heights[0]) / (min(pitches) / 3.0) if pitches else _HEIGHTS
    return max(3, min(_HEIGHTS, math.ceil(wanted) + 1))


def _set_lengths(setting: Setting, rest: Rest) -> dict[str, float]:
    return {name: rest.problem.rig.lines[name].length_m for name in setting.adjusters}


def _level_at(setting: Setting, near: Rest, height: float) -> Rest | None:
    """About the level rest at a height, from that of a neighbouring one; to 3 mm, to look for settings around."""
    lines = list(setting.adjusters)
    try:
        return exact_rest(
            setting.problem, setting.load, lines, start=near, triangle_m=height, settled_m=_ABOUT_M
        )
    except (NotEvaluatedError, InputError):
        return None


def _around(
    setting: Setting, lengths_m: Mapping[str, float], rest: Rest | None, each_side: int = 1
) -> Iterator[dict[str, float]]:
    """Combinations of the settings next to some lengths; with a level rest, the most level by its sensitivities."""
    names = list(lengths_m)
    options = [setting.adjusters[name].choices_m(lengths_m[name], each_side) for name in names]
    combinations = list(itertools.islice(itertools.product(*options), 4096))
    if rest is not None and len(combinations) > _SETS_PER_HEIGHT:
        at = [rest.sensitivities.of(ParameterKind.UNSTRETCHED_LENGTH, name) for name in names]
        change = np.array([rest.tilt_change(axis)[at] for axis in (0, 1)])
        base = np.array([[rest.tilt_x_rad], [rest.tilt_y_rad]])
        steps = np.array(combinations).T - np.array([[lengths_m[name]] for name in names])
        tilt = np.hypot(*(base + change @ steps))
        combinations = [combinations[i] for i in np.argsort(tilt, kind="stable")[:_SETS_PER_HEIGHT]]
    for combination in combinations:
        yield dict(zip(names, combination, strict=True))


def _sensitivities(rest: Rest, lines: Sequence[str]) -> Iterator[TiltSensitivity]:
    """Of the slopes of the load to each length that can be set, each coordinate of its CoG, and its mass."""
    x, y = rest.tilt_change(0), rest.tilt_change(1)
    for name in lines:
        at = rest.sensitivities.of(ParameterKind.UNSTRETCHED_LENGTH, name)
        yield TiltSensitivity(f"length of {name}", "rad/m", float(x[at]), float(y[at]))
    for axis, word in enumerate("xyz"):
        at = rest.sensitivities.of(ParameterKind.COG, LOAD, axis)
        yield TiltSensitivity(f"centre of gravity {word}", "rad/m", float(x[at]), float(y[at]))
    at = rest.sensitivities.of(ParameterKind.MASS, LOAD)
    yield TiltSensitivity("mass of the load", "rad/kg", float(x[at]), float(y[at]))


def _why_none(
    setting: Setting, exact: LengthSet | None, choices: Sequence[LengthSet]
) -> tuple[tuple[str, ...], tuple[LevelLimit, ...]]:
    """Why no set that can be had keeps the limits, and which limits bind; nothing where one does."""
    if any(choice.keeps_limits for choice in choices):
        return (), ()
    reasons, binding = [], set[LevelLimit]()
    if exact is None:
        reasons.append("With no lengths at all does the load hang level: Newton's method finds none.")
    else:
        reasons.extend(_exact_reasons(setting, exact))
        binding.update(exact.broken)
    if not choices:
        reasons.append("No set of lengths that can be had comes into the range of heights.")
    else:
        nearest = choices[0]
        binding.update(nearest.broken)
        words = "; ".join(limit_words(limit, nearest, setting.limits) for limit in nearest.broken)
        lengths = ", ".join(f"{name} {_metres(length)}" for name, length in nearest.lengths_m.items())
        reasons.append(f"The nearest set that can be had is {lengths}: {words}.")
        if exact is not None and exact.keeps_limits:
            kinds = sorted({setting.adjusters[name].how for name in nearest.lengths_m})
            reasons.append(
                f"The exact lengths would do; the steps in which the lines can be set ({', '.join(kinds)}) do not "
                "meet them."
            )
    return tuple(reasons), tuple(sorted(binding, key=lambda limit: limit.name))


def _exact_reasons(setting: Setting, exact: LengthSet) -> Iterator[str]:
    for limit in exact.broken:
        if limit is LevelLimit.RANGE:
            for name, length in exact.lengths_m.items():
                adjuster = setting.adjusters[name]
                if not adjuster.reaches(length):
                    yield (
                        f"To hang level line {name} would have to be {_metres(length)} long; it can be set from "
                        f"{_metres(adjuster.shortest_m)} to {_metres(adjuster.longest_m)}."
                    )
        else:
            yield f"At the level lengths {limit_words(limit, exact, setting.limits)}."
    if exact.tilt_rad > math.radians(0.01):
        yield (
            f"Even with every length possible the load tilts "
            f"{format_quantity(exact.tilt_rad, 'rad', 'deg', rounding='up')}: none of the lines that can be set "
            "turns it that way."
        )


def _metres(length_m: float) -> str:
    return format_quantity(length_m, "m", "m", decimals=3)


__all__ = ["SAME_TILT_RAD", "Levelling", "level"]
