"""Where the lift happens: crane and its chart, stations of the path, ground, wind."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field

from plumbhook.model.crane_chart import ChartIdentity, ChartRow, RiggedAs
from plumbhook.model.ground import (
    Hazard,
    Mat,
    OutriggerGeometry,
    PresumedBearing,
    Settlement,
    SlewSector,
    SoilStrength,
)
from plumbhook.model.hoist import Deduction, HoistRope, RadiusGrowthStated
from plumbhook.model.quantity import (
    Area,
    Coordinate,
    Date,
    Length,
    LengthOrZero,
    Mass,
    MassOrZero,
    Section,
    ShapeFactor,
    Share,
    Speed,
    Stress,
    Text,
)
from plumbhook.model.surroundings import BoomShape, Obstacle, PowerLineRoute
from plumbhook.model.use import Temperatures
from plumbhook.model.way import Bearing, GroundPoint, Move


class Tracks(Section):
    """Crawler tracks and the machine on them."""

    length_m: Length = Field(alias="length", description="Bearing length of a track.")
    width_m: Length = Field(alias="width", description="Width of a track.")
    machine_mass_kg: Mass = Field(
        alias="machine_mass", description="Mass of the crane as configured, without load."
    )
    machine_cog_behind_slew_axis_m: Coordinate = Field(
        alias="machine_cog_behind_slew_axis",
        description="Centre of gravity of the crane behind the slew axis (away from the boom is positive).",
    )
    gauge_m: Length | None = Field(
        default=None,
        alias="gauge",
        description="Distance of the middles of the tracks; without it only the boom along the tracks is checked.",
    )
    slew_sector: SlewSector | None = Field(
        default=None,
        description="Bearings of the boom from the front of the tracks, clockwise, from where to where it may slew; "
        "without it all the way round.",
    )


class Outriggers(Section):
    """Outriggers of a mobile crane: the customary bound on the worst one, and statics where their geometry is given."""

    machine_mass_kg: Mass = Field(
        alias="machine_mass", description="Mass of the crane as configured with its ballast, without load."
    )
    larger_share: Share = Field(
        default=0.75,
        description="Part of crane, ballast, load and rig on the worst outrigger. Source: common practice, no source.",
    )
    mat_length_m: Length = Field(
        alias="mat_length", description="Effective length of the mat below an outrigger."
    )
    mat_width_m: Length = Field(alias="mat_width", description="Effective width of that mat.")
    geometry: OutriggerGeometry | None = Field(
        default=None, description="Pads and masses, for the reactions through the slew."
    )


class Crane(Section):
    """The crane, its configuration and the chart that belongs to it."""

    machine: Text = Field(description="What crane it is.")
    configuration: Text = Field(description="Boom, counterweight, supports, slewing range the chart is for.")
    chart_page: Text = Field(description="Page of the chart, so that it can be found again.")
    set_up: Text | None = Field(
        default=None,
        description="Configuration in which the crane is ordered or stands, in the words of configuration; the chart "
        "holds for no other.",
    )
    hook_block_kg: MassOrZero = Field(alias="hook_block", description="Mass of the hook block.")
    hook_block_rating_kg: Mass | None = Field(
        default=None, alias="hook_block_rating", description="Rated load of the hook block."
    )
    hoist_rope_kg: MassOrZero | None = Field(
        default=None,
        alias="hoist_rope",
        description="Mass of the hoist rope that hangs; leave it out where rope gives line_mass and hanging_length.",
    )
    rope: HoistRope | None = Field(default=None, description="Hoist rope and its reeving.")
    stowed_jib_kg: MassOrZero | None = Field(
        default=None,
        alias="stowed_jib",
        description="What the chart takes off for a jib that is stowed on the boom.",
    )
    deductions: tuple[Deduction, ...] = Field(
        default=(), description="What else the chart takes off: a second block, a boom head sheave."
    )
    radius_growth: RadiusGrowthStated | None = Field(
        default=None, description="How much farther out the hook is under load than planned."
    )
    chart_for: ChartIdentity | None = Field(
        default=None, description="What the chart holds for, as its head says; a chart_file has it in itself."
    )
    rigged_as: RiggedAs | None = Field(
        default=None, description="How the crane is rigged; the chart must be for just that."
    )
    hook_seat_limit_m: Length | None = Field(
        default=None, alias="hook_seat_limit", description="Thickest link that the hook's seat takes."
    )
    hook_width_m: Length | None = Field(
        default=None,
        alias="hook_width",
        description="Thickness of the hook where the top link lies round it: the link must be wider inside.",
    )
    chart: tuple[ChartRow, ...] = Field(
        default=(),
        description="Rows of radius and rated capacity, radius increasing: [12 m, 84.0 t]; null for a capacity that "
        "the chart leaves empty.",
    )
    chart_file: Text | None = Field(
        default=None,
        description="CSV or XLSX with the columns radius and capacity, below lines that say what the chart holds for; "
        "instead of chart.",
    )
    position_m: GroundPoint = Field(
        default=(0.0, 0.0),
        alias="position",
        description="Slew axis on the ground, [east, north]; where it is left out the axis is the origin.",
    )
    heading_rad: Bearing = Field(
        default=0.0,
        alias="heading",
        description="Bearing of the front of the undercarriage, clockwise from north.",
    )
    boom: BoomShape | None = Field(
        default=None, description="Its boom and tail, for clearances; not looked at while it is left out."
    )
    tracks: Tracks | None = Field(default=None, description="Tracks of a crawler crane.")
    outriggers: Outriggers | None = Field(default=None, description="Outriggers of a mobile crane.")


class PlaceStation(Section):
    """One station of the path of the load."""

    name: Text = Field(description="Name of the station.")
    radius_m: Length = Field(alias="radius", description="Radius of the hook from the slew axis.")
    support_level_m: Coordinate | None = Field(
        default=None,
        alias="support_level",
        description="Level of what the load is set on, over the crane's ground.",
    )
    clearance_m: LengthOrZero | None = Field(
        default=None, alias="clearance", description="Clearance to keep between support and load."
    )
    hook_height_limit_m: Length | None = Field(
        default=None,
        alias="hook_height_limit",
        description="Highest hook at that radius, over the crane's ground.",
    )
    slew_rad: Bearing | None = Field(
        default=None,
        alias="slew",
        description="Bearing of the boom, clockwise from north; needed for the way between stations.",
    )
    load_bearing_rad: Bearing | None = Field(
        default=None, alias="load_bearing", description="Bearing of the load's x axis, clockwise from north."
    )
    load_bottom_m: Coordinate | None = Field(
        default=None,
        alias="load_bottom",
        description="Lowest point of the load over the crane's ground, where the load is not "
        "clearance above support_level.",
    )
    hook_height_m: Length | None = Field(
        default=None, alias="hook_height", description="Height of the hook, instead of load_bottom."
    )
    crane_position_m: GroundPoint | None = Field(
        default=None,
        alias="crane_position",
        description="Slew axis of a crane that travels with the load, [east, north]; else that of the station before.",
    )
    moves: tuple[Move, ...] = Field(
        default=(),
        description="Moves from the station before, in order; left out: hoist up, luff in, travel, slew, luff out, "
        "lower.",
    )


class Ground(Section):
    """What the ground may carry."""

    allowable_pressure_Pa: Stress | None = Field(
        default=None, alias="allowable_pressure", description="Allowable bearing pressure."
    )
    source: Text | None = Field(default=None, description="Report that gives it.")
    date: Date | None = Field(default=None, description="Date of the report.")
    mat_width_m: Length | None = Field(
        default=None, alias="mat_width", description="Effective width of the mats."
    )
    given_by: Text | None = Field(default=None, description="Who gave the value, as a person or firm.")
    presumed: PresumedBearing | None = Field(
        default=None, description="Presumed value, where nobody has investigated the ground."
    )
    soil: SoilStrength | None = Field(
        default=None,
        description="Soil, for a bearing resistance by calculation, instead of allowable_pressure.",
    )
    mat: Mat | None = Field(default=None, description="Mat below each pad of the outriggers.")
    settlement: Settlement | None = Field(default=None, description="How the pads sink.")
    hazards: tuple[Hazard, ...] = Field(
        default=(), description="Edges, slabs, voids and services near or below the crane."
    )


class Wind(Section):
    """What the wind may be and what it takes hold of."""

    chart_limit_m_s: Speed | None = Field(
        default=None, alias="chart_limit", description="Wind limit of the crane chart."
    )
    area_m2: Area | None = Field(
        default=None, alias="area", description="Largest area of the load facing the wind."
    )
    shape_factor: ShapeFactor | None = Field(default=None, description="Shape (drag) factor of the load.")
    source: Text | None = Field(default=None, description="Where area and factor come from.")


class Place(Section):
    """The place of the lift."""

    crane: Crane = Field(description="Crane and chart.")
    stations: Annotated[tuple[PlaceStation, ...], Field(min_length=1)] = Field(
        description="Stations of the path, in order."
    )
    ground: Ground | None = Field(default=None, description="Ground below the crane.")
    wind: Wind | None = Field(default=None, description="Wind on the load.")
    obstacles: tuple[Obstacle, ...] = Field(
        default=(), description="What stands about, from which boom, rig and load keep clear."
    )
    power_lines: tuple[PowerLineRoute, ...] = Field(default=(), description="Power lines near the lift.")
    temperature: Temperatures | None = Field(
        default=None,
        description="How cold and how warm slings and shackles may be; ordinary where it is left out.",
    )
