"""The command ``plumbhook tolerance``: tables, JSON, exit codes, what is kept and what a stop leaves behind."""

import json
import os
import signal
import subprocess
import sys
import time
from dataclasses import replace

import pytest
from tests.cli.running import plumbhook
from tests.planning import small_lifts

from plumbhook.cli import tolerance as command
from plumbhook.core.check import Status
from plumbhook.planning.tolerance import tolerance_study
from plumbhook.planning.tolerance_json import study_from_json

CODES = {Status.PASS: 0, Status.FAIL: 1, Status.NOT_EVALUATED: 3}


@pytest.fixture(scope="module")
def study():
    return tolerance_study(small_lifts.read(small_lifts.ONE_STRUT), samples=200)


@pytest.fixture
def lift(tmp_path):
    path = tmp_path / "lift.yaml"
    path.write_text(small_lifts.ONE_STRUT)
    return path


@pytest.fixture(autouse=True)
def cache(monkeypatch, tmp_path):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    return tmp_path / "cache"


@pytest.fixture
def made(monkeypatch, study):
    """What the command asks to be computed; each answer is one study made beforehand."""
    asked = []

    def answer(lift, *, samples, seed, progress):
        asked.append((samples, seed))
        progress(samples, samples)
        return replace(study, samples=samples, seed=seed, content_hash=lift.content_hash)

    monkeypatch.setattr(command, "tolerance_study", answer)
    return asked


def kept(cache):
    return [path for path in cache.rglob("*") if path.is_file()]


def test_json_on_standard_output_is_the_study_and_everything_human_goes_to_the_other(
    monkeypatch, capsys, lift
):
    ran = plumbhook(monkeypatch, capsys, "tolerance", lift, "--samples", "150", "--json")
    found = study_from_json(ran.out)
    assert ran.code == CODES[found.status]
    assert found.samples == 150
    assert "Never a permission to lift" in ran.err
    assert json.loads(ran.out)["invented"] is True


def test_tables_name_every_input_with_its_source_and_every_station(monkeypatch, capsys, lift, made):
    ran = plumbhook(monkeypatch, capsys, "tolerance", lift, "--samples", "300", "--seed", "4")
    words = " ".join(ran.out.split())
    for text in (
        "300 samples, seed 4",
        "EN 1492-2",
        "Clopper-Pearson",
        "compression of U1",
        "99.9 %",
        "Lift points",
    ):
        assert text in words, text
    assert made == [(300, 4)]


@pytest.mark.parametrize("status", list(CODES))
def test_the_exit_code_is_that_of_the_study(monkeypatch, capsys, lift, study, status):
    monkeypatch.setattr(command, "tolerance_study", lambda *_, **__: replace(study, status=status))
    assert plumbhook(monkeypatch, capsys, "tolerance", lift, "--samples", "300").code == CODES[status]


def test_the_same_study_is_taken_from_the_cache_and_another_is_not(monkeypatch, capsys, lift, cache, made):
    first = plumbhook(monkeypatch, capsys, "tolerance", lift, "--samples", "300", "--json")
    again = plumbhook(monkeypatch, capsys, "tolerance", lift, "--samples", "300", "--json")
    assert again.out == first.out
    assert made == [(300, 1)]
    plumbhook(monkeypatch, capsys, "tolerance", lift, "--samples", "300", "--seed", "2")
    plumbhook(monkeypatch, capsys, "tolerance", lift, "--samples", "400")
    lift.write_text(small_lifts.ONE_STRUT.replace("mass: 6 t", "mass: 6.1 t"))
    plumbhook(monkeypatch, capsys, "tolerance", lift, "--samples", "300")
    plumbhook(monkeypatch, capsys, "tolerance", lift, "--samples", "300", "--fresh")
    assert made == [(300, 1), (300, 2), (400, 1), (300, 1), (300, 1)]
    assert len(kept(cache)) == 4


@pytest.mark.parametrize("damage", ["{}", "not JSON", "\udcff"])
def test_a_damaged_file_in_the_cache_is_computed_again(monkeypatch, capsys, lift, cache, made, damage):
    first = plumbhook(monkeypatch, capsys, "tolerance", lift, "--samples", "120", "--json")
    kept(cache)[0].write_bytes(damage.encode(errors="surrogateescape"))
    assert plumbhook(monkeypatch, capsys, "tolerance", lift, "--samples", "120", "--json").out == first.out
    assert len(made) == 2


def test_a_stop_leaves_nothing_behind(monkeypatch, capsys, lift, cache):
    def stopped(*_, progress, **__):
        progress(10, 100)
        raise KeyboardInterrupt

    monkeypatch.setattr(command, "tolerance_study", stopped)
    ran = plumbhook(monkeypatch, capsys, "tolerance", lift, "--samples", "300")
    assert ran.code == 130
    assert ran.out == ""
    assert "Stopped" in ran.err
    assert kept(cache) == []


def test_a_cache_that_cannot_be_written_costs_nothing_but_time(monkeypatch, capsys, lift, tmp_path, made):
    blocked = tmp_path / "file"
    blocked.write_text("not a folder")
    monkeypatch.setenv("XDG_CACHE_HOME", str(blocked))
    ran = plumbhook(monkeypatch, capsys, "tolerance", lift, "--samples", "120")
    assert "Study:" in ran.out
    assert len(made) == 1


@pytest.mark.parametrize(("option", "value"), [("--samples", "5"), ("--seed", "-3")])
def test_numbers_that_make_no_sense_are_wrong_input(monkeypatch, capsys, lift, option, value):
    ran = plumbhook(monkeypatch, capsys, "tolerance", lift, option, value)
    assert ran.code == 2
    assert option.removeprefix("--") in ran.err


@pytest.mark.slow
def test_an_interrupt_of_a_million_samples_ends_soon_and_leaves_nothing_behind(lift, cache):
    # Tests that a shell runs in the background ignore interrupts, and what they start would too.
    heed = "import signal; signal.signal(signal.SIGINT, signal.default_int_handler)"
    start = f"{heed}; from plumbhook.cli.main import run; run()"
    words = [sys.executable, "-c", start, "tolerance", str(lift)]
    process = subprocess.Popen(
        [*words, "--samples", "1000000"],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        env={**os.environ, "XDG_CACHE_HOME": str(cache)},
    )
    time.sleep(5.0)
    process.send_signal(signal.SIGINT)
    out, err = process.communicate(timeout=60.0)
    assert process.returncode == 130
    assert out == b""
    assert b"Stopped" in err
    assert kept(cache) == []
