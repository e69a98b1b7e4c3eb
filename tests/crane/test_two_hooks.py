"""Two hooks that are not level: shares, the largest difference of hoist height, and the solver beside the formula."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plumbhook.core.check import Status
from plumbhook.core.errors import InputError
from plumbhook.crane.two_hook_checks import LEVER_RULE, two_hook_share_check, upending_peak_check
from plumbhook.crane.two_hooks import (
    TwoHookLoad,
    hook_1_N,
    largest_height_difference,
    worst_shares,
)
from plumbhook.statics.upending import UpendedLoad, place_m, solved_upending

LOAD = TwoHookLoad(400e3, 20.0, 2.0, 3.0, 9.0, 0.3, 0.2)

two_hook_loads = st.builds(
    TwoHookLoad,
    st.floats(1e4, 5e6),
    st.floats(5.0, 30.0),
    st.floats(-1.0, 4.0),
    st.floats(-1.0, 4.0),
    st.floats(2.0, 3.0),
    st.floats(0.0, 1.0),
    st.floats(0.0, 0.5),
)


@pytest.mark.parametrize("difference_m", [-3.0, -0.5, 0.0, 1.0, 4.0])
def test_the_solver_finds_the_share_of_the_formula_at_a_difference_of_hook_height(difference_m):
    """Hook 1 is the end that comes up; the solver's own attitude takes up what the lines stretch."""
    tilt = float(LOAD.tilt_rad(difference_m))
    same = UpendedLoad(LOAD.weight_N, (20.0, 2.0), (0.0, 3.0), (9.0, 0.0))
    found = solved_upending(same, tilt)
    assert found.head_N == pytest.approx(float(hook_1_N(LOAD, found.attitude_rad)), rel=1e-6)
    assert found.attitude_rad == pytest.approx(tilt, abs=1e-5)


@given(two_hook_loads, st.floats(-0.2, 0.2))
@settings(max_examples=60, deadline=None)
def test_both_hooks_together_hold_the_weight_and_swapping_them_changes_nothing(load, tilt):
    assert float(hook_1_N(load, tilt) + hook_1_N(load.swapped, -tilt)) == pytest.approx(load.weight_N)


@given(two_hook_loads, st.floats(0.0, 0.2))
@settings(max_examples=40, deadline=None)
def test_no_tilt_and_no_place_of_the_cog_within_the_box_is_worse(load, tilt):
    t, x, z = np.meshgrid(
        np.linspace(-tilt, tilt, 9),
        np.linspace(-1, 1, 5) * load.box_x_m,
        np.linspace(-1, 1, 5) * load.box_z_m,
    )
    first, second = worst_shares(load, tilt)
    pulls = hook_1_N(load, t, x, z)
    assert pulls.max() <= first.pull_N * (1 + 1e-12)
    assert (load.weight_N - pulls).max() <= second.pull_N + 1e-9 * load.weight_N


@given(two_hook_loads, st.floats(-0.2, 0.2))
@settings(max_examples=40, deadline=None)
def test_tilt_and_difference_of_height_are_each_others_reverse(load, tilt):
    assert float(load.tilt_rad(load.difference_m(tilt))) == pytest.approx(tilt, abs=1e-7)


@given(two_hook_loads, st.floats(1.01, 1.4), st.floats(1.01, 1.4))
@settings(max_examples=60, deadline=None)
def test_at_the_largest_difference_a_hook_is_at_its_limit_and_none_beyond(load, spare_1, spare_2):
    level_1, level_2 = worst_shares(load, 0.0)
    limits = (min(level_1.pull_N * spare_1, load.weight_N), min(level_2.pull_N * spare_2, load.weight_N))
    found = largest_height_difference(load, *limits, 0.3)
    for tilt, by in (
        (float(load.tilt_rad(found.hook_1_up_m)), found.limited_by_1_up),
        (float(load.tilt_rad(-found.hook_2_up_m)), found.limited_by_2_up),
    ):
        zs = np.array([-load.box_z_m, load.box_z_m])
        pulls = (
            float(hook_1_N(load, tilt, load.box_x_m, zs).max()),
            float(hook_1_N(load.swapped, -tilt, load.box_x_m, zs).max()),
        )
        assert all(p <= limit * (1 + 1e-6) for p, limit in zip(pulls, limits, strict=True))
        if by:
            assert pulls[by - 1] == pytest.approx(limits[by - 1], rel=1e-6)
        else:
            assert abs(tilt) == pytest.approx(0.3, abs=1e-7)


@given(two_hook_loads, st.floats(-0.2, 0.2))
@settings(max_examples=40, deadline=None)
def test_hooks_come_closer_by_what_the_lift_points_do_in_plan(load, tilt):
    x = [
        float(place_m(point, tilt)[0]) for point in ((load.spacing_m, load.depth_1_m), (0.0, load.depth_2_m))
    ]
    assert load.spacing_m - (x[0] - x[1]) == pytest.approx(float(load.closer_m(tilt)), abs=1e-12)


def test_a_hook_overloaded_while_level_allows_no_difference():
    found = largest_height_difference(LOAD, 180e3, 400e3, 0.3)
    assert math.isnan(found.either_way_m)
    assert found.limited_by_1_up == 1


def test_a_deeper_cog_leaves_less_difference_of_height():
    rows = [
        largest_height_difference(replace(LOAD, depth_1_m=h, depth_2_m=h), 200e3, 240e3, 0.5).either_way_m
        for h in (1.0, 2.0, 4.0)
    ]
    assert rows == sorted(rows, reverse=True)
    assert rows[0] > rows[-1]


def test_a_margin_that_the_crane_does_not_have_fails_the_check():
    arguments = {
        "load": LOAD,
        "tilt_rad": 0.05,
        "rig_N": 20e3,
        "capacity_N": 240e3,
        "capacity_source": "chart",
        "margin_clause": LEVER_RULE,
    }
    assert two_hook_share_check("a", "b", "c", margin_ratio=0.1, **arguments).status is Status.PASS
    assert two_hook_share_check("a", "b", "c", margin_ratio=0.2, **arguments).status is Status.FAIL


@pytest.mark.parametrize("missing", ["peak_N", "rated_N", "attitude_rad"])
def test_a_component_without_its_number_is_not_evaluated(missing):
    arguments = {"end": "head", "peak_N": 1e5, "attitude_rad": 0.1, "rated_N": 2e5}
    arguments[missing] = None if missing == "rated_N" else math.nan
    check = upending_peak_check(
        "a",
        "b",
        "c",
        largest_share_ratio=1.0,
        below_N=0.0,
        rated_source="tag",
        clause=LEVER_RULE,
        **arguments,
    )
    assert check.status is Status.NOT_EVALUATED


@pytest.mark.parametrize(
    "change",
    [
        {"weight_N": 0.0},
        {"spacing_m": math.nan},
        {"box_x_m": -0.1},
        {"depth_1_m": math.inf},
        {"from_2_m": 19.9},
        {"from_2_m": 0.1},
    ],
)
def test_a_load_that_makes_no_sense_is_refused(change):
    with pytest.raises(InputError):
        replace(LOAD, **change)


@pytest.mark.parametrize(
    "limits", [(0.0, 1e5, 0.1), (1e5, math.nan, 0.1), (1e5, 1e5, 1.6), (1e5, 1e5, math.nan)]
)
def test_limits_that_make_no_sense_are_refused(limits):
    with pytest.raises(InputError):
        largest_height_difference(LOAD, *limits)


@pytest.mark.parametrize("tilt", [-0.1, 1.6, math.nan])
def test_a_tilt_that_makes_no_sense_is_refused(tilt):
    with pytest.raises(InputError):
        worst_shares(LOAD, tilt)
