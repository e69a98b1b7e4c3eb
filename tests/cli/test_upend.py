"""`plumbhook upend`: the load-angle table, the peaks over the CoG box, a verdict on every component."""

from __future__ import annotations

import json

import pytest
from tests.cli.running import plumbhook

FILE = """\
# An invented vessel.
upending:
  mass: 50 t
  weight_factor: 1.05
  cog: {along: 0.4 m, square: 0.0 m}
  cog_box: {along: 0.3 m, square: 0.1 m}
  head:
    lug: {along: 12 m, square: 0.5 m}
    lug_axis: 90 deg
    largest_off_axis: 90 deg
    boom_to_plane: 0 deg
    components:
      - {name: head crane, share: 100 %, below: 2 t, rated: 60 t, source: invented chart}
      - {name: head shackle, share: 55 %, below: 0 t, rated: 35 t, source: invented tag}
  tail:
    lug: {along: -10 m, square: 1 m}
    lug_axis: 0 deg
    largest_off_axis: 90 deg
    boom_to_plane: 90 deg
    components:
      - {name: tail crane, share: 100 %, below: 1 t, rated: 35 t, source: invented chart}
"""


@pytest.fixture
def run(tmp_path, monkeypatch, capsys):
    def with_text(text, *options):
        path = tmp_path / "upending.yaml"
        path.write_text(text, encoding="utf-8")
        return plumbhook(monkeypatch, capsys, "upend", path, *options)

    return with_text


def test_every_component_passes_with_its_peak_over_all_attitudes_and_the_box(run) -> None:
    """Head: the whole 52.5 t and 2 t of rig. Tail lying: 52.5 (12 - 0.1) / 22 = 28.40 t and 1 t of rig."""
    ran = run(FILE, "--json")
    plain = json.loads(ran.out)
    assert ran.code == 0
    checks = {check["check_id"]: check for check in plain["checks"]}
    assert checks["upending.head.0"]["demand"]["value"] == pytest.approx(54.5e3 * 9.81)
    assert checks["upending.tail.0"]["demand"]["value"] == pytest.approx((52.5e3 * 11.9 / 22.0 + 1e3) * 9.81)
    assert plain["tail_peak"]["attitude_rad"] == 0.0


def test_the_table_the_slack_tail_line_and_the_boom_square_to_the_load_are_told(run) -> None:
    ran = run(FILE)
    for words in ("tail line goes slack", "stands at 90 degrees", "head shackle", "Peak of the tail line"):
        assert words in " ".join(ran.out.split())
    assert "boom of the head crane" not in ran.out


def test_a_component_that_only_holds_the_ends_of_a_smaller_load_fails(run) -> None:
    assert run(FILE.replace("rated: 60 t", "rated: 54 t")).code == 1


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (", rated: 35 t, source: invented chart}", "}"),
        (", source: invented chart", ""),
        ("    largest_off_axis: 90 deg\n", ""),
        ("    lug_axis: 0 deg\n", ""),
        ("along: 0.4 m, square: 0.0 m", "along: 0.4 m, square: 3 m"),
    ],
)
def test_what_is_missing_or_turns_over_is_never_a_pass(run, old, new) -> None:
    assert FILE.replace(old, new) != FILE
    assert run(FILE.replace(old, new)).code == 3


def test_a_boom_whose_bearing_is_not_stated_is_said(run) -> None:
    ran = run(FILE.replace("    boom_to_plane: 0 deg\n", ""))
    assert "state boom_to_plane" in " ".join(ran.out.split())


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("mass: 50 t", "mass: 50", "mass"),
        ("  weight_factor: 1.05\n", "", "weight_factor"),
        ("along: 12 m", "along: -12 m", "swap the lugs"),
        ("upending:", "upend:", "upending"),
        ("boom_to_plane: 0 deg", "boom_to_plane: 100 deg", "boom_to_plane"),
    ],
)
def test_a_wrong_file_gets_a_sentence_with_the_field(run, old, new, words) -> None:
    ran = run(FILE.replace(old, new))
    assert ran.code == 2
    assert words in ran.err


def test_every_answer_ends_with_the_caution_or_with_what_to_look_at(run) -> None:
    assert "Never a permission to lift." in run(FILE).out.rstrip().splitlines()[-1]


def test_a_misspelt_key_is_told_what_was_meant(run) -> None:
    ran = run(FILE.replace("weight_factor:", "weight_facter:"))
    assert ran.code == 2
    assert "weight_factor" in ran.err
