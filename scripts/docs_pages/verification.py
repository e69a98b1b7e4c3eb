"""The published cases with what this program makes of them."""

from __future__ import annotations

import math
from collections.abc import Iterable

from docs_pages.markdown import document, generated_notice, table
from plumbhook.core.check import SourceQuality
from plumbhook.core.verification import VerificationCase

_DIGITS = 6
# A difference below this share of what is allowed is noise of the last bits, which differs by machine.
_NOISE = 1e-3


def page() -> str:
    """The page of every case in the package."""
    from plumbhook.planning.verification import all_cases

    return page_of(all_cases())


def page_of(cases: Iterable[VerificationCase]) -> str:
    """A table for each subject (the first part of the case ids), in the order given.

    Raises:
        LookupError: there is no case at all.
    """
    listed = list(cases)
    if not listed:
        raise LookupError("no published case is registered")
    subjects: dict[str, list[VerificationCase]] = {}
    for case in listed:
        subjects.setdefault(case.case_id.split(".", 1)[0], []).append(case)
    wrong = [f"`{case.case_id}`" for case in listed if not case.ok]
    verdict = f"{len(wrong)} disagree: {', '.join(wrong)}." if wrong else "All agree within their tolerance."
    return document(
        generated_notice("the published cases in the package"),
        "# Verification",
        "Numbers that others printed, and what this program computes for the same question. "
        "`plumbhook verify` computes them again on your machine. A difference that reads 0 is below a "
        "thousandth of what is allowed. How far a source may be trusted stands after it, "
        "where it was not read in the printed document; what that means is told in the "
        "[cautions](../DISCLAIMER.md).",
        f"{len(listed)} values. {verdict}",
        *(_section(subject, rows) for subject, rows in subjects.items()),
    )


def allowed(case: VerificationCase) -> float:
    """Largest accepted difference in the unit of the case."""
    scale = 1.0 if case.tolerance_kind == "absolute" else abs(case.published)
    return case.tolerance * scale


def number_text(value: float, case: VerificationCase) -> str:
    """A number to six digits of the larger of published value and tolerance: the same on every machine."""
    scale = max(abs(case.published), allowed(case))
    if not math.isfinite(value) or scale == 0.0:
        return str(value)
    rounded = round(value, _DIGITS - 1 - math.floor(math.log10(scale)))
    return f"{rounded + 0.0:.{_DIGITS}g}"


def difference_text(case: VerificationCase) -> str:
    """Computed minus published to two digits, in per cent where the tolerance is relative."""
    if not math.isfinite(case.computed):
        return "not a number"
    if abs(case.difference) <= _NOISE * case.tolerance:
        return "0"
    return (
        f"{case.difference * 100.0:+.2g} %"
        if case.tolerance_kind == "relative"
        else f"{case.difference:+.2g}"
    )


def _tolerance_text(case: VerificationCase) -> str:
    return f"{case.tolerance * 100.0:.3g} %" if case.tolerance_kind == "relative" else f"{case.tolerance:.3g}"


def _source_text(case: VerificationCase) -> str:
    trusted = case.quality is SourceQuality.PUBLISHED
    return case.source if trusted else f"{case.source} ({case.quality.value})"


def _section(subject: str, cases: list[VerificationCase]) -> str:
    rows = [
        (
            f"`{case.case_id}`",
            f"{case.title}. {case.note}" if case.note else case.title,
            _source_text(case),
            f"{number_text(case.published, case)} {_unit_text(case)}",
            f"{number_text(case.computed, case)} {_unit_text(case)}",
            difference_text(case),
            _tolerance_text(case),
            "agrees" if case.ok else "**disagrees**",
        )
        for case in cases
    ]
    head = ("case", "what", "source", "published", "computed", "difference", "allowed", "verdict")
    return document(f"## {subject}", table(head, rows))


def _unit_text(case: VerificationCase) -> str:
    return "" if case.unit == "1" else case.unit
