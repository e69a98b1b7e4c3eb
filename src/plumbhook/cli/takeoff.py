"""``plumbhook takeoff``: a model of the load in, its weight and centre of gravity out, solid by solid."""

from __future__ import annotations

import json
import math
from collections.abc import Sequence
from pathlib import Path
from typing import get_args

import typer

from plumbhook.cli.exit_codes import ExitCode
from plumbhook.cli.tables import console
from plumbhook.core.errors import InputError, Problem
from plumbhook.core.units import format_quantity
from plumbhook.model.files import read_text
from plumbhook.model.solids import Duplicates, SolidsReport, WeighedSolid, count, place, three_decimals
from plumbhook.takeoff.densities import GivenDensity, densities_of_csv, densities_of_texts
from plumbhook.takeoff.limits import Limits
from plumbhook.takeoff.parts_list import chosen_points, lift_file_text, plain
from plumbhook.takeoff.solids import read_solids

_LARGEST_TABLE = 40
_MIB = 1 << 20


def run_takeoff(
    file: Path,
    *,
    unit: str | None,
    densities: Sequence[str],
    densities_file: Path | None,
    duplicates: Duplicates,
    lift_points: Sequence[str],
    limits: Limits,
    as_json: bool,
    as_yaml: bool,
) -> ExitCode:
    """Weigh a model and print it.

    Raises:
        InputError: the file, a density, a lift point or the choice of output is wrong.
    """
    if as_json and as_yaml:
        raise InputError.one("choose one of --json and --yaml", field="--yaml")
    report = read_solids(
        file, unit=unit, densities=_given(densities, densities_file), duplicates=duplicates, limits=limits
    )
    points = chosen_points(report, lift_points)
    if as_json:
        text = json.dumps(
            {**plain(report), "lift_points": {one.name: list(one.at_m) for one in points}},
            indent=2, ensure_ascii=False, allow_nan=False,
        )  # fmt: skip
        typer.echo(text)
    elif as_yaml:
        typer.echo(lift_file_text(report, points), nl=False)
    _print(report, to_stderr=as_json or as_yaml)
    return ExitCode.PASS if report.is_complete else ExitCode.NOT_EVALUATED


def duplicates_of_text(text: str) -> Duplicates:
    """How duplicates are counted.

    Raises:
        InputError: the word is none of ask, once and all.
    """
    for word in get_args(Duplicates):
        if text == word:
            return word  # type: ignore[no-any-return]
    raise InputError.one(f'"{text}" is none of ask, once and all; choose one', field="--duplicates")


def limits_of(largest_file: int, longest: int, most_memory: int) -> Limits:
    """Limits from megabytes and seconds."""
    return Limits(file_bytes=largest_file * _MIB, time_s=float(longest), memory_bytes=most_memory * _MIB)


def _given(texts: Sequence[str], file: Path | None) -> tuple[GivenDensity, ...]:
    """Densities of the options and of the file; all that is wrong with either at once."""
    problems: list[Problem] = []
    found: list[GivenDensity] = []
    try:
        found += densities_of_texts(texts)
    except InputError as error:
        problems += error.problems
    try:
        found += densities_of_csv(read_text(file), str(file)) if file is not None else ()
    except InputError as error:
        problems += error.problems
    if problems:
        raise InputError(tuple(problems))
    return tuple(found)


def _print(report: SolidsReport, *, to_stderr: bool) -> None:
    from rich.table import Table

    out = console(to_stderr=to_stderr)

    def say(text: str) -> None:
        out.print(text, markup=False, highlight=False, soft_wrap=True)

    say(f"{report.source}: {report.model.format}, unit {report.model.unit}; {report.model.axes}")
    if report.solids:
        table = Table(box=None, pad_edge=False)
        for heading in (
            "solid",
            "material",
            "volume m³",
            "density kg/m³",
            "mass kg",
            "x m",
            "y m",
            "z m",
            "mass from",
        ):
            table.add_column(
                heading, justify="left" if heading in {"solid", "material", "mass from"} else "right"
            )
        for one in _largest(report):
            table.add_row(*_cells(one))
        out.print(table)
    if len(report.solids) > _LARGEST_TABLE:
        say(f"... and {len(report.solids) - _LARGEST_TABLE} smaller solids; --json lists all.")
    if report.model.points:
        say(
            "named points: "
            + "; ".join(f"{one.name} {place(one.at_m)}" for one in report.model.points[:_LARGEST_TABLE])
        )
    for remark in report.remarks:
        say(f"note: {remark}.")
    for question in report.questions:
        say(f"OPEN: {question}.")
    say(_total(report))


def _total(report: SolidsReport) -> str:
    coverage = (
        f"{report.mass_coverage:.1%} of the mass has a declared weight or a real density"
        if not math.isnan(report.mass_coverage)
        else f"{report.volume_coverage:.1%} of the volume has a declared weight or a real density"
        if not math.isnan(report.volume_coverage)
        else "nothing is covered"
    )
    if report.is_complete:
        return (
            f"total {format_quantity(report.mass_kg, 'kg', 'kg')}, centre of gravity {place(report.cog_m)}; "
            f"{coverage}. A model is as good as its author: holes, fillings and what was not drawn are not in it."
        )
    still_open = count(len(report.questions), "question is open", "questions are open")
    return (
        f"NO TOTAL while {still_open}; what is known weighs {format_quantity(report.known_mass_kg, 'kg', 'kg')}; "
        f"{coverage}."
    )


def _largest(report: SolidsReport) -> list[WeighedSolid]:
    """The heaviest solids first, those without mass before all."""
    order = sorted(report.solids, key=lambda one: (not math.isnan(one.mass_kg), -_or_zero(one.mass_kg)))
    return order[:_LARGEST_TABLE]


def _or_zero(value: float) -> float:
    return 0.0 if math.isnan(value) else value


def _cells(one: WeighedSolid) -> list[str]:
    shape = one.solid.shape
    unknown = math.isnan(one.mass_kg)
    return [
        _plain(one.solid.name),
        _plain(one.solid.material or "none"),
        f"{shape.volume_m3:.4g}",
        "" if math.isnan(one.density_kg_m3) else f"{one.density_kg_m3:.0f}",
        "[bold]?[/bold]" if unknown else f"{one.mass_kg:.1f}",
        *(three_decimals(value) for value in shape.centroid_m),
        one.mass_source.value if one.counted else "duplicate, not counted",
    ]


def _plain(text: str) -> str:
    return text.replace("[", r"\[")
