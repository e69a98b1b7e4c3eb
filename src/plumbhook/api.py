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
from typing import TYPE_CHECKING, Any, Literal

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

    from plumbhook.model.solids import SolidsReport
    from plumbhook.planning.levelling_records import Levelling
    from plumbhook.planning.tolerance_study import ToleranceStudy
    from plumbhook.planning.trial_lift_records import ExpectedReadings, TrialLiftResult

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


def take_off(
    path: str | PathLike[str],
    *,
    unit: str | None = None,
    densities: Mapping[str, str | float] | None = None,
    duplicates: Literal["ask", "once", "all"] = "ask",
) -> SolidsReport:
    """Weigh a model of the load, solid by solid: STEP, IFC, glTF, STL, OBJ or PLY.

    Args:
        path: the model. It is not trusted: a process of its own reads it, within limits of size, time and memory.
        unit: unit of length of STL, OBJ and PLY, which have none of their own, e.g. ``mm``.
        densities: densities by name of material or solid, as text with unit or in kg/m3; ``*`` for all the rest.
        duplicates: whether solids of the same shape at the same place count ``once`` or ``all`` times; ``ask``
            leaves the totals open.

    Returns:
        The take-off, z up. Its ``mass_kg`` and ``cog_m`` are NaN while ``questions`` are open.

    Raises:
        InputError: the file cannot be used, the unit is missing or not wanted, or a density is wrong or fits nothing.
    """
    from plumbhook.takeoff.solids import read_solids

    return read_solids(Path(path), unit=unit, densities=densities or {}, duplicates=duplicates)


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


def trial_lift_card(lift: Lift | str | PathLike[str]) -> ExpectedReadings:
    """What every instrument of a trial lift should read, with the bands to go on and to stop.

    Args:
        lift: a lift from :func:`load`, or the path of a lift file.

    Raises:
        InputError: the lift file is wrong or the rig cannot be built as described.
        NotEvaluatedError: the rig has no stable rest at the claimed weight.
    """
    from plumbhook.planning.trial_lift import expected_readings

    return expected_readings(lift if isinstance(lift, Lift) else load(lift))


def trial_lift_result(lift: Lift | str | PathLike[str], readings: str | PathLike[str]) -> TrialLiftResult:
    """What the readings of a trial lift say of the load, the verdict and the cure.

    Args:
        lift: a lift from :func:`load`, or the path of a lift file.
        readings: path of a file of readings.

    Returns:
        The result; its verdict is advice and never a permission to lift.

    Raises:
        InputError: a file is wrong, or a reading does not belong to this rig.
        NotEvaluatedError: the rig has no stable rest at the claimed weight.
    """
    from plumbhook.model.trial_lift_file import read_readings
    from plumbhook.planning.trial_lift import back_solve

    return back_solve(lift if isinstance(lift, Lift) else load(lift), read_readings(Path(readings)))


def level_load(
    lift: Lift | str | PathLike[str],
    *,
    mass_kg: float | None = None,
    cog_m: tuple[float, float, float] | None = None,
    triangle_height_m: float | None = None,
) -> Levelling:
    """Line lengths at which the load hangs level, and the nearest set that can be had.

    Args:
        lift: a lift from :func:`load`, or the path of a lift file.
        mass_kg: mass of the load; None for the claimed one.
        cog_m: centre of gravity in load coordinates; None for the claimed one.
        triangle_height_m: height of the hook above the lower ends of the top lines; None for that as drawn.

    Raises:
        InputError: the lift file is wrong, or no line can be set.
        NotEvaluatedError: the rig has no stable rest as it is set, or hangs from several hooks.

    >>> import plumbhook
    >>> found = plumbhook.level_load(plumbhook.example("marrow-lane"), triangle_height_m=4.9)
    >>> {line: round(length, 3) for line, length in found.closed_form_m.items()}
    {'T1': 6.083, 'T2': 6.091, 'T3': 6.646, 'T4': 6.653}
    """
    from plumbhook.planning.levelling import level

    return level(
        lift if isinstance(lift, Lift) else load(lift),
        mass_kg=mass_kg,
        cog_m=cog_m,
        triangle_height_m=triangle_height_m,
    )


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
