"""What the lift file says of the way between two stations: moves in their order."""

from __future__ import annotations

import math
from enum import Enum
from typing import Annotated

from pydantic import Field

from plumbhook.core.units import Kind
from plumbhook.model.quantity import Coordinate, Length, Quantity, Section

Bearing = Annotated[float, Quantity(Kind.ANGLE, at_least=-2.0 * math.pi, at_most=2.0 * math.pi)]
GroundPoint = tuple[Coordinate, Coordinate]


class MoveKind(Enum):
    """What the crane does in one move."""

    HOIST = "hoist"
    LUFF = "luff"
    SLEW = "slew"
    TRAVEL = "travel"


class Turn(Enum):
    """Which way round the crane slews."""

    SHORTER = "shorter"
    CLOCKWISE = "clockwise"
    ANTICLOCKWISE = "anticlockwise"


class Move(Section):
    """One move on the way to a station; without a target of its own it goes all the way to the station's."""

    move: MoveKind = Field(description="What the crane does: hoist (up or down), luff, slew or travel.")
    load_bottom_m: Coordinate | None = Field(
        default=None,
        alias="load_bottom",
        description="For hoist: lowest point of the load at the end, over the crane's ground.",
    )
    radius_m: Length | None = Field(default=None, alias="radius", description="For luff: radius at the end.")
    slew_rad: Bearing | None = Field(
        default=None,
        alias="slew",
        description="For slew: bearing of the boom at the end, clockwise from north.",
    )
    turn: Turn = Field(default=Turn.SHORTER, description="For slew: which way round.")
    crane_position_m: GroundPoint | None = Field(
        default=None, alias="crane_position", description="For travel: slew axis at the end, [east, north]."
    )
