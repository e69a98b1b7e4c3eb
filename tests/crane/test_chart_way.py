"""Many radii at once are read like one: the next larger row, no hole stepped over, nothing beyond the last row."""

import math

import numpy as np
import pytest
from crane_examples import CHART
from hypothesis import given
from hypothesis import strategies as st

from plumbhook.core.errors import InputError
from plumbhook.crane.chart import DutyChart, DutyRow, largest_radius_m, read_chart
from plumbhook.crane.chart_way import duty_along_way

WITH_A_HOLE = DutyChart(
    "Invented crawler",
    "boom 36.6 m",
    "page 4",
    (DutyRow(10.0, 98e3), DutyRow(12.0, 84e3), DutyRow(14.0, None), DutyRow(16.0, 61.8e3)),
    smallest_radius_m=9.0,
)
radii = st.lists(st.one_of(st.floats(-1.0, 25.0), st.sampled_from([10.0, 12.0, 14.0, math.nan])), min_size=1)


@given(radii, st.floats(0.0, 2e5), st.sampled_from([CHART, WITH_A_HOLE]))
def test_every_radius_is_read_as_the_reading_of_one_does(where, gross, chart):
    found = duty_along_way(chart, where, gross)
    for radius, row, capacity, use in zip(
        where, found.row_radius_m, found.capacity_kg, found.utilisation, strict=True
    ):
        one = read_chart(chart, radius)
        if one.row is not None:
            assert (row, capacity, use) == (one.row.radius_m, one.capacity_kg, gross / one.capacity_kg)
        else:
            assert math.isnan(row)
            assert not use <= 1.0


@given(st.floats(0.5, 20.0), st.floats(0.5, 20.0), st.floats(1.0, 1e5))
def test_the_use_never_falls_as_the_radius_grows(first, second, gross):
    near, far = sorted((first, second))
    use = duty_along_way(CHART, [near, far], gross).utilisation
    assert use[0] <= use[1]


def test_own_scenario_figures_of_the_use_at_every_radius():
    """Invented crane of the example: 64.0, 75.2, 87.0 and 99.7 % at 12, 14, 16 and 18 m, nothing at 20.1 m."""
    found = duty_along_way(CHART, [12.0, 14.0, 16.0, 18.0, 20.1], 53_742.0)
    assert found.utilisation[:4] == pytest.approx([0.640, 0.752, 0.870, 0.997], abs=5e-4)
    assert found.capacity_kg[4] == 0.0
    assert math.isinf(found.utilisation[4])


@pytest.mark.parametrize("radius", [12.01, 13.0, 14.0])
def test_an_empty_row_is_not_stepped_over(radius):
    assert "empty" in read_chart(WITH_A_HOLE, radius).reason
    assert math.isinf(duty_along_way(WITH_A_HOLE, radius, 1.0).utilisation)


def test_beyond_an_empty_row_the_chart_counts_again():
    assert read_chart(WITH_A_HOLE, 14.01).row == DutyRow(16.0, 61.8e3)
    assert largest_radius_m(WITH_A_HOLE, 50e3, 0.85) == 16.0


def test_below_the_smallest_permitted_radius_nothing_may_hang():
    assert "smallest" in read_chart(WITH_A_HOLE, 8.9).reason
    assert math.isinf(duty_along_way(WITH_A_HOLE, 8.9, 1.0).utilisation)
    assert read_chart(WITH_A_HOLE, 9.0).row.radius_m == 10.0


@pytest.mark.parametrize(
    ("radius", "gross"), [(math.nan, 1e3), (12.0, math.nan), (12.0, -1.0), (math.inf, 1e3)]
)
def test_what_is_no_number_is_no_use(radius, gross):
    assert math.isnan(duty_along_way(CHART, radius, gross).utilisation)


def test_the_shape_is_that_of_radii_and_loads_together():
    assert duty_along_way(CHART, np.full((3, 4), 12.0), np.full(4, 1e3)).utilisation.shape == (3, 4)
    with pytest.raises(InputError, match="different number"):
        duty_along_way(CHART, np.full(3, 12.0), np.full(4, 1e3))
