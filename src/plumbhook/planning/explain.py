"""Why a check says what it says: its working, the equilibrium its numbers come from, and the claims below that."""

from __future__ import annotations

import difflib
import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from plumbhook.core.check import Check, Value
from plumbhook.core.errors import InputError
from plumbhook.planning.assessment import Assessment, Basis, CaseResult


@dataclass(frozen=True, slots=True)
class CaseNumber:
    """One quantity of the rig in one case by one method, and how well that case balances.

    ``residual_force_N`` and ``residual_moment_Nm`` are NaN for the hand method, which has none.
    """

    method: str
    basis: str
    case: str
    value: float
    residual_force_N: float
    residual_moment_Nm: float
    status: str
    governs: bool


@dataclass(frozen=True, slots=True)
class QuantityTrace:
    """Where one number of a check comes from: the quantity of the rig in every case it was solved for."""

    symbol: str
    quantity: str
    meaning: str
    unit: str
    display: str
    cases: tuple[CaseNumber, ...]


@dataclass(frozen=True, slots=True)
class ClaimTrace:
    """An input that the lift rests on: what is claimed, how far it may be off, who says so."""

    name: str
    text: str
    source: str


@dataclass(frozen=True, slots=True)
class Explanation:
    """A check with everything below it.

    Attributes:
        check: the check with its steps.
        inputs: numbers put into the steps from outside, each with its origin.
        quantities: those of them that the equilibrium gives, in every case.
        claims: what was claimed of load, factors and rig.
    """

    check: Check
    inputs: tuple[Value, ...]
    quantities: tuple[QuantityTrace, ...]
    claims: tuple[ClaimTrace, ...]


def explain(assessment: Assessment, check_id: str) -> Explanation:
    """Everything that a check rests on.

    Args:
        assessment: an assessed lift.
        check_id: id of one of its checks.

    Raises:
        InputError: no check has that id; names the nearest ones.
    """
    check = _find(assessment, check_id)
    inputs = _inputs(check)
    return Explanation(
        check=check,
        inputs=inputs,
        quantities=tuple(_traces(assessment, inputs)),
        claims=tuple(_claims(assessment)),
    )


def _find(assessment: Assessment, check_id: str) -> Check:
    known = {check.check_id: check for check in assessment.checks}
    if check_id in known:
        return known[check_id]
    folded = {name.casefold(): name for name in known}
    near = [folded[name] for name in difflib.get_close_matches(check_id.casefold(), folded, n=3, cutoff=0.5)]
    near += [name for name in known if check_id.casefold() in name.casefold() and name not in near][:3]
    hint = f"did you mean {', '.join(near)}?" if near else "name none to list them all"
    raise InputError.one(f'no check is called "{check_id}"; {hint}', field="CHECK")


def _inputs(check: Check) -> tuple[Value, ...]:
    results = {step.result.symbol for step in check.steps}
    found: dict[str, Value] = {}
    for step in check.steps:
        for value in step.inputs:
            if value.symbol not in results:
                found.setdefault(value.symbol, value)
    if not check.steps:
        found = {value.symbol: value for value in (check.demand, check.capacity)}
    return tuple(found.values())


_READ: Mapping[str, Callable[[CaseResult, str], float]] = {
    "tension": lambda case, name: case.tensions_N.get(name, math.nan),
    "compression": lambda case, name: case.compressions_N.get(name, math.nan),
    "angle": lambda case, name: case.angles_from_vertical_rad.get(name, math.nan),
    "off_axis": lambda case, name: case.off_axis_rad.get(name, math.nan),
    "tilt": lambda case, _name: case.tilt_rad,
    "hook_load": lambda case, _name: case.hook_load_N,
    "rig_height": lambda case, _name: case.rig_height_m,
}
_WITH_EXPECTED_WEIGHT = ("tilt", "angle")


def _traces(assessment: Assessment, inputs: tuple[Value, ...]) -> Iterator[QuantityTrace]:
    seen: set[str] = set()
    for value in inputs:
        kind, _, name = value.quantity.partition(":")
        if kind not in _READ or value.quantity in seen:
            continue
        seen.add(value.quantity)
        basis = Basis.EXPECTED if kind in _WITH_EXPECTED_WEIGHT else Basis.DESIGN
        numbers = {value.value for value in inputs if value.quantity == f"{kind}:{name}".rstrip(":")}
        read = _READ[kind]
        cases = tuple(
            CaseNumber(
                method=case.method.value,
                basis=case.basis.value,
                case=case.case,
                value=read(case, name),
                residual_force_N=case.residual_force_N,
                residual_moment_Nm=case.residual_moment_Nm,
                status=case.status,
                governs=read(case, name) in numbers,
            )
            for case in assessment.cases
            if case.basis is basis and not math.isnan(read(case, name))
        )
        yield QuantityTrace(value.symbol, value.quantity, value.meaning, value.unit, value.display, cases)


def _claims(assessment: Assessment) -> Iterator[ClaimTrace]:
    load = assessment.load
    said = f"{load.source}; said by {load.said_by}" if load.said_by else load.source
    yield ClaimTrace(
        "weight of the load",
        f"{load.mass_kg:.0f} kg, {load.mass_low_kg:.0f} to {load.mass_high_kg:.0f} kg, {load.state}",
        said,
    )
    at = ", ".join(f"{value:.3f}" for value in load.cog_m)
    box = ", ".join(f"{half:.3f}" for half in load.cog_box_m)
    yield ClaimTrace("centre of gravity", f"({at}) m, ± ({box}) m", load.cog_box_source)
    yield ClaimTrace(
        "factors",
        f"weight factor {load.weight_factor:g}, dynamic factor {assessment.dynamic_factor:g}, "
        f"gravity {assessment.gravity_m_s2:g} m/s²",
        "rules of the lift",
    )
    for line in assessment.rig.lines:
        yield ClaimTrace(f"line {line.name}", f"{line.length_m:.3f} m, {line.label}", "stock")
    for strut in assessment.rig.struts:
        pieces = " | ".join(piece.label for piece in strut.pieces if not piece.is_fitting)
        yield ClaimTrace(
            f"strut {strut.name}", f"{strut.family}, {strut.span_m:.3f} m pin to pin: {pieces}", "stock"
        )
