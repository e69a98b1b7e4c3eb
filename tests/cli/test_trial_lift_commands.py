"""The commands ``trial-lift`` and ``level``: card, verdict, lengths, exit codes, JSON."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from tests.cli.running import plumbhook
from tests.planning import small_lifts as small

from plumbhook.core.resources import examples_dir

LIFT = examples_dir() / "marrow-lane" / "lift.yaml"
READINGS = """
trial_lift:
  lift: ML-0324
  taken: 2027-03-24 07:40
  by: lifting supervisor
  cells: {LC-30-01: 19.45 t}
  tilt: {x_plus_low: -0.70 deg, y_plus_low: 0.38 deg}
  may_be_aboard:
    - {what: water in the exchanger, at: [3.40 m, 0.10 m, 0.90 m], most: 1000 kg}
"""


@pytest.fixture
def readings(tmp_path: Path):
    def write(*changes: tuple[str, str]) -> Path:
        text = READINGS
        for old, new in changes:
            assert old in text
            text = text.replace(old, new)
        file = tmp_path / "readings.yaml"
        file.write_text(text, encoding="utf-8")
        return file

    return write


def test_the_card_before_the_lift(monkeypatch, capsys) -> None:
    ran = plumbhook(monkeypatch, capsys, "trial-lift", LIFT)
    assert ran.code == 0
    row = next(line for line in ran.out.splitlines() if line.startswith("LC-30-01"))
    assert [word for word in row.split() if word[0].isdigit()] == [
        "19.00",
        "18.68",
        "19.31",
        "18.37",
        "19.62",
    ]
    assert "Never a permission to lift" in ran.out


def test_readings_with_the_water_are_amber_and_say_what_to_do(monkeypatch, capsys, readings) -> None:
    ran = plumbhook(monkeypatch, capsys, "trial-lift", LIFT, readings())
    assert ran.code == 3
    assert "Verdict: AMBER" in ran.out
    assert "By the readings alone:     17.30 t" in ran.out
    assert "water in the exchanger, +45" in ran.out
    assert "move the shortener" in ran.out


def test_readings_as_json(monkeypatch, capsys, readings) -> None:
    ran = plumbhook(monkeypatch, capsys, "trial-lift", LIFT, readings(), "--json")
    answer = json.loads(ran.out)
    assert answer["verdict"] == "amber"
    assert answer["estimate"]["mass_kg"] == pytest.approx(17_304.0, abs=0.5)
    assert answer["hypotheses"][0]["what"] == "water in the exchanger"
    assert "Verdict: AMBER" in ran.err


def test_a_reading_in_red_stops_with_exit_code_1(monkeypatch, capsys, readings) -> None:
    ran = plumbhook(monkeypatch, capsys, "trial-lift", LIFT, readings(("19.45 t", "20.10 t")))
    assert ran.code == 1
    assert "Verdict: STOP" in ran.out


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("19.45 t", "19.45", "trial_lift.cells.LC-30-01"),
        ("LC-30-01", "LC-30-02", "no load cell with a known accuracy"),
        ("ML-0324", "HV-0317", "take the right file"),
        ("cells:", "cell:", "cells"),
    ],
)
def test_bad_readings_get_a_sentence_and_exit_code_2(monkeypatch, capsys, readings, old, new, words) -> None:
    ran = plumbhook(monkeypatch, capsys, "trial-lift", LIFT, readings((old, new)))
    assert ran.code == 2
    assert words in ran.err
    assert "Traceback" not in ran.err


def test_readings_that_are_not_there(monkeypatch, capsys, tmp_path) -> None:
    ran = plumbhook(monkeypatch, capsys, "trial-lift", LIFT, tmp_path / "none.yaml")
    assert ran.code == 2
    assert "no such file" in ran.err


def test_level_prints_exact_lengths_and_sets_that_can_be_had(monkeypatch, capsys) -> None:
    ran = plumbhook(monkeypatch, capsys, "level", LIFT, "--height", "4.90 m", "--json")
    assert ran.code == 0
    answer = json.loads(ran.out)
    legs = [answer["closed_form_m"][leg] for leg in ("T1", "T2", "T3", "T4")]
    assert legs == pytest.approx([6.083, 6.091, 6.646, 6.653], abs=1e-3)
    assert answer["choices"][0]["broken"] == []
    assert "level, no stretch" in ran.err


def test_level_says_what_is_wrong_with_a_height_or_a_rig(monkeypatch, capsys, tmp_path) -> None:
    ran = plumbhook(monkeypatch, capsys, "level", LIFT, "--height", "4.90")
    assert (ran.code, "--height" in ran.err) == (2, True)
    ran = plumbhook(monkeypatch, capsys, "level", LIFT, "--lowest", "4.90 m")
    assert (ran.code, "--highest" in ran.err) == (2, True)
    file = tmp_path / "lift.yaml"
    file.write_text(small.ONE_STRUT, encoding="utf-8")
    ran = plumbhook(monkeypatch, capsys, "level", file)
    assert (ran.code, "no line of the rig can be set" in ran.err) == (2, True)


def test_level_ends_with_1_where_no_set_keeps_the_limits(monkeypatch, capsys, tmp_path) -> None:
    for name in ("stock.csv", "strut_families.csv"):
        (tmp_path / name).write_bytes((LIFT.parent / name).read_bytes())
    file = tmp_path / "lift.yaml"
    file.write_text(
        LIFT.read_text(encoding="utf-8").replace("tilt_limit: 2 deg", "tilt_limit: 0.05 deg"),
        encoding="utf-8",
    )
    ran = plumbhook(monkeypatch, capsys, "level", file)
    assert ran.code == 1
    assert "The nearest set that can be had" in ran.out
