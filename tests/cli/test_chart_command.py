"""`plumbhook chart`: what was read, where it stands, which row counts, how far out the load may go."""

from __future__ import annotations

import json

import pytest
from tests.cli.running import plumbhook

CHART = """\
machine,Crawler crane
boom length,36.6 m
page,invented chart HV-C
radius [m],capacity [t]
10,98
12,84
14,71.5
16,61.8
"""


@pytest.fixture
def file(tmp_path):
    path = tmp_path / "chart.csv"
    path.write_text(CHART, encoding="utf-8")
    return path


def test_what_was_read_is_shown_with_its_provenance(file, monkeypatch, capsys) -> None:
    ran = plumbhook(monkeypatch, capsys, "chart", file)
    assert ran.code == 0
    for words in ("SHA-256", "line 4, column 2", "machine: Crawler crane", "boom length: 36.60 m", "71.50 t"):
        assert words in ran.out


def test_the_next_larger_row_counts_and_the_largest_radius_is_said(file, monkeypatch, capsys) -> None:
    asked = ("--radius", "12.5 m", "--load", "53.742 t", "--limit", "85 %")
    ran = plumbhook(monkeypatch, capsys, "chart", file, *asked)
    assert ran.code == 0
    assert "the row at 14.00 m counts: 71.50 t, used to 75.2 %" in ran.out
    assert "Largest radius for 53.75 t within 85 %: 14.00 m" in ran.out


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        (("--radius", "16.5 m"), "beyond the last row"),
        (("--radius", "15 m", "--load", "60 t", "--limit", "85 %"), "counts: 61.80 t"),
        (("--load", "99 t"), "No radius of this chart"),
    ],
)
def test_what_the_chart_does_not_give_ends_in_failure(file, monkeypatch, capsys, asked, words) -> None:
    ran = plumbhook(monkeypatch, capsys, "chart", file, *asked)
    assert ran.code == 1
    assert words in ran.out


def test_the_machine_form_holds_the_rows_in_si(file, monkeypatch, capsys) -> None:
    ran = plumbhook(monkeypatch, capsys, "chart", file, "--radius", "12.5 m", "--json")
    plain = json.loads(ran.out)["charts"][0]
    assert plain["chart"]["rows"][2] == {"radius_m": 14.0, "capacity_kg": 71_500.0}
    assert plain["chart"]["holds_for"]["boom_length_m"] == 36.6
    assert plain["answer"]["capacity_kg"] == 71_500.0


@pytest.mark.parametrize(
    "wrong", [("--radius", "12"), ("--load", "5 ton"), ("--limit", "120 %"), ("--radius", "-3 m")]
)
def test_a_question_without_sense_gets_a_sentence(file, monkeypatch, capsys, wrong) -> None:
    ran = plumbhook(monkeypatch, capsys, "chart", file, *wrong)
    assert ran.code == 2
    assert wrong[0] in ran.err


def test_a_file_that_is_not_there_gets_a_sentence(tmp_path, monkeypatch, capsys) -> None:
    ran = plumbhook(monkeypatch, capsys, "chart", tmp_path / "none.xlsx")
    assert ran.code == 2
    assert "no such file" in ran.err
