"""Steps that several checks of a bolted flange joint share: forces in the bolts, distances, prying."""

from __future__ import annotations

import math
from dataclasses import dataclass

from plumbhook.checks.en_1993_1_8_2005 import bolts, t_stub
from plumbhook.checks.en_1993_1_8_2005.bolts import Bolt
from plumbhook.checks.en_1993_1_8_2005.flange_joint import (
    BOLT_FORCE,
    FlangeGeometry,
    JointForces,
    bolt_shear_N,
    bolt_tension_about_centre_N,
)
from plumbhook.checks.en_1993_1_8_2005.joint_preload import bolt_problems, force_problems, geometry_problems
from plumbhook.checks.inputs import input_problems
from plumbhook.core.check import Step, Value
from plumbhook.core.errors import Problem


@dataclass(frozen=True, slots=True)
class JointMaterial:
    """Steel of the flanges and partial factors of a joint.

    Attributes:
        yield_Pa: yield strength of the flange, Pa.
        ultimate_Pa: tensile strength of the flange, Pa.
        gamma_M0: partial factor of yielding.
        gamma_M2: partial factor of bolts and fracture.
        gamma_M3: partial factor of slip.
    """

    yield_Pa: float
    ultimate_Pa: float
    gamma_M0: float = 1.0
    gamma_M2: float = 1.25
    gamma_M3: float = 1.25

    def values(self) -> dict[str, Value]:
        """The numbers as values ``f_y``, ``f_u``, ``gamma_M0``, ``gamma_M2`` and ``gamma_M3``."""
        rules = "rules of the lift"
        return {
            "f_y": Value("f_y", self.yield_Pa, "Pa", "yield strength of the flange", "material", "MPa"),
            "f_u": Value("f_u", self.ultimate_Pa, "Pa", "tensile strength of the flange", "material", "MPa"),
            "gamma_M0": Value("gamma_M0", self.gamma_M0, "1", "partial factor of yielding", rules),
            "gamma_M2": Value("gamma_M2", self.gamma_M2, "1", "partial factor of bolts", rules),
            "gamma_M3": Value("gamma_M3", self.gamma_M3, "1", "partial factor of slip", rules),
        }


def joint_problems(
    check_id: str, forces: JointForces, geometry: FlangeGeometry, bolt: Bolt, material: JointMaterial
) -> tuple[Problem, ...]:
    """What cannot be of forces, flange, bolts and material, all problems at once."""
    return (
        *force_problems(check_id, forces),
        *geometry_problems(check_id, geometry, bolt),
        *bolt_problems(check_id, bolt),
        *input_problems(check_id, positive=material.values().values()),
    )


def _count_and_circle(geometry: FlangeGeometry) -> tuple[Value, Value]:
    return (
        Value("n", float(geometry.bolt_count), "1", "bolts of the joint", "joint data"),
        Value("D_b", geometry.bolt_circle_m, "m", "diameter of the bolt circle", "joint data", "mm"),
    )


def tension_step(forces: JointForces, geometry: FlangeGeometry) -> Step:
    """``F_t``: tension of the most loaded bolt of the opened joint, N."""
    count, circle = _count_and_circle(geometry)
    force = forces.values()
    pull = bolt_tension_about_centre_N(
        forces.compression_N, forces.moment_Nm, geometry.bolt_count, geometry.bolt_circle_m
    )
    result = Value("F_t", float(pull), "N", "tension of the most loaded bolt", display="kN")
    return Step(result, "max(0, 4*M/(n*D_b) - N/n)", (force["M"], count, circle, force["N"]), BOLT_FORCE)


def shear_step(forces: JointForces, geometry: FlangeGeometry) -> Step:
    """``F_v``: shear of each bolt, N."""
    count, _ = _count_and_circle(geometry)
    shear = float(bolt_shear_N(forces.shear_N, geometry.bolt_count))
    result = Value("F_v", shear, "N", "shear of each bolt", display="kN")
    return Step(result, "V/n", (forces.values()["V"], count), BOLT_FORCE)


def edge_step(geometry: FlangeGeometry) -> Step:
    """``e``: edge distance of the bolts, m."""
    _, circle = _count_and_circle(geometry)
    flange = Value(
        "D_f", geometry.flange_diameter_m, "m", "outside diameter of the flange", "joint data", "mm"
    )
    edge = (geometry.flange_diameter_m - geometry.bolt_circle_m) / 2.0
    result = Value("e", edge, "m", "edge distance of the bolts", display="mm")
    return Step(result, "(D_f - D_b)/2", (flange, circle), BOLT_FORCE)


def pitch_step(geometry: FlangeGeometry) -> Step:
    """``p``: pitch of the bolts as a chord, m."""
    count, circle = _count_and_circle(geometry)
    pitch = geometry.bolt_circle_m * math.sin(math.pi / geometry.bolt_count)
    result = Value("p", pitch, "m", "pitch of the bolts", display="mm")
    return Step(result, "D_b*sin(pi/n)", (circle, count), BOLT_FORCE)


def tension_resistance_step(bolt: Bolt, material: JointMaterial) -> Step:
    """``F_t_Rd``: tension resistance of one bolt, N."""
    given, factor = bolt.values(), material.values()
    result = Value(
        "F_t_Rd",
        float(bolts.tension_resistance_N(bolt.stress_area_m2, bolt.ultimate_Pa, material.gamma_M2)),
        "N",
        "tension resistance of a bolt",
        display="kN",
    )
    return Step(
        result,
        "0.9*f_ub*A_s/gamma_M2",
        (given["f_ub"], given["A_s"], factor["gamma_M2"]),
        bolts.BOLT_TENSION,
    )


def prying_steps(geometry: FlangeGeometry, bolt: Bolt, material: JointMaterial) -> tuple[Step, ...]:
    """From the flange to the resistance of one bolt with prying; the last step is the resistance."""
    _, circle = _count_and_circle(geometry)
    steel = material.values()
    tube = Value("D", geometry.tube_diameter_m, "m", "outside diameter of the tube", "joint data", "mm")
    leg = Value(
        "z_w", geometry.weld_leg_m, "m", "leg of the weld between tube and flange", "joint data", "mm"
    )
    thickness = Value("t_f", geometry.flange_thickness_m, "m", "thickness of the flange", "joint data", "mm")
    edge, pitch = edge_step(geometry), pitch_step(geometry)
    web_m = (geometry.bolt_circle_m - geometry.tube_diameter_m) / 2.0 - 0.8 * geometry.weld_leg_m
    web = Value("m", web_m, "m", "distance of the bolt from the wall of the tube", display="mm")
    lever_m = float(t_stub.prying_lever_m(edge.result.value, web_m))
    lever = Value("n_p", lever_m, "m", "lever of the prying force", display="mm")
    length_m = float(t_stub.effective_length_of_one_bolt_m(web_m, edge.result.value, pitch.result.value))
    length = Value("l_eff", length_m, "m", "effective length of one bolt", display="mm")
    moment_Nm = float(
        t_stub.plastic_moment_Nm(length_m, geometry.flange_thickness_m, material.yield_Pa, material.gamma_M0)
    )
    moment = Value("M_pl", moment_Nm, "Nm", "plastic moment of the flange at one bolt", display="kN.m")
    single = tension_resistance_step(bolt, material)
    mode_1 = Value(
        "F_1", float(t_stub.mode_1_N(moment_Nm, web_m)) / 2.0, "N", "mode 1, flange yields", display="kN"
    )
    mode_2_N = float(t_stub.mode_2_N(moment_Nm, web_m, lever_m, 2.0 * single.result.value)) / 2.0
    mode_2 = Value("F_2", mode_2_N, "N", "mode 2, flange yields and bolt breaks", display="kN")
    both_N = float(t_stub.t_stub_resistance_N(moment_Nm, web_m, lever_m, 2.0 * single.result.value)) / 2.0
    resistance = Value("F_T_Rd", both_N, "N", "tension resistance of a bolt with prying", display="kN")
    return (
        edge,
        pitch,
        Step(web, "(D_b - D)/2 - 0.8*z_w", (circle, tube, leg), t_stub.T_STUB),
        Step(lever, "min(e, 1.25*m)", (edge.result, web), t_stub.T_STUB),
        Step(
            length, "min(2*pi*m, 4*m + 1.25*e, p)", (web, edge.result, pitch.result), t_stub.EFFECTIVE_LENGTH
        ),
        Step(
            moment,
            "0.25*l_eff*t_f**2*f_y/gamma_M0",
            (length, thickness, steel["f_y"], steel["gamma_M0"]),
            t_stub.T_STUB,
        ),
        single,
        Step(mode_1, "2*M_pl/m", (moment, web), t_stub.HALF_T_STUB),
        Step(
            mode_2,
            "(M_pl + n_p*F_t_Rd)/(m + n_p)",
            (moment, lever, single.result, web),
            t_stub.HALF_T_STUB,
        ),
        Step(resistance, "min(F_1, F_2, F_t_Rd)", (mode_1, mode_2, single.result), t_stub.T_STUB),
    )
