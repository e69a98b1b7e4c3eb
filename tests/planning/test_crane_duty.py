"""The crane of the example lifts: deductions with their sources, radius under load, holes, gaps."""

from __future__ import annotations

import math

import pytest

from plumbhook.core.check import Status
from plumbhook.core.resources import examples_dir
from plumbhook.model.files import parse_lift
from plumbhook.planning import assess

SEGMENT, SKID = "hallowmere-viaduct", "marrow-lane"


def assessed(name: str, *changes: tuple[str, str]):
    folder = examples_dir() / name
    text = (folder / "lift.yaml").read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new, 1)
    return assess(parse_lift(text, read_text=lambda file: (folder / file).read_text(encoding="utf-8")))


@pytest.fixture(scope="module")
def segment():
    return assessed(SEGMENT)


def test_everything_below_the_boom_head_is_a_line_with_its_source(segment) -> None:
    crane = segment.crane
    lines = dict(crane.deductions)
    assert lines == pytest.approx(
        {
            "load, with its weight factor": 50_240.4,
            "rig, all items but load cells": 1_123.0,
            "load cell LC-80-01": 179.0,
            "hook block": 1_900.0,
            "hoist rope": 300.0,
        }
    )
    assert len(crane.deduction_sources) == len(lines)
    assert all(crane.deduction_sources)
    assert math.fsum(lines.values()) == pytest.approx(crane.gross_load_kg)


def test_use_of_the_chart_at_every_radius_of_the_skid() -> None:
    """Own figures of the invented lift: 71.2, 82.8 and 95.8 % at 12, 14 and 16 m."""
    rows = {row.radius_m: row for row in assessed(SKID).crane.rows}
    assert [rows[r].utilisation for r in (12.0, 14.0, 16.0)] == pytest.approx([0.712, 0.828, 0.958], abs=5e-4)
    assert [rows[r].within_policy for r in (12.0, 14.0, 16.0)] == [True, True, False]


def test_rope_by_length_falls_and_mass_per_metre_and_a_stowed_jib_are_load() -> None:
    assessment = assessed(
        SEGMENT,
        ("    hoist_rope: 0.3 t\n", "    stowed_jib: 0.9 t\n    deductions:\n      - {name: second block, "
         "mass: 0.4 t, source: chart note 3}\n"),
        ("rope: {", "rope: {line_mass: 4 kg/m, hanging_length: 28 m, "),
    )  # fmt: skip
    lines = dict(
        zip((n for n, _ in assessment.crane.deductions), assessment.crane.deduction_sources, strict=True)
    )
    masses = dict(assessment.crane.deductions)
    assert masses["hoist rope"] == pytest.approx(10 * 28.0 * 4.0)
    assert lines["hoist rope"].startswith("10 falls of 28.00 m")
    assert masses["jib stowed on the boom"] == 900.0
    assert lines["second block"] == "chart note 3"
    assert assessment.crane.gross_load_kg == pytest.approx(53_742.4 - 300.0 + 1_120.0 + 900.0 + 400.0)
    assert assessment.check("crane.pick").demand.value == pytest.approx(assessment.crane.gross_load_kg)


def test_a_growing_radius_moves_to_the_next_row_and_refuses() -> None:
    assessment = assessed(SEGMENT, ("boom_deflection: 0 m", "boom_deflection: 0.25 m"))
    check = assessment.check("crane.set down")
    assert check.status is Status.FAIL
    assert check.capacity.value == pytest.approx(0.85 * 61_800.0)
    station = {each.name: each for each in assessment.crane.stations}["set down"]
    assert (station.planned_radius_m, station.radius_m, station.row_radius_m) == (14.0, 14.25, 16.0)
    assert station.utilisation == pytest.approx(0.870, abs=5e-4)


def test_a_hole_of_the_chart_refuses_the_station_in_it() -> None:
    assessment = assessed(SEGMENT, ("[14 m, 71.5 t]", "[14 m, null]"))
    check = assessment.check("crane.set down")
    assert check.status is Status.FAIL
    assert "leaves its row at 14.00 m empty" in check.refused_because
    assert assessment.crane.largest_radius_m == 12.0


def test_below_the_smallest_radius_of_the_chart_the_station_is_refused() -> None:
    assessment = assessed(SEGMENT, ("      wind_limit: 9.8 m/s\n", "      smallest_radius: 13 m\n"))
    assert "smallest permitted" in assessment.check("crane.pick").refused_because
    assert assessment.check("crane.set down").status is Status.PASS


def test_rope_and_block_are_held_to_their_ratings(segment) -> None:
    assert segment.check("crane.line_pull").status is Status.PASS
    assert segment.check("crane.hook_block").demand.value == pytest.approx(51_542.4, abs=1.0)
    few = assessed(
        SEGMENT,
        ("falls: 10,", "falls: 6,"), ("      falls: 10\n", "      falls: 6\n"),
        ("hook_block_rating: 80 t", "hook_block_rating: 50 t"),
    )  # fmt: skip
    assert few.check("crane.line_pull").status is Status.FAIL
    assert few.check("crane.hook_block").status is Status.FAIL


def test_a_line_pull_that_nobody_states_is_not_evaluated() -> None:
    assessment = assessed(SEGMENT, ("line_pull: 95 kN, ", ""))
    assert assessment.check("crane.line_pull").status is Status.NOT_EVALUATED
    assert assessment.status is Status.NOT_EVALUATED


def test_what_nobody_says_of_the_crane_is_a_gap() -> None:
    text = (examples_dir() / SEGMENT / "lift.yaml").read_text(encoding="utf-8")
    start, end = text.index("    hook_block_rating"), text.index("    chart:\n")
    told = " ".join(gap.text for gap in assessed(SEGMENT, (text[start:end], "")).gaps)
    for words in ("chart_for", "place.crane.rope", "hook_block_rating", "radius_growth"):
        assert words in told
    bare = " ".join(
        gap.text
        for gap in assessed(SEGMENT, ("falls: 10, boom_length: 36.6 m, jib: none, ", "falls: 10, ")).gaps
    )
    assert "boom length, jib" in bare
    assert "place.crane" not in " ".join(gap.text for gap in assessed(SEGMENT).gaps)
