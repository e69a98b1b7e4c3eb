"""``plumbhook weigh``: readings in, mass and centre of gravity out, as a statement and as a claim to paste."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from pathlib import Path

import typer

from plumbhook.cli.exit_codes import ExitCode, code_of
from plumbhook.cli.tables import console
from plumbhook.core.check import Status, Step, Value
from plumbhook.core.expression_text import symbol_text, to_text
from plumbhook.core.units import format_quantity
from plumbhook.model.weighing_file import read_weighing
from plumbhook.planning.serialise import to_plain
from plumbhook.planning.weighing import WeighingStatement, state_weighing


def run_weigh(file: Path, *, as_json: bool) -> ExitCode:
    """Work out the weighing of a file.

    Raises:
        InputError: there is no weighing, it is wrong, or no weight explains its readings.
    """
    statement = state_weighing(read_weighing(file))
    if as_json:
        plain = to_plain(statement)
        plain["claim"] = claim_yaml(statement)
        typer.echo(json.dumps(plain, indent=2, ensure_ascii=False, allow_nan=False))
    else:
        _print(statement)
    failed = [check for check in statement.checks if check.status not in {Status.PASS, Status.NOT_APPLICABLE}]
    return code_of(failed[0].status) if failed else ExitCode.PASS


def claim_yaml(statement: WeighingStatement) -> str:
    """Weight, centre of gravity and its box as they stand in a lift file; what was not found stays a question."""
    result = statement.result
    ratio = math.ceil(1e4 * statement.mass_half_width_kg / result.mass_kg) / 1e2
    lines = [
        "weight:",
        f"  mass: {result.mass_kg:.1f} kg",
        f"  tolerance: {ratio:.2f} %",
        f"  source: {_quoted(statement.source)}",
        f"  state: {_quoted(statement.state or 'STATE OF THE LOAD WHILE IT WAS WEIGHED')}",
    ]
    found = [math.isfinite(at) for at in result.cog_m]
    if all(found):
        lines.append(f"cog: [{', '.join(f'{at:.4f} m' for at in result.cog_m)}]")
        lines.append("cog_box:")
        for axis, half in zip("xyz", statement.cog_half_sizes_m, strict=True):
            lines.append(f"  {axis}: {math.ceil(1e3 * half):d} mm")
        lines.append("  source: weighing, 95 % of all axes together")
    else:
        known = ", ".join(
            f"{axis} {at:.4f} m" for axis, at in zip("xyz", result.cog_m, strict=True) if math.isfinite(at)
        )
        unknown = ", ".join(axis for axis, ok in zip("xyz", found, strict=True) if not ok)
        lines.append(
            f"# centre of gravity: {known or 'nothing'} by weighing; {unknown} was not found: no cog to paste"
        )
    return "\n".join(lines) + "\n"


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def _print(statement: WeighingStatement) -> None:
    from rich.table import Table

    out = console()
    result = statement.result

    def say(text: str) -> None:
        out.print(text, markup=False, highlight=False)

    say(f"Weighing: {statement.source}")
    table = Table(box=None, pad_edge=False)
    for heading in ("", "found", "± 95 %"):
        table.add_column(heading, justify="left" if not heading else "right")
    table.add_row("mass", _kg(result.mass_kg), _kg(statement.mass_half_width_kg, up=True))
    for axis, at, half in zip("xyz", result.cog_m, statement.cog_half_sizes_m, strict=True):
        known = math.isfinite(at)
        table.add_row(
            f"centre of gravity {axis}",
            _mm(at) if known else "not found",
            _mm(half, up=True) if known else "",
        )
    out.print(table)
    say("The box of the centre of gravity holds all axes found together with 95 % or more.")
    for check in statement.checks:
        demand, limit = (
            format_quantity(value.value, value.unit, decimals=1) for value in (check.demand, check.capacity)
        )
        say(f"{check.title}: {demand} against {limit}, {check.status.value.replace('_', ' ').lower()}")
    if not statement.checks:
        say("No reading is to spare: nothing here would show a wrong one. A hook reading beside it would.")
    else:
        moved = Table(box=None, pad_edge=False)
        for heading in ("reading", "net", "correction", "of its own"):
            moved.add_column(heading, justify="left" if heading == "reading" else "right")
        for one in result.corrections:
            moved.add_row(one.name, _kg(one.reading_kg), _kg(one.correction_kg), f"{one.normalised:+.1f}")
        out.print(moved)
    if statement.steps:
        say("Working, by plain sums:")
        for step in statement.steps:
            for line in _working(step):
                say(line)
    say("To paste into the lift file, section load:\n")
    typer.echo(claim_yaml(statement))


def _working(step: Step) -> Iterator[str]:
    symbol, result = symbol_text(step.result.symbol), step.result
    yield f"  {result.meaning}:  {symbol} = {to_text(step.formula)}"
    yield f"      = {to_text(step.formula, step.inputs, _number)} = {_number(result)}"


def _number(value: Value) -> str:
    decimals = {"kg": 1, "m": 4, "rad": 3}.get(value.unit)
    return format_quantity(value.value, value.unit, value.display or value.unit, decimals=decimals)


def _kg(mass_kg: float, *, up: bool = False) -> str:
    return format_quantity(mass_kg, "kg", "kg", decimals=1, rounding="up" if up else "nearest")


def _mm(length_m: float, *, up: bool = False) -> str:
    return format_quantity(length_m, "m", "mm", decimals=1, rounding="up" if up else "nearest")
