"""The bolted flange joint of a tube: forces in its bolts, when it opens, and the torque that keeps it closed.

Compression N is positive. The joint carries N, a moment M and a shear V through flanges that stay plane:

* closed, as one with the preload of all bolts on the contact between the faces: it opens where the pressure at the edge
  of the contact comes to zero;
* opened, by the bolts alone in proportion to their distance from the axis of rotation. Rotation about the centre of
  the bolt circle gives the larger bolt force under compression and is what the check uses; rotation about a compressed
  edge is there to be compared.

Statics of a rigid flange; the formulas are own derivations. The resistances are those of EN 1993-1-8.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from plumbhook.checks.inputs import FloatOrArray, as_given
from plumbhook.core.check import Clause, SourceQuality, Value

BOLT_FORCE = Clause(
    "Statics of a rigid flange about the centre of its bolts", quality=SourceQuality.OWN_DERIVATION
)
OPENING = Clause("Statics of a preloaded contact", quality=SourceQuality.OWN_DERIVATION)
STAYS_CLOSED = Clause("A joint of a strut stays closed in service", quality=SourceQuality.COMMON_PRACTICE)


@dataclass(frozen=True, slots=True)
class FlangeGeometry:
    """A ring flange and its bolts.

    Attributes:
        bolt_count: bolts evenly spaced on one circle, three at least.
        bolt_circle_m: diameter of the bolt circle, m.
        tube_diameter_m: outside diameter of the tube, m.
        flange_diameter_m: outside diameter of the flange, m.
        flange_thickness_m: thickness of each flange, m.
        contact_outside_m: outside diameter of the contact that is relied on, m; the tube's is the safe choice.
        contact_inside_m: inside diameter of that contact, m.
        weld_leg_m: leg of the fillet weld between tube and flange, 0 where it is not known.
    """

    bolt_count: int
    bolt_circle_m: float
    tube_diameter_m: float
    flange_diameter_m: float
    flange_thickness_m: float
    contact_outside_m: float
    contact_inside_m: float
    weld_leg_m: float = 0.0

    def problems(self, hole_m: float) -> tuple[str, ...]:
        """What cannot be, one sentence each; empty if nothing."""
        found = []
        if self.bolt_count < 3:
            found.append(
                f"a flange joint needs at least three bolts, not {self.bolt_count}; enter the bolts of one joint"
            )
        numbers = (
            self.bolt_circle_m,
            self.tube_diameter_m,
            self.flange_diameter_m,
            self.flange_thickness_m,
            self.contact_outside_m,
        )
        if not all(math.isfinite(number) and number > 0.0 for number in numbers):
            found.append("every dimension of the flange must be more than zero; enter them as on the drawing")
            return tuple(found)
        if not 0.0 <= self.contact_inside_m < self.contact_outside_m:
            found.append(
                "the contact of the flanges needs an inside diameter smaller than its outside diameter"
            )
        if not (math.isfinite(self.weld_leg_m) and self.weld_leg_m >= 0.0):
            found.append("the leg of the weld must be zero or more; enter it as on the drawing")
        if self.bolt_circle_m - hole_m <= self.tube_diameter_m:
            found.append(
                "the bolts stand in the wall of the tube; check bolt circle and outside diameter of the tube"
            )
        elif (self.bolt_circle_m - self.tube_diameter_m) / 2.0 <= 0.8 * self.weld_leg_m:
            found.append(
                "the weld between tube and flange reaches the bolts; check its leg and the bolt circle"
            )
        if self.bolt_circle_m + hole_m >= self.flange_diameter_m:
            found.append(
                "the bolt holes break out of the flange; check bolt circle and outside diameter of the flange"
            )
        return tuple(found)


@dataclass(frozen=True, slots=True)
class JointForces:
    """Forces in a joint of a strut, dynamic and load factors included as the check asks.

    Attributes:
        compression_N: N, compression positive, N.
        shear_N: V, N, not negative.
        moment_Nm: M, Nm, not negative.
        origin: case and station they come from.
        quantity: key of the joint at this level of load among the quantities of the rig; "" for none.
    """

    compression_N: float
    shear_N: float
    moment_Nm: float
    origin: str
    quantity: str = ""

    def values(self) -> dict[str, Value]:
        """The three forces as values ``N``, ``V`` and ``M``."""
        return {
            symbol: Value(
                symbol,
                value,
                unit,
                f"{meaning} in the joint",
                self.origin,
                display,
                f"{self.quantity}:{symbol}" if self.quantity else "",
            )
            for symbol, value, unit, meaning, display in (
                ("N", self.compression_N, "N", "compression", "kN"),
                ("V", self.shear_N, "N", "shear", "kN"),
                ("M", self.moment_Nm, "Nm", "bending moment", "kN.m"),
            )
        }


def kern_radius_m(contact_outside_m: FloatOrArray, contact_inside_m: FloatOrArray) -> FloatOrArray:
    """Kern radius ``W/A = (Do2 + Di2)/(8 Do)`` of a ring: a force within it presses on all of the ring, m.

    Source: own derivation; geometry.
    """
    return (contact_outside_m**2 + contact_inside_m**2) / (8.0 * contact_outside_m)


def opening_moment_Nm(
    compression_N: FloatOrArray, bolt_count: int, preload_N: FloatOrArray, kern_radius_m: FloatOrArray
) -> FloatOrArray:
    """Moment at which a joint begins to open, ``(n Fp + N) W/A``, Nm; negative where it is open without any moment.

    Source: own derivation.
    """
    return (bolt_count * preload_N + compression_N) * kern_radius_m


def preload_to_stay_closed_N(
    compression_N: FloatOrArray, moment_Nm: FloatOrArray, bolt_count: int, kern_radius_m: FloatOrArray
) -> FloatOrArray:
    """Least preload of each bolt with which the joint stays closed, ``(M A/W - N)/n``, not negative, N.

    Source: own derivation, inverse of :func:`opening_moment_Nm`.
    """
    needed = (np.asarray(moment_Nm) / kern_radius_m - compression_N) / bolt_count
    return as_given(np.maximum(needed, 0.0))


def bolt_tension_about_centre_N(
    compression_N: FloatOrArray, moment_Nm: FloatOrArray, bolt_count: int, bolt_circle_m: FloatOrArray
) -> FloatOrArray:
    """Tension of the most loaded bolt of an opened joint, ``4 M/(n D) - N/n``, not negative, N.

    Args:
        compression_N: N, compression positive; number or array.
        moment_Nm: M; number or array.
        bolt_count: bolts evenly spaced, three at least.
        bolt_circle_m: diameter D of the bolt circle, m.

    Source: own derivation: plane flange turning about the centre of the bolts, a bolt at the extreme fibre.
    """
    pull = 4.0 * np.asarray(moment_Nm) / (bolt_count * bolt_circle_m) - np.asarray(compression_N) / bolt_count
    return as_given(np.maximum(pull, 0.0))


def bolt_tensions_about_edge_N(
    compression_N: float,
    moment_Nm: float,
    bolt_count: int,
    bolt_circle_m: float,
    edge_distance_m: float,
    first_bolt_rad: float = 0.0,
) -> npt.NDArray[np.float64]:
    """Tension of every bolt where the flange turns about a compressed edge.

    Args:
        compression_N: N, compression positive, acting at the centre.
        moment_Nm: M.
        bolt_count: bolts evenly spaced.
        bolt_circle_m: diameter of the bolt circle, m.
        edge_distance_m: distance of the edge from the centre, m: half the tube, the bolt circle or the flange.
        first_bolt_rad: position of the first bolt, from the most pulled point, rad.

    Returns:
        Tensions, shape (bolt_count,), N: in proportion to the distance from the edge; zero for bolts beyond the edge
        and where N keeps the joint closed.

    Source: own derivation: ``sum F r = M - N e``.
    """
    angles = first_bolt_rad + 2.0 * math.pi * np.arange(bolt_count) / bolt_count
    levers = np.maximum(edge_distance_m + bolt_circle_m / 2.0 * np.cos(angles), 0.0)
    moment = max(moment_Nm - compression_N * edge_distance_m, 0.0)
    return moment * levers / float(np.sum(levers**2))


def bolt_shear_N(shear_N: FloatOrArray, bolt_count: int) -> FloatOrArray:
    """Shear of each bolt where all share alike and none is carried by friction or a spigot, ``V/n``, N.

    Source: own derivation; clearance holes of one size, rigid flanges.
    """
    return shear_N / bolt_count
