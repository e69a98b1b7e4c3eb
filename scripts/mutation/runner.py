"""Runs tests on a mutant in a copy of the tree, each in a process of its own that starts with the libraries loaded."""

from __future__ import annotations

import importlib
import multiprocessing
import os
import shutil
import sys
import tempfile
from pathlib import Path
from types import TracebackType

import pytest

from mutation.covering import EVERY_BUILDER, SLOW, TEST_FILES, Covering

# Loaded once; never the package itself, which each process must import anew.
LIBRARIES = (
    "pytest",
    "numpy",
    "scipy.integrate",
    "scipy.linalg",
    "scipy.optimize",
    "hypothesis",
    "pydantic",
    "typst",
)
COPIED = ("src", "tests", "scripts", "examples")
LOG = "pytest.log"
# How pytest ends, and the process below, where no test of the mutant was run at all: that is no kill.
OTHER_PACKAGE = 99
NOTHING_RUN = (pytest.ExitCode.USAGE_ERROR, pytest.ExitCode.NO_TESTS_COLLECTED, OTHER_PACKAGE)
FLAGS = (
    *("-x", "-q", "-n", "0", "-p", "no:cacheprovider", "--hypothesis-profile", "mutation"),
    # Libraries that are loaded before pytest starts cannot have their asserts rewritten, nor need it.
    *("-W", "ignore::pytest.PytestAssertRewriteWarning"),
)


class Copy:
    """A copy of the tree in a temporary folder, in which one module at a time is wrong.

    Attributes:
        root: the folder.
    """

    def __init__(self, root: Path, seconds: float) -> None:
        self._folder = tempfile.TemporaryDirectory(prefix="mutants-")
        self.root = Path(self._folder.name)
        self._seconds = seconds
        for name in COPIED:
            shutil.copytree(root / name, self.root / name, ignore=shutil.ignore_patterns("__pycache__"))
        shutil.copy(root / "pyproject.toml", self.root)
        for library in LIBRARIES:
            importlib.import_module(library)
        _settle_hypothesis()

    def __enter__(self) -> Copy:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._folder.cleanup()

    def notices(self, path: str, source: str, covering: Covering, *, far: bool) -> bool:
        """Whether a test fails, or none ends in time, with the module replaced.

        Args:
            path: file of the module below the root.
            source: its changed text.
            covering: its tests.
            far: run the tests that only reach it through other modules as well.

        Returns:
            True where the mutant is killed.
        """
        target = self.root / path
        present = target.read_text(encoding="utf-8")
        for stale in (target.parent / "__pycache__").glob(f"{target.stem}.*.pyc"):
            stale.unlink()
        target.write_text(source, encoding="utf-8")
        try:
            return any(self._fails(arguments) for arguments in _rounds(covering, far=far))
        finally:
            target.write_text(present, encoding="utf-8")

    def require_green(self, *, far: bool) -> None:
        """Run the tests on the code as it is, which also compiles the copy.

        Args:
            far: the slow ones too.

        Raises:
            RuntimeError: a test fails without any change.
        """
        patterns = [pattern for pattern in TEST_FILES if far or not pattern.startswith(SLOW)]
        files = [path.relative_to(self.root).as_posix() for p in patterns for path in self.root.glob(p)]
        if self._fails(files, compiled=True):
            said = (self.root / LOG).read_text(encoding="utf-8")[-2000:]
            raise RuntimeError(f"the tests fail without any change:\n{said}")

    def _fails(self, arguments: list[str], *, compiled: bool = False) -> bool:
        process = multiprocessing.get_context("fork").Process(
            target=_pytest, args=(self.root, arguments, compiled)
        )
        process.start()
        process.join(self._seconds * (10 if compiled else 1))
        if process.is_alive():
            print(f"  no end after {self._seconds:g} s: pytest {' '.join(arguments)[:100]}", flush=True)
            process.kill()
            process.join()
        if process.exitcode in NOTHING_RUN:
            said = (self.root / LOG).read_text(encoding="utf-8")[-2000:]
            raise RuntimeError(f"pytest {' '.join(arguments)} runs no test:\n{said}")
        return process.exitcode != 0


def _rounds(covering: Covering, *, far: bool) -> list[list[str]]:
    """Arguments of the runs of pytest, one after the other, the quick ones first."""
    rounds = [list(files) for files in (covering.direct, covering.helped) if files]
    if covering.builders:
        rounds.append([EVERY_BUILDER, "-k", " or ".join(covering.builders)])
    if far and covering.far:
        rounds.append(list(covering.far))
    return rounds


def _settle_hypothesis() -> None:
    """The same examples every time, and no search for a smaller one: that a test fails is all that is asked."""
    from hypothesis import HealthCheck, Phase, settings

    settings.register_profile(
        "mutation",
        deadline=None,
        derandomize=True,
        database=None,
        phases=(Phase.explicit, Phase.generate),
        suppress_health_check=[HealthCheck.too_slow],
    )


def _pytest(root: Path, arguments: list[str], compiled: bool) -> None:
    os.chdir(root)
    sys.dont_write_bytecode = not compiled
    sys.path[:] = [str(root / "src"), *(p for p in sys.path if not p.endswith(("/src", "/scripts")))]
    log = os.open(root / LOG, os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    os.dup2(log, 1)
    os.dup2(log, 2)
    code = pytest.main([*FLAGS, *arguments])
    package = sys.modules.get("plumbhook")
    if code == 0 and not str(getattr(package, "__file__", "")).startswith(str(root)):
        code = OTHER_PACKAGE
    sys.stdout.flush()
    # What a test left open must not hold the process up.
    os._exit(int(code))
