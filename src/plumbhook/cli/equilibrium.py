"""``plumbhook equilibrium``: a rig graph in, what it really does out."""

from __future__ import annotations

import json
import math
from pathlib import Path

import typer

from plumbhook.cli.exit_codes import ExitCode
from plumbhook.cli.tables import console
from plumbhook.core.errors import InputError
from plumbhook.model.files import read_text
from plumbhook.model.rig_graph import parse_rig_graphs
from plumbhook.statics import Equilibrium, EquilibriumStatus, equilibrium_json, solve

_CODES = {
    EquilibriumStatus.STABLE: ExitCode.PASS,
    EquilibriumStatus.UNSTABLE: ExitCode.FAIL,
    EquilibriumStatus.NO_EQUILIBRIUM: ExitCode.NOT_EVALUATED,
    EquilibriumStatus.INVALID: ExitCode.INPUT,
}
_WORST_FIRST = (ExitCode.INPUT, ExitCode.FAIL, ExitCode.NOT_EVALUATED, ExitCode.PASS)


def run_equilibrium(file: Path, *, as_json: bool) -> ExitCode:
    """Solve every rig of the file; the exit code is the worst of them.

    Raises:
        InputError: the file is no rig graph.
    """
    text = read_text(file)
    try:
        data = json.loads(text, parse_constant=_refuse_constant)
    except json.JSONDecodeError as error:
        raise InputError.one(f"this is not JSON: {error.msg}", line=error.lineno, source=str(file)) from None
    except RecursionError:
        raise InputError.one("the JSON is nested too deeply to be a rig", source=str(file)) from None
    graphs = parse_rig_graphs(data, source=str(file))
    results = [solve(graph) for graph in graphs]
    if as_json:
        answers = [equilibrium_json(graph, result) for graph, result in zip(graphs, results, strict=True)]
        typer.echo(json.dumps(answers if isinstance(data, list) else answers[0], indent=2, allow_nan=False))
    else:
        for result in results:
            _print(result)
    codes = {_CODES[result.status] for result in results}
    return next(code for code in _WORST_FIRST if code in codes)


def _refuse_constant(word: str) -> float:
    raise InputError.one(
        f"{word} is not a number that a rig can have; give a finite number or leave the field out"
    )


def _print(result: Equilibrium) -> None:
    from rich.table import Table

    out = console()
    out.print(
        f"{result.name or 'rig'}: {result.status.value.upper()}. {result.message}",
        highlight=False,
        markup=False,
    )
    if not result.tensions_N:
        return
    table = Table(box=None, pad_edge=False)
    for heading in ("element", "force kN", "from vertical °", "loose mm"):
        table.add_column(heading, justify="left" if heading == "element" else "right")
    for name, tension in result.tensions_N.items():
        loose = result.slack_m.get(name)
        table.add_row(
            name,
            f"{tension / 1e3:.3f}",
            f"{math.degrees(result.angle_from_vertical_rad[name]):.2f}",
            f"{loose * 1e3:.0f}" if loose is not None else "",
        )
    out.print(table)
    tilts = ", ".join(f"{body} {math.degrees(tilt):.2f}°" for body, tilt in result.tilt_rad.items())
    hooks = ", ".join(f"{name} {load / 1e3:.3f} kN" for name, load in result.hook_load_N.items())
    out.print(f"tilt: {tilts}", highlight=False, markup=False)
    out.print(f"hook load: {hooks}", highlight=False, markup=False)
    out.print(
        f"proof: sum of forces {result.residual_force_N:.2g} N, of moments {result.residual_moment_Nm:.2g} N·m; "
        f"{result.iterations} iterations, {result.neutral_modes} motions that cost no energy",
        highlight=False,
        markup=False,
    )
