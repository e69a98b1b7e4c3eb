"""The published cable problems, as one list of rigs through the command: each named by its source."""

from __future__ import annotations

import json
from importlib.resources import files
from pathlib import Path

import pytest
from tests.cli.running import plumbhook

PROBLEMS = json.loads(
    files("plumbhook").joinpath("data", "verification", "statics_rigs.json").read_text(encoding="utf-8")
)
NEWTONS = {"N": 1.0, "kN": 1e3, "lbf": 4.4482216152605, "kgf": 9.80665}
ROWS = [
    pytest.param(number, wanted, id=f"{problem['id']}, {wanted['element']}")
    for number, problem in enumerate(PROBLEMS)
    for wanted in problem["expected"]
    if wanted["quantity"] == "tension"
]


@pytest.fixture(scope="module")
def answers(tmp_path_factory: pytest.TempPathFactory) -> list[dict]:
    file: Path = tmp_path_factory.mktemp("rigs") / "rigs.json"
    file.write_text(json.dumps([problem["rig"] for problem in PROBLEMS]), encoding="utf-8")
    with pytest.MonkeyPatch.context() as patch:
        import contextlib
        import io
        import sys

        from plumbhook.cli.main import run

        patch.setattr(sys, "argv", ["plumbhook", "equilibrium", str(file), "--json"])
        out = io.StringIO()
        with contextlib.redirect_stdout(out), pytest.raises(SystemExit) as ended:
            run()
    assert ended.value.code in (0, None)
    return json.loads(out.getvalue())


def test_every_problem_has_its_answer_in_order(answers: list[dict]) -> None:
    assert [answer["name"] for answer in answers] == [problem["rig"]["name"] for problem in PROBLEMS]
    assert {answer["status"] for answer in answers} == {"stable"}


@pytest.mark.parametrize(("number", "wanted"), ROWS)
def test_the_command_gives_the_published_tension(answers: list[dict], number: int, wanted: dict) -> None:
    assert PROBLEMS[number]["source"]
    computed = answers[number]["tensions_N"][wanted["element"]] / NEWTONS[wanted["unit"]]
    relative = wanted["tolerance_kind"] == "relative"
    assert computed == pytest.approx(wanted["value"], **{"rel" if relative else "abs": wanted["tolerance"]})


def test_each_answer_proves_itself(answers: list[dict]) -> None:
    for answer in answers:
        largest = max(abs(force) for force in answer["tensions_N"].values())
        assert answer["residual_force_N"] < 1e-4 * largest


def test_the_table_for_people_names_every_line(monkeypatch, capsys, tmp_path: Path) -> None:
    file = tmp_path / "rig.json"
    file.write_text(json.dumps(PROBLEMS[0]["rig"]), encoding="utf-8")
    ran = plumbhook(monkeypatch, capsys, "equilibrium", file)
    assert ran.code == 0
    for element in PROBLEMS[0]["rig"]["elements"]:
        assert element["name"] in ran.out
