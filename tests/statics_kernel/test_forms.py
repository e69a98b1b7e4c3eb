"""The forms of the kernel: the same digits from each, and what happens where one is missing."""

import logging
import subprocess
import sys

import numpy as np
import pytest
from tests.statics.rigs import KINDS, four_leg_bridle, random_rig
from tests.statics_kernel.sampling import same_digits, scattered

from plumbhook.statics.kernel import BatchSamples, forms, levels, solve_batch
from plumbhook.statics.kernel.build import build
from plumbhook.statics.kernel.drive import all_modes, run
from plumbhook.statics.kernel.problem import Problem, Rows


@pytest.mark.parametrize("kind", KINDS)
def test_interpreted_and_compiled_give_the_same_digits(kind, interpreted, compiled):
    rig = random_rig(kind, 3)
    samples = scattered(rig, 6)
    by_hand = solve_batch(rig, samples, poses=True, form=interpreted)
    by_machine = solve_batch(rig, samples, poses=True, form=compiled)
    assert same_digits(by_hand, by_machine) == []
    assert by_machine.all_stable


@pytest.mark.parametrize("kind", KINDS)
def test_cold_solves_have_the_same_digits_in_every_number_of_lanes(kind, interpreted, compiled):
    problem = Problem(random_rig(kind, 4))
    nominal = problem.nominal
    factor = np.linspace(0.5, 2.0, 9)[:, None]
    rows = Rows(
        nominal.weight * factor,
        np.repeat(nominal.shift, 9, axis=0),
        np.repeat(nominal.length, 9, axis=0),
        np.repeat(nominal.stiffness, 9, axis=0),
        np.repeat(nominal.hook, 9, axis=0),
    )
    modes = all_modes(problem)
    found = [
        run(form, lanes, problem, rows, problem.drawn, modes)
        for form, lanes in ((interpreted, 1), (interpreted, 3), (compiled, 1), (compiled, 8))
    ]
    assert (found[0].status == 0).all()
    for other in found[1:]:
        assert same_digits(found[0], other) == []


def hide(monkeypatch, tmp_path, *packages):
    """As on a machine with an empty cache and without some packages."""
    real = forms.importlib.util.find_spec
    monkeypatch.setenv(forms.CACHE_VARIABLE, str(tmp_path / "cache"))
    monkeypatch.setattr(
        forms.importlib.util, "find_spec", lambda name: None if name in packages else real(name)
    )
    for remembered in (forms._ready, forms._compiled_now):
        monkeypatch.setattr(forms, remembered.__name__, remembered.__wrapped__)


def test_without_numba_the_kernel_runs_interpreted(monkeypatch, tmp_path):
    hide(monkeypatch, tmp_path, "numba", "llvmlite")
    assert forms.kernel_form() == "interpreted"
    assert forms.chosen_form(worth_compiling=True).name == "interpreted"
    rig = four_leg_bridle()
    result = solve_batch(rig, BatchSamples(stiffness_factor=np.ones((2, 4))))
    assert result.form == "interpreted"
    assert result.all_stable


def test_a_failed_compile_is_told_and_falls_back(monkeypatch, tmp_path, caplog):
    pytest.importorskip("numba")
    hide(monkeypatch, tmp_path)
    monkeypatch.setattr(forms.sys, "executable", str(tmp_path / "no python here"))
    with caplog.at_level(logging.WARNING, logger="plumbhook.statics.kernel"):
        assert forms.chosen_form(worth_compiling=True).name == "interpreted"
    assert "half a minute" in caplog.messages[0]
    assert "could not be compiled" in caplog.messages[1]


def test_a_damaged_library_is_told_and_not_used(monkeypatch, tmp_path, caplog):
    hide(monkeypatch, tmp_path)
    forms.keep_file(levels.here().library_name, b"not a library")
    with caplog.at_level(logging.WARNING, logger="plumbhook.statics.kernel"):
        assert forms.ahead_of_time() is None
    assert "cannot be loaded" in caplog.text


def test_where_nothing_can_be_written_nothing_is_kept(monkeypatch, tmp_path):
    blocked = tmp_path / "file"
    blocked.write_text("a file where a folder should be")
    monkeypatch.setenv(forms.CACHE_VARIABLE, str(blocked))
    assert forms.keep_file("x", b"code") is None


def test_a_library_of_another_source_has_another_name(monkeypatch):
    before = levels.here().library_name
    monkeypatch.setattr(levels, "_SOURCES", (*levels._SOURCES, "build"))
    levels.digest.cache_clear()
    after = levels.here().library_name
    levels.digest.cache_clear()
    assert before != after


@pytest.mark.slow
def test_a_build_is_found_by_a_fresh_process_that_has_no_numba(tmp_path):
    pytest.importorskip("numba")
    paths = build(tmp_path)
    assert [path.name for path in paths] == [target.library_name for target in levels.targets_here()]
    program = (
        "import sys; sys.modules['numba'] = sys.modules['llvmlite'] = None\n"
        "from plumbhook.statics.kernel import kernel_form; sys.stdout.write(kernel_form())"
    )
    environment = {**forms.os.environ, forms.CACHE_VARIABLE: str(tmp_path)}
    done = subprocess.run(
        [sys.executable, "-c", program], env=environment, capture_output=True, text=True, check=True
    )
    assert done.stdout == "ahead-of-time"
