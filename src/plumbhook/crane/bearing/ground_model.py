"""The pad and the soil below it, as the bearing formulas see them."""

from __future__ import annotations

import math
from dataclasses import dataclass

from plumbhook.core.errors import InputError, Problem

WATER_UNIT_WEIGHT_N_per_m3 = 9810.0


@dataclass(frozen=True, slots=True)
class Pad:
    """A rectangular pad or mat on level ground.

    Attributes:
        width_m: shorter side B, m.
        length_m: longer side L, m; infinite for a strip.
        depth_m: depth D of its underside below the ground, m, zero where it lies on the surface.
        eccentricity_width_m: eccentricity of the force along B, m, either sign.
        eccentricity_length_m: eccentricity of the force along L, m, either sign.

    Raises:
        InputError: a number makes no sense, or the force stands outside the pad; all of them at once.
    """

    width_m: float
    length_m: float
    depth_m: float = 0.0
    eccentricity_width_m: float = 0.0
    eccentricity_length_m: float = 0.0

    def __post_init__(self) -> None:
        problems = []
        if not (math.isfinite(self.width_m) and self.width_m > 0.0):
            problems.append(Problem("pad.width", "the width of the pad must be a positive number"))
        if not self.length_m > 0.0:
            problems.append(Problem("pad.length", "the length of the pad must be a positive number"))
        if not self.length_m >= self.width_m and not problems:
            problems.append(Problem("pad.length", "the length is the longer side; exchange length and width"))
        if not (math.isfinite(self.depth_m) and self.depth_m >= 0.0):
            problems.append(Problem("pad.depth", "the depth of the underside must be zero or more"))
        for name, offset, side in (
            ("width", self.eccentricity_width_m, self.width_m),
            ("length", self.eccentricity_length_m, self.length_m),
        ):
            if not math.fabs(offset) < side / 2.0:
                problems.append(
                    Problem(
                        f"pad.eccentricity_{name}",
                        "the force must stand on the pad; move it or enlarge the pad",
                    )
                )
        if problems:
            raise InputError(tuple(problems))

    @property
    def effective_sides_m(self) -> tuple[float, float]:
        """Sides (B', L') of the area centred under the force, the shorter first, m.

        Source: EN 1997-1:2004, D.2 (effective area); the same rule goes back to Meyerhof.
        """
        sides = (
            self.width_m - 2.0 * math.fabs(self.eccentricity_width_m),
            self.length_m - 2.0 * math.fabs(self.eccentricity_length_m),
        )
        return (min(sides), max(sides))

    @property
    def effective_area_m2(self) -> float:
        """Effective area A' = B' L', m2; infinite for a strip."""
        width, length = self.effective_sides_m
        return width * length


@dataclass(frozen=True, slots=True)
class Soil:
    """One uniform soil.

    Attributes:
        friction_angle_rad: angle of shearing resistance phi, rad, 0 to below 50 degrees; zero for undrained clay.
        cohesion_Pa: effective cohesion c', or undrained shear strength c_u where the angle is zero, Pa.
        unit_weight_N_per_m3: unit weight above the water, N/m3.
        saturated_unit_weight_N_per_m3: unit weight below the water, N/m3; None where there is no water.
        water_depth_m: depth of the water table below the ground, m; None where there is none.

    Raises:
        InputError: a number makes no sense; all of them at once.
    """

    friction_angle_rad: float
    cohesion_Pa: float
    unit_weight_N_per_m3: float
    saturated_unit_weight_N_per_m3: float | None = None
    water_depth_m: float | None = None

    def __post_init__(self) -> None:
        problems = []
        if not 0.0 <= self.friction_angle_rad < math.radians(50.0):
            problems.append(
                Problem(
                    "soil.friction_angle", "the angle of shearing resistance must lie from 0 to below 50 deg"
                )
            )
        if not (math.isfinite(self.cohesion_Pa) and self.cohesion_Pa >= 0.0):
            problems.append(Problem("soil.cohesion", "the cohesion must be a number, zero or more"))
        if self.friction_angle_rad == 0.0 and self.cohesion_Pa == 0.0:
            problems.append(
                Problem("soil.cohesion", "a soil needs an angle of shearing resistance or a cohesion")
            )
        if not 5e3 <= self.unit_weight_N_per_m3 <= 30e3:
            problems.append(
                Problem("soil.unit_weight", "the unit weight of soil lies between 5 and 30 kN/m3")
            )
        saturated = self.saturated_unit_weight_N_per_m3
        if saturated is None:
            if self.water_depth_m is not None:
                problems.append(
                    Problem("soil.saturated_unit_weight", "state the unit weight below the water table")
                )
        elif not WATER_UNIT_WEIGHT_N_per_m3 < saturated <= 30e3:
            problems.append(
                Problem(
                    "soil.saturated_unit_weight",
                    "soil below the water weighs more than water, up to 30 kN/m3",
                )
            )
        if self.water_depth_m is not None and not 0.0 <= self.water_depth_m < math.inf:
            problems.append(Problem("soil.water_depth", "the depth of the water table must be zero or more"))
        if problems:
            raise InputError(tuple(problems))

    @property
    def drained(self) -> bool:
        """Whether the soil resists by friction; False for undrained clay."""
        return self.friction_angle_rad > 0.0

    def overburden_Pa(self, depth_m: float, *, effective: bool = True) -> float:
        """Vertical stress of the soil beside the pad at a depth, Pa.

        Args:
            depth_m: depth below the ground, m.
            effective: without the pressure of the water; False gives the total stress.
        """
        dry = depth_m if self.water_depth_m is None else min(depth_m, self.water_depth_m)
        wet = depth_m - dry
        if wet == 0.0:
            return self.unit_weight_N_per_m3 * dry
        saturated = self.saturated_unit_weight_N_per_m3
        assert saturated is not None
        below = saturated - WATER_UNIT_WEIGHT_N_per_m3 if effective else saturated
        return self.unit_weight_N_per_m3 * dry + below * wet

    def unit_weight_below_N_per_m3(self, depth_m: float, width_m: float) -> float:
        """Effective unit weight of the soil within one width below the pad, N/m3.

        Args:
            depth_m: depth of the underside, m.
            width_m: width of the pad, m; the wedge that fails is about as deep as the pad is wide.

        Source: common practice, no source (linear between water at the underside and one width below it).
        """
        dry = self.unit_weight_N_per_m3
        if self.water_depth_m is None or self.water_depth_m >= depth_m + width_m:
            return dry
        saturated = self.saturated_unit_weight_N_per_m3
        assert saturated is not None
        wet = saturated - WATER_UNIT_WEIGHT_N_per_m3
        above = max(self.water_depth_m - depth_m, 0.0) / width_m
        return wet + (dry - wet) * above
