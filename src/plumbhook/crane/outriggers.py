"""Ground pressure below outriggers by the customary bound: most of everything stands on the worst one."""

from __future__ import annotations

import math
from dataclasses import dataclass

from plumbhook.core.check import Check, Clause, SourceQuality, Step, Value
from plumbhook.core.errors import InputError, Problem
from plumbhook.crane.ground import ALLOWABLE_PRESSURE

OUTRIGGER_BOUND = Clause(
    "Three quarters of crane, ballast, load and rig on one outrigger", quality=SourceQuality.COMMON_PRACTICE
)


@dataclass(frozen=True, slots=True)
class OutriggerCrane:
    """A crane on outriggers.

    Attributes:
        machine_mass_kg: all-up mass with ballast, without block, rope and load, kg.
        larger_share: part of everything on the worst outrigger, ratio of 0.25 to 1.
        mat_length_m: effective length of the mat below it, m.
        mat_width_m: effective width of that mat, m.

    Raises:
        InputError: a number makes no sense; all of them at once.
    """

    machine_mass_kg: float
    larger_share: float
    mat_length_m: float
    mat_width_m: float

    def __post_init__(self) -> None:
        problems = [
            Problem(f"outriggers.{field}", f"the {words} must be a positive number")
            for field, words in (
                ("machine_mass_kg", "mass of the machine"),
                ("mat_length_m", "length of the mat"),
                ("mat_width_m", "width of the mat"),
            )
            if not (math.isfinite(getattr(self, field)) and getattr(self, field) > 0.0)
        ]
        if not 0.25 <= self.larger_share <= 1.0:
            problems.append(
                Problem(
                    "outriggers.larger_share",
                    "the share of the worst outrigger must lie between 25 % and 100 %",
                )
            )
        if problems:
            raise InputError(tuple(problems))


def bound_force_N(total_mass_kg: float, larger_share: float, gravity_m_s2: float) -> float:
    """Bound of the force on the worst outrigger, N: share times the weight of everything.

    Args:
        total_mass_kg: crane, ballast, block, rope, rig and load, kg.
        larger_share: part on the worst outrigger, ratio.
        gravity_m_s2: acceleration of gravity, m/s2.

    Source: common practice, no source (0.75; some insist on 1).
    """
    return larger_share * total_mass_kg * gravity_m_s2


def outrigger_pressure_check(
    check_id: str,
    station: str,
    title: str,
    *,
    crane: OutriggerCrane,
    hook_mass_kg: float,
    gravity_m_s2: float,
    allowable_Pa: float | None,
    allowable_source: str,
) -> Check:
    """Pressure below the mat of the worst outrigger against the allowable one, by the customary bound.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        crane: the crane on its outriggers.
        hook_mass_kg: everything below the boom head, kg, static, with the weight factor.
        gravity_m_s2: acceleration of gravity, m/s2.
        allowable_Pa: allowable pressure, Pa; None where nobody has stated it.
        allowable_source: report and date that state it; "" leaves the check not evaluated.

    Returns:
        The check, in Pa. The bound does not depend on radius or slew angle.
    """
    machine = Value(
        "m_crane", crane.machine_mass_kg, "kg", "crane with ballast", "place.crane.outriggers", "t"
    )
    hook = Value(
        "m_gross", hook_mass_kg, "kg", "everything below the boom head", "sum of masses", "t", "gross_load"
    )
    share = Value("k_out", crane.larger_share, "1", "part on the worst outrigger", "common practice", "%")
    gravity = Value("g", gravity_m_s2, "m_s2", "acceleration of gravity", "rules of the lift")
    force = Value(
        "F_out",
        bound_force_N(crane.machine_mass_kg + hook_mass_kg, crane.larger_share, gravity_m_s2),
        "N",
        "force on the worst outrigger, bound",
        display="kN",
    )
    length = Value("a", crane.mat_length_m, "m", "effective length of the mat", "place.crane.outriggers", "m")
    width = Value("b", crane.mat_width_m, "m", "effective width of the mat", "place.crane.outriggers", "m")
    pressure = Value(
        "p",
        force.value / (crane.mat_length_m * crane.mat_width_m),
        "Pa",
        "pressure below the mat",
        display="kPa",
    )
    missing = (
        "" if allowable_Pa is not None and allowable_source else "allowable pressure or its source missing"
    )
    allowable = Value(
        "p_all",
        math.nan if allowable_Pa is None else allowable_Pa,
        "Pa",
        "allowable ground pressure",
        allowable_source or "missing",
        "kPa",
    )
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=pressure,
        capacity=allowable,
        clause=ALLOWABLE_PRESSURE,
        steps=(
            Step(force, "k_out*(m_crane + m_gross)*g", (share, machine, hook, gravity), OUTRIGGER_BOUND),
            Step(pressure, "F_out/(a*b)", (force, length, width), OUTRIGGER_BOUND),
        ),
        assumptions=("The mat is stiff and strong enough to spread the force over its effective area.",),
        not_evaluated_because=missing,
        cure="use larger mats, or have the ground improved",
    )
