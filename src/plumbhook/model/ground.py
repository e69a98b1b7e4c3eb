"""The ground below a crane and what spreads its pads: mats, soil, presumed values, settlement, what lies near."""

from __future__ import annotations

import math
from typing import Annotated, Literal

from pydantic import Field

from plumbhook.core.units import Kind
from plumbhook.model.quantity import (
    Coordinate,
    Date,
    Length,
    LengthOrZero,
    Mass,
    Name,
    Quantity,
    RatioOrZero,
    Section,
    Stress,
    Text,
)

Stiffness = Annotated[float, Quantity(Kind.STIFFNESS, above=0.0)]
TorsionalStiffness = Annotated[float, Quantity(Kind.ROTATIONAL_STIFFNESS, above=0.0)]
UnitWeight = Annotated[float, Quantity(Kind.UNIT_WEIGHT, above=0.0)]
Cohesion = Annotated[float, Quantity(Kind.STRESS, at_least=0.0)]
FrictionAngle = Annotated[float, Quantity(Kind.ANGLE, at_least=0.0, at_most=math.radians(49.9))]
Turn = Annotated[float, Quantity(Kind.ANGLE, at_least=-2.0 * math.pi, at_most=2.0 * math.pi)]
SafetyFactor = Annotated[float, Quantity(Kind.RATIO, at_least=1.0, at_most=10.0)]

SlewSector = tuple[Turn, Turn]
PadPlace = tuple[Coordinate, Coordinate]
BearingMethod = Literal["EN 1997-1", "Terzaghi", "Meyerhof", "Brinch Hansen", "Vesic"]
PresumedGround = Literal[
    "dense gravel",
    "medium dense gravel",
    "compact sand",
    "medium sand",
    "very stiff clay",
    "stiff clay",
    "firm clay",
]
HazardKind = Literal["quay edge", "excavation", "slope", "suspended slab", "void", "buried service"]


class OutriggerGeometry(Section):
    """Where the pads stand and what the crane weighs, for the reactions through the slew.

    Places are distances to the front and to the left of the slew axis. The mass of the carrier is what the machine
    weighs without superstructure and counterweight.
    """

    pads: Annotated[dict[Name, PadPlace], Field(min_length=3, max_length=8)] = Field(
        description="Place of every pad, ahead and to the left of the slew axis: front left: [3.6 m, 3.5 m]."
    )
    carrier_cog: PadPlace = Field(
        description="Centre of gravity of what does not slew, ahead and to the left of the slew axis."
    )
    superstructure_mass_kg: Mass = Field(
        alias="superstructure_mass", description="Mass of what slews, with the boom, without counterweight."
    )
    superstructure_cog_m: Coordinate = Field(
        alias="superstructure_cog",
        description="Its centre of gravity from the slew axis, positive towards the boom head.",
    )
    counterweight_kg: Mass | None = Field(
        default=None, alias="counterweight", description="Mass of the counterweight that slews."
    )
    counterweight_behind_m: LengthOrZero | None = Field(
        default=None,
        alias="counterweight_behind_slew_axis",
        description="Its centre of gravity behind the slew axis.",
    )
    slew_sector: SlewSector | None = Field(
        default=None,
        description="Bearings of the boom from the front of the carrier, clockwise, from where to where it may slew; "
        "without it all the way round.",
    )
    pad_length_m: Length | None = Field(
        default=None, alias="pad_length", description="Length of the pad that stands on the mat."
    )
    pad_width_m: Length | None = Field(default=None, alias="pad_width", description="Width of that pad.")
    pad_stiffness_N_per_m: Stiffness | None = Field(
        default=None,
        alias="pad_stiffness",
        description="Stiffness of one pad with its beam and ground; needed with torsional_stiffness.",
    )
    torsional_stiffness_Nm_per_rad: TorsionalStiffness | None = Field(
        default=None,
        alias="torsional_stiffness",
        description="Moment that twists the carrier by one radian between front and rear pads; without it the carrier "
        "is rigid.",
    )


class Mat(Section):
    """A mat below a pad, with the strength that says how far it spreads the force."""

    material: Text = Field(description="What it is made of: steel plate S235, crossed oak beams.")
    length_m: Length = Field(alias="length", description="Length, along the beams of a timber mat.")
    width_m: Length = Field(alias="width", description="Width.")
    thickness_m: Length = Field(
        alias="thickness", description="Thickness that bends: of one layer where layers cross."
    )
    spreads: Literal["both ways", "along its length"] = Field(
        description="A plate or crossed layers spread both ways, beams side by side along their length only."
    )
    bending_strength_Pa: Stress = Field(alias="bending_strength", description="Allowable bending stress.")
    shear_strength_Pa: Stress = Field(alias="shear_strength", description="Allowable shear stress.")
    source: Text = Field(description="Who states these strengths.")
    pad_offset: PadPlace = Field(
        default=(0.0, 0.0),
        description="Middle of the pad from the middle of the mat, along its length and its width.",
    )


class SoilStrength(Section):
    """The soil below the mats, for a bearing resistance by calculation."""

    friction_angle_rad: FrictionAngle = Field(
        alias="friction_angle", description="Angle of shearing resistance; 0 deg for undrained clay."
    )
    cohesion_Pa: Cohesion = Field(
        alias="cohesion", description="Effective cohesion, or undrained shear strength where the angle is 0."
    )
    unit_weight_N_per_m3: UnitWeight = Field(alias="unit_weight", description="Unit weight above the water.")
    saturated_unit_weight_N_per_m3: UnitWeight | None = Field(
        default=None, alias="saturated_unit_weight", description="Unit weight below the water."
    )
    water_depth_m: LengthOrZero | None = Field(
        default=None, alias="water_depth", description="Depth of the water table below the ground."
    )
    depth_m: LengthOrZero = Field(
        default=0.0, alias="depth", description="Depth of the underside of the mats below the ground."
    )
    method: BearingMethod = Field(default="EN 1997-1", description="Formula of the bearing resistance.")
    design_approach: Literal["1", "2", "3"] | None = Field(
        default=None,
        description="Design approach of EN 1997-1 that the national annex names; needed with that method.",
    )
    safety_factor: SafetyFactor | None = Field(
        default=None,
        description="Factor of safety on the pressure at failure; needed with the other methods.",
    )


class Settlement(Section):
    """How the pads sink, as far as that tilts the crane."""

    subgrade_modulus_N_per_m3: UnitWeight | None = Field(
        default=None,
        alias="subgrade_modulus",
        description="Pressure below the mats for each metre of settlement: 20000 kN/m3.",
    )
    difference_m: LengthOrZero | None = Field(
        default=None, alias="difference", description="Stated difference of settlement between two pads."
    )
    out_of_level_limit: RatioOrZero | None = Field(
        default=None, description="Out-of-level that the chart allows, as a slope: 1 %."
    )
    source: Text | None = Field(default=None, description="Who states modulus or difference.")


class Hazard(Section):
    """Something near or below the crane that the allowable pressure may not count on."""

    kind: HazardKind = Field(description="What it is.")
    distance_m: LengthOrZero = Field(
        alias="distance", description="Clear distance from the nearest mat or track in plan; 0 m below it."
    )
    depth_m: LengthOrZero | None = Field(
        default=None, alias="depth", description="Height of the edge, or depth of what is buried."
    )
    checked_by: Text | None = Field(
        default=None, description="Who has checked it for these forces: name, report, date."
    )


class PresumedBearing(Section):
    """A bearing value presumed from the kind of ground, where nobody has investigated it."""

    ground: PresumedGround = Field(description="Kind of ground, as seen on the site.")
    seen_by: Text = Field(description="Who has looked at the ground.")
    date: Date | None = Field(default=None, description="When.")
