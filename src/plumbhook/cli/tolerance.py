"""``plumbhook tolerance``: the study of a lift's tolerances, as tables or as JSON."""

from __future__ import annotations

import math
from collections.abc import Iterable
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from plumbhook.cli.cache import cache_path, keep, read_cached
from plumbhook.cli.exit_codes import ExitCode, code_of
from plumbhook.cli.tables import console, used
from plumbhook.core.errors import InputError
from plumbhook.core.units import format_quantity
from plumbhook.model.files import read_lift
from plumbhook.model.lift import Lift
from plumbhook.planning.tolerance import FORMAT, tolerance_study
from plumbhook.planning.tolerance_json import study_from_json, study_to_json
from plumbhook.planning.tolerance_study import QuantityRow, Share, ToleranceStudy

if TYPE_CHECKING:
    from rich.console import Console
    from rich.table import Table

_STATUS = {"PASS": "pass", "FAIL": "FAIL", "NOT_EVALUATED": "NOT EVALUATED"}


def run_tolerance(file: Path, *, samples: int, seed: int, as_json: bool, fresh: bool) -> ExitCode:
    """Study a lift, or take the study of the very same lift, samples, seed and version from the cache.

    Raises:
        InputError: the file is wrong, or samples and seed make no sense.
        NotEvaluatedError: the rig does not hang stably.
    """
    lift = read_lift(file)
    path = cache_path("tolerance", lift.content_hash, samples, seed, version("plumbhook"), FORMAT)
    study = None if fresh else _cached(path, lift)
    if study is None:
        study = _studied(lift, samples, seed)
        keep(path, study_to_json(study))
    if as_json:
        typer.echo(study_to_json(study, indent=2))
    print_study(study, to_stderr=as_json)
    return code_of(study.status)


def _cached(path: Path, lift: Lift) -> ToleranceStudy | None:
    """The study in the cache; None where there is none, or where what is there is not the study of this lift."""
    text = read_cached(path)
    if text is None:
        return None
    try:
        study = study_from_json(text)
    except InputError:
        return None
    return study if study.content_hash == lift.content_hash else None


def _studied(lift: Lift, samples: int, seed: int) -> ToleranceStudy:
    from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

    columns = (TextColumn("samples"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with Progress(*columns, console=console(to_stderr=True), transient=True) as bar:
        task = bar.add_task("samples", total=samples)
        return tolerance_study(
            lift, samples=samples, seed=seed, progress=lambda done, _: bar.update(task, completed=done)
        )


def print_study(study: ToleranceStudy, *, to_stderr: bool = False) -> None:
    """Everything of a study as tables, the verdict last."""
    out = console(to_stderr=to_stderr)
    mark = "  (invented demo data)" if study.invented else ""
    _say(out, f"{study.title}{mark}: {study.samples:,} samples, seed {study.seed}")
    _say(out, "\nWhat scatters")
    out.print(_inputs(study))
    for sentence in study.held:
        _say(out, f"Held: {sentence}")
    _say(
        out, "\nQuantities: samples, and to first order below them; forces × dynamic factor, no weight factor"
    )
    out.print(_quantities(study))
    _say(out, "\nLoad path: used % of the worst check of each station, sample by sample")
    out.print(_stations(study))
    _say(out, "\nWhat matters most: part of the variance, samples (first order)")
    out.print(_contributions(study))
    for skew in study.skew:
        _say(
            out,
            f"\nUnequal sharing of {', '.join(skew.lines)}: largest over equal share "
            f"{_numbers(skew.over_equal)}; over the share by the place of the centre of gravity "
            f"{_numbers(skew.over_place)} (5, 50, 95, 99.9 %). Guideline: {skew.guideline} ({skew.guideline_source}), "
            f"exceeded in {share_text(skew.beyond_guideline)}. {skew.remark}",
        )
    _closing(out, study)


def _closing(out: Console, study: ToleranceStudy) -> None:
    _say(out, "")
    for row in study.quantities:
        if row.remark:
            _say(out, f"{row.words}: {row.remark}")
    for sentence in study.remarks:
        _say(out, sentence)
    _say(out, f"A line goes slack in {share_text(study.slack)}.")
    if study.tilt_beyond_limit is not None:
        _say(out, f"The tilt is beyond its limit in {share_text(study.tilt_beyond_limit)}.")
    _say(out, f"Any check fails in {share_text(study.any_check_fails)}.")
    _say(
        out,
        f"{study.solved_again} samples were solved again from the drawing; {study.not_at_rest} found no stable rest.",
    )
    constant = sum(check.how == "constant" for check in study.checks)
    sampled = sum(check.how == "sampled" for check in study.checks)
    _say(
        out,
        f"Checks: {sampled} evaluated in every sample, {constant} do not vary. The builders themselves were run for "
        f"{study.proof.samples} samples; utilisations differ by {study.proof.largest_difference:.1g} at most.",
    )
    _say(out, f"Study: {_STATUS[study.status.value]}. Never a permission to lift.")


def share_text(share: Share) -> str:
    """A share in percent with its interval."""
    unknown = f", {share.unknown} without an answer" if share.unknown else ""
    low, high = 100.0 * share.low, 100.0 * share.high
    return f"{100.0 * share.estimate:.3g} % of the samples ({low:.2g} to {high:.2g} %, Clopper-Pearson 95 %{unknown})"


def _table(headings: Iterable[str], left: int = 1) -> Table:
    from rich.table import Table

    table = Table(box=None, pad_edge=False, header_style="bold")
    for number, heading in enumerate(headings):
        table.add_column(heading, justify="left" if number < left else "right")
    return table


def _inputs(study: ToleranceStudy) -> Table:
    table = _table(("input", "shape", "source", "band"), left=3)
    alike: dict[tuple[str, str, str], list[str]] = {}
    for row in study.inputs:
        scale, unit = (100.0, "%") if row.unit == "1" else (1e3, "mm")
        middle = f"{scale * row.middle:+.3g} " if row.middle else ""
        band = f"{middle}± {scale * row.half_width:.3g} {unit}"
        alike.setdefault((row.shape, row.source, band), []).append(row.name)
    for (shape, source, band), names in alike.items():
        table.add_row(_plain("; ".join(names)), shape, _plain(source), band)
    return table


def _quantities(study: ToleranceStudy) -> Table:
    table = _table(
        ("quantity", "", "middle", "5 %", "50 %", "95 %", "99.9 %", "corner", "planned", "beyond planned")
    )
    for row in study.quantities:
        beyond = "" if row.beyond_planned is None else f"{100.0 * row.beyond_planned.estimate:.2g} %"
        unit = row.display
        table.add_row(
            _plain(row.words),
            unit,
            _shown(row.middle, row),
            *(_shown(value, row) for value in row.sampled),
            _shown(row.corner, row),
            _shown(row.planned, row),
            beyond,
        )
        if not all(math.isnan(value) for value in row.first_order):
            table.add_row("", "", "", *(f"({_shown(value, row)})" for value in row.first_order), "", "", "")
    return table


def _shown(value: float, row: QuantityRow) -> str:
    if math.isnan(value):
        return ""
    text = format_quantity(value, row.unit, row.display)
    return text.rpartition(" ")[0] or text.removesuffix("°")


def _stations(study: ToleranceStudy) -> Table:
    table = _table(("station", "5 %", "50 %", "95 %", "99.9 %", "largest", "planned", "fails"))
    for row in study.stations:
        fails = f"{100.0 * row.fails.estimate:.2g} % (≤ {100.0 * row.fails.high:.2g} %)"
        table.add_row(
            _plain(row.name),
            *(used(value) for value in row.utilisation),
            used(row.largest),
            used(row.assessed),
            fails,
        )
    return table


def _contributions(study: ToleranceStudy) -> Table:
    groups = list(dict.fromkeys(row.group for row in study.inputs))
    table = _table(("quantity", *groups, "foremost input"))
    for row in study.quantities:
        by_group = {one.group: one for one in row.contributions}
        cells = []
        for group in groups:
            one = by_group.get(group)
            first = "" if one is None or math.isnan(one.first_order) else f" ({100.0 * one.first_order:.0f})"
            cells.append("" if one is None else f"{100.0 * one.sampled:.0f}{first}")
        foremost = row.contributions[0].foremost if row.contributions else ""
        table.add_row(_plain(row.words), *cells, _plain(foremost))
    return table


def _numbers(values: Iterable[float]) -> str:
    return ", ".join("—" if math.isnan(value) else f"{value:.2f}" for value in values)


def _say(out: Console, text: str) -> None:
    out.print(text, markup=False, highlight=False, soft_wrap=True)


def _plain(text: str) -> str:
    return text.replace("[", r"\[")
