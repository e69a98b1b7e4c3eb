"""The load as the lift file claims it, and its mass and centre of gravity."""

from __future__ import annotations

import math

from pydantic import Field

from plumbhook.core.claims import Claim
from plumbhook.model.lift_point import LiftPoint
from plumbhook.model.part import Part, free_range_m, is_held, signed_mass_kg
from plumbhook.model.parts_band import Errors, PartClaim, PartsBand, parts_band
from plumbhook.model.quantity import (
    Date,
    Force,
    LengthOrZero,
    Mass,
    Name,
    Position,
    RatioOrZero,
    Section,
    Text,
)
from plumbhook.model.weighing import Weighing, weigh
from plumbhook.model.weighing_adjustment import WeighingError, WeighingResult

Vector = tuple[float, float, float]


class WeightClaim(Section):
    """What is claimed of the weight, and by whom."""

    mass_kg: Mass | None = Field(
        default=None,
        alias="mass",
        description="Total mass if one is declared or weighed; otherwise the parts are summed.",
    )
    declared_tolerance: RatioOrZero | None = Field(
        default=None,
        alias="tolerance",
        examples=["1.5 %"],
        description="How far the true mass may be off, in proportion to the mass; if left out, it follows from "
        "the tolerances of the parts.",
    )
    errors: Errors = Field(
        default="worst",
        description="How the errors of the parts go together: all off the same way (correlated), each by chance "
        "(independent), or whatever is worst.",
    )
    source: Text = Field(description="Where the mass comes from: weighing, drawing, catalogue.")
    state: Text = Field(
        description="State of the load that the mass is for: empty, drained, with what aboard."
    )
    said_by: Text | None = Field(default=None, description="Who says so.")
    date: Date | None = Field(default=None, description="When it was said or weighed.")


class CogBox(Section):
    """Half sizes of the box around the claimed centre of gravity within which the true one may be."""

    x_m: LengthOrZero = Field(alias="x", description="Plus or minus along x.")
    y_m: LengthOrZero = Field(alias="y", description="Plus or minus along y.")
    z_m: LengthOrZero = Field(alias="z", description="Plus or minus along z.")
    source: Text = Field(description="Why the box has this size.")


class Envelope(Section):
    """Smallest box around the load, in load coordinates."""

    low_m: Position = Field(alias="low", description="Corner with the smallest x, y, z.")
    high_m: Position = Field(alias="high", description="Corner with the largest x, y, z.")


class Load(Section):
    """The load: what it weighs, where its centre of gravity is, where it may be held."""

    name: Text = Field(description="What is lifted.")
    axes: Text = Field(description="Where the origin is and which way x, y and z point; z is up.")
    weight: WeightClaim = Field(description="Mass with tolerance, source and state.")
    declared_cog_m: Position | None = Field(
        default=None,
        alias="cog",
        description="Centre of gravity if it is declared; otherwise it follows from the parts.",
    )
    can_move: Text | None = Field(
        default=None, description="What may shift, and what holds it; 'nothing' if so."
    )
    declared_cog_box: CogBox | None = Field(
        default=None,
        alias="cog_box",
        description="How far the centre of gravity may be off; if left out, it follows from the tolerances of "
        "the parts.",
    )
    kind: Text | None = Field(
        default=None,
        description="Kind of load, from the table of densities of whole loads, to hold its mass against.",
        examples=["plant skid"],
    )
    envelope: Envelope | None = Field(default=None, description="Box around the load.")
    parts: tuple[Part, ...] = Field(default=(), description="Parts with mass and place.")
    weighing: Weighing | None = Field(
        default=None,
        description="Readings of a weighing; mass and centre of gravity follow from them unless declared.",
    )
    lift_points: dict[Name, LiftPoint] = Field(min_length=1, description="Lift points by name.")
    squeeze_limit_N: Force | None = Field(
        default=None,
        alias="squeeze_limit",
        description="Largest horizontal force of one sling that the load bears, as slings that lean squeeze it.",
    )

    @property
    def cog_box(self) -> CogBox:
        """Half sizes of the box around the centre of gravity: declared, else weighed, else from the parts.

        The three can differ by axis: a load that was weighed level only has its height from the parts. NaN where
        the file gives none; a file that has passed validation always gives one.
        """
        if self.declared_cog_box is not None:
            return self.declared_cog_box
        result, band = weighed(self), band_of_parts(self)
        by_parts = (math.nan,) * 3 if band is None else _reach_m(cog_m(self), band)
        halves, sources = list(by_parts), [COMPUTED_BOX[self.weight.errors]]
        if result is not None and self.declared_cog_m is None:
            halves = [
                weighed_half if math.isfinite(weighed_half) else half
                for weighed_half, half in zip(result.half_sizes_m, by_parts, strict=True)
            ]
            missing = [axis for axis, at in zip("xyz", result.cog_m, strict=True) if not math.isfinite(at)]
            sources = [WEIGHED_BOX, *(f"{', '.join(missing)}: {sources[0]}" for _ in missing[:1])]
        x, y, z = halves
        return CogBox.model_construct(x_m=x, y_m=y, z_m=z, source="; ".join(sources))


WEIGHED_BOX = "weighing, 95 % of all axes together"
COMPUTED_BOX = {
    "correlated": "tolerances of the parts, all off the same way",
    "independent": "tolerances of the parts, each off by chance",
    "worst": "tolerances of the parts, worst combination",
}


def _reach_m(cog: Vector, band: PartsBand) -> Vector:
    """Half sizes of the smallest box around a point that holds a band, m."""
    x, y, z = (
        max(high - at, at - low) for low, at, high in zip(band.cog_low_m, cog, band.cog_high_m, strict=True)
    )
    return (x, y, z)


def mass_kg(load: Load) -> float:
    """Best estimate of the mass, kg: the declared total, else weighed, else the sum of the parts.

    NaN where the file gives none; a file that has passed validation always gives one.
    """
    if load.weight.mass_kg is not None:
        return load.weight.mass_kg
    result = weighed(load)
    return parts_mass_kg(load) if result is None else result.mass_kg


def weighed(load: Load) -> WeighingResult | None:
    """What the weighing of the load gives; None where there is none, or its readings make no sense."""
    if load.weighing is None:
        return None
    try:
        return weigh(load.weighing)
    except WeighingError:
        return None  # said by the rules of the lift file; until then nothing is known


def parts_mass_kg(load: Load) -> float:
    """Sum of the masses of the parts, kg; NaN where there are none."""
    return math.fsum(signed_mass_kg(part) for part in load.parts) if load.parts else math.nan


def cog_m(load: Load) -> Vector:
    """Best estimate of the centre of gravity in load coordinates, m: declared, else weighed, else of the parts.

    Axis by axis where the weighing tells nothing of one of them; NaN where nothing is known.
    """
    if load.declared_cog_m is not None:
        return load.declared_cog_m
    by_parts, result = parts_cog_m(load), weighed(load)
    if result is None:
        return by_parts
    x, y, z = (at if math.isfinite(at) else other for at, other in zip(result.cog_m, by_parts, strict=True))
    return (x, y, z)


def parts_cog_m(load: Load) -> Vector:
    """Centre of gravity of the parts, m: sum(m r) / sum(m); NaN where there are none."""
    total = parts_mass_kg(load)
    if not total > 0.0:
        return (math.nan, math.nan, math.nan)
    x, y, z = (
        math.fsum(signed_mass_kg(part) * part.at_m[axis] for part in load.parts) / total for axis in range(3)
    )
    return (x, y, z)


def part_mass_tolerance_kg(load: Load, part: Part) -> float | None:
    """How far the mass of a part may be off, kg: its own tolerance, else that of the weight, else not known."""
    if part.tolerance is not None:
        return part.tolerance.of(part.mass_kg)
    ratio = load.weight.declared_tolerance
    return None if ratio is None else ratio * part.mass_kg


def has_own_tolerances(load: Load) -> bool:
    """Whether any part says how far it may be off, or that it may move."""
    return any(
        part.tolerance is not None or part.position_tolerance_m is not None or part.movable is not None
        for part in load.parts
    )


def band_of_parts(load: Load, errors: Errors | None = None) -> PartsBand | None:
    """Bands of mass and centre of gravity from the tolerances of the parts.

    Args:
        load: the load.
        errors: how the errors go together; None takes what the weight says.

    Returns:
        The bands; None where no part states a tolerance, a mass tolerance is not known at all, or the parts do
        not add up. A position tolerance that is left out counts as none, and a part that can move to nobody
        knows where as staying: such a band is a lower bound (:func:`unknown_of_band` says so).
    """
    if not has_own_tolerances(load):
        return None
    claims = []
    for part in load.parts:
        tolerance = part_mass_tolerance_kg(load, part)
        if tolerance is None:
            return None
        low, high = free_range_m(part) or (part.at_m, part.at_m)
        claims.append(
            PartClaim(signed_mass_kg(part), tolerance, part.at_m, part.position_tolerance_m or 0.0, low, high)
        )
    try:
        return parts_band(claims, errors or load.weight.errors)
    except ValueError:
        return None


def unknown_of_band(load: Load) -> tuple[str, ...]:
    """Names of the parts whose place may be off by nobody says how much."""
    return tuple(
        part.name
        for part in load.parts
        if free_range_m(part) is None or (part.position_tolerance_m is None and is_held(part))
    )


def mass_tolerance_ratio(load: Load) -> float:
    """How far the mass may be off in proportion to it: declared, else weighed, else from the parts, else NaN."""
    if load.weight.declared_tolerance is not None:
        return load.weight.declared_tolerance
    result = weighed(load)
    if result is not None and load.weight.mass_kg is None:
        return result.mass_half_width_kg / result.mass_kg
    band = band_of_parts(load)
    if band is None:
        return math.nan
    best = mass_kg(load)
    return max(band.mass_high_kg - best, best - band.mass_low_kg) / best


def weight_claim(load: Load) -> Claim:
    """The mass of the load as a claim, kg."""
    best = mass_kg(load)
    weight = load.weight
    return Claim(
        value=best,
        unit="kg",
        tolerance=best * mass_tolerance_ratio(load),
        source=weight.source,
        state=weight.state,
        said_by=weight.said_by or "",
        date=weight.date,
    )


def cog_claims(load: Load) -> tuple[Claim, Claim, Claim]:
    """The three coordinates of the centre of gravity as claims, m."""
    box = load.cog_box
    x, y, z = (
        Claim(value=at, unit="m", tolerance=half, source=box.source, state=load.weight.state)
        for at, half in zip(cog_m(load), (box.x_m, box.y_m, box.z_m), strict=True)
    )
    return (x, y, z)


__all__ = [
    "CogBox",
    "Envelope",
    "LiftPoint",
    "Load",
    "Part",
    "WeightClaim",
    "band_of_parts",
    "cog_claims",
    "cog_m",
    "has_own_tolerances",
    "mass_kg",
    "mass_tolerance_ratio",
    "part_mass_tolerance_kg",
    "parts_cog_m",
    "parts_mass_kg",
    "unknown_of_band",
    "weighed",
    "weight_claim",
]
