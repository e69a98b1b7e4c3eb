"""Every arrangement of the lift file goes from words to forces, and the hand method agrees with the solver."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.planning import small_lifts as small

from plumbhook.core.audit import audit_checks
from plumbhook.core.check import Status
from plumbhook.core.errors import InputError
from plumbhook.planning import assess
from plumbhook.planning.assess import state_problem
from plumbhook.planning.assessment import Basis, Method
from plumbhook.planning.cases import EXPECTED_CASE, hand_case, solve_case
from plumbhook.planning.layout import lay_out
from plumbhook.planning.serialise import from_json, to_json


@pytest.mark.parametrize("name", small.ALL)
def test_every_arrangement_hangs_and_carries_its_weight(name: str) -> None:
    assessment = small.assessed(small.ALL[name])
    weight = (assessment.load.design_mass_kg + assessment.rig.mass_below_hook_items_kg) * 9.81 * 1.1
    for case in assessment.cases:
        if case.basis is Basis.DESIGN:
            assert case.hook_load_N == pytest.approx(weight, rel=1e-7)
        if case.method is not Method.HAND:
            assert case.status == "stable"


@pytest.mark.parametrize("name", small.ALL)
def test_every_check_shows_a_working_that_computes_again(name: str) -> None:
    assessment = small.assessed(small.ALL[name])
    assert audit_checks(assessment.checks) == ()
    ids = [check.check_id for check in assessment.checks]
    assert len(set(ids)) == len(ids)
    shown = {check_id for station in assessment.stations for check_id in station.check_ids}
    assert shown == set(ids)


@pytest.mark.parametrize("name", small.ALL)
def test_an_assessment_survives_json_unchanged(name: str) -> None:
    assessment = small.assessed(small.ALL[name])
    back = from_json(to_json(assessment))
    assert to_json(back) == to_json(assessment)
    assert back.status is assessment.status


@pytest.mark.parametrize("name", [n for n in small.ALL if n not in {"free rig", "bridle of four"}])
def test_hand_in_the_same_pose_agrees_with_lines_that_do_not_stretch(name: str) -> None:
    assessment = small.assessed(small.ALL[name])
    assert assessment.check("second_method.forces").demand.value < 0.005


def test_four_legs_from_one_hook_are_reckoned_by_either_diagonal() -> None:
    assessment = small.assessed(small.BRIDLE_OF_FOUR)
    hand = next(c for c in assessment.cases if c.method is Method.HAND and c.basis is Basis.DESIGN)
    elastic = next(c for c in assessment.cases if c.method is Method.ELASTIC and c.basis is Basis.DESIGN)
    assert hand.tensions_N["T1"] == pytest.approx(2.0 * elastic.tensions_N["T1"], rel=0.01)
    check = assessment.check("line.T1.0")
    assert check.demand.value * 9.81 > 1.9 * elastic.tensions_N["T1"]
    assert assessment.check("second_method.forces").status is Status.NOT_APPLICABLE
    assert any("second time independently" in gap.text for gap in assessment.gaps)


def test_two_points_with_the_centre_of_gravity_above_them_are_refused_as_unstable() -> None:
    top_heavy = small.read(
        small.ONE_STRUT, ("cog: [0 m, 0 m, 0.5 m]", "cog: [0 m, 0 m, 1.3 m]"), ("1.0 m]}", "2.0 m]}")
    )
    assessment = assess(top_heavy)
    assert assessment.status is Status.FAIL
    assert assessment.check("stability.2").status is Status.FAIL
    assert assessment.check("stability.energy").status is Status.FAIL


def test_four_points_with_the_centre_of_gravity_above_them_but_below_the_hook_hang_stably() -> None:
    assessment = assess(
        small.read(
            small.BRIDLE_OF_FOUR, ("cog: [0 m, 0 m, 0.5 m]", "cog: [0 m, 0 m, 1.3 m]"), ("1.0 m]}", "2.0 m]}")
        )
    )
    assert assessment.check("stability.energy").status is Status.PASS
    assert assessment.check("stability.1").status is Status.PASS


def test_a_free_rig_is_held_by_what_the_solver_finds() -> None:
    check = small.assessed(small.FREE).check("stability.solver")
    # Two points with the centre of gravity 0.5 m below them: across their line the load is a pendulum of 0.5 m.
    assert check.capacity.value == pytest.approx(0.5, rel=0.01)


def test_solver_and_closed_form_agree_on_the_restoring_height() -> None:
    assessment = small.assessed(small.ONE_STRUT_FOUR_POINTS)
    closed = min(assessment.check(f"stability.{plane}").capacity.value + 0.02 for plane in (1, 2))
    assert assessment.check("stability.solver").capacity.value == pytest.approx(closed, rel=0.06)


def test_a_missing_factor_is_never_a_pass() -> None:
    text = small.ONE_STRUT.replace(", weight_factor: 1.05, weight_factor_source: test", "")
    assessment = assess(small.read(text))
    assert assessment.check("factor.weight_factor").status is Status.NOT_EVALUATED
    assert any("weight_factor" in gap.text for gap in assessment.gaps)


def test_a_missing_place_is_never_a_pass() -> None:
    assert small.assessed(small.ONE_STRUT).check("place").status is Status.NOT_EVALUATED


def test_a_lift_point_without_its_rating_is_not_evaluated() -> None:
    unrated = small.read(
        small.ONE_STRUT, ("[-1.65 m, 0 m, 1.0 m], rated_load: 8 t,", "[-1.65 m, 0 m, 1.0 m],")
    )
    assessment = assess(unrated)
    check = assessment.check("lift_point.L1")
    assert check.status is Status.NOT_EVALUATED
    assert "rated load missing" in check.not_evaluated_because
    assert any("L1" in gap.text for gap in assessment.gaps)
    assert next(row for row in assessment.load.lift_points if row.name == "L1").rated_kg is None


def test_an_item_without_its_mass_stops_the_assessment() -> None:
    with_mass = small.sling("RV-1", "1.5 m")
    with pytest.raises(InputError, match="RV-1 has no mass"):
        assess(small.read(small.ONE_STRUT, (with_mass, with_mass.replace("mass: 10 kg, ", ""))))


def test_top_slings_shorter_than_the_span_stop_before_any_force_is_computed() -> None:
    with pytest.raises(InputError, match="longer"):
        assess(small.read(small.ONE_STRUT, ("length: 2.8 m", "length: 1.6 m")))


def test_slings_side_by_side_of_different_length_are_refused() -> None:
    one = small.sling("RS-1", "2.8 m")
    with pytest.raises(InputError, match="differ in length"):
        assess(
            small.read(
                small.ONE_STRUT, (one, one + small.sling("RX-9", "2.9 m")), ("[RS-1]", "[[RS-1, RX-9]]")
            )
        )


@settings(max_examples=25)
@given(
    x=st.floats(-0.4, 0.4),
    y=st.floats(-0.15, 0.15),
    z=st.floats(0.1, 0.9),
    mass=st.floats(500.0, 9000.0),
)
def test_hand_and_rigid_agree_wherever_the_centre_of_gravity_lies(
    x: float, y: float, z: float, mass: float
) -> None:
    problem = state_problem(small.read(small.ONE_STRUT_FOUR_POINTS, ("mass: 6 t", f"mass: {mass:.3f} kg")))
    cog = (x, y, z)
    hand = hand_case(problem, Basis.DESIGN, EXPECTED_CASE, cog, same_pose=True)
    rigid = solve_case(problem, Method.RIGID, Basis.DESIGN, EXPECTED_CASE, cog).result
    assert hand is not None
    for line, tension in hand.tensions_N.items():
        assert tension == pytest.approx(rigid.tensions_N[line], rel=0.02)
    assert hand.tilt_x_rad == pytest.approx(rigid.tilt_x_rad, abs=math.radians(0.05))


def test_drawn_lines_have_the_lengths_of_their_items() -> None:
    problem = state_problem(small.read(small.ONE_STRUT_FOUR_POINTS))
    layout = lay_out(problem.rig, problem.lift_points_m)
    for line in problem.rig.lines.values():
        assert math.dist(*layout.between(line)) == pytest.approx(line.length_m, abs=1e-9)
