"""What levelling has found: the exact lengths, the sets that can be had, and what binds where none will do."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from plumbhook.planning.assessment import Vector
from plumbhook.planning.levelling_adjusters import Adjuster


class LevelLimit(Enum):
    """What can keep a set of lengths from being used."""

    TILT = "tilt of the load"
    FLAT = "largest angle of the top lines from the vertical"
    HEADROOM = "hook height"
    RATED_LOAD = "rated load of a line"
    RACKING = "racking of the frame"
    RANGE = "range that a line can be set to"
    REST = "stable rest with every line taut"


@dataclass(frozen=True, slots=True)
class LevelLimits:
    """Limits that a set of lengths must keep.

    Attributes:
        tilt_rad: largest tilt of the load.
        angle_max_rad: largest angle of a top line from the vertical, on the rig as drawn.
        rig_height_m: largest height from the lowest point of the load to the crane hook; infinite where no station
            of the path limits it.
        rig_height_source: which station limits it.
        racking_rad: largest turn of a frame's corner out of its drawn angle.
        force_ratio: factor on the forces of the expected weight for the comparison with rated loads: weight factor
            times dynamic factor.
        rated_N: rated load of each line as a force; a line without one is left out.
    """

    tilt_rad: float
    angle_max_rad: float
    rig_height_m: float
    rig_height_source: str
    racking_rad: float
    force_ratio: float
    rated_N: Mapping[str, float]


@dataclass(frozen=True, slots=True)
class LengthSet:
    """A set of line lengths and how the load hangs in it, with stretch.

    Attributes:
        lengths_m: unstretched, bearing to bearing, of every line that can be set.
        tilt_rad: angle between the load's own vertical and the vertical.
        tilt_x_rad: slope of its x axis, positive when the plus side is low; ``tilt_y_rad`` likewise.
        triangle_height_m: from the mean of the lower ends of the top lines up to where they meet.
        rig_height_m: from the lowest point of the load to the crane hook.
        angles_rad: of every top line from the vertical, as drawn and unstretched.
        racking_rad: largest turn of a frame's corner out of its drawn angle; zero for rigs without a frame.
        largest_use: largest force of a line in proportion to its rated load, factors included; NaN where no line has
            a rated load.
        changed: lines that are set otherwise than now.
        broken: limits that it does not keep.
    """

    lengths_m: Mapping[str, float]
    tilt_rad: float
    tilt_x_rad: float
    tilt_y_rad: float
    triangle_height_m: float
    rig_height_m: float
    angles_rad: Mapping[str, float]
    racking_rad: float
    largest_use: float
    changed: tuple[str, ...]
    broken: tuple[LevelLimit, ...]

    @property
    def keeps_limits(self) -> bool:
        """Whether no limit is broken."""
        return not self.broken


@dataclass(frozen=True, slots=True)
class TiltSensitivity:
    """What one thing does to the tilt, rad per metre (per kg for the mass): slopes of the load's x and y axes."""

    name: str
    unit: str
    tilt_x: float
    tilt_y: float


@dataclass(frozen=True, slots=True)
class Levelling:
    """The answer of levelling.

    Attributes:
        mass_kg: of the load that was levelled; ``cog_m`` its centre of gravity.
        limits: that were to be kept.
        adjusters: lines that can be set.
        present: the rig as it is set now.
        closed_form_m: lengths with the hook plumb over the common centre of gravity of load and rig, all level and
            without stretch; empty where the arrangement has no such form.
        exact: lengths at which the load hangs level with stretch, any length being possible; None where none exist.
        choices: sets that can be had, the most level first; those that keep the limits before those that do not.
        sensitivities: of the tilt at the exact set (at the present one where there is none).
        reasons: why no set that can be had keeps the limits; empty where one does.
        binding: the limits that stand in the way.
    """

    mass_kg: float
    cog_m: Vector
    limits: LevelLimits
    adjusters: Mapping[str, Adjuster]
    present: LengthSet
    closed_form_m: Mapping[str, float]
    exact: LengthSet | None
    choices: tuple[LengthSet, ...]
    sensitivities: tuple[TiltSensitivity, ...]
    reasons: tuple[str, ...]
    binding: tuple[LevelLimit, ...]

    @property
    def best(self) -> LengthSet | None:
        """The most level set that can be had and keeps the limits; None where there is none."""
        return next((choice for choice in self.choices if choice.keeps_limits), None)
