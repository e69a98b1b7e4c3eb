"""Lead line, hook block and the radius under load."""

import math

import pytest
from crane_examples import GRAVITY, PARTS, build
from hypothesis import given
from hypothesis import strategies as st

from plumbhook.core.audit import require_audit
from plumbhook.core.check import Status
from plumbhook.core.errors import InputError
from plumbhook.crane.chart import gross_load_check
from plumbhook.crane.hoist import block_check, lead_line_factor, line_pull_check
from plumbhook.crane.radius_growth import RadiusGrowth, radius_steps, radius_under_load_m

LOAD_N = 53_742.0 * GRAVITY
GROWTH = RadiusGrowth(0.2, 0.01, math.radians(0.5), 36.0, math.radians(2.0), 30.0, "rigging report R-1")


def test_lead_line_factors_of_two_published_tables():
    """Wire Rope Users Manual, 4th edition, p. 88: 0.309, and 0.367 with two lead sheaves; API RP 9B: 0.123."""
    assert lead_line_factor(4, 1.09) == pytest.approx(0.309, abs=5e-4)
    assert lead_line_factor(4, 1.09, 2) == pytest.approx(0.367, abs=5e-4)
    assert lead_line_factor(10, 1.04) == pytest.approx(0.123, abs=5e-4)


@given(st.integers(1, 20), st.floats(1.0, 1.2))
def test_friction_never_helps_to_hoist(falls, factor):
    assert lead_line_factor(falls, factor) >= 1.0 / falls - 1e-7


@given(st.integers(1, 20), st.floats(1.001, 1.2))
def test_the_falls_carry_the_load_together(falls, factor):
    """Pulls from the lead line to the dead end fall by the factor of each sheave, and add up to the load."""
    pulls = [lead_line_factor(falls, factor) / factor**n for n in range(1, falls + 1)]
    assert math.fsum(pulls) == pytest.approx(1.0)


@pytest.mark.parametrize("arguments", [(0, 1.04), (4, 0.99), (4, math.nan), (4, math.inf), (4, 1.04, -1)])
def test_a_tackle_that_cannot_be_is_refused(arguments):
    with pytest.raises(InputError, match="sheave factor"):
        lead_line_factor(*arguments)


def test_the_lead_line_is_pulled_by_everything_below_the_boom_head():
    check = build(line_pull_check, lead_sheaves=0)
    assert check.demand.value == pytest.approx(LOAD_N * lead_line_factor(10, 1.04))
    stated = build(line_pull_check, reeving_efficiency=0.8, sheave_factor=None)
    assert stated.demand.value == pytest.approx(LOAD_N / (10 * 0.8))
    assert build(line_pull_check, sheave_factor=1.0, lead_sheaves=0).demand.value == pytest.approx(
        LOAD_N / 10
    )
    require_audit([check])
    require_audit([stated])


def test_too_few_falls_fail():
    assert build(line_pull_check, falls=6).status is Status.FAIL
    assert build(line_pull_check, falls=10).status is Status.PASS


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"falls": None}, "falls"),
        ({"line_pull_N": None}, "line pull"),
        ({"sheave_factor": None}, "friction"),
    ],
)
def test_what_is_not_stated_of_the_hoist_is_not_evaluated_and_asked_for(change, words):
    check = build(line_pull_check, **change)
    assert check.status is Status.NOT_EVALUATED
    assert words in check.not_evaluated_because
    assert check.cure.startswith("enter")


@pytest.mark.parametrize("efficiency", [0.0, -0.5, 1.01, math.nan])
def test_an_efficiency_that_cannot_be_is_refused(efficiency):
    with pytest.raises(InputError, match="efficiency"):
        build(line_pull_check, reeving_efficiency=efficiency)


def test_the_block_carries_load_and_rig():
    assert build(block_check, parts=PARTS[:2], rating_kg=51_000.0).status is Status.FAIL
    assert build(block_check, parts=PARTS[:2], rating_kg=52_000.0).status is Status.PASS
    assert build(block_check, rating_kg=None).status is Status.NOT_EVALUATED


def test_the_radius_grows_by_each_cause():
    """14 m: 0.2 + 1 % of 14 m; 36 m tan 0.5 deg = 0.314; 30 m tan 2 deg = 1.048: 15.70 m by hand."""
    assert radius_under_load_m(14.0, GROWTH) == pytest.approx(14.0 + 0.34 + 0.3142 + 1.0476, abs=1e-4)
    assert radius_steps(14.0, GROWTH)[-1].result.value == pytest.approx(radius_under_load_m(14.0, GROWTH))
    assert radius_under_load_m(14.0, None) == 14.0


def test_the_chart_is_entered_with_the_radius_under_load_and_the_working_shows_it():
    radius = radius_under_load_m(13.9, GROWTH)
    check = build(gross_load_check, radius_m=radius, radius_steps=radius_steps(13.9, GROWTH))
    assert check.capacity.value == pytest.approx(0.85 * 61_800.0)
    assert check.status is Status.FAIL
    assert {"dr_boom", "dr_level", "dr_wind", "r"} <= {step.result.symbol for step in check.steps}
    require_audit([check])


@given(
    st.floats(3.0, 30.0), st.floats(0.0, 2.0), st.floats(0.0, 0.1), st.floats(0.0, 0.1), st.floats(0.0, 0.5)
)
def test_no_cause_ever_draws_the_hook_in(radius, deflection, share, level, swing):
    growth = RadiusGrowth(deflection, share, level, 36.0, swing, 30.0, "x")
    assert radius_under_load_m(radius, growth) >= radius


@pytest.mark.parametrize("place", range(6))
@pytest.mark.parametrize("wrong", [math.nan, math.inf, -0.1])
def test_a_growth_that_is_no_number_is_refused(place, wrong):
    numbers = [0.2, 0.01, 0.01, 36.0, 0.01, 30.0]
    numbers[place] = wrong
    with pytest.raises(InputError):
        RadiusGrowth(*numbers, "x")
