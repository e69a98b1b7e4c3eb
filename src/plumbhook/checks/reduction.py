"""Reductions of a rated load: mode, angle of choke, D/d, heat, edge, side load, angle in the bow.

Each reduction is one factor with its clause. A factor that does not exist (a basket beyond 60 degrees, a shackle pulled
beyond 90) refuses the use outright; a reduction whose measure is missing leaves the check not evaluated.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from plumbhook.checks.en_818_4_1996 import chain_slings
from plumbhook.checks.en_1492_2000 import textile_slings
from plumbhook.checks.en_13414_1_2003 import wire_rope_slings
from plumbhook.checks.shackles import reductions as shackle
from plumbhook.checks.us_slings import hitches
from plumbhook.core.check import Clause, SourceQuality, Step, Value
from plumbhook.core.units import format_quantity

PRODUCT = Clause("Product of the reductions", quality=SourceQuality.COMMON_PRACTICE)
NO_OTHER = "No edge, knot or twist, and no reduction but those shown."


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


def rope_choke() -> Reduction:
    """Choker rating of a wire rope sling against that of the straight one, before the angle of choke."""
    return Reduction("M", hitches.CHOKE_PART, "mode factor, choke", hitches.BRIDLE, "hitch of the line")


def textile_heat(lowest_C: float, highest_C: float) -> Reduction:
    """A textile sling of material not stated, by the narrowest limits of the three materials."""
    inside = all(
        textile_slings.textile_temperature_allowed(temperature, "polypropylene")
        for temperature in (lowest_C, highest_C)
    )
    return _reduction(
        "k_heat",
        1.0 if inside else math.nan,
        "reduction for temperature",
        textile_slings.TEXTILE_TEMPERATURE,
        lowest_C + highest_C,
        f"{lowest_C:g} to {highest_C:g} °C",
        "a textile sling is used between -40 and 80 degrees Celsius only (the narrowest limit, of polypropylene)",
    )


def rope_heat(lowest_C: float, highest_C: float) -> Reduction:
    """A wire rope sling of core not stated, by the limit of a fibre core, and the cold in which its maker is asked."""
    inside = hitches.fibre_core_rope_allowed(highest_C) and not hitches.steel_core_rope_needs_maker(lowest_C)
    return _reduction(
        "k_heat",
        1.0 if inside else math.nan,
        "reduction for temperature",
        hitches.FIBRE_CORE_HEAT,
        lowest_C + highest_C,
        f"{lowest_C:g} to {highest_C:g} °C",
        "a wire rope sling is used up to 93 degrees Celsius (limit of a fibre core); beyond, and in great cold, its "
        "maker has to be asked",
    )


def not_known(symbol: str, meaning: str) -> Reduction:
    """A reduction for which there is no rule here: its measure has to come from the maker."""
    return Reduction(symbol, math.nan, meaning, PRODUCT, "missing")


def reduced_step(marked: Value, reductions: Sequence[Reduction]) -> Step:
    """The rated load in this use, from the marked one ``WLL``."""
    value = marked.value * math.prod(reduction.factor for reduction in reductions)
    reduced = Value("WLL_red", value, "kg", "rated load in this use", display="t")
    formula = "*".join([marked.symbol, *(reduction.symbol for reduction in reductions)])
    return Step(reduced, formula, (marked, *(reduction.value for reduction in reductions)), PRODUCT)


def least_of(reductions: Sequence[Reduction]) -> Reduction:
    """The reduction that takes most; one without a factor before all others."""
    return min(reductions, key=lambda r: -1.0 if math.isnan(r.factor) else r.factor)


def refusals(reductions: Sequence[Reduction]) -> str:
    """Why the use is not rated at all; "" where it is."""
    return "; ".join(reduction.refusal for reduction in reductions if reduction.refusal)


def unmeasured(reductions: Sequence[Reduction]) -> str:
    """Which measures are missing; "" where none is."""
    return "; ".join(
        f"{r.meaning}: its measure is missing" for r in reductions if math.isnan(r.factor) and not r.refusal
    )


def reduced_cure(mass_kg: float, reductions: Sequence[Reduction], item_kind: str) -> str:
    """What would mend a rating that is too low in this use."""
    product = math.prod(reduction.factor for reduction in reductions)
    if not (product > 0.0 and math.isfinite(mass_kg)):
        return f"use the {item_kind} as its standard foresees, or another item"
    needed = format_quantity(mass_kg / product, "kg", "t", rounding="up")
    return f"use an item with a marked rated load of at least {needed}, or a use with less reduction"


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
