"""Loads on two points, and the distance of many centres of gravity from the edges of the lift points."""

import math

import numpy as np
import pytest
from check_examples import build
from hypothesis import given
from hypothesis import strategies as st

from plumbhook.checks.attitude import cog_margin
from plumbhook.checks.cog_margins import cog_margins_m
from plumbhook.checks.held_by_slings import solved_restoring_height_check
from plumbhook.checks.two_points import two_point_hang_check
from plumbhook.core.check import Status
from plumbhook.core.errors import InputError

SQUARE = ((2.0, 0.0), (0.0, 2.0), (0.0, 0.0), (2.0, 2.0))


def test_a_body_on_two_points_is_stable_only_with_its_centre_of_gravity_below_their_line():
    def status(height_m):
        return build(two_point_hang_check, cog_height_m=height_m, required_ratio=0.0).status

    assert status(-1e-6) is Status.PASS
    assert status(1e-6) is Status.FAIL


def test_however_low_the_triangle_of_top_slings_is_it_has_a_height():
    assert build(two_point_hang_check, reference_height_m=0.001, required_ratio=0.0).status is Status.PASS


def test_the_depth_required_is_the_policys_part_of_the_height_of_the_top_slings():
    check = build(two_point_hang_check, cog_height_m=-0.5, reference_height_m=4.0, required_ratio=0.1)
    assert check.demand.value == pytest.approx(0.4, rel=1e-12)
    assert check.capacity.value == 0.5


@pytest.mark.parametrize(
    "wrong",
    [
        {"reference_height_m": 0.0},
        {"reference_height_m": -3.0},
        {"reference_height_m": math.inf},
        {"reference_height_m": math.nan},
        {"required_ratio": -0.1},
        {"required_ratio": math.nan},
    ],
)
def test_a_height_or_a_policy_that_is_none_is_refused(wrong):
    with pytest.raises(InputError, match="height of the top slings"):
        build(two_point_hang_check, **wrong)


def test_a_load_is_held_where_its_restoring_height_is_the_part_required_of_the_height_of_the_hook():
    def status(height_m):
        return build(
            solved_restoring_height_check,
            restoring_height_m=height_m,
            reference_height_m=6.4,
            required_ratio=0.1,
        ).status

    assert status(0.641) is Status.PASS
    assert status(0.639) is Status.FAIL
    assert status(-0.1) is Status.FAIL


@pytest.mark.parametrize(
    "wrong",
    [
        {"reference_height_m": 0.0},
        {"reference_height_m": -6.4},
        {"reference_height_m": math.inf},
        {"reference_height_m": math.nan},
        {"required_ratio": -0.1},
        {"required_ratio": math.nan},
    ],
)
def test_a_hook_at_or_below_the_lift_points_is_refused(wrong):
    with pytest.raises(InputError, match="hook must be above the lift points"):
        build(solved_restoring_height_check, **wrong)


def test_the_middle_of_a_square_is_half_a_side_from_its_edges_and_outside_is_negative():
    # Plane geometry: distance of a point from a line.
    at = np.array([[1.0, 1.0], [0.25, 1.0], [1.0, 1.9], [1.0, 0.0], [-0.5, 1.0]])
    assert cog_margins_m(SQUARE, at) == pytest.approx([1.0, 0.25, 0.1, 0.0, -0.5], abs=1e-15)


def test_distance_from_a_slanting_edge():
    # The edge x + y = 4 of a 4 by 4 right triangle; the incircle's radius is (4 + 4 - 4 sqrt 2)/2.
    radius = 4.0 - 2.0 * math.sqrt(2.0)
    triangle = ((0.0, 0.0), (4.0, 0.0), (0.0, 4.0))
    assert cog_margins_m(triangle, np.array([[radius, radius]])) == pytest.approx([radius], rel=1e-12)
    assert cog_margins_m(triangle, np.array([[2.5, 2.5]])) == pytest.approx([-math.sqrt(0.5)], rel=1e-12)


def test_lift_points_on_one_line_have_no_inside():
    assert cog_margins_m(((0.0, 0.0), (1.0, 1.0), (2.0, 2.0)), np.zeros((1, 2))) is None


PLAN = st.tuples(st.floats(-5.0, 5.0), st.floats(-5.0, 5.0))


@given(st.lists(PLAN, min_size=3, max_size=6), st.lists(PLAN, min_size=1, max_size=4))
def test_many_centres_of_gravity_are_as_far_from_the_edges_as_each_alone(points, cogs):
    alone = [cog_margin(points, cog, (0.0, 0.0)) for cog in cogs]
    together = cog_margins_m(points, np.array(cogs))
    if alone[0] is None:
        assert together is None
    else:
        assert together == pytest.approx([margin.distance_m for margin in alone], rel=1e-9, abs=1e-9)
