"""Duty charts from CSV and XLSX: what they hold for, holes, and files that are broken or made to mislead."""

from __future__ import annotations

import io
import zipfile

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbhook.core.errors import InputError
from plumbhook.core.resources import examples_dir
from plumbhook.model.chart_grid import read_chart_csv
from plumbhook.model.chart_workbook import read_chart_bytes
from plumbhook.model.files import parse_lift, read_lift

HEAD = """\
machine,Crawler crane
configuration,"boom 36.6 m, ballast 90 t, 360 degrees"
counterweight,90 t
falls,10
boom length,36.6 m,42.7 m
sector,360 deg
page,invented chart HV-C
wind limit,9.8 m/s
stability share,75 %
smallest radius,8 m

"""
TABLE = """\
radius [m],capacity [t],capacity [t]
10,98.0,
12,84.0,79.2
14,71.5,68.0
16,61.8,-
18,53.9,50.1
20,47.6,
"""
SEGMENT = examples_dir() / "hallowmere-viaduct"


def read(text: str):
    return read_chart_csv(text, "c.csv").charts


def refusal(text: str) -> str:
    with pytest.raises(InputError) as wrong:
        read(text)
    return str(wrong.value)


def workbook(lines, *, change=lambda book: None, name="chart.xlsx") -> bytes:
    book = openpyxl.Workbook()
    for line in lines:
        book.active.append(line)
    change(book)
    target = io.BytesIO()
    book.save(target)
    return target.getvalue()


LINES = [["machine", "Crawler crane"], ["falls", 10], ["radius [m]", "capacity [t]"], [10, 98.0], [12, 84]]


def test_a_column_is_a_chart_with_what_it_holds_for() -> None:
    short, long = read(HEAD + TABLE)
    assert (short.identity.boom_length_m, long.identity.boom_length_m) == (36.6, 42.7)
    assert short.identity.counterweight_kg == 90_000.0
    assert short.identity.falls == 10
    assert short.identity.stability_share == 0.75
    assert short.identity.smallest_radius_m == 8.0
    assert short.rows[0] == (10.0, 98_000.0)
    assert short.place == "line 12, column 2"


def test_an_empty_cell_stays_a_hole_and_empty_cells_at_the_end_end_the_chart() -> None:
    _, long = read(HEAD + TABLE)
    assert long.rows == ((10.0, None), (12.0, 79_200.0), (14.0, 68_000.0), (16.0, None), (18.0, 50_100.0))


def test_the_head_of_a_column_may_say_what_tells_it_apart() -> None:
    rear, side = read("radius [ft],sector over the rear [lb],sector over the side [lb]\n10,20000,15000\n")
    assert (rear.identity.sector, side.identity.sector) == ("over the rear", "over the side")
    assert rear.rows[0] == pytest.approx((3.048, 9_071.8474))


def test_units_may_stand_in_the_cells() -> None:
    assert read("radius,capacity\n10 m,98 t\n12 m,84000 kg\n")[0].rows == ((10.0, 98e3), (12.0, 84e3))


@given(
    st.lists(
        st.tuples(st.integers(1, 60), st.integers(1, 900)), min_size=1, max_size=12, unique_by=lambda r: r[0]
    )
)
def test_what_is_written_is_read_again(pairs) -> None:
    radii = sorted(radius for radius, _ in pairs)
    capacities = sorted((capacity for _, capacity in pairs), reverse=True)
    rows = "".join(f"{radius},{capacity}\n" for radius, capacity in zip(radii, capacities, strict=True))
    lines = [[radius, capacity] for radius, capacity in zip(radii, capacities, strict=True)]
    from_csv = read("radius [m],capacity [t]\n" + rows)[0].rows
    assert from_csv == tuple((float(r), 1e3 * c) for r, c in zip(radii, capacities, strict=True))
    raw = workbook([["radius [m]", "capacity [t]"], *lines])
    assert read_chart_bytes(raw, "c.xlsx").charts[0].rows == from_csv


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "there is no chart"),
        ("radius [m],capacity [t]\n", "holds no capacity"),
        ("radius [m]\n10\n", "capacity: this column is missing"),
        ("radius,capacity [t]\n10,98\n", "radius"),
        ("radius [m],capacity [ton]\n10,98\n", "ton"),
        ("radius [m],capacity [t]\n10,0\n", "leave the cell empty where the chart gives nothing"),
        ("radius [m],capacity [t]\n10,-4\n", "more than zero"),
        ("radius [m],capacity [t]\n10,nan\n", "nan"),
        ("radius [m],capacity [t]\n12,84\n10,98\n", "line 3: radius: radii must ascend"),
        ("radius [m],capacity [t]\n10,84\n12,98\n", "line 3: capacity [t]: the capacity rises"),
        ("radius [m],capacity [t]\n,84\n", "radius"),
        ("radius [m],capacity [t],capacity [t]\n10,84,80\n", "say what tells them apart"),
        ("radius [m],speed [t]\n10,84\n", "this column is not known"),
        ("radius [m],capacity [t]\n10,84,7\n", "more cells than the head"),
        ("counterwieght,90 t\nradius [m],capacity [t]\n10,84\n", 'did you mean "counterweight"'),
        ("counterweight,90\nradius [m],capacity [t]\n10,84\n", "counterweight"),
        ("falls,6\nfalls,8\nradius [m],capacity [t]\n10,84\n", "given twice"),
        ("falls,6,8\nradius [m],capacity [t]\n10,84\n", "2 values for 1 capacity columns"),
        ('radius [m],capacity [t]\n10,"84\n', "quotation mark"),
    ],
)
def test_a_table_that_cannot_be_a_chart_is_refused_in_one_sentence(text, sentence) -> None:
    assert sentence in refusal(text)


def test_all_mistakes_are_told_at_once() -> None:
    told = refusal("falls,none\nradius [m],capacity [t]\n10,x\n9,84\n").splitlines()
    assert len(told) == 3


def test_a_workbook_is_read_like_its_text() -> None:
    read_book = read_chart_bytes(workbook(LINES), "chart.xlsx")
    assert read_book.charts[0].identity.falls == 10
    assert read_book.charts[0].rows == ((10.0, 98e3), (12.0, 84e3))
    assert len(read_book.sha256) == 64


def test_every_sheet_with_a_table_is_a_chart_and_the_others_are_named() -> None:
    def more(book) -> None:
        book.create_sheet("Notes").append(["written by the yard"])
        second = book.create_sheet("Long boom")
        for line in (["boom length", "42.7 m"], ["radius [m]", "capacity [t]"], [12, 79.2]):
            second.append(line)

    found = read_chart_bytes(workbook(LINES, change=more), "chart.xlsx")
    assert [chart.sheet for chart in found.charts] == ["Sheet", "Long boom"]
    assert found.passed_over == ("Notes",)


def _formula(book) -> None:
    book.active["B5"] = "=B4*0.85"


def _merged(book) -> None:
    book.active.merge_cells("B4:B5")


def _date(book) -> None:
    import datetime

    book.active["B5"] = datetime.date(2027, 3, 17)


def _truth(book) -> None:
    book.active["B5"] = True


def _error(book) -> None:
    book.active["B5"] = "#DIV/0!"


def _far(book) -> None:
    book.active["XFD1048576"] = 1


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (_formula, "B5: the formula has no computed value"),
        (_merged, "B4:B5: these cells are merged"),
        (_date, "B5: the cell holds a date"),
        (_truth, "B5: the cell holds a date or a truth value"),
        (_error, "B5: the cell holds the error #DIV/0!"),
        (_far, "more than 2000 lines or 100 columns"),
    ],
)
def test_a_workbook_that_could_mislead_is_refused(change, sentence) -> None:
    with pytest.raises(InputError, match="sheet Sheet") as wrong:
        read_chart_bytes(workbook(LINES, change=change), "chart.xlsx")
    assert sentence in str(wrong.value)


def repacked(raw: bytes, part: str, change) -> bytes:
    target = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(raw)) as old, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            data = old.read(name)
            new.writestr(name, change(data) if name == part else data)
    return target.getvalue()


SHEET = "xl/worksheets/sheet1.xml"


def bomb() -> bytes:
    target = io.BytesIO()
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(SHEET, b"0" * 50_000_000)
    return target.getvalue()


def with_entity(data: bytes) -> bytes:
    return data.replace(b"<worksheet", b'<!DOCTYPE x [<!ENTITY a "aaaa">]><worksheet', 1)


@pytest.mark.parametrize(
    ("raw", "sentence"),
    [
        (b"", "not a workbook"),
        (b"radius,capacity\n", "not a workbook"),
        (b"PK\x03\x04 cut short", "not a workbook"),
        (b"\xd0\xcf\x11\xe0" + b"\0" * 600, "password"),
        (b"\0" * 4_000_001, "more than the 4 MB allowed"),
        (bomb(), "larger unpacked"),
        (repacked(workbook(LINES), SHEET, with_entity), "entities of its own"),
        (repacked(workbook(LINES), SHEET, lambda data: data[: len(data) // 2]), "not a workbook"),
        (repacked(workbook(LINES), "[Content_Types].xml", lambda data: b"<a/>"), "not a workbook"),
    ],
)
def test_a_file_that_is_no_workbook_gets_one_sentence(raw, sentence) -> None:
    with pytest.raises(InputError) as wrong:
        read_chart_bytes(raw, "chart.xlsx")
    assert len(wrong.value.problems) == 1
    assert sentence in str(wrong.value)


@given(st.binary(max_size=300))
def test_any_bytes_are_no_workbook_but_a_sentence(raw) -> None:
    with pytest.raises(InputError):
        read_chart_bytes(raw, "c.xlsx")


@given(st.text(max_size=300))
def test_any_text_without_a_table_is_a_sentence(text) -> None:
    with pytest.raises(InputError):
        read_chart_bytes(text.encode("utf-8", "replace"), "c.csv")


def test_another_kind_of_file_is_refused() -> None:
    with pytest.raises(InputError, match="CSV or XLSX"):
        read_chart_bytes(b"", "chart.pdf")


def segment(chart: bytes, name: str = "chart.csv", change=lambda text: text):
    """The example lift with its chart in a file of its own."""
    head, rest = (SEGMENT / "lift.yaml").read_text(encoding="utf-8").split("    chart:\n")
    before, after = head.split("    chart_for:\n")
    kept = after[after.index("    rope:") :]
    text = change(f"{before}{kept}    chart_file: {name}\n    tracks:{rest.split('    tracks:')[1]}")

    def read_bytes(asked: str) -> bytes:
        return chart if asked == name else (SEGMENT / asked).read_bytes()

    return parse_lift(text, read_text=lambda asked: read_bytes(asked).decode(), read_bytes=read_bytes)


def test_the_chart_that_is_for_the_crane_as_rigged_is_taken() -> None:
    crane = segment((HEAD + TABLE).encode()).file.place.crane
    assert crane.chart[2] == (14.0, 71_500.0)
    assert crane.chart_for.boom_length_m == 36.6
    longer = segment(
        (HEAD + TABLE).encode(),
        change=lambda text: text.replace("boom_length: 36.6 m", "boom_length: 42.7 m"),
    )
    assert longer.file.place.crane.chart[2] == (14.0, 68_000.0)
    assert longer.content_hash != segment((HEAD + TABLE).encode()).content_hash


def test_a_chart_in_a_workbook_makes_the_same_lift() -> None:
    lines = [[cell.strip() for cell in line.split(",")] for line in TABLE.splitlines()]
    numbers = [lines[0][:2], *([float(cell) for cell in line[:2]] for line in lines[1:])]
    book = segment(workbook([["falls", "10"], *numbers]), "chart.xlsx")
    text = segment(("falls,10\n" + "".join(f"{','.join(line[:2])}\n" for line in lines)).encode())
    assert book.content_hash == text.content_hash


@pytest.mark.parametrize(
    ("change", "sentence"),
    [
        (("boom_length: 36.6 m", "boom_length: 30.5 m"), "none of the charts of the file is for this crane"),
        (("falls: 10", "falls: 8"), "none of the charts of the file is for this crane"),
        (("boom_length: 36.6 m, ", ""), "2 charts of the file are for this crane"),
        (("machine: Crawler crane", "machine: Mobile crane"), "none of the charts"),
    ],
)
def test_a_chart_of_another_configuration_is_refused(change, sentence) -> None:
    with pytest.raises(InputError, match="chart_file") as wrong:
        segment((HEAD + TABLE).encode(), change=lambda text: text.replace(*change))
    assert sentence in str(wrong.value)


def test_the_only_chart_of_a_file_says_what_differs() -> None:
    with pytest.raises(InputError, match='falls "6" and not "10"'):
        segment(b"falls,6\nradius [m],capacity [t]\n10,98\n12,84\n14,71.5\n")


def test_a_workbook_outside_the_folder_is_refused() -> None:
    with pytest.raises(InputError, match="leads out of the folder"):
        segment(b"", "../chart.xlsx")


SPREAD = ("    rigged_as: {", "    rigged_as: {outrigger_spread: half out, ")


@pytest.mark.parametrize(
    ("change", "field", "sentence"),
    [
        (("      falls: 10\n", "      falls: 8\n"), "chart_for", 'falls "8" and not "10"'),
        (("      boom_length: 36.6 m", "      boom_length: 30.5 m"), "chart_for", "boom length"),
        (("      counterweight: 90 t", "      counterweight: 60 t"), "chart_for", "counterweight"),
        (("      sector: 360 deg", "      sector: over the rear"), "chart_for", "slewing sector"),
        (("      jib: none", "      jib: stowed"), "stowed_jib", "0 kg where the capacities allow"),
        (("      wind_limit: 9.8 m/s", "      wind_limit: 12 m/s"), "chart_limit", "keep the one"),
        (("hoist_rope: 0.3 t\n", "hoist_rope: null\n"), "hoist_rope", "is missing"),
        (("rope: {", "rope: {line_mass: 4 kg/m, hanging_length: 28 m, "), "hoist_rope", "keep hoist_rope or"),
        (("rope: {", "rope: {reeving_efficiency: 0.8, "), "sheave_factor", "given twice"),
        ((", falls: 10", ""), "falls", "number of falls is missing"),
        (("boom_deflection: 0 m", "boom_deflection_share: null"), "boom_deflection", "is missing"),
        (("out_of_level: 0 deg", "out_of_level: 0.5 deg"), "boom_head_height", "36 m"),
        (("wind_swing: 0 deg", "wind_swing: 2 deg"), "suspended_length", "30 m"),
        (("wind_swing: 0 deg", "wind_swing: 50 deg"), "wind_swing", "at most"),
        (("[14 m, 71.5 t]", "[14 m, 90 t]"), "chart", "rises"),
    ],
)
def test_what_cannot_be_true_of_a_crane_is_told_with_its_cure(change, field, sentence) -> None:
    text = (SEGMENT / "lift.yaml").read_text(encoding="utf-8")
    assert change[0] in text
    with pytest.raises(InputError) as wrong:
        parse_lift(
            text.replace(change[0], change[1], 1),
            read_text=lambda name: (SEGMENT / name).read_text(encoding="utf-8"),
        )
    assert any(field in problem.field and sentence in problem.message for problem in wrong.value.problems)


def test_a_lift_is_read_with_a_workbook_beside_it(tmp_path) -> None:
    for name in ("stock.csv", "strut_families.csv"):
        (tmp_path / name).write_bytes((SEGMENT / name).read_bytes())
    head, rest = (SEGMENT / "lift.yaml").read_text(encoding="utf-8").split("    chart:\n")
    (tmp_path / "chart.xlsx").write_bytes(workbook([["radius [m]", "capacity [t]"], [12, 84], [14, 71.5]]))
    text = f"{head}    chart_file: chart.xlsx\n    tracks:{rest.split('    tracks:')[1]}"
    (tmp_path / "lift.yaml").write_text(text, encoding="utf-8")
    assert read_lift(tmp_path / "lift.yaml").file.place.crane.chart == ((12.0, 84e3), (14.0, 71.5e3))
