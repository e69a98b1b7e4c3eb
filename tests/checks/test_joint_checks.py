"""Checks of joints, pins, plates, welds and reduced ratings: figures worked by hand, and what is refused."""

import math
from dataclasses import replace

import pytest
from check_examples import build
from hypothesis import given
from hypothesis import strategies as st
from joint_examples import FLANGE, FORCE, JOINT_FORCES, LUG, M20, PIN, PLATE, PULL, STEEL, TIGHT

from plumbhook.checks import reduction as rating
from plumbhook.checks import several_legs
from plumbhook.checks.asme_bth_1 import pin_checks as bth_pin_checks
from plumbhook.checks.asme_bth_1 import pins as bth
from plumbhook.checks.en_1993_1_8_2005 import (
    bolts,
    flange_joint,
    joint_preload,
    joint_strength,
    pin_checks,
    pins,
    t_stub,
    weld_checks,
)
from plumbhook.checks.rated_load import rated_load_check
from plumbhook.core.audit import audit_check
from plumbhook.core.check import Status
from plumbhook.core.errors import InputError
from plumbhook.core.units import Kind, parse_quantity

DEG = math.pi / 180.0


def kip(value):
    return parse_quantity(f"{value} kip", Kind.FORCE)


def inch(value):
    return parse_quantity(f"{value} in", Kind.LENGTH)


def ksi(value):
    return parse_quantity(f"{value} ksi", Kind.STRESS)


def step(check, symbol):
    return next(s.result.value for s in check.steps if s.result.symbol == symbol)


# --- preload ---------------------------------------------------------------------------------------------------


def test_a_joint_opens_when_the_moment_uses_up_preload_and_compression():
    check = build(joint_preload.joint_stays_closed_check)
    # 280 N m over k 0.20 and 20 mm is 70 kN; kern of 219.1/199.1 is 50.003 mm; (6 x 70 + 30) kN x 50.003 mm.
    assert step(check, "F_p") == pytest.approx(70e3)
    assert step(check, "r_k") == pytest.approx(0.050003, abs=1e-6)
    assert check.capacity.value == pytest.approx(450e3 * 0.050003, rel=1e-5)
    more = build(joint_preload.joint_stays_closed_check, forces=replace(JOINT_FORCES, moment_Nm=22.6e3))
    assert more.status is Status.FAIL
    just = build(joint_preload.joint_stays_closed_check, forces=replace(JOINT_FORCES, moment_Nm=22.4e3))
    assert just.status is Status.PASS


def test_the_least_torque_and_the_opening_moment_tell_one_story():
    opens = build(joint_preload.joint_stays_closed_check).capacity.value
    check = build(joint_preload.least_torque_check, forces=replace(JOINT_FORCES, moment_Nm=opens))
    assert check.demand.value == pytest.approx(TIGHT.torque_Nm)
    assert check.utilisation == pytest.approx(1.0)


def test_enough_compression_keeps_a_joint_closed_without_any_torque():
    pressed = replace(JOINT_FORCES, compression_N=200e3, moment_Nm=5e3)
    check = build(joint_preload.least_torque_check, forces=pressed)
    assert check.demand.value == 0.0
    assert check.status is Status.PASS


def test_a_tension_that_outweighs_the_preload_fails_whatever_the_moment():
    torn = replace(JOINT_FORCES, compression_N=-500e3, moment_Nm=0.0)
    assert build(joint_preload.joint_stays_closed_check, forces=torn).status is Status.FAIL


def test_the_preload_is_limited_at_the_lowest_friction_of_the_thread():
    # 280/(0.14 x 0.02) = 100 kN of 0.7 x 800 x 245 = 137.2 kN.
    assert build(joint_preload.preload_limit_check).utilisation == pytest.approx(100.0 / 137.2)
    over = build(joint_preload.preload_limit_check, tightening=replace(TIGHT, torque_Nm=400.0))
    assert over.status is Status.FAIL


def test_torque_factors_the_wrong_way_round_are_refused():
    with pytest.raises(InputError, match="enter them the other way round"):
        build(joint_preload.preload_limit_check, tightening=replace(TIGHT, least_factor=0.3))


# --- strength of the joint -------------------------------------------------------------------------------------


def test_bolt_tension_with_prying_by_hand():
    check = build(joint_strength.bolt_tension_check, geometry=replace(FLANGE, flange_thickness_m=0.016))
    # 4 x 8/(6 x 0.28) - 30/6 = 14.048 kN.
    assert check.demand.value == pytest.approx(14.0476e3, rel=1e-5)
    web, edge = (0.280 - 0.2191) / 2 - 0.8 * 0.008, 0.030
    length = min(2 * math.pi * web, 4 * web + 1.25 * edge, 0.280 * 0.5)
    moment = 0.25 * length * 0.016**2 * 345e6
    bolt = 0.9 * 800e6 * 245e-6 / 1.25
    lever = min(edge, 1.25 * web)
    by_hand = min(2 * moment / web, (moment + lever * bolt) / (web + lever), bolt)
    assert check.capacity.value == pytest.approx(by_hand)
    assert 2 * moment / web > by_hand < bolt


def test_a_thin_flange_yields_before_the_bolt_does():
    thin = build(joint_strength.bolt_tension_check, geometry=replace(FLANGE, flange_thickness_m=0.008))
    assert thin.capacity.value == pytest.approx(step(thin, "F_1"))
    thick = build(joint_strength.bolt_tension_check, geometry=replace(FLANGE, flange_thickness_m=0.060))
    assert thick.capacity.value == pytest.approx(step(thick, "F_t_Rd"))


def test_a_joint_without_moment_has_no_bolt_tension():
    check = build(joint_strength.bolt_tension_check, forces=replace(JOINT_FORCES, moment_Nm=0.0))
    assert check.demand.value == 0.0
    assert check.status is Status.PASS


def test_shear_and_tension_together_by_hand():
    check = build(joint_strength.bolt_shear_and_tension_check)
    by_hand = (4 / 6) / 94.08 + 14.0476 / (1.4 * 141.12)
    assert check.demand.value == pytest.approx(by_hand, rel=1e-4)


def test_slip_by_hand():
    check = build(joint_strength.slip_check)
    assert check.capacity.value == pytest.approx(0.2 * (70e3 - 0.8 * 14.0476e3) / 1.25, rel=1e-5)
    gone = build(joint_strength.slip_check, preload_N=11e3)
    assert gone.status is Status.FAIL
    assert gone.utilisation == math.inf


def test_bearing_by_hand():
    check = build(joint_strength.bearing_check)
    alpha, across = 30 / 66, 2.8 * 30 / 22 - 1.7
    assert check.capacity.value == pytest.approx(across * alpha * 470e6 * 0.020 * 0.025 / 1.25)


def test_bolts_too_near_the_edge_or_each_other_fail():
    assert build(joint_strength.bolt_distances_check).demand.value == pytest.approx(26.4 / 30.0)
    narrow = replace(FLANGE, flange_diameter_m=0.330)
    assert build(joint_strength.bolt_distances_check, geometry=narrow).status is Status.FAIL
    crowded = replace(FLANGE, bolt_count=18)
    assert build(joint_strength.bolt_distances_check, geometry=crowded).status is Status.FAIL


@pytest.mark.parametrize(("share", "status"), [(1.002, Status.PASS), (0.998, Status.FAIL)])
def test_the_least_distances_of_table_3_3_are_the_limit_itself(share, status):
    # EN 1993-1-8 Table 3.3: e2 at least 1.2 d0 and p2 at least 2.4 d0; d0 = 22 mm for M20.
    edge = replace(FLANGE, flange_diameter_m=FLANGE.bolt_circle_m + 2.0 * 1.2 * 0.022 * share)
    assert build(joint_strength.bolt_distances_check, geometry=edge).status is status
    circle = 2.4 * 0.022 * share / math.sin(math.pi / FLANGE.bolt_count)
    small = {"tube_diameter_m": 0.05, "contact_outside_m": 0.05, "contact_inside_m": 0.03}
    pitch = replace(FLANGE, bolt_circle_m=circle, flange_diameter_m=0.30, **small)
    assert build(joint_strength.bolt_distances_check, geometry=pitch).status is status


def test_bolts_far_apart_pass_with_attention():
    few = build(joint_strength.bolt_distances_check, geometry=replace(FLANGE, bolt_count=3))
    assert few.status is Status.PASS
    assert "may gape" in few.attention


# --- what cannot be --------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        ({"bolt_count": 2}, "at least three bolts, not 2"),
        ({"flange_thickness_m": -0.012}, "every dimension of the flange must be more than zero"),
        ({"bolt_circle_m": 0.230}, "the bolts stand in the wall of the tube"),
        ({"flange_diameter_m": 0.295}, "the bolt holes break out of the flange"),
        ({"contact_inside_m": 0.25}, "inside diameter smaller than its outside"),
        ({"weld_leg_m": -0.001}, "the leg of the weld must be zero or more"),
        ({"weld_leg_m": 0.050}, "reaches the bolts"),
    ],
)
def test_a_flange_that_cannot_be_is_refused(change, sentence):
    with pytest.raises(InputError, match=sentence):
        build(joint_strength.bolt_tension_check, geometry=replace(FLANGE, **change))


def test_a_flange_without_a_fillet_is_no_mistake():
    bare = replace(FLANGE, weld_leg_m=0.0, contact_inside_m=0.0)
    assert bare.problems(0.022) == ()
    check = build(joint_strength.bolt_tension_check, geometry=bare)
    assert step(check, "m") == pytest.approx((0.280 - 0.2191) / 2)


def test_all_that_is_wrong_is_said_at_once():
    with pytest.raises(InputError) as refused:
        build(
            joint_strength.slip_check,
            geometry=replace(FLANGE, bolt_count=0),
            material=replace(STEEL, yield_Pa=-1.0),
            forces=replace(JOINT_FORCES, shear_N=math.nan),
            preload_N=-5.0,
        )
    text = str(refused.value)
    assert len(refused.value.problems) == 4
    assert "the shear in the joint is missing; enter it" in text
    assert "the yield strength of the flange must be more than zero" in text


def test_a_pin_larger_than_its_hole_is_refused_by_every_check_of_it():
    tight = {"pin_m": 0.0525, "hole_m": 0.0515}
    for refused in (
        lambda: build(pin_checks.pin_check, joint=replace(PIN, **tight)),
        lambda: build(pin_checks.replaceable_pin_check, joint=replace(PIN, **tight)),
        lambda: build(bth_pin_checks.pin_plate_check, plate=replace(PLATE, **tight)),
    ):
        with pytest.raises(
            InputError, match=r"pin of 52\.5 mm does not go into the hole of 51\.5 mm; measure both"
        ):
            refused()


def test_a_negative_thickness_is_refused_with_its_name_and_cure():
    with pytest.raises(InputError) as refused:
        build(bth_pin_checks.pin_plate_check, plate=replace(PLATE, thickness_m=-0.012))
    text = str(refused.value)
    assert text.startswith("example.pin_plate_check: the thickness of the plate must be more than zero, not")
    assert "12 mm" in text
    assert "enter it as on the drawing" in text


# --- pins ------------------------------------------------------------------------------------------------------


def test_a_pin_in_shear_and_bending_by_hand():
    check = build(pin_checks.pin_check)
    shear = 0.6 * math.pi * 0.05**2 / 4 * 900e6 / 1.25
    moment = 1.5 * math.pi * 0.05**3 / 32 * 650e6
    lever = (0.040 + 0.008 + 0.050) / 8
    at_capacity = check.capacity.value
    assert pins.pin_combined_utilisation(
        at_capacity * lever, moment, at_capacity / 2, shear
    ) == pytest.approx(1.0)
    assert at_capacity < 1.5 * 0.040 * 0.050 * 345e6


def test_thin_plates_govern_by_bearing():
    thin = build(pin_checks.pin_check, joint=replace(PIN, middle_m=0.010))
    assert thin.capacity.value == pytest.approx(1.5 * 0.010 * 0.050 * 345e6)
    assert thin.clause == pins.PIN_BEARING
    outer = build(pin_checks.pin_check, joint=replace(PIN, outer_m=0.004))
    assert outer.capacity.value == pytest.approx(1.5 * 0.008 * 0.050 * 345e6)


def test_a_replaceable_pin_stays_below_its_contact_limit():
    check = build(pin_checks.replaceable_pin_check)
    at_limit = step(check, "F_h_ser")
    stress = pins.contact_stress_Pa(210e9, at_limit, PIN.hole_m, PIN.pin_m, 0.040)
    assert stress == pytest.approx(pins.contact_limit_Pa(345e6))
    loose = build(pin_checks.replaceable_pin_check, joint=replace(PIN, hole_m=0.055))
    assert loose.clause == pins.PIN_CONTACT
    assert loose.capacity.value < check.capacity.value
    without_play = build(pin_checks.replaceable_pin_check, joint=replace(PIN, hole_m=PIN.pin_m))
    assert audit_check(without_play) == ()
    assert all(s.result.symbol != "F_h_ser" for s in without_play.steps)


def test_a_plate_with_too_little_steel_beyond_its_hole_fails():
    assert build(pin_checks.pin_plate_outline_check, end_m=0.040).status is Status.FAIL
    assert build(pin_checks.pin_plate_outline_check, side_m=0.020).status is Status.FAIL


def test_lug_a_of_the_published_sheet_is_governed_by_bearing():
    # The sheet takes the bearing stress of 15.0 ksi for a load of 15.0 kip; the allowable load is 8.4375 kip.
    lug = bth_pin_checks.PinPlate(
        pin_m=inch(0.75),
        hole_m=inch(0.875),
        thickness_m=inch(0.75),
        width_m=inch(1.0625),
        end_m=inch(1.0625),
        radius_m=inch(1.5),
        yield_Pa=ksi(36),
        ultimate_Pa=ksi(58),
    )
    check = build(bth_pin_checks.pin_plate_check, plate=lug, force=replace(FORCE, value=kip(8.0)))
    assert check.capacity.value == pytest.approx(kip(8.4375))
    assert check.clause == bth.PLATE_BEARING
    for symbol, published in (("P_t", 19.3343), ("P_b", 17.0312), ("P_v", 20.0029)):
        assert step(check, symbol) == pytest.approx(kip(published), abs=kip(0.0001))
    turning = build(
        bth_pin_checks.pin_plate_check,
        plate=replace(lug, turns_under_load=True),
        force=replace(FORCE, value=kip(8.0)),
    )
    assert turning.status is Status.FAIL
    assert audit_check(turning) == ()


def test_a_stiffened_plate_does_not_dish():
    thin = replace(PLATE, thickness_m=0.006, width_m=0.060)
    held = build(bth_pin_checks.pin_plate_check, plate=replace(thin, stiffened=True))
    free = build(bth_pin_checks.pin_plate_check, plate=thin)
    assert step(free, "b_eff") == pytest.approx(0.024)
    assert step(held, "b_eff") > step(free, "b_eff")
    assert audit_check(held) == ()


def test_the_pin_of_bth_is_never_stronger_than_each_of_its_limits():
    check = build(bth_pin_checks.pin_in_plates_check)
    assert check.capacity.value == min(step(check, name) for name in ("P_s", "P_m", "P_c"))
    # A pin without lever shears: 2 A Fy/(Nd sqrt3).
    short = build(bth_pin_checks.pin_in_plates_check, middle_m=1e-6, outer_m=1e-6, gap_m=0.0)
    assert short.capacity.value == pytest.approx(
        2 * math.pi * 0.05**2 / 4 * 650e6 / 3 / math.sqrt(3), rel=1e-3
    )


# --- welds -----------------------------------------------------------------------------------------------------


def test_a_lug_pulled_straight_off_by_hand():
    straight = replace(PULL, angle_rad=0.0, side_N=0.0)
    check = build(weld_checks.lug_weld_check, pull=straight)
    stress = 150e3 / (2 * 0.008 * 0.250)
    assert step(check, "sigma_eq") == pytest.approx(math.sqrt(2.0) * stress)
    assert check.demand.value == pytest.approx(math.sqrt(2.0) * stress / (470e6 / (0.9 * 1.25)))
    assert check.attention == ""


def test_a_lug_pulled_along_its_base_by_hand():
    along = replace(PULL, angle_rad=math.pi / 2, side_N=0.0)
    check = build(weld_checks.lug_weld_check, pull=along)
    assert step(check, "tau_l") == pytest.approx(150e3 / (2 * 0.008 * 0.250))
    assert step(check, "s_b") == pytest.approx(150e3 * 0.1 / (2 * 0.008 * 0.250**2 / 6))
    with pytest.raises(InputError, match="beyond, it is pushed"):
        build(weld_checks.lug_weld_check, pull=replace(PULL, angle_rad=math.pi / 2 + 0.1))


def test_a_side_pull_costs_welds_dearly_and_asks_for_a_look():
    more = build(weld_checks.lug_weld_check, pull=replace(PULL, side_N=15e3))
    less = build(weld_checks.lug_weld_check, pull=replace(PULL, side_N=0.0))
    assert more.demand.value > less.demand.value
    assert "across its plane" in more.attention


@given(st.floats(0.0, math.pi / 2), st.floats(0.0, 20e3), st.floats(1e3, 200e3))
def test_the_simplified_check_of_a_lug_is_never_kinder(angle, side, force):
    pull = replace(PULL, force_N=force, angle_rad=angle, side_N=side)
    simplified = build(weld_checks.lug_weld_simplified_check, pull=pull)
    directional = build(weld_checks.lug_weld_check, pull=pull)
    # The bound 0.9 fu/gM2 on the normal stress alone is no part of the simplified method.
    equivalent = step(directional, "sigma_eq") / step(directional, "sigma_Rd")
    assert simplified.utilisation >= equivalent * (1.0 - 1e-9)


# --- rated load after reductions -------------------------------------------------------------------------------


def step_input(check, symbol):
    return next(value for s in check.steps for value in s.inputs if value.symbol == symbol)


def reduced(*reductions, rated=35_000.0):
    return build(rated_load_check, reductions=reductions, rated_mass_kg=rated)


def test_reductions_multiply():
    check = reduced(rating.shackle_side_load(30 * DEG), rating.legs_in_bow(120 * DEG))
    assert check.capacity.value == pytest.approx(0.70 * 35_000.0)
    assert check.status is Status.PASS
    choked = reduced(rating.choke_angle(100 * DEG), rating.textile_mode("choke"))
    assert choked.capacity.value == pytest.approx(0.87 * 0.8 * 35_000.0)


def test_a_thin_rope_over_twice_its_diameter_keeps_65_percent():
    # Wire rope users' table: D/d 2 gives 65 %.
    check = reduced(rating.rope_over_pin(0.016, 0.008))
    assert check.capacity.value == pytest.approx((1.0 - 0.5 / math.sqrt(2.0)) * 35_000.0)
    assert step_input(check, "k_bend").origin.startswith("D/d 2.00")


def test_the_radius_of_an_edge_is_shown_in_diameters_of_the_chain():
    # Common practice: 0.7 between one and two diameters.
    check = reduced(rating.chain_over_edge(0.015, 0.010))
    assert check.capacity.value == pytest.approx(0.7 * 35_000.0)
    assert step_input(check, "k_edge").origin.startswith("radius over diameter 1.50")


def test_the_clause_of_the_reduction_that_costs_most_is_named():
    side, bow = rating.shackle_side_load(30 * DEG), rating.chain_heat(350.0)
    assert side.factor < bow.factor
    assert reduced(side, bow).clause == reduced(bow, side).clause == side.clause
    unknown = rating.choke_angle(math.nan)
    assert reduced(side, unknown).clause == unknown.clause


@pytest.mark.parametrize(
    ("reduction", "words"),
    [
        (rating.shackle_side_load(95 * DEG), "beyond 90 degrees off its axis"),
        (rating.shackle_side_load(20 * DEG, round_pin=True), "round pin takes no side load"),
        (rating.legs_in_bow(125 * DEG), "no more than 120 degrees"),
        (rating.textile_mode("basket", 65 * DEG), "beyond 60 degrees"),
        (rating.rope_over_pin(0.015, 0.020), "less than its own diameter"),
        (rating.chain_heat(450.0), "between -40 and 400"),
        (rating.shackle_heat(300.0), "the maker of the shackle has to be asked"),
        (rating.chain_over_edge(0.005, 0.010), "with a protector"),
        (rating.choke_angle(190 * DEG), "between 0 and 180"),
    ],
)
def test_a_use_that_is_not_rated_fails_whatever_the_load(reduction, words):
    check = reduced(reduction)
    assert check.status is Status.FAIL
    assert words in check.refused_because


@pytest.mark.parametrize(
    "reduction",
    [
        rating.shackle_side_load(math.nan),
        rating.legs_in_bow(math.nan),
        rating.rope_over_pin(math.nan, 0.020),
        rating.rope_over_pin(0.040, 0.0),
        rating.chain_heat(math.nan),
        rating.chain_over_edge(0.01, 0.0),
        rating.choke_angle(math.nan),
        rating.textile_mode("two legs", math.nan),
    ],
)
def test_a_missing_measure_is_not_evaluated(reduction):
    check = reduced(reduction)
    assert check.status is Status.NOT_EVALUATED
    assert "its measure is missing" in check.not_evaluated_because


@pytest.mark.parametrize(
    ("reduction", "inside", "outside"),
    [(rating.textile_heat, (-40.0, 80.0), (-41.0, 20.0)), (rating.rope_heat, (-51.0, 93.0), (20.0, 94.0))],
)
def test_within_its_temperatures_a_sling_keeps_its_whole_rating_and_none_beyond(reduction, inside, outside):
    # EN 1492-1: -40 to 80 degrees for every material; 29 CFR 1926.251: 200 F for a fibre core, -60 F before its maker.
    kept, lost = reduced(reduction(*inside)), reduced(reduction(*outside))
    assert kept.capacity.value == 35_000.0
    assert kept.status is Status.PASS
    assert lost.status is Status.FAIL
    assert lost.refused_because
    assert math.isnan(lost.capacity.value)


def test_a_missing_rated_load_is_not_evaluated_and_a_reduction_counts_once():
    assert reduced(rated=None).status is Status.NOT_EVALUATED
    assert reduced().capacity.value == 35_000.0
    with pytest.raises(InputError, match="given twice"):
        reduced(rating.chain_heat(20.0), rating.shackle_heat(20.0))


def test_a_sling_of_several_legs_by_its_table_with_the_formula_beside():
    check = build(several_legs.several_leg_chain_check)
    # EN 818-4, 20 mm, 3-4 legs up to 45 degrees: 26.5 t in the table, 12.5 x 2.1 = 26.25 t by the formula.
    assert check.capacity.value == pytest.approx(26_500.0)
    assert step(check, "WLL_K") == pytest.approx(26_250.0)
    flat = build(several_legs.several_leg_chain_check, angle_from_vertical_rad=61 * DEG)
    assert flat.status is Status.FAIL
    assert "beyond 60 degrees" in flat.refused_because
    rope = build(several_legs.several_leg_rope_check)
    # EN 13414-1, 32 mm: 11.8 t straight, 16.5 t in the table for two legs up to 45 degrees, 11.8 x 1.4 by the formula.
    assert rope.capacity.value == pytest.approx(16_500.0)
    assert step(rope, "WLL_K") == pytest.approx(1.4 * 11_800.0)


def test_every_clause_from_memory_says_so():
    for clause in (bolts.BOLT_BEARING, bolts.SLIP, bolts.TORQUE, bth.PIN_BENDING, pins.PLATE_TYPE_A):
        assert "from memory" in str(clause)
    assert "own derivation" in str(flange_joint.OPENING)
    assert "own derivation" in str(t_stub.HALF_T_STUB)
    assert M20.size == "M20"
    assert LUG.correlation == 0.9
