"""Marine factors, columns of another code, lifting by hand: steps, limits, and what has no value."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbhook.checks.aisc_360_2010 import columns
from plumbhook.checks.loler_1998.periods import examination_months
from plumbhook.checks.manual_handling import guidelines
from plumbhook.checks.nd_0027_2016 import factors as nd
from plumbhook.core.errors import InputError


@given(st.floats(3e3, 5e6), st.floats(3e3, 5e6), st.sampled_from(nd.PLACES))
def test_a_heavier_lift_never_has_a_larger_dynamic_factor(first, second, place):
    light, heavy = sorted((first, second))
    assert nd.dynamic_factor(heavy, heavy, place) <= nd.dynamic_factor(light, light, place) + 1e-12
    assert nd.dynamic_factor(heavy, heavy, place) >= 1.0


def test_open_water_asks_more_than_sheltered_water_and_that_more_than_land():
    for weight in (5e3, 50e3, 100e3, 200e3, 500e3, 2e6, 3e6):
        onshore, inshore, offshore = (float(nd.dynamic_factor(weight, weight, p)) for p in nd.PLACES)
        assert onshore <= inshore <= offshore


def test_below_three_tonnes_three_tonnes_count():
    assert nd.dynamic_factor(1e3, 1e3, "offshore") == nd.dynamic_factor(3e3, 3e3, "offshore")


@pytest.mark.parametrize("weight", [math.nan, 0.0, -1e3])
def test_a_weight_that_is_none_has_no_dynamic_factor(weight):
    assert math.isnan(nd.dynamic_factor(weight, 10e3, "onshore"))


def test_a_missing_hook_load_has_no_dynamic_factor_where_it_counts():
    assert math.isnan(nd.dynamic_factor(10e3, math.nan, "offshore"))
    assert math.isnan(nd.dynamic_factor(10e3, math.nan, "onshore"))


def test_dynamic_factors_of_many_lifts_at_once():
    weights = np.array([10e3, 200e3, 400e3])
    assert nd.dynamic_factor(weights, weights, "offshore") == pytest.approx([1.79057, 1.25, 1.20], abs=1e-5)


def test_termination_and_bending_are_not_multiplied():
    assert nd.reduction_factor(1.12, 1.547) == 1.547
    assert nd.reduction_factor(1.25, 1.1) == 1.25


def test_the_safety_factor_of_a_sling_has_a_floor_that_grows_with_the_reduction():
    assert nd.sling_safety_factor(1.0, 1.3, 1.5, 1.0, 1.0, 1.0) == pytest.approx(2.3 * 1.5)
    assert nd.sling_safety_factor(2.0, 1.3, 1.5, 1.0, 1.2, 1.0) == pytest.approx(2.0 * 1.3 * 1.5 * 1.2)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: nd.dynamic_factor(1e4, 1e4, "moon"), "write one of onshore"),
        (lambda: nd.termination_factor("knot"), "write one of hand splice"),
        (lambda: nd.structure_factor("rope"), "write one of lift point"),
        (lambda: guidelines.push_limit_kg("child", "start"), "write man or woman"),
    ],
)
def test_what_a_document_does_not_name_is_refused(call, words):
    with pytest.raises(InputError, match=words):
        call()


def test_the_two_branches_of_an_aisc_column_meet():
    # 4.71 sqrt(E/Fy) is where 0.658^(Fy/Fe) Fy and 0.877 Fe cross, as the code rounds it.
    at = 4.71 * math.sqrt(200e9 / 345e6)
    below, above = (columns.critical_stress_Pa(at * f, 345e6, 200e9) for f in (0.9999, 1.0001))
    assert below == pytest.approx(above, rel=2e-3)
    assert columns.critical_stress_Pa(1e-6, 345e6, 200e9) == pytest.approx(345e6)
    assert math.isnan(columns.critical_stress_Pa(math.nan, 345e6, 200e9))
    assert columns.design_strength_N(80.0, 0.01, 345e6, 200e9) == pytest.approx(
        0.9 * 1.67 * columns.allowable_strength_N(80.0, 0.01, 345e6, 200e9)
    )


@given(st.floats(0.0, 30.0), st.floats(0.0, 30.0))
def test_faster_lifting_by_hand_never_allows_more(first, second):
    slow, fast = sorted((first, second))
    assert guidelines.frequency_part(fast) <= guidelines.frequency_part(slow)


@pytest.mark.parametrize(
    ("degrees", "part"), [(0.0, 1.0), (45.0, 1.0), (46.0, 0.9), (90.0, 0.9), (91.0, 0.8), (180.0, 0.8)]
)
def test_a_twisted_body_lifts_a_tenth_less_beyond_45_degrees_and_a_fifth_beyond_90(degrees, part):
    # HSE INDG143: reduce by 10 % beyond 45 degrees of twist, by 20 % beyond 90.
    assert guidelines.twist_part(math.radians(degrees)) == part


def test_lifting_by_hand_has_no_multiplier_above_one_and_none_for_nonsense():
    assert guidelines.horizontal_multiplier(0.10) == 1.0
    assert guidelines.distance_multiplier(0.05) == 1.0
    assert guidelines.recommended_weight_kg(0.5, 0.75, 0.25, further=0.95) == pytest.approx(23 * 0.5 * 0.95)
    for nothing in (math.nan, -1.0):
        assert math.isnan(guidelines.frequency_part(nothing))
        assert math.isnan(guidelines.twist_part(nothing))


def test_accessories_and_what_lifts_persons_are_examined_twice_as_often():
    assert examination_months(accessory=True, lifts_persons=False) == 6
    assert examination_months(accessory=False, lifts_persons=True) == 6
    assert examination_months(accessory=False, lifts_persons=False) == 12


def test_the_inelastic_curve_of_a_column_holds_up_to_and_at_its_limit():
    # ANSI/AISC 360-10 E3: equation (E3-2) where K L/r <= 4.71 sqrt(E/Fy), (E3-3) beyond. The two do not quite meet.
    yield_Pa, modulus_Pa = 345e6, 200e9
    limit = 4.71 * math.sqrt(modulus_Pa / yield_Pa)
    ratio = 4.71**2 / math.pi**2
    at, beyond = (columns.critical_stress_Pa(s, yield_Pa, modulus_Pa) for s in (limit, limit * (1.0 + 1e-9)))
    assert at == pytest.approx(0.658**ratio * yield_Pa, rel=1e-6)
    assert beyond == pytest.approx(0.877 / ratio * yield_Pa, rel=1e-6)
