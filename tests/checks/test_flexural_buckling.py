"""EN 1993-1-1:2005 6.3.1, laws of the clause beside its published examples (test_checks_verification)."""

import math

import numpy as np
import pytest
from check_examples import ARGUMENTS, build, demand
from hypothesis import given
from hypothesis import strategies as st

from plumbhook.checks.en_1993_1_1_2005.flexural_buckling import (
    IMPERFECTION_FACTORS,
    buckling_phi,
    buckling_reduction,
    chs_class,
    elastic_critical_force_N,
    flexural_buckling_check,
    imperfection_factor,
    relative_slenderness,
)
from plumbhook.checks.sections import CircularHollowSection
from plumbhook.core.check import Status
from plumbhook.core.errors import InputError

curves = st.sampled_from(sorted(IMPERFECTION_FACTORS))
slenderness = st.floats(min_value=0.0, max_value=6.0)


@given(slenderness, slenderness, curves)
def test_the_reduction_falls_with_slenderness(first, second, curve):
    alpha = imperfection_factor(curve)
    low, high = sorted((first, second))
    assert buckling_reduction(low, alpha) >= buckling_reduction(high, alpha)


@given(slenderness)
def test_a_worse_curve_never_carries_more(value):
    factors = [buckling_reduction(value, imperfection_factor(curve)) for curve in ("a0", "a", "b", "c", "d")]
    assert factors == sorted(factors, reverse=True)


@given(st.floats(min_value=0.21, max_value=6.0), curves)
def test_the_reduction_is_the_root_of_the_perry_equation(value, curve):
    """(1 - chi)(1 - chi l2) = eta chi, eta = alpha (l - 0.2): the equation that (6.49) solves."""
    alpha = imperfection_factor(curve)
    chi = buckling_reduction(value, alpha)
    assert (1.0 - chi) * (1.0 - chi * value**2) == pytest.approx(alpha * (value - 0.2) * chi, abs=1e-9)


@given(st.floats(min_value=3.0, max_value=6.0), curves)
def test_the_reduction_stays_below_euler_and_nears_it(value, curve):
    euler = 1.0 / value**2
    assert 0.75 * euler < buckling_reduction(value, imperfection_factor(curve)) < euler


def test_there_is_no_reduction_up_to_a_slenderness_of_one_fifth():
    assert buckling_reduction(0.2, 0.76) == 1.0
    assert buckling_reduction(0.0, 0.76) == 1.0
    assert buckling_reduction(0.21, 0.76) < 1.0


def test_a_missing_slenderness_gives_no_reduction_factor():
    assert math.isnan(buckling_reduction(math.nan, 0.21))
    assert np.isnan(buckling_reduction(np.array([0.1, math.nan]), 0.21)).tolist() == [False, True]


def test_arrays_and_numbers_agree():
    values = np.linspace(0.0, 3.0, 31)
    expected = [buckling_reduction(float(value), 0.49) for value in values]
    assert buckling_reduction(values, 0.49) == pytest.approx(expected, rel=1e-15)


def test_slenderness_is_length_over_radius_over_lambda_1():
    """The other form of (6.50): (L/i)/lambda_1 with lambda_1 = pi sqrt(E/fy), 93.9 epsilon."""
    area, second_moment = 7.37e-3, 50.73e-6
    radius = math.sqrt(second_moment / area)
    critical = elastic_critical_force_N(210e9, second_moment, 4.0)
    lambda_1 = math.pi * math.sqrt(210e9 / 355e6)
    assert relative_slenderness(area, 355e6, critical) == pytest.approx(4.0 / radius / lambda_1, rel=1e-12)
    # 93.9 is printed with three digits.
    assert lambda_1 == pytest.approx(93.9 * math.sqrt(235.0 / 355.0), rel=1e-3)


@pytest.mark.parametrize(
    ("slender", "expected"), [(50.0, 1), (50.001, 2), (70.0, 2), (70.001, 3), (90.0, 3), (90.001, 4)]
)
def test_the_class_of_a_tube_changes_at_50_70_and_90(slender, expected):
    assert chs_class(slender * 0.01, 0.01, 235e6) == expected


def test_a_class_4_tube_is_not_evaluated():
    thin = CircularHollowSection.of_dimensions(0.508, 0.003)
    check = build(flexural_buckling_check, section=thin)
    assert check.status is Status.NOT_EVALUATED
    assert "class 4" in check.not_evaluated_because


def test_the_load_factor_is_on_the_force_and_not_on_the_strut():
    low, high = (build(flexural_buckling_check, gamma_F=factor) for factor in (1.0, 1.35))
    assert high.capacity == low.capacity
    assert high.demand.value == pytest.approx(1.35 * low.demand.value)
    assert high.nominal_utilisation == pytest.approx(1.35 * low.nominal_utilisation)


def test_a_stub_is_governed_by_yield():
    check = build(flexural_buckling_check, buckling_length_m=0.5)
    section = ARGUMENTS[flexural_buckling_check]["section"]
    assert check.capacity.value == pytest.approx(section.area_m2 * 355e6)


def test_a_strut_in_tension_is_a_wrong_rig_and_not_a_pass():
    assert build(flexural_buckling_check, demand=demand(-10e3)).status is Status.NOT_EVALUATED


def test_every_wrong_number_is_named_at_once():
    with pytest.raises(InputError) as caught:
        build(flexural_buckling_check, buckling_length_m=0.0, yield_Pa=math.nan, gamma_M1=-1.0)
    assert len(caught.value.problems) == 3


def test_an_unknown_curve_is_refused_with_the_known_ones():
    with pytest.raises(InputError, match="a0, a, b, c, d"):
        build(flexural_buckling_check, curve="e")


def test_phi_is_one_half_for_a_stub_without_imperfection():
    assert buckling_phi(0.0, 0.0) == 0.5
