"""Bolts, pins, plates and welds: laws that hold whatever the numbers, and what comes to nothing when it must."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbhook.checks.aisc_360_2010 import bolts as aisc
from plumbhook.checks.asme_bth_1 import pins as bth
from plumbhook.checks.en_1993_1_8_2005 import bolts, flange_joint, pins, t_stub, welds
from plumbhook.core.errors import InputError

SOME = st.floats(0.1, 10.0)
FORCE = st.floats(0.0, 1e6)


def test_end_distance_pitch_or_weak_bolt_each_limit_bearing():
    # EN 1993-1-8 Table 3.4, from memory; numbers by hand.
    assert bolts.bearing_alpha_b(0.066, 0.022, 800e6, 490e6) == pytest.approx(1.0)
    assert bolts.bearing_alpha_b(0.033, 0.022, 800e6, 490e6) == pytest.approx(0.5)
    assert bolts.bearing_alpha_b(0.066, 0.022, 800e6, 490e6, pitch_m=0.0495) == pytest.approx(0.5)
    assert bolts.bearing_alpha_b(0.066, 0.022, 400e6, 500e6) == pytest.approx(0.8)
    assert bolts.bearing_k1(0.033, 0.022) == pytest.approx(2.5)
    assert bolts.bearing_k1(0.0264, 0.022) == pytest.approx(2.8 * 1.2 - 1.7)
    assert bolts.bearing_k1(0.033, 0.022, gauge_m=0.0528) == pytest.approx(1.4 * 2.4 - 1.7)


def test_partial_factors_left_out_are_the_recommended_ones():
    # gamma_M0 1.0, gamma_M2 1.25, gamma_M3 1.25, gamma_M6,ser 1.0 of EN 1993-1-8, from memory.
    assert pins.pin_shear_resistance_N(1.0, 1.0) == pytest.approx(0.6 / 1.25)
    assert pins.pin_bearing_resistance_N(1.0, 1.0, 1.0) == 1.5
    assert pins.pin_bending_resistance_Nm(1.0, 1.0) == 1.5
    assert pins.pin_bearing_service_limit_N(1.0, 1.0, 1.0) == 0.6
    assert pins.pin_bending_service_limit_Nm(1.0, 1.0) == 0.8
    assert pins.contact_limit_Pa(1.0) == 2.5
    assert bolts.shear_resistance_N(1.0, 1.0, 0.6) == pytest.approx(0.48)
    assert bolts.tension_resistance_N(1.0, 1.0) == pytest.approx(0.72)
    assert bolts.bearing_resistance_N(1.0, 1.0, 1.0, 1.0, 1.0) == pytest.approx(0.8)
    assert bolts.slip_resistance_N(2, 0.5, 1.0) == pytest.approx(0.8)
    assert t_stub.plastic_moment_Nm(1.0, 1.0, 4.0) == 1.0
    assert welds.equivalent_limit_Pa(1.0, 0.8) == pytest.approx(1.0)


def test_distances_of_bolts_in_thin_and_thick_plates():
    assert bolts.least_pitch_along_m(0.022) == pytest.approx(0.0484)
    assert bolts.largest_end_distance_m(0.010) == pytest.approx(0.080)
    assert bolts.largest_pitch_m(0.010) == pytest.approx(0.140)
    assert bolts.largest_pitch_m(0.020) == pytest.approx(0.200)


def test_punching_of_a_head_through_a_plate():
    assert bolts.punching_resistance_N(0.0323, 0.012, 470e6) == pytest.approx(
        0.6 * math.pi * 0.0323 * 0.012 * 470e6 / 1.25
    )


def test_tension_eats_friction_until_nothing_is_left():
    full = bolts.slip_resistance_N(1, 0.2, 137.2e3)
    half = bolts.slip_resistance_N(1, 0.2, 137.2e3, tension_N=0.5 * 137.2e3)
    assert half == pytest.approx(0.6 * full)
    assert bolts.slip_resistance_N(1, 0.2, 137.2e3, tension_N=200e3) == 0.0
    assert bolts.slip_resistance_N(2, 0.2, 137.2e3, hole_factor=0.85) == pytest.approx(2 * 0.85 * full)
    assert math.isnan(bolts.slip_resistance_N(1, 0.2, math.nan))


@given(SOME, SOME, SOME)
def test_torque_and_preload_are_inverse(torque, diameter, factor):
    preload = bolts.preload_from_torque_N(torque, diameter, factor)
    assert bolts.torque_for_preload_Nm(preload, diameter, factor) == pytest.approx(torque)


def test_the_moment_in_a_pin_is_that_of_its_free_body():
    # Half the force at the middle of each outer plate, the middle plate as a distributed pull.
    force, middle, outer, gap = 100e3, 0.040, 0.020, 0.003
    arm = outer / 2 + gap + middle / 2
    by_hand = force / 2 * arm - force / 2 * middle / 4
    assert pins.pin_moment_Nm(force, middle, outer, gap) == pytest.approx(by_hand)


def test_contact_needs_play_and_none_is_none():
    assert pins.contact_stress_Pa(210e9, 50e3, 0.041, 0.040, 0.020) == pytest.approx(
        0.591 * math.sqrt(210e9 * 50e3 * 0.001 / (0.040**2 * 0.020))
    )
    assert pins.contact_stress_Pa(210e9, 50e3, 0.040, 0.040, 0.020) == 0.0
    assert math.isnan(pins.contact_stress_Pa(210e9, 50e3, 0.039, 0.040, 0.020))
    assert pins.contact_limit_Pa(355e6) == pytest.approx(887.5e6)


def test_plates_of_pins_by_thickness_or_by_outline():
    # Table 3.9, from memory; numbers by hand.
    assert pins.plate_end_ligament_m(200e3, 0.020, 0.042, 345e6) == pytest.approx(
        200e3 / (2 * 0.020 * 345e6) + 0.028
    )
    assert pins.plate_side_ligament_m(200e3, 0.020, 0.042, 345e6) == pytest.approx(
        200e3 / (2 * 0.020 * 345e6) + 0.014
    )
    assert pins.plate_least_thickness_m(200e3, 345e6) == pytest.approx(0.7 * math.sqrt(200e3 / 345e6))


@given(FORCE, FORCE, FORCE)
def test_the_simplified_weld_method_is_never_kinder_than_the_directional(normal, across, along):
    # sqrt(s2 + 3 t2) <= sqrt(3) sqrt(s2 + t2), so the resultant on the shear strength is the safe side.
    resultant = math.sqrt(normal**2 + across**2 + along**2)
    directional = welds.equivalent_stress_Pa(normal, across, along) / welds.equivalent_limit_Pa(490e6, 0.9)
    simplified = resultant / welds.shear_strength_Pa(490e6, 0.9)
    assert directional <= simplified * (1.0 + 1e-12)


def test_weld_data():
    assert welds.correlation_factor("S355J2+N") == 0.90
    with pytest.raises(InputError, match='steel grade "S999"'):
        welds.correlation_factor("S999")
    assert welds.normal_limit_Pa(490e6) == pytest.approx(0.9 * 490e6 / 1.25)
    assert welds.simplified_resistance_N_per_m(0.005, 490e6, 0.9) == pytest.approx(
        0.005 * 490e6 / (math.sqrt(3) * 0.9 * 1.25)
    )
    assert welds.effective_length_m(0.100, 0.005, returned=False) == pytest.approx(0.090)
    assert welds.effective_length_m(0.100, 0.005, returned=True) == 0.100
    assert welds.effective_length_m(0.005, 0.005, returned=False) == 0.0


def test_a_pin_larger_than_its_hole_has_no_strength_at_all():
    assert bth.hole_clearance_factor(0.05, 0.05) == 1.0
    assert math.isnan(bth.hole_clearance_factor(0.051, 0.050))


def test_a_thin_plate_dishes_unless_it_is_stiffened():
    thin = bth.effective_width_m(0.100, 0.010, 0.060, 345e6, 490e6)
    assert thin == pytest.approx(0.040)
    assert bth.effective_width_m(0.100, 0.010, 0.060, 345e6, 490e6, stiffened=True) == pytest.approx(
        0.6 * 0.1 * 490 / 345 * math.sqrt(0.6)
    )


@given(st.floats(0.5, 1.0), st.floats(0.5, 1.0))
def test_more_play_never_makes_a_pin_plate_stronger(first, second):
    loose, tight = sorted((first, second))
    assert bth.hole_clearance_factor(loose, 1.0) <= bth.hole_clearance_factor(tight, 1.0) <= 1.0


def test_a_pin_that_turns_under_load_bears_half():
    assert bth.bearing_stress_Pa(36.0, 3.0, turns_under_load=True) == pytest.approx(0.63 * 12.0)


def test_stress_limits_of_pins():
    assert bth.pin_shear_stress_limit_Pa(355e6, 3.0) == pytest.approx(355e6 / 3.0 / math.sqrt(3.0))
    assert bth.pin_bending_stress_limit_Pa(355e6, 3.0) == pytest.approx(1.25 * 355e6 / 3.0)
    # Pure shear at its limit and pure bending at Fy/Nd both reach the combined limit.
    limit = bth.pin_shear_stress_limit_Pa(355e6, 3.0)
    assert bth.combined_stress_Pa(0.0, limit) == pytest.approx(355e6 / 3.0)


def test_an_unknown_design_category_is_refused():
    with pytest.raises(InputError, match="write A, B or C"):
        bth.nominal_design_factor("D")


def test_a_t_stub_with_thick_flanges_fails_in_its_bolts():
    moment = t_stub.plastic_moment_Nm(0.2, 0.060, 355e6)
    assert t_stub.t_stub_resistance_N(moment, 0.035, 0.040, 282e3) == pytest.approx(282e3)
    thin = t_stub.plastic_moment_Nm(0.2, 0.005, 355e6)
    assert t_stub.t_stub_resistance_N(thin, 0.035, 0.040, 282e3) == pytest.approx(4 * thin / 0.035)
    assert t_stub.prying_lever_m(0.060, 0.035) == pytest.approx(1.25 * 0.035)


def test_the_effective_length_of_one_bolt_is_the_shortest_pattern():
    assert t_stub.effective_length_of_one_bolt_m(0.030, 0.030, 1.0) == pytest.approx(0.1575)
    assert t_stub.effective_length_of_one_bolt_m(0.010, 0.100, 1.0) == pytest.approx(2 * math.pi * 0.010)
    assert t_stub.effective_length_of_one_bolt_m(0.030, 0.030, 0.120) == pytest.approx(0.120)


@given(
    st.floats(-50e3, 300e3),
    st.floats(0.0, 50e3),
    st.integers(3, 24),
    st.floats(0.05, 0.3),
    st.floats(0.0, 6.28),
)
def test_bolts_about_an_edge_hold_the_moment_that_is_left(axial, moment, count, edge, first):
    circle = 0.30
    tension = flange_joint.bolt_tensions_about_edge_N(axial, moment, count, circle, edge, first)
    angles = first + 2 * math.pi * np.arange(count) / count
    levers = edge + circle / 2 * np.cos(angles)
    assert np.sum(tension * np.maximum(levers, 0.0)) == pytest.approx(
        max(moment - axial * edge, 0.0), abs=1e-6
    )
    assert (tension >= 0.0).all()


@given(st.floats(0.0, 300e3), st.floats(0.0, 50e3), st.integers(3, 24))
def test_turning_about_the_centre_is_the_safe_side_under_compression(axial, moment, count):
    centre = flange_joint.bolt_tension_about_centre_N(axial, moment, count, 0.30)
    circle = flange_joint.bolt_tensions_about_edge_N(axial, moment, count, 0.30, 0.15)
    assert circle.max() <= centre + 1e-6


def test_bolts_about_the_centre_balance_force_and_moment():
    # A tension member: every bolt pulls, so the sums are those of statics.
    count, circle, pull, moment = 8, 0.30, 400e3, 6e3
    angles = 2 * math.pi * np.arange(count) / count
    each = pull / count + 4 * moment / (count * circle) * np.cos(angles)
    assert each.sum() == pytest.approx(pull)
    assert (each * circle / 2 * np.cos(angles)).sum() == pytest.approx(moment)
    assert flange_joint.bolt_tension_about_centre_N(-pull, moment, count, circle) == pytest.approx(each.max())


@given(st.floats(-100e3, 300e3), st.floats(0.0, 50e3))
def test_the_preload_that_keeps_a_joint_closed_is_just_enough(axial, moment):
    kern = flange_joint.kern_radius_m(0.219, 0.199)
    preload = flange_joint.preload_to_stay_closed_N(axial, moment, 6, kern)
    opens_at = flange_joint.opening_moment_Nm(axial, 6, preload, kern)
    assert opens_at >= moment - 1e-6
    if preload > 0.0:
        assert opens_at == pytest.approx(moment, abs=1e-6)


def test_the_kern_of_a_full_circle_is_an_eighth_of_its_diameter():
    # Handbook value; of a thin ring it is a quarter.
    assert flange_joint.kern_radius_m(0.2, 0.0) == pytest.approx(0.025)
    assert flange_joint.kern_radius_m(0.2, 0.2) == pytest.approx(0.050)


def test_functions_of_joints_take_arrays():
    moments = np.array([0.0, 10e3, 20e3])
    pulls = flange_joint.bolt_tension_about_centre_N(100e3, moments, 6, 0.28)
    assert pulls == pytest.approx(
        [flange_joint.bolt_tension_about_centre_N(100e3, float(m), 6, 0.28) for m in moments]
    )
    assert pulls[0] == 0.0
    assert flange_joint.bolt_shear_N(np.array([6.0, 12.0]), 6) == pytest.approx([1.0, 2.0])
    assert np.isnan(flange_joint.bolt_tension_about_centre_N(math.nan, moments, 6, 0.28)).all()


def test_shear_takes_from_the_tension_of_an_aisc_bolt_and_never_gives():
    area = math.pi * 0.01905**2 / 4
    none = aisc.tension_strength_with_shear_N(620e6, 372e6, area, 0.0)
    assert none == pytest.approx(620e6 * area)
    assert aisc.tension_strength_with_shear_N(620e6, 372e6, area, 1e9) == 0.0
