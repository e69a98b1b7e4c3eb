"""The cover: may we lift, what governs, what is open, who signs for what."""

from __future__ import annotations

import math
from typing import Any

from plumbhook.core.check import Check, Status
from plumbhook.core.units import display_unit
from plumbhook.documents.numbers import capacity_text, demand_text, used_text
from plumbhook.documents.sheets.keys import check_key, finite_or_none
from plumbhook.planning.assessment import Assessment, GapState

_MOST_GAPS = 6
_MOST_CAUTIONS = 7
_LONG_TEXT = 190

_EXPLANATION = {
    Status.PASS: "Every check passes, for the expected load and for every corner of its tolerances, with the gear, crane, "
    "radius and ground of this plan.",
    Status.FAIL: "{failed} of {count} checks fail. The lift must not be made as planned here; what would mend it stands beside "
    "each failure.",
    Status.NOT_EVALUATED: "{open} of {count} checks could not be evaluated. What is not evaluated does not pass; the reasons "
    "stand in the register.",
}

SIGN_OFF = (
    ("Appointed person, author", "the plan and its category"),
    ("Checking engineer", "every check; is not the author"),
    ("Load owner", "weight, CoG box, lift points, the load itself"),
    ("Principal contractor", "ground, access, zones"),
    ("Lifting supervisor", "read, briefed, site as planned"),
)
"""Roles that sign, and for what (common practice, no source; a firm may word its own)."""


def cover(assessment: Assessment) -> dict[str, Any]:
    """Texts of the cover."""
    who, load, rig = assessment.identity, assessment.load, assessment.rig
    open_gaps = [gap for gap in assessment.gaps if gap.state is GapState.OPEN]
    return {
        "title_pt": _title_size(who.title),
        "where_when": f"{who.site}. Lift on {who.date}",
        "who": f"Planned by {who.planned_by} for {who.load_owner}, owner of the load.",
        "what": f"{load.name}, with a rig of the kind: {rig.arrangement}.",
        "thumbnail_alt": f"The rig and the load in outline, {rig.arrangement}",
        "verdict": _verdict(assessment.checks, assessment.status),
        "issue_note": _issue_note(assessment.status, len(open_gaps)),
        "numbers": [
            {"label": key.label, "value": number, "unit": unit, "note": key.note}
            for key in assessment.key_numbers[:8]
            for number, unit in [display_unit(key.value.value, key.value.unit, key.value.display)]
        ],
        "governing": [_governing(check) for check in assessment.governing(6)],
        "gaps": [
            {"id": gap.gap_id, "text": _short(gap.text), "closed_by": gap.closed_by, "state": gap.state.value}
            for gap in open_gaps[:_MOST_GAPS]
        ],
        "more_gaps": _more(len(open_gaps), _MOST_GAPS, "gaps"),
        "cautions": [[str(i), _short(text)] for i, text in enumerate(assessment.cautions[:_MOST_CAUTIONS], 1)],
        "more_cautions": _more(len(assessment.cautions), _MOST_CAUTIONS, "cautions"),
        "sign_off": [list(row) for row in SIGN_OFF],
    }


def _verdict(checks: tuple[Check, ...], status: Status) -> dict[str, str]:
    counted = [check for check in checks if check.status is not Status.NOT_APPLICABLE]
    failed = sum(check.status is Status.FAIL for check in counted)
    not_evaluated = sum(check.status is Status.NOT_EVALUATED for check in counted)
    text = "No check was made." if not counted else _EXPLANATION[status]
    text = text.format(failed=failed, open=not_evaluated, count=len(counted))
    if status is Status.FAIL and not_evaluated:
        text += f" {not_evaluated} more could not be evaluated."
    return {"state": status.value, "explanation": text}


def _issue_note(status: Status, open_gaps: int) -> str:
    reasons = ["unsigned"]
    if status is not Status.PASS:
        reasons.append("not every check passes")
    if open_gaps:
        reasons.append(f"{open_gaps} {'gap' if open_gaps == 1 else 'gaps'} open")
    return f"{', '.join(reasons).capitalize()}. Nobody may lift by this paper."


def _governing(check: Check) -> dict[str, Any]:
    use = check.utilisation
    known = check.status in {Status.PASS, Status.FAIL} and not math.isnan(use)
    return {
        "title": _short(check.title, 72),
        "numbers": f"{demand_text(check)} of {capacity_text(check)}" if known else "",
        "used": min(use, 99.0) if known else None,
        "nominal": finite_or_none(check.nominal_utilisation),
        "used_text": used_text(use) if known else "",
        "state": check.status.value,
        "key": check_key(check.check_id),
    }


def _title_size(title: str) -> float:
    for longest, points in ((60, 25.0), (110, 18.0), (200, 13.0)):
        if len(title) <= longest:
            return points
    return 10.0


def _short(text: str, longest: int = _LONG_TEXT) -> str:
    return text if len(text) <= longest else text[: longest - 1].rstrip() + "…"


def _more(count: int, shown: int, what: str) -> str:
    return "" if count <= shown else f"and {count - shown} more {what}: last sheet"
