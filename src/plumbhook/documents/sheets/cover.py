"""The cover: may we lift, what governs, what is open, who signs for what."""

from __future__ import annotations

import math
from typing import Any

from plumbhook.core.check import Check, Status
from plumbhook.core.units import display_unit
from plumbhook.documents.numbers import capacity_text, demand_text, used_text
from plumbhook.documents.sheets.keys import check_key, finite_or_none
from plumbhook.documents.sheets.workings import kind_of, worked_checks
from plumbhook.planning.assessment import Assessment, GapState

_GOVERNING = 6
_MOST_GAPS = 8
_MOST_CAUTIONS = 8
_LONG_TEXT = 150

_EXPLANATION = {
    Status.PASS: "Every check passes, for the expected load and every corner of its tolerances.",
    Status.FAIL: "{failed} of {count} checks fail. Not to be lifted as planned; the register names cause and cure.",
    Status.NOT_EVALUATED: "{open} of {count} checks could not be evaluated, so nothing passes; the register says why.",
}

SIGN_OFF = (
    ("appointed person", "Appointed person, author", "the plan and its category"),
    ("checking engineer", "Checking engineer", "every check; is not the author"),
    ("load owner", "Load owner", "weight, CoG box, lift points"),
    ("principal contractor", "Principal contractor", "ground, access, zones"),
    ("lifting supervisor", "Lifting supervisor", "read, briefed, site as planned"),
)
"""Roles that sign, and for what (common practice, no source; a firm may word its own)."""


def cover(assessment: Assessment) -> dict[str, Any]:
    """Texts of the cover."""
    who, load, rig = assessment.identity, assessment.load, assessment.rig
    worked = {kind_of(check): check.check_id for check in worked_checks(assessment)}
    open_gaps = [gap for gap in assessment.gaps if gap.state is GapState.OPEN]
    return {
        "title_pt": _title_size(who.title),
        "title": _short(who.title, 200),
        "where_when": f"{_short(who.site, 60)}. Lift on {_short(who.date, 20)}",
        "who": f"Planned by {_short(who.planned_by, 60)} for {_short(who.load_owner, 60)}, owner of the load.",
        "what": f"{_short(load.name, 80)}. Rig: {_short(rig.arrangement, 40)}.",
        "thumbnail_alt": f"The rig and the load in outline, {rig.arrangement}",
        "verdict": _verdict(assessment.checks, assessment.status),
        "issue_note": _issue_note(assessment.status, len(open_gaps)),
        "numbers": [
            {"label": _short(key.label, 30), "value": number, "unit": unit, "note": _short(key.note, 46)}
            for key in assessment.key_numbers[:8]
            for number, unit in [display_unit(key.value.value, key.value.unit, key.value.display)]
        ],
        "governing": [_governing(check, worked) for check in governing_checks(assessment)],
        "gaps": [
            {
                "id": gap.gap_id,
                "text": _short(gap.text),
                "closed_by": _short(gap.closed_by, 30),
                "state": gap.state.value,
            }
            for gap in open_gaps[:_MOST_GAPS]
        ],
        "gap_count": len(open_gaps),
        "cautions": [
            [str(i), _short(text)] for i, text in enumerate(assessment.cautions[:_MOST_CAUTIONS], 1)
        ],
        "caution_count": len(assessment.cautions),
        "sign_off": [[title, signs_for, _holders(assessment, role)] for role, title, signs_for in SIGN_OFF],
    }


def _holders(assessment: Assessment, role: str) -> str:
    """Names and authority of those who hold a role; "" leaves the line open for the pen."""
    return "; ".join(
        _short(", ".join(part for part in (person.name, person.authority) if part), 60)
        for person in assessment.people
        if person.role == role
    )


def governing_checks(assessment: Assessment, count: int = _GOVERNING) -> list[Check]:
    """What governs: every failure first, then of each station of the load path its most used check."""
    chosen: list[Check] = []
    stations: set[str] = set()
    for check in assessment.governing(len(assessment.checks)):
        if check.status is Status.PASS and check.station in stations:
            continue
        stations.add(check.station)
        chosen.append(check)
    return chosen[:count]


def _verdict(checks: tuple[Check, ...], status: Status) -> dict[str, str]:
    counted = [check for check in checks if check.status is not Status.NOT_APPLICABLE]
    failed = sum(check.status is Status.FAIL for check in counted)
    not_evaluated = sum(check.status is Status.NOT_EVALUATED for check in counted)
    text = "No check was made." if not counted else _EXPLANATION[status]
    text = text.format(failed=failed, open=not_evaluated, count=len(counted))
    if status is Status.FAIL and not_evaluated:
        text += f" {not_evaluated} more not evaluated."
    return {"state": status.value, "explanation": text}


def _issue_note(status: Status, open_gaps: int) -> str:
    reasons = ["unsigned"]
    if status is not Status.PASS:
        reasons.append("not every check passes")
    if open_gaps:
        reasons.append(f"{open_gaps} {'gap' if open_gaps == 1 else 'gaps'} open")
    return f"{', '.join(reasons).capitalize()}. Nobody may lift by this paper."


def _governing(check: Check, worked: dict[str, str]) -> dict[str, Any]:
    use = check.utilisation
    known = check.status in {Status.PASS, Status.FAIL} and not math.isnan(use)
    return {
        "title": _short(check.title, 84),
        "numbers": f"{demand_text(check)} of {capacity_text(check)}" if known else "",
        "used": min(use, 99.0) if known else None,
        "nominal": finite_or_none(check.nominal_utilisation),
        "used_text": used_text(use) if known else "",
        "state": check.status.value,
        "key": check_key(worked.get(kind_of(check), check.check_id)),
    }


def _title_size(title: str) -> float:
    for longest, points in ((60, 25.0), (110, 18.0), (200, 13.0)):
        if len(title) <= longest:
            return points
    return 10.0


def _short(text: str, longest: int = _LONG_TEXT) -> str:
    return text if len(text) <= longest else text[: longest - 1].rstrip() + "…"
