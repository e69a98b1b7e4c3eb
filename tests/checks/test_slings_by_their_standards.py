"""Slings and shackles by their standards: bands of angle, choke, D/d, heat, side load, legs that may be counted."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbhook.checks.en_818_4_1996 import chain_slings
from plumbhook.checks.en_1492_2000 import textile_slings
from plumbhook.checks.en_13414_1_2003 import wire_rope_slings as ropes
from plumbhook.checks.leg_factors import leg_factor, legs_to_count, may_be_taken_as_symmetric
from plumbhook.checks.shackles import reductions
from plumbhook.checks.us_slings import handbook, hitches
from plumbhook.core.errors import InputError

DEG = math.pi / 180.0
ANGLES = st.floats(0.0, 60.0)


def test_a_band_ends_at_45_and_at_60_degrees_and_nothing_is_rated_beyond():
    assert leg_factor(2, 45.0 * DEG) == 1.4
    assert leg_factor(2, 45.001 * DEG) == 1.0
    assert leg_factor(4, 60.0 * DEG) == 1.5
    assert math.isnan(leg_factor(4, 60.001 * DEG))
    assert math.isnan(leg_factor(2, -1.0 * DEG))
    assert math.isnan(leg_factor(1, math.nan))


@given(ANGLES, ANGLES, st.sampled_from([1, 2, 3, 4]))
def test_a_flatter_leg_is_never_rated_higher(first, second, legs):
    steep, flat = sorted((first, second))
    assert leg_factor(legs, flat * DEG) <= leg_factor(legs, steep * DEG)


@given(ANGLES)
def test_a_leg_factor_never_promises_more_than_statics_with_the_legs_it_relies_on(angle):
    # Each leg carries F/(n cos) at most the single rating; the band is taken at its flat end.
    end = 45.0 if angle <= 45.0 else 60.0
    assert leg_factor(2, angle * DEG) <= 2.0 * math.cos(end * DEG) + 0.02
    assert leg_factor(4, angle * DEG) <= 3.0 * math.cos(end * DEG) + 0.02


def test_rated_loads_of_many_angles_at_once_are_those_of_each():
    angles = np.array([0.0, 30.0, 45.0, 50.0, 60.0, 61.0]) * DEG
    many = chain_slings.chain_sling_rated_kg(0.010, 4, angles)
    assert many == pytest.approx([6700, 6700, 6700, 4750, 4750, math.nan], nan_ok=True)
    assert many == pytest.approx(
        [chain_slings.chain_sling_rated_kg(0.010, 4, float(angle)) for angle in angles], nan_ok=True
    )


@pytest.mark.parametrize("legs", [0, 5, -1])
def test_a_sling_has_one_to_four_legs(legs):
    with pytest.raises(InputError, match="write 1 to 4"):
        chain_slings.chain_sling_rated_kg(0.010, legs, 0.0)
    with pytest.raises(InputError, match="write 1 to 4"):
        legs_to_count(legs, symmetric=False)


def test_without_symmetric_loading_only_some_legs_count():
    assert [legs_to_count(legs, symmetric=False) for legs in (1, 2, 3, 4)] == [1, 1, 2, 2]
    assert [legs_to_count(legs, symmetric=True) for legs in (1, 2, 3, 4)] == [1, 2, 3, 4]


def test_loading_is_symmetric_only_below_80_percent_and_with_like_angles():
    assert may_be_taken_as_symmetric(0.79, (30 * DEG, 40 * DEG))
    assert not may_be_taken_as_symmetric(0.80, (30 * DEG, 40 * DEG))
    assert not may_be_taken_as_symmetric(0.5, (10 * DEG, 20 * DEG))
    assert not may_be_taken_as_symmetric(0.5, (20 * DEG, 40 * DEG))
    assert not may_be_taken_as_symmetric(math.nan, (30 * DEG,))
    assert not may_be_taken_as_symmetric(0.5, (math.nan, 30 * DEG))
    assert not may_be_taken_as_symmetric(0.5, ())


def test_the_single_chain_is_its_stress_rounded_down_to_a_preferred_number():
    for size in (6, 7, 8, 10, 13, 16, 20, 22, 26, 32):
        exact = chain_slings.chain_rated_by_stress_kg(size / 1000.0)
        rated = chain_slings.chain_sling_rated_kg(size / 1000.0, 1, 0.0)
        assert 0.94 * exact <= rated <= exact


@pytest.mark.parametrize(
    ("heat", "factor"),
    [(-41, math.nan), (200.5, 0.9), (300.5, 0.75), (400.5, math.nan), (math.nan, math.nan)],
)
def test_a_chain_loses_with_heat_and_is_banned_outside(heat, factor):
    assert chain_slings.chain_temperature_factor(heat) == pytest.approx(factor, nan_ok=True)


def test_a_chain_on_an_edge_and_on_a_lug():
    assert chain_slings.chain_edge_factor(0.0201, 0.010) == 1.0
    assert chain_slings.chain_edge_factor(0.0199, 0.010) == 0.7
    assert chain_slings.chain_edge_factor(0.020, 0.010) == 0.7
    assert chain_slings.chain_edge_factor(0.01005, 0.010) == 0.7
    assert chain_slings.chain_edge_factor(0.010, 0.010) == 0.5
    assert math.isnan(chain_slings.chain_edge_factor(0.009, 0.010))
    assert chain_slings.chain_on_lug_factor(0.090, 0.010) == 1.0
    assert chain_slings.chain_on_lug_factor(0.089, 0.010) == 0.5
    assert math.isnan(chain_slings.chain_on_lug_factor(math.nan, 0.010))


@given(st.floats(1.0, 100.0), st.floats(1.0, 100.0))
def test_a_thicker_pin_never_weakens_a_rope(first, second):
    thin, thick = sorted((first, second))
    assert ropes.bend_efficiency(thin) <= ropes.bend_efficiency(thick) < 1.0
    assert ropes.bend_efficiency_by_table(thin) <= ropes.bend_efficiency_by_table(thick)
    assert ropes.bending_factor(thin) * ropes.bend_efficiency(thin) == pytest.approx(1.0)


def test_a_rope_is_never_bent_over_less_than_its_own_diameter():
    assert math.isnan(ropes.bend_efficiency(0.99))
    assert math.isnan(ropes.bend_efficiency(-4.0))
    assert math.isnan(ropes.bend_efficiency_by_table(0.99))
    assert np.isnan(ropes.bend_efficiency(np.array([0.5, math.nan]))).all()


def test_the_users_table_takes_the_row_of_the_next_thinner_pin():
    assert ropes.bend_efficiency_by_table(3.99) == pytest.approx(0.65)
    assert ropes.bend_efficiency_by_table(4.0) == pytest.approx(0.75)
    assert ropes.bend_efficiency_by_table(1000.0) == pytest.approx(0.95)


def test_a_stronger_rope_grade_than_1770_does_not_count():
    assert ropes.least_breaking_force_N(0.020, 1960e6) == ropes.least_breaking_force_N(0.020, 1770e6)


def test_a_hand_splice_keeps_less_of_a_rope_than_a_ferrule():
    # EN 13414-1:2003 5.2.4: KT 0.9 for a ferrule, 0.8 for a hand splice; 252.05 kN of a 20 mm rope.
    ferrule, splice = (
        ropes.rope_sling_formula_kg(252.05e3, ropes.TERMINATION_FACTORS[e], 1.0)
        for e in ("ferrule", "hand splice")
    )
    assert ferrule == pytest.approx(4625.0, abs=1.0)
    assert splice == pytest.approx(4625.0 * 8.0 / 9.0, abs=1.0)
    assert ropes.endless_rope_formula_kg(252.05e3, 0.8) == pytest.approx(1.6 * splice)


def test_textile_modes():
    assert textile_slings.textile_rated_kg(3000.0, "choke") == pytest.approx(2400.0)
    assert math.isnan(textile_slings.textile_rated_kg(3000.0, "basket", 61.0 * DEG))
    assert math.isnan(textile_slings.mode_factor("straight", math.nan))
    assert [textile_slings.mode_factor(m) for m in ("basket", "two legs", "four legs")] == [1.4, 1.4, 2.1]
    with pytest.raises(InputError, match="write one of straight, choke"):
        textile_slings.mode_factor("knot")
    with pytest.raises(InputError, match="write one of polyester"):
        textile_slings.textile_temperature_allowed(20.0, "cotton")


@pytest.mark.parametrize(
    ("material", "hottest_C"), [("polyester", 100.0), ("polyamide", 100.0), ("polypropylene", 80.0)]
)
def test_a_textile_sling_is_used_from_minus_40_degrees_to_what_its_fibre_bears(material, hottest_C):
    # EN 1492-1: 100 degrees for polyester and polyamide, 80 for polypropylene.
    allowed = textile_slings.textile_temperature_allowed
    assert allowed(-40.0, material)
    assert allowed(hottest_C, material)
    assert not allowed(-40.1, material)
    assert not allowed(hottest_C + 0.1, material)


def test_a_rope_over_a_pin_takes_the_row_of_the_next_smaller_ratio():
    # Wire rope users' table: D/d 1 gives 50 %, 2 gives 65 %, 4 gives 75 %; nothing below 1.
    assert ropes.bend_efficiency_by_table(2.0) == pytest.approx(0.65, rel=1e-12)
    assert ropes.bend_efficiency_by_table(1.999999) == pytest.approx(0.50, rel=1e-12)
    assert ropes.bend_efficiency_by_table(3.99) == pytest.approx(0.65, rel=1e-12)
    assert math.isnan(ropes.bend_efficiency_by_table(0.999999))
    assert math.isnan(ropes.bend_efficiency_by_table(math.nan))


def test_textile_limits():
    assert textile_slings.textile_temperature_allowed(100.0, "polyester")
    assert not textile_slings.textile_temperature_allowed(100.0, "polypropylene")
    assert not textile_slings.textile_temperature_allowed(math.nan, "polyester")
    assert textile_slings.least_attachment_radius_m(0.060) == pytest.approx(0.045)
    # Colours of EN 1492 by rated load, as in the table of the standard.
    assert [textile_slings.colour_of_rated_load(t * 1000.0) for t in (1, 2, 3, 4, 5, 6, 8, 10, 7)] == [
        "violet",
        "green",
        "yellow",
        "grey",
        "red",
        "brown",
        "blue",
        "orange",
        "",
    ]


def test_a_shackle_off_its_axis():
    assert reductions.side_load_factor(5.1 * DEG) == 0.70
    assert reductions.side_load_factor(45.1 * DEG) == 0.50
    assert math.isnan(reductions.side_load_factor(90.1 * DEG))
    assert math.isnan(reductions.side_load_factor(-0.1))
    assert math.isnan(reductions.side_load_factor(math.nan))
    assert reductions.side_load_factor(4.0 * DEG, round_pin=True) == 1.0
    assert math.isnan(reductions.side_load_factor(6.0 * DEG, round_pin=True))
    assert math.isnan(reductions.included_angle_factor(120.1 * DEG))


@pytest.mark.parametrize("heat", [-41.0, 205.0, math.nan])
def test_a_shackle_in_great_heat_or_cold_needs_its_maker(heat):
    assert math.isnan(reductions.temperature_factor(heat))
    # 400 F is 204.4 degrees Celsius.
    assert [reductions.temperature_factor(fine) for fine in (-40.0, 20.0, 204.0)] == [1.0, 1.0, 1.0]


@pytest.mark.parametrize(
    ("angle", "factor"),
    [
        (180, 1.0),
        (121, 1.0),
        (120, 0.87),
        (90, 0.87),
        (89, 0.74),
        (60, 0.74),
        (59, 0.62),
        (29, 0.49),
        (0, 0.49),
    ],
)
def test_the_angle_of_choke_at_both_ends_of_its_bands(angle, factor):
    assert hitches.choke_angle_factor(angle * DEG) == pytest.approx(factor)


@pytest.mark.parametrize("angle", [-1.0, 181.0, math.nan])
def test_an_angle_of_choke_that_cannot_be_has_no_rating(angle):
    assert math.isnan(hitches.choke_angle_factor(angle * DEG))


def test_united_states_angles_are_from_the_horizontal():
    # 30 degrees from the horizontal is 60 degrees from the vertical: two legs then carry what one does.
    single = hitches.alloy_chain_rated_kg(0.0127, 80, 1, 90 * DEG)
    assert hitches.alloy_chain_rated_kg(0.0127, 80, 2, 30 * DEG) == pytest.approx(single)
    assert math.isnan(hitches.alloy_chain_rated_kg(0.0127, 80, 2, 29.9 * DEG))
    assert math.isnan(hitches.alloy_chain_rated_kg(0.0127, 80, 2, math.nan))
    assert hitches.alloy_chain_rated_kg(0.0127, 80, 4, 59 * DEG) == hitches.alloy_chain_rated_kg(
        0.0127, 80, 3, 45 * DEG
    )


@given(st.floats(1.0, 90.0))
def test_the_bridle_rule_and_the_leg_factor_are_one(angle):
    leg, height = 1.0, math.sin(angle * DEG)
    assert hitches.bridle_leg_tension_N(1.0, leg, height) == pytest.approx(
        0.5 * hitches.leg_load_factor(angle * DEG)
    )
    assert hitches.bridle_rated_kg(1.0, leg, height) * hitches.leg_load_factor(angle * DEG) == pytest.approx(
        2.0
    )
    assert hitches.single_basket_rated_kg(1.0, leg, height) <= 2.0
    assert hitches.double_basket_rated_kg(1.0, leg, height) <= 4.0
    # Twice the sling, twice the rated load.
    for rated in (hitches.bridle_rated_kg, hitches.single_basket_rated_kg, hitches.double_basket_rated_kg):
        assert rated(2.0, leg, height) == pytest.approx(2.0 * rated(1.0, leg, height))


@pytest.mark.parametrize("angle", [0.0, -10.0, 91.0, math.nan])
def test_a_leg_at_the_horizontal_or_below_carries_nothing(angle):
    assert math.isnan(hitches.leg_load_factor(angle * DEG))


def test_two_legs_of_a_bridle_on_a_rigid_load_may_carry_it_all():
    assert [hitches.countable_legs(legs) for legs in (1, 2, 3, 4)] == [1, 2, 2, 2]
    assert hitches.countable_legs(4, rigid_load=False) == 3


def test_near_vertical_is_vertical_and_no_more():
    assert hitches.near_vertical_angle_rad(5.01 * DEG) == pytest.approx(5.01 * DEG)
    assert math.isnan(hitches.near_vertical_angle_rad(math.nan))


def test_heat_on_wire_rope_slings():
    assert hitches.fibre_core_rope_allowed(93.0)
    assert not hitches.fibre_core_rope_allowed(94.0)
    assert not hitches.fibre_core_rope_allowed(math.nan)
    assert hitches.steel_core_rope_needs_maker(-52.0)
    # -60 F is -51.1 degrees Celsius; a page that prints 15.55 has a misprint.
    assert not hitches.steel_core_rope_needs_maker(-51.0)
    assert hitches.steel_core_rope_needs_maker(math.nan)


def test_clips_are_of_a_known_kind():
    with pytest.raises(InputError, match="drop forged or other"):
        handbook.clip_count(0.0127, "home made")
