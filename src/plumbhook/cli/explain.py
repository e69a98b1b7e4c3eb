"""``plumbhook explain``: the working of a check on a terminal, down to the equilibrium and the claims."""

from __future__ import annotations

import json
from pathlib import Path

import typer

from plumbhook.cli.exit_codes import ExitCode, code_of
from plumbhook.cli.tables import console, used
from plumbhook.core.check import Check, Status, Step, Value
from plumbhook.core.expression_text import symbol_text, to_text
from plumbhook.core.units import format_quantity
from plumbhook.model.files import read_lift
from plumbhook.planning import assess
from plumbhook.planning.assessment import Assessment
from plumbhook.planning.explain import Explanation, explain
from plumbhook.planning.serialise import to_plain


def run_explain(file: Path, check_id: str | None, *, as_json: bool) -> ExitCode:
    """Explain one check of a lift, or list them all.

    Raises:
        InputError: the lift file is wrong, or no check has that id.
    """
    assessment = assess(read_lift(file))
    if check_id is None:
        _list(assessment, as_json=as_json)
        return ExitCode.PASS
    found = explain(assessment, check_id)
    if as_json:
        plain = to_plain(found)
        plain["check"]["status"] = found.check.status.value
        typer.echo(json.dumps(plain, indent=2, ensure_ascii=False, allow_nan=False))
    else:
        _print(found)
    return code_of(found.check.status)


def _list(assessment: Assessment, *, as_json: bool) -> None:
    if as_json:
        rows = [{"check": c.check_id, "title": c.title, "status": c.status.value} for c in assessment.checks]
        typer.echo(json.dumps(rows, indent=2, ensure_ascii=False))
        return
    from rich.table import Table

    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in ("check", "what is checked", "used %", ""):
        table.add_column(heading, justify="right" if heading == "used %" else "left")
    for check in assessment.checks:
        table.add_row(check.check_id, _escaped(check.title), used(check.utilisation), _word(check.status))
    out = console()
    out.print(table, highlight=False)
    out.print("Name one to see its working.", markup=False, highlight=False)


def _escaped(text: str) -> str:
    from rich.markup import escape

    return escape(text)


def _word(status: Status) -> str:
    return status.value.replace("_", " ").lower()


def _print(found: Explanation) -> None:
    check = found.check
    lines = [check.title, f"{_verdict(check)}", f"Rule: {check.clause}", ""]
    lines += _working(check)
    lines += ["Numbers put in"]
    lines += [
        f"  {symbol_text(v.symbol):14} {_shown(v):>14}   {v.meaning}{f' [{v.origin}]' if v.origin else ''}"
        for v in found.inputs
    ]
    for trace in found.quantities:
        lines += ["", f"Equilibrium: {trace.meaning}, every case ({trace.quantity})"]
        for case in trace.cases:
            number = format_quantity(case.value, trace.unit, trace.display)
            mark = "→" if case.governs else " "
            left = (
                ""
                if case.method == "hand"
                else f"   left over {case.residual_force_N:.1e} N, {case.residual_moment_Nm:.1e} N·m"
            )
            lines.append(f"  {mark} {case.method:8} {case.case:12} {number:>12}   {case.status}{left}")
    lines += ["", "Claims"]
    lines += [f"  {claim.name}: {claim.text} [{claim.source}]" for claim in found.claims]
    lines += [f"  Assumed: {text}" for text in check.assumptions]
    lines += ["", "A check supports a competent person; it is never a permission to lift."]
    typer.echo("\n".join(lines))


def _verdict(check: Check) -> str:
    reason = check.refused_because or check.not_evaluated_because or check.not_applicable_because
    numbers = (
        f"{format_quantity(check.demand.value, check.demand.unit, check.demand.display, rounding='up')} of "
        f"{format_quantity(check.capacity.value, check.capacity.unit, check.capacity.display, rounding='down')}, "
        f"{used(check.utilisation)} %"
    )
    parts = [_word(check.status).upper(), numbers, reason, check.attention]
    if check.status in {Status.FAIL, Status.NOT_EVALUATED}:
        parts.append(f"cure: {check.cure}")
    return ". ".join(part for part in parts if part)


def _working(check: Check) -> list[str]:
    if not check.steps:
        return []
    lines = ["Working"]
    for step in check.steps:
        lines += _step(step)
    return [*lines, ""]


def _step(step: Step) -> list[str]:
    symbol = symbol_text(step.result.symbol)
    symbolic = to_text(step.formula)
    numeric = to_text(step.formula, step.inputs, _shown)
    lines = [f"  {symbol} = {symbolic}"]
    if numeric != symbolic:
        lines.append(f"  {' ' * len(symbol)} = {numeric}")
    lines.append(f"  {' ' * len(symbol)} = {_shown(step.result)}   {step.result.meaning}")
    source = "; ".join(part for part in (str(step.clause) if step.clause else "", step.note) if part)
    return [*lines, f"      {source}"] if source else lines


def _shown(value: Value) -> str:
    return format_quantity(value.value, value.unit, value.display)
