"""What the wind does to a hanging load, held to published numbers, textbook results and laws."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbhook.core.errors import InputError
from plumbhook.crane.wind import gust_m_s
from plumbhook.crane.wind_force import (
    box_area_m2,
    mean_wind_limit_m_s,
    out_of_plumb_rad,
    pendulum_periods_s,
    stop_wind_at_anemometer_m_s,
    tag_line_people,
    tag_line_pull_N,
    tube_area_m2,
    wind_drift_m,
    wind_force_N,
    wind_pressure_Pa,
)

SIZES = st.floats(0.1, 50.0)


def test_pressure_of_the_published_calculation_sheet() -> None:
    # Published wind calculation sheet: 11.3 m/s gives 79.81 N/m2.
    assert wind_pressure_Pa(11.3) == pytest.approx(79.81, abs=0.005)


def test_force_of_the_published_calculation_sheet() -> None:
    # The same sheet: 96.8 t at a reference area of 1.0 m2/t and c_w 1.2 gives 9,270.29 N.
    assert wind_force_N(11.3, 1.2, 96.8) == pytest.approx(9270.29, rel=1e-4)


@given(SIZES, SIZES, SIZES, st.floats(-7.0, 7.0))
def test_no_direction_catches_more_than_the_worst(
    length: float, width: float, height: float, at: float
) -> None:
    assert box_area_m2(length, width, height, at) <= box_area_m2(length, width, height) * (1 + 1e-9)


def test_a_face_square_to_the_wind_shows_its_own_area() -> None:
    assert box_area_m2(9.6, 2.4, 2.5, math.pi / 2) == pytest.approx(24.0)
    assert box_area_m2(9.6, 2.4, 2.5, 0.0) == pytest.approx(6.0)
    assert tube_area_m2(0.2, 7.0) == pytest.approx(1.4)


@given(st.floats(0.0, 1e5), st.floats(100.0, 1e6), st.floats(0.0, 100.0))
def test_rope_balances_weight_and_wind(force: float, mass: float, length: float) -> None:
    angle = out_of_plumb_rad(force, mass, 9.81)
    tension = math.hypot(force, mass * 9.81)
    assert tension * math.sin(angle) == pytest.approx(force, rel=1e-9, abs=1e-6)
    assert wind_drift_m(force, mass, 9.81, length) >= length * math.sin(angle) - 1e-12


def test_periods_of_two_equal_pendulums() -> None:
    # Textbook double pendulum, equal masses and lengths: w² = (2 ∓ √2) g/l.
    slow, fast = pendulum_periods_s(1.0, 1.0, 3.0, 3.0, 9.81)
    assert (2 * math.pi / slow) ** 2 == pytest.approx((2 - math.sqrt(2)) * 9.81 / 3.0)
    assert (2 * math.pi / fast) ** 2 == pytest.approx((2 + math.sqrt(2)) * 9.81 / 3.0)


def test_without_a_block_rope_and_slings_swing_as_one() -> None:
    assert pendulum_periods_s(0.0, 5000.0, 12.0, 8.0, 9.81) == (
        pytest.approx(2 * math.pi * math.sqrt(20.0 / 9.81)),
        0.0,
    )


def test_steeper_tag_lines_pull_harder() -> None:
    assert tag_line_pull_N(1000.0, 0.0) == 1000.0
    assert tag_line_pull_N(1000.0, math.radians(60.0)) == pytest.approx(2000.0)
    with pytest.raises(InputError, match="stand farther from the load"):
        tag_line_pull_N(1000.0, math.radians(80.0))


def test_people_on_the_tag_lines_are_never_fewer_than_two() -> None:
    assert [tag_line_people(pull) for pull in (0.0, 600.0, 601.0, 1500.0)] == [2, 2, 3, 5]


@given(st.floats(1.0, 30.0), st.floats(2.0, 150.0))
def test_forecast_limit_and_gust_are_inverse(limit: float, height: float) -> None:
    assert gust_m_s(mean_wind_limit_m_s(limit, height), height) == pytest.approx(limit)


@given(st.floats(1.0, 30.0), st.floats(5.0, 150.0), st.floats(0.05, 0.99))
def test_an_anemometer_below_the_boom_head_stops_the_lift_earlier(
    limit: float, head: float, part: float
) -> None:
    assert stop_wind_at_anemometer_m_s(limit, head, part * head) < limit
    assert stop_wind_at_anemometer_m_s(limit, head, head) == pytest.approx(limit)
    assert stop_wind_at_anemometer_m_s(limit, head, head / part) == limit


@pytest.mark.parametrize("bad", [-1.0, 0.0, math.nan, math.inf])
def test_a_shape_factor_must_be_positive(bad: float) -> None:
    with pytest.raises(InputError, match="shape factor must be a positive number"):
        wind_force_N(10.0, bad, 5.0)


def test_all_wrong_numbers_are_named_at_once() -> None:
    with pytest.raises(InputError) as caught:
        pendulum_periods_s(-1.0, 0.0, math.nan, 0.0, 9.81)
    assert len(caught.value.problems) == 4
