"""Whatever is wrong with a lift file: one sentence each, with line and field, all at once, never a traceback."""

import json
import os
import random
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lift_texts import (
    EXAMPLE,
    EXAMPLE_TEXT,
    example_problems,
    no_file,
    one_strut,
    problems,
    read,
    read_example,
)

from plumbhook.core.errors import InputError
from plumbhook.model.files import parse_lift, read_lift, read_text


def refusal(text: str) -> str:
    with pytest.raises(InputError) as wrong:
        parse_lift(text, source="lift.yaml", read_text=no_file)
    return str(wrong.value)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", "the file is empty"),
        ("# nothing but a remark\n", "the file is empty"),
        ("- a\n- b\n", 'not made of "key: value" lines'),
        ("lorem ipsum", 'not made of "key: value" lines'),
        ("load:\n\tname: x\n", "line 2: there is a tab before the text"),
        ("load:\n  - a\n  \tb: c\n", "line 3: there is a tab before the text"),
        ("a: \x00", "line 1: there is a control character"),
        ('a: "\\x07"', "an escape (\\) stands for a character that no text has"),
        ('a: "\\ud800"', "an escape (\\) stands for a character that no text has"),
        ('a: "\\UFFFFFFFF"', "check the escapes"),
        ("a: &x 1\nb: *x\n", "line 1: references (& and *) are not accepted"),
        ("b: *x\n", "references (& and *) are not accepted"),
        ("a: !!float 3\n", "tags (!) are not accepted"),
        ("a: !<tag:x> 3\n", "tags (!) are not accepted"),
        ("a: b\n---\nc: d\n", "several documents"),
        ("%TAG ! tag:x,2000:\n---\na: b\n", "several documents or directives"),
        ("? [a]\n: b\n", "a key must be one word"),
        ("a: [1, 2\n", "a list in square brackets is not closed"),
        ("{a: b\n", "a block in curly brackets is not closed"),
        ('a: "x\n', "a text in quotes is not closed"),
        ("title: Bridge: segment\n", "line 1: this cannot be read: there is a second colon"),
        ("a: @b\n", "needs quotes"),
        ("a:\n  b: 1\n c: 2\n", "indentation"),
        ("a: " + "[" * 60, "nests more than 50 levels"),
        ("a: " + "{b: " * 60, "nests more than 50 levels"),
        ("".join(" " * n + f"a{n}:\n" for n in range(60)), "line 51: the file nests"),
        ("x" * 10_000_000, "the file has 10.0 MB"),
        ("a: b\n" * 200_000, "the file has 1.0 MB"),
    ],
)
def test_a_text_that_is_no_lift_file_is_refused_in_one_sentence(text: str, sentence: str) -> None:
    message = refusal(text)
    assert sentence in message
    assert message.startswith("lift.yaml")
    assert "\n" not in message


@settings(deadline=None)
@given(st.text(max_size=200))
def test_no_text_whatever_ends_in_a_traceback(text: str) -> None:
    with pytest.raises(InputError):
        parse_lift(text, read_text=no_file)


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 2**32 - 1))
def test_a_damaged_example_is_read_or_refused_in_sentences(seed: int) -> None:
    chance = random.Random(seed)
    lines = EXAMPLE_TEXT.split("\n")
    for _ in range(chance.randint(1, 4)):
        at = chance.randrange(len(lines))
        action = chance.choice(["drop", "double", "cut", "swap", "mark", "value"])
        if action == "drop":
            del lines[at]
        elif action == "double":
            lines.insert(at, lines[at])
        elif action == "cut":
            lines[at] = lines[at][: chance.randint(0, len(lines[at]))]
        elif action == "swap":
            other = chance.randrange(len(lines))
            lines[at], lines[other] = lines[other], lines[at]
        elif action == "mark":
            position = chance.randint(0, len(lines[at]))
            lines[at] = (
                lines[at][:position] + chance.choice("\t:[]{}'\"#&*!|>%@,-?~ \u00a0é") + lines[at][position:]
            )
        else:
            key = lines[at].partition(":")[0]
            lines[at] = (
                f"{key}: {chance.choice(['', 'null', '{}', '[]', '[[]]', '{a: {}}', '3', '-1 m', 'true'])}"
            )
    try:
        read_example("\n".join(lines))
    except InputError as refused:
        found = refused.problems
    else:
        return
    assert all(problem.message and "\n" not in problem.message for problem in found)


@pytest.mark.parametrize(
    ("old", "new", "sentence"),
    [
        (
            "mass: 20367 kg",
            "mass: 20367 m",
            'line 48: load.parts[1].mass: "20367 m" is a length, but a mass is',
        ),
        ("mass: 20367 kg", "mass: -20367 kg", "must be more than zero; check the sign"),
        ("mass: 20367 kg", "mass: 0 kg", "must be more than zero; leave it out if it is not known"),
        ("mass: 20367 kg", "mass: 20.367 ton", "which ton is meant"),
        ("mass: 20367 kg", "mass: 20367", "has no unit"),
        ("mass: 20367 kg", "mass: .nan", "is not one number"),
        ("mass: 20367 kg", "mass: nan kg", "is not one number"),
        ("mass: 20367 kg", "mass: 1e999 kg", "too large to be a mass"),
        ("mass: 20367 kg", "mass: true", "this must be a mass"),
        ("mass: 20367 kg", "mass: [1 kg]", "this must be a mass"),
        ("mass: 20367 kg", "mass: ", "there is no value"),
        ("mass: 20367 kg, ", "", "load.parts[1].mass: this key is missing (its mass)"),
        ("at: [0 m, 0 m, 2.37 m]", "at: [0 m, 0 m]", "write three values in square brackets"),
        ("at: [0 m, 0 m, 2.37 m]", "at: 2.37 m", "this must be a list: write three values"),
        ("at: [0 m, 0 m, 2.37 m]", "at: [0 m, 0 m, 1 m, 2 m]", "write three values in square brackets"),
        ("tolerance: 1.5 %", "tolerance: 1.5", 'at most 1.00; a percentage needs its sign, as in "85 %"'),
        (
            "tolerance: 1.5 %",
            "tolerence: 1.5 %",
            'load.weight.tolerence: this key is not known; did you mean "tol',
        ),
        ("crane_use_limit: 85 %", "crane_use_limit: 85", "a percentage needs its sign"),
        ("weight_factor: 1.05", "weight_factor: 0.95", "must be at least 1.00"),
        ("gravity: 9.81 m/s2", "gravity: 1.62 m/s2", "must be at least 9.700 m/s²"),
        ("tilt_limit: 5 deg", "tilt_limit: 95 deg", "must be at most 90.0°"),
        (
            "tilt_limit: 5 deg",
            "tilt_limt: 5 deg",
            'line 23: rules.tilt_limt: this key is not known; did you mean "tilt',
        ),
        (
            "gravity: 9.81 m/s2",
            "colour: red",
            "rules.colour: this key is not known here; known are gravity, weight",
        ),
        ("date: 2027-03-17", "date: 17.3.2027", "is not a date; write year, month and day"),
        ("date: 2027-03-17", "date: 2027-02-30", "is not a day of the calendar"),
        ("invented: true", "invented: yes", "write true or false"),
        ("format: 1", "format: 2", 'line 2: format: "2" is not a format that this version reads'),
        (
            "format: 1",
            "",
            'format: this key is missing (format of this file); add it, for instance "format: 1"',
        ),
        ("title: Bridge segment", "title: ~ #", "lift.title: there is no text here"),
        (
            "strut over two struts",
            "strut over two strut",
            'did you mean "strut over two struts"? Write one of: one',
        ),
        (
            "A140-1801]",
            "A140-1899]",
            "rig.struts.S1.pieces[1]: A140-1899 is not in the stock; did you mean A140-18",
        ),
        (
            "[A140-E01, A140-E02]",
            "[A140-E01, SH-17-09]",
            "SH-17-09 is listed as shackle; what goes here is end fit",
        ),
        (
            "hook_chain: [LC-80-01",
            "hook_chain: [B219-1202",
            "what goes here is load cell or master link or shackle",
        ),
        ("items: [RS-20-09]", "items: [A140-1803]", "what goes here is an item of a line"),
        ("items: [RS-20-09]", "items: [RS-20-10]", "RS-20-10 is used twice, first in line M1"),
        ("items: [RS-20-09]", "items: [SH-35-05]", "the items of this line have no length together"),
        ("items: [RS-20-09]", "items: []", "write at least one entry here"),
        ("items: [RS-20-09]", "items: [[]]", "items[1]: write at least one entry here"),
        ("items: [RS-20-09]", "items: [{item: RS-20-09, leg: 2}]", "RS-20-09 has no leg 2; it has 1"),
        (
            "items: [RS-20-09]",
            "items: [{item: RS-20-09}]",
            "one leg of a sling is written {item: SERIAL, leg: 1",
        ),
        ("items: [RS-20-09]", "items: [{item: CH-20-4L-01, leg: 1, lenght: 2 m}]", 'did you mean "length"?'),
        (
            "items: [RS-20-09]",
            "items: [{item: RS-20-09, leg: 1, serials: [a]}]",
            '"serials" is not known here',
        ),
        ("items: stock.csv", "items: ../stock.csv", 'stock.items: "../stock.csv" leads out of the folder'),
        ("items: stock.csv", "items: /etc/passwd", "leads out of the folder"),
        ("items: stock.csv", "items: C:stock.csv", "leads out of the folder"),
        ("items: stock.csv", "items: a\\..\\..\\stock.csv", "leads out of the folder"),
        ("items: stock.csv", "items: stok.csv", 'there is no file "stok.csv" beside the lift file'),
        (
            "[12 m, 84.0 t]",
            "[10 m, 84.0 t]",
            "place.crane.chart[2]: the radius 10.000 m comes after 10.000 m",
        ),
        ("{name: pick,", "{name: set down,", 'two stations are called "set down"'),
        ("[12 m, 84.0 t]", "[12 m]", "place.crane.chart[2]: write exactly two values"),
        ("low: [-1.60 m", "low: [2.60 m", "along x the low end is not below the high end"),
        (
            "high: [1.60 m, 4.80 m, 2.50 m]",
            "high: [1.60 m, 4.80 m, 1.50 m]",
            "(1.545 m) is outside the envelope",
        ),
    ],
)
def test_one_mistake_in_the_example_gives_one_sentence(old: str, new: str, sentence: str) -> None:
    (problem,) = example_problems(old, new)
    assert sentence in str(problem)


def test_a_name_has_no_dot_because_points_are_written_with_one() -> None:
    found = [str(problem) for problem in example_problems("    L1:", "    L.1:")]
    assert any('load.lift_points.L.1: "L.1" cannot be a name' in problem for problem in found)


def test_top_slings_that_cannot_span_the_strut_are_refused() -> None:
    """Two slings of 2.1 m cannot meet above a strut of 4.3 m, nor two of exactly half its span."""
    found = example_problems(
        "[RS-20-01, RS-20-02]",
        "[WR-26-01, WR-26-02]",
        ("[RS-20-03, RS-20-04]", "[WR-26-03, WR-26-05]"),
    )
    assert [str(problem) for problem in found] == [
        "line 72: rig.lines.T1: T1 (2.100 m) and T2 (2.100 m) together do not reach across U1 (4.300 m); "
        "use longer slings"
    ]
    short = one_strut()
    for item in short["equipment"][:2]:
        item["length"] = "1.05 m"
    assert problems(short) == [
        "rig.lines.T1: T1 (1.050 m) and T2 (1.050 m) together do not reach across U1 (2.100 m); use longer slings"
    ]


def test_a_missing_rating_stays_missing() -> None:
    for written in ("", "rated_load: , ", "rated_load: null, "):
        lift = read_example(EXAMPLE_TEXT.replace("rated_load: 20 t, ", written, 1))
        assert lift.file.load.lift_points["L1"].rated_load_kg is None
        assert lift.file.load.lift_points["L2"].rated_load_kg == 20_000.0


def test_a_key_given_twice_names_both_lines() -> None:
    first, *_ = example_problems("    L2:", "    L1:")
    assert str(first) == (
        "line 58: load.lift_points.L1: this key is given twice, first on line 57; keep one of the two"
    )


def test_a_key_given_twice_deep_inside_a_dropped_block_is_reported_once() -> None:
    message = refusal("load: {name: a}\nload: {name: b, name: c}\n")
    assert message.count("given twice") == 1


def test_all_mistakes_are_reported_at_once_by_line() -> None:
    found = example_problems(
        "mass: 20367 kg",
        "mass: -1 kg",
        ("tolerance: 1.5 %", "tolrance: 1.5 %"),
        ("to: U1.b", "to: U9.b"),
        ("ML-63-01", "ML-63-09"),
        ("radius: 14 m", "radius: 14"),
        ("[14 m, 71.5 t]", "[11 m, 71.5 t]"),
        ("gravity: 9.81 m/s2", "gravity: 9.81"),
    )
    assert [(problem.line, problem.field) for problem in found] == [
        (17, "rules.gravity"),
        (33, "load.weight.tolrance"),
        (48, "load.parts[1].mass"),
        (64, "rig.hook_chain[2]"),
        (66, "rig.struts.U1"),
        (73, "rig.lines.T2.to"),
        (_line_of("[14 m, 71.5 t]"), "place.crane.chart[3]"),
        (_line_of("radius: 14 m"), "place.stations[2].radius"),
    ]


def _line_of(words: str) -> int:
    return EXAMPLE_TEXT[: EXAMPLE_TEXT.index(words)].count("\n") + 1


def test_mistakes_in_the_stock_come_with_those_of_the_lift_file() -> None:
    files = {
        "stock.csv": (EXAMPLE / "stock.csv")
        .read_text(encoding="utf-8")
        .replace("roundsling", "roundslng", 1),
        "strut_families.csv": (EXAMPLE / "strut_families.csv")
        .read_text(encoding="utf-8")
        .replace("139.7", "1o0", 1),
    }
    with pytest.raises(InputError) as wrong:
        parse_lift(
            EXAMPLE_TEXT.replace("gravity: 9.81 m/s2", "gravity: 9.81"),
            source="lift.yaml",
            read_text=files.__getitem__,
        )
    assert [(problem.source, problem.line) for problem in wrong.value.problems] == [
        ("lift.yaml", 17),
        ("stock.csv", 63),
        ("strut_families.csv", 2),
    ]


def test_a_section_of_the_wrong_shape_is_named() -> None:
    lift = one_strut()
    lift["rig"] = "see drawing"
    lift["load"]["weight"] = None
    assert problems(lift) == [
        'load.weight: this must be a block of "key: value" lines, and there is nothing here',
        'rig: this must be a block of "key: value" lines',
    ]


def test_a_misspelt_key_is_not_also_reported_as_missing() -> None:
    lift = one_strut()
    lift["loads"] = lift.pop("load")
    assert problems(lift) == ['loads: this key is not known; did you mean "load"?']


def test_a_key_that_is_already_there_is_not_suggested() -> None:
    lift = one_strut()
    lift["lift"]["revisions"] = "B"
    (problem,) = problems(lift)
    assert problem.startswith("lift.revisions: this key is not known here; known are id, revision, title")


def test_the_same_lift_is_read_from_json() -> None:
    assert read(one_strut()).file.lift.title == "Test"
    assert "line 1: this cannot be read" in refusal('{"format": 1 "lift": 2}') or "curly" in refusal(
        '{"format": 1 "x"}'
    )


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    for name in ("lift.yaml", "stock.csv", "strut_families.csv"):
        (tmp_path / name).write_bytes((EXAMPLE / name).read_bytes())
    return tmp_path


def file_refusal(path: Path) -> str:
    with pytest.raises(InputError) as wrong:
        read_lift(path)
    return str(wrong.value)


def test_a_lift_is_read_from_its_folder(folder: Path) -> None:
    assert read_lift(folder / "lift.yaml").content_hash == read_example().content_hash


@pytest.mark.parametrize("mark", [b"\xef\xbb\xbf", b""])
def test_a_byte_order_mark_and_line_ends_of_another_system_do_not_matter(folder: Path, mark: bytes) -> None:
    for name in ("lift.yaml", "stock.csv"):
        (folder / name).write_bytes(mark + (EXAMPLE / name).read_bytes().replace(b"\n", b"\r\n"))
    assert read_lift(folder / "lift.yaml").content_hash == read_example().content_hash


def test_files_that_cannot_be_read_are_refused_in_one_sentence(folder: Path) -> None:
    assert "there is no such file" in file_refusal(folder / "nothing.yaml")
    assert "there is no such file" in file_refusal(folder / "lift.yaml" / "deeper.yaml")
    assert "this is a folder" in file_refusal(folder)
    assert "cannot be read" in file_refusal(Path("a\0b"))
    (folder / "utf16.yaml").write_bytes(EXAMPLE_TEXT.encode("utf-16"))
    assert "not text in UTF-8" in file_refusal(folder / "utf16.yaml")
    (folder / "latin.yaml").write_bytes("format: 1\nsite: K\u00f6ln\n".encode("latin-1"))
    assert "latin.yaml, line 2: this is not text in UTF-8" in file_refusal(folder / "latin.yaml")
    (folder / "large.yaml").write_bytes(random.Random(1).randbytes(10_000_000))
    assert "the file has 10.0 MB" in file_refusal(folder / "large.yaml")


def test_a_caller_may_allow_larger_files(folder: Path) -> None:
    (folder / "rigs.json").write_text(" " * 3_000_000)
    with pytest.raises(InputError, match=r"3\.0 MB"):
        read_text(folder / "rigs.json")
    assert len(read_text(folder / "rigs.json", largest_bytes=10_000_000)) == 3_000_000


def test_a_stock_file_that_is_missing_or_elsewhere_is_a_mistake_of_the_lift_file(folder: Path) -> None:
    (folder / "stock.csv").unlink()
    assert 'line 26: stock.items: "stock.csv": there is no such file' in file_refusal(folder / "lift.yaml")
    outside = folder.parent / f"{folder.name}-outside.csv"
    outside.write_bytes((EXAMPLE / "stock.csv").read_bytes())
    os.symlink(outside, folder / "stock.csv")
    assert "outside the folder of the lift file" in file_refusal(folder / "lift.yaml")


def test_reading_changes_nothing_on_the_disk(folder: Path) -> None:
    (folder / "lift.yaml").write_text(EXAMPLE_TEXT.replace("20367 kg", "nan kg"))
    before = {path.name: path.read_bytes() for path in folder.iterdir()}
    file_refusal(folder / "lift.yaml")
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before


def test_json_text_of_the_lift_keeps_its_lines() -> None:
    lift = one_strut()
    lift["load"]["weight"]["mass"] = "-4 t"
    text = json.dumps(lift, indent=1)
    line = next(number for number, content in enumerate(text.splitlines(), 1) if '"-4 t"' in content)
    with pytest.raises(InputError) as wrong:
        parse_lift(text, read_text=no_file)
    assert wrong.value.problems[0].line == line
