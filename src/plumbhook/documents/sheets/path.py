"""The load path, and the three methods side by side."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

from plumbhook.core.check import Status
from plumbhook.core.units import MINUS, format_quantity
from plumbhook.documents.numbers import (
    DASH,
    capacity_value_text,
    demand_value_text,
    shown,
    used_text,
)
from plumbhook.documents.sheets.keys import finite_or_none
from plumbhook.documents.sheets.way import way
from plumbhook.planning.assessment import Assessment, CaseResult, Comparison, Method, Station

_SETTLED = frozenset({"stable"})


def path(assessment: Assessment) -> dict[str, Any]:
    """Texts of the load path."""
    return {
        "intro": (
            "One row is one station of the path. Forces carry the design weight × dynamic factor "
            f"{assessment.dynamic_factor:.2f}; carries: as it hangs with the expected centre of gravity; "
            f"worst: the worst corner of the "
            "CoG box by the least favourable of the three methods."
        ),
        "rows": [_station(station) for station in assessment.stations],
        "way": way(assessment),
    }


def _station(station: Station) -> dict[str, Any]:
    known = station.status in {Status.PASS, Status.FAIL}
    nominal = None
    if known and station.carries is not None and station.may_carry is not None:
        same = station.carries.unit == station.may_carry.unit and station.may_carry.value > 0.0
        nominal = finite_or_none(station.carries.value / station.may_carry.value) if same else None
    return {
        "balloons": list(station.balloons),
        "name": station.name,
        "detail": station.detail,
        "note": station.note,
        "carries": shown(station.carries),
        "worst": demand_value_text(station.worst),
        "may": capacity_value_text(station.may_carry),
        "used_text": used_text(station.utilisation) if known else DASH,
        "used": finite_or_none(min(station.utilisation, 99.0)) if known else None,
        "nominal": nominal,
        "state": station.status.value,
    }


def methods(assessment: Assessment) -> dict[str, Any]:
    """Texts of the comparison of methods and of the proof of each solution."""
    cases = list(dict.fromkeys(row.case for row in assessment.comparisons))
    return {
        "cases": [
            {
                "name": case_name(case),
                "rows": [_comparison(row) for row in assessment.comparisons if row.case == case],
            }
            for case in cases
        ],
        "solutions": _solutions(assessment.cases),
        "exceptions": [_exception(case) for case in assessment.cases if case.slack or not _at_rest(case)],
    }


def case_name(case: str) -> str:
    """The name of a case for people."""
    return case[:1].upper() + case[1:].replace("-", MINUS)


def _comparison(row: Comparison) -> list[str]:
    def text(value: float) -> str:
        return DASH if math.isnan(value) else format_quantity(value, row.unit, row.display)

    compared = row.hand if math.isnan(row.same_pose) else row.same_pose
    return [
        row.quantity,
        text(row.hand),
        text(row.same_pose),
        text(row.rigid),
        text(row.elastic),
        _difference(compared, row.rigid),
        _difference(row.elastic, row.rigid),
    ]


def _difference(value: float, reference: float) -> str:
    if math.isnan(value) or math.isnan(reference) or reference == 0.0:
        return DASH
    ratio = value / reference - 1.0
    text = format_quantity(ratio, "1", "%")
    return f"+{text}" if ratio > 0.0 and not text.startswith("0.0 ") else text


def _solutions(cases: tuple[CaseResult, ...]) -> list[list[str]]:
    """One row for each method and weight: how many cases, the largest remainders, whether all came to rest."""
    rows = []
    groups = dict.fromkeys((case.method, case.basis) for case in cases if case.method is not Method.HAND)
    for method, basis in groups:
        own = [case for case in cases if (case.method, case.basis) == (method, basis)]
        settled = sum(_at_rest(case) for case in own)
        rows.append(
            [
                method.value,
                basis.value,
                str(len(own)),
                format_quantity(max(case.hook_load_N for case in own), "N", "kN"),
                _small(_largest(case.residual_force_N for case in own), "N"),
                _small(_largest(case.residual_moment_Nm for case in own), "N·m"),
                "all" if settled == len(own) else f"only {settled}",
            ]
        )
    return rows


def _at_rest(case: CaseResult) -> bool:
    """True for a stable equilibrium; the hand method finds none and says instead how it shared the load."""
    return case.method is Method.HAND or case.status in _SETTLED


def _largest(values: Iterable[float]) -> float:
    """The largest of some remainders; NaN as soon as one is NaN."""
    listed = list(values)
    return math.nan if any(math.isnan(value) for value in listed) else max(listed)


def _exception(case: CaseResult) -> str:
    slack = f", slack: {', '.join(case.slack)}" if case.slack else ""
    return f"{case_name(case.case)}, {case.method.value}, {case.basis.value}: {case.status}{slack}."


def _small(value: float, unit: str) -> str:
    return DASH if math.isnan(value) else f"{value:.1e} {unit}"
