"""Equipment written in the lift file itself instead of in a stock file."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from plumbhook.model.equipment import Item, ItemKind, StrutFamily
from plumbhook.model.joint import FlangeJoint
from plumbhook.model.quantity import (
    AngleOrZero,
    Date,
    Length,
    LengthOrZero,
    LineMass,
    Mass,
    MassOrZero,
    RatioOrZero,
    RotationalStiffness,
    Section,
    Serial,
    Share,
    Stress,
    Text,
    TopAngle,
    Torque,
    Whole,
    refuse,
)
from plumbhook.model.strut_rating import RatingRow, RatingTable, rating_faults, rating_table

KindWord = Literal[
    "strut piece",
    "end fitting",
    "corner fitting",
    "roundsling",
    "webbing sling",
    "belly sling",
    "chain sling",
    "wire rope sling",
    "shackle",
    "master link",
    "load cell",
]
BucklingCurve = Literal["a0", "a", "b", "c", "d"]


def _legs(legs: int) -> int:
    if not 1 <= legs <= 8:
        raise refuse(f'"{legs}" is not a number of legs that a sling has')
    return legs


class InlineItem(Section):
    """One item. What is not known is left out; it is never taken as zero."""

    serial: Serial = Field(description="Number marked on the item.")
    kind: KindWord = Field(description="What it is.")
    description: Text | None = Field(default=None, description="As the firm calls it.")
    family: Text | None = Field(default=None, description="Strut family of a piece or fitting.")
    wll_kg: Mass | None = Field(
        default=None,
        alias="wll",
        description="Working load limit as marked; of one leg for a sling with several.",
    )
    mass_kg: MassOrZero | None = Field(default=None, alias="mass", description="Its own mass.")
    length_m: LengthOrZero | None = Field(
        default=None,
        alias="length",
        description="Effective length, bearing to bearing, unloaded; zero where counted in another item.",
    )
    head_length_m: LengthOrZero | None = Field(
        default=None, alias="head_length", description="Height of the head of a sling with several legs."
    )
    elongation_at_wll_ratio: RatioOrZero | None = Field(
        default=None, alias="elongation_at_wll", description="Elastic elongation at the working load limit."
    )
    pin_m: Length | None = Field(default=None, alias="pin", description="Diameter of the pin.")
    jaw_m: Length | None = Field(default=None, alias="jaw", description="Width between the jaws.")
    inside_length_m: Length | None = Field(default=None, alias="inside_length", description="Inside length.")
    bow_width_m: Length | None = Field(
        default=None, alias="bow_width", description="Inside width of the bow."
    )
    bearing_width_m: Length | None = Field(
        default=None, alias="bearing_width", description="Width that the sling takes in a bow."
    )
    link_stock_m: Length | None = Field(
        default=None, alias="link_stock", description="Thickness of a link, or of the bow of a shackle."
    )
    legs: Annotated[Whole, AfterValidator(_legs)] | None = Field(default=None, description="Number of legs.")
    pitch_m: Length | None = Field(
        default=None,
        alias="pitch",
        description="Steps in which the length can be set, as with the links of a chain with shorteners.",
    )
    shortest_m: Length | None = Field(
        default=None,
        alias="shortest",
        description="Shortest length it can be set to; the steps count from here up to the length.",
    )
    accuracy_ratio: RatioOrZero | None = Field(
        default=None, alias="accuracy", description="Accuracy of a load cell in proportion to the reading."
    )
    hole_m: Length | None = Field(default=None, alias="hole", description="Diameter of the hole of a plate.")
    plate_m: Length | None = Field(
        default=None, alias="plate", description="Thickness of the plate with the hole."
    )
    inside_width_m: Length | None = Field(
        default=None,
        alias="inside_width",
        description="Inside width of a link, or natural width of the eye of a sling.",
    )
    thickness_m: Length | None = Field(
        default=None,
        alias="thickness",
        description="Thickness of a sling where it bears: diameter of a wire rope, textile under load.",
    )
    least_bearing_m: Length | None = Field(
        default=None,
        alias="least_bearing",
        description="Smallest diameter that the eye of the sling may bear on, as its maker states.",
    )
    lower_pin_m: Length | None = Field(
        default=None,
        alias="lower_pin",
        description="Diameter of the pin at the lower end, where that differs from the upper end.",
    )
    lower_jaw_m: Length | None = Field(
        default=None, alias="lower_jaw", description="Width between the jaws of the lower end."
    )
    lower_hole_m: Length | None = Field(
        default=None, alias="lower_hole", description="Diameter of the hole of the lower end."
    )
    lower_plate_m: Length | None = Field(
        default=None, alias="lower_plate", description="Thickness of the plate of the lower end."
    )
    lower_link_stock_m: Length | None = Field(
        default=None, alias="lower_link_stock", description="Thickness of the link of the lower end."
    )
    lower_inside_width_m: Length | None = Field(
        default=None, alias="lower_inside_width", description="Inside width of the link of the lower end."
    )
    last_examination: Date | None = Field(
        default=None, description="Day of the last thorough examination, or calibration of a load cell."
    )
    status: Text = Field(default="not stated", description="ok, or why it may not be used.")
    note: Text | None = Field(default=None, description="Remarks.")


class InlineRating(Section):
    """One row of the maker's rating table."""

    span_m: Length = Field(alias="span", description="Span pin to pin.")
    angle_from_vertical_rad: TopAngle = Field(
        alias="top_angle_from_vertical", description="Angle of the top slings from the vertical."
    )
    rated_load_kg: Mass | None = Field(
        alias="rated_load", description="Rated load on the whole strut; null where the maker rates none."
    )


def _table(rows: tuple[InlineRating, ...]) -> tuple[InlineRating, ...]:
    faults = rating_faults([_row(row) for row in rows])
    if faults:
        raise refuse("; ".join(fault for fault, _ in faults))
    return rows


def _row(row: InlineRating) -> RatingRow:
    return RatingRow(row.span_m, row.angle_from_vertical_rad, row.rated_load_kg)


class InlineJoint(Section):
    """Flanges and tightening of the bolted joints of a strut family; all of it is needed to check them."""

    bolt_circle_m: Length = Field(alias="bolt_circle", description="Diameter of the bolt circle.")
    flange_diameter_m: Length = Field(alias="flange_diameter", description="Outside diameter of the flanges.")
    flange_thickness_m: Length = Field(alias="flange_thickness", description="Thickness of each flange.")
    flange_steel: Text = Field(description="Steel grade of the flanges, e.g. S355.")
    weld_leg_m: LengthOrZero = Field(alias="weld_leg", description="Leg of the weld between tube and flange.")
    least_torque_factor: Share = Field(
        alias="torque_factor_least", description="Lowest torque factor k of the bolts as greased and used."
    )
    largest_torque_factor: Share = Field(
        alias="torque_factor_largest", description="Highest torque factor k of the bolts."
    )
    slip_factor: Share | None = Field(
        default=None, description="Friction of the faces, where the joint relies on it."
    )


class InlineStrutFamily(Section):
    """Tube, steel and joints of a strut family."""

    outside_diameter_m: Length = Field(alias="outside_diameter", description="Outside diameter of the tube.")
    wall_m: Length = Field(alias="wall", description="Wall thickness of the tube.")
    steel: Text = Field(description="Grade of the steel.")
    yield_strength_Pa: Stress = Field(alias="yield_strength", description="Nominal yield strength.")
    elastic_modulus_Pa: Stress = Field(alias="elastic_modulus", description="Modulus of elasticity.")
    buckling_curve: BucklingCurve = Field(description="Buckling curve of EN 1993-1-1 table 6.2.")
    end_offset_m: LengthOrZero = Field(
        alias="end_offset", description="From the face of an end fitting to its pin, along the axis."
    )
    pin_offset_m: LengthOrZero = Field(
        alias="pin_offset", description="Eccentricity of the pin from the axis."
    )
    line_mass_kg_per_m: LineMass = Field(alias="line_mass", description="Mass per length for its own weight.")
    joint_bolts: Text | None = Field(default=None, description="Bolts of one joint.")
    joint_torque_Nm: Torque | None = Field(
        default=None, alias="joint_torque", description="Tightening torque."
    )
    joint_mass_kg: MassOrZero = Field(alias="joint_mass", description="Mass of the bolts of one joint.")
    joint_stiffness_Nm_per_rad: RotationalStiffness | None = Field(
        default=None, alias="joint_stiffness", description="Rotational stiffness of one closed joint."
    )
    joint_slack_rad: AngleOrZero | None = Field(
        default=None,
        alias="joint_slack",
        description="Angle by which a joint opens before it carries; none is assumed where it is left out.",
    )
    rating: Annotated[tuple[InlineRating, ...], AfterValidator(_table)] | None = Field(
        default=None, description="The maker's rating table: every angle at every span."
    )
    rating_source: Text | None = Field(default=None, description="The maker's sheet the table is from.")
    joint: InlineJoint | None = Field(
        default=None, description="Flanges and tightening of the joints, for their checks."
    )
    note: Text | None = Field(default=None, description="Remarks.")


def item_of(inline: InlineItem) -> Item:
    """The item that was written in the lift file."""
    values = inline.model_dump(exclude={"kind", "description", "family", "legs", "note"})
    return Item(
        kind=ItemKind(inline.kind),
        description=inline.description or inline.kind,
        family=inline.family or "",
        note=inline.note or "",
        legs=None if inline.legs == 1 else inline.legs,
        **values,
    )


def family_of(name: str, inline: InlineStrutFamily) -> StrutFamily:
    """The strut family that was written in the lift file."""
    values = inline.model_dump(exclude={"joint_bolts", "note", "rating", "rating_source", "joint"})
    rating: RatingTable | None = None
    if inline.rating:
        rating = rating_table(
            name, inline.rating_source or "the maker's table", [_row(row) for row in inline.rating]
        )
    joint = None if inline.joint is None else FlangeJoint(**inline.joint.model_dump())
    return StrutFamily(
        name=name,
        joint_bolts=inline.joint_bolts or "",
        note=inline.note or "",
        rating=rating,
        joint=joint,
        **values,
    )
