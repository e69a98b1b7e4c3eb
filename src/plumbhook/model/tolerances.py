"""Tolerances that a lift file states for the study of them; whatever it leaves out has a default with its source."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from plumbhook.core.units import Kind
from plumbhook.model.quantity import Length, LengthOrZero, Quantity, RatioOrZero, Section, Serial, Text

Shape = Literal["uniform", "triangular", "normal"]
SlingKind = Literal["roundsling", "webbing sling", "belly sling", "wire rope sling", "chain sling"]
Small = Annotated[float, Quantity(Kind.RATIO, at_least=0.0, at_most=0.5)]

_SHAPES = (
    "uniform: anywhere in the band; triangular: more often near the middle; normal: the band is two standard "
    "deviations either way."
)


class MassTolerance(Section):
    """How far the mass of the load may be off, and how often it is."""

    shape: Shape | None = Field(default=None, description=f"Default by the source of the weight. {_SHAPES}")
    half_width: RatioOrZero | None = Field(
        default=None, description="Plus or minus, in proportion to the mass; default: load.weight.tolerance."
    )
    source: Text = Field(description="Why the mass scatters like that.")


class CogTolerance(Section):
    """How the true centre of gravity is spread over its box; the box is load.cog_box."""

    shape: Shape = Field(description=_SHAPES)
    source: Text = Field(description="Why it scatters like that.")


class LengthTolerance(Section):
    """How far a sling may be from the length it is marked with."""

    shape: Shape = Field(default="uniform", description=_SHAPES)
    half_width: Small = Field(description="Plus or minus, in proportion to the length.", examples=["2 %"])
    at_least_m: LengthOrZero = Field(
        default=0.0, alias="at_least", description="The half width is never less than this length."
    )
    source: Text = Field(description="Standard, certificate or measurement.")


class StiffnessTolerance(Section):
    """How far the stretch of a kind of sling may be from what its record says."""

    shape: Shape = Field(default="uniform", description=_SHAPES)
    together: Small = Field(
        description="Plus or minus that all slings of the kind share, in proportion to the stiffness.",
        examples=["20 %"],
    )
    each: Small = Field(description="Further plus or minus of each sling by itself.", examples=["10 %"])
    source: Text = Field(description="Test, catalogue or practice.")


class MatchedSet(Section):
    """Slings made or measured as one set: nearly equal to each other, whatever their common error."""

    items: tuple[Serial, ...] = Field(min_length=2, description="Serials of the slings of the set.")
    difference_m: Length = Field(
        alias="difference",
        description="Largest difference in length between any two of them.",
        examples=["10 mm"],
    )
    source: Text = Field(description="Certificate or measurement that says so.")


class MeasuredLength(Section):
    """How well a line was measured whose length the file gives bearing to bearing."""

    shape: Shape = Field(default="uniform", description=_SHAPES)
    half_width_m: LengthOrZero = Field(alias="half_width", description="Plus or minus.", examples=["5 mm"])
    source: Text = Field(description="How it was measured.")


class Tolerances(Section):
    """What scatters in a tolerance study and how; everything may be left out."""

    mass: MassTolerance | None = Field(default=None, description="Mass of the load.")
    cog: CogTolerance | None = Field(default=None, description="Centre of gravity in its box.")
    sling_lengths: dict[SlingKind, LengthTolerance] = Field(
        default={}, description="Lengths by kind of sling."
    )
    measured_lines: MeasuredLength | None = Field(
        default=None, description="Lines whose length was measured."
    )
    matched_sets: tuple[MatchedSet, ...] = Field(default=(), description="Slings that are one set.")
    stiffness: dict[SlingKind, StiffnessTolerance] = Field(
        default={}, description="Stiffness by kind of sling."
    )
    accepted_share: RatioOrZero = Field(
        default=0.0,
        description="Share of the samples in which a check may fail before the study counts as failed; the upper end "
        "of its confidence interval counts. Source: policy of the firm.",
    )
