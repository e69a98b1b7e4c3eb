"""A strut of pieces against its codes: the numbers, what is refused, and that the uniform strut is the closed form."""

import math
from dataclasses import replace

import numpy as np
import pytest
from check_examples import BASIS, STRUT_DEMAND, TUBE, build, demand, solved_strut

from plumbhook.checks.asme_bth_1 import segmented
from plumbhook.checks.asme_bth_1.compression import allowable_compression_Pa, interaction
from plumbhook.checks.en_1993_1_1_2005 import interaction as ec3
from plumbhook.checks.en_1993_1_1_2005 import second_order, strut
from plumbhook.checks.en_13155_2003 import strength
from plumbhook.core.audit import audit_check
from plumbhook.core.check import Status, Value
from plumbhook.core.errors import InputError


@pytest.mark.parametrize(
    ("first", "second", "larger", "psi"),
    [
        (100.0, -50.0, 100.0, -0.5),
        (50.0, 200.0, 200.0, 0.25),
        (-300.0, 100.0, -300.0, -1.0 / 3.0),
        (0.0, 0.0, 0.0, 1.0),
    ],
)
def test_the_ratio_of_the_end_moments_lies_between_minus_one_and_one(first, second, larger, psi):
    # EN 1993-1-1 Table B.3: M_h at one end and psi M_h at the other, M_h the larger by amount.
    moments = strut.FirstOrderMoments(first, second, 0.0, max(abs(first), abs(second)))
    assert moments.larger_end_Nm == larger
    assert moments.psi == pytest.approx(psi, rel=1e-15)


def test_a_strut_that_bears_its_elastic_critical_load_has_buckled_and_has_no_amplification():
    # Euler: the amplification 1/(1 - N/Ncr) has no bound at the critical load.
    def at(share):
        return replace(solved_strut(1.0), compression_N=share * solved_strut(1.0).critical_force_N)

    def steps(share):
        force = Value("F", at(share).compression_N, "N", "compression", "load")
        return at(share).plausibility_steps(force)

    assert "buckles" in at(1.0).beyond_critical
    assert at(1.0 - 1e-9).beyond_critical == ""
    assert steps(1.0) == ()
    amplified = steps(0.5)[0].result.value
    assert amplified == pytest.approx(2.0 * solved_strut(1.0).first_order_moment_Nm, rel=1e-12)


def test_a_straight_strut_has_a_bow_of_zero_which_is_a_number_and_a_negative_one_is_not():
    assert replace(solved_strut(1.0), bow_m=0.0).missing == ""
    assert "bow" in replace(solved_strut(1.0), bow_m=-0.001).missing
    assert "bow" in replace(solved_strut(1.0), bow_m=math.nan).missing


def test_moments_without_a_place_in_the_rig_have_no_key():
    assert strut.FirstOrderMoments(1.0, 1.0, 1.0, 1.0).key("middle") == ""
    assert strut.FirstOrderMoments(1.0, 1.0, 1.0, 1.0, "moment.y").key("middle") == "moment.y:middle"


SOLVED_CHECKS = (
    segmented.segmented_check,
    strut.second_order_check,
    strut.interaction_check,
    strength.no_permanent_set_check,
    strength.no_release_check,
)


def names(builder):
    return builder.__name__


def argument(builder, name):
    from check_examples import ARGUMENTS

    return ARGUMENTS[builder][name]


@pytest.mark.parametrize("builder", SOLVED_CHECKS, ids=names)
def test_a_strut_that_buckles_is_refused_and_never_has_a_use(builder):
    solved = argument(builder, "solved")
    buckled = replace(solved, critical_force_N=solved.compression_N, moment_Nm=math.nan)
    check = build(builder, solved=buckled)
    assert check.status is Status.FAIL
    assert "buckles" in check.refused_because
    assert audit_check(check) == ()


@pytest.mark.parametrize("builder", SOLVED_CHECKS, ids=names)
def test_an_analysis_at_another_load_is_not_taken(builder):
    solved = argument(builder, "solved")
    with pytest.raises(InputError, match="analysed at"):
        build(builder, solved=replace(solved, compression_N=1.01 * solved.compression_N))


@pytest.mark.parametrize("builder", SOLVED_CHECKS, ids=names)
@pytest.mark.parametrize(
    "field", ["moment_Nm", "first_order_moment_Nm", "station_m", "splice_Nm_per_rad", "bow_m"]
)
@pytest.mark.parametrize("wrong", [math.nan, -1.0])
def test_a_number_missing_in_the_analysis_is_said(builder, field, wrong):
    solved = replace(argument(builder, "solved"), **{field: wrong})
    if builder is strut.second_order_check and field == "bow_m" and wrong < 0.0:
        with pytest.raises(InputError, match="analysed with a bow"):
            build(builder, solved=solved)
        return
    check = build(builder, solved=solved)
    assert check.status is Status.NOT_EVALUATED
    assert "strut analysis has no" in check.not_evaluated_because


@pytest.mark.parametrize("builder", SOLVED_CHECKS, ids=names)
def test_the_closed_form_stands_beside_the_moment_of_the_analysis(builder):
    if builder is strut.interaction_check:
        return  # its moments are of first order
    check = build(builder)
    step = next(step for step in check.steps if step.result.symbol == "M_amp")
    solved = argument(builder, "solved")
    assert solved.moment_Nm == pytest.approx(1.01 * step.result.value, rel=1e-9)
    assert "101 %" in step.note


@pytest.mark.parametrize("builder", SOLVED_CHECKS, ids=names)
def test_joints_and_their_stiffness_are_among_the_assumptions(builder):
    assert any("40 MN·m/rad, stated" in sentence for sentence in build(builder).assumptions)


def test_second_order_use_by_hand():
    check = build(strut.second_order_check)
    solved = argument(strut.second_order_check, "solved")
    by_hand = 1.35 * 167.6e3 / (TUBE.area_m2 * 355e6) + solved.moment_Nm / (TUBE.elastic_modulus_m3 * 355e6)
    assert check.demand.value == pytest.approx(by_hand, rel=1e-12)


def test_the_bow_must_be_that_of_the_curve():
    with pytest.raises(InputError, match=r"Table 5\.1 asks for 0\.0143"):
        build(strut.second_order_check, solved=solved_strut(1.35, 0.0086))
    with pytest.raises(InputError, match="one of a0, a, b, c, d"):
        build(strut.second_order_check, curve="e")


def test_a_softer_curve_has_the_larger_bow():
    divisors = [second_order.bow_divisor(curve) for curve in ("a0", "a", "b", "c", "d")]
    assert divisors == sorted(divisors, reverse=True)


def test_the_bow_is_left_out_of_a_global_analysis_of_stocky_members_only():
    assert second_order.least_slenderness_with_bow(65.7e-4, 355e6, 583e3) == pytest.approx(1.0, rel=1e-3)


@pytest.mark.parametrize("slenderness", [0.1, 0.8, 3.0])
@pytest.mark.parametrize("section_class", [1, 2, 3])
def test_the_interaction_factor_stops_growing(slenderness, section_class):
    factor = ec3.interaction_factor(1.0, slenderness, 0.3, section_class)
    cap = 1.0 + (0.6 if section_class == 3 else 0.8) * 0.3
    assert factor <= cap
    assert (factor == pytest.approx(cap)) == (slenderness >= 1.0)


def test_table_b1_is_for_classes_up_to_three():
    with pytest.raises(InputError, match="class 1, 2 and 3"):
        ec3.interaction_factor(1.0, 1.0, 0.1, 4)


def test_moment_factors_are_never_below_0_4_nor_above_1():
    for end in np.linspace(-2.0, 2.0, 21):
        for psi in np.linspace(-1.0, 1.0, 9):
            assert 0.4 <= ec3.moment_factor_uniform_load(float(end), 1.0, float(psi)) <= 1.0
    assert math.isnan(ec3.moment_factor_uniform_load(math.nan, 1.0, 1.0))


MOMENT_DIAGRAMS = [
    (0.0, 0.0, 0.0),
    (1.8e3, 1.8e3, 5.1e3),
    (1.8e3, -0.9e3, 5.1e3),
    (-1.8e3, 0.9e3, 5.1e3),
    (6.0e3, 6.0e3, 5.1e3),
    (6.0e3, 6.0e3, -5.1e3),
    (6.0e3, -3.0e3, -5.1e3),
]


@pytest.mark.parametrize("ends_and_middle", MOMENT_DIAGRAMS)
def test_every_branch_of_the_moment_factor_prints_its_own_formula(ends_and_middle):
    first, second, middle = ends_and_middle
    largest = max(abs(first), abs(second), abs(middle))
    check = build(strut.interaction_check, moments=strut.FirstOrderMoments(first, second, middle, largest))
    assert audit_check(check) == ()
    assert check.status is Status.PASS


def test_a_thin_wall_takes_the_elastic_modulus_or_no_answer():
    from plumbhook.checks.sections import CircularHollowSection

    for wall, status, modulus in ((0.0045, Status.PASS, "Z"), (0.002, Status.NOT_EVALUATED, "Z")):
        thin = CircularHollowSection.of_dimensions(0.2191, wall)
        check = build(strut.interaction_check, section=thin, demand=demand(40e3), solved=replace(
            solved_strut(1.35), compression_N=1.35 * 40e3))  # fmt: skip
        assert check.status is status
        assert any(step.result.symbol == modulus for step in check.steps)
        assert audit_check(check) == ()


def test_no_permanent_set_is_held_against_yield():
    check = build(strength.no_permanent_set_check)
    assert check.capacity.value == 355e6
    force = next(step for step in check.steps if step.result.symbol == "N_2").result.value
    assert force == pytest.approx(2.0 * 167.6e3 / 1.1)


def test_three_times_the_load_may_yield_but_not_form_a_hinge():
    check = build(strength.no_release_check)
    solved = argument(strength.no_release_check, "solved")
    by_hand = solved.compression_N / (TUBE.area_m2 * 355e6) + solved.moment_Nm / (
        TUBE.plastic_modulus_m3 * 355e6
    )
    assert check.demand.value == pytest.approx(by_hand, rel=1e-12)


@pytest.mark.parametrize("builder", [strength.no_permanent_set_check, strength.no_release_check], ids=names)
@pytest.mark.parametrize("changes", [{"dynamic_factor": 0.9}, {"yield_Pa": 0.0}])
def test_factors_that_make_no_sense_are_refused(builder, changes):
    with pytest.raises(InputError):
        build(builder, **changes)


@pytest.mark.parametrize("force", [10e3, 100e3, 300e3])
@pytest.mark.parametrize("span", [3.0, 4.3, 8.0, 12.0])
def test_a_uniform_strut_with_a_sine_bow_is_the_rule_of_combined_stress_itself(force, span):
    """Analysed under 1.15 Nd times its loads and divided by it, the bow grows by 1/(1 - fa/Fe')."""
    level = segmented.amplification_level(3.0)
    critical = math.pi**2 * 210e9 * TUBE.second_moment_m4 / span**2
    if level * force >= critical:
        return
    bow = span / 500.0
    moment = level * force * bow / (1.0 - level * force / critical)
    slenderness = segmented.equivalent_slenderness(critical, TUBE.area_m2, 210e9)
    assert slenderness == pytest.approx(span / TUBE.radius_of_gyration_m, rel=1e-12)
    allowable = allowable_compression_Pa(slenderness, 210e9, 355e6, 3.0)
    mine = segmented.combined_use(
        force, moment / level, area_m2=TUBE.area_m2, section_modulus_m3=TUBE.elastic_modulus_m3,
        allowable_compression_Pa=allowable, allowable_bending_Pa=1.1 * 355e6 / 3.0,
    )  # fmt: skip
    rule = interaction(
        force, area_m2=TUBE.area_m2, section_modulus_m3=TUBE.elastic_modulus_m3, self_weight_moment_Nm=0.0,
        eccentricity_m=bow, allowable_compression_Pa=allowable,
        euler_allowable_Pa=critical / (level * TUBE.area_m2), allowable_bending_Pa=1.1 * 355e6 / 3.0,
    )  # fmt: skip
    assert mine == pytest.approx(rule, rel=1e-12)


def test_a_slender_strut_is_checked_by_elastic_buckling():
    slender = replace(solved_strut(3.45), critical_force_N=0.9e6)
    check = build(segmented.segmented_check, solved=slender)
    assert audit_check(check) == ()
    assert next(s for s in check.steps if s.result.symbol == "F_a").note.startswith("elastic buckling")
    assert check.demand.value > build(segmented.segmented_check).demand.value


def test_a_wall_too_thin_for_the_bending_stress_gives_no_answer():
    from plumbhook.checks.sections import CircularHollowSection

    thin = replace(BASIS, section=CircularHollowSection.of_dimensions(0.2191, 0.004))
    check = build(segmented.segmented_check, basis=thin)
    assert check.status is Status.NOT_EVALUATED


def test_the_demand_of_the_example_is_the_worst_of_its_methods():
    assert STRUT_DEMAND.worst == 167.6e3
