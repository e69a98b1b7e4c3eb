"""`plumbhook tandem`: shares of two cranes, the margin of each, and how level the hooks must be kept."""

from __future__ import annotations

import json
import math

import pytest
from tests.cli.running import plumbhook

FILE = """\
# An invented girder.
tandem:
  mass: 40 t
  weight_factor: 1.0
  spacing: 20 m
  cog_from_second: 10 m
  cog_box: {along: 0 m, height: 0 m}
  height_difference: 1 m
  largest_tilt: 30 deg
  margin: 20 %
  margin_source: rule of the invented firm
  first: {name: first crane, depth: 4 m, rig: 2 t, capacity: 28.8 t, source: invented chart}
  second: {name: second crane, depth: 4 m, rig: 2 t, capacity: 28.8 t, source: invented chart}
"""


@pytest.fixture
def run(tmp_path, monkeypatch, capsys):
    def with_text(text, *options):
        path = tmp_path / "tandem.yaml"
        path.write_text(text, encoding="utf-8")
        return plumbhook(monkeypatch, capsys, "tandem", path, *options)

    return with_text


def test_shares_and_largest_difference_are_those_of_the_lever_rule(run) -> None:
    """Limit 28.8 / 1.2 - 2 = 22 t: tan g = (22 20 - 40 10) / (40 4) = 1/4, so 20 sin g = 4.851 m."""
    ran = run(FILE, "--json")
    plain = json.loads(ran.out)
    assert ran.code == 0
    assert plain["largest"]["hook_1_up_m"] == pytest.approx(20.0 / math.sqrt(17.0))
    g = math.asin(1.0 / 20.0)
    share = 40e3 * (10.0 + 4.0 * math.tan(g)) / 20.0
    assert plain["checks"][0]["demand"]["value"] == pytest.approx(1.2 * (share + 2e3) * 9.81)


def test_the_site_number_is_printed_rounded_down(run) -> None:
    assert "Keep the hooks level within 4.85 m." in run(FILE).out


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ("height_difference: 1 m", "height_difference: 4.9 m", 1),
        ("capacity: 28.8 t", "capacity: 25 t", 1),
        ("capacity: 28.8 t", "capacity: 2 t", 1),
        (", capacity: 28.8 t, source: invented chart}\n  second", "}\n  second", 3),
        (", source: invented chart}\n  second", "}\n  second", 3),
    ],
)
def test_without_margin_or_with_one_chart_only_nothing_passes(run, old, new, code) -> None:
    assert old in FILE
    assert run(FILE.replace(old, new)).code == code


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("cog_from_second: 10 m", "cog_from_second: 21 m", "between the hooks"),
        ("height_difference: 1 m", "height_difference: 21 m", "height_difference"),
        ("  margin: 20 %\n", "", "margin"),
        ("spacing: 20 m", "spacing: 20", "spacing"),
    ],
)
def test_a_wrong_file_gets_a_sentence_with_the_field(run, old, new, words) -> None:
    ran = run(FILE.replace(old, new))
    assert ran.code == 2
    assert words in ran.err


def test_every_answer_ends_with_the_caution(run) -> None:
    assert run(FILE).out.rstrip().endswith("Never a permission to lift.")


def test_a_misspelt_key_is_told_what_was_meant(run) -> None:
    ran = run(FILE.replace("spacing: 20 m", "spacng: 20 m"))
    assert ran.code == 2
    assert "spacing" in ran.err
    assert "tandem.spacng" in ran.err
