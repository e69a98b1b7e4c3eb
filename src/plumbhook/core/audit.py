"""The audit: every printed formula is computed again and must give the number that the code computed.

Code computes; the printed text is evaluated on its own from the printed inputs; both must agree before
anything is shown or issued. The audit finds a text that parted from its code, a number that was changed on
the way, a symbol that means two things, units that do not fit, and a demand or capacity that no step gives.
It cannot find a clause misread in code, text and test alike; only an independent printed example can (see the
verification cases).
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from plumbhook.core.check import Check, Step, Value
from plumbhook.core.dimensions import DimensionError, dimension_of, dimension_of_unit
from plumbhook.core.errors import AuditError
from plumbhook.core.expression import ExpressionError, evaluate_scaled, symbols

RELATIVE_TOLERANCE = 1e-9
"""Largest accepted difference between code and text, relative to the size of the terms."""


@dataclass(frozen=True, slots=True)
class AuditFinding:
    """One disagreement in one check.

    Attributes:
        check_id: the check it was found in.
        symbol: symbol of the step or value concerned.
        message: what disagrees, with both numbers where there are two.
    """

    check_id: str
    symbol: str
    message: str

    def __str__(self) -> str:
        return f"{self.check_id}, {self.symbol}: {self.message}"


def audit_check(check: Check) -> tuple[AuditFinding, ...]:
    """Compute every step of a check again and follow its numbers from step to step.

    Args:
        check: the check with its steps.

    Returns:
        What disagrees; empty where nothing does.
    """
    return tuple(AuditFinding(check.check_id, symbol, message) for symbol, message in _findings(check))


def audit_steps(name: str, steps: Iterable[Step]) -> tuple[AuditFinding, ...]:
    """Compute the steps of a working that belongs to no check again, each from the ones before it.

    Args:
        name: what the working is of, for the findings.
        steps: the working, in order.

    Returns:
        What disagrees; empty where nothing does.
    """
    return tuple(
        AuditFinding(name, symbol, message) for symbol, message in _working_findings(tuple(steps), {})
    )


def audit_checks(checks: Iterable[Check]) -> tuple[AuditFinding, ...]:
    """Audit each check, and that no two checks share an id."""
    findings: list[AuditFinding] = []
    seen: set[str] = set()
    for check in checks:
        if check.check_id in seen:
            findings.append(AuditFinding(check.check_id, "check_id", "two checks have this id"))
        seen.add(check.check_id)
        findings.extend(audit_check(check))
    return tuple(findings)


def require_audit(checks: Iterable[Check]) -> None:
    """Refuse checks whose printed working does not give their numbers.

    Raises:
        AuditError: at least one check disagrees with its own text; the message lists every finding.
    """
    findings = audit_checks(checks)
    if findings:
        raise AuditError("printed formula and computed number disagree:\n" + "\n".join(map(str, findings)))


def _findings(check: Check) -> Iterable[tuple[str, str]]:
    known: dict[str, Value] = {}
    yield from _working_findings(check.steps, known)
    yield from _limit_findings("demand", check.demand, known)
    yield from _limit_findings("capacity", check.capacity, known)
    if check.nominal is not None:
        yield from _limit_findings("nominal demand", check.nominal, known)


def _working_findings(steps: tuple[Step, ...], known: dict[str, Value]) -> Iterable[tuple[str, str]]:
    """What disagrees from step to step; ``known`` receives every value that the steps use or give."""
    results = {step.result.symbol for step in steps}
    computed: set[str] = set()
    for step in steps:
        yield from _step_findings(step)
        for value in step.inputs:
            yield from _value_findings(value)
            yield from _meaning_findings(value, known)
            if value.symbol in results and value.symbol not in computed:
                yield value.symbol, "it is used before the step that computes it"
            known.setdefault(value.symbol, value)
        yield from _value_findings(step.result)
        if step.result.symbol in known:
            yield step.result.symbol, "a step gives a symbol that already has a meaning in this check"
        known.setdefault(step.result.symbol, step.result)
        computed.add(step.result.symbol)


def _step_findings(step: Step) -> Iterable[tuple[str, str]]:
    symbol = step.result.symbol
    try:
        used = set(symbols(step.formula))
    except ExpressionError as error:
        yield symbol, str(error)
        return
    given = [value.symbol for value in step.inputs]
    for name in sorted({name for name in given if given.count(name) > 1}):
        yield symbol, f"the input '{name}' is listed twice"
    for name in sorted(used - set(given)):
        yield symbol, f"the formula '{step.formula}' uses '{name}', which is not among its inputs"
    for name in sorted(set(given) - used):
        yield symbol, f"the formula '{step.formula}' does not use its input '{name}'"
    if used - set(given):
        return
    yield from _dimension_findings(step)
    try:
        text_value, scale = evaluate_scaled(
            step.formula, {value.symbol: value.value for value in step.inputs}
        )
    except ExpressionError as error:
        # A number that the code could not compute either never passes; a number where there is none is wrong.
        if not math.isnan(step.result.value):
            yield symbol, f"{error}, but the code gives {step.result.value!r}"
        return
    if not _same(text_value, step.result.value, scale):
        yield (
            symbol,
            f"the formula '{step.formula}' gives {text_value!r}, but the code gives {step.result.value!r}",
        )
    yield from _branch_findings(step)


def _branch_findings(step: Step) -> Iterable[tuple[str, str]]:
    """A formula that is one branch of several is printed only where that branch is the right one."""
    if not step.holds_while:
        return
    values = {value.symbol: value.value for value in step.inputs}
    try:
        room, scale = evaluate_scaled(step.holds_while, values)
    except ExpressionError as error:
        yield step.result.symbol, f"whether the formula holds here cannot be told: {error}"
        return
    if not room >= -RELATIVE_TOLERANCE * scale:
        yield (
            step.result.symbol,
            f"the formula '{step.formula}' does not hold here: {step.holds_while} is negative",
        )


def _dimension_findings(step: Step) -> Iterable[tuple[str, str]]:
    try:
        found = dimension_of(step.formula, {value.symbol: value.unit for value in step.inputs})
        given = dimension_of_unit(step.result.unit)
    except DimensionError as error:
        yield step.result.symbol, f"the formula '{step.formula}': {error}"
        return
    if found is not None and found != given:
        yield (
            step.result.symbol,
            f"the formula '{step.formula}' gives the unit {found}, but '{step.result.unit}' is {given}",
        )


def _value_findings(value: Value) -> Iterable[tuple[str, str]]:
    if not value.symbol.isidentifier():
        yield value.symbol, "the symbol is not an identifier"
    if not value.unit:
        yield value.symbol, "it has no unit; a pure number has the unit '1'"
    if not value.meaning:
        yield value.symbol, "it does not say what it is"


def _meaning_findings(value: Value, known: dict[str, Value]) -> Iterable[tuple[str, str]]:
    earlier = known.get(value.symbol)
    if earlier is None:
        return
    if earlier.unit != value.unit:
        yield value.symbol, f"it is given in '{value.unit}' here and in '{earlier.unit}' before"
    if not _same(earlier.value, value.value, 0.0):
        yield value.symbol, f"it is {value.value!r} here and {earlier.value!r} before"


def _limit_findings(role: str, value: Value, known: dict[str, Value]) -> Iterable[tuple[str, str]]:
    yield from _value_findings(value)
    if value.symbol in known:
        for symbol, message in _meaning_findings(value, known):
            yield symbol, f"{role}: {message}"
    elif not value.origin:
        yield value.symbol, f"the {role} is neither given by a step nor says where it comes from"


def _same(first: float, second: float, scale: float) -> bool:
    if math.isnan(first) or math.isnan(second):
        return math.isnan(first) and math.isnan(second)
    if math.isinf(first) or math.isinf(second):
        return first == second
    if math.isinf(scale):
        scale = 0.0
    return abs(first - second) <= RELATIVE_TOLERANCE * max(abs(first), abs(second), scale)
