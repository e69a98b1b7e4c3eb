"""Rated load after every reduction: mode, angle of choke, D/d, heat, edge, side load, angle in the bow; several legs.

Each reduction is one factor with its clause. A factor that does not exist (a sling beyond 60 degrees, a shackle pulled
beyond 90) refuses the use outright; a reduction whose measure is missing leaves the check not evaluated.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from plumbhook.checks.en_818_4_1996 import chain_slings
from plumbhook.checks.en_1492_2000 import textile_slings
from plumbhook.checks.en_13414_1_2003 import wire_rope_slings
from plumbhook.checks.inputs import input_problems, refuse
from plumbhook.checks.leg_factors import ANGLE_BANDS, leg_factor
from plumbhook.checks.shackles import reductions as shackle
from plumbhook.checks.us_slings import hitches
from plumbhook.core.check import Check, Clause, SourceQuality, Step, Value
from plumbhook.core.errors import InputError
from plumbhook.core.units import format_quantity

FORCE_AS_MASS = Clause("Newton's second law: rated loads are masses", quality=SourceQuality.OWN_DERIVATION)
PRODUCT = Clause("Product of the reductions", quality=SourceQuality.COMMON_PRACTICE)


@dataclass(frozen=True, slots=True)
class Reduction:
    """One factor on a rated load.

    Attributes:
        symbol: symbol in the working, e.g. ``k_choke``; no two the same in one check.
        factor: the factor, NaN where there is none.
        meaning: what it is, in the words of the trade.
        clause: the rule.
        origin: the measure it was taken at.
        refusal: why there is no factor, where the measure is known; "" otherwise.
    """

    symbol: str
    factor: float
    meaning: str
    clause: Clause
    origin: str
    refusal: str = ""

    @property
    def value(self) -> Value:
        """The factor as a value."""
        return Value(self.symbol, self.factor, "1", self.meaning, self.origin)


def textile_mode(mode: str, angle_from_vertical_rad: float = 0.0) -> Reduction:
    """Mode factor of a textile sling.

    Raises:
        InputError: no such mode.
    """
    angle = _angle(angle_from_vertical_rad)
    return _reduction(
        "M",
        float(textile_slings.mode_factor(mode, angle_from_vertical_rad)),
        f"mode factor, {mode}",
        textile_slings.MODE_FACTORS,
        angle_from_vertical_rad,
        angle,
        "no textile sling is rated beyond 60 degrees from the vertical",
    )


def choke_angle(angle_of_choke_rad: float) -> Reduction:
    """Reduction of the choker rating by the angle of choke."""
    return _reduction(
        "k_choke",
        hitches.choke_angle_factor(angle_of_choke_rad),
        "reduction for the angle of choke",
        hitches.CHOKE_ANGLE,
        angle_of_choke_rad,
        _angle(angle_of_choke_rad),
        "an angle of choke lies between 0 and 180 degrees",
    )


def rope_over_pin(pin_m: float, rope_m: float) -> Reduction:
    """Reduction of a wire rope bent over a pin, by D/d."""
    ratio = pin_m / rope_m if rope_m > 0.0 else math.nan
    return _reduction(
        "k_bend",
        float(wire_rope_slings.bend_efficiency(ratio)),
        "reduction for bending over the pin",
        wire_rope_slings.BEND_FORMULA,
        ratio,
        f"D/d {ratio:.2f}",
        "a wire rope is never bent over less than its own diameter",
    )


def chain_heat(temperature_C: float) -> Reduction:
    """Reduction of a grade 8 chain by its temperature in degrees Celsius."""
    return _reduction(
        "k_heat",
        float(chain_slings.chain_temperature_factor(temperature_C)),
        "reduction for temperature",
        chain_slings.CHAIN_TEMPERATURE,
        temperature_C,
        f"{temperature_C:g} °C",
        "grade 8 chain is used between -40 and 400 degrees Celsius only",
    )


def chain_over_edge(edge_radius_m: float, chain_m: float) -> Reduction:
    """Reduction of a chain over an edge, by the radius of the edge."""
    ratio = edge_radius_m / chain_m if chain_m > 0.0 else math.nan
    return _reduction(
        "k_edge",
        float(chain_slings.chain_edge_factor(edge_radius_m, chain_m)) if chain_m > 0.0 else math.nan,
        "reduction for the edge",
        chain_slings.CHAIN_EDGE,
        ratio,
        f"radius over diameter {ratio:.2f}",
        "a chain goes over an edge only with a radius of its own diameter at least, or with a protector",
    )


def shackle_side_load(angle_rad: float, *, round_pin: bool = False) -> Reduction:
    """Reduction of a shackle pulled off its axis."""
    return _reduction(
        "k_side",
        float(shackle.side_load_factor(angle_rad, round_pin=round_pin)),
        "reduction for side load",
        shackle.SIDE_LOAD,
        angle_rad,
        _angle(angle_rad),
        "a shackle with a round pin takes no side load"
        if round_pin and 0.0 <= angle_rad <= math.pi / 2.0
        else "no shackle is pulled beyond 90 degrees off its axis",
    )


def legs_in_bow(included_angle_rad: float) -> Reduction:
    """Two equal legs in the bow of a shackle, by the angle between them."""
    return _reduction(
        "k_bow",
        float(shackle.included_angle_factor(included_angle_rad)),
        "reduction for two legs in the bow",
        shackle.INCLUDED_ANGLE,
        included_angle_rad,
        _angle(included_angle_rad),
        "no more than 120 degrees may be between two legs in a bow",
    )


def shackle_heat(temperature_C: float) -> Reduction:
    """A shackle at a temperature in degrees Celsius."""
    return _reduction(
        "k_heat",
        float(shackle.temperature_factor(temperature_C)),
        "reduction for temperature",
        shackle.TEMPERATURE,
        temperature_C,
        f"{temperature_C:g} °C",
        "below -40 and above 204 degrees Celsius the maker of the shackle has to be asked",
    )


def reduced_rating_check(
    check_id: str,
    station: str,
    title: str,
    *,
    force: Value,
    rated_mass_kg: float | None,
    reductions: Sequence[Reduction],
    gravity_m_s2: float,
    item_kind: str,
) -> Check:
    """Force on one item against its rated load with every reduction that its use asks for.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        force: force ``F`` on the item, N, dynamic factor included, with its origin.
        rated_mass_kg: rated load as marked, kg; None where it is not known.
        reductions: the factors; empty for an item loaded straight and in line.
        gravity_m_s2: acceleration of gravity, m/s2.
        item_kind: the item in the words of the trade, e.g. "shackle".

    Returns:
        The check, in kg. Fails outright where the use is not rated at all; ``NOT_EVALUATED`` where the rated load or a
        measure is missing.

    Raises:
        InputError: force or gravity cannot be, or two reductions have one symbol.
    """
    gravity = Value("g", gravity_m_s2, "m_s2", "acceleration of gravity", "rules of the lift")
    refuse(input_problems(check_id, positive=(gravity,), not_negative=(force,)))
    symbols = [reduction.symbol for reduction in reductions]
    if len(set(symbols)) != len(symbols):
        raise InputError.one("one reduction is given twice; give each once", field=check_id)
    mass = Value("m", force.value / gravity_m_s2, "kg", "load on the item, as a mass", display="t")
    marked = Value(
        "WLL",
        math.nan if rated_mass_kg is None else rated_mass_kg,
        "kg",
        f"rated load of the {item_kind}",
        "plate or certificate" if rated_mass_kg is not None else "missing",
        "t",
    )
    product = math.prod(reduction.factor for reduction in reductions)
    reduced = Value("WLL_red", marked.value * product, "kg", "rated load in this use", display="t")
    steps = [Step(mass, f"{force.symbol}/g", (force, gravity), FORCE_AS_MASS)]
    if reductions:
        formula = "*".join(["WLL", *symbols])
        steps.append(Step(reduced, formula, (marked, *(r.value for r in reductions)), PRODUCT))
    capacity = reduced if reductions else marked
    least = min(reductions, key=lambda r: r.factor if not math.isnan(r.factor) else -1.0, default=None)
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=mass,
        capacity=capacity,
        clause=least.clause if least is not None else PRODUCT,
        steps=tuple(steps),
        assumptions=("No edge, knot or twist, and no reduction but those shown.",),
        refused_because="; ".join(reduction.refusal for reduction in reductions if reduction.refusal),
        not_evaluated_because=_missing(rated_mass_kg, reductions),
        cure=_cure(mass.value, product, item_kind),
    )


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


def _reduction(
    symbol: str, factor: float, meaning: str, clause: Clause, measure: float, origin: str, refusal: str
) -> Reduction:
    known = not math.isnan(measure)
    refused = known and math.isnan(factor)
    return Reduction(
        symbol, factor, meaning, clause, origin if known else "missing", refusal if refused else ""
    )


def _angle(angle_rad: float) -> str:
    return format_quantity(angle_rad, "rad", "deg")


def _missing(rated_mass_kg: float | None, reductions: Sequence[Reduction]) -> str:
    gone = ["rated load missing"] if rated_mass_kg is None else []
    gone += [
        f"{r.meaning}: its measure is missing" for r in reductions if math.isnan(r.factor) and not r.refusal
    ]
    return "; ".join(gone)


def _cure(mass_kg: float, product: float, item_kind: str) -> str:
    if not (product > 0.0 and math.isfinite(mass_kg)):
        return f"use the {item_kind} as its standard foresees, or another item"
    needed = format_quantity(mass_kg / product, "kg", "t", rounding="up")
    return f"use an item with a marked rated load of at least {needed}, or a use with less reduction"
