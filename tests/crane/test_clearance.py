"""How near boom, rig and load come to each other and to what stands about, against plain search and closed forms."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import minimize

from plumbhook.core.errors import InputError
from plumbhook.crane.clearance.distances import (
    box_nearest,
    nearest_of_several_m,
    plan_distance_m,
    prism_nearest,
    segment_convex_m,
    segment_segment_m,
)
from plumbhook.crane.clearance.scene import (
    Boom,
    LoadBox,
    Pair,
    Part,
    Prism,
    Rod,
    Scene,
    Stance,
    clearances_m,
    convex,
)

NUMBER = st.floats(-10.0, 10.0)
POINT = st.tuples(NUMBER, NUMBER, NUMBER).map(np.array)
SQUARE = ((-2.0, -1.0), (2.0, -1.0), (2.0, 1.0), (-2.0, 1.0))


def searched(p, q, other):
    """Least distance by a general optimiser from several starts (SciPy, L-BFGS-B)."""
    best = math.inf
    for start in (0.0, 0.5, 1.0):
        found = minimize(
            lambda t: ((p + t[0] * (q - p) - other(p + t[0] * (q - p))) ** 2).sum(), [start], bounds=[(0, 1)]
        )
        best = min(best, math.sqrt(found.fun))
    return best


@given(POINT, POINT, POINT, POINT)
def test_two_segments_are_as_near_as_a_general_optimiser_finds(p, q, r, s):
    def nearest(at):
        along = s - r
        square = along @ along
        share = np.clip((at - r) @ along / square, 0.0, 1.0) if square > 0.0 else 0.0
        return r + share * along

    found = float(segment_segment_m(p, q, r, s))
    assert found == pytest.approx(searched(p, q, nearest), abs=2e-3)
    assert found <= searched(p, q, nearest) + 1e-9
    assert float(segment_segment_m(r, s, p, q)) == pytest.approx(found, abs=1e-6)


@given(
    POINT,
    POINT,
    st.sampled_from([box_nearest(np.array([2.0, 1.0, 3.0])), prism_nearest(np.array(SQUARE), -3.0, 3.0)]),
)
def test_a_segment_is_as_near_to_a_box_as_a_general_optimiser_finds(p, q, nearest):
    found = float(segment_convex_m(p, q, nearest))
    truth = searched(p, q, nearest)
    assert found <= truth + 5e-5
    assert found == pytest.approx(truth, abs=2e-3)


@given(POINT, POINT)
def test_a_box_and_the_prism_over_its_base_are_one_solid(p, q):
    box = segment_convex_m(p, q, box_nearest(np.array([2.0, 1.0, 3.0])))
    prism = segment_convex_m(p, q, prism_nearest(np.array(SQUARE), -3.0, 3.0))
    assert float(box) == pytest.approx(float(prism), abs=1e-9)


@given(NUMBER, NUMBER, st.floats(0.0, math.pi))
def test_outlines_overlap_or_are_as_far_apart_as_their_nearest_edges(x, y, turn):
    c, s = math.cos(turn), math.sin(turn)
    square = np.array(SQUARE)
    other = square @ np.array([[c, s], [-s, c]]) + np.array([x, y])
    found = float(plan_distance_m(square, other))
    assert found == pytest.approx(float(plan_distance_m(other, square)), abs=1e-9)
    edges = np.concatenate(
        [
            a + np.linspace(0, 1, 200)[:, None] * (b - a)
            for a, b in zip(other, np.roll(other, -1, 0), strict=True)
        ]
    )
    away = np.maximum(np.abs(edges) - np.array([2.0, 1.0]), 0.0)
    brute = float(np.hypot(away[:, 0], away[:, 1]).min())
    assert found <= brute + 1e-9
    assert found == pytest.approx(brute, abs=0.03)


# A crane at the origin, boom of 5 by 12 by 13 m over the ground, load of 4 x 2 x 2 m at 5 m.
BOOM = Boom(
    length_m=13.0,
    pivot_ahead_m=0.0,
    pivot_height_m=0.0,
    depth_m=0.8,
    tail_radius_m=3.0,
    tail_bottom_m=1.0,
    tail_top_m=2.5,
)
LOAD = LoadBox((0.0, 0.0), (2.0, 1.0, 1.0))
STRUT = Rod("U1", Part.STRUT, (-2.0, 0.0, -2.0), (2.0, 0.0, -2.0), 0.1)
SCENE = Scene(BOOM, (STRUT,), LOAD, hook_over_bottom_m=5.0)


def stance(*, slew=0.0, radius=5.0, bottom=1.0, bearing=math.pi / 2.0, x=0.0, y=0.0):
    given = np.broadcast_arrays(x, y, slew, radius, bottom, bearing)
    return Stance(*(np.atleast_1d(np.array(each, dtype=float)) for each in given))


def test_the_head_is_where_pythagoras_puts_it():
    assert BOOM.head_height_m(np.array([5.0])) == pytest.approx([12.0])
    assert BOOM.angle_rad(np.array([5.0])) == pytest.approx([math.acos(5.0 / 13.0)])
    assert np.isnan(BOOM.head_height_m(np.array([13.1]))).all()


def test_boom_and_load_in_closed_form():
    # The upper inner edge of the load is 4 m out and 3 m up; the boom runs 12 up for 5 out.
    found = clearances_m(SCENE, stance())
    edge = abs(12.0 * 4.0 - 5.0 * 3.0) / 13.0
    assert found[Pair(Part.BOOM, "boom", "load")] == pytest.approx([edge - 0.4])
    # Strut across the boom, 5 m out and 4 m up, its bearing that of the load: square to the boom.
    assert found[Pair(Part.BOOM, "boom", "strut U1")] == pytest.approx(
        [abs(12.0 * 5.0 - 5.0 * 4.0) / 13.0 - 0.5]
    )


def test_a_load_turned_with_its_long_side_to_the_boom_comes_nearer():
    pair = Pair(Part.BOOM, "boom", "load")
    across, along = (clearances_m(SCENE, stance(bearing=b))[pair][0] for b in (math.pi / 2.0, 0.0))
    assert along == pytest.approx(abs(12.0 * 3.0 - 5.0 * 3.0) / 13.0 - 0.4)
    assert along < across


def test_load_rig_boom_and_tail_against_a_wall():
    wall = Prism(
        "wall", convex(((-9.0, 7.0), (9.0, 7.0), (9.0, 7.5), (-9.0, 7.5)), "x"), 0.0, 6.0, 0.5, "site"
    )
    found = clearances_m(replace(SCENE, prisms=(wall,)), stance())
    assert found[Pair(Part.LOAD, "load", "wall")] == pytest.approx([1.0])
    assert found[Pair(Part.STRUT, "struts", "wall")] == pytest.approx([2.0 - 0.1])
    assert found[Pair(Part.TAIL, "tail", "wall")] == pytest.approx([4.0])
    # Boom at 7 m north is beyond its head (5 m); nearest is where the head hangs over the wall's height.
    assert found[Pair(Part.BOOM, "boom", "wall")] > 2.0


def test_over_the_deck_that_takes_the_load_it_may_come_down_but_not_run_into_its_side():
    deck = Prism(
        "deck", convex(((-3.0, 3.0), (3.0, 3.0), (3.0, 9.0), (-3.0, 9.0)), "x"), 0.0, 1.0, 0.5, "site", True
    )
    scene = replace(SCENE, prisms=(deck,))
    pair = Pair(Part.LOAD, "load", "deck")
    above, on, into = clearances_m(scene, stance(bottom=np.array([2.0, 1.0, 0.5])))[pair]
    assert above == on == math.inf
    assert into == 0.0


@given(st.floats(-math.pi, math.pi), st.floats(-50.0, 50.0), st.floats(-50.0, 50.0), st.floats(0.0, 6.0))
def test_moving_and_turning_everything_changes_no_distance(turn, x, y, bottom):
    prism = Prism("hut", convex(((3.0, 6.0), (6.0, 6.0), (6.0, 9.0), (3.0, 9.0)), "x"), 0.0, 4.0, 0.5, "site")
    c, s = math.cos(turn), math.sin(turn)  # clockwise by turn
    moved = tuple((x + c * a + s * b, y - s * a + c * b) for a, b in prism.outline_m)
    here = clearances_m(replace(SCENE, prisms=(prism,)), stance(bottom=bottom, bearing=0.3))
    there = clearances_m(
        replace(SCENE, prisms=(replace(prism, outline_m=moved),)),
        stance(bottom=bottom, slew=turn, bearing=0.3 + turn, x=x, y=y),
    )
    for pair, distance in here.items():
        assert there[pair] == pytest.approx(distance, abs=1e-6)


def test_what_is_not_told_is_not_a_distance():
    found = clearances_m(SCENE, stance(bottom=math.nan))
    assert np.isnan(found[Pair(Part.BOOM, "boom", "load")]).all()
    too_far = clearances_m(SCENE, stance(radius=14.0))
    assert np.isnan(too_far[Pair(Part.BOOM, "boom", "load")]).all()
    wall = Prism(
        "wall", convex(((-9.0, 7.0), (9.0, 7.0), (9.0, 7.5), (-9.0, 7.5)), "x"), 0.0, 6.0, 0.5, "site"
    )
    turned = clearances_m(replace(SCENE, prisms=(wall,)), stance(bearing=math.nan))
    assert np.isnan(turned[Pair(Part.LOAD, "load", "wall")]).all()


@pytest.mark.parametrize(
    ("outline", "words"),
    [
        (((0.0, 0.0), (1.0, 0.0)), "three corners"),
        (((0.0, 0.0), (1.0, 0.0), (2.0, 0.0)), "three corners"),
        (((0.0, 0.0), (4.0, 0.0), (1.0, 1.0), (0.0, 4.0)), "not convex"),
        (((0.0, 0.0), (2.0, 2.0), (2.0, 0.0), (0.0, 2.0)), "not convex"),
    ],
)
def test_an_outline_that_is_no_convex_area_is_refused(outline, words):
    with pytest.raises(InputError, match=words):
        convex(outline, "place.obstacles")


def test_an_outline_is_taken_either_way_round():
    assert convex(tuple(reversed(SQUARE)), "x") == SQUARE


@given(st.lists(st.tuples(POINT, POINT), min_size=1, max_size=6), st.floats(0.0, 0.5))
def test_the_nearest_of_several_is_the_least_of_each(rods, thick):
    starts, ends = (np.stack([rod[end] for rod in rods])[:, None] for end in (0, 1))
    nearest = prism_nearest(np.array(SQUARE), -3.0, 3.0)
    each = [float(segment_convex_m(p, q, nearest)) - thick for p, q in rods]
    found = nearest_of_several_m(starts, ends, np.full(len(rods), thick), nearest)
    assert found == pytest.approx([max(min(each), 0.0)], abs=1e-6)
