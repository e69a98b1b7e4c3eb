"""The last sheet: everything that is open or assumed, what was refused, and what the plan is not."""

from __future__ import annotations

import unicodedata
from typing import Any

from plumbhook.core.check import Status
from plumbhook.documents.fonts import SUBSTITUTE
from plumbhook.documents.numbers import capacity_text, demand_text, used_text
from plumbhook.planning.assessment import Assessment
from plumbhook.planning.rule_records import PackStatement

DISCLAIMER = (
    "This plan supports decisions and never gives permission to lift. “Pass” means that the numbers "
    "entered meet the rules named here. "
    "Whether the lift may go ahead is decided by the people appointed for it, on the day, with the load in "
    "front of them; anyone on "
    "site may stop it.",
    "Law, the makers' instructions, the rules of site and client, and the judgement of a licensed "
    "professional take precedence. A "
    "competent person who did not write the plan has to check it by another way than repeating the same input.",
    "What is not listed in the register was not checked. The true weight, what moves inside the load, the "
    "condition of the gear, the "
    "ground and the gusts cannot be seen from here. Rules marked “from memory” have to be confirmed "
    "against the edition in force; rules "
    "marked “common practice” have no source. The program is given as it is, without warranty.",
)


def closing(assessment: Assessment, missing: tuple[str, ...]) -> dict[str, Any]:
    """Texts of the last sheet. ``missing`` are the characters that were replaced in print."""
    return {
        "gaps": [
            {"id": gap.gap_id, "text": gap.text, "closed_by": gap.closed_by, "state": gap.state.value}
            for gap in assessment.gaps
        ],
        "assumptions": [[f"A{i}", text] for i, text in enumerate(assessment.assumptions, 1)],
        "cautions": [[str(i), text] for i, text in enumerate(assessment.cautions, 1)],
        "packs": [_pack(pack) for pack in assessment.rule_packs],
        "refused": _refused(assessment),
        "substituted": _substituted(missing),
        "disclaimer": list(DISCLAIMER),
    }


def _refused(assessment: Assessment) -> list[dict[str, str]]:
    rows = []
    for check in assessment.checks:
        if check.status is Status.FAIL:
            text = (
                check.refused_because
                or f"{demand_text(check)} of {capacity_text(check)}, {used_text(check.utilisation)} %."
            )
            rows.append({"title": f"{check.title}:", "text": f"{text} {check.cure}".strip()})
    if assessment.crane is not None:
        rows += [
            {"title": f"Radius {row.radius_m:g} m:", "text": f"{used_text(row.utilisation)} % of the chart."}
            for row in assessment.crane.rows
            if not row.within_policy
        ]
    return rows


def _pack(pack: PackStatement) -> dict[str, Any]:
    reasons = dict.fromkeys(row.words for row in pack.triggers if row.holds and row.category == pack.category)
    roles = [(f"{row.role} named", ", ".join(row.names), row.clause) for row in pack.roles]
    contents = [(row.words, row.answer, row.clause) for row in pack.contents]
    return {
        "title": pack.title,
        "category": pack.category,
        "reasons": "; ".join(reasons),
        "rows": [
            {"asked": asked, "answer": answer, "clause": clause}
            for asked, answer, clause in (*roles, *contents)
        ],
    }


def _substituted(missing: tuple[str, ...]) -> str:
    if not missing:
        return ""
    names = [f"U+{ord(c):04X} {unicodedata.name(c, 'unnamed').lower()}" for c in missing[:40]]
    rest = f" and {len(missing) - 40} more" if len(missing) > 40 else ""
    return f"Printed as {SUBSTITUTE} in this plan: {', '.join(names)}{rest}."
