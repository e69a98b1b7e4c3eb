"""``plumbhook trial-lift``: the card of expected readings, or what the readings say."""

from __future__ import annotations

import json
import math
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from plumbhook.cli.exit_codes import ExitCode
from plumbhook.cli.tables import console
from plumbhook.core.units import format_quantity
from plumbhook.model.lift import Lift
from plumbhook.model.trial_lift_file import read_readings
from plumbhook.planning.serialise import to_plain
from plumbhook.planning.trial_lift import back_solve, expected_readings
from plumbhook.planning.trial_lift_records import (
    Estimate,
    ExpectedReadings,
    TrialLiftResult,
    TrialVerdict,
)
from plumbhook.planning.trial_lift_verdict import shown

if TYPE_CHECKING:
    from rich.console import Console

_CODES = {
    TrialVerdict.INSIDE: ExitCode.PASS,
    TrialVerdict.AMBER: ExitCode.NOT_EVALUATED,
    TrialVerdict.STOP: ExitCode.FAIL,
}


def run_trial_lift(lift: Lift, readings: Path | None, *, as_json: bool) -> ExitCode:
    """Print the card, or the verdict on a file of readings.

    Returns:
        PASS for the card and for readings inside, NOT_EVALUATED for amber, FAIL for stop.

    Raises:
        InputError: the readings are no readings of this rig.
        NotEvaluatedError: the rig has no stable rest.
    """
    if readings is None:
        card = expected_readings(lift)
        _emit(card, as_json=as_json)
        _print_card(card, console(to_stderr=as_json))
        return ExitCode.PASS
    result = back_solve(lift, read_readings(readings))
    _emit(result, as_json=as_json)
    _print_result(result, console(to_stderr=as_json))
    return _CODES[result.verdict]


def _emit(record: ExpectedReadings | TrialLiftResult, *, as_json: bool) -> None:
    if as_json:
        typer.echo(json.dumps(to_plain(record), indent=2, ensure_ascii=False, allow_nan=False))


def _say(out: Console, text: str) -> None:
    out.print(text, markup=False, highlight=False)


def _print_card(card: ExpectedReadings, out: Console) -> None:
    from rich.table import Table

    _say(out, f"Trial lift of {card.lift_id} rev {card.revision}: readings to expect.")
    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in ("channel", "expected", "go on from", "to", "stop below", "or above", "reads"):
        table.add_column(heading, justify="left" if heading in {"channel", "reads"} else "right")
    for one in card.channels:
        edges = (*one.green, *one.red)
        what = one.kind.value
        if math.isfinite(one.height_m):
            what += f", marked at z {format_quantity(one.height_m, 'm', 'm')}"
        elif one.line:
            what += f" ({one.line})"
        table.add_row(
            one.name, shown(one.expected, one.unit), *(shown(edge, one.unit) for edge in edges), what
        )
    out.print(table)
    limit = shown(card.tilt_limit_rad, "rad")
    _say(out, f"Tilt in all {shown(card.tilt_rad, 'rad')} expected; put the load down beyond {limit}.")
    for note in card.notes:
        _say(out, note)
    _say(out, "Between green and stop: hold and ask the appointed person. Never a permission to lift.")


def _print_result(result: TrialLiftResult, out: Console) -> None:
    from rich.table import Table

    card = result.expected
    _say(out, f"Trial lift of {card.lift_id} rev {card.revision}, read {result.taken} by {result.by}.")
    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in ("channel", "reading", "expected", "as estimated", "band"):
        table.add_column(heading, justify="left" if heading in {"channel", "band"} else "right")
    for one in result.readings:
        values = (one.reading, one.expected, one.estimated)
        table.add_row(one.name, *(shown(value, one.unit) for value in values), one.band.value)
    out.print(table)
    if result.estimate is not None:
        _say(out, "By the readings alone:     " + _estimate(result.estimate))
    if result.with_claim is not None:
        _say(out, "Weighed against the claim: " + _estimate(result.with_claim))
    _say(out, result.consistency.why)
    for sentence in result.observability:
        _say(out, sentence)
    if result.hypotheses:
        _say(out, "What may explain it, most probable first:")
        for cause in result.hypotheses[:5]:
            mass = "" if cause.mass_kg == 0.0 else f", {_signed(cause.mass_kg)}"
            _say(out, f"  {format_quantity(cause.probability, '1', '%', decimals=0)}  {cause.what}{mass}")
    if result.cure is not None:
        _say(out, f"Cure: {result.cure.why}")
        for change in result.cure.changes:
            steps = "" if change.steps is None else f" ({_steps(change.steps)})"
            _say(
                out,
                f"  {change.line}: {format_quantity(change.from_m, 'm', 'm', decimals=3)} to "
                f"{format_quantity(change.to_m, 'm', 'm', decimals=3)}{steps}; {change.how}",
            )
    _say(out, f"Verdict: {result.verdict.value.upper()}.")
    for reason in result.reasons:
        _say(out, f"  {reason}")
    _say(out, "Never a permission to lift.")


def _steps(steps: int) -> str:
    count = "one step" if abs(steps) == 1 else f"{abs(steps)} steps"
    return f"{count} {'longer' if steps > 0 else 'shorter'}"


def _estimate(one: Estimate) -> str:
    parts = [f"{shown(one.mass_kg, 'kg')} ± {shown(2.0 * one.sd[0], 'kg')}"]
    for axis, at, sd in zip("xyz", one.cog_m, one.sd[1:], strict=True):
        parts.append(f"{axis} {shown(at, 'm')} ± {format_quantity(2.0 * sd, 'm', 'mm', rounding='up')}")
    return ", ".join(parts) + " (two standard deviations)"


def _signed(mass_kg: float) -> str:
    text = format_quantity(mass_kg, "kg", "kg")
    return f"+{text}" if mass_kg > 0.0 else text
