"""The published cases with what this program makes of them."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Callable, Iterable

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
    """A chapter for each subject (the first part of the case ids), a table for each source, in the order given.

    Raises:
        LookupError: there is no case at all.
    """
    listed = list(cases)
    if not listed:
        raise LookupError("no published case is registered")
    wrong = [f"`{case.case_id}`" for case in listed if not case.ok]
    verdict = f"{len(wrong)} disagree: {', '.join(wrong)}." if wrong else "All agree within their tolerance."
    qualities = Counter(case.quality for case in listed)
    return document(
        generated_notice("the published cases in the package"),
        "# Verification",
        "Numbers that others printed or, where nobody did, that were derived apart from this program (an own "
        "derivation says so), and what the program computes for the same question. "
        "`plumbhook verify` computes them again on your machine. A difference that reads 0 is below a "
        "thousandth of what is allowed. How far a source may be trusted stands after it, where it was not read; "
        "what that means is told in the [cautions](../DISCLAIMER.md).",
        f"{len(listed)} values. {verdict} By source:",
        "\n".join(
            f"- {quality.value}: {qualities[quality]}" for quality in SourceQuality if qualities[quality]
        ),
        *(_chapter(subject, rows) for subject, rows in _grouped(listed, _subject).items()),
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


def _chapter(subject: str, cases: list[VerificationCase]) -> str:
    return document(
        f"## {subject}", *(_source_table(rows) for rows in _grouped(cases, _source_text).values())
    )


def _source_table(cases: list[VerificationCase]) -> str:
    rows = [
        (
            f"`{case.case_id.partition('.')[2]}`",
            f"{case.title}; {case.note}" if case.note else case.title,
            f"{number_text(case.published, case)} {_unit_text(case)}",
            f"{number_text(case.computed, case)} {_unit_text(case)}",
            difference_text(case),
            _tolerance_text(case),
            "agrees" if case.ok else "**disagrees**",
        )
        for case in cases
    ]
    head = ("case", "what", "published", "computed", "difference", "allowed", "verdict")
    return document(f"Source: {_source_text(cases[0])}", table(head, rows))


def _subject(case: VerificationCase) -> str:
    return case.case_id.partition(".")[0]


def _grouped(
    cases: Iterable[VerificationCase], key: Callable[[VerificationCase], str]
) -> dict[str, list[VerificationCase]]:
    groups: dict[str, list[VerificationCase]] = {}
    for case in cases:
        groups.setdefault(key(case), []).append(case)
    return groups


def _unit_text(case: VerificationCase) -> str:
    return "" if case.unit == "1" else case.unit
