"""Writing the generated pages, and naming those that are stale."""

from pathlib import Path

import pytest

import make_docs


def raising() -> str:
    raise LookupError("no such part")


def test_a_missing_page_and_a_stale_page_are_named_and_nothing_is_written(tmp_path: Path) -> None:
    (tmp_path / "old.md").write_text("old\n", encoding="utf-8")
    (tmp_path / "fresh.md").write_text("fresh\n", encoding="utf-8")
    pages = {"old.md": lambda: "new\n", "absent.md": lambda: "x\n", "fresh.md": lambda: "fresh\n"}

    complaints = make_docs.run(pages, tmp_path, check=True)

    assert [line.split(";")[0] for line in complaints] == ["old.md: is stale", "absent.md: is missing"]
    assert (tmp_path / "old.md").read_text(encoding="utf-8") == "old\n"
    assert not (tmp_path / "absent.md").exists()


def test_after_writing_nothing_is_stale(tmp_path: Path) -> None:
    pages = {"docs/a/b.md": lambda: "text\n"}
    assert make_docs.run(pages, tmp_path, check=False) == []
    assert make_docs.run(pages, tmp_path, check=True) == []
    assert (tmp_path / "docs/a/b.md").read_bytes() == b"text\n"


def test_a_page_that_cannot_be_made_is_a_complaint_and_the_others_are_made(tmp_path: Path) -> None:
    complaints = make_docs.run({"bad.md": raising, "good.md": lambda: "x\n"}, tmp_path, check=False)
    assert complaints == ["bad.md: cannot be generated (LookupError: no such part)"]
    assert (tmp_path / "good.md").exists()
    assert not (tmp_path / "bad.md").exists()


def test_the_exit_code_tells_whether_all_pages_are_fresh(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(make_docs, "ROOT", tmp_path)
    monkeypatch.setattr(make_docs, "PAGES", {"page.md": lambda: "x\n"})
    assert make_docs.main(["--check"]) == 1
    assert "page.md: is missing" in capsys.readouterr().err
    assert make_docs.main([]) == 0
    assert make_docs.main(["--check"]) == 0
