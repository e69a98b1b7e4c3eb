"""What each command prints, writes and returns."""

from __future__ import annotations

import importlib
import json
import sys
from importlib.metadata import version
from pathlib import Path

import pytest
from tests.cli.running import plumbhook
from tests.planning import small_lifts as small

from plumbhook.cli import exit_codes
from plumbhook.cli.exit_codes import ExitCode, guarded
from plumbhook.core.errors import NotEvaluatedError
from plumbhook.core.resources import examples_dir

LIFT = examples_dir() / "hallowmere-viaduct" / "lift.yaml"


def test_the_version_is_that_of_the_package(monkeypatch, capsys) -> None:
    ran = plumbhook(monkeypatch, capsys, "--version")
    assert (ran.code, ran.out) == (0, f"plumbhook {version('plumbhook')}\n")


@pytest.mark.parametrize("command", ["plan", "assess", "equilibrium", "takeoff", "verify", "demo"])
def test_help_of_each_command_shows_an_example(command: str, monkeypatch, capsys) -> None:
    ran = plumbhook(monkeypatch, capsys, command, "--help")
    assert ran.code == 0
    assert f"Example:  plumbhook {command}" in " ".join(ran.out.split()).replace("Example: ", "Example:  ")


def test_help_does_not_load_the_solver_or_the_pdf_writer() -> None:
    heavy = ("numpy", "pydantic", "typst", "plumbhook.statics", "plumbhook.documents")
    script = f"import sys, plumbhook.cli.main; print([m for m in {heavy!r} if m in sys.modules])"
    import subprocess

    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_assess_prints_the_load_path_and_two_verdicts(monkeypatch, capsys) -> None:
    ran = plumbhook(monkeypatch, capsys, "assess", LIFT)
    assert ran.code == ExitCode.PASS
    assert "Checks: PASS" in ran.out
    assert "Plan: NOT ISSUED" in ran.out
    assert "Never a permission to lift" in ran.out
    assert "invented demo data" in ran.out


def test_assess_as_json_keeps_standard_output_for_the_machine(monkeypatch, capsys) -> None:
    ran = plumbhook(monkeypatch, capsys, "assess", LIFT, "--json")
    data = json.loads(ran.out)
    assert data["status"] == "PASS"
    assert round(data["load"]["mass_kg"]) == 47848
    assert "Checks: PASS" in ran.err


def test_a_failing_lift_names_demand_limit_and_cure(monkeypatch, capsys) -> None:
    ran = plumbhook(monkeypatch, capsys, "assess", LIFT.with_name("refused-master-link.yaml"))
    assert ran.code == ExitCode.FAIL
    words = " ".join(ran.out.split())
    assert "FAIL: Master link 40 t, 50 mm stock (ML-40-01)" in words
    assert "against 40.00 t" in words
    assert "Cure: use a master link" in words


def test_something_not_evaluated_has_its_own_exit_code(tmp_path: Path, monkeypatch, capsys) -> None:
    file = tmp_path / "lift.yaml"
    wide = small.ONE_STRUT.replace("dynamic_factor: 1.1", "tilt_limit: 4 deg, dynamic_factor: 1.1")
    file.write_text(wide, encoding="utf-8")
    ran = plumbhook(monkeypatch, capsys, "assess", file)
    assert ran.code == ExitCode.NOT_EVALUATED
    assert "no place is given" in ran.out


def test_verify_lists_every_published_case(monkeypatch, capsys) -> None:
    ran = plumbhook(monkeypatch, capsys, "verify", "--json")
    rows = json.loads(ran.out)
    assert ran.code == ExitCode.PASS
    assert len(rows) > 100
    assert all(row["ok"] for row in rows)
    assert all(row["source"] for row in rows)
    assert len({row["case_id"] for row in rows}) == len(rows)


def test_demo_plans_into_a_folder_and_leaves_an_edited_copy_alone(
    tmp_path: Path, monkeypatch, capsys
) -> None:
    out = tmp_path / "out"
    first = plumbhook(monkeypatch, capsys, "demo", "--out", out)
    assert first.code == ExitCode.PASS
    assert {p.name for p in out.iterdir()} == {"lift-plan.pdf", "arrangement.svg", "assessment.json", "lift"}
    assert (out / "lift-plan.pdf").read_bytes().startswith(b"%PDF-")
    edited = out / "lift" / "lift.yaml"
    edited.write_text(edited.read_text(encoding="utf-8") + "# mine\n", encoding="utf-8")
    plumbhook(monkeypatch, capsys, "demo", "--out", out)
    assert edited.read_text(encoding="utf-8").endswith("# mine\n")
    again = plumbhook(monkeypatch, capsys, "plan", edited, "--out", out)
    assert again.code == ExitCode.PASS


def test_the_same_lift_gives_the_same_bytes(tmp_path: Path, monkeypatch, capsys) -> None:
    for name in ("a", "b"):
        plumbhook(monkeypatch, capsys, "plan", LIFT, "--out", tmp_path / name)
    for file in ("lift-plan.pdf", "arrangement.svg", "assessment.json"):
        assert (tmp_path / "a" / file).read_bytes() == (tmp_path / "b" / file).read_bytes()


def test_a_refused_lift_is_planned_too_and_says_so(tmp_path: Path, monkeypatch, capsys) -> None:
    ran = plumbhook(monkeypatch, capsys, "plan", LIFT.with_name("refused-radius.yaml"), "--out", tmp_path)
    assert ran.code == ExitCode.FAIL
    assert (tmp_path / "lift-plan.pdf").exists()


def test_a_bug_is_reported_with_the_place_of_its_report(monkeypatch, capsys) -> None:
    def broken() -> None:
        raise ZeroDivisionError

    assert guarded(broken) == ExitCode.BUG
    err = capsys.readouterr().err
    assert "no result of this run may be used" in err
    report = Path(next(word for word in err.split() if "plumbhook-bug-" in word).rstrip(";"))
    assert "ZeroDivisionError" in report.read_text(encoding="utf-8")
    report.unlink()


def test_what_could_not_be_evaluated_is_no_bug(capsys) -> None:
    def silent() -> None:
        raise NotEvaluatedError("no equilibrium was found")

    assert guarded(silent) == ExitCode.NOT_EVALUATED
    assert "no equilibrium was found" in capsys.readouterr().err


def test_the_public_names_are_those_documented() -> None:
    package = importlib.import_module("plumbhook")
    assert package.__all__ == sorted(package.__all__)
    for name in package.__all__:
        assert getattr(package, name).__doc__
    with pytest.raises(AttributeError):
        _ = package.no_such_name
    assert exit_codes.ExitCode(0) is ExitCode.PASS
