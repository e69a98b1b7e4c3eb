"""``plumbhook upend``: the load-angle table of an upending, the peaks, and a check of every component."""

from __future__ import annotations

import json
import math
from pathlib import Path

import typer

from plumbhook.cli.exit_codes import ExitCode, code_of
from plumbhook.cli.tables import console, print_checks
from plumbhook.core.check import worst_status
from plumbhook.core.units import format_quantity
from plumbhook.model.upending_file import read_upending
from plumbhook.planning.serialise import to_plain
from plumbhook.planning.upending import UpendingStatement, state_upending


def run_upend(file: Path, *, as_json: bool) -> ExitCode:
    """Work out the upending of a file.

    Raises:
        InputError: there is no upending, or it is wrong.
    """
    statement = state_upending(read_upending(file))
    if as_json:
        typer.echo(json.dumps(to_plain(statement), indent=2, ensure_ascii=False, allow_nan=False))
    else:
        _print(statement)
    return code_of(worst_status(statement.checks))


def _print(statement: UpendingStatement) -> None:
    from rich.table import Table

    out = console()

    def say(text: str) -> None:
        out.print(text, markup=False, highlight=False)

    say(f"Upending, weight with its factor {_kN(statement.weight_N)}, hoist lines plumb")
    table = Table(box=None, pad_edge=False)
    for heading in ("attitude", "head", "tail", "pull to head lug", "pull to tail lug"):
        table.add_column(heading, justify="right")
    for row in statement.rows:
        angles = (row.head_off_axis_rad, row.tail_off_axis_rad)
        table.add_row(
            _deg(row.attitude_rad), *map(_kN, (row.head_N, row.tail_N)), *(_deg(angle) for angle in angles)
        )
    out.print(table)
    say('"-": the load does not stay there with both lines plumb and pulling.')
    for end, peak in (("head", statement.head_peak), ("tail", statement.tail_peak)):
        say(
            f"Peak of the {end} line: {_kN(peak.value)} at {_deg(peak.attitude_rad)}, CoG anywhere in its box"
        )
    for sentence in statement.stops:
        say(f"Look at this: {sentence}")
    print_checks(statement.checks, say)


def _kN(force_N: float) -> str:
    return format_quantity(force_N, "N", "kN", decimals=1, rounding="up") if math.isfinite(force_N) else "-"


def _deg(angle_rad: float) -> str:
    return format_quantity(angle_rad, "rad", "deg", decimals=1) if math.isfinite(angle_rad) else "-"
