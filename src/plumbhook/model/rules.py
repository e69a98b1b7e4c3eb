"""Limits and factors a lift is checked against: defaults of the trade that a firm can change in the file."""

from __future__ import annotations

import math

from pydantic import Field

from plumbhook.model.quantity import (
    Acceleration,
    Angle,
    AreaPerMass,
    Months,
    Ratio,
    Section,
    Share,
    Text,
    Whole,
)


class Rules(Section):
    """Factors, limits and policies. A factor that has no default and is not given is an open gap, never 1."""

    gravity_m_s2: Acceleration = Field(
        default=9.80665,
        alias="gravity",
        description="Acceleration of free fall. Source: standard value, 3rd CGPM 1901.",
    )
    weight_factor: Ratio | None = Field(
        default=None,
        description="Contingency on the weight (1 or more). No default: a missing factor stays an open gap.",
    )
    weight_factor_source: Text | None = Field(
        default=None, description="Why the weight factor is what it is."
    )
    dynamic_factor: Ratio | None = Field(
        default=None,
        description="Dynamic amplification (1 or more). No default: a missing factor stays an open gap.",
    )
    dynamic_factor_source: Text | None = Field(
        default=None, description="Why the dynamic factor is what it is."
    )
    crane_use_limit: Share = Field(
        default=0.85,
        description="Largest share of the crane's rated capacity to be used. Source: common practice, no source.",
    )
    tilt_limit_rad: Angle = Field(
        default=math.radians(2.0),
        alias="tilt_limit",
        description="Largest tilt of the load, from level. Source: 0027/ND 5.3.2 (2 deg).",
    )
    top_sling_angle_min_rad: Angle = Field(
        default=math.radians(30.0),
        alias="top_sling_angle_min",
        description="Least angle of the top slings from the vertical. Source: common practice, no source.",
    )
    top_sling_angle_max_rad: Angle = Field(
        default=math.radians(45.0),
        alias="top_sling_angle_max",
        description="Largest angle of the top slings from the vertical. Source: common practice, no source.",
    )
    lower_sling_lean_attention_rad: Angle = Field(
        default=math.radians(3.0),
        alias="lower_sling_lean_attention",
        description="Lean of a lower sling from the vertical to look at. Source: common practice, no source.",
    )
    lower_sling_lean_limit_rad: Angle = Field(
        default=math.radians(6.0),
        alias="lower_sling_lean_limit",
        description="Largest lean of a lower sling from the vertical. Source: common practice, no source.",
    )
    pair_share: Share = Field(
        default=0.55,
        description="Share that the worse of two slings side by side carries. Source: common practice, no source.",
    )
    nominal_design_factor: Ratio = Field(
        default=3.0,
        description="Design factor on yield and buckling of the struts. Source: ASME BTH-1, category B (3.0).",
    )
    load_partial_factor: Ratio = Field(
        default=1.35,
        description="Partial factor on the load effect for EN 1993. Source: common practice, no source.",
    )
    gamma_M1: Ratio = Field(
        default=1.0,
        description="Partial factor of member stability. Source: EN 1993-1-1, 6.1(1), recommended value.",
    )
    slenderness_limit: Ratio = Field(
        default=200.0,
        description="Largest slenderness K L / r of a strut. Source: common practice, no source.",
    )
    bow_ratio: Share = Field(
        default=0.002,
        description="Out-of-straightness of a strut in proportion to its length. Source: policy of the firm (L/500).",
    )
    max_pieces: Whole = Field(
        default=4,
        description="Most pieces between the fittings of a strut. Source: common practice, no source.",
    )
    mid_span_clear_ratio: Share = Field(
        default=0.02,
        description="Least distance of a joint from mid-span in proportion to the span: no joint at mid-span is "
        "common practice, no source; the distance that counts as 'at' is a policy of the firm.",
    )
    min_restoring_height_ratio: Share = Field(
        default=0.1,
        description="Least height in hand against overturning in the slings, in proportion to the height of the "
        "top triangle. Source: policy of the firm.",
    )
    accessory_examination_months: Months = Field(
        default=6,
        alias="accessory_examination",
        description="How long a thorough examination of an accessory counts. Source: common practice, no source.",
    )
    load_cell_calibration_months: Months = Field(
        default=12,
        alias="load_cell_calibration",
        description="How long a calibration of a load cell counts. Source: common practice, no source.",
    )
    wind_area_per_mass_m2_per_kg: AreaPerMass = Field(
        default=1.2e-3,
        alias="wind_area_per_mass",
        description="Wind area per mass that the chart's wind limit is meant for. Source: common practice, no source.",
    )
    second_method_tolerance: Share = Field(
        default=0.02,
        description="How far hand and rigid answers may be apart. Source: policy of the firm.",
    )
