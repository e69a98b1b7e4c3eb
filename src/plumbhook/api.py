"""The documented surface for scripts and notebooks: read a lift, assess it, solve a rig, write its plan.

Everything returned is a frozen record of plain values in SI units; nothing here prints.

>>> import plumbhook
>>> lift = plumbhook.load(plumbhook.example("hallowmere-viaduct"))
>>> assessment = plumbhook.assess(lift)
>>> assessment.status.value
'PASS'
>>> round(assessment.load.mass_kg)
47848
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

from plumbhook.core.errors import InputError
from plumbhook.core.resources import examples_dir
from plumbhook.model.files import read_lift
from plumbhook.model.lift import Lift
from plumbhook.model.rig_graph import parse_rig_graphs
from plumbhook.planning import assess as _assess
from plumbhook.planning.assessment import Assessment
from plumbhook.planning.serialise import from_json, to_json
from plumbhook.statics import Equilibrium, solve

if TYPE_CHECKING:
    from os import PathLike

    from plumbhook.planning.tolerance_study import ToleranceStudy

Cell = str | float | None


def load(path: str | PathLike[str]) -> Lift:
    """Read a lift file with the stock it names.

    Args:
        path: lift file, YAML or JSON.

    Returns:
        The lift with every item and strut family looked up, and the hash of its content.

    Raises:
        InputError: everything that is wrong with the file, one sentence each, with line and field.
    """
    return read_lift(Path(path))


def example(name: str) -> Path:
    """Path of the lift file of a shipped example (invented data).

    Args:
        name: folder of the example, e.g. ``hallowmere-viaduct``.

    Raises:
        InputError: no example has that name; lists those there are.
    """
    path = examples_dir() / name / "lift.yaml"
    if not path.is_file():
        names = ", ".join(sorted(p.parent.name for p in examples_dir().glob("*/lift.yaml")))
        raise InputError.one(f"there is no example {name!r}; there are: {names}", field="name")
    return path


def assess(lift: Lift | str | PathLike[str]) -> Assessment:
    """Assess a lift: equilibrium of every case, every check along the load path, gaps and assumptions.

    Args:
        lift: a lift from :func:`load`, or the path of a lift file.

    Returns:
        The assessment; ``.status`` is what the checks say, never a permission to lift.

    Raises:
        InputError: the lift file is wrong or the rig cannot be built as described.
        NotEvaluatedError: a case has no equilibrium at all.
    """
    return _assess(lift if isinstance(lift, Lift) else load(lift))


def equilibrium(
    rig: Mapping[str, Any] | Sequence[Mapping[str, Any]] | str | PathLike[str],
) -> tuple[Equilibrium, ...]:
    """Solve the equilibrium of one rig or of a list of rigs.

    Args:
        rig: rig graph as a mapping, a list of them, or the path of a JSON file. SI units, z up, gravity along -z.

    Returns:
        One result per rig, each with its own proof (sums of forces and moments).

    Raises:
        InputError: everything that is wrong with the rig, one sentence each.
    """
    if isinstance(rig, Mapping) or (isinstance(rig, Sequence) and not isinstance(rig, str)):
        data: object = rig
        source = ""
    else:
        from plumbhook.model.files import read_text

        source = str(rig)
        try:
            data = json.loads(read_text(Path(rig)))
        except json.JSONDecodeError as error:
            raise InputError.one(f"this is not JSON: {error.msg}", line=error.lineno, source=source) from None
    return tuple(solve(graph) for graph in parse_rig_graphs(data, source=source))


def tolerance_study(
    lift: Lift | str | PathLike[str],
    *,
    samples: int = 100_000,
    seed: int = 1,
    progress: Callable[[int, int], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> ToleranceStudy:
    """Study the tolerances of a lift: every input scatters, every check that varies is evaluated in every sample.

    Args:
        lift: a lift from :func:`load`, or the path of a lift file.
        samples: number of samples, 100 or more.
        seed: the same seed gives the same study.
        progress: called with the number of samples done and of all.
        cancelled: asked between blocks of samples whether to stop.

    Returns:
        The study; ``.status`` is what came of it, never a permission to lift.

    Raises:
        InputError: the lift file, the number of samples or the seed is wrong.
        NotEvaluatedError: with every input in the middle of its band the rig does not hang stably.
        StudyCancelledError: it was asked to stop.
    """
    from plumbhook.planning.tolerance import tolerance_study as study

    lift = lift if isinstance(lift, Lift) else load(lift)
    return study(lift, samples=samples, seed=seed, progress=progress, cancelled=cancelled)


def table(assessment: Assessment) -> list[dict[str, Cell]]:
    """The load path as a list of plain rows (SI), for a notebook, a CSV writer or a data frame.

    Args:
        assessment: from :func:`assess`.

    Returns:
        One mapping per station: ``station, carries, worst, may_carry, unit, utilisation, status``; a number that is
        missing is None.
    """
    rows: list[dict[str, Cell]] = []
    for station in assessment.stations:
        values = [station.carries, station.worst, station.may_carry]
        numbers = [None if value is None or math.isnan(value.value) else value.value for value in values]
        unit = next((value.unit for value in values if value is not None), "")
        rows.append(
            {
                "station": station.name,
                "carries": numbers[0],
                "worst": numbers[1],
                "may_carry": numbers[2],
                "unit": unit,
                "utilisation": None if math.isnan(station.utilisation) else station.utilisation,
                "status": station.status.value,
            }
        )
    return rows


def lift_plan_pdf(assessment: Assessment) -> bytes:
    """The lift plan as PDF/A: the same assessment gives the same bytes.

    Args:
        assessment: from :func:`assess`.
    """
    from plumbhook.documents import render_lift_plan

    return render_lift_plan(assessment)


def arrangement_drawing_svg(assessment: Assessment) -> str:
    """The arrangement of the rig, to scale, as SVG.

    Args:
        assessment: from :func:`assess`.
    """
    from plumbhook.documents import arrangement_svg

    return arrangement_svg(assessment)


def save(assessment: Assessment) -> str:
    """The assessment as JSON text.

    Args:
        assessment: from :func:`assess`.
    """
    return to_json(assessment, indent=2)


def restore(text: str) -> Assessment:
    """An assessment from the JSON text that :func:`save` made; equal to the one saved.

    Args:
        text: JSON.

    Raises:
        InputError: the text is no assessment.
    """
    return from_json(text)
