"""``plumbhook explain``: working, numbers and origin on a terminal and as JSON."""

import json

from running import plumbhook
from tests.scenarios.variants import assessed

from plumbhook.core.resources import examples_dir

LIFT = examples_dir() / "hallowmere-viaduct" / "lift.yaml"


def test_the_command_prints_formula_numbers_and_origin(monkeypatch, capsys):
    ran = plumbhook(monkeypatch, capsys, "explain", LIFT, "compression.U1")
    assert ran.code == 0
    for words in (
        "N = max(N_hand",
        "ASME BTH-1:2014, 3-2.4",
        "left over",
        "414.3 kN",
        "never a permission to lift",
    ):
        assert words in ran.out, words


def test_the_command_lists_the_checks_and_speaks_json(monkeypatch, capsys):
    assert "compression.U1" in plumbhook(monkeypatch, capsys, "explain", LIFT).out
    checks = assessed("hallowmere-viaduct").checks
    plain = json.loads(plumbhook(monkeypatch, capsys, "explain", LIFT, "tilt.load", "--json").out)
    assert plain["check"]["status"] == "PASS"
    assert {case["method"] for case in plain["quantities"][0]["cases"]} == {"hand", "rigid", "elastic"}
    listed = json.loads(plumbhook(monkeypatch, capsys, "explain", LIFT, "--json").out)
    assert [row["check"] for row in listed] == [check.check_id for check in checks]


def test_a_name_that_is_no_check_ends_with_code_2_and_no_traceback(monkeypatch, capsys):
    ran = plumbhook(monkeypatch, capsys, "explain", LIFT, "nonsense")
    assert ran.code == 2
    assert "Traceback" not in ran.err
