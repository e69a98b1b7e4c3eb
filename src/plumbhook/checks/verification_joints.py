"""Functions that the published cases of joints, pins, plates and welds name."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from types import MappingProxyType
from typing import Any

from plumbhook.checks.aisc_360_2010 import bolts as aisc_bolts
from plumbhook.checks.asme_bth_1 import pins as bth
from plumbhook.checks.en_1993_1_8_2005 import bolts, pins, t_stub


def _pin_area(diameter_m: float) -> float:
    return float(pins.pin_area_m2(diameter_m))


def _pin_shear(diameter_m: float, ultimate_Pa: float, gamma_M2: float) -> float:
    return float(pins.pin_shear_resistance_N(_pin_area(diameter_m), ultimate_Pa, gamma_M2))


def _pin_moment(diameter_m: float, yield_Pa: float, gamma_M0: float) -> float:
    return float(pins.pin_bending_resistance_Nm(pins.pin_modulus_m3(diameter_m), yield_Pa, gamma_M0))


def _pin_moment_service(diameter_m: float, yield_Pa: float) -> float:
    return float(pins.pin_bending_service_limit_Nm(pins.pin_modulus_m3(diameter_m), yield_Pa))


def _pin_shear_ratio(force_N: float, **pin: float) -> float:
    return force_N / _pin_shear(**pin)


def _plate_tension(
    pin_m: float,
    hole_m: float,
    width_m: float,
    thickness_m: float,
    yield_Pa: float,
    ultimate_Pa: float,
    design_factor: float,
) -> float:
    width = bth.effective_width_m(width_m, thickness_m, hole_m, yield_Pa, ultimate_Pa)
    factor = bth.hole_clearance_factor(pin_m, hole_m)
    return float(bth.plate_tension_N(factor, width, thickness_m, ultimate_Pa, design_factor))


def _plate_fracture(pin_m: float, hole_m: float, **plate: float) -> float:
    factor = bth.hole_clearance_factor(pin_m, hole_m)
    return float(bth.plate_fracture_N(clearance_factor=factor, hole_m=hole_m, **plate))


def _plate_double_shear(
    end_m: float, pin_m: float, hole_m: float, thickness_m: float, ultimate_Pa: float, design_factor: float
) -> float:
    area = bth.double_shear_area_m2(end_m, pin_m, hole_m, thickness_m)
    return float(bth.plate_double_shear_N(area, ultimate_Pa, design_factor))


def _bearing_load(pin_m: float, thickness_m: float, yield_Pa: float, design_factor: float) -> float:
    return float(bth.plate_bearing_N(bth.bearing_stress_Pa(yield_Pa, design_factor), pin_m, thickness_m))


def _bearing_bolt(
    diameter_m: float,
    hole_m: float,
    end_m: float,
    thickness_m: float,
    bolt_ultimate_Pa: float,
    plate_ultimate_Pa: float,
) -> float:
    alpha = bolts.bearing_alpha_b(end_m, hole_m, bolt_ultimate_Pa, plate_ultimate_Pa)
    return float(bolts.bearing_resistance_N(2.5, alpha, plate_ultimate_Pa, diameter_m, thickness_m))


def _torque(torque_factor: float, diameter_m: float, preload_N: float) -> float:
    return float(bolts.torque_for_preload_Nm(preload_N, diameter_m, torque_factor))


def _shank_area(diameter_m: float) -> float:
    return math.pi * diameter_m**2 / 4.0


def _shank_shear(diameter_m: float, ultimate_Pa: float, planes: float) -> float:
    return planes * float(bolts.shear_resistance_N(_shank_area(diameter_m), ultimate_Pa, 0.6))


def _thread_shear(diameter_m: float, pitch_m: float, ultimate_Pa: float, planes: float) -> float:
    area = bolts.tensile_stress_area_m2(diameter_m, pitch_m)
    return planes * float(bolts.shear_resistance_N(area, ultimate_Pa, 0.6))


def _aisc_shear(diameter_m: float, nominal_shear_Pa: float, planes: int) -> float:
    return float(aisc_bolts.shear_strength_N(nominal_shear_Pa, _shank_area(diameter_m), planes))


def _aisc_tension(
    diameter_m: float, nominal_tension_Pa: float, nominal_shear_Pa: float, shear_N: float
) -> float:
    area = _shank_area(diameter_m)
    return float(
        aisc_bolts.tension_strength_with_shear_N(nominal_tension_Pa, nominal_shear_Pa, area, shear_N)
    )


def _table_stress_area(size: str) -> float:
    return bolts.Bolt.of(size, "8.8").stress_area_m2


def _t_stub_moment(**stub: float) -> float:
    return float(t_stub.plastic_moment_Nm(**stub))


def _t_stub_1(length_m: float, thickness_m: float, yield_Pa: float, web_m: float) -> float:
    return float(t_stub.mode_1_N(t_stub.plastic_moment_Nm(length_m, thickness_m, yield_Pa), web_m))


def _t_stub_2(
    length_m: float, thickness_m: float, yield_Pa: float, web_m: float, edge_m: float, bolts_N: float
) -> float:
    lever = t_stub.prying_lever_m(edge_m, web_m)
    return float(
        t_stub.mode_2_N(t_stub.plastic_moment_Nm(length_m, thickness_m, yield_Pa), web_m, lever, bolts_N)
    )


def _t_stub(
    length_m: float, thickness_m: float, yield_Pa: float, web_m: float, edge_m: float, bolts_N: float
) -> float:
    moment = t_stub.plastic_moment_Nm(length_m, thickness_m, yield_Pa)
    return float(t_stub.t_stub_resistance_N(moment, web_m, t_stub.prying_lever_m(edge_m, web_m), bolts_N))


FUNCTIONS: Mapping[str, Callable[..., Any]] = MappingProxyType(
    {
        "tensile_stress_area_m2": bolts.tensile_stress_area_m2,
        "table_stress_area": _table_stress_area,
        "thread_shear": _thread_shear,
        "shank_shear": _shank_shear,
        "bolt_shear": bolts.shear_resistance_N,
        "bolt_tension": bolts.tension_resistance_N,
        "preload_N": bolts.preload_N,
        "torque": _torque,
        "least_end_distance_m": bolts.least_end_distance_m,
        "least_pitch_across_m": bolts.least_pitch_across_m,
        "bearing_bolt": _bearing_bolt,
        "slip_resistance_N": bolts.slip_resistance_N,
        "shear_and_tension": bolts.shear_and_tension_utilisation,
        "aisc_shear": _aisc_shear,
        "aisc_tension": _aisc_tension,
        "t_stub_moment": _t_stub_moment,
        "t_stub_1": _t_stub_1,
        "t_stub_2": _t_stub_2,
        "t_stub": _t_stub,
        "pin_area": _pin_area,
        "pin_modulus_m3": pins.pin_modulus_m3,
        "pin_shear": _pin_shear,
        "pin_shear_ratio": _pin_shear_ratio,
        "pin_moment": _pin_moment,
        "pin_moment_service": _pin_moment_service,
        "design_factor": bth.nominal_design_factor,
        "hole_clearance_factor": bth.hole_clearance_factor,
        "effective_width_m": bth.effective_width_m,
        "plate_tension": _plate_tension,
        "plate_fracture": _plate_fracture,
        "shear_plane_angle_rad": bth.shear_plane_angle_rad,
        "double_shear_area_m2": bth.double_shear_area_m2,
        "plate_double_shear": _plate_double_shear,
        "plate_double_shear_N": bth.plate_double_shear_N,
        "bearing_stress_Pa": bth.bearing_stress_Pa,
        "bearing_load": _bearing_load,
    }
)
