"""A load upended between a head and a tail hook: shares, peaks, end of the tail load, the solver beside them."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plumbhook.core.errors import InputError
from plumbhook.statics.upending import UpendedLoad, place_m, solved_upending, upend, upending_forces

VESSEL = UpendedLoad(500e3, (12.0, 0.5), (-10.0, 1.0), (0.4, 0.0))

loads = st.builds(
    UpendedLoad,
    st.floats(1e4, 5e6),
    st.tuples(st.floats(5.0, 20.0), st.floats(0.0, 1.5)),
    st.tuples(st.floats(-20.0, -5.0), st.floats(0.2, 2.0)),
    st.tuples(st.floats(-3.0, 3.0), st.floats(-0.5, -0.01)),
)


@pytest.mark.parametrize("degrees", [0.0, 10.0, 45.0, 80.0, 85.0, 87.0])
def test_the_solver_with_two_hooks_finds_the_shares_of_the_closed_form(degrees):
    found = solved_upending(VESSEL, math.radians(degrees))
    formula = upending_forces(VESSEL, found.attitude_rad, found.tail_lean_rad)
    assert found.attitude_rad == pytest.approx(math.radians(degrees), abs=1e-4)
    assert found.tail_N == pytest.approx(float(formula.tail_N), abs=1e-6 * found.tail_N)
    assert found.head_N == pytest.approx(float(formula.head_N), abs=1e-6 * found.head_N)


def test_where_the_tail_line_would_have_to_push_the_solver_hangs_the_load_from_the_head_alone():
    found = solved_upending(VESSEL, VESSEL.tail_off_rad + math.radians(1.0))
    assert found.tail_N == pytest.approx(0.0, abs=1.0)
    assert found.head_N == pytest.approx(VESSEL.weight_N)


@given(loads, st.floats(0.0, 1.4), st.floats(-0.1, 0.1))
@settings(max_examples=60, deadline=None)
def test_forces_and_moments_of_both_lines_and_the_weight_are_in_balance(load, attitude, lean):
    f = upending_forces(load, attitude, lean)
    pulls = [(float(p), float(a)) for p, a in ((f.head_N, f.head_lean_rad), (f.tail_N, f.tail_lean_rad))]
    across = [p * math.sin(a) for p, a in pulls]
    up = [p * math.cos(a) for p, a in pulls]
    assert sum(across) == pytest.approx(0.0, abs=1e-9 * load.weight_N)
    assert sum(up) == pytest.approx(load.weight_N)
    places = [place_m(p, attitude) for p in (load.head_m, load.tail_m)]
    moment = sum(x * v - z * h for (x, z), v, h in zip(places, up, across, strict=True))
    assert moment == pytest.approx(
        load.weight_N * float(place_m(load.cog_m, attitude)[0]), abs=1e-8 * load.weight_N * 20
    )


@given(loads)
@settings(max_examples=30, deadline=None)
def test_the_tail_share_ends_where_the_cog_is_plumb_below_the_head_lug(load):
    way = upend(load)
    assert float(upending_forces(load, load.tail_off_rad).tail_N) == pytest.approx(
        0.0, abs=1e-6 * load.weight_N
    )
    assert way.tail_off_rad == pytest.approx(load.tail_off_rad)
    assert way.head_peak.value == pytest.approx(load.weight_N)
    assert any("slack" in stop for stop in way.stops)


@given(loads)
@settings(max_examples=30, deadline=None)
def test_no_attitude_pulls_harder_than_the_peak(load):
    way = upend(load)
    finer = np.linspace(0.0, way.tail_off_rad, 3001)
    forces = upending_forces(load, finer)
    assert forces.tail_N.max() <= way.tail_peak.value * (1.0 + 1e-9)
    assert forces.head_N.max() <= way.head_peak.value * (1.0 + 1e-9)


def test_a_tail_lug_below_the_centre_line_has_its_peak_between_the_ends():
    """Where the head lug leans over more than the tail lug the tail share grows on the way."""
    load = UpendedLoad(100e3, (10.0, 0.0), (0.0, 1.0), (4.0, 2.0))
    way = upend(load, 0.0, math.radians(60.0))
    assert way.tail_peak.attitude_rad == pytest.approx(math.radians(60.0))
    assert way.tail_peak.value > float(upending_forces(load, 0.0).tail_N)


def test_lugs_and_cog_on_one_line_share_alike_until_the_lines_are_one():
    way = upend(UpendedLoad(220e3, (12.0, 0.0), (-10.0, 0.0), (1.0, 0.0)))
    known = way.forces.determinate
    assert way.forces.tail_N[known] == pytest.approx(110e3)
    assert not known[-1]
    assert way.head_peak.value == 220e3
    assert math.isnan(way.tail_off_rad)
    assert any("one plumb line" in stop for stop in way.stops)


def test_a_load_that_would_turn_over_on_the_way_has_no_peaks_but_a_warning():
    way = upend(UpendedLoad(500e3, (12.0, 0.0), (-10.0, 0.0), (0.4, 1.0)))
    assert math.isnan(way.tail_peak.value)
    assert math.isnan(way.head_peak.value)
    assert any("have to push" in stop for stop in way.stops)


def test_the_pull_turns_on_the_lugs_by_the_attitude():
    f = upending_forces(VESSEL, np.radians([0.0, 30.0, 80.0]))
    assert np.degrees(f.head_off_axis_rad) == pytest.approx([-90.0, -60.0, -10.0])
    assert np.degrees(f.tail_off_axis_rad) == pytest.approx([0.0, 30.0, 80.0])


def test_steps_are_a_degree_at_most_and_finer_at_the_end_of_the_tail_load():
    t = upend(VESSEL).forces.attitude_rad
    assert np.diff(t).max() <= math.radians(1.0) + 1e-12
    near = np.abs(t - VESSEL.tail_off_rad) < math.radians(0.5)
    assert near.sum() >= 40
    assert (t[0], t[-1]) == (0.0, math.pi / 2.0)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"weight_N": math.nan}, "weight"),
        ({"head_m": (-11.0, 0.0)}, "head"),
        ({"cog_m": (math.inf, 0.0)}, "cog"),
        ({"tail_lug_axis_rad": math.nan}, "lug_axis"),
    ],
)
def test_a_wrong_load_is_refused_with_the_field(change, field):
    good = {"weight_N": 1e5, "head_m": (10.0, 0.0), "tail_m": (-10.0, 0.0), "cog_m": (0.0, 0.0)}
    with pytest.raises(InputError) as refused:
        UpendedLoad(**{**good, **change})
    assert refused.value.problems[0].field == field


@pytest.mark.parametrize(("start", "end"), [(0.5, 0.5), (0.0, 2.0), (math.nan, 1.0), (0.0, math.nan)])
def test_attitudes_out_of_order_are_refused(start, end):
    with pytest.raises(InputError):
        upend(VESSEL, start, end)


@pytest.mark.parametrize(("attitude", "lean"), [(math.nan, 0.0), (0.1, math.nan), (0.1, 1.6)])
def test_attitudes_and_leans_that_are_none_are_refused(attitude, lean):
    with pytest.raises(InputError):
        upending_forces(VESSEL, attitude, lean)
