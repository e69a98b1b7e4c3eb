"""Items of lifting equipment as they lie in the store, and the strut families they belong to."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from enum import Enum

from plumbhook.model.joint import FlangeJoint
from plumbhook.model.strut_rating import RatingTable


class ItemKind(Enum):
    """What an item is, in the words of the trade (and of the stock file)."""

    STRUT_PIECE = "strut piece"
    END_FITTING = "end fitting"
    CORNER_FITTING = "corner fitting"
    ROUNDSLING = "roundsling"
    WEBBING_SLING = "webbing sling"
    BELLY_SLING = "belly sling"
    CHAIN_SLING = "chain sling"
    WIRE_ROPE_SLING = "wire rope sling"
    SHACKLE = "shackle"
    MASTER_LINK = "master link"
    LOAD_CELL = "load cell"

    @property
    def is_sling(self) -> bool:
        """Whether the item is a sling of any material."""
        return self in _SLINGS

    @property
    def is_textile(self) -> bool:
        """Whether the item is of textile, which edges and heat destroy."""
        return self in (ItemKind.ROUNDSLING, ItemKind.WEBBING_SLING, ItemKind.BELLY_SLING)

    @property
    def is_strut_part(self) -> bool:
        """Whether the item is part of a strut rather than of a line."""
        return self in (ItemKind.STRUT_PIECE, ItemKind.END_FITTING, ItemKind.CORNER_FITTING)


_SLINGS = frozenset(
    {
        ItemKind.ROUNDSLING,
        ItemKind.WEBBING_SLING,
        ItemKind.BELLY_SLING,
        ItemKind.CHAIN_SLING,
        ItemKind.WIRE_ROPE_SLING,
    }
)


@dataclass(frozen=True, slots=True)
class Item:
    """One item with its serial number. None means that the value is not known, never zero.

    Attributes:
        serial: number marked on the item.
        kind: what it is.
        description: as the firm calls it.
        family: strut family of a strut piece or fitting; "" otherwise.
        wll_kg: working load limit as marked, in mass; of one leg for a sling with several legs.
        mass_kg: its own mass.
        length_m: effective length, bearing to bearing, unloaded; of a strut piece, face to face; of one leg
            for a sling with several legs. Zero where it is counted in another item.
        head_length_m: height of the head (master link) of a sling with several legs, bearing to bearing.
        elongation_at_wll_ratio: elastic elongation at the working load limit, in proportion to the length.
        pin_m: diameter of the pin.
        jaw_m: width between the jaws.
        inside_length_m: inside length of a shackle body or link.
        bow_width_m: inside width of a bow.
        bearing_width_m: width that a sling takes in a bow or on a hook.
        link_stock_m: thickness of the link that sits in a hook, of a master link, or of the bow of a shackle.
        legs: number of legs of a sling that has several; None for one.
        pitch_m: steps in which the length can be set (links of a chain with shorteners); None where it cannot.
        shortest_m: shortest length it can be set to; the steps count from here up to ``length_m``.
        accuracy_ratio: accuracy of a load cell in proportion to the reading.
        hole_m: diameter of the hole of a plate that a pin goes through.
        plate_m: thickness of that plate.
        inside_width_m: inside width of a link, or natural width of the eye of a sling.
        thickness_m: thickness of a sling where it bears: diameter of a wire rope, textile under load.
        least_bearing_m: smallest diameter that the eye of a sling may bear on, as its maker states.
        lower_pin_m: diameter of the pin at the lower end. Where any size of the lower end is given, the lower end
            is what these say; otherwise it is like the upper one.
        lower_jaw_m: width between the jaws of the lower end.
        lower_hole_m: diameter of the hole of the lower end.
        lower_plate_m: thickness of the plate of the lower end.
        lower_link_stock_m: thickness of the link of the lower end.
        lower_inside_width_m: inside width of the link of the lower end.
        last_examination: day of the last thorough examination; of the calibration for a load cell.
        status: ``ok``, or why it may not be used (``quarantined`` ...).
        note: remarks, limits, bookings.
    """

    serial: str
    kind: ItemKind
    description: str
    family: str = ""
    wll_kg: float | None = None
    mass_kg: float | None = None
    length_m: float | None = None
    head_length_m: float | None = None
    elongation_at_wll_ratio: float | None = None
    pin_m: float | None = None
    jaw_m: float | None = None
    inside_length_m: float | None = None
    bow_width_m: float | None = None
    bearing_width_m: float | None = None
    link_stock_m: float | None = None
    legs: int | None = None
    pitch_m: float | None = None
    shortest_m: float | None = None
    accuracy_ratio: float | None = None
    hole_m: float | None = None
    plate_m: float | None = None
    inside_width_m: float | None = None
    thickness_m: float | None = None
    least_bearing_m: float | None = None
    lower_pin_m: float | None = None
    lower_jaw_m: float | None = None
    lower_hole_m: float | None = None
    lower_plate_m: float | None = None
    lower_link_stock_m: float | None = None
    lower_inside_width_m: float | None = None
    last_examination: datetime.date | None = None
    status: str = "not stated"
    note: str = ""


@dataclass(frozen=True, slots=True)
class StrutFamily:
    """Tube, steel and joints that all pieces and fittings of one strut family share.

    Attributes:
        name: name of the family.
        outside_diameter_m: outside diameter of the tube.
        wall_m: wall thickness of the tube.
        steel: grade, for the documents.
        yield_strength_Pa: nominal yield strength.
        elastic_modulus_Pa: modulus of elasticity.
        buckling_curve: buckling curve of EN 1993-1-1 table 6.2 (``a0``, ``a``, ``b``, ``c``, ``d``).
        end_offset_m: from the face of an end fitting to the pin that the slings pull at, along the axis.
        pin_offset_m: eccentricity of that pin from the axis of the tube.
        line_mass_kg_per_m: mass per length for bending by self weight.
        joint_bolts: bolts of one joint, for the documents.
        joint_torque_Nm: tightening torque of the bolts; None if not known.
        joint_mass_kg: mass of the bolts of one joint.
        note: remarks.
        joint_stiffness_Nm_per_rad: rotational stiffness of one closed joint; None if not known.
        joint_slack_rad: angle by which a joint opens before it carries; None if not known.
        rating: the maker's rating table; None where the firm has entered none.
        joint: flanges and tightening of the joints; None where they are not given.
    """

    name: str
    outside_diameter_m: float
    wall_m: float
    steel: str
    yield_strength_Pa: float
    elastic_modulus_Pa: float
    buckling_curve: str
    end_offset_m: float
    pin_offset_m: float
    line_mass_kg_per_m: float
    joint_bolts: str
    joint_torque_Nm: float | None
    joint_mass_kg: float
    note: str = ""
    joint_stiffness_Nm_per_rad: float | None = None
    joint_slack_rad: float | None = None
    rating: RatingTable | None = None
    joint: FlangeJoint | None = None
