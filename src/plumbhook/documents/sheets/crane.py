"""Crane duty, headroom and the trial lift."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from plumbhook.core.check import Check
from plumbhook.core.units import format_quantity
from plumbhook.documents.numbers import capacity_text, demand_text, kilograms, metres, used_text
from plumbhook.documents.sheets.load import metres_free
from plumbhook.planning.assessment import Assessment
from plumbhook.planning.crane_records import ChartRow, CraneStatement, TrialLift
from plumbhook.planning.ground_statement import GroundStatement


def crane(assessment: Assessment) -> dict[str, Any]:
    """Texts of the crane page."""
    trial = None if assessment.trial_lift is None else _trial(assessment.trial_lift)
    duty = assessment.crane
    if duty is None:
        return {
            "missing": "no crane was given, so neither its chart nor the headroom could be checked.",
            "trial": trial,
            "ground": None,
        }
    return {
        "missing": "",
        "trial": trial,
        "ground": None if assessment.ground is None else _ground(assessment.ground, assessment.checks),
        "headroom_alt": "Heights stacked from the support to the hook",
        "chart_alt": "Capacity over radius in steps, with the gross load and the refused region",
        "deductions": [[name, kilograms(mass)] for name, mass in duty.deductions],
        "gross": ["Gross load on the hook", kilograms(duty.gross_load_kg)],
        "machine": f"{duty.machine}. {duty.configuration}. Chart: {duty.chart_page}.",
        "rows": [_row(row, duty) for row in duty.rows],
        "chart_note": (
            "The radius counts at the next larger one listed; nothing is interpolated upward or beyond the "
            "last. Policy: at most "
            f"{format_quantity(duty.policy_limit_ratio, '1', '%')} of the chart."
        ),
    }


def _row(row: ChartRow, duty: CraneStatement) -> dict[str, str]:
    largest = duty.largest_radius_m is not None and row.radius_m == duty.largest_radius_m
    note = "largest radius" if largest else ""
    if not row.within_policy:
        note = "over the chart" if row.utilisation > 1.0 else "over policy"
    return {
        "radius": metres(row.radius_m, 1 if row.radius_m % 1.0 else 0),
        "capacity": format_quantity(row.capacity_kg, "kg", "t", rounding="down", decimals=1)
        .removesuffix("t")
        .strip(),
        "used_text": used_text(row.utilisation),
        "state": "PASS" if row.within_policy else "REFUSED",
        "note": note,
    }


def _ground(ground: GroundStatement, checks: Sequence[Check]) -> dict[str, Any]:
    source = ground.source or "nobody has said what it may carry"
    return {
        "title": f"Ground through the slew, {ground.station}",
        "slew_alt": "Pressure below every support over the slew, with the allowable pressure",
        "plan_alt": "Pads or tracks in plan, with the area below each that carries and its largest force",
        "note": f"Ground: {source}. Pads and tracks only push. Anything softer, a void or an edge found: stop and ask.",
        "rows": [
            {
                "title": check.title.removeprefix("Ground, "),
                "demand": demand_text(check),
                "capacity": capacity_text(check),
                "used_text": used_text(check.utilisation),
                "state": check.status.value,
            }
            for check in checks
            if check.station.startswith("ground")
        ],
    }


def _trial(trial: TrialLift) -> dict[str, str]:
    green = " to ".join(metres_free(edge) for edge in trial.green_edges_kg)
    red = " to ".join(metres_free(edge) for edge in trial.red_edges_kg)
    return {
        "title": f"Trial lift: reading of {trial.serial}, tonnes",
        "alt": f"Expected reading {metres_free(trial.expected_kg)} t; go on from {green} t; stop outside of "
        f"{red} t",
        "note": (
            f"Expected {metres_free(trial.expected_kg)} t. Go on from {green} t; outside of that hold and ask the "
            f"appointed person; outside of {red} t put down and stop."
        ),
    }
