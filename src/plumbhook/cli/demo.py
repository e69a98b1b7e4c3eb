"""``plumbhook demo``: the shipped example, planned into a folder together with its own files."""

from __future__ import annotations

from pathlib import Path

from plumbhook.cli.exit_codes import ExitCode
from plumbhook.cli.files import write_atomically
from plumbhook.cli.plan import write_plan
from plumbhook.core.resources import examples_dir
from plumbhook.model.files import read_lift
from plumbhook.planning import assess

DEMO = "hallowmere-viaduct"


def run_demo(folder: Path) -> ExitCode:
    """Copy the demo lift beside its plan, so that it can be edited and planned again, and plan it."""
    source = examples_dir() / DEMO
    assessment = assess(read_lift(source / "lift.yaml"))
    for path in sorted(source.iterdir()):
        if path.is_file() and path.suffix in {".yaml", ".csv"}:
            target = folder / "lift" / path.name
            if not target.exists():  # an edited copy is the user's own
                write_atomically(target, path.read_bytes())
    return write_plan(assessment, folder)
