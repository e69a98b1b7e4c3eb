"""``plumbhook plan``: everything is made before anything is written."""

from __future__ import annotations

from pathlib import Path

from plumbhook.cli.exit_codes import ExitCode, code_of
from plumbhook.cli.files import write_atomically
from plumbhook.cli.tables import print_assessment, print_files
from plumbhook.documents import arrangement_svg, render_lift_plan
from plumbhook.planning.assessment import Assessment
from plumbhook.planning.serialise import to_json

PDF, SVG, JSON = "lift-plan.pdf", "arrangement.svg", "assessment.json"


def write_plan(assessment: Assessment, folder: Path) -> ExitCode:
    """Write PDF, SVG and JSON of an assessment and print the verdict table.

    Returns:
        The exit code of the verdict: a plan that fails is written too, and says so on every page.
    """
    contents = {
        PDF: render_lift_plan(assessment),
        SVG: arrangement_svg(assessment).encode(),
        JSON: to_json(assessment, indent=2).encode(),
    }
    for name, content in contents.items():
        write_atomically(folder / name, content)
    print_assessment(assessment)
    print_files([folder / name for name in contents])
    return code_of(assessment.status)
