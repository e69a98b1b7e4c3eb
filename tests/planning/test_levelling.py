"""Levelling: exact lengths, sets that can be had, and what stands in the way where none will do."""

from __future__ import annotations

import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.planning import small_lifts as small
from tests.scenarios.variants import example

from plumbhook.core.errors import InputError, NotEvaluatedError
from plumbhook.model.load import cog_m
from plumbhook.planning.assess import state_problem
from plumbhook.planning.assessment import Basis, Method
from plumbhook.planning.cases import EXPECTED_CASE, solve_case
from plumbhook.planning.levelling import level
from plumbhook.planning.levelling_adjusters import Adjuster, adjusters_of, can_be_had
from plumbhook.planning.levelling_exact import closed_form_lengths_m, common_cog_m
from plumbhook.planning.levelling_measure import Setting, limits_of, measured, measured_sets
from plumbhook.planning.levelling_records import LevelLimit
from plumbhook.planning.levelling_rest import LoadState, rest_of, with_lengths

LEGS = ("T1", "T2", "T3", "T4")
WATER_KG, WATER_AT = 450.0, (3.40, 0.10, 0.90)


def as_found(lift) -> LoadState:
    """The skid with the water that was left in the exchanger."""
    mass, cog = state_problem(lift).expected_mass_kg, cog_m(lift.file.load)
    total = mass + WATER_KG
    x, y, z = ((mass * c + WATER_KG * w) / total for c, w in zip(cog, WATER_AT, strict=True))
    return LoadState(total, (x, y, z))


@pytest.fixture(scope="module")
def skid():
    return example("marrow-lane")


@pytest.fixture(scope="module")
def levelled(skid):
    return level(skid, triangle_height_m=4.9)


def setting_of(lift, load: LoadState | None = None) -> Setting:
    problem = state_problem(lift)
    adjusters = adjusters_of(lift, problem.rig)
    load = load or LoadState(problem.expected_mass_kg, cog_m(lift.file.load))
    present = {name: problem.rig.lines[name].length_m for name in adjusters}
    return Setting(problem, load, adjusters, limits_of(lift, problem), present)


class TestTheSkidWithItsCentreOfGravityOffCentre:
    """Stated figures of the invented plant-room skid, worked out by hand and by an independent prototype."""

    def test_the_hook_goes_over_the_common_centre_of_gravity_of_load_and_rig(self, skid) -> None:
        setting = setting_of(skid)
        x, y, _ = common_cog_m(setting.problem, setting.load)
        assert (x, y) == pytest.approx((4.128, 0.018), abs=5e-4)
        x, y, _ = common_cog_m(setting.problem, as_found(skid))
        assert (x, y) == pytest.approx((4.111, 0.020), abs=1e-3)

    def test_planned_legs(self, levelled) -> None:
        assert [levelled.closed_form_m[leg] for leg in LEGS] == pytest.approx(
            [6.083, 6.091, 6.646, 6.653], abs=1e-3
        )

    def test_legs_with_the_water_left_in(self, skid) -> None:
        lengths = closed_form_lengths_m(state_problem(skid), as_found(skid), 4.9)
        assert [lengths[leg] for leg in LEGS] == pytest.approx([6.073, 6.082, 6.656, 6.665], abs=1e-3)

    def test_leg_angles_at_the_planned_legs(self, levelled, skid) -> None:
        setting = setting_of(skid)
        planned = with_lengths(setting.problem, levelled.closed_form_m)
        angles = measured(setting, rest_of(planned, setting.load), levelled.closed_form_m).angles_rad
        assert [math.degrees(angles[leg]) for leg in LEGS] == pytest.approx(
            [36.3, 36.4, 42.5, 42.6], abs=0.06
        )

    @pytest.mark.parametrize(
        ("west", "east", "tilt_deg"), [(6.12, 6.66, 0.51), (6.06, 6.66, 0.42), (6.06, 6.72, 1.02)]
    )
    def test_tilt_of_sets_in_steps_of_the_chain_pitch(self, skid, west, east, tilt_deg) -> None:
        lengths = dict(zip(LEGS, (west, west, east, east), strict=True))
        found = measured_sets(setting_of(skid), [lengths])[0]
        assert math.degrees(found.tilt_rad) == pytest.approx(tilt_deg, abs=0.015)
        assert set(found.broken) <= {LevelLimit.HEADROOM}  # 6.72 m lifts the hook too high over the parapet

    def test_among_the_stated_sets_the_search_finds_the_most_level_and_better_ones(self, levelled) -> None:
        sets = {
            tuple(round(choice.lengths_m[leg], 3) for leg in LEGS): choice.tilt_rad
            for choice in levelled.choices
        }
        assert (6.06, 6.06, 6.66, 6.66) in sets
        best = levelled.best
        assert best is not None
        assert math.degrees(best.tilt_rad) <= 0.42
        for choice in levelled.choices:  # every set is one the shorteners can be set to
            for name, length in choice.lengths_m.items():
                assert levelled.adjusters[name].steps_between(4.80, length) is not None

    def test_one_leg_one_link_short_racks_the_pinned_frame(self, skid) -> None:
        lengths = dict(zip(LEGS, (6.023, 6.091, 6.646, 6.653), strict=True))
        found = measured_sets(setting_of(skid), [lengths])[0]
        assert math.degrees(found.racking_rad) == pytest.approx(0.9, abs=0.15)
        assert found.broken == (LevelLimit.RACKING,)

    def test_the_exact_legs_hang_the_load_level_with_stretch_at_the_height_asked_for(
        self, levelled, skid
    ) -> None:
        exact = levelled.exact
        assert exact is not None
        assert exact.tilt_rad < 1e-8
        assert exact.triangle_height_m == pytest.approx(4.9, abs=1e-8)
        # Chain stretches by 0.3 % here, so the exact legs are that much shorter than the hand figures.
        for leg in LEGS:
            assert 0.0 < levelled.closed_form_m[leg] - exact.lengths_m[leg] < 0.005 * exact.lengths_m[leg]

    def test_the_exact_legs_written_into_the_lift_file_hang_level_in_the_assessment_too(
        self, levelled
    ) -> None:
        exact = levelled.exact
        assert exact is not None
        old = ["6.06 m}", "6.06 m}", "6.60 m}", "6.60 m}"]
        changes = [
            (f"leg: {i}, length: {was}", f"leg: {i}, length: {exact.lengths_m[leg]!r} m}}")
            for i, (was, leg) in enumerate(zip(old, LEGS, strict=True), start=1)
        ]
        lift = example("marrow-lane", *changes)
        problem = state_problem(lift)
        case = solve_case(
            problem, Method.ELASTIC, Basis.EXPECTED, EXPECTED_CASE, cog_m(lift.file.load)
        ).result
        assert case.tilt_rad < 1e-6

    def test_sensitivities_are_what_a_small_change_does(self, levelled, skid) -> None:
        exact, step = levelled.exact, 1e-4
        assert exact is not None
        setting = setting_of(skid)
        for sensitivity in levelled.sensitivities[:4]:
            leg = sensitivity.name.removeprefix("length of ")
            longer = {**exact.lengths_m, leg: exact.lengths_m[leg] + step}
            found = measured_sets(setting, [longer])[0]
            assert found.tilt_x_rad / step == pytest.approx(sensitivity.tilt_x, rel=2e-3)
            assert found.tilt_y_rad / step == pytest.approx(sensitivity.tilt_y, rel=2e-3)


def test_batch_and_full_solver_measure_the_same(skid) -> None:
    setting = setting_of(skid)
    for lengths in ((6.06, 6.12, 6.60, 6.66), (5.94, 5.94, 6.54, 6.54)):
        chosen = dict(zip(LEGS, lengths, strict=True))
        batch = measured_sets(setting, [chosen])[0]
        full = measured(setting, rest_of(with_lengths(setting.problem, chosen), setting.load), chosen)
        for quantity in ("tilt_rad", "tilt_x_rad", "tilt_y_rad", "racking_rad"):
            assert getattr(batch, quantity) == pytest.approx(getattr(full, quantity), abs=1e-7)
        for quantity in ("triangle_height_m", "rig_height_m", "largest_use"):
            assert getattr(batch, quantity) == pytest.approx(getattr(full, quantity), rel=1e-7)


class TestWhyNoneWillDo:
    def test_a_tilt_limit_finer_than_the_pitch(self) -> None:
        found = level(example("marrow-lane", ("tilt_limit: 2 deg", "tilt_limit: 0.05 deg")))
        assert found.best is None
        assert LevelLimit.TILT in found.binding
        assert any("steps" in reason for reason in found.reasons)

    def test_the_angle_limit(self) -> None:
        found = level(
            example("marrow-lane", ("tilt_limit: 2 deg", "tilt_limit: 2 deg\n  top_sling_angle_max: 36 deg"))
        )
        assert found.best is None
        assert found.binding == (LevelLimit.FLAT,)
        assert any("largest of 36.0°" in reason for reason in found.reasons)

    def test_the_headroom(self) -> None:
        found = level(example("marrow-lane", ("hook_height_limit: 23.40 m", "hook_height_limit: 22.00 m")))
        assert found.best is None
        assert found.binding == (LevelLimit.HEADROOM,)
        assert any("over the parapet" in reason for reason in found.reasons)

    def test_lines_that_do_not_turn_the_load_that_way(self) -> None:
        found = level(example("hallowmere-viaduct", ("tilt_limit: 5 deg", "tilt_limit: 0.5 deg")))
        assert found.best is None
        assert any("none of the lines that can be set turns it" in reason for reason in found.reasons)
        assert found.exact is not None
        assert math.degrees(found.exact.tilt_y_rad) == pytest.approx(0.0, abs=1e-4)
        assert math.degrees(found.exact.tilt_x_rad) == pytest.approx(0.74, abs=0.02)

    def test_nothing_that_can_be_set(self) -> None:
        with pytest.raises(InputError, match="no line of the rig can be set"):
            level(small.read(small.ONE_STRUT))

    def test_several_hooks(self) -> None:
        two = small.FREE.replace(
            "hooks: {h: [0 m, 0 m, 5.0 m]}", "hooks: {h: [-1 m, 0 m, 5.0 m], k: [1 m, 0 m, 5.0 m]}"
        )
        two = two.replace(
            "T2: {from: hook.h, to: bar.b, items: [RS-2]}", "T2: {from: hook.k, to: bar.b, items: [RS-2]}"
        )
        with pytest.raises(NotEvaluatedError, match="one hook"):
            level(small.read(two))

    @pytest.mark.parametrize("height", [0.0, -1.0, math.nan, math.inf])
    def test_heights_that_are_none(self, skid, height) -> None:
        with pytest.raises(InputError, match="above zero"):
            level(skid, triangle_height_m=height)


SCREWS = (
    small.BRIDLE_OF_THREE.replace(
        "items: [RS-1]}", "items: [RS-1], adjustment: {shortest: 2.2 m, longest: 4.5 m}}"
    )
    .replace("items: [RS-2]}", "items: [RS-2], adjustment: {shortest: 2.2 m, longest: 4.5 m}}")
    .replace("items: [RS-3]}", "items: [RS-3], adjustment: {shortest: 2.2 m, longest: 4.5 m}}")
)


@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(x=st.floats(-0.4, 0.4), y=st.floats(-0.35, 0.3), mass=st.floats(1_000.0, 8_000.0))
def test_screws_hang_any_load_within_its_lift_points_level(x: float, y: float, mass: float) -> None:
    found = level(small.read(SCREWS), mass_kg=mass, cog_m=(x, y, 0.5))
    assert found.exact is not None
    assert found.exact.tilt_rad < 1e-8
    best = found.best
    assert best is not None
    assert best.tilt_rad < math.radians(0.01)


class TestAdjusters:
    CHAIN = Adjuster("T", 4.80, 7.00, 0.06, (), "move the shortener")

    def test_settings_next_to_a_length(self) -> None:
        assert self.CHAIN.choices_m(6.083) == pytest.approx((6.06, 6.12))
        assert self.CHAIN.choices_m(6.06, 2) == pytest.approx((6.00, 6.06, 6.12, 6.18))
        assert self.CHAIN.choices_m(9.0) == pytest.approx((7.0,))
        assert self.CHAIN.choices_m(1.0) == pytest.approx((4.80,))

    def test_the_full_leg_is_a_setting_although_no_step_comes_to_it(self) -> None:
        assert self.CHAIN.choices_m(6.99) == pytest.approx((6.96, 7.00))

    def test_steps_between_settings(self) -> None:
        assert self.CHAIN.steps_between(6.06, 5.94) == -2
        assert self.CHAIN.steps_between(6.083, 6.12) is None

    def test_a_screw_takes_the_length_itself_within_its_range(self) -> None:
        screw = Adjuster("T", 2.0, 3.0, None, (), "turn the screw")
        assert screw.choices_m(2.345) == (2.345,)
        assert screw.choices_m(3.5) == (3.0,)

    def test_slings_of_the_stock_can_be_exchanged_as_long_as_there_are_enough(self) -> None:
        text = small.BRIDLE_OF_TWO.replace(
            "equipment:\n",
            "equipment:\n" + small.sling("SP-1", "3.2 m") + small.sling("SP-2", "3.2 m", wll="8 t"),
        )
        lift = small.read(text)
        adjusters = adjusters_of(lift, state_problem(lift).rig)
        assert adjusters["T1"].lengths_m == (3.0, 3.2)
        present = {"T1": 3.0, "T2": 3.0}
        assert can_be_had(adjusters, present, {"T1": 3.2, "T2": 3.0})
        assert not can_be_had(adjusters, present, {"T1": 3.2, "T2": 3.2})
