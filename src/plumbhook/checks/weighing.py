"""A weighing: its working by plain sums, and whether its readings agree with each other."""

from __future__ import annotations

import math
from collections.abc import Iterator

from plumbhook.core.check import Check, Clause, SourceQuality, Step, Value
from plumbhook.core.errors import InputError
from plumbhook.model.weighing_adjustment import Attitude, Observations

MOMENTS = Clause(
    "Equilibrium of the reactions about the axes of the load", quality=SourceQuality.OWN_DERIVATION
)
TILTED = Clause(
    "Height of the centre of gravity from two attitudes: h = (b - L R/W) cot(theta) + r",
    quality=SourceQuality.OWN_DERIVATION,
)
END_PICKS = Clause(
    "One end lifted, then the other: moments about the edge that stays down",
    quality=SourceQuality.OWN_DERIVATION,
)
AGREEMENT = Clause(
    "Two ways to the same weight agree within their uncertainties", quality=SourceQuality.COMMON_PRACTICE
)
CHI_SQUARE = Clause(
    "Corrections of an adjustment against their uncertainties, chi-square",
    quality=SourceQuality.COMMON_PRACTICE,
)
_MOST_SUPPORTS = 24


def agreement_check(
    check_id: str,
    station: str,
    title: str,
    *,
    sum_kg: float,
    sum_uncertainty_kg: float,
    hook_kg: float,
    hook_uncertainty_kg: float,
    limit: float,
    clause: Clause = AGREEMENT,
) -> Check:
    """Sum of the supports against the reading of the hook.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        sum_kg: sum of the net readings at the supports, kg.
        sum_uncertainty_kg: its standard uncertainty, kg.
        hook_kg: net reading at the hook, kg.
        hook_uncertainty_kg: its standard uncertainty, kg.
        limit: number of standard uncertainties by which the two may differ.
        clause: the rule that sets the limit.

    Returns:
        The check, in kg: difference against the band.

    Raises:
        InputError: a number is not positive and finite.
    """
    numbers = (sum_kg, sum_uncertainty_kg, hook_kg, hook_uncertainty_kg, limit)
    if not all(math.isfinite(number) and number > 0.0 for number in numbers):
        raise InputError.one(
            "sums, readings and their uncertainties must be positive numbers", field=check_id
        )
    total = Value("W_s", sum_kg, "kg", "sum of the supports", "weighing")
    hook = Value("W_h", hook_kg, "kg", "net reading of the hook", "weighing")
    u_sum = Value("u_s", sum_uncertainty_kg, "kg", "standard uncertainty of the sum", "instrument")
    u_hook = Value("u_h", hook_uncertainty_kg, "kg", "standard uncertainty of the hook", "instrument")
    k = Value("k", limit, "1", "standard uncertainties allowed", "weighing")
    both = math.hypot(sum_uncertainty_kg, hook_uncertainty_kg)
    u_both = Value("u_d", both, "kg", "standard uncertainty of the difference")
    gap = Value("d", abs(sum_kg - hook_kg), "kg", "difference of supports and hook")
    band = Value("d_max", limit * both, "kg", "largest difference that is explained")
    return Check(
        check_id,
        station,
        title,
        gap,
        band,
        clause,
        (
            Step(gap, "abs(W_s - W_h)", (total, hook), clause),
            Step(u_both, "sqrt(u_s**2 + u_h**2)", (u_sum, u_hook), clause),
            Step(band, "k*u_d", (k, u_both), clause),
        ),
        cure="find out which of the two is wrong, and weigh again",
    )


def redundancy_check(
    check_id: str,
    station: str,
    title: str,
    *,
    chi_square: float,
    largest_chi_square: float,
    redundancy: int,
    clause: Clause = CHI_SQUARE,
) -> Check:
    """Whether the corrections that make all readings agree are as small as their uncertainties say.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        chi_square: sum of the squared corrections over their uncertainties.
        largest_chi_square: the size that chance exceeds too seldom to be believed.
        redundancy: number of conditions beyond those needed; without any nothing can be checked.
        clause: the rule that sets the limit.

    Returns:
        The check, without dimension.
    """
    return Check(
        check_id,
        station,
        title,
        Value("chi2", chi_square, "1", "sum of squared corrections", "least squares"),
        Value(
            "chi2_max", largest_chi_square, "1", f"limit for {redundancy} to spare", "chi-square distribution"
        ),
        clause,
        not_applicable_because="" if redundancy > 0 else "no reading is to spare, so that none can disagree",
        cure="look at the reading with the largest correction, and weigh again",
    )


def weighing_steps(observations: Observations) -> tuple[Step, ...]:
    """The working by plain sums: mass and centre of gravity of the first way that gives them, then the height.

    Where readings are to spare, least squares moves these figures a little; without any to spare it gives them
    exactly.

    Args:
        observations: what was read.

    Returns:
        The steps in order; empty where the readings are of another kind or of more supports than a reader follows.
    """
    steps: list[Step] = []
    if observations.attitudes and len(observations.supports) <= _MOST_SUPPORTS:
        level = next((a for a in observations.attitudes if a.angle_rad == 0.0), None)
        if level is not None:
            steps.extend(_level_steps(observations, level))
            tilted = [a for a in observations.attitudes if a.angle_rad > 0.0]
            for number, attitude in enumerate(tilted, start=1):
                steps.extend(_tilted_steps(observations, attitude, number, steps))
    for axis in (0, 1):
        picks = [number for number, pick in enumerate(observations.picks) if pick.axis == axis]
        if len(picks) == 2:
            steps.extend(_pick_steps(observations, picks[0], picks[1]))
    return tuple(steps)


def _level_steps(observations: Observations, level: Attitude) -> Iterator[Step]:
    readings = _readings(observations, level, "R")
    total = math.fsum(level.readings_kg)
    mass = Value("W", total, "kg", "mass, sum of the reactions")
    yield Step(mass, " + ".join(r.symbol for r in readings), readings, MOMENTS)
    for axis, letter in enumerate("xy"):
        places = _places(observations, axis)
        moment = math.fsum(
            r * s.at_m[axis] for r, s in zip(level.readings_kg, observations.supports, strict=True)
        )
        terms = " + ".join(f"{r.symbol}*{p.symbol}" for r, p in zip(readings, places, strict=True))
        yield Step(
            Value(f"{letter}_c", moment / total, "m", f"centre of gravity along {letter}"),
            f"({terms})/W",
            (*readings, *places, mass),
            MOMENTS,
        )


def _tilted_steps(
    observations: Observations, tilted: Attitude, number: int, before: list[Step]
) -> Iterator[Step]:
    axis, sign = _raised(tilted)
    minus = "-" if sign < 0.0 else ""
    readings = _readings(observations, tilted, f"R_t{number}")
    along, heights = _places(observations, axis), _places(observations, 2)
    theta = Value(f"theta_{number}", tilted.angle_rad, "rad", "angle from level", "weighing", "deg")
    total = math.fsum(tilted.readings_kg)
    mass = Value(f"W_t{number}", total, "kg", "mass, sum of the reactions, tilted")
    yield Step(mass, " + ".join(r.symbol for r in readings), readings, TILTED)
    cosine, sine = math.cos(tilted.angle_rad), math.sin(tilted.angle_rad)
    moment = math.fsum(
        r * (sign * s.at_m[axis] * cosine - s.at_m[2] * sine)
        for r, s in zip(tilted.readings_kg, observations.supports, strict=True)
    )
    terms = " + ".join(
        f"{r.symbol}*({minus}{p.symbol}*cos({theta.symbol}) - {z.symbol}*sin({theta.symbol}))"
        for r, p, z in zip(readings, along, heights, strict=True)
    )
    level_distance = Value(
        f"s_t{number}", moment / total, "m", "level distance of the centre of gravity, tilted"
    )
    yield Step(level_distance, f"({terms})/{mass.symbol}", (*readings, *along, theta, *heights, mass), TILTED)
    letter = "xy"[axis]
    at = next(step.result for step in before if step.result.symbol == f"{letter}_c")
    height = (sign * at.value * cosine - level_distance.value) / sine
    yield Step(
        Value(f"z_c{number}", height, "m", "height of the centre of gravity"),
        f"({minus}{at.symbol}*cos({theta.symbol}) - {level_distance.symbol})/sin({theta.symbol})",
        (at, theta, level_distance),
        TILTED,
    )


def _pick_steps(observations: Observations, first: int, second: int) -> Iterator[Step]:
    one, two = observations.picks[first], observations.picks[second]
    letter = "xy"[one.axis]
    values = {}
    for number, pick in ((1, one), (2, two)):
        values[f"F_{number}{letter}"] = (pick.reading_kg, "kg", f"net reading, {pick.name}")
        values[f"h_{number}{letter}"] = (pick.hook_at_m, "m", f"hook, {pick.name}")
        values[f"p_{number}{letter}"] = (pick.pivot_at_m, "m", f"far edge, {pick.name}")
    inputs = {
        symbol: Value(symbol, number, unit, meaning, "weighing")
        for symbol, (number, unit, meaning) in values.items()
    }
    arm_one, arm_two = one.hook_at_m - one.pivot_at_m, two.hook_at_m - two.pivot_at_m
    if one.pivot_at_m == two.pivot_at_m:
        return
    total = (one.reading_kg * arm_one - two.reading_kg * arm_two) / (two.pivot_at_m - one.pivot_at_m)
    f1, h1, p1, f2, h2, p2 = (f"{s}{letter}" for s in ("F_1", "h_1", "p_1", "F_2", "h_2", "p_2"))
    mass = Value(f"W_{letter}", total, "kg", "mass from both ends")
    yield Step(
        mass,
        f"({f1}*({h1} - {p1}) - {f2}*({h2} - {p2}))/({p2} - {p1})",
        tuple(inputs.values()),
        END_PICKS,
    )
    at = one.pivot_at_m + one.reading_kg * arm_one / total
    yield Step(
        Value(f"{letter}_p", at, "m", f"centre of gravity along {letter}"),
        f"{p1} + {f1}*({h1} - {p1})/{mass.symbol}",
        (inputs[p1], inputs[f1], inputs[h1], mass),
        END_PICKS,
    )


def _raised(attitude: Attitude) -> tuple[int, float]:
    """Axis along which an attitude is tilted, and on which side of it the raised end is."""
    cosine, sine = math.cos(attitude.azimuth_rad), math.sin(attitude.azimuth_rad)
    return (0, math.copysign(1.0, cosine)) if abs(cosine) > abs(sine) else (1, math.copysign(1.0, sine))


def _readings(observations: Observations, attitude: Attitude, symbol: str) -> tuple[Value, ...]:
    return tuple(
        Value(
            f"{symbol}_{number}", reading, "kg", f"net reading at {support.name}, {attitude.name}", "weighing"
        )
        for number, (reading, support) in enumerate(
            zip(attitude.readings_kg, observations.supports, strict=True), start=1
        )
    )


def _places(observations: Observations, axis: int) -> tuple[Value, ...]:
    letter = "xyz"[axis]
    return tuple(
        Value(f"{letter}_{number}", support.at_m[axis], "m", f"{letter} of {support.name}", "weighing")
        for number, support in enumerate(observations.supports, start=1)
    )
