"""Checks of the preload of a bolted flange joint: it stays closed, its torque suffices, no bolt is overstrained."""

from __future__ import annotations

from dataclasses import dataclass

from plumbhook.checks.en_1993_1_8_2005 import bolts
from plumbhook.checks.en_1993_1_8_2005.bolts import Bolt
from plumbhook.checks.en_1993_1_8_2005.flange_joint import (
    OPENING,
    STAYS_CLOSED,
    FlangeGeometry,
    JointForces,
    kern_radius_m,
    opening_moment_Nm,
    preload_to_stay_closed_N,
)
from plumbhook.checks.inputs import input_problems, refuse
from plumbhook.core.check import Check, Step, Value
from plumbhook.core.errors import Problem

PLANE_FACES = (
    "The faces of the flanges are plane and touch over the contact named; flanges are stiff against bolts."
)
ALL_TIGHT = "Every bolt of the joint is tightened to the torque stated, checked before each lift."


@dataclass(frozen=True, slots=True)
class Tightening:
    """How the bolts of a joint are tightened.

    Attributes:
        torque_Nm: tightening torque, N m.
        least_factor: lowest torque factor k of the bolts as used; gives the largest preload.
        largest_factor: highest k; gives the least preload. Equal to the lowest only where tests say so.
    """

    torque_Nm: float
    least_factor: float
    largest_factor: float

    def values(self) -> dict[str, Value]:
        """The numbers as values ``T``, ``k_min`` and ``k_max``."""
        meaning = "torque factor k of the bolts as greased and used"
        return {
            "T": Value("T", self.torque_Nm, "Nm", "tightening torque", "joint data", "N.m"),
            "k_min": Value("k_min", self.least_factor, "1", f"lowest {meaning}", "joint data"),
            "k_max": Value("k_max", self.largest_factor, "1", f"highest {meaning}", "joint data"),
        }


def joint_stays_closed_check(
    check_id: str,
    station: str,
    title: str,
    *,
    forces: JointForces,
    geometry: FlangeGeometry,
    bolt: Bolt,
    tightening: Tightening,
) -> Check:
    """Moment in a joint against the moment at which it opens, with the least preload that its torque gives.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        forces: forces in service, dynamic factor included, no load factor.
        geometry: flange and bolts.
        bolt: one of the bolts.
        tightening: torque and range of the torque factor.

    Returns:
        The check, in Nm.

    Raises:
        InputError: a number is missing or cannot be.
    """
    force, given, tight = forces.values(), bolt.values(), tightening.values()
    refuse(_problems(check_id, forces, geometry, bolt, tightening))
    kern, count = _kern_step(geometry), _count(geometry)
    least = bolts.preload_from_torque_N(tightening.torque_Nm, bolt.diameter_m, tightening.largest_factor)
    preload = Value("F_p", float(least), "N", "least preload of each bolt", display="kN")
    opens = opening_moment_Nm(forces.compression_N, geometry.bolt_count, float(least), kern.result.value)
    capacity = Value("M_0", float(opens), "Nm", "moment at which the joint begins to open", display="kN.m")
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=force["M"],
        capacity=capacity,
        clause=STAYS_CLOSED,
        steps=(
            Step(preload, "T/(k_max*d)", (tight["T"], tight["k_max"], given["d"]), bolts.TORQUE),
            kern,
            Step(capacity, "(n*F_p + N)*r_k", (count, preload, force["N"], kern.result), OPENING),
        ),
        assumptions=(PLANE_FACES, ALL_TIGHT),
        cure="raise the torque up to what bolts and flange allow, or move the joint to where the moment is smaller",
    )


def least_torque_check(
    check_id: str,
    station: str,
    title: str,
    *,
    forces: JointForces,
    geometry: FlangeGeometry,
    bolt: Bolt,
    tightening: Tightening,
) -> Check:
    """Least torque that keeps a joint closed in service against the torque stated.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        forces: forces in service, dynamic factor included, no load factor.
        geometry: flange and bolts.
        bolt: one of the bolts.
        tightening: torque and range of the torque factor.

    Returns:
        The check, in N m; the demand is zero where the joint stays closed without any preload.

    Raises:
        InputError: a number is missing or cannot be.
    """
    force, given, tight = forces.values(), bolt.values(), tightening.values()
    refuse(_problems(check_id, forces, geometry, bolt, tightening))
    kern, count = _kern_step(geometry), _count(geometry)
    needed = preload_to_stay_closed_N(
        forces.compression_N, forces.moment_Nm, geometry.bolt_count, kern.result.value
    )
    preload = Value(
        "F_req", float(needed), "N", "least preload with which the joint stays closed", display="kN"
    )
    torque = bolts.torque_for_preload_Nm(float(needed), bolt.diameter_m, tightening.largest_factor)
    demand = Value(
        "T_req", float(torque), "Nm", "least torque with which the joint stays closed", display="N.m"
    )
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=demand,
        capacity=tight["T"],
        clause=STAYS_CLOSED,
        steps=(
            kern,
            Step(preload, "max(0, (M/r_k - N)/n)", (force["M"], kern.result, force["N"], count), OPENING),
            Step(demand, "k_max*d*F_req", (tight["k_max"], given["d"], preload), bolts.TORQUE),
        ),
        assumptions=(PLANE_FACES, ALL_TIGHT),
        cure="raise the torque up to what bolts and flange allow, or move the joint to where the moment is smaller",
    )


def preload_limit_check(
    check_id: str, station: str, title: str, *, bolt: Bolt, tightening: Tightening
) -> Check:
    """Largest preload that the torque can give against that of a preloaded bolt, ``0.7 fub As``.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        bolt: one of the bolts.
        tightening: torque and range of the torque factor.

    Returns:
        The check, in N.

    Raises:
        InputError: a number is missing or cannot be.
    """
    given, tight = bolt.values(), tightening.values()
    refuse((*bolt_problems(check_id, bolt), *_tightening_problems(check_id, tightening)))
    largest = bolts.preload_from_torque_N(tightening.torque_Nm, bolt.diameter_m, tightening.least_factor)
    demand = Value("F_p_max", float(largest), "N", "largest preload of a bolt", display="kN")
    capacity = Value(
        "F_p_C",
        float(bolts.preload_N(bolt.stress_area_m2, bolt.ultimate_Pa)),
        "N",
        "preload of a preloaded bolt",
        display="kN",
    )
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=demand,
        capacity=capacity,
        clause=bolts.PRELOAD,
        steps=(
            Step(demand, "T/(k_min*d)", (tight["T"], tight["k_min"], given["d"]), bolts.TORQUE),
            Step(capacity, "0.7*f_ub*A_s", (given["f_ub"], given["A_s"]), bolts.PRELOAD),
        ),
        assumptions=(
            "Bolts, nuts and washers are of one assembly lot and greased as the torque factor assumes.",
        ),
        cure="lower the torque, or grease as the torque factor assumes, or use larger or stronger bolts",
    )


def bolt_problems(check_id: str, bolt: Bolt) -> tuple[Problem, ...]:
    """What cannot be of a bolt."""
    strength = Value("f_yb", bolt.yield_Pa, "Pa", "yield strength of the bolt", display="MPa")
    return input_problems(check_id, positive=(*bolt.values().values(), strength))


def force_problems(check_id: str, forces: JointForces) -> tuple[Problem, ...]:
    """What cannot be of the forces in a joint."""
    force = forces.values()
    return input_problems(check_id, finite=(force["N"],), not_negative=(force["V"], force["M"]))


def geometry_problems(check_id: str, geometry: FlangeGeometry, bolt: Bolt) -> tuple[Problem, ...]:
    """What cannot be of a flange with these bolts."""
    return tuple(Problem(check_id, sentence) for sentence in geometry.problems(bolt.hole_m))


def _tightening_problems(check_id: str, tightening: Tightening) -> tuple[Problem, ...]:
    found = input_problems(check_id, positive=tightening.values().values())
    if not found and tightening.least_factor > tightening.largest_factor:
        sentence = "the lowest torque factor is higher than the highest; enter them the other way round"
        found = (Problem(check_id, sentence),)
    return found


def _problems(
    check_id: str, forces: JointForces, geometry: FlangeGeometry, bolt: Bolt, tightening: Tightening
) -> tuple[Problem, ...]:
    return (
        *force_problems(check_id, forces),
        *geometry_problems(check_id, geometry, bolt),
        *bolt_problems(check_id, bolt),
        *_tightening_problems(check_id, tightening),
    )


def _count(geometry: FlangeGeometry) -> Value:
    return Value("n", float(geometry.bolt_count), "1", "bolts of the joint", "joint data")


def _kern_step(geometry: FlangeGeometry) -> Step:
    outside = Value(
        "D_o", geometry.contact_outside_m, "m", "outside diameter of the contact", "joint data", "mm"
    )
    inside = Value(
        "D_i", geometry.contact_inside_m, "m", "inside diameter of the contact", "joint data", "mm"
    )
    kern = Value(
        "r_k",
        float(kern_radius_m(geometry.contact_outside_m, geometry.contact_inside_m)),
        "m",
        "kern radius of the contact",
        display="mm",
    )
    return Step(kern, "(D_o**2 + D_i**2)/(8*D_o)", (outside, inside), OPENING)
