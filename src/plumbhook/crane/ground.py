"""Pressure under the tracks of a crawler crane, boom along the tracks, and its spread through mats.

Rigid tracks on ground that takes no tension: a trapezoid of pressure up to an eccentricity of one sixth of
the track length, a triangle above it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from plumbhook.core.check import Check, Clause, SourceQuality, Step, Value
from plumbhook.core.errors import InputError, Problem

TRACK_PRESSURE = Clause(
    "Pressure under a rigid footing without tension", quality=SourceQuality.OWN_DERIVATION
)
MAT_SPREAD = Clause("Effective width of the mats", quality=SourceQuality.COMMON_PRACTICE)
ALLOWABLE_PRESSURE = Clause(
    "Allowable bearing pressure stated by those responsible for the ground",
    quality=SourceQuality.COMMON_PRACTICE,
)


@dataclass(frozen=True, slots=True)
class Crawler:
    """A crawler crane as it stands, tracks centred on the slew axis.

    Attributes:
        machine_mass_kg: all-up mass without block, rope and load, kg.
        cog_behind_slew_axis_m: distance of its centre of gravity behind the slew axis, m.
        track_length_m: bearing length of a track, m.
        track_width_m: width of a track, m.

    Raises:
        InputError: a number is missing or makes no sense; all of them at once.
    """

    machine_mass_kg: float
    cog_behind_slew_axis_m: float
    track_length_m: float
    track_width_m: float

    def __post_init__(self) -> None:
        problems = [
            Problem(f"tracks.{name}", f"the {words} must be a positive number")
            for name, words in (
                ("machine_mass_kg", "mass of the machine"),
                ("track_length_m", "length of the tracks"),
                ("track_width_m", "width of the tracks"),
            )
            if not (math.isfinite(getattr(self, name)) and getattr(self, name) > 0.0)
        ]
        if not math.isfinite(self.cog_behind_slew_axis_m):
            problems.append(
                Problem(
                    "tracks.cog_behind_slew_axis_m", "the place of the machine's centre of gravity is missing"
                )
            )
        if problems:
            raise InputError(tuple(problems))


def eccentricity_m(crawler: Crawler, hook_mass_kg: float, radius_m: float) -> float:
    """Distance of the resultant from the slew axis, m, positive towards the boom.

    Args:
        crawler: the machine.
        hook_mass_kg: everything below the boom head, kg, zero or more.
        radius_m: radius of the hook, m.

    Source: statics.
    """
    moment = hook_mass_kg * radius_m - crawler.machine_mass_kg * crawler.cog_behind_slew_axis_m
    return moment / (crawler.machine_mass_kg + hook_mass_kg)


def largest_track_pressure_Pa(
    vertical_N: float, eccentricity: float, track_length_m: float, track_width_m: float
) -> float:
    """Largest pressure under two equal tracks, Pa; infinite where the resultant leaves the tracks.

    Args:
        vertical_N: vertical force, N.
        eccentricity: distance of the resultant from the middle of the tracks, m, either sign.
        track_length_m: bearing length L of a track, m.
        track_width_m: width b of a track, m.

    Returns:
        ``V/(2 b L) (1 + 6 e/L)`` up to ``e = L/6``, ``2 V/(3 (L/2 - e) 2 b)`` above it.

    Source: own derivation, the pressure of a rigid footing without tension.
    """
    e = math.fabs(eccentricity)
    if not e < track_length_m / 2.0:
        return math.nan if math.isnan(e) else math.inf
    if e <= track_length_m / 6.0:
        return vertical_N / (2.0 * track_width_m * track_length_m) * (1.0 + 6.0 * e / track_length_m)
    return 2.0 * vertical_N / (3.0 * (track_length_m / 2.0 - e) * 2.0 * track_width_m)


def pressure_below_mats_Pa(track_pressure_Pa: float, track_width_m: float, mat_width_m: float) -> float:
    """Pressure below mats that spread the track pressure over their effective width, Pa.

    Args:
        track_pressure_Pa: pressure under the track, Pa.
        track_width_m: width of a track, m.
        mat_width_m: effective width of the mats across the track, m, no less than the track's.

    Source: common practice; stiffness and strength of the mats are a check of their own.
    """
    return track_pressure_Pa * track_width_m / mat_width_m


def track_pressure_check(
    check_id: str,
    station: str,
    title: str,
    *,
    crawler: Crawler,
    hook_mass_kg: float,
    radius_m: float,
    gravity_m_s2: float,
    mat_width_m: float | None,
    allowable_Pa: float | None,
    allowable_source: str,
    clause: Clause = ALLOWABLE_PRESSURE,
) -> Check:
    """Largest ground pressure at one radius against the allowable one.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        crawler: the machine.
        hook_mass_kg: everything below the boom head, kg, static, with the weight factor; zero for the
            crane alone.
        radius_m: radius of the hook, m.
        gravity_m_s2: acceleration of gravity, m/s2.
        mat_width_m: effective width of the mats across the track, m; None without mats.
        allowable_Pa: allowable pressure, Pa; None where nobody has stated it.
        allowable_source: who has stated it, report and date; "" where that is not known.
        clause: the rule that sets the limit.

    Returns:
        The check, in Pa. Refused where the crane overturns; ``NOT_EVALUATED`` where the allowable pressure
        or its source is missing.

    Raises:
        InputError: a number makes no sense, or the mats are narrower than the tracks.
    """
    _refuse_nonsense(check_id, crawler, hook_mass_kg, radius_m, gravity_m_s2, mat_width_m)
    offset = eccentricity_m(crawler, hook_mass_kg, radius_m)
    overturns = not math.fabs(offset) < crawler.track_length_m / 2.0
    steps = [] if overturns else _pressure_steps(crawler, hook_mass_kg, radius_m, gravity_m_s2, mat_width_m)
    missing = [
        name
        for name, gone in (
            ("allowable pressure", allowable_Pa is None),
            ("its source", not allowable_source.strip()),
        )
        if gone
    ]
    allowable = Value(
        "p_all",
        math.nan if allowable_Pa is None else allowable_Pa,
        "Pa",
        "allowable bearing pressure",
        allowable_source or "missing",
        display="kPa",
    )
    demand = (
        Value("p", math.inf, "Pa", "largest ground pressure", "the crane overturns", display="kPa")
        if overturns
        else steps[-1].result
    )
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=demand,
        capacity=allowable,
        clause=clause,
        steps=tuple(steps),
        assumptions=(
            "Boom along the tracks, tracks centred on the slew axis, level ground, static load.",
            "The mats are stiff and strong enough to spread the pressure over the width given.",
        ),
        refused_because="the resultant leaves the tracks: the crane overturns" if overturns else "",
        not_evaluated_because=f"{' and '.join(missing)} missing" if missing else "",
        cure=(
            "have the allowable pressure stated in writing by those responsible for the ground"
            if missing
            else "use wider mats, a smaller radius, or have the ground improved"
        ),
    )


def _refuse_nonsense(
    check_id: str,
    crawler: Crawler,
    hook_mass_kg: float,
    radius_m: float,
    gravity_m_s2: float,
    mat_width_m: float | None,
) -> None:
    problems: list[Problem] = []
    if not (math.isfinite(hook_mass_kg) and hook_mass_kg >= 0.0):
        problems.append(Problem(check_id, "the mass below the boom head must be a number, zero or more"))
    if not (math.isfinite(radius_m) and radius_m > 0.0):
        problems.append(Problem(check_id, "the radius must be a positive number"))
    if not (math.isfinite(gravity_m_s2) and gravity_m_s2 > 0.0):
        problems.append(Problem(check_id, "gravity must be a positive number"))
    if mat_width_m is not None and not (math.isfinite(mat_width_m) and mat_width_m >= crawler.track_width_m):
        problems.append(Problem(check_id, "the mats must be at least as wide as the tracks they carry"))
    if problems:
        raise InputError(tuple(problems))


def _pressure_steps(
    crawler: Crawler, hook_mass_kg: float, radius_m: float, gravity_m_s2: float, mat_width_m: float | None
) -> list[Step]:
    machine = Value("m_c", crawler.machine_mass_kg, "kg", "mass of the machine", "crane", "t")
    hook = Value(
        "m_gross",
        hook_mass_kg,
        "kg",
        "everything below the boom head",
        "gross load, static",
        "t",
        "gross_load" if hook_mass_kg > 0.0 else "",  # the crane alone carries nothing that varies
    )
    radius = Value("R", radius_m, "m", "radius of the hook", "station")
    behind = Value(
        "c", crawler.cog_behind_slew_axis_m, "m", "machine's centre of gravity behind slew axis", "crane"
    )
    g = Value("g", gravity_m_s2, "m_s2", "acceleration of gravity", "rules of the lift")
    length = Value("L", crawler.track_length_m, "m", "bearing length of the tracks", "crane")
    width = Value("b", crawler.track_width_m, "m", "width of a track", "crane")
    vertical = Value("V", (machine.value + hook.value) * g.value, "N", "vertical force", display="kN")
    offset = Value(
        "e",
        math.fabs(eccentricity_m(crawler, hook_mass_kg, radius_m)),
        "m",
        "distance of the resultant from the middle of the tracks",
    )
    pressure = Value(
        "p_max",
        largest_track_pressure_Pa(vertical.value, offset.value, length.value, width.value),
        "Pa",
        "largest pressure under the tracks",
        display="kPa",
    )
    trapezoid = offset.value <= length.value / 6.0
    steps = [
        Step(vertical, "(m_c + m_gross)*g", (machine, hook, g), TRACK_PRESSURE),
        Step(
            offset,
            "abs(m_gross*R - m_c*c)/(m_c + m_gross)",
            (hook, radius, machine, behind),
            TRACK_PRESSURE,
        ),
        Step(
            pressure,
            "V/(2*b*L)*(1 + 6*e/L)" if trapezoid else "2*V/(3*(L/2 - e)*2*b)",
            (vertical, width, length, offset),
            TRACK_PRESSURE,
            "trapezoid: e is at most L/6" if trapezoid else "triangle: e is above L/6",
            "L/6 - e" if trapezoid else "min(e - L/6, L/2 - e)",
        ),
    ]
    if mat_width_m is not None:
        mat = Value("b_mat", mat_width_m, "m", "effective width of the mats", "ground")
        spread = Value(
            "p_mat",
            pressure_below_mats_Pa(pressure.value, width.value, mat_width_m),
            "Pa",
            "largest pressure below the mats",
            display="kPa",
        )
        steps.append(Step(spread, "p_max*b/b_mat", (pressure, width, mat), MAT_SPREAD))
    return steps
