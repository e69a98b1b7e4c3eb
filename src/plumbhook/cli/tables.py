"""Tables for a terminal, made from an assessment alone."""

from __future__ import annotations

import math
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from plumbhook.core.check import Check, Status, Value, worst_status
from plumbhook.core.units import format_quantity
from plumbhook.planning.assessment import Assessment, GapState

if TYPE_CHECKING:
    from rich.console import Console

_WORDS = {
    Status.PASS: "pass",
    Status.FAIL: "[bold]FAIL[/bold]",
    Status.NOT_EVALUATED: "[bold]NOT EVALUATED[/bold]",
    Status.NOT_APPLICABLE: "n/a",
}
_WIDTH_WITHOUT_TERMINAL = 118


def console(*, to_stderr: bool = False) -> Console:
    """A console that keeps tables whole when the output goes to a file or a pipe."""
    from rich.console import Console

    stream = sys.stderr if to_stderr else sys.stdout
    return Console(file=stream, width=None if stream.isatty() else _WIDTH_WITHOUT_TERMINAL)


def print_assessment(assessment: Assessment, *, to_stderr: bool = False) -> None:
    """Verdict, the load path row by row, what fails and why, and what is open."""
    from rich.table import Table

    out = console(to_stderr=to_stderr)
    identity = assessment.identity
    mark = "  (invented demo data)" if identity.invented else ""
    out.print(
        f"{identity.lift_id} rev {identity.revision}: {identity.title}, {identity.site}{mark}",
        markup=False,
        highlight=False,
    )
    table = Table(box=None, pad_edge=False, header_style="bold")
    table.add_column("station")
    for heading in ("carries", "worst", "may carry", "used %"):
        table.add_column(heading, justify="right")
    table.add_column("")
    for station in assessment.stations:
        table.add_row(
            _plain(station.name),
            *(_text(value) for value in (station.carries, station.worst)),
            _text(station.may_carry, rounding="down"),
            used(station.utilisation),
            _WORDS[station.status],
        )
    out.print(table)
    for check in assessment.checks:
        if check.status in {Status.FAIL, Status.NOT_EVALUATED}:
            out.print(_reason(check), markup=False, highlight=False)
    still_open = sum(gap.state is GapState.OPEN for gap in assessment.gaps)
    out.print(
        f"\nChecks: {assessment.status.value.replace('_', ' ')} ({len(assessment.checks)} checks). "
        f"Plan: NOT ISSUED, {still_open} gaps open. {CAUTION}",
        markup=False,
        highlight=False,
    )


def print_files(paths: list[Path]) -> None:
    """Where the files are."""
    out = console()
    for path in paths:
        out.print(f"wrote {path}", markup=False, highlight=False, soft_wrap=True)


CAUTION = "Never a permission to lift."


def print_checks(checks: Sequence[Check], say: Callable[[str], None]) -> None:
    """Every check in a line, with its cure where it does not pass, and the caution that ends every answer."""
    for check in checks:
        if check.status in {Status.FAIL, Status.NOT_EVALUATED}:
            say(_reason(check))
        else:
            say(f"{check.status.value.replace('_', ' ').lower()}: {check.title}: {_against(check)}.")
    say(f"Checks: {worst_status(tuple(checks)).value.replace('_', ' ')}. {CAUTION}")


def used(utilisation: float) -> str:
    """Utilisation in percent, rounded up."""
    if not math.isfinite(utilisation):
        return "—" if math.isnan(utilisation) else "over"
    return format_quantity(utilisation, "1", "%", rounding="up").removesuffix("%").strip()


def _reason(check: Check) -> str:
    why = check.refused_because or check.not_evaluated_because
    if not why:
        why = _against(check)
    cure = f" Cure: {check.cure}." if check.cure else ""
    return f"{check.status.value.replace('_', ' ')}: {check.title}: {why}.{cure}"


def _against(check: Check) -> str:
    demand = format_quantity(check.demand.value, check.demand.unit, check.demand.display, rounding="up")
    limit = format_quantity(
        check.capacity.value, check.capacity.unit, check.capacity.display, rounding="down"
    )
    return f"{demand} against {limit}"


def _text(value: Value | None, rounding: str = "up") -> str:
    if value is None:
        return ""
    return format_quantity(
        value.value, value.unit, value.display, rounding="down" if rounding == "down" else "up"
    )


def _plain(text: str) -> str:
    return text.replace("[", r"\[")
