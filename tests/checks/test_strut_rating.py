"""The maker's table limits: next worse row, nothing between and nothing beyond."""

import math

import pytest
from check_examples import RATINGS, build, demand

from plumbhook.checks.strut_rating import rating_table_check
from plumbhook.core.audit import audit_check
from plumbhook.core.check import Status
from plumbhook.core.errors import InputError
from plumbhook.model.strut_rating import RatingTable


def rated_tonnes(span_m, angle_deg):
    check = build(rating_table_check, span_m=span_m, angle_from_vertical_rad=math.radians(angle_deg))
    assert audit_check(check) == ()
    return check.capacity.value / 9.81 / 1e3, check


@pytest.mark.parametrize(
    ("span", "angle", "rated"),
    [
        (3.0, 30.0, 60.0),  # the row itself
        (3.001, 30.0, 48.0),  # a hair longer takes the longer row
        (4.3, 30.0, 48.0),
        (4.3, 31.0, 36.0),  # flatter takes the flatter row
        (2.0, 10.0, 60.0),  # shorter and steeper than any row: the first row, not more
        (5.9, 20.0, 34.0),
    ],
)
def test_the_next_worse_row_counts(span, angle, rated):
    found, check = rated_tonnes(span, angle)
    assert found == pytest.approx(rated)
    assert not check.refused_because


@pytest.mark.parametrize(
    ("span", "angle", "words"),
    [
        (6.1, 30.0, "ends at a span of 6.00 m; this strut has 6.10 m"),
        (4.3, 46.0, "ends at top slings 45.0° from the vertical; here they are at 46.0°"),
        (5.0, 40.0, "rates F219 for nothing at 6.00 m, 45.0° from the vertical"),
    ],
)
def test_beyond_the_table_and_where_the_maker_rates_nothing_it_is_refused(span, angle, words):
    check = build(rating_table_check, span_m=span, angle_from_vertical_rad=math.radians(angle))
    assert check.status is Status.FAIL
    assert words in check.refused_because
    assert math.isnan(check.utilisation)


def test_it_limits_whatever_a_calculation_says():
    check = build(rating_table_check, demand=demand(48.1e3 * 9.81))
    assert check.status is Status.FAIL
    assert not check.refused_because
    assert build(rating_table_check, demand=demand(47.9e3 * 9.81)).status is Status.PASS


def test_the_row_and_the_sheet_are_named():
    mass = build(rating_table_check).steps[-1].inputs[0]
    assert mass.meaning == "rated load, row 4.50 m, 30.0° from the vertical"
    assert mass.origin == "sheet 7 of the maker, invented"


@pytest.mark.parametrize(
    "changes",
    [
        {"span_m": -1.0},
        {"angle_from_vertical_rad": -0.1},
        {"angle_from_vertical_rad": 1.6},
        {"gravity_m_s2": 0.0},
        {"table": RatingTable("F219", "", (), (), ())},
    ],
)
def test_what_makes_no_sense_is_refused(changes):
    with pytest.raises(InputError):
        build(rating_table_check, **changes)


def test_the_table_of_the_examples_is_a_grid():
    assert len(RATINGS.rated_kg) == len(RATINGS.spans_m)
    assert {len(row) for row in RATINGS.rated_kg} == {len(RATINGS.angles_from_vertical_rad)}
