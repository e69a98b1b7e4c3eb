"""How the load hangs, and whether the items may be used on the day."""

import math
from dataclasses import replace
from datetime import date, timedelta
from typing import ClassVar

import pytest
from check_examples import ARGUMENTS, ITEM, angle_demand, build
from hypothesis import given
from hypothesis import strategies as st

from plumbhook.checks.attitude import (
    cog_inside_lift_points_check,
    cog_margin,
    largest_cog_height_m,
    overturning_check_by_energy,
    restoring_height_check,
    restoring_height_m,
    tilt_check,
)
from plumbhook.checks.equipment import add_months, item_usable_check, months_between
from plumbhook.core.check import Status
from plumbhook.core.errors import InputError


class TestTilt:
    def test_a_tilt_beyond_the_policy_fails(self):
        assert build(tilt_check, demand=angle_demand(math.radians(6.3))).status is Status.FAIL
        assert build(tilt_check, demand=angle_demand(math.radians(5.0))).status is Status.PASS


class TestRestoringHeight:
    """SN Applied Sciences (2021), article s42452-021-04259-3, Table 1: v 4.44 m, 1600 kN under 300 kN."""

    PUBLISHED: ClassVar = {"triangle_height_m": 4.44, "strut_mass_kg": 300.0, "load_mass_kg": 1600.0}

    def test_the_load_turns_over_just_above_the_published_height(self):
        below = build(restoring_height_check, **self.PUBLISHED, cog_height_m=5.27, required_ratio=0.0)
        above = build(restoring_height_check, **self.PUBLISHED, cog_height_m=5.28, required_ratio=0.0)
        assert below.status is Status.PASS
        assert above.status is Status.FAIL

    def test_the_plain_triangle_rule_is_the_case_of_a_strut_without_mass(self):
        assert largest_cog_height_m(4.44, 0.0, 1600.0) == 4.44

    def test_a_centre_of_gravity_below_the_lift_points_is_stable_by_itself(self):
        check = build(restoring_height_check, cog_height_m=-0.95, strut_mass_kg=0.0)
        assert check.status is Status.PASS
        assert check.capacity.value > 3.724

    @given(
        st.floats(0.5, 20.0),
        st.floats(0.0, 5e3),
        st.floats(1e3, 1e5),
        st.floats(-5.0, 20.0),
        st.floats(0.0, 5.0),
    )
    def test_raising_the_load_or_lowering_the_hook_takes_restoring_height_away(self, v, m_T, m_C, z, more):
        base = restoring_height_m(v, m_T, m_C, z)
        assert restoring_height_m(v, m_T, m_C, z + more) <= base
        assert restoring_height_m(v + more, m_T, m_C, z) >= base

    def test_the_policy_asks_for_a_part_of_the_triangle(self):
        v = 4.0
        check = build(
            restoring_height_check,
            triangle_height_m=v,
            strut_mass_kg=0.0,
            cog_height_m=3.7,
            required_ratio=0.1,
        )
        assert check.demand.value == pytest.approx(0.4)
        assert check.capacity.value == pytest.approx(0.3)
        assert check.status is Status.FAIL

    @pytest.mark.parametrize(
        "changes", [{"triangle_height_m": 0.0}, {"load_mass_kg": 0.0}, {"strut_mass_kg": -1.0}]
    )
    def test_a_rig_without_height_or_mass_is_refused(self, changes):
        with pytest.raises(InputError):
            build(restoring_height_check, **changes)


class TestStabilityByEnergy:
    def test_one_unstable_case_fails_all(self):
        check = build(overturning_check_by_energy, case_status={"expected": "stable", "x+": "unstable"})
        assert check.status is Status.FAIL
        assert "x+" in check.refused_because

    @pytest.mark.parametrize("word", ["no_equilibrium", "invalid", "", "STABLE", "not converged"])
    def test_a_case_without_a_verdict_is_not_evaluated(self, word):
        check = build(overturning_check_by_energy, case_status={"expected": "stable", "x+": word})
        assert check.status is Status.NOT_EVALUATED

    def test_no_case_is_no_proof(self):
        assert build(overturning_check_by_energy, case_status={}).status is Status.NOT_EVALUATED


SQUARE = ((-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0))


class TestCentreOfGravityInside:
    def test_the_margin_is_measured_from_the_nearest_edge(self):
        margin = cog_margin(SQUARE, (0.3, 0.0), (0.1, 0.05))
        assert margin.distance_m == pytest.approx(0.6)
        assert margin.corner[0] == pytest.approx(0.4)

    def test_a_box_that_reaches_over_an_edge_fails(self):
        check = build(
            cog_inside_lift_points_check, lift_points_m=SQUARE, cog_m=(0.95, 0.0), cog_half_box_m=(0.1, 0.1)
        )
        assert check.status is Status.FAIL
        assert check.capacity.value == pytest.approx(-0.05)

    def test_a_slanting_edge_counts_too(self):
        triangle = ((0.0, 0.0), (4.0, 0.0), (0.0, 4.0))
        assert cog_margin(triangle, (1.0, 1.0), (0.0, 0.0)).distance_m == pytest.approx(1.0)
        assert cog_margin(triangle, (1.9, 1.9), (0.0, 0.0)).distance_m == pytest.approx(0.2 / math.sqrt(2.0))
        assert cog_margin(triangle, (2.1, 2.1), (0.0, 0.0)).distance_m < 0.0

    @given(st.permutations(range(4)), st.floats(-0.9, 0.9), st.floats(-0.9, 0.9))
    def test_the_order_of_the_lift_points_does_not_matter(self, order, x, y):
        points = [SQUARE[number] for number in order]
        expected = 1.0 - max(abs(x), abs(y))
        assert cog_margin(points, (x, y), (0.0, 0.0)).distance_m == pytest.approx(expected)

    def test_an_inner_lift_point_does_not_shrink_the_polygon(self):
        assert cog_margin([*SQUARE, (0.5, 0.5)], (0.9, 0.9), (0.0, 0.0)).distance_m == pytest.approx(0.1)

    def test_two_lift_points_have_no_inside(self):
        check = build(cog_inside_lift_points_check, lift_points_m=SQUARE[:2])
        assert check.status is Status.NOT_APPLICABLE

    @pytest.mark.parametrize("points", [(), SQUARE[:1]])
    def test_fewer_than_two_lift_points_are_not_evaluated(self, points):
        assert build(cog_inside_lift_points_check, lift_points_m=points).status is Status.NOT_EVALUATED

    def test_a_coordinate_that_is_missing_is_refused(self):
        with pytest.raises(InputError):
            build(cog_inside_lift_points_check, cog_m=(math.nan, 0.0))


class TestEquipment:
    LIFT = ARGUMENTS[item_usable_check]["lift_date"]

    def test_an_accessory_is_in_date_on_the_day_it_falls_due_and_not_after(self):
        """LOLER 1998 reg. 9(3)(a)(i): at least every six months for accessories."""
        item = replace(ITEM, last_examination=date(2026, 9, 17))
        assert build(item_usable_check, items=(item,), lift_date=date(2027, 3, 17)).status is Status.PASS
        late = build(item_usable_check, items=(item,), lift_date=date(2027, 3, 18))
        assert late.status is Status.FAIL
        assert "2027-03-17" in late.refused_because

    def test_an_item_examined_on_the_day_of_the_lift_is_in_date_and_one_examined_after_it_is_not_known(self):
        examined = replace(ITEM, last_examination=self.LIFT)
        check = build(item_usable_check, items=(examined,))
        assert check.status is Status.PASS
        assert check.demand.value == 0.0
        later = replace(ITEM, last_examination=self.LIFT + timedelta(days=1))
        assert build(item_usable_check, items=(later,)).status is Status.NOT_EVALUATED

    def test_the_overdue_set_of_the_example_is_refused(self):
        """Own scenario: examined 2026-09-01, due 2027-03-01, lift on 2027-03-17."""
        item = replace(ITEM, serial="C324-4801", last_examination=date(2026, 9, 1))
        check = build(item_usable_check, items=(ITEM, item))
        assert check.status is Status.FAIL
        assert "C324-4801" in check.refused_because

    @pytest.mark.parametrize("status", ["quarantine: ovalised hole", "reject: plain bolt as pin", "", "OK "])
    def test_an_item_that_is_not_in_order_is_refused_by_name(self, status):
        check = build(item_usable_check, items=(ITEM, replace(ITEM, serial="SH-17-07", status=status)))
        assert check.status is Status.FAIL
        assert "SH-17-07" in check.refused_because

    @pytest.mark.parametrize(
        "items",
        [
            (),
            (replace(ITEM, last_examination=None),),
            (replace(ITEM, mass_kg=None),),
            (replace(ITEM, mass_kg=math.nan),),
            (replace(ITEM, last_examination=date(2027, 4, 1)),),
            (ITEM, replace(ITEM, serial="x", last_examination=None)),
        ],
    )
    def test_a_record_with_a_gap_is_not_evaluated(self, items):
        assert build(item_usable_check, items=items).status is Status.NOT_EVALUATED

    def test_the_oldest_examination_of_the_group_governs(self):
        older = replace(ITEM, serial="old", last_examination=date(2026, 10, 1))
        check = build(item_usable_check, items=(ITEM, older))
        assert check.demand.origin == "old"

    @given(st.dates(date(2000, 1, 1), date(2100, 1, 1)), st.integers(1, 24))
    def test_an_interval_is_used_up_exactly_on_the_due_day(self, day, months):
        due = add_months(day, months)
        assert months_between(day, due) == months
        assert months_between(day, due + timedelta(days=1)) > months
        assert months_between(day, due - timedelta(days=1)) < months

    def test_the_end_of_a_month_is_the_end_of_a_shorter_one(self):
        assert add_months(date(2026, 8, 31), 6) == date(2027, 2, 28)
        assert add_months(date(2027, 8, 31), 6) == date(2028, 2, 29)

    def test_an_interval_of_nothing_is_refused(self):
        with pytest.raises(InputError):
            build(item_usable_check, interval_months=0)
