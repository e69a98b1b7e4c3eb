"""Records of a check: what is demanded, what may be carried, by which clause, with every step of the working.

A check is data. The pure functions of the clause packages compute; builders put the numbers, the printed formula
and the inputs side by side in these records; :mod:`plumbhook.core.audit` re-computes each printed formula and
refuses any that disagrees with the number the code computed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum


class Status(Enum):
    """Verdict of a check. Nothing but :attr:`PASS` is a pass."""

    PASS = "PASS"
    FAIL = "FAIL"
    NOT_EVALUATED = "NOT_EVALUATED"
    NOT_APPLICABLE = "NOT_APPLICABLE"


_RANK = {Status.FAIL: 3, Status.NOT_EVALUATED: 2, Status.PASS: 1, Status.NOT_APPLICABLE: 0}


class SourceQuality(Enum):
    """How the clause or number was obtained, printed wherever it is used."""

    PUBLISHED = "published"
    FROM_MEMORY = "from memory, confirm against the current edition"
    COMMON_PRACTICE = "common practice, no source"
    OWN_DERIVATION = "own derivation"
    POLICY = "policy of the firm"


@dataclass(frozen=True, slots=True)
class Clause:
    """Where a rule comes from: document, its edition, and the clause, table or equation in it."""

    document: str
    edition: str = ""
    clause: str = ""
    quality: SourceQuality = SourceQuality.PUBLISHED

    def __str__(self) -> str:
        name = f"{self.document}:{self.edition}" if self.edition else self.document
        text = f"{name}, {self.clause}" if self.clause else name
        return text if self.quality is SourceQuality.PUBLISHED else f"{text} ({self.quality.value})"


@dataclass(frozen=True, slots=True)
class Value:
    """A number with its symbol, SI unit, meaning and origin.

    Attributes:
        symbol: the standard's symbol as a Python identifier, e.g. ``N_Ed``, ``beta``, ``chi``.
        value: the number in the SI unit.
        unit: SI unit: ``N``, ``kg``, ``m``, ``rad``, ``Pa``, ``Nm``, ``N_per_m``, ``kg_per_m``, ``m2``, ``m3``,
            ``m4``, ``m_s2``, ``m_s``, ``1`` (dimensionless).
        meaning: what it is, in the words of the trade.
        origin: where it came from: an input field, a table row, an earlier step, the solver, a policy.
        display: unit word to print it in (``t``, ``kN``, ``mm``, ``deg``, ``%`` ...); "" lets the unit choose.
        quantity: which quantity of the rig it is, for programs: ``tension:T1``, ``compression:U1``, ``load_mass`` ...;
            "" for a number that belongs to this check alone. Two values with one key are one thing of nature.
    """

    symbol: str
    value: float
    unit: str
    meaning: str
    origin: str = ""
    display: str = ""
    quantity: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """One line of working: ``result = formula(inputs)``.

    ``formula`` is a Python-syntax expression in the symbols of ``inputs`` (numbers, ``+ - * / **``, ``sin cos tan asin
    acos atan atan2 sqrt min max abs pi``), evaluated in SI by the audit. A value that is not computed by a
    formula (solver, table) is not a step but an input with its origin.

    ``holds_while`` is for a formula that is one branch of several: an expression in the same symbols that is not
    negative where this branch is the right one; "" where the formula always holds. The audit computes it too.
    """

    result: Value
    formula: str
    inputs: tuple[Value, ...]
    clause: Clause | None = None
    note: str = ""
    holds_while: str = ""


@dataclass(frozen=True, slots=True)
class Check:
    """One check at one station of the load path. Utilisation and status are derived, never stored.

    Attributes:
        check_id: stable identifier, ``<kind>.<subject>``, e.g. ``sling.T1``; unique within an assessment.
        station: id of the load-path station it belongs to.
        title: what is checked, e.g. "Shackle SH-35-01: leg tension against its rated load".
        demand: worst demand over all cases considered (SI).
        capacity: what may be carried, same unit as the demand (SI).
        nominal: demand as the rig hangs with the expected load, or None where there is only one case.
        clause: the rule that sets the limit.
        steps: the working, in order; the last ones give demand and capacity.
        assumptions: sentences that must hold for the check to mean something.
        attention: a sentence where the check passes but a reader must look; "" otherwise.
        not_applicable_because: reason; makes the status NOT_APPLICABLE.
        not_evaluated_because: reason; makes the status NOT_EVALUATED.
        refused_because: reason for a rule that is broken outright whatever the numbers; makes the status FAIL.
        cure: the smallest thing that would mend a failure, or "".
    """

    check_id: str
    station: str
    title: str
    demand: Value
    capacity: Value
    clause: Clause
    steps: tuple[Step, ...] = ()
    assumptions: tuple[str, ...] = ()
    nominal: Value | None = None
    attention: str = ""
    not_applicable_because: str = ""
    not_evaluated_because: str = ""
    refused_because: str = ""
    cure: str = ""

    @property
    def utilisation(self) -> float:
        """Demand over capacity; infinite where the capacity is not positive; NaN where a number is missing."""
        return _ratio(self.demand.value, self.capacity.value)

    @property
    def nominal_utilisation(self) -> float | None:
        """Utilisation as the rig hangs with the expected load, where it differs from the worst case."""
        return None if self.nominal is None else _ratio(self.nominal.value, self.capacity.value)

    @property
    def status(self) -> Status:
        """Verdict: fails closed on a missing, infinite or negative number and on differing units."""
        if self.not_applicable_because:
            return Status.NOT_APPLICABLE
        if self.refused_because:
            return Status.FAIL
        demand, capacity = self.demand.value, self.capacity.value
        if self.not_evaluated_because or self.demand.unit != self.capacity.unit:
            return Status.NOT_EVALUATED
        if not (math.isfinite(demand) and math.isfinite(capacity)) or demand < 0.0:
            return Status.NOT_EVALUATED
        if self.nominal is not None and not math.isfinite(self.nominal.value):
            return Status.NOT_EVALUATED
        if capacity <= 0.0 or demand > capacity:
            return Status.FAIL
        return Status.PASS


def _ratio(demand: float, capacity: float) -> float:
    if math.isnan(demand) or math.isnan(capacity):
        return math.nan
    return demand / capacity if capacity > 0.0 else math.inf


def worst_status(checks: tuple[Check, ...] | list[Check]) -> Status:
    """Roll-up by rank FAIL > NOT_EVALUATED > PASS > NOT_APPLICABLE; no checks at all is NOT_EVALUATED."""
    if not checks:
        return Status.NOT_EVALUATED
    worst = max((check.status for check in checks), key=lambda status: _RANK[status])
    return Status.NOT_EVALUATED if worst is Status.NOT_APPLICABLE else worst
