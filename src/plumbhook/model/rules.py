"""Limits and factors a lift is checked against: defaults of the trade that a firm can change in the file."""

from __future__ import annotations

import math
from typing import Annotated

from pydantic import Field

from plumbhook.core.units import Kind
from plumbhook.model.people import Relaxation
from plumbhook.model.quantity import (
    Angle,
    AreaPerMass,
    Factor,
    Flag,
    Months,
    Quantity,
    Section,
    Share,
    Text,
    Torque,
    Whole,
)

# On the surface of the earth it is between 9.76 and 9.84 m/s2, depending on latitude and height.
Gravity = Annotated[float, Quantity(Kind.ACCELERATION, at_least=9.7, at_most=9.9)]
Slenderness = Annotated[float, Quantity(Kind.RATIO, at_least=1.0, at_most=400.0)]
DesignFactor = Annotated[float, Quantity(Kind.RATIO, at_least=1.0, at_most=20.0)]

_RATIO, _MONTHS = Quantity(Kind.RATIO), Quantity(Kind.MONTHS)
_PRACTICE = "Source: common practice, no source."
_POLICY = "Source: policy of the firm."


class Rules(Section):
    """Factors, limits and policies. A factor that has no default and is not given is an open gap, never 1."""

    gravity_m_s2: Gravity = Field(
        default=9.80665,
        alias="gravity",
        description="Acceleration of free fall. Source: standard value, 3rd CGPM 1901.",
    )
    weight_factor: Factor | None = Field(
        default=None,
        description="Contingency on the weight (1 or more). No default: a missing factor stays an open gap.",
    )
    weight_factor_source: Text | None = Field(
        default=None, description="Why the weight factor is what it is."
    )
    dynamic_factor: Factor | None = Field(
        default=None,
        description="Dynamic amplification (1 or more). No default: a missing factor stays an open gap.",
    )
    dynamic_factor_source: Text | None = Field(
        default=None, description="Why the dynamic factor is what it is."
    )
    crane_use_limit: Share = Field(
        default=0.85, description=f"Largest share of the crane's rated capacity to be used. {_PRACTICE}"
    )
    tilt_limit_rad: Angle = Field(
        default=math.radians(2.0),
        alias="tilt_limit",
        description="Largest tilt of the load, from level. Source: 0027/ND 5.3.2 (2 deg).",
    )
    top_sling_angle_min_rad: Angle = Field(
        default=math.radians(30.0),
        alias="top_sling_angle_min",
        description=f"Least angle of the top slings from the vertical. {_PRACTICE}",
    )
    top_sling_angle_max_rad: Angle = Field(
        default=math.radians(45.0),
        alias="top_sling_angle_max",
        description=f"Largest angle of the top slings from the vertical. {_PRACTICE}",
    )
    lower_sling_lean_attention_rad: Angle = Field(
        default=math.radians(3.0),
        alias="lower_sling_lean_attention",
        description=f"Lean of a lower sling from the vertical to look at. {_PRACTICE}",
    )
    lower_sling_lean_limit_rad: Angle = Field(
        default=math.radians(6.0),
        alias="lower_sling_lean_limit",
        description=f"Largest lean of a lower sling from the vertical. {_PRACTICE}",
    )
    pair_share: Share = Field(
        default=0.55, description=f"Share that the worse of two slings side by side carries. {_PRACTICE}"
    )
    nominal_design_factor: DesignFactor = Field(
        default=3.0,
        description="Design factor on yield and buckling of the struts. Source: ASME BTH-1, category B.",
    )
    load_partial_factor: Factor = Field(
        default=1.35, description=f"Partial factor on the load effect for EN 1993. {_PRACTICE}"
    )
    gamma_M1: Factor = Field(
        default=1.0,
        description="Partial factor of member stability. Source: EN 1993-1-1, 6.1(1), recommended value.",
    )
    slenderness_limit: Slenderness = Field(
        default=200.0, description=f"Largest slenderness K L / r of a strut. {_PRACTICE}"
    )
    bow_ratio: Share = Field(
        default=0.002, description=f"Bow of a strut in proportion to its length (L/500). {_POLICY}"
    )
    max_pieces: Whole = Field(
        default=4, description=f"Most pieces between the fittings of a strut. {_PRACTICE}"
    )
    least_M20_torque_Nm: Torque = Field(
        default=240.0,
        alias="least_M20_torque",
        description="Least torque of M20 joint bolts of a strut. Source: common practice, no source.",
    )
    joint_data_required: Flag = Field(
        default=False,
        description="Whether a strut whose family has no data of its joints leaves the lift not evaluated; otherwise "
        f"the plan says that its joints are not checked. {_POLICY}",
    )
    mid_span_clear_ratio: Share = Field(
        default=0.02,
        description="Least distance of a joint from mid-span in proportion to the span: no joint at mid-span "
        "is common practice, no source; the distance that counts as 'at' is a policy of the firm.",
    )
    min_restoring_height_ratio: Share = Field(
        default=0.1,
        description="Least height in hand against overturning in the slings, in proportion to the height of "
        f"the top triangle. {_POLICY}",
    )
    accessory_examination_months: Months = Field(
        default=6,
        alias="accessory_examination",
        description=f"How long a thorough examination of an accessory counts. {_PRACTICE}",
    )
    load_cell_calibration_months: Months = Field(
        default=12,
        alias="load_cell_calibration",
        description=f"How long a calibration of a load cell counts. {_PRACTICE}",
    )
    wind_area_per_mass_m2_per_kg: AreaPerMass = Field(
        default=1.2e-3,
        alias="wind_area_per_mass",
        description=f"Wind area per mass that the chart's wind limit is meant for. {_PRACTICE}",
    )
    second_method_tolerance: Share = Field(
        default=0.02, description=f"How far hand and rigid answers may be apart. {_POLICY}"
    )
    packs: tuple[Text, ...] = Field(
        default=(),
        description="Rule packs that this lift is held to, all of them; the strictest governs and all are shown.",
    )
    categories: dict[str, Text] = Field(
        default={}, description="Category by pack, where it is set higher than the pack asks."
    )
    relaxed: tuple[Relaxation, ...] = Field(
        default=(),
        description="Rules of a pack that are not kept, each with its reason and who answers for it.",
    )
    critical_crane_use: Share | None = Field(
        default=None,
        description="Share of the crane's capacity above which the client calls the lift critical. Source: policy "
        "of the client.",
    )


def rule_quantity(rule: str) -> Quantity:
    """What kind of quantity a rule is that a pack may limit.

    Args:
        rule: key of the rule in the lift file, or ``weight_tolerance``, which stands with the load.

    Raises:
        KeyError: there is no such rule.
    """
    if rule == "weight_tolerance":
        return _RATIO
    for name, field in Rules.model_fields.items():
        if (field.alias or name) == rule:
            return next((mark for mark in field.metadata if isinstance(mark, Quantity)), _MONTHS)
    raise KeyError(rule)
