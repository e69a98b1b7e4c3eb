"""Checks of the strength of a bolted flange joint: tension with prying, shear, both, slip, bearing, distances."""

from __future__ import annotations

from plumbhook.checks.en_1993_1_8_2005 import bolts, t_stub
from plumbhook.checks.en_1993_1_8_2005.bolts import Bolt
from plumbhook.checks.en_1993_1_8_2005.flange_joint import FlangeGeometry, JointForces
from plumbhook.checks.en_1993_1_8_2005.joint_preload import bolt_problems, geometry_problems
from plumbhook.checks.en_1993_1_8_2005.joint_steps import (
    JointMaterial,
    edge_step,
    joint_problems,
    pitch_step,
    prying_steps,
    shear_step,
    tension_resistance_step,
    tension_step,
)
from plumbhook.checks.inputs import input_problems, refuse
from plumbhook.core.check import Check, Step, Value

TURNS_ABOUT_CENTRE = (
    "The opened flange turns about the centre of its bolts, with a bolt at the most pulled point; under compression "
    "this gives more tension than turning about a compressed edge."
)
SHARED_SHEAR = "The bolts share the shear alike; neither friction nor a spigot takes part of it."


def bolt_tension_check(
    check_id: str,
    station: str,
    title: str,
    *,
    forces: JointForces,
    geometry: FlangeGeometry,
    bolt: Bolt,
    material: JointMaterial,
) -> Check:
    """Tension of the most loaded bolt of an opened joint against its resistance with prying of the flange.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        forces: design forces, load factor included.
        geometry: flange and bolts.
        bolt: one of the bolts.
        material: steel of the flange and partial factors.

    Returns:
        The check, in N.

    Raises:
        InputError: a number is missing or cannot be.
    """
    refuse(joint_problems(check_id, forces, geometry, bolt, material))
    demand = tension_step(forces, geometry)
    steps = prying_steps(geometry, bolt, material)
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=demand.result,
        capacity=steps[-1].result,
        clause=t_stub.T_STUB,
        steps=(demand, *steps),
        assumptions=(TURNS_ABOUT_CENTRE, "The flange of a tube is taken as half a T-stub for each bolt."),
        cure="use a thicker flange, more or larger bolts, or move the joint to where the moment is smaller",
    )


def bolt_shear_and_tension_check(
    check_id: str,
    station: str,
    title: str,
    *,
    forces: JointForces,
    geometry: FlangeGeometry,
    bolt: Bolt,
    material: JointMaterial,
) -> Check:
    """Shear and tension of the most loaded bolt together, shear through the thread.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        forces: design forces, load factor included.
        geometry: flange and bolts.
        bolt: one of the bolts.
        material: partial factors.

    Returns:
        The check: sum of the two parts against 1.

    Raises:
        InputError: a number is missing or cannot be.
    """
    refuse(joint_problems(check_id, forces, geometry, bolt, material))
    given, factor = bolt.values(), material.values()
    tension, shear = tension_step(forces, geometry), shear_step(forces, geometry)
    shear_resistance = Value(
        "F_v_Rd",
        float(
            bolts.shear_resistance_N(
                bolt.stress_area_m2, bolt.ultimate_Pa, bolt.shear_factor, material.gamma_M2
            )
        ),
        "N",
        "shear resistance of a bolt",
        display="kN",
    )
    tension_resistance = tension_resistance_step(bolt, material)
    used = bolts.shear_and_tension_utilisation(
        shear.result.value, tension.result.value, shear_resistance.value, tension_resistance.result.value
    )
    demand = Value("u", float(used), "1", "shear and tension of the bolt together")
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=demand,
        capacity=Value("u_max", 1.0, "1", "largest sum of the two parts", "Table 3.4"),
        clause=bolts.BOLT_COMBINED,
        steps=(
            tension,
            shear,
            Step(
                shear_resistance,
                "alpha_v*f_ub*A_s/gamma_M2",
                (given["alpha_v"], given["f_ub"], given["A_s"], factor["gamma_M2"]),
                bolts.BOLT_SHEAR,
            ),
            tension_resistance,
            Step(
                demand,
                "F_v/F_v_Rd + F_t/(1.4*F_t_Rd)",
                (shear.result, shear_resistance, tension.result, tension_resistance.result),
                bolts.BOLT_COMBINED,
            ),
        ),
        assumptions=(TURNS_ABOUT_CENTRE, SHARED_SHEAR),
        cure="use more, larger or stronger bolts, or move the joint to where shear and moment are smaller",
    )


def slip_check(
    check_id: str,
    station: str,
    title: str,
    *,
    forces: JointForces,
    geometry: FlangeGeometry,
    bolt: Bolt,
    material: JointMaterial,
    preload_N: float,
    slip_factor: float,
) -> Check:
    """Shear of a joint against slip by the preload of its bolts; the compression in the strut is not counted on.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        forces: design forces, load factor included.
        geometry: flange and bolts.
        bolt: one of the bolts.
        material: partial factors.
        preload_N: least preload of each bolt, N.
        slip_factor: friction of the faces as treated.

    Returns:
        The check, in N for each bolt.

    Raises:
        InputError: a number is missing or cannot be.
    """
    preload = Value("F_p", preload_N, "N", "least preload of each bolt", "torque of the joint", "kN")
    friction = Value("mu", slip_factor, "1", "friction of the faces", "treatment of the faces")
    refuse(
        (
            *joint_problems(check_id, forces, geometry, bolt, material),
            *input_problems(check_id, positive=(preload, friction)),
        )
    )
    tension, shear = tension_step(forces, geometry), shear_step(forces, geometry)
    partial = material.values()["gamma_M3"]
    resistance = Value(
        "F_s_Rd",
        float(
            bolts.slip_resistance_N(
                1, slip_factor, preload_N, material.gamma_M3, tension_N=tension.result.value
            )
        ),
        "N",
        "slip resistance of a bolt",
        display="kN",
    )
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=shear.result,
        capacity=resistance,
        clause=bolts.SLIP_WITH_TENSION,
        steps=(
            tension,
            shear,
            Step(
                resistance,
                "mu*max(0, F_p - 0.8*F_t)/gamma_M3",
                (friction, preload, tension.result, partial),
                bolts.SLIP_WITH_TENSION,
            ),
        ),
        assumptions=(
            TURNS_ABOUT_CENTRE,
            "Every bolt is reckoned with the tension of the most loaded one; one friction face, normal holes.",
        ),
        cure="raise the preload, treat the faces for more friction, or give the joint a spigot",
    )


def bearing_check(
    check_id: str,
    station: str,
    title: str,
    *,
    forces: JointForces,
    geometry: FlangeGeometry,
    bolt: Bolt,
    material: JointMaterial,
) -> Check:
    """Shear of each bolt against its bearing in the flange, force towards the nearest edge.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        forces: design forces, load factor included.
        geometry: flange and bolts.
        bolt: one of the bolts.
        material: steel of the flange and partial factors.

    Returns:
        The check, in N for each bolt.

    Raises:
        InputError: a number is missing or cannot be.
    """
    refuse(joint_problems(check_id, forces, geometry, bolt, material))
    given, steel = bolt.values(), material.values()
    shear, edge, pitch = shear_step(forces, geometry), edge_step(geometry), pitch_step(geometry)
    wide, distance = pitch.result, edge.result
    alpha = Value(
        "alpha_b",
        float(
            bolts.bearing_alpha_b(
                distance.value, bolt.hole_m, bolt.ultimate_Pa, material.ultimate_Pa, wide.value
            )
        ),
        "1",
        "factor along the force",
    )
    across = Value(
        "k_1",
        float(bolts.bearing_k1(distance.value, bolt.hole_m, wide.value)),
        "1",
        "factor across the force",
    )
    thickness = Value("t", geometry.flange_thickness_m, "m", "thickness of the flange", "joint data", "mm")
    resistance = Value(
        "F_b_Rd",
        float(
            bolts.bearing_resistance_N(
                across.value,
                alpha.value,
                material.ultimate_Pa,
                bolt.diameter_m,
                geometry.flange_thickness_m,
                material.gamma_M2,
            )
        ),
        "N",
        "bearing resistance of a bolt in the flange",
        display="kN",
    )
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=shear.result,
        capacity=resistance,
        clause=bolts.BOLT_BEARING,
        steps=(
            shear,
            edge,
            pitch,
            Step(
                alpha,
                "min(e/(3*d_0), p/(3*d_0) - 0.25, f_ub/f_u, 1)",
                (distance, given["d_0"], wide, given["f_ub"], steel["f_u"]),
                bolts.BOLT_BEARING,
            ),
            Step(
                across,
                "min(2.8*e/d_0 - 1.7, 1.4*p/d_0 - 1.7, 2.5)",
                (distance, given["d_0"], wide),
                bolts.BOLT_BEARING,
            ),
            Step(
                resistance,
                "k_1*alpha_b*f_u*d*t/gamma_M2",
                (across, alpha, steel["f_u"], given["d"], thickness, steel["gamma_M2"]),
                bolts.BOLT_BEARING,
            ),
        ),
        assumptions=(
            SHARED_SHEAR,
            "The least edge distance and the pitch are taken both along and across the force.",
        ),
        cure="use a thicker flange, or more or larger bolts, or more edge distance",
    )


def bolt_distances_check(
    check_id: str, station: str, title: str, *, geometry: FlangeGeometry, bolt: Bolt
) -> Check:
    """Edge distance and pitch of the bolts of a flange against the least ones.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        geometry: flange and bolts.
        bolt: one of the bolts.

    Returns:
        The check: the larger of the two needs over what is there, against 1; attention where the pitch is so wide
        that the joint may gape and rust.

    Raises:
        InputError: a number is missing or cannot be.
    """
    refuse((*geometry_problems(check_id, geometry, bolt), *bolt_problems(check_id, bolt)))
    hole, edge, pitch = bolt.values()["d_0"], edge_step(geometry), pitch_step(geometry)
    need = max(
        float(bolts.least_end_distance_m(bolt.hole_m)) / edge.result.value,
        float(bolts.least_pitch_across_m(bolt.hole_m)) / pitch.result.value,
    )
    demand = Value("r", need, "1", "least distance over the distance there, the worse of edge and pitch")
    wide = pitch.result.value > float(bolts.largest_pitch_m(geometry.flange_thickness_m))
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=demand,
        capacity=Value("r_max", 1.0, "1", "largest ratio", "Table 3.3"),
        clause=bolts.BOLT_DISTANCES,
        steps=(
            edge,
            pitch,
            Step(
                demand,
                "max(1.2*d_0/e, 2.4*d_0/p)",
                (hole, edge.result, pitch.result),
                bolts.BOLT_DISTANCES,
            ),
        ),
        attention="The bolts stand wider apart than 14 flange thicknesses or 200 mm: the joint may gape."
        if wide
        else "",
        cure="use a larger flange, fewer bolts or smaller ones",
    )
