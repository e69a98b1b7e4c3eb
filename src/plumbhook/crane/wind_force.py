"""What the wind does to a hanging load: area by direction, force, out-of-plumb, drift, swing, tag lines.

The load hangs as a pendulum and turns as it likes, so the area that counts without a tag line is the greatest.
"""

from __future__ import annotations

import math

from plumbhook.core.check import Clause, SourceQuality
from plumbhook.core.errors import InputError, Problem

WIND_PRESSURE = Clause(
    "Wind pressure q = v²/1.6, air of 1.25 kg/m³", clause="published wind calculation sheet"
)
TAG_LINE = Clause("Tag line held by hand", quality=SourceQuality.COMMON_PRACTICE)

HALF_AIR_DENSITY_KG_M3 = 0.625
"""Half the density of air, kg/m3; q = v²/1.6 of a published wind calculation sheet."""

BOX_SHAPE_FACTOR = 1.4
"""Shape factor taken for a load in its box where none is stated; common practice, no source."""

PULL_PER_PERSON_N = 300.0
"""Steady pull that one person holds on a tag line, N; common practice, no source."""


def wind_pressure_Pa(wind_m_s: float) -> float:
    """Pressure ``0.625 v²``, Pa, of a wind in m/s.

    Raises:
        InputError: the wind is negative or no number.

    Source: q = v²/1.6 of a published wind calculation sheet (air of 1.25 kg/m3).
    """
    _refuse(("wind", "wind speed", wind_m_s, False))
    return HALF_AIR_DENSITY_KG_M3 * wind_m_s**2


def box_area_m2(length_m: float, width_m: float, height_m: float, bearing_rad: float | None = None) -> float:
    """Area that an upright box turns to a level wind, m2.

    Args:
        length_m: size along the load's x axis, m.
        width_m: size along its y axis, m.
        height_m: upright size, m.
        bearing_rad: angle of the wind from the x axis, rad; None for the worst direction, which is across the
            diagonal: ``h sqrt(l² + b²)``.

    Raises:
        InputError: a size is not positive, or the angle no number.

    Source: plane geometry of an upright box.
    """
    _refuse(
        ("load.envelope", "length of the load", length_m, True),
        ("load.envelope", "width of the load", width_m, True),
        ("load.envelope", "height of the load", height_m, True),
    )
    if bearing_rad is None:
        return height_m * math.hypot(length_m, width_m)
    if not math.isfinite(bearing_rad):
        raise InputError((Problem("wind", "the direction of the wind must be an angle"),))
    return height_m * (length_m * abs(math.sin(bearing_rad)) + width_m * abs(math.cos(bearing_rad)))


def wind_force_N(wind_m_s: float, shape_factor: float, area_m2: float) -> float:
    """Force of the wind ``c_w q A``, N, with the wind, on a load or on a piece of the rig.

    Raises:
        InputError: a number is negative or missing, or the shape factor not positive.

    Source: drag formula with the pressure of :func:`wind_pressure_Pa`.
    """
    _refuse(
        ("place.wind.shape_factor", "shape factor", shape_factor, True),
        ("place.wind.area", "area facing the wind", area_m2, False),
    )
    return shape_factor * wind_pressure_Pa(wind_m_s) * area_m2


def tube_area_m2(diameter_m: float, length_m: float) -> float:
    """Area of a tube (strut) or sling across the wind, m2; the greatest of all directions.

    Source: plane geometry.
    """
    _refuse(("rig", "diameter", diameter_m, True), ("rig", "length", length_m, True))
    return diameter_m * length_m


def out_of_plumb_rad(force_N: float, hanging_mass_kg: float, gravity_m_s2: float) -> float:
    """Angle of the hoist rope from plumb under a steady level force, ``atan(F/(m g))``, rad.

    Args:
        force_N: level force of the wind on all that hangs, N.
        hanging_mass_kg: the least mass that hangs, kg: a light load swings out farther.
        gravity_m_s2: acceleration of gravity, m/s2.

    Raises:
        InputError: a number is negative or missing, or the mass not positive.

    Source: statics of a hanging body.
    """
    _refuse(
        ("wind", "wind force", force_N, False),
        ("load", "hanging mass", hanging_mass_kg, True),
        ("lift", "acceleration of gravity", gravity_m_s2, True),
    )
    return math.atan2(force_N, hanging_mass_kg * gravity_m_s2)


def wind_drift_m(
    force_N: float, hanging_mass_kg: float, gravity_m_s2: float, suspended_length_m: float
) -> float:
    """Level drift of what hangs, and growth of the radius when the wind comes from behind, m.

    ``l F/(m g)``: hook and load lie on one straight line under forces at the load; the length is that from the
    boom head to the centre of gravity of the load. It is an upper bound of the true ``l sin``.

    Raises:
        InputError: as :func:`out_of_plumb_rad`, or a negative length.

    Source: statics of a hanging body.
    """
    _refuse(("place", "suspended length", suspended_length_m, False))
    return suspended_length_m * math.tan(out_of_plumb_rad(force_N, hanging_mass_kg, gravity_m_s2))


def pendulum_periods_s(
    block_mass_kg: float, load_mass_kg: float, rope_m: float, sling_m: float, gravity_m_s2: float
) -> tuple[float, float]:
    """Slow and fast period of hook block and load as a double pendulum of point masses, s; small swings.

    Closed form: the roots of ``m1 l1 l2 w⁴ - g (m1+m2)(l1+l2) w² + g² (m1+m2) = 0`` (any text of mechanics;
    equal masses and lengths give ``w² = (2 ∓ √2) g/l``). Without a block the fast period is 0.

    Args:
        block_mass_kg: mass at the hook, kg; 0 allowed.
        load_mass_kg: mass of load and rig, kg.
        rope_m: boom head to hook, m.
        sling_m: hook to centre of gravity of the load, m.
        gravity_m_s2: acceleration of gravity, m/s2.

    Raises:
        InputError: a number is missing or not positive; all at once.
    """
    _refuse(
        ("place.crane", "mass of the hook block", block_mass_kg, False),
        ("load", "mass of the load", load_mass_kg, True),
        ("place.crane", "length of the hoist rope", rope_m, True),
        ("rig", "length from hook to centre of gravity", sling_m, True),
        ("lift", "acceleration of gravity", gravity_m_s2, True),
    )
    total = block_mass_kg + load_mass_kg
    middle = total * (rope_m + sling_m)
    root = math.sqrt(
        total * (load_mass_kg * (rope_m + sling_m) ** 2 + block_mass_kg * (rope_m - sling_m) ** 2)
    )
    # The slow root from the product of both roots: no difference of large numbers, and good at m1 = 0.
    slow = 2.0 * gravity_m_s2 * total / (middle + root)
    fast = 0.0
    if block_mass_kg > 0.0:
        fast_squared = gravity_m_s2 * (middle + root) / (2.0 * block_mass_kg * rope_m * sling_m)
        fast = 2.0 * math.pi / math.sqrt(fast_squared)
    return 2.0 * math.pi / math.sqrt(slow), fast


def tag_line_pull_N(level_force_N: float, line_angle_rad: float) -> float:
    """Pull along a tag line that holds the whole level force, ``F/cos a``, N.

    Args:
        level_force_N: force of the wind on the load, or its share at this line, N.
        line_angle_rad: slope of the line below level, rad.

    Raises:
        InputError: a negative force, or a line at 75 degrees or steeper, which pulls down and not aside.

    Source: statics.
    """
    _refuse(("wind", "wind force", level_force_N, False))
    if not (0.0 <= line_angle_rad < math.radians(75.0)):
        raise InputError(
            (
                Problem(
                    "place.wind", "a tag line must slope between 0 and 75 deg; stand farther from the load"
                ),
            )
        )
    return level_force_N / math.cos(line_angle_rad)


def tag_line_people(pull_N: float, pull_per_person_N: float = PULL_PER_PERSON_N) -> int:
    """People needed to hold a pull by hand, rounded up; two at least, one at each end of the load.

    Args:
        pull_N: pull along all tag lines together, N.
        pull_per_person_N: what one person holds, N; 300 N is common practice without a source.

    Raises:
        InputError: a negative pull, or a pull per person that is not positive.
    """
    _refuse(
        ("wind", "pull of the tag lines", pull_N, False),
        ("place.wind", "pull per person", pull_per_person_N, True),
    )
    return max(2, math.ceil(pull_N / pull_per_person_N - 1e-9))


def mean_wind_limit_m_s(gust_limit_m_s: float, height_m: float) -> float:
    """Ten-minute mean at 10 m whose three-second gust at a height reaches a limit, m/s: the limit for forecasts.

    The inverse of :func:`plumbhook.crane.wind.gust_m_s`, ``v = v_gust/((z/10)^0.14 + 0.4)``.

    Raises:
        InputError: a number is missing or not positive.

    Source: form printed in a published crane manual, turned round.
    """
    _refuse(
        ("place.wind", "wind limit", gust_limit_m_s, True),
        ("place.wind", "height of the wind", height_m, True),
    )
    return gust_limit_m_s / (math.pow(height_m / 10.0, 0.14) + 0.4)


def stop_wind_at_anemometer_m_s(limit_m_s: float, head_height_m: float, anemometer_height_m: float) -> float:
    """Gust at the anemometer at which the gust at the boom head reaches the limit, m/s.

    An anemometer below the boom head shows less than blows above, so the stop reading is lower than the limit; one
    that hangs higher never earns a higher reading than the limit.

    Raises:
        InputError: a number is missing or not positive.

    Source: the same form at both heights.
    """
    mean = mean_wind_limit_m_s(limit_m_s, head_height_m)
    _refuse(("place.wind", "height of the anemometer", anemometer_height_m, True))
    return min(limit_m_s, (math.pow(anemometer_height_m / 10.0, 0.14) + 0.4) * mean)


def _refuse(*given: tuple[str, str, float, bool]) -> None:
    """All numbers that are missing, negative, or zero where they must be positive."""
    problems = tuple(
        Problem(field, f"the {name} must be a {'positive number' if positive else 'number of at least 0'}")
        for field, name, number, positive in given
        if not (math.isfinite(number) and (number > 0.0 or (number == 0.0 and not positive)))
    )
    if problems:
        raise InputError(problems)
