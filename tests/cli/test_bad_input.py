"""Bad input gets a clear sentence and the right exit code; no traceback, and nothing is overwritten."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from tests.cli.running import Ran, plumbhook
from tests.planning import small_lifts as small

GOOD = small.ONE_STRUT
POINT = "{at: [-1.65 m, 0 m, 1.0 m], rated_load: 8 t, angle_limit: 10 deg}"

BAD: dict[str, tuple[str | bytes, str]] = {
    "empty file": ("", "empty"),
    "a tab": (GOOD.replace("  arrangement: one strut", "\tarrangement: one strut"), "tab"),
    "wrong unit": (GOOD.replace("mass: 6 t", "mass: 6 kN"), "load.weight.mass"),
    "the question which ton": (GOOD.replace("mass: 6 t", "mass: 6 tons"), "short ton"),
    "no unit": (GOOD.replace("mass: 6 t", "mass: 6"), "load.weight.mass"),
    "negative mass": (GOOD.replace("mass: 6 t", "mass: -6 t"), "load.weight.mass"),
    "not a number": (GOOD.replace("mass: 6 t", "mass: nan t"), "load.weight.mass"),
    "sling too short": (GOOD.replace("length: 2.8 m", "length: 1.6 m"), "longer"),
    "duplicate name": (GOOD.replace("    V2: {from: U1.b", "    V1: {from: U1.b"), "V1"),
    "an item that is not in stock": (GOOD.replace("items: [RV-2]", "items: [RV-7]"), "RV-7"),
    "an item used twice": (GOOD.replace("items: [RV-2]", "items: [RV-1]"), "RV-1"),
    "unknown key": (GOOD.replace("can_move: nothing", "can_mov: nothing"), "can_move"),
    "a format of the future": (GOOD.replace("format: 1", "format: 99"), "format"),
    "no lift point of that name": (GOOD.replace("to: load.L2", "to: load.L9"), "L9"),
    "bytes that are no text": (b"\xff\xfe\x00\x01" * 100, "UTF-8"),
    "ten megabytes of nonsense": (b"nonsense " * 1_200_000, "10.8 MB"),
    "a list": ("- 1\n- 2\n", "key: value"),
    "an anchor": (GOOD.replace("can_move: nothing", "can_move: &a nothing"), "references"),
}


@pytest.mark.parametrize("name", BAD)
def test_bad_lift_files_get_a_sentence_and_exit_code_2(
    name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    content, expected = BAD[name]
    file, out = tmp_path / "lift.yaml", tmp_path / "out"
    file.write_bytes(content if isinstance(content, bytes) else content.encode())
    out.mkdir()
    kept = out / "lift-plan.pdf"
    kept.write_bytes(b"the plan of yesterday")
    ran = plumbhook(monkeypatch, capsys, "plan", file, "--out", out)
    assert ran.code == 2
    assert expected in ran.err
    assert "Traceback" not in ran.err
    assert len(ran.err) < 6000
    assert kept.read_bytes() == b"the plan of yesterday"
    assert sorted(path.name for path in out.iterdir()) == ["lift-plan.pdf"]


def test_everything_wrong_is_said_at_once_with_its_line(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    text = (
        GOOD.replace("mass: 6 t", "mass: 6 kN")
        .replace("can_move: nothing", "can_mov: nothing")
        .replace("20 mm", "20 kg")
    )
    file = tmp_path / "lift.yaml"
    file.write_text(text, encoding="utf-8")
    ran = plumbhook(monkeypatch, capsys, "assess", file)
    assert ran.code == 2
    for field in ("load.weight.mass", "can_mov", "load.cog_box.x", "load.cog_box.y", "load.cog_box.z"):
        assert field in ran.err
    line = next(i for i, row in enumerate(text.splitlines(), start=1) if "6 kN" in row)
    assert f"line {line}" in ran.err


def test_a_lift_point_without_its_rating_is_not_evaluated_and_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert POINT in GOOD
    file = tmp_path / "lift.yaml"
    file.write_text(
        GOOD.replace(POINT, POINT.replace(" rated_load: 8 t,", "")).replace(
            "tolerance: 2 %", "tolerance: 2 %"
        ),
        encoding="utf-8",
    )
    ran = plumbhook(monkeypatch, capsys, "assess", file)
    assert ran.code in {1, 3}
    assert "Lift point L1" in ran.out
    assert "rated load missing" in ran.out


@pytest.mark.parametrize("command", ["assess", "plan", "equilibrium"])
def test_a_file_that_is_not_there(
    command: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    ran = plumbhook(monkeypatch, capsys, command, tmp_path / "nowhere.yaml")
    assert ran.code == 2
    assert "no such file" in ran.err


RIG = {
    "name": "r",
    "hooks_m": {"h": [0, 0, 0]},
    "bodies": [
        {"name": "load", "mass_kg": 1000, "cog_m": [0, 0, -1], "points_m": {"p": [0, 0, 0]},
         "start": {"origin_m": [0, 0, -3], "rotation_rows": [[1, 0, 0], [0, 1, 0], [0, 0, 1]]}}
    ],
    "elements": [
        {"name": "s", "type": "sling", "from": "hook.h", "to": "load.p", "unstretched_length_m": 3.0, "EA_N": 2e7}
    ],
}  # fmt: skip


def solve_rig(
    rig: object,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    *more: str,
) -> Ran:
    file = tmp_path / "rig.json"
    file.write_text(rig if isinstance(rig, str) else json.dumps(rig), encoding="utf-8")
    return plumbhook(monkeypatch, capsys, "equilibrium", file, *more)


def test_a_single_sling_carries_the_weight(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    ran = solve_rig(RIG, tmp_path, monkeypatch, capsys, "--json")
    assert ran.code == 0
    answer = json.loads(ran.out)
    assert answer["tensions_N"]["s"] == pytest.approx(9806.65)
    assert answer["status"] == "stable"


def test_a_list_of_rigs_gets_a_list_of_answers(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    ran = solve_rig([RIG, RIG], tmp_path, monkeypatch, capsys, "--json")
    assert [answer["name"] for answer in json.loads(ran.out)] == ["r", "r"]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (json.dumps(RIG).replace('"mass_kg": 1000', '"mass_kg": NaN'), "NaN"),
        (json.dumps(RIG).replace('"mass_kg": 1000', '"mass_kg": -1'), "mass_kg"),
        (json.dumps(RIG).replace('"EA_N": 20000000.0', '"EA_N": 0'), "EA_N"),
        (json.dumps(RIG).replace("load.p", "load.q"), "load.q"),
        ("{", "JSON"),
        ("[" * 100_000, "nested"),
    ],
)
def test_bad_rigs_get_a_sentence_and_exit_code_2(
    text: str,
    expected: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    ran = solve_rig(text, tmp_path, monkeypatch, capsys)
    assert ran.code == 2
    assert expected in ran.err
    assert "Traceback" not in ran.err
