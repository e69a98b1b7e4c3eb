"""The crane chart is read to the safe side; hook height and hook seat."""

import math

import pytest
from crane_examples import CHART, PARTS, build
from hypothesis import given
from hypothesis import strategies as st

from plumbhook.core.check import Status
from plumbhook.core.errors import InputError
from plumbhook.crane.chart import (
    DutyChart,
    DutyRow,
    HookPart,
    gross_load_check,
    gross_load_step,
    largest_radius_m,
    read_chart,
)
from plumbhook.crane.headroom import headroom_check
from plumbhook.crane.hook_seat import hook_seat_check

radii = st.floats(min_value=0.5, max_value=20.0)


@pytest.mark.parametrize(
    ("radius", "row"), [(10.0, 10.0), (10.01, 12.0), (11.0, 12.0), (13.9, 14.0), (20.0, 20.0)]
)
def test_a_radius_between_two_rows_takes_the_larger_one(radius, row):
    assert read_chart(CHART, radius).row.radius_m == row


@pytest.mark.parametrize("radius", [20.01, 25.0, 1e6])
def test_nothing_is_read_beyond_the_last_row(radius):
    reading = read_chart(CHART, radius)
    assert reading.row is None
    assert "beyond the last row" in reading.reason


@pytest.mark.parametrize("radius", [0.0, -3.0, math.nan, math.inf])
def test_a_radius_that_is_none_reads_nothing(radius):
    assert read_chart(CHART, radius).row is None


@given(radii, radii)
def test_the_capacity_never_rises_with_the_radius(first, second):
    near, far = sorted((first, second))
    assert read_chart(CHART, near).row.capacity_kg >= read_chart(CHART, far).row.capacity_kg


@given(radii)
def test_the_capacity_read_is_never_above_the_straight_line_between_the_rows(radius):
    rows = [row for row in CHART.rows if row.radius_m <= radius]
    if rows:
        assert read_chart(CHART, radius).row.capacity_kg <= rows[-1].capacity_kg


@pytest.mark.parametrize(
    ("radius", "use", "status"),
    [
        (12.0, 0.640, Status.PASS),
        (14.0, 0.752, Status.PASS),
        (16.0, 0.870, Status.FAIL),
        (18.0, 0.997, Status.FAIL),
    ],
)
def test_own_scenario_figures_of_the_use_of_the_chart(radius, use, status):
    """Invented crane of the example: 53.74 t at 12, 14, 16 and 18 m against a limit of 85 % of the chart."""
    check = build(gross_load_check, radius_m=radius)
    assert check.demand.value == pytest.approx(53_742.0)
    assert check.utilisation * 0.85 == pytest.approx(use, abs=5e-4)
    assert check.status is status
    assert "14.00 m" in check.cure


def test_a_radius_beyond_the_chart_is_refused():
    check = build(gross_load_check, radius_m=20.5)
    assert check.status is Status.FAIL
    assert "beyond" in check.refused_because


def test_a_missing_radius_is_not_evaluated():
    assert build(gross_load_check, radius_m=math.nan).status is Status.NOT_EVALUATED


def test_a_radius_inside_the_first_row_asks_for_attention():
    check = build(gross_load_check, radius_m=6.0)
    assert check.capacity.value == pytest.approx(0.85 * 98_000.0)
    assert "manual" in check.attention
    assert build(gross_load_check, radius_m=10.0).attention == ""


def test_the_largest_radius_is_the_last_row_within_the_policy():
    assert largest_radius_m(CHART, 53_742.0, 0.85) == 14.0
    assert largest_radius_m(CHART, 53_742.0, 1.0) == 18.0
    assert largest_radius_m(CHART, 200_000.0, 1.0) is None
    assert largest_radius_m(CHART, math.nan, 1.0) is None
    assert "no radius" in build(gross_load_check, use_limit_ratio=0.1).cure


@given(st.floats(1e3, 1e5), st.floats(1e3, 1e5))
def test_a_heavier_load_never_reaches_further(first, second):
    light, heavy = sorted((first, second))
    assert (largest_radius_m(CHART, heavy, 0.85) or 0.0) <= (largest_radius_m(CHART, light, 0.85) or 0.0)


def test_rig_block_and_rope_are_load():
    step = gross_load_step(PARTS)
    assert step.formula == "m_load + m_rig + m_block + m_rope"
    assert step.result.value == pytest.approx(53_742.0)
    with pytest.raises(InputError):
        gross_load_step(())


@pytest.mark.parametrize("limit", [0.0, -0.5, 1.01, math.nan])
def test_no_policy_allows_more_than_the_chart(limit):
    with pytest.raises(InputError):
        build(gross_load_check, use_limit_ratio=limit)


def test_a_negative_mass_does_not_make_room():
    light = (*PARTS, HookPart("m_neg", "balloon", -60_000.0, "x"))
    assert build(gross_load_check, parts=light).status is Status.NOT_EVALUATED


def rows(*pairs):
    return tuple(DutyRow(radius, capacity) for radius, capacity in pairs)


@pytest.mark.parametrize(
    ("table", "word"),
    [
        ((), "no row"),
        (rows((10.0, 98e3), (10.0, 97e3)), "ascend"),
        (rows((12.0, 84e3), (10.0, 98e3)), "ascend"),
        (rows((10.0, 50e3), (12.0, 84e3)), "rises"),
        (
            rows(
                (0.0, 98e3),
            ),
            "radius",
        ),
        (
            rows(
                (10.0, math.nan),
            ),
            "capacity",
        ),
        (
            rows(
                (10.0, 0.0),
            ),
            "capacity",
        ),
    ],
)
def test_a_chart_that_cannot_be_one_is_refused(table, word):
    with pytest.raises(InputError, match=word):
        DutyChart("crane", "boom", "page", table)


def test_own_scenario_figure_of_the_hook_height():
    """Deck 11.40 + 0.60 + load 2.50 + slings and struts 0.90 + 1.82 + 3.72 + link 0.40 + cell 0.95 = 22.29 m."""
    height = 2.50 + 0.90 + 1.82 + 3.72 + 0.40 + 0.95
    check = build(headroom_check, worst_rig_height_m=height)
    assert check.demand.value == pytest.approx(22.29)


def test_a_hook_height_that_is_not_known_is_not_evaluated():
    assert build(headroom_check, hook_height_limit_m=None).status is Status.NOT_EVALUATED
    assert build(headroom_check, hook_height_limit_m=22.0).status is Status.FAIL


def test_a_link_thicker_than_the_seat_fails_and_an_unknown_one_is_not_evaluated():
    assert build(hook_seat_check, link_stock_m=0.076).status is Status.FAIL
    for unknown in ({"link_stock_m": None}, {"seat_limit_m": None}):
        check = build(hook_seat_check, **unknown)
        assert check.status is Status.NOT_EVALUATED
        assert check.cure.startswith("enter")
