"""Items, lift points, slings, pieces of a strut: rated loads, angles, layout."""

import math
from dataclasses import replace

import numpy as np
import pytest
from check_examples import UPPER_STRUT, angle_demand, build, demand
from hypothesis import given
from hypothesis import strategies as st

from plumbhook.checks.demand import Demand
from plumbhook.checks.lift_point import lift_point_angle_check, lift_point_load_check
from plumbhook.checks.rated_load import equivalent_mass_kg, rated_load_check
from plumbhook.checks.second_method import MethodPair, second_method_check
from plumbhook.checks.slinging import (
    lower_sling_lean_check,
    side_by_side_note,
    slack_check,
    top_sling_angle_check,
)
from plumbhook.checks.strut_layout import (
    LineAttachment,
    StrutPart,
    end_pins_only_check,
    joint_positions_m,
    mid_span_joint_check,
    one_family_check,
    piece_count_check,
    span_m,
)
from plumbhook.core.check import Status
from plumbhook.core.errors import InputError


class TestDemand:
    def test_the_worst_method_governs_and_says_its_case(self):
        given_demand = demand(10.0, 12.0, 11.0, nominal=9.0)
        step = given_demand.worst_step("F")
        assert step.result.value == 12.0
        assert step.formula == "max(F_hand, F_rigid, F_elastic)"
        assert step.note == "governed by rigid, x+ y-"
        assert given_demand.governing.symbol == "F_rigid"

    def test_a_single_candidate_is_its_own_worst(self):
        assert demand(10.0).worst_step("F").formula == "F_hand"

    @pytest.mark.parametrize("position", [0, 1, 2])
    def test_a_case_without_an_answer_is_never_outvoted(self, position):
        values = [1.0, 2.0, 3.0]
        values[position] = math.nan
        assert math.isnan(demand(*values, nominal=1.0).worst)

    def test_no_candidate_is_no_demand(self):
        with pytest.raises(ValueError, match="at least one"):
            Demand(demand(1.0).nominal, ())

    def test_symbols_must_differ_units_agree_and_origins_be_said(self):
        good = demand(1.0, 2.0)
        first, second = good.candidates
        for candidates in (
            (first, replace(second, symbol="F_hand")),
            (first, replace(second, unit="kg")),
            (first, replace(second, origin="")),
        ):
            with pytest.raises(ValueError):  # noqa: PT011 - any reason
                Demand(good.nominal, candidates)


class TestRatedLoad:
    def test_two_legs_at_30_degrees_from_horizontal_carry_the_whole_load_each(self):
        """US Navy rigging manual: 1,000 lb on two legs at 30 degrees from the horizontal, 1,000 lb in each leg."""
        pound = 0.45359237
        tension = 1000 * pound * 9.80665 / (2.0 * math.sin(math.radians(30.0)))
        check = build(
            rated_load_check,
            demand=demand(tension),
            rated_mass_kg=1000 * pound * (1.0 + 1e-9),
            gravity_m_s2=9.80665,
            side_by_side=1,
            larger_share=1.0,
            own_weight_N=0.0,
            angle_from_vertical_rad=math.radians(60.0),
        )
        assert check.status is Status.PASS
        assert check.utilisation == pytest.approx(1.0)

    def test_two_roundslings_side_by_side_at_45_to_55(self):
        """Own scenario figures: 32.70 t on two 20 t roundslings, 82 % shared evenly, 90 % at 45 to 55."""
        force = 32_700.0 * 9.81
        common = {"demand": demand(force), "own_weight_N": 0.0, "gravity_m_s2": 9.81}
        even = build(rated_load_check, **common, larger_share=0.5)
        uneven = build(rated_load_check, **common, larger_share=0.55)
        assert even.utilisation == pytest.approx(0.8175, abs=5e-4)
        assert uneven.utilisation == pytest.approx(0.899, abs=5e-4)
        assert "55.0 %" in " ".join(uneven.assumptions)

    def test_a_missing_rated_load_is_neither_zero_nor_unlimited(self):
        check = build(rated_load_check, rated_mass_kg=None)
        assert check.status is Status.NOT_EVALUATED
        assert check.not_evaluated_because == "rated load missing"
        assert "plate" in check.cure

    def test_the_cure_names_a_rated_load_that_would_pass(self):
        check = build(rated_load_check, rated_mass_kg=10_000.0)
        assert check.status is Status.FAIL
        assert "18.84 t" in check.cure
        assert build(rated_load_check, rated_mass_kg=18_850.0).status is Status.PASS

    def test_the_dynamic_factor_is_said_to_be_applied_once(self):
        assert any("once" in sentence for sentence in build(rated_load_check).assumptions)

    def test_a_negative_force_is_not_made_good_by_the_weight_of_the_gear(self):
        check = build(rated_load_check, demand=demand(-1.0), own_weight_N=700.0)
        assert check.status is Status.NOT_EVALUATED

    @pytest.mark.parametrize(
        "changes",
        [
            {"side_by_side": 0},
            {"side_by_side": 2, "larger_share": 0.45},
            {"larger_share": 1.1},
            {"gravity_m_s2": 0.0},
            {"own_weight_N": -1.0},
        ],
    )
    def test_a_share_or_weight_that_cannot_be_is_refused(self, changes):
        with pytest.raises(InputError):
            build(rated_load_check, **changes)

    @given(st.floats(0.0, 1e7), st.floats(0.0, 1e7), st.floats(0.5, 1.0), st.floats(0.5, 1.0))
    def test_more_force_or_a_larger_share_never_lowers_the_load_on_an_item(self, f1, f2, s1, s2):
        assert equivalent_mass_kg(min(f1, f2), 9.81, min(s1, s2)) <= equivalent_mass_kg(
            max(f1, f2), 9.81, max(s1, s2)
        )

    def test_arrays_of_forces_give_arrays_of_masses(self):
        assert equivalent_mass_kg(np.array([9.81, 19.62]), 9.81, 0.5).tolist() == [0.5, 1.0]


class TestLiftPoints:
    def test_the_worst_corner_of_the_example_loads_a_20_t_point_to_82_percent(self):
        """Own scenario figure: 16.41 t on a lift point of 20 t."""
        check = build(lift_point_load_check, demand=demand(16_410.0 * 9.81))
        assert check.utilisation == pytest.approx(0.8205, abs=5e-4)

    def test_missing_limits_are_not_evaluated(self):
        assert build(lift_point_load_check, rated_mass_kg=None).status is Status.NOT_EVALUATED
        assert build(lift_point_angle_check, max_angle_rad=None).status is Status.NOT_EVALUATED

    def test_a_pull_further_off_axis_than_allowed_fails(self):
        tilted = angle_demand(math.radians(5.2))
        assert build(lift_point_angle_check, demand=tilted).status is Status.FAIL


class TestSlings:
    @pytest.mark.parametrize(
        ("angle", "status", "attention"),
        [
            (30.0, Status.PASS, False),
            (45.0, Status.PASS, False),
            (29.0, Status.PASS, True),
            (45.01, Status.FAIL, False),
            (58.0, Status.FAIL, False),
        ],
    )
    def test_top_slings_stand_between_30_and_45_degrees_from_the_vertical(self, angle, status, attention):
        check = build(top_sling_angle_check, angle_from_vertical_rad=math.radians(angle))
        assert check.status is status
        assert bool(check.attention) is attention

    @pytest.mark.parametrize("angle", [30.0, 45.0])
    def test_an_angle_found_from_drawn_lengths_may_lie_on_the_limit(self, angle):
        length = 4.3
        half = length * math.sin(math.radians(angle))
        for nudge in (-1e-12, 0.0, 1e-12):
            check = build(top_sling_angle_check, angle_from_vertical_rad=math.asin(half / length) + nudge)
            assert (check.status, check.attention) == (Status.PASS, "")

    @pytest.mark.parametrize(
        ("lean", "status", "attention"),
        [(0.0, Status.PASS, False), (3.0, Status.PASS, False), (3.1, Status.PASS, True), (6.0, Status.PASS, True),
         (6.1, Status.FAIL, True)],
    )  # fmt: skip
    def test_lower_slings_hang_within_6_degrees_of_plumb(self, lean, status, attention):
        check = build(lower_sling_lean_check, lean_rad=math.radians(lean))
        assert check.status is status
        assert bool(check.attention) is attention

    def test_a_slack_line_fails_whatever_the_numbers(self):
        check = build(slack_check, slack=("V3 (elastic, x+ y-)",))
        assert check.status is Status.FAIL
        assert "V3" in check.refused_because

    @pytest.mark.parametrize("least", [0.0, -1.0, 4999.0])
    def test_a_line_that_keeps_too_little_tension_fails(self, least):
        assert build(slack_check, least_tension_N=least).status is Status.FAIL

    def test_the_sentence_on_sharing_is_for_items_side_by_side_only(self):
        assert side_by_side_note(1, 1.0) == ""
        assert "evenly" in side_by_side_note(2, 0.5)
        assert "most loaded" in side_by_side_note(2, 0.55)


def strut(*lengths, fitting=0.20, family="F219"):
    ends = (
        StrutPart("E01", family, fitting, is_fitting=True),
        StrutPart("E02", family, fitting, is_fitting=True),
    )
    pieces = tuple(StrutPart(f"P{number}", family, length) for number, length in enumerate(lengths))
    return (ends[0], *pieces, ends[1])


class TestStrutLayout:
    def test_joints_of_the_example_lie_where_a_tape_would_find_them(self):
        """Own scenario figures: 4.3 m from 0.20 + 1.2 + 2.4 + 0.3 + 0.20; inner joints at 1.40 and 3.80 m."""
        assert span_m(UPPER_STRUT) == pytest.approx(4.3)
        assert joint_positions_m(UPPER_STRUT) == pytest.approx((0.20, 1.40, 3.80, 4.10))
        assert build(mid_span_joint_check).capacity.value == pytest.approx(0.75)

    def test_two_equal_pieces_put_a_joint_at_mid_span(self):
        check = build(mid_span_joint_check, parts=strut(1.2, 1.2))
        assert check.status is Status.FAIL
        assert check.capacity.value == pytest.approx(0.0, abs=1e-12)

    def test_a_long_piece_outside_the_middle_asks_for_attention_and_passes(self):
        check = build(mid_span_joint_check, parts=strut(2.4, 1.2, 1.2, 1.2))
        assert check.status is Status.PASS
        assert "P0" in check.attention
        assert build(mid_span_joint_check, parts=strut(1.2, 2.4, 1.2)).attention == ""

    @given(st.lists(st.sampled_from([0.3, 0.6, 1.2, 2.4, 4.2]), min_size=1, max_size=6))
    def test_turning_a_strut_end_for_end_changes_nothing(self, lengths):
        forth, back = strut(*lengths), strut(*lengths[::-1])
        first, second = (build(mid_span_joint_check, parts=parts) for parts in (forth, back))
        assert first.capacity.value == pytest.approx(second.capacity.value, abs=1e-9)

    def test_more_than_four_pieces_between_the_fittings_fail(self):
        assert build(piece_count_check, parts=strut(0.6, 0.6, 0.6, 0.6)).status is Status.PASS
        assert build(piece_count_check, parts=strut(0.6, 0.6, 0.6, 0.6, 0.6)).status is Status.FAIL

    def test_a_piece_of_another_family_is_refused_by_name(self):
        parts = list(strut(1.2, 2.4))
        parts[2] = replace(parts[2], family="F140")
        check = build(one_family_check, parts=tuple(parts))
        assert check.status is Status.FAIL
        assert "P1 (F140)" in check.refused_because
        # One stranger is one too many.
        assert check.utilisation == 1.0

    def test_an_unknown_family_is_not_evaluated(self):
        parts = tuple(replace(part, family="") for part in strut(1.2))
        assert build(one_family_check, parts=parts).status is Status.NOT_EVALUATED

    def test_a_line_hung_half_a_metre_inboard_is_refused(self):
        check = build(end_pins_only_check, attachments=(LineAttachment("T1", 0.0), LineAttachment("M2", 0.5)))
        assert check.status is Status.FAIL
        assert "M2" in check.refused_because

    @pytest.mark.parametrize("attachments", [(), (LineAttachment("T1", math.nan),)])
    def test_attachments_that_are_not_known_are_not_evaluated(self, attachments):
        assert build(end_pins_only_check, attachments=attachments).status is Status.NOT_EVALUATED

    @pytest.mark.parametrize("parts", [(), strut(1.2)[:1], strut(1.2, 0.0), strut(math.nan)])
    @pytest.mark.parametrize("builder", [mid_span_joint_check, piece_count_check, one_family_check])
    def test_a_strut_that_is_none_is_refused(self, builder, parts):
        with pytest.raises(InputError):
            build(builder, parts=parts)


class TestSecondMethod:
    def test_the_pair_that_differs_most_governs(self):
        pairs = (MethodPair("T1", 101.0, 100.0), MethodPair("T2", 97.0, 100.0))
        check = build(second_method_check, pairs=pairs)
        assert check.demand.value == pytest.approx(0.03)
        assert check.status is Status.FAIL

    @pytest.mark.parametrize(
        "pairs",
        [(), (MethodPair("T1", math.nan, 100.0),), (MethodPair("T1", 1.0, 1.0), MethodPair("T2", 1.0, 0.0))],
    )
    def test_nothing_compared_is_no_agreement(self, pairs):
        check = build(second_method_check, pairs=pairs)
        assert check.status is Status.NOT_EVALUATED
        assert math.isnan(check.demand.value)
