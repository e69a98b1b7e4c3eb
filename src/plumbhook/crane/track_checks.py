"""Largest pressure under a track of a crawler anywhere in its slew, with the working."""

from __future__ import annotations

import math

import numpy as np

from plumbhook.core.check import Check, Step, Value
from plumbhook.core.errors import InputError, Problem
from plumbhook.crane.ground import (
    ALLOWABLE_PRESSURE,
    MAT_SPREAD,
    TRACK_PRESSURE,
    Crawler,
    eccentricity_m,
    pressure_below_mats_Pa,
)
from plumbhook.crane.pad_checks import slew_angles_rad
from plumbhook.crane.tracks_along import track_pressures_along_Pa


def track_slew_check(
    check_id: str,
    station: str,
    title: str,
    *,
    crawler: Crawler,
    gauge_m: float,
    sector_rad: tuple[float, float],
    hook_mass_kg: float,
    radius_m: float,
    gravity_m_s2: float,
    mat_width_m: float | None,
    allowable_Pa: float | None,
    allowable_source: str,
) -> Check:
    """Largest ground pressure anywhere in the slew against the allowable one.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        crawler: the machine; the undercarriage has its centre of gravity on the slew axis.
        gauge_m: distance of the middles of the tracks, m.
        sector_rad: bearings of the boom from the front, clockwise, from where to where it slews, rad.
        hook_mass_kg: everything below the boom head, kg, static, with the weight factor; zero for the crane alone.
        radius_m: radius of the hook, m.
        gravity_m_s2: acceleration of gravity, m/s2.
        mat_width_m: effective width of the mats across the track, m; None without mats.
        allowable_Pa: allowable pressure, Pa; None where nobody has stated it.
        allowable_source: who has stated it, report and date; "" leaves the check not evaluated.

    Returns:
        The check, in Pa; refused where the crane overturns somewhere in the slew.

    Raises:
        InputError: a number makes no sense, or the mats are narrower than the tracks.
    """
    _refuse_nonsense(
        check_id, crawler, (gauge_m, hook_mass_kg, radius_m, gravity_m_s2), sector_rad, mat_width_m
    )
    slews = slew_angles_rad(sector_rad)
    pressures = track_pressures_along_Pa(
        crawler, gauge_m, hook_mass_kg=hook_mass_kg, radius_m=radius_m, slew_rad=slews, gravity_m_s2=gravity_m_s2
    ).max(axis=1)  # fmt: skip
    worst = int(np.argmax(pressures))
    overturns = not math.isfinite(pressures[worst])
    missing = (
        ""
        if allowable_Pa is not None and allowable_source.strip()
        else "allowable pressure or its source missing"
    )
    steps = (
        []
        if overturns
        else _steps(crawler, gauge_m, float(slews[worst]), hook_mass_kg, radius_m, gravity_m_s2, mat_width_m)
    )
    none = Value("p", math.inf, "Pa", "largest ground pressure", "the crane overturns", "kPa")
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=none if overturns else steps[-1].result,
        capacity=Value(
            "p_all",
            math.nan if allowable_Pa is None else allowable_Pa,
            "Pa",
            "allowable ground pressure",
            allowable_source or "missing",
            "kPa",
        ),
        clause=ALLOWABLE_PRESSURE,
        steps=tuple(steps),
        assumptions=(
            f"Worst with the boom {math.degrees(slews[worst]):.1f} deg clockwise from the front of the tracks, "
            "of every half degree of the slew.",
            "Both tracks share the moment along them as they share the force; level ground, static load.",
        ),
        refused_because=f"the weight leaves the tracks at {math.degrees(slews[worst]):.0f} deg: the crane overturns"
        if overturns
        else "",
        not_evaluated_because=missing,
        cure="keep the boom nearer to the line of the tracks, use wider mats or a smaller radius",
    )


def _refuse_nonsense(
    check_id: str,
    crawler: Crawler,
    numbers: tuple[float, float, float, float],
    sector_rad: tuple[float, float],
    mat_width_m: float | None,
) -> None:
    gauge_m, hook_mass_kg, radius_m, gravity_m_s2 = numbers
    rules = (
        (math.isfinite(gauge_m) and gauge_m > 0.0, "the gauge of the tracks must be a positive number"),
        (
            math.isfinite(hook_mass_kg) and hook_mass_kg >= 0.0,
            "the mass below the boom head must be zero or more",
        ),
        (math.isfinite(radius_m) and radius_m > 0.0, "the radius must be a positive number"),
        (math.isfinite(gravity_m_s2) and gravity_m_s2 > 0.0, "gravity must be a positive number"),
        (
            all(map(math.isfinite, sector_rad)) and sector_rad[0] < sector_rad[1],
            "the sector of the slew goes clockwise from its first bearing to a larger one",
        ),
        (
            mat_width_m is None or (math.isfinite(mat_width_m) and mat_width_m >= crawler.track_width_m),
            "the mats must be at least as wide as the tracks they carry",
        ),
    )
    problems = tuple(Problem(check_id, words) for holds, words in rules if not holds)
    if problems:
        raise InputError(problems)


def _steps(
    crawler: Crawler,
    gauge_m: float,
    slew_rad: float,
    hook_mass_kg: float,
    radius_m: float,
    gravity_m_s2: float,
    mat_width_m: float | None,
) -> list[Step]:
    machine = Value("m_c", crawler.machine_mass_kg, "kg", "mass of the machine", "crane", "t")
    hook = Value(
        "m_gross", hook_mass_kg, "kg", "everything below the boom head", "gross load, static", "t",
        "gross_load" if hook_mass_kg > 0.0 else "",
    )  # fmt: skip
    radius = Value("R", radius_m, "m", "radius of the hook", "station")
    behind = Value(
        "c", crawler.cog_behind_slew_axis_m, "m", "machine's centre of gravity behind slew axis", "crane"
    )
    g = Value("g", gravity_m_s2, "m_s2", "acceleration of gravity", "rules of the lift")
    length = Value("L", crawler.track_length_m, "m", "bearing length of the tracks", "crane")
    width = Value("b", crawler.track_width_m, "m", "width of a track", "crane")
    gauge = Value("s", gauge_m, "m", "distance of the middles of the tracks", "crane")
    slew = Value("psi", slew_rad, "rad", "boom from the front of the tracks", "worst of the slew", "deg")
    resultant = Value(
        "e_0", math.fabs(eccentricity_m(crawler, hook_mass_kg, radius_m)), "m", "resultant from the slew axis"
    )
    vertical = Value(
        "V_t",
        (machine.value + hook.value) * g.value * (0.5 + resultant.value * math.fabs(math.sin(slew_rad)) / gauge_m),
        "N", "force on the worse track", display="kN",
    )  # fmt: skip
    offset = Value(
        "e", resultant.value * math.fabs(math.cos(slew_rad)), "m", "resultant from the middle, along"
    )
    half = 0.5 * length.value
    trapezoid = offset.value <= length.value / 6.0
    pressure = Value(
        "p_max",
        vertical.value / (width.value * length.value) * (1.0 + 6.0 * offset.value / length.value)
        if trapezoid
        else 2.0 * vertical.value / (3.0 * (half - offset.value) * width.value),
        "Pa", "largest pressure under the track", display="kPa",
    )  # fmt: skip
    steps = [
        Step(resultant, "abs(m_gross*R - m_c*c)/(m_c + m_gross)", (hook, radius, machine, behind), TRACK_PRESSURE),
        Step(
            vertical, "(m_c + m_gross)*g*(1/2 + e_0*abs(sin(psi))/s)", (machine, hook, g, resultant, slew, gauge),
            TRACK_PRESSURE,
        ),
        Step(offset, "e_0*abs(cos(psi))", (resultant, slew), TRACK_PRESSURE),
        Step(
            pressure,
            "V_t/(b*L)*(1 + 6*e/L)" if trapezoid else "2*V_t/(3*(L/2 - e)*b)",
            (vertical, width, length, offset),
            TRACK_PRESSURE,
            "trapezoid: e is at most L/6" if trapezoid else "triangle: e is above L/6",
            "L/6 - e" if trapezoid else "min(e - L/6, L/2 - e)",
        ),
    ]  # fmt: skip
    if mat_width_m is not None:
        mat = Value("b_mat", mat_width_m, "m", "effective width of the mats", "ground")
        spread = Value(
            "p_mat", pressure_below_mats_Pa(pressure.value, width.value, mat_width_m), "Pa",
            "largest pressure below the mats", display="kPa",
        )  # fmt: skip
        steps.append(Step(spread, "p_max*b/b_mat", (pressure, width, mat), MAT_SPREAD))
    return steps
