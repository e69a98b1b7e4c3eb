"""Lower layers never import upper ones, and the contract that says so really bites."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]

# One breach of each kind, each in a module of its own: where it is, what it holds, what the report must name.
BREACHES = (
    ("core/breach.py", "import plumbhook.model", "plumbhook.core is not allowed to import plumbhook.model"),
    (
        "checks/breach.py",
        "import plumbhook.statics",
        "plumbhook.checks is not allowed to import plumbhook.statics",
    ),
    (
        "planning/breach.py",
        "import plumbhook.web",
        "plumbhook.planning is not allowed to import plumbhook.web",
    ),
    (
        "documents/breach.py",
        "import plumbhook.register",
        "plumbhook.documents is not allowed to import plumbhook.register",
    ),
    ("statics/breach.py", "import rich", "plumbhook.statics is not allowed to import rich"),
    ("unplaced/__init__.py", "", "plumbhook.unplaced"),
)


def contract_report(tree: Path) -> subprocess.CompletedProcess[str]:
    """Run the import contracts of the repository on the source below ``tree``."""
    command = Path(sys.executable).with_name("lint-imports")
    return subprocess.run(
        [command, "--no-cache", "--config", str(ROOT / "pyproject.toml")],
        cwd=tree,
        env={**os.environ, "PYTHONPATH": str(tree / "src")},
        capture_output=True,
        text=True,
        check=False,
    )


def copied_source(tree: Path) -> Path:
    """A copy of the package's modules below ``tree``, caches left out."""
    package = tree / "src" / "plumbhook"
    shutil.copytree(ROOT / "src" / "plumbhook", package, ignore=shutil.ignore_patterns("__pycache__"))
    return package


def test_no_layer_imports_one_above_or_beside_it(tmp_path: Path) -> None:
    copied_source(tmp_path)

    report = contract_report(tmp_path)

    assert report.returncode == 0, report.stdout + report.stderr
    assert "2 kept, 0 broken" in report.stdout


def test_each_kind_of_breach_is_reported(tmp_path: Path) -> None:
    package = copied_source(tmp_path)
    for name, text, _ in BREACHES:
        (package / name).parent.mkdir(exist_ok=True)
        (package / name).write_text(f'"""A breach of the layers."""\n\n{text}\n', encoding="utf-8")

    report = contract_report(tmp_path)

    assert report.returncode == 1, report.stdout + report.stderr
    assert "0 kept, 2 broken" in report.stdout
    flat = " ".join(report.stdout.split())
    for _, _, expected in BREACHES:
        assert expected in flat
