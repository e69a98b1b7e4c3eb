"""One call of every builder of joints, pins, welds and reduced ratings, with arguments that tests may change."""

import math
from collections.abc import Callable
from typing import Any

from plumbhook.checks import several_legs
from plumbhook.checks.asme_bth_1 import pin_checks as bth_pin_checks
from plumbhook.checks.en_1993_1_8_2005 import joint_preload, joint_strength, pin_checks, weld_checks
from plumbhook.checks.en_1993_1_8_2005.bolts import Bolt
from plumbhook.checks.en_1993_1_8_2005.flange_joint import FlangeGeometry, JointForces
from plumbhook.checks.en_1993_1_8_2005.joint_steps import JointMaterial
from plumbhook.core.check import Check, Value

GRAVITY = 9.81

FLANGE = FlangeGeometry(
    bolt_count=6,
    bolt_circle_m=0.280,
    tube_diameter_m=0.2191,
    flange_diameter_m=0.340,
    flange_thickness_m=0.025,
    contact_outside_m=0.2191,
    contact_inside_m=0.1991,
    weld_leg_m=0.008,
)
M20 = Bolt.of("M20", "8.8")
TIGHT = joint_preload.Tightening(torque_Nm=280.0, least_factor=0.14, largest_factor=0.20)
STEEL = JointMaterial(yield_Pa=345e6, ultimate_Pa=470e6)
JOINT_FORCES = JointForces(compression_N=30e3, shear_N=4e3, moment_Nm=8e3, origin="elastic, x+ y-, joint 2")
FORCE = Value("F", 150e3, "N", "force on the part", "elastic, x+ y-", "kN")
PIN = pin_checks.PinJoint(
    pin_m=0.050,
    hole_m=0.051,
    middle_m=0.040,
    outer_m=0.025,
    gap_m=0.002,
    pin_yield_Pa=650e6,
    pin_ultimate_Pa=900e6,
    plate_yield_Pa=345e6,
)
PLATE = bth_pin_checks.PinPlate(
    pin_m=0.050,
    hole_m=0.052,
    thickness_m=0.040,
    width_m=0.049,
    end_m=0.049,
    radius_m=0.075,
    yield_Pa=345e6,
    ultimate_Pa=470e6,
)
LUG = weld_checks.LugWeld(
    throat_m=0.008, length_m=0.250, plate_m=0.040, hole_height_m=0.100, ultimate_Pa=470e6, correlation=0.9
)
PULL = weld_checks.LugPull(force_N=150e3, angle_rad=math.radians(30.0), side_N=5e3, origin="elastic, x+ y-")
JOINT = {"forces": JOINT_FORCES, "geometry": FLANGE, "bolt": M20}

ARGUMENTS: dict[Callable[..., Check], dict[str, Any]] = {
    joint_preload.joint_stays_closed_check: {**JOINT, "tightening": TIGHT},
    joint_preload.least_torque_check: {**JOINT, "tightening": TIGHT},
    joint_preload.preload_limit_check: {"bolt": M20, "tightening": TIGHT},
    joint_strength.bolt_tension_check: {**JOINT, "material": STEEL},
    joint_strength.bolt_shear_and_tension_check: {**JOINT, "material": STEEL},
    joint_strength.slip_check: {**JOINT, "material": STEEL, "preload_N": 70e3, "slip_factor": 0.2},
    joint_strength.bearing_check: {**JOINT, "material": STEEL},
    joint_strength.bolt_distances_check: {"geometry": FLANGE, "bolt": M20},
    pin_checks.pin_check: {"force": FORCE, "joint": PIN},
    pin_checks.replaceable_pin_check: {"service_force": FORCE, "joint": PIN},
    pin_checks.pin_plate_outline_check: {
        "force": FORCE,
        "thickness_m": 0.040,
        "hole_m": 0.052,
        "end_m": 0.049,
        "side_m": 0.049,
        "yield_Pa": 345e6,
    },
    weld_checks.lug_weld_check: {"pull": PULL, "weld": LUG},
    weld_checks.lug_weld_simplified_check: {"pull": PULL, "weld": LUG},
    bth_pin_checks.pin_plate_check: {"force": FORCE, "plate": PLATE, "design_factor": 3.0},
    bth_pin_checks.pin_in_plates_check: {
        "force": FORCE,
        "pin_m": 0.050,
        "middle_m": 0.040,
        "outer_m": 0.025,
        "gap_m": 0.002,
        "yield_Pa": 650e6,
        "design_factor": 3.0,
    },
    several_legs.several_leg_chain_check: {
        "force": FORCE,
        "chain_m": 0.020,
        "legs": 4,
        "angle_from_vertical_rad": math.radians(40.0),
        "gravity_m_s2": GRAVITY,
    },
    several_legs.several_leg_rope_check: {
        "force": FORCE,
        "rope_m": 0.032,
        "legs": 2,
        "angle_from_vertical_rad": math.radians(40.0),
        "gravity_m_s2": GRAVITY,
    },
}
