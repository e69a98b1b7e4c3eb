"""Every example that a reader may copy from the docs or a docstring gives what it says."""

import doctest
import importlib
import re
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
SOURCE = ROOT / "src"
FENCE = re.compile(r"^```(?:python|pycon)\n(.*?)^```$", re.DOTALL | re.MULTILINE)
PAGES = [
    path
    for path in (ROOT / "README.md", *sorted((ROOT / "docs").rglob("*.md")))
    if "reference" not in path.parts and ">>>" in path.read_text(encoding="utf-8")
]
MODULES = [path for path in sorted(SOURCE.rglob("*.py")) if ">>>" in path.read_text(encoding="utf-8")]


def examples_of(page: str) -> str:
    """The interactive examples of a page in order; they share their names, as a reader would type them."""
    return "\n\n".join(block for block in FENCE.findall(page) if ">>>" in block)


def failures_in(name: str, text: str) -> int:
    test = doctest.DocTestParser().get_doctest(text, {"__name__": name}, name, name, 0)
    return doctest.DocTestRunner().run(test).failed


def test_a_wrong_example_is_seen_and_a_right_one_is_not() -> None:
    page = "# T\n\n```python\n>>> 1 + {}\n2\n```\n\nthen\n\n```python\n>>> 2\n2\n```\n"
    assert failures_in("right", examples_of(page.format(1))) == 0
    assert failures_in("wrong", examples_of(page.format(2))) == 1


@pytest.mark.parametrize("path", PAGES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_examples_of_a_page(path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    examples = examples_of(path.read_text(encoding="utf-8"))
    assert examples, "the examples of this page stand in no ```python block"
    assert failures_in(path.name, examples) == 0


@pytest.mark.parametrize("path", MODULES, ids=lambda path: path.relative_to(SOURCE).as_posix())
def test_examples_of_a_module(path: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    name = ".".join(path.relative_to(SOURCE).with_suffix("").parts).removesuffix(".__init__")
    outcome = doctest.testmod(importlib.import_module(name))
    assert outcome.attempted > 0
    assert outcome.failed == 0
