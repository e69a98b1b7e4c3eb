"""Edges, sliding and squeeze: what slings do to the load that they bear on."""

import math

import pytest
from check_examples import build
from hypothesis import given
from hypothesis import strategies as st

from plumbhook.checks.bearing_on_load import LeaningPull, edge_check, sliding_check, squeeze_check
from plumbhook.checks.lift_point import rating_at_angle_kg
from plumbhook.core.audit import audit_check
from plumbhook.core.check import Status, Value

DEG = math.pi / 180.0
ROWS = [(0.0, 20_000.0), (5 * DEG, 17_000.0), (10 * DEG, 12_000.0)]


@pytest.mark.parametrize(
    ("degrees", "rated"), [(0.0, 20e3), (0.1, 17e3), (5.0, 17e3), (5.1, 12e3), (10.0, 12e3)]
)
def test_between_two_rows_the_worse_one_counts(degrees, rated):
    assert rating_at_angle_kg(ROWS, degrees * DEG) == rated


@pytest.mark.parametrize("angle", [10.1 * DEG, -0.1, math.nan, math.inf])
def test_beyond_the_rows_there_is_no_rating(angle):
    assert rating_at_angle_kg(ROWS, angle) is None
    assert rating_at_angle_kg([], 0.0) is None


def lean(degrees: float) -> Value:
    return Value("phi", degrees * DEG, "rad", "lean", "as it hangs", "deg", "angle:V1")


def test_friction_holds_up_to_the_angle_of_friction():
    # Coulomb: a body rests on a slope up to atan(mu); 0.3 holds up to 16.7 degrees.
    for degrees, status in ((16.6, Status.PASS), (16.8, Status.FAIL)):
        check = build(sliding_check, slope_rad=degrees * DEG, lean=lean(0.0), friction=0.3, safety=1.0)
        assert check.status is status


def test_lean_counts_like_slope():
    flat = build(sliding_check, slope_rad=2 * DEG, lean=lean(6.0))
    steep = build(sliding_check, slope_rad=6 * DEG, lean=lean(2.0))
    assert flat.demand.value == pytest.approx(steep.demand.value)


def test_unknown_friction_is_that_of_a_wet_surface_and_says_so():
    check = build(sliding_check, friction=None)
    assert check.capacity.value == pytest.approx(0.1 / 2.0)
    assert "wet surface" in check.assumptions[0]
    assert audit_check(check) == ()


def test_a_belly_sling_without_tie_is_refused_whatever_the_friction():
    assert build(sliding_check, needs_tie=True, tied=False).status is Status.FAIL
    assert build(sliding_check, needs_tie=True, tied=True).status is Status.PASS


@pytest.mark.parametrize("slope", [-0.1, math.pi / 2, math.nan])
def test_a_slope_that_cannot_be_never_passes(slope):
    assert build(sliding_check, slope_rad=slope).status is Status.NOT_EVALUATED


def test_an_edge_is_rounded_to_the_thickness_of_the_sling_or_protected():
    assert build(edge_check, edge_radius_m=0.026).status is Status.PASS
    sharp = build(edge_check, edge_radius_m=0.0)
    assert sharp.status is Status.FAIL
    assert sharp.refused_because == "RS-20-13 bears on an edge of 0 mm without a protector"
    assert build(edge_check, thickness_m=None).status is Status.NOT_EVALUATED
    protected = build(edge_check, edge_radius_m=0.0, protector="EP-07")
    assert protected.status is Status.PASS
    assert "EP-07" in protected.attention


def test_squeeze_is_the_horizontal_part_of_the_pull():
    # A leg of 1,000 N at 30 degrees from the vertical pulls 500 N sideways.
    check = build(squeeze_check, pulls=(LeaningPull("V1", 1000.0, 30 * DEG),), squeeze_limit_N=499.0)
    assert check.demand.value == pytest.approx(500.0)
    assert check.status is Status.FAIL
    assert audit_check(check) == ()


def test_without_a_limit_only_slings_that_lean_ask_for_the_designer():
    plumb = build(squeeze_check, squeeze_limit_N=None)
    assert plumb.status is Status.NOT_APPLICABLE
    assert not plumb.attention
    leaning = build(squeeze_check, squeeze_limit_N=None, pulls=(LeaningPull("V1", 1000.0, 30 * DEG),))
    assert "0.5 kN each" in leaning.attention


def test_no_line_at_all_is_not_evaluated():
    assert build(squeeze_check, pulls=()).status is Status.NOT_EVALUATED


@given(st.floats(0.0, 40.0), st.floats(0.0, 40.0), st.floats(0.01, 1.0))
def test_more_slope_never_holds_better(slope, more, friction):
    one, other = (
        build(sliding_check, slope_rad=degrees * DEG, lean=lean(0.0), friction=friction)
        for degrees in (slope, slope + more)
    )
    assert one.demand.value <= other.demand.value
    assert not (other.status is Status.PASS and one.status is Status.FAIL)
