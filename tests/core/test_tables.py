"""Tables: units in the heads, every mistake with its line and column, origin held against a sidecar."""

import datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbhook.core.check import SourceQuality
from plumbhook.core.errors import InputError
from plumbhook.core.tables import Column, TableError, read_sourced_table, read_table, table_sha256
from plumbhook.core.units import Kind

COLUMNS = (
    Column("serial", "text", required=True),
    Column("wll", Kind.MASS),
    Column("stretch", Kind.RATIO),
    Column("torque", Kind.TORQUE),
    Column("legs", "whole"),
    Column("examined", "date"),
)


def problems(text: str) -> list[str]:
    with pytest.raises(InputError) as wrong:
        read_table(text, COLUMNS, source="stock.csv")
    return [str(problem) for problem in wrong.value.problems]


@pytest.mark.parametrize(
    "table",
    [
        "serial,wll [t]\nS1,12.5\n",
        "serial,wll_kg\nS1,12500\n",
        "serial,wll\nS1,12.5 t\n",
        "wll [lb],serial\n27557.78277309,S1\n",
        "\ufeffserial,wll [t]\r\nS1,12.5\r\n",
        'serial , wll [t]\n"S1",12.5\n\n,\n',
    ],
)
def test_the_unit_may_stand_in_the_head_or_in_the_cell(table: str) -> None:
    (row,) = read_table(table, COLUMNS, source="stock.csv")
    assert row.text("serial") == "S1"
    assert row.number("wll") == pytest.approx(12_500.0, rel=1e-9)


def test_an_empty_cell_is_missing_and_not_zero() -> None:
    (row,) = read_table("serial,wll [t],stretch [%],legs,examined\nS1,,,,\n", COLUMNS, source="stock.csv")
    assert row.number("wll") is None
    assert row.number("stretch") is None
    assert row.whole("legs") is None
    assert row.date("examined") is None
    assert row.text("examined") == ""


def test_cells_have_the_type_of_their_column() -> None:
    (row,) = read_table(
        "serial,stretch [%],torque_Nm,legs,examined\n0301,5,480,4,2027-02-01\n", COLUMNS, source="s"
    )
    assert row.text("serial") == "0301"
    assert row.number("stretch") == 0.05
    assert row.number("torque") == 480.0
    assert row.whole("legs") == 4
    assert row.date("examined") == datetime.date(2027, 2, 1)
    with pytest.raises(TypeError):
        row.number("serial")
    with pytest.raises(TypeError):
        row.whole("stretch")
    with pytest.raises(TypeError):
        row.date("legs")
    with pytest.raises(KeyError):
        row.number("span")


def test_every_mistake_is_reported_with_its_line_and_column() -> None:
    found = problems("serial,wll [t],legs,examined\nS1,12 kN,4,2027-02-01\nS2,12,four,\n,nan,2,2027-02-30\n")
    assert len(found) == 5
    assert found[0].startswith("stock.csv, line 2: wll [t]: ")
    assert "not a whole number" in found[1]
    assert found[2].startswith("stock.csv, line 4: serial: the cell is empty")
    assert "not one number" in found[3]
    assert "not a day of the calendar" in found[4]


@pytest.mark.parametrize(
    ("table", "sentence"),
    [
        ("", "the table is empty"),
        ("\n\n,,\n", "the table is empty"),
        ("wll [t]\n12\n", "serial: this column is missing"),
        ("serial,wl [t]\nS1,3\n", 'did you mean "wll"?'),
        ("serial,colour\nS1,red\n", "known are serial, wll"),
        ("serial,wll [kN]\nS1,3\n", "is a force, but a mass is needed"),
        ("serial,wll [ton]\nS1,3\n", "which ton is meant"),
        ("serial [t]\nS1\n", 'the column "serial" has no unit'),
        ("serial,wll [t],wll [kg]\nS1,1,1000\n", "is given twice"),
        ("serial,,wll [t]\nS1,,1\n", "a column has no name"),
        ("serial,wll\nS1,12\n", "has no unit"),
        ("serial,wll [t]\nS1,12 t\n", "not a mass with a known unit"),
        ("serial,wll [t]\nS1,12,5\n", "cells, the head 2"),
        ('serial,wll [t]\n"S1,12\n', "quotation mark"),
        ("serial,examined\nS1,1.2.2027\n", "write year, month and day"),
    ],
)
def test_a_table_that_cannot_be_trusted_is_refused(table: str, sentence: str) -> None:
    assert any(sentence in problem for problem in problems(table))


@given(st.text(max_size=300))
def test_any_text_is_a_table_or_an_input_error(text: str) -> None:
    try:
        read_table(text, COLUMNS, source="x")
    except InputError as refused:
        wrong = refused
    else:
        return
    assert all(problem.message for problem in wrong.problems)


CURVES = "diameter [mm],area [cm2]\n139.7,33.1\n219.1,65.7\n"
CURVE_COLUMNS = (
    Column("diameter", Kind.LENGTH, required=True),
    Column("area", Kind.AREA, required=True),
)


def sidecar(**changes: object) -> str:
    fields: dict[str, object] = {
        "document": '"EN 10210-2"',
        "edition": '"2006"',
        "table": '"B.2"',
        "page": '"17"',
        "transcribed_by": '"A. Reader"',
        "checked_by": '"B. Reader"',
        "date": "2027-01-05",
        "rows": 2,
        "sha256": f'"{table_sha256(CURVES)}"',
        "quality": '"FROM_MEMORY"',
    }
    fields.update(changes)
    return "\n".join(f"{name} = {value}" for name, value in fields.items() if value is not None)


def test_a_table_comes_with_its_origin() -> None:
    table = read_sourced_table(CURVES, sidecar(), CURVE_COLUMNS, source="tubes", increasing="diameter")
    assert [row.number("area") for row in table.rows] == pytest.approx([33.1e-4, 65.7e-4])
    assert table.provenance.document == "EN 10210-2"
    assert table.provenance.quality is SourceQuality.FROM_MEMORY
    assert table.provenance.date == datetime.date(2027, 1, 5)


def test_line_ends_of_another_system_do_not_change_the_checksum() -> None:
    windows = CURVES.replace("\n", "\r\n")
    assert read_sourced_table(windows, sidecar(), CURVE_COLUMNS, source="tubes").rows


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"rows": 3}, "has 2 rows, its sidecar says 3"),
        ({"sha256": '"00"'}, "was changed since"),
        ({"page": None}, "lacks ['page']"),
        ({"colour": '"red"'}, "does not know ['colour']"),
        ({"page": 17}, "needs text in ['page']"),
        ({"quality": '"GOOD"'}, "quality of a sidecar is one of"),
        ({"date": '"2027"'}, "needs a date"),
        ({"rows": "true"}, "whole number of rows"),
        ({"rows": "= ="}, "cannot be read"),
    ],
)
def test_a_sidecar_that_does_not_agree_stops_the_table(changes: dict, sentence: str) -> None:
    with pytest.raises(TableError) as wrong:
        read_sourced_table(CURVES, sidecar(**changes), CURVE_COLUMNS, source="tubes")
    assert sentence in str(wrong.value)


def test_one_changed_digit_stops_the_table() -> None:
    with pytest.raises(TableError, match="was changed since"):
        read_sourced_table(CURVES.replace("65.7", "66.7"), sidecar(), CURVE_COLUMNS, source="tubes")


def test_a_column_that_must_grow_is_held_to_it() -> None:
    swapped = "diameter [mm],area [cm2]\n219.1,65.7\n139.7,33.1\n"
    with pytest.raises(TableError, match="line 3: the column diameter does not grow"):
        read_sourced_table(
            swapped,
            sidecar(sha256=f'"{table_sha256(swapped)}"'),
            CURVE_COLUMNS,
            source="tubes",
            increasing="diameter",
        )


def test_an_unreadable_row_stops_a_sourced_table() -> None:
    broken = "diameter [mm],area [cm2]\n139.7,33.1\n219.1,\n"
    with pytest.raises(TableError, match="the cell is empty"):
        read_sourced_table(broken, sidecar(sha256=f'"{table_sha256(broken)}"'), CURVE_COLUMNS, source="t")
