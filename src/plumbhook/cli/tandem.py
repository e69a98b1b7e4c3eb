"""``plumbhook tandem``: shares of two cranes by difference of hoist height, and how level the hooks must be kept."""

from __future__ import annotations

import json
import math
from pathlib import Path

import typer

from plumbhook.cli.exit_codes import ExitCode, code_of
from plumbhook.cli.tables import console, print_checks
from plumbhook.core.check import worst_status
from plumbhook.core.units import format_quantity
from plumbhook.model.tandem_file import read_tandem
from plumbhook.planning.serialise import to_plain
from plumbhook.planning.tandem import TandemStatement, state_tandem


def run_tandem(file: Path, *, as_json: bool) -> ExitCode:
    """Work out the lift by two cranes of a file.

    Raises:
        InputError: there is none, or it is wrong.
    """
    statement = state_tandem(read_tandem(file))
    if as_json:
        typer.echo(json.dumps(to_plain(statement), indent=2, ensure_ascii=False, allow_nan=False))
    else:
        _print(statement)
    return code_of(worst_status(statement.checks))


def _print(statement: TandemStatement) -> None:
    from rich.table import Table

    out = console()

    def say(text: str) -> None:
        out.print(text, markup=False, highlight=False)

    say(f"Load on two hooks, weight with its factor {_shown(statement.weight_N, 'N')}, hoist lines plumb")
    table = Table(box=None, pad_edge=False)
    for heading in ("first hook ahead", "tilt", "first, at most", "second, at most", "hooks closer by"):
        table.add_column(heading, justify="right")
    for row in statement.rows:
        table.add_row(
            _shown(row.difference_m, "m"),
            _shown(row.tilt_rad, "rad"),
            _shown(row.first_N, "N"),
            _shown(row.second_N, "N"),
            _shown(row.closer_m, "m"),
        )
    out.print(table)
    say(
        "Both lines stay plumb only where the hooks come closer as listed; where they do not, the lines lean."
    )
    site = statement.largest.either_way_m
    if math.isfinite(site):
        say(f"Keep the hooks level within {format_quantity(site, 'm', 'm', decimals=2, rounding='down')}.")
    else:
        say(
            "No difference of hoist height can be given: a capacity is missing, or a crane has nothing to spare."
        )
    print_checks(statement.checks, say)


def _shown(number: float, unit: str) -> str:
    if not math.isfinite(number):
        return "unknown"
    word, decimals = {"N": ("kN", 1), "rad": ("deg", 1)}.get(unit, (unit, 2))
    return format_quantity(number, unit, word, decimals=decimals)
