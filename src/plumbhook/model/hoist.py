"""Hoist rope, further deductions and growth of the radius, as a lift file states them."""

from __future__ import annotations

import math
from typing import Annotated

from pydantic import Field

from plumbhook.core.units import Kind
from plumbhook.model.quantity import (
    Factor,
    Force,
    LengthOrZero,
    LineMass,
    MassOrZero,
    Quantity,
    RatioOrZero,
    Section,
    Share,
    Text,
    Whole,
)

_SmallAngle = Annotated[float, Quantity(Kind.ANGLE, at_least=0.0, at_most=math.radians(10.0))]
_Swing = Annotated[float, Quantity(Kind.ANGLE, at_least=0.0, at_most=math.radians(45.0))]


class HoistRope(Section):
    """Hoist rope and its reeving; the number of falls stands in rigged_as."""

    line_mass_kg_per_m: LineMass | None = Field(
        default=None, alias="line_mass", description="Mass of the rope per metre."
    )
    hanging_length_m: LengthOrZero | None = Field(
        default=None,
        alias="hanging_length",
        description="Boom head to hook block, the greatest of the way: length of one fall.",
    )
    line_pull_N: Force | None = Field(
        default=None, alias="line_pull", description="Rated line pull of the hoist."
    )
    reeving_efficiency: Share | None = Field(
        default=None, description="Load over falls times pull on the lead line, as stated for the crane."
    )
    sheave_factor: Factor | None = Field(
        default=None,
        description="Pull after a sheave over that before it, where no efficiency is stated: 1.04 for anti-friction, "
        "1.09 for plain bearings. Source: Wire Rope Users Manual, 4th edition.",
    )
    lead_sheaves: Whole | None = Field(
        default=None, description="Sheaves between the tackle and the drum, for the reckoning by sheaves."
    )


class Deduction(Section):
    """One thing more that the chart counts as load."""

    name: Text = Field(description="What it is.")
    mass_kg: MassOrZero = Field(alias="mass", description="What the chart takes off for it.")
    source: Text = Field(description="Where that stands.")


class RadiusGrowthStated(Section):
    """Growth of the radius under load; what is zero is written as zero, with its source."""

    boom_deflection_m: LengthOrZero | None = Field(
        default=None,
        alias="boom_deflection",
        description="Growth of the radius by the deflection of the boom.",
    )
    boom_deflection_share: RatioOrZero | None = Field(
        default=None, description="The same as a share of the planned radius, where it is reckoned by a rule."
    )
    out_of_level_rad: _SmallAngle = Field(
        alias="out_of_level", description="Crane out of level towards the load."
    )
    boom_head_height_m: LengthOrZero | None = Field(
        default=None,
        alias="boom_head_height",
        description="Boom head above the crane's ground, the greatest of the way.",
    )
    wind_swing_rad: _Swing = Field(alias="wind_swing", description="Hoist rope out of plumb by wind.")
    suspended_length_m: LengthOrZero | None = Field(
        default=None,
        alias="suspended_length",
        description="Boom head to the centre of gravity of the load, the greatest of the way.",
    )
    source: Text = Field(description="Who states it, or how it was measured.")
