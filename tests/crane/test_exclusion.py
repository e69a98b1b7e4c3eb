"""People keep out of the zone below a hanging load; a public way in it stops the lift unless it is closed."""

import math

import pytest
from crane_examples import build
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import LineString
from shapely.geometry import Polygon as Ring

from plumbhook.core.check import Status
from plumbhook.core.errors import InputError
from plumbhook.crane.exclusion import ExclusionZone, path_gap_m, public_way_check, simple_polygon

COORDINATE = st.integers(-200, 200).map(lambda tenth: tenth / 10)
POINTS = st.lists(st.tuples(COORDINATE, COORDINATE), min_size=3, max_size=7, unique=True).map(tuple)
SQUARE = ((0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0))


def test_an_open_way_inside_the_zone_fails_and_a_closed_one_is_out_of_use() -> None:
    assert build(public_way_check, distance_m=9.0).status is Status.FAIL
    assert build(public_way_check, distance_m=12.0).status is Status.PASS
    closed = build(public_way_check, distance_m=9.0, closed_by="barriers and marshal, 07:00 to 09:00")
    assert closed.status is Status.NOT_APPLICABLE
    assert build(public_way_check, distance_m=9.0, closed_by="  ").status is Status.FAIL


@pytest.mark.parametrize("gone", [{"distance_m": None}, {"distance_m": math.nan}, {"zone": None}])
def test_a_zone_or_a_distance_that_is_not_known_never_passes(gone) -> None:
    assert build(public_way_check, **gone).status is Status.NOT_EVALUATED


@pytest.mark.parametrize("field", range(4))
@pytest.mark.parametrize("bad", [-0.1, math.nan, math.inf])
def test_a_zone_of_bad_numbers_is_refused(field: int, bad: float) -> None:
    numbers = [5.0, 0.5, 15.0, 0.3]
    numbers[field] = bad
    with pytest.raises(InputError, match="at least 0"):
        ExclusionZone(*numbers)


def test_a_zone_that_crosses_itself_is_refused_with_its_sides() -> None:
    with pytest.raises(InputError, match=r"sides 1 and 3 of the zone cross; give its corners in order"):
        simple_polygon("place.zones[1].corners", ((0.0, 0.0), (4.0, 4.0), (4.0, 0.0), (0.0, 4.0)))
    assert simple_polygon("place.zones[1].corners", SQUARE) == SQUARE


@given(POINTS)
def test_crossing_sides_are_found_as_a_reference_library_finds_them(corners) -> None:
    """Reference: shapely."""
    try:
        simple_polygon("zone", corners)
    except InputError:
        assert not Ring(corners).is_valid
    else:
        assert Ring(corners).is_valid


@given(POINTS.filter(lambda corners: Ring(corners).is_valid), POINTS)
def test_distances_are_those_of_a_reference_library(corners, path) -> None:
    """Reference: shapely."""
    assert path_gap_m(path, corners) == pytest.approx(LineString(path).distance(Ring(corners)), abs=1e-9)


def test_a_path_that_crosses_a_way_has_no_distance_from_it() -> None:
    assert path_gap_m(((-5.0, 2.0), (9.0, 2.0)), SQUARE) == 0.0
    assert path_gap_m(((2.0, 2.0),), SQUARE) == 0.0
