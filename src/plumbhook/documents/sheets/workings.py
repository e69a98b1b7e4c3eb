"""Every check in a register, and of each kind the governing one with its working in full."""

from __future__ import annotations

import math
from typing import Any

from plumbhook.core.check import Check, Status, Step, Value
from plumbhook.core.expression_text import symbol_typst, to_typst
from plumbhook.core.units import format_quantity
from plumbhook.documents.numbers import DASH, capacity_text, demand_text, shown, used_text
from plumbhook.documents.sheets.keys import check_key
from plumbhook.planning.assessment import Assessment

_PER_LINE = 6
_WORKED_FAILURES = 2
_UTILISATION = frozenset({"u", "eta", "utilisation"})
_SEVERITY = {Status.FAIL: 3, Status.NOT_EVALUATED: 2, Status.PASS: 1, Status.NOT_APPLICABLE: 0}


def kind_of(check: Check) -> str:
    """The kind of a check is its id up to the first point."""
    return check.check_id.split(".", 1)[0]


def worked_checks(assessment: Assessment) -> tuple[Check, ...]:
    """The checks printed in full: of each kind the governing one; where several of a kind do not pass, the worst two.

    In the order of the load path, as the assessment lists them. The register alone holds what does not apply and what
    has no working.
    """
    kinds: dict[str, list[Check]] = {}
    for check in assessment.checks:
        if check.status is not Status.NOT_APPLICABLE and not says_it_all(check):
            kinds.setdefault(kind_of(check), []).append(check)
    chosen: set[str] = set()
    for checks in kinds.values():
        ranked = sorted(checks, key=_rank, reverse=True)
        chosen.add(ranked[0].check_id)
        chosen |= {check.check_id for check in ranked[:_WORKED_FAILURES] if check.status is not Status.PASS}
    return tuple(check for check in assessment.checks if check.check_id in chosen)


def says_it_all(check: Check) -> bool:
    """True for a passing comparison of two given numbers: its row in the register, with its rule, is all there is."""
    return check.status is Status.PASS and not check.steps and not check.attention and not check.assumptions


def _rank(check: Check) -> tuple[int, float]:
    use = check.utilisation
    return _SEVERITY[check.status], -1.0 if math.isnan(use) else use


def register(assessment: Assessment) -> dict[str, Any]:
    """Texts of the register of checks."""
    counts = {status: sum(check.status is status for check in assessment.checks) for status in Status}
    return {
        "intro": (
            f"{len(assessment.checks)} checks along the load path: {counts[Status.PASS]} pass, "
            f"{counts[Status.FAIL]} fail, "
            f"{counts[Status.NOT_EVALUATED]} not evaluated, {counts[Status.NOT_APPLICABLE]} not "
            f"applicable. Of each kind the governing "
            "one stands with its working in full on the page named, of failures the worst two. What is not "
            "listed was not checked."
        ),
        "rows": [_row(check) for check in assessment.checks],
    }


def _row(check: Check) -> dict[str, str]:
    remarks = [
        check.not_applicable_because,
        check.not_evaluated_because,
        check.refused_because,
        check.attention,
    ]
    if check.status is Status.FAIL:
        remarks.append(check.cure)
    if says_it_all(check):
        remarks.append(f"Rule: {check.clause}")
    known = check.status in {Status.PASS, Status.FAIL} and not check.refused_because
    given = check.status is not Status.NOT_APPLICABLE
    return {
        "title": check.title,
        "demand": demand_text(check) if given else DASH,
        "capacity": capacity_text(check) if given else DASH,
        "used_text": used_text(check.utilisation) if known else DASH,
        "state": check.status.value,
        "key": check_key(check.check_id),
        "remark": next((remark for remark in remarks if remark), ""),
    }


def workings(assessment: Assessment) -> dict[str, Any]:
    """Texts and formulas of the checks that are printed in full."""
    return {
        "intro": (
            "Each step: the rule in symbols, the numbers put in, the result. Every printed formula was "
            "computed again from its printed "
            "inputs before this page was made, and agreed with the number the program had computed."
        ),
        "checks": [_working(check) for check in worked_checks(assessment)],
    }


def _working(check: Check) -> dict[str, Any]:
    known = check.status in {Status.PASS, Status.FAIL} and not check.refused_because
    return {
        "key": check_key(check.check_id),
        "title": check.title,
        "state": check.status.value,
        "has_use": known,
        "used_text": used_text(check.utilisation) if known else "",
        "clause": f"Rule: {check.clause}",
        "refusal": check.refused_because,
        "missing": _missing(check),
        "attention": check.attention,
        "cure": check.cure if check.status in {Status.FAIL, Status.NOT_EVALUATED} else "",
        "given": [_given(value, check) for value in _inputs(check)],
        "steps": [_step(step, check) for step in check.steps],
        "conclusion": _conclusion(check),
        "assumptions": list(check.assumptions),
    }


def _missing(check: Check) -> str:
    if check.status is not Status.NOT_EVALUATED:
        return ""
    return check.not_evaluated_because or "a number that this check needs is missing or not finite."


def _inputs(check: Check) -> tuple[Value, ...]:
    """The values that come from outside the working, each once."""
    results = {step.result.symbol for step in check.steps}
    found: dict[str, Value] = {}
    for step in check.steps:
        for value in step.inputs:
            if value.symbol not in results:
                found.setdefault(value.symbol, value)
    return tuple(found.values())


def _given(value: Value, check: Check) -> dict[str, str]:
    return {
        "math": f"{symbol_typst(value.symbol)} = {_quoted(_value_text(value, check))}",
        "meaning": value.meaning,
        "origin": value.origin,
    }


def _step(step: Step, check: Check) -> dict[str, Any]:
    notes = [step.note]
    if step.clause is not None and step.clause != check.clause:
        notes.append(str(step.clause))
    trivial = step.formula.strip() == step.result.symbol or not step.inputs
    return {
        "meaning": step.result.meaning,
        "math_symbolic": f"{symbol_typst(step.result.symbol)} = "
        f"{to_typst(step.formula, arguments_per_line=_PER_LINE)}",
        "math_numbers": f"= {_numbers_put_in(step, check)}",
        "math_result": f"= {_quoted(_value_text(step.result, check))}",
        "trivial": trivial,
        "note": "; ".join(note for note in notes if note),
    }


def _numbers_put_in(step: Step, check: Check) -> str:
    return to_typst(
        step.formula, step.inputs, lambda value: _value_text(value, check), arguments_per_line=_PER_LINE
    )


def _value_text(value: Value, check: Check) -> str:
    """The demand is rounded up, the capacity down, a share of it up: the same number everywhere on the page."""
    if value.symbol == check.demand.symbol:
        return demand_text(check)
    if value.symbol == check.capacity.symbol:
        return capacity_text(check)
    if value.symbol in _UTILISATION and value.unit == "1":
        return format_quantity(value.value, "1", value.display, rounding="up")
    return shown(value)


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return f'"{escaped}"'


def _conclusion(check: Check) -> str:
    demand, capacity = demand_text(check), capacity_text(check)
    if check.status is Status.NOT_EVALUATED:
        return "No verdict."
    if check.refused_because:
        return "Refused whatever the numbers."
    if check.demand.value <= check.capacity.value:
        return f"{check.demand.meaning}: {demand}, at most {capacity}: {used_text(check.utilisation)} % used."
    over = format_quantity(check.utilisation, "1", "%", rounding="up")
    return f"{check.demand.meaning}: {demand}, but at most {capacity} is allowed: {over}."
