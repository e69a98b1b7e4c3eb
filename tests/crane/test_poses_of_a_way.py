"""Poses along a way are even within a move, and the worst place of a curve is found wherever it lies."""

import math
from dataclasses import replace

import numpy as np
import pytest
from crane_examples import CHART
from hypothesis import example, given
from hypothesis import strategies as st

from plumbhook.core.errors import InputError
from plumbhook.crane.chart_way import duty_along_way
from plumbhook.crane.way import CurveLaw, HookState, Way, WayMove, follow

START = HookState(0.0, 0.0, 0.0, 12.0, 0.2)
WAY = Way(
    START,
    (
        WayMove("hoist", replace(START, load_bottom_m=14.0), "roof"),
        WayMove("slew", replace(START, load_bottom_m=14.0, slew_rad=math.pi / 2.0), "roof"),
        WayMove("luff", replace(START, load_bottom_m=14.0, slew_rad=math.pi / 2.0, radius_m=16.0), "roof"),
    ),
)


def one(poses):
    return np.ones_like(poses.u)


def test_bearings_are_clockwise_from_north():
    """Boom to the north at the start, to the east after a quarter turn clockwise."""
    poses = WAY.poses([0.0, 2.0, 3.0])
    assert poses.hook_x_m == pytest.approx([0.0, 12.0, 16.0])
    assert poses.hook_y_m == pytest.approx([12.0, 0.0, 0.0], abs=1e-12)
    assert WAY.distance_m(3.0) == pytest.approx(13.8 + 12.0 * math.pi / 2.0 + 4.0)


@given(st.floats(0.02, 3.0), st.floats(0.005, 0.5))
def test_no_step_is_longer_than_allowed(step_m, step_rad):
    u = WAY.sample(step_m, step_rad)
    assert (np.diff(WAY.distance_m(u)) <= step_m * (1.0 + 1e-9)).all()
    assert (np.abs(np.diff(WAY.poses(u).slew_rad)) <= step_rad * (1.0 + 1e-9)).all()
    assert set(np.arange(4.0)) <= set(u)


@given(st.floats(0.05, math.pi / 2.0 - 0.05), st.floats(2.0, 11.5))
def test_the_nearest_approach_to_a_post_is_found_to_a_millimetre(bearing, reach):
    """A hook slewing at 12 m passes a post at another radius: nearest in the post's own direction, closed form."""
    post = reach * math.sin(bearing), reach * math.cos(bearing)

    def distance(poses):
        return np.hypot(poses.hook_x_m - post[0], poses.hook_y_m - post[1])

    found = follow(WAY, CurveLaw(distance, one, at_least=True), WAY.sample())
    assert 1.0 / found.worst_use == pytest.approx(12.0 - reach, abs=1e-3)
    assert float(WAY.poses(found.worst_u).slew_rad) * 12.0 == pytest.approx(12.0 * bearing, abs=5e-2)


def test_the_stretch_beyond_a_row_of_the_chart_begins_at_the_row():
    """53.7 t: within 85 % of the chart up to 14 m, beyond it from there on; the luff goes from 12 to 16 m."""
    law = CurveLaw(lambda p: duty_along_way(CHART, p.radius_m, 53_742.0).utilisation, lambda p: 0.85 * one(p))
    found = follow(WAY, law, WAY.sample())
    ((start, end),) = found.beyond_u
    assert float(WAY.poses(start).radius_m) == pytest.approx(14.0, abs=1e-6)
    assert end == 3.0
    assert found.worst_use == pytest.approx(53_742.0 / 61_800.0 / 0.85)
    assert float(WAY.poses(found.worst_u).radius_m) == 16.0


def test_beyond_the_chart_is_endless_and_found_where_it_begins():
    far = Way(START, (WayMove("luff", replace(START, radius_m=25.0), "far"),))
    law = CurveLaw(lambda p: duty_along_way(CHART, p.radius_m, 1_000.0).utilisation, one)
    found = follow(far, law, far.sample())
    assert math.isinf(found.worst_use)
    assert float(far.poses(found.worst_u).radius_m) == pytest.approx(20.0, abs=1e-6)


def test_a_missing_number_is_the_worst_place():
    law = CurveLaw(lambda p: np.where(p.load_bottom_m > 10.0, np.nan, 0.1), one)
    found = follow(WAY, law, WAY.sample())
    assert math.isnan(found.worst_use)
    assert found.beyond_u


@example([1.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 1.0, 0.0])
@given(st.lists(st.floats(0.0, 2.0), min_size=4, max_size=12))
def test_no_sample_is_worse_than_the_worst(heights):
    """Whatever the curve: the worst place is never below a sample, and what is beyond the limit is told."""
    at = np.linspace(0.0, 3.0, len(heights))
    law = CurveLaw(lambda p: np.interp(p.u, at, heights), one)
    u = WAY.sample()
    found = follow(WAY, law, u)
    assert found.worst_use >= law.use(WAY.poses(u)).max()
    assert found.worst_use == pytest.approx(max(heights), abs=2e-3 * (1.0 + max(heights)))
    assert bool(found.beyond_u) == bool((found.use > 1.0).any())


def test_a_way_without_moves_or_radius_is_refused():
    with pytest.raises(InputError, match="no move"):
        Way(START, ())
    with pytest.raises(InputError, match="radius, slew"):
        Way(replace(START, slew_rad=math.nan), WAY.moves)
    with pytest.raises(InputError, match="too long"):
        Way(START, (WayMove("travel", replace(START, crane_x_m=1e6), "far"),)).sample()
