"""The command ``plumbhook tolerance``: tables, JSON, exit codes, what is kept and what a stop leaves behind."""

import json

import pytest
from tests.cli.running import plumbhook
from tests.planning import small_lifts

from plumbhook.cli import tolerance as command
from plumbhook.planning.tolerance_json import study_from_json


@pytest.fixture
def lift(tmp_path):
    path = tmp_path / "lift.yaml"
    path.write_text(small_lifts.ONE_STRUT)
    return path


@pytest.fixture(autouse=True)
def cache(monkeypatch, tmp_path):
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "cache"))
    return tmp_path / "cache"


def kept(cache):
    return [path for path in cache.rglob("*") if path.is_file()]


def test_json_on_standard_output_is_the_study_and_everything_human_goes_to_the_other(
    monkeypatch, capsys, lift
):
    ran = plumbhook(monkeypatch, capsys, "tolerance", lift, "--samples", "300", "--json")
    study = study_from_json(ran.out)
    assert ran.code == {"PASS": 0, "FAIL": 1, "NOT_EVALUATED": 3}[study.status.value]
    assert study.samples == 300
    assert "Never a permission to lift" in ran.err
    assert json.loads(ran.out)["invented"] is True


def test_tables_name_every_input_with_its_source_and_every_station(monkeypatch, capsys, lift):
    ran = plumbhook(monkeypatch, capsys, "tolerance", lift, "--samples", "300", "--seed", "4")
    words = " ".join(ran.out.split())
    for text in (
        "300 samples, seed 4",
        "EN 1492-2",
        "Clopper-Pearson",
        "Lift points",
        "compression of U1",
        "99.9 %",
    ):
        assert text in words, text


def test_the_same_study_is_taken_from_the_cache_and_another_is_not(monkeypatch, capsys, lift, cache):
    first = plumbhook(monkeypatch, capsys, "tolerance", lift, "--samples", "300", "--json")
    assert len(kept(cache)) == 1
    monkeypatch.setattr(command, "tolerance_study", lambda *_, **__: pytest.fail("it was computed again"))
    assert plumbhook(monkeypatch, capsys, "tolerance", lift, "--samples", "300", "--json").out == first.out
    monkeypatch.undo()


def test_another_seed_is_another_study(monkeypatch, capsys, lift, cache):
    for seed in ("1", "2"):
        plumbhook(monkeypatch, capsys, "tolerance", lift, "--samples", "120", "--seed", seed)
    assert len(kept(cache)) == 2


def test_a_damaged_file_in_the_cache_is_computed_again(monkeypatch, capsys, lift, cache):
    first = plumbhook(monkeypatch, capsys, "tolerance", lift, "--samples", "120", "--json")
    kept(cache)[0].write_text("{}")
    assert plumbhook(monkeypatch, capsys, "tolerance", lift, "--samples", "120", "--json").out == first.out


def test_a_stop_leaves_nothing_behind(monkeypatch, capsys, lift, cache):
    def stopped(*_, progress, **__):
        progress(10, 100)
        raise KeyboardInterrupt

    monkeypatch.setattr(command, "tolerance_study", stopped)
    ran = plumbhook(monkeypatch, capsys, "tolerance", lift, "--samples", "300")
    assert ran.code == 130
    assert ran.out == ""
    assert kept(cache) == []


def test_a_cache_that_cannot_be_written_costs_nothing_but_time(monkeypatch, capsys, lift, tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("not a folder")
    monkeypatch.setenv("XDG_CACHE_HOME", str(blocked))
    ran = plumbhook(monkeypatch, capsys, "tolerance", lift, "--samples", "120")
    assert "Study:" in ran.out


@pytest.mark.parametrize(("option", "value"), [("--samples", "5"), ("--seed", "-3")])
def test_numbers_that_make_no_sense_are_wrong_input(monkeypatch, capsys, lift, option, value):
    ran = plumbhook(monkeypatch, capsys, "tolerance", lift, option, value)
    assert ran.code == 2
    assert option.removeprefix("--") in ran.err
