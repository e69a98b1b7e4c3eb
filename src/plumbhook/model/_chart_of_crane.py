"""The chart of a crane from a file: the one that is for the crane as rigged."""

from __future__ import annotations

from plumbhook.core.errors import InputError, Problem
from plumbhook.model._crane_rules import identity_findings
from plumbhook.model.chart_workbook import read_chart_bytes
from plumbhook.model.crane_chart import ChartIdentity, ImportedChart
from plumbhook.model.finding import Finding
from plumbhook.model.lift_file import LiftFile
from plumbhook.model.place import Crane

_FILE = ("place", "crane", "chart_file")


def chart_of_crane(
    raw: bytes, name: str, crane: Crane
) -> tuple[ImportedChart | None, tuple[Problem, ...], tuple[Finding, ...]]:
    """The chart of a file that is for a crane, and what is wrong with it.

    Args:
        raw: bytes of the file.
        name: its name.
        crane: the crane as the lift file states it.

    Returns:
        The chart, problems of the file, and findings about the crane; None where there is not exactly one chart
        for this crane.
    """
    try:
        charts = read_chart_bytes(raw, name).charts
    except InputError as error:
        return None, error.problems, ()
    faults = [tuple(identity_findings(chart.identity, crane, _FILE)) for chart in charts]
    fitting = [chart for chart, found in zip(charts, faults, strict=True) if not found]
    if len(fitting) == 1:
        twice = crane.chart_for is not None and fitting[0].identity != ChartIdentity()
        message = "the file of the chart says what it holds for; leave one of the two out"
        return fitting[0], (), ((Finding(("place", "crane", "chart_for"), message),) if twice else ())
    if len(charts) == 1:
        return None, (), faults[0]
    names = "; ".join(chart.name for chart in fitting or charts)
    message = (
        f"{len(fitting)} charts of the file are for this crane ({names}); say more of the crane under rigged_as"
        if fitting
        else f"none of the charts of the file is for this crane as rigged ({names}); take the chart of the crane as "
        "rigged, or correct rigged_as"
    )
    return None, (), (Finding(_FILE, message),)


def with_chart(file: LiftFile, chart: ImportedChart) -> LiftFile:
    """The lift with the chart as if it stood in the lift file itself; what it holds for from where it is said."""
    assert file.place is not None
    said = file.place.crane.chart_for if chart.identity == ChartIdentity() else chart.identity
    crane = file.place.crane.model_copy(update={"chart": chart.rows, "chart_for": said})
    return file.model_copy(update={"place": file.place.model_copy(update={"crane": crane})})
