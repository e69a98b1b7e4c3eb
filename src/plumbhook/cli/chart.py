"""``plumbhook chart``: the duty charts of a file as they were read, and what they give for a radius and a load."""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from pathlib import Path

import typer

from plumbhook.cli.exit_codes import ExitCode
from plumbhook.cli.tables import CAUTION, console
from plumbhook.core.errors import InputError, Problem
from plumbhook.core.units import Kind, UnitError, format_quantity, parse_quantity
from plumbhook.model.chart_workbook import LARGEST_WORKBOOK_BYTES, read_chart_bytes
from plumbhook.model.crane_chart import ChartFile, ImportedChart
from plumbhook.model.files import read_bytes
from plumbhook.planning.chart_answer import ChartAnswer, answer_of, stated_in
from plumbhook.planning.serialise import to_plain


def run_chart(file: Path, *, radius: str, load: str, limit: str, as_json: bool) -> ExitCode:
    """Read a chart file and say what it gives.

    Raises:
        InputError: the file or one of the three quantities cannot be read.
    """
    radius_m = _asked("--radius", radius, Kind.LENGTH)
    load_kg = _asked("--load", load, Kind.MASS)
    limit_ratio = _asked("--limit", limit, Kind.RATIO)
    if limit_ratio is None or not 0.0 < limit_ratio <= 1.0:
        raise InputError.one("the largest use must be above 0 % and at most 100 %", field="--limit")
    read = read_chart_bytes(read_bytes(file, largest_bytes=LARGEST_WORKBOOK_BYTES), str(file))
    answers = [
        answer_of(chart, radius_m=radius_m, gross_load_kg=load_kg, use_limit_ratio=limit_ratio)
        for chart in read.charts
    ]
    if as_json:
        plain = [
            {"chart": _plain(chart), "answer": to_plain(answer)}
            for chart, answer in zip(read.charts, answers, strict=True)
        ]
        whole = {"source": read.source, "sha256": read.sha256, "charts": plain}
        typer.echo(json.dumps(whole, indent=2, ensure_ascii=False, allow_nan=False))
    else:
        _print(read, answers)
    return _code(answers)


def _plain(chart: ImportedChart) -> dict[str, object]:
    return {
        "sheet": chart.sheet,
        "column": chart.column,
        "place": chart.place,
        "holds_for": chart.identity.model_dump(exclude_none=True),
        "rows": [{"radius_m": radius, "capacity_kg": capacity} for radius, capacity in chart.rows],
    }


def _asked(option: str, text: str, kind: Kind) -> float | None:
    if not text:
        return None
    try:
        value = parse_quantity(text, kind)
    except UnitError as error:
        raise InputError((Problem(option, str(error)),)) from None
    if value <= 0.0:
        raise InputError.one("this must be more than zero", field=option)
    return value


def _code(answers: list[ChartAnswer]) -> ExitCode:
    """Fail where one of the charts gives less than was asked of it."""
    return ExitCode.PASS if all(answer.within for answer in answers) else ExitCode.FAIL


def _print(read: ChartFile, answers: list[ChartAnswer]) -> None:
    from rich.table import Table

    out = console()

    def say(text: str) -> None:
        out.print(text, markup=False, highlight=False)

    say(f"{read.source}, SHA-256 {read.sha256}")
    if read.passed_over:
        say(f"Sheets without a chart: {', '.join(read.passed_over)}.")
    for chart, answer in zip(read.charts, answers, strict=True):
        say("")
        say(f"{chart.name}, head in {chart.place}")
        for name, value in stated_in(chart.identity):
            say(f"  {name}: {value}")
        table = Table("radius", "capacity", box=None)
        for radius_m, capacity_kg in chart.rows:
            table.add_row(format_quantity(radius_m, "m"), _capacity(capacity_kg))
        out.print(table)
        for sentence in answer.sentences:
            say(f"  {sentence}")
        _ask(say, chart)
    say("")
    say("A radius between two rows takes the row of the larger one; nothing is read beyond the last row.")
    say(f"The chart of the crane as it stands governs, not this copy of it. {CAUTION}")


def _capacity(capacity_kg: float | None) -> str:
    if capacity_kg is None or math.isnan(capacity_kg):
        return "none"
    return format_quantity(capacity_kg, "kg", "t", rounding="down")


def _ask(say: Callable[[str], None], chart: ImportedChart) -> None:
    missing = [
        name
        for name, value in (("machine", chart.identity.machine), ("page", chart.identity.page))
        if value is None
    ]
    if missing:
        say(f"  The chart does not say its {' and '.join(missing)}; add the lines to its head.")
