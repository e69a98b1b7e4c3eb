"""A strut cut into pieces of one section is the uniform strut of the textbooks, to the last digits."""

import math

import numpy as np
import pytest

from plumbhook.statics.beam_column import (
    BeamColumn,
    critical_load_N,
    kinked_offsets_m,
    parabolic_bow,
    solve,
)
from plumbhook.statics.beam_column import closed_forms as exact

EI, SPAN = 7.5558e6, 6.0  # a tube 219.1 x 10 at six metres
EULER = exact.euler_load_N(EI, SPAN)
CUTS = ([1.0], [0.5, 0.5], [0.2, 0.3, 0.5], [0.05, 0.25, 0.4, 0.25, 0.05])
RATIOS = (1e-6, 0.01, 0.1, 0.5, 0.9, 0.99)


def pieces(cut):
    return np.array(cut) * SPAN


def close(amplification_ratio):
    return 1e-12 / (1.0 - amplification_ratio) ** 0.5


@pytest.mark.parametrize("cut", CUTS, ids=len)
@pytest.mark.parametrize("ratio", RATIOS)
def test_self_weight(cut, ratio):
    force = ratio * EULER
    moment, place = solve(BeamColumn.of(pieces(cut), EI, line_load_N_per_m=712.0), force).largest_moment()
    assert moment == pytest.approx(exact.uniform_load_moment_Nm(712.0, force, EI, SPAN), rel=close(ratio))
    assert place == pytest.approx(SPAN / 2.0, abs=1e-6)


@pytest.mark.parametrize("cut", CUTS, ids=len)
@pytest.mark.parametrize("ratio", RATIOS[1:])
def test_deflection_under_self_weight(cut, ratio):
    force = ratio * EULER
    bent = solve(BeamColumn.of(pieces(cut), EI, line_load_N_per_m=712.0), force)
    middle = max(bent.joint_deflection_m().max(), bent.deflection_m(0.5).max())
    if cut in ([1.0], [0.5, 0.5], [0.05, 0.25, 0.4, 0.25, 0.05]):  # where mid-span is a joint or a middle
        expected = exact.uniform_load_deflection_m(712.0, force, EI, SPAN)
        assert middle == pytest.approx(expected, rel=max(close(ratio), 1e-11))


@pytest.mark.parametrize("cut", CUTS, ids=len)
@pytest.mark.parametrize("ratio", RATIOS)
def test_eccentric_pins_follow_the_secant_formula(cut, ratio):
    force = ratio * EULER
    moment, _ = solve(BeamColumn.of(pieces(cut), EI, end_eccentricity_m=0.008), force).largest_moment()
    assert moment == pytest.approx(exact.eccentric_moment_Nm(0.008, force, EI, SPAN), rel=close(ratio))


@pytest.mark.parametrize("cut", CUTS, ids=len)
@pytest.mark.parametrize("ratio", RATIOS[1:])
def test_a_sine_bow_is_amplified_by_the_distance_from_the_critical_load(cut, ratio):
    force = ratio * EULER
    moment, place = solve(BeamColumn.of(pieces(cut), EI, sine_bow_m=0.012), force).largest_moment()
    assert moment == pytest.approx(exact.bow_moment_Nm(0.012, force, EI, SPAN), rel=close(ratio))
    assert place == pytest.approx(SPAN / 2.0, abs=1e-4)


@pytest.mark.parametrize("cut", CUTS, ids=len)
def test_a_parabolic_bow_is_the_uniform_load_of_the_code(cut):
    force = 0.4 * EULER
    offsets, rises = parabolic_bow(pieces(cut), 0.012)
    bowed = BeamColumn.of(pieces(cut), EI, joint_offset_m=offsets, piece_rise_m=rises)
    moment, _ = solve(bowed, force).largest_moment()
    load = 8.0 * force * 0.012 / SPAN**2
    assert moment == pytest.approx(exact.uniform_load_moment_Nm(load, force, EI, SPAN), rel=1e-12)


@pytest.mark.parametrize(("ratio", "difference"), [(0.1, 0.0028), (0.5, 0.0150), (0.9, 0.0284)])
def test_parabola_and_sine_differ_by_less_than_three_hundredths(ratio, difference):
    force = ratio * EULER
    parabola = exact.uniform_load_moment_Nm(8.0 * force * 0.012 / SPAN**2, force, EI, SPAN)
    assert parabola / exact.bow_moment_Nm(0.012, force, EI, SPAN) - 1.0 == pytest.approx(difference, abs=6e-5)


def test_loads_and_offsets_add_up_at_one_compression():
    cut, force = pieces(CUTS[3]), 0.6 * EULER
    offsets, rises = parabolic_bow(cut, 0.01)
    parts = (
        BeamColumn.of(cut, EI, line_load_N_per_m=700.0),
        BeamColumn.of(cut, EI, end_eccentricity_m=0.008),
        BeamColumn.of(cut, EI, joint_offset_m=offsets, piece_rise_m=rises),
        BeamColumn.of(cut, EI, sine_bow_m=0.004),
        BeamColumn.of(cut, EI, joint_load_N=[50.0, 60.0, 70.0, 80.0], end_moment_Nm=[300.0, -200.0]),
    )
    together = BeamColumn.of(
        cut, EI, line_load_N_per_m=700.0, end_eccentricity_m=0.008, joint_offset_m=offsets, piece_rise_m=rises,
        sine_bow_m=0.004, joint_load_N=[50.0, 60.0, 70.0, 80.0], end_moment_Nm=[300.0, -200.0],
    )  # fmt: skip
    added = sum(solve(part, force).node_moment_Nm for part in parts)
    assert solve(together, force).node_moment_Nm == pytest.approx(added, rel=1e-12)


@pytest.mark.parametrize("cut", CUTS, ids=len)
@pytest.mark.parametrize("number", [1, 2, 3])
def test_cutting_changes_no_critical_load(cut, number):
    found = critical_load_N(BeamColumn.of(pieces(cut), EI), number)
    assert found == pytest.approx(number**2 * EULER, rel=1e-13)


def test_without_compression_it_is_a_beam():
    bent = solve(BeamColumn.of(pieces([0.2, 0.8]), EI, line_load_N_per_m=712.0), 0.0)
    assert bent.largest_moment()[0] == pytest.approx(712.0 * SPAN**2 / 8.0, rel=1e-14)
    rotation, _ = bent.end_rotation_rad()
    assert rotation == pytest.approx(712.0 * SPAN**3 / (24.0 * EI), rel=1e-12)


def test_an_eccentric_column_turns_its_ends_as_the_secant_formula_says():
    force = 0.5 * EULER
    bent = solve(BeamColumn.of(pieces([0.3, 0.7]), EI, end_eccentricity_m=0.01), force)
    k = math.sqrt(force / EI)
    expected = 0.01 * k * math.tan(0.5 * k * SPAN)
    assert bent.end_rotation_rad() == pytest.approx((expected, expected), rel=1e-12)


def test_slack_of_a_joint_at_mid_span_offsets_it_by_a_quarter_of_span_and_angle():
    assert kinked_offsets_m([3.0, 3.0], [0.004]) == pytest.approx([0.006])
    assert kinked_offsets_m([2.0, 2.0, 2.0], [0.003, 0.003]) == pytest.approx([0.006, 0.006])


def test_a_cantilever_is_half_of_a_strut_loaded_at_mid_span():
    force = 0.3 * EULER
    bent = solve(BeamColumn.of(pieces([0.5, 0.5]), EI, joint_load_N=[2000.0]), force)
    half = SPAN / 2.0
    assert bent.largest_moment()[0] == pytest.approx(
        exact.cantilever_moment_Nm(1000.0, force, EI, half), rel=1e-13
    )
    assert bent.joint_deflection_m()[1] == pytest.approx(
        exact.cantilever_deflection_m(1000.0, force, EI, half), rel=1e-12
    )
