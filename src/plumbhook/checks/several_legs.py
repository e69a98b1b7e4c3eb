"""Slings of several legs by the table of their standard, the formula beside it."""

from __future__ import annotations

import math

from plumbhook.checks.en_818_4_1996 import chain_slings
from plumbhook.checks.en_13414_1_2003 import wire_rope_slings
from plumbhook.checks.inputs import input_problems, refuse
from plumbhook.checks.leg_factors import ANGLE_BANDS, leg_factor
from plumbhook.core.check import Check, Clause, SourceQuality, Step, Value
from plumbhook.core.units import format_quantity

FORCE_AS_MASS = Clause("Newton's second law: rated loads are masses", quality=SourceQuality.OWN_DERIVATION)


def several_leg_chain_check(
    check_id: str,
    station: str,
    title: str,
    *,
    force: Value,
    chain_m: float,
    legs: int,
    angle_from_vertical_rad: float,
    gravity_m_s2: float,
) -> Check:
    """Load on a chain sling of several legs against the table of EN 818-4, the formula beside it.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        force: force ``F`` on the whole sling, N, dynamic factor included, with its origin.
        chain_m: nominal diameter of the chain, m.
        legs: legs counted, 1 to 4.
        angle_from_vertical_rad: largest angle of a leg from the vertical, rad.
        gravity_m_s2: acceleration of gravity, m/s2.

    Returns:
        The check, in kg; fails outright beyond 60 degrees.

    Raises:
        InputError: the chain is not in the table, not 1 to 4 legs, or a number cannot be.
    """
    single = chain_slings.chain_sling_rated_kg(chain_m, 1, 0.0)
    rated = chain_slings.chain_sling_rated_kg(chain_m, legs, angle_from_vertical_rad)
    return _several_legs(
        check_id,
        station,
        title,
        force,
        float(single),
        float(rated),
        legs,
        angle_from_vertical_rad,
        gravity_m_s2,
        f"EN 818-4, chain of {format_quantity(chain_m, 'm', 'mm')}",
        chain_slings.CHAIN_TABLE,
    )


def several_leg_rope_check(
    check_id: str,
    station: str,
    title: str,
    *,
    force: Value,
    rope_m: float,
    legs: int,
    angle_from_vertical_rad: float,
    gravity_m_s2: float,
) -> Check:
    """Load on a wire rope sling of several legs against Table 4 of EN 13414-1, the formula beside it.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        force: force ``F`` on the whole sling, N, dynamic factor included, with its origin.
        rope_m: nominal diameter of the rope, m.
        legs: legs counted, 1 to 4.
        angle_from_vertical_rad: largest angle of a leg from the vertical, rad.
        gravity_m_s2: acceleration of gravity, m/s2.

    Returns:
        The check, in kg; fails outright beyond 60 degrees.

    Raises:
        InputError: the rope is not in the table, not 1 to 4 legs, or a number cannot be.
    """
    single = wire_rope_slings.rope_sling_rated_kg(rope_m, 1, 0.0)
    rated = wire_rope_slings.rope_sling_rated_kg(rope_m, legs, angle_from_vertical_rad)
    return _several_legs(
        check_id,
        station,
        title,
        force,
        float(single),
        float(rated),
        legs,
        angle_from_vertical_rad,
        gravity_m_s2,
        f"EN 13414-1, rope of {format_quantity(rope_m, 'm', 'mm')}",
        wire_rope_slings.ROPE_TABLE,
    )


def _several_legs(
    check_id: str,
    station: str,
    title: str,
    force: Value,
    single_kg: float,
    rated_kg: float,
    legs: int,
    angle_rad: float,
    gravity_m_s2: float,
    origin: str,
    clause: Clause,
) -> Check:
    gravity = Value("g", gravity_m_s2, "m_s2", "acceleration of gravity", "rules of the lift")
    refuse(input_problems(check_id, positive=(gravity,), not_negative=(force,)))
    mass = Value("m", force.value / gravity_m_s2, "kg", "load on the sling, as a mass", display="t")
    one = Value("WLL_1", single_kg, "kg", "rated load of one leg", origin, "t")
    factor = Value(
        "K_L", float(leg_factor(legs, angle_rad)), "1", f"leg factor, {legs} legs", _angle(angle_rad)
    )
    by_formula = Value("WLL_K", single_kg * factor.value, "kg", "rated load by the formula", display="t")
    capacity = Value(
        "WLL", rated_kg, "kg", f"rated load with {legs} legs", f"{origin}, {_angle(angle_rad)}", "t"
    )
    beyond = not math.isnan(angle_rad) and math.isnan(rated_kg)
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=mass,
        capacity=capacity,
        clause=clause,
        steps=(
            Step(mass, f"{force.symbol}/g", (force, gravity), FORCE_AS_MASS),
            Step(
                by_formula,
                "WLL_1*K_L",
                (one, factor),
                ANGLE_BANDS,
                "beside the table only: it holds preferred numbers, and the table rules",
            ),
        ),
        assumptions=(
            "The legs are of one length and loaded symmetrically, or only as many are counted as can be relied on.",
        ),
        refused_because="no sling is rated beyond 60 degrees from the vertical" if beyond else "",
        not_evaluated_because="the angle of the legs is missing" if math.isnan(angle_rad) else "",
        cure="use a larger sling, or longer legs, so that their angle from the vertical becomes smaller",
    )


def _angle(angle_rad: float) -> str:
    return format_quantity(angle_rad, "rad", "deg")
