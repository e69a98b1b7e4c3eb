"""What must hold of the files of the repository as a whole."""

import importlib.metadata
import os
import re
import shutil
import subprocess
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
SKIPPED_FOLDERS = {".git", "out", "dist", "build", "node_modules", "__pycache__"}

# Hosts that a file may name: standards of notation, licences, identifiers of publications, and names reserved
# for examples. Where packages come from is the reader's own business: no index, no mirror.
NAMED_HOSTS = {
    "www.apache.org",
    "json-schema.org",
    "www.w3.org",
    "doi.org",
    "example.org",
    "example.com",
    "localhost",
    "127.0.0.1",
}
URL = re.compile(r"\b[a-z][a-z0-9+.-]*://([^\s/\"'`)>\]:]*)", re.IGNORECASE)
INDEX = re.compile(
    r"\b(?:index|registry|files|packages|mirrors?|proxy|simple)\.[a-z0-9-]+\.(?:org|com|io|net|dev)\b"
)
LINK = re.compile(r"\]\(([^)#\s]+)(?:#[^)]*)?\)")
MACHINE_PATH = re.compile(r"(?<![\w.~/*-])/(?:root|home|work|Users|mnt|srv|opt|tmp)/\w|\b[A-Z]:\\Users\\")

needs_make = pytest.mark.skipif(shutil.which("make") is None, reason="no make on this system")


def is_text(path: Path) -> bool:
    return b"\0" not in path.read_bytes()[:4096]


def text_files() -> list[Path]:
    """Every text file of the tree, whether committed yet or not; environments, caches and output left out."""
    found = []
    for folder, folders, files in os.walk(ROOT):
        folders[:] = [
            name
            for name in folders
            if name not in SKIPPED_FOLDERS
            and not name.endswith("_cache")
            and name != ".hypothesis"
            and not (Path(folder) / name / "pyvenv.cfg").exists()
        ]
        found += [Path(folder) / name for name in files]
    return [path for path in sorted(found) if path.is_file() and is_text(path)]


def hosts_and_machine_paths(text: str) -> list[str]:
    strange = [match.group(0) for match in URL.finditer(text) if match.group(1).lower() not in NAMED_HOSTS]
    return strange + INDEX.findall(text) + MACHINE_PATH.findall(text)


@pytest.mark.parametrize(
    "text",
    [
        "see https:" + "//registry." + "somewhere.net/simple",
        "from files." + "somewhere.org",
        "in /" + "home/me/rig.yaml",
        "'/" + "tmp/out'",
        "file:" + "///data",
    ],
)
def test_a_host_or_a_path_of_a_machine_is_seen(text: str) -> None:
    assert hosts_and_machine_paths(text) != []


@pytest.mark.parametrize(
    "text", ["https://doi.org/10.1000/1", "examples/home/x", "m/s", "out/plan.pdf", "a.b/opt/c"]
)
def test_ordinary_text_is_left_alone(text: str) -> None:
    assert hosts_and_machine_paths(text) == []


def test_no_file_names_a_host_or_a_path_of_a_machine() -> None:
    found = {
        path.relative_to(ROOT).as_posix(): strange
        for path in text_files()
        if (strange := hosts_and_machine_paths(path.read_text(encoding="utf-8")))
    }
    assert found == {}


def test_constraints_pin_every_package_exactly_and_name_no_host() -> None:
    text = (ROOT / "constraints.txt").read_text(encoding="utf-8")
    assert "://" not in text
    for line in text.splitlines():
        assert re.fullmatch(r"[a-z0-9-]+==[0-9a-z.]+( ; .+)?", line), line


def test_every_package_asked_for_is_pinned() -> None:
    groups = PROJECT["dependency-groups"]
    asked = [*PROJECT["project"]["dependencies"], *(name for group in groups.values() for name in group)]
    asked += PROJECT["build-system"]["requires"]
    lines = (ROOT / "constraints.txt").read_text(encoding="utf-8").splitlines()
    pinned = {line.split("==")[0] for line in lines}
    names = {re.split(r"[^\w.-]", requirement)[0].lower().replace("_", "-") for requirement in asked}
    assert names - pinned == set()


def test_an_installed_package_knows_its_version() -> None:
    assert importlib.metadata.version("plumbhook") == PROJECT["project"]["version"]


@pytest.mark.parametrize(
    "path", sorted((ROOT / "docs" / "decisions").glob("*.md")), ids=lambda path: path.stem
)
def test_a_decision_says_status_context_decision_and_consequences(path: Path) -> None:
    lines = path.read_text(encoding="utf-8").splitlines()
    assert re.fullmatch(r"\d{4}-[a-z0-9-]+", path.stem)
    assert lines[0].startswith(f"# {path.stem[:4]} ")
    assert [line for line in lines if line.startswith("## ")] == [
        "## Status",
        "## Context",
        "## Decision",
        "## Consequences",
    ]


def test_decisions_are_numbered_without_gaps() -> None:
    numbers = sorted(int(path.stem[:4]) for path in (ROOT / "docs" / "decisions").glob("*.md"))
    assert numbers == list(range(1, len(numbers) + 1))


def test_the_changelog_has_a_place_for_what_is_not_released() -> None:
    headings = re.findall(r"^## \[(.+?)\]", (ROOT / "CHANGELOG.md").read_text(encoding="utf-8"), re.MULTILINE)
    assert headings[0] == "Unreleased"


def test_the_licence_is_the_one_the_package_claims() -> None:
    assert PROJECT["project"]["license"] == "Apache-2.0"
    licence = (ROOT / "LICENSE").read_text(encoding="utf-8")
    assert "Apache License" in licence
    assert "Version 2.0, January 2004" in licence
    assert "END OF TERMS AND CONDITIONS" in licence


def test_links_between_pages_lead_somewhere() -> None:
    pages = [*ROOT.glob("*.md"), *(ROOT / "docs").rglob("*.md")]
    broken = [
        f"{page.relative_to(ROOT)} -> {target}"
        for page in pages
        for target in LINK.findall(page.read_text(encoding="utf-8"))
        if "://" not in target and not (page.parent / target).exists()
    ]
    assert broken == []


def test_ci_runs_the_tests_and_then_the_checks() -> None:
    script = ROOT / ".ci" / "run"
    lines = script.read_text(encoding="utf-8").splitlines()
    assert os.access(script, os.X_OK)
    assert "set -euo pipefail" in lines
    assert lines[-2:] == ["make test", "make check"]


@needs_make
def test_make_alone_lists_every_command() -> None:
    listing = subprocess.run(
        ["make", "--no-print-directory"], cwd=ROOT, capture_output=True, text=True, check=True
    )
    named = re.findall(r"^  make ([a-z-]+) ", listing.stdout, re.MULTILINE)
    assert named == [
        "help",
        "demo",
        "test",
        "test-all",
        "check",
        "bench",
        "mutants",
        "kernel",
        "wheel",
        "docs",
        "format",
        "lock",
        "clean",
    ]


@needs_make
def test_a_python_that_is_too_old_is_refused_with_a_sentence(tmp_path: Path) -> None:
    old = tmp_path / "python2"
    old.write_text("#!/bin/sh\nexit 1\n", encoding="utf-8")
    old.chmod(0o755)
    run = subprocess.run(
        ["make", "demo", f"PYTHON={old}", f"VENV={tmp_path / 'venv'}"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
    )
    assert run.returncode != 0
    assert "Plumbhook needs Python 3.11 or newer" in run.stderr
    assert not (tmp_path / "venv").exists()
