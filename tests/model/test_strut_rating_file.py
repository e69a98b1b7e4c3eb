"""A rating table as a firm enters it: read as it stands, and refused with a sentence where it cannot be right."""

import math

import pytest

from plumbhook.core.errors import InputError
from plumbhook.model.strut_rating import read_rating_tables

HEAD = "family,span [m],top_angle_from_vertical [deg],rated_load [t],source\n"
ROWS = (
    "F219,3.0,30,60,sheet 7\n"
    "F219,3.0,45,45,sheet 7\n"
    "F219,4.5,30,48,sheet 7\n"
    "F219,4.5,45,not rated,sheet 7\n"
    "F140,3.0,30,20,sheet 3\n"
)


def problems(text: str) -> list[str]:
    with pytest.raises(InputError) as error:
        read_rating_tables(text, "ratings.csv")
    return [str(problem) for problem in error.value.problems]


def test_a_table_by_family_span_and_angle():
    tables = read_rating_tables(HEAD + ROWS, "ratings.csv")
    assert set(tables) == {"F219", "F140"}
    table = tables["F219"]
    assert table.spans_m == (3.0, 4.5)
    assert [math.degrees(angle) for angle in table.angles_from_vertical_rad] == pytest.approx([30.0, 45.0])
    assert table.rated_kg == ((60_000.0, 45_000.0), (48_000.0, None))
    assert table.source == "sheet 7"


def test_angles_from_the_horizontal_are_turned():
    text = (
        (HEAD + ROWS)
        .replace("from_vertical", "from_horizontal")
        .replace(",45,", ",46,")
        .replace(",30,", ",60,")
    )
    table = read_rating_tables(text, "ratings.csv")["F219"]
    assert [math.degrees(angle) for angle in table.angles_from_vertical_rad] == pytest.approx([30.0, 44.0])


def test_feet_and_short_tons_are_read_by_the_head():
    text = "family,span [ft],top_angle_from_vertical [deg],rated_load [short ton]\nF219,10,30,60\n"
    table = read_rating_tables(text, "ratings.csv")["F219"]
    assert table.spans_m == pytest.approx((3.048,))
    assert table.rated_kg[0][0] == pytest.approx(60 * 907.18474)
    assert table.source == "ratings.csv"


def test_a_table_with_a_hole():
    text = HEAD + ROWS.replace("F219,3.0,45,45,sheet 7\n", "")
    (problem,) = problems(text)
    assert problem == (
        "ratings.csv: rated_load: F219: the table has a hole: there is no row for a span of 3.00 m at 45.0° from the "
        'vertical; add the row as the maker gives it, or write "not rated" there'
    )


def test_mixed_units_in_the_cells():
    (problem,) = problems(HEAD + ROWS.replace("3.0,30,60", "3.0,30,66 short ton"))
    assert '"66 short ton" has a unit of its own' in problem
    assert "one unit for each column, in its head" in problem
    assert "line 2" in problem


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("rated_load [t]", "rated_load", "the column has no unit; head it rated_load [t]"),
        ("rated_load [t]", "rated_load [ton]", "which ton is meant?"),
        ("rated_load [t]", "rated_load [kN]", "cannot be used"),
        ("span [m]", "span [deg]", "cannot be used"),
        ("top_angle_from_vertical", "top_angle", "not known"),
        ("3.0,30,60", "3.0,30,", "empty"),
        ("3.0,30,60", "3.0,30,-60", "more than zero"),
        ("3.0,30,60", "3.0,95,60", "between 0 and 90 degrees"),
        ("3.0,45,45", "3.0,30,45", "given twice"),
        ("4.5,30,48", "4.5,30,61", "more is rated for a span of 4.50 m at 30.0° from the vertical than for"),
        ("3.0,45,45", "3.0,45,66", "which asks less of the strut"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said(old, new, words):
    assert old in HEAD + ROWS
    assert any(words in problem for problem in problems((HEAD + ROWS).replace(old, new, 1)))


def test_the_angle_says_from_what():
    both = HEAD.replace("rated_load", "top_angle_from_horizontal [deg],rated_load") + "F219,3,30,60,60,x\n"
    assert any(
        "top_angle_from_vertical or top_angle_from_horizontal" in problem for problem in problems(both)
    )
    neither = "family,span [m],rated_load [t]\nF219,3,60\n"
    assert any(
        "top_angle_from_vertical or top_angle_from_horizontal" in problem for problem in problems(neither)
    )


def test_every_fault_of_a_table_is_named_at_once():
    text = HEAD + ROWS.replace("3.0,30,60", "3.0,30,?").replace("4.5,30,48", "0,30,48")
    assert len(problems(text)) >= 2
