"""``plumbhook verify``: every published case beside what this installation computes."""

from __future__ import annotations

import json

import typer

from plumbhook.cli.exit_codes import ExitCode
from plumbhook.cli.tables import console
from plumbhook.planning.serialise import to_plain
from plumbhook.planning.verification import all_cases


def run_verify(*, as_json: bool) -> ExitCode:
    """Run all cases; FAIL if any lies outside its tolerance."""
    cases = all_cases()
    failed = [case for case in cases if not case.ok]
    if as_json:
        rows = [{**to_plain(case), "difference": to_plain(case.difference), "ok": case.ok} for case in cases]
        typer.echo(json.dumps(rows, indent=2, ensure_ascii=False, allow_nan=False))
    else:
        from rich.table import Table

        table = Table(box=None, pad_edge=False)
        for heading in ("case", "published", "computed", "unit", "difference", ""):
            table.add_column(
                heading, justify="right" if heading in {"published", "computed", "difference"} else "left"
            )
        source = None
        for case in cases:
            if case.source != source:
                source = case.source
                table.add_row(f"[bold]{_plain(source)}[/bold]", "", "", "", "", "")
            table.add_row(
                "  " + _plain(case.title),
                f"{case.published:.6g}",
                f"{case.computed:.6g}",
                case.unit,
                f"{case.difference:+.2g}",
                "ok" if case.ok else "[bold]OUTSIDE[/bold]",
            )
        console().print(table)
    verdict = f"{len(cases)} cases, {len(cases) - len(failed)} within their tolerance, {len(failed)} outside."
    console(to_stderr=as_json).print(verdict, highlight=False)
    return ExitCode.FAIL if failed or not cases else ExitCode.PASS


def _plain(text: str) -> str:
    return text.replace("[", r"\[")
