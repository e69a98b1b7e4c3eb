"""The duty chart of a crane: capacity by radius for one configuration, and the gross load against it.

A radius between two rows takes the row of the next larger radius; nothing is interpolated upward and nothing
is read beyond the last row. Reading a chart otherwise turns cranes over.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

from plumbhook.core.check import Check, Clause, SourceQuality, Step, Value
from plumbhook.core.errors import InputError, Problem
from plumbhook.core.units import format_quantity

CHART = Clause(
    "Duty chart of the crane for its configuration, next larger tabulated radius",
    quality=SourceQuality.COMMON_PRACTICE,
)
USE_LIMIT = Clause("Largest use of the crane chart", quality=SourceQuality.POLICY)
GROSS_LOAD = Clause(
    "Everything below the boom head is load: load, rig, block, rope", quality=SourceQuality.COMMON_PRACTICE
)

RADIUS_GRACE_M = 1e-9
"""How far a radius may lie above a row by rounding and still be that row, m."""


@dataclass(frozen=True, slots=True)
class DutyRow:
    """One row of a chart: what may hang at this radius.

    Attributes:
        radius_m: radius, m.
        capacity_kg: rated capacity, kg; None where the chart leaves the place empty: nothing may hang there.
    """

    radius_m: float
    capacity_kg: float | None


@dataclass(frozen=True, slots=True)
class DutyChart:
    """A chart for one configuration of one machine.

    Attributes:
        machine: the machine.
        configuration: boom, counterweight, supports, sector: what the chart holds for.
        page: where the chart is printed.
        rows: rows by ascending radius, capacity never rising; a row without capacity is a hole.
        smallest_radius_m: smallest radius at which the machine may work, m; None where nobody has stated it.

    Raises:
        InputError: no row, no capacity at all, a number that is not positive, radii not ascending, or a capacity
            that rises.
    """

    machine: str
    configuration: str
    page: str
    rows: tuple[DutyRow, ...]
    smallest_radius_m: float | None = None

    def __post_init__(self) -> None:
        problems: list[Problem] = []
        if not self.rows:
            problems.append(Problem("chart", "the crane chart has no row; enter radius and capacity"))
        elif all(row.capacity_kg is None for row in self.rows):
            problems.append(Problem("chart", "the crane chart has no capacity; enter the rows of the chart"))
        smallest = self.smallest_radius_m
        if smallest is not None and not (math.isfinite(smallest) and smallest > 0.0):
            problems.append(Problem("chart", "the smallest radius must be a positive number, or left out"))
        for number, row in enumerate(self.rows):
            if not (math.isfinite(row.radius_m) and row.radius_m > 0.0):
                problems.append(Problem(f"chart[{number}]", "the radius must be a positive number"))
            if row.capacity_kg is not None and not (math.isfinite(row.capacity_kg) and row.capacity_kg > 0.0):
                problems.append(Problem(f"chart[{number}]", "the capacity must be a positive number"))
        for number, (nearer, farther) in enumerate(zip(self.rows, self.rows[1:], strict=False), start=1):
            if not nearer.radius_m < farther.radius_m:
                problems.append(
                    Problem(f"chart[{number}]", "radii must ascend; sort the rows and enter each radius once")
                )
        given = [
            (number, row.capacity_kg) for number, row in enumerate(self.rows) if row.capacity_kg is not None
        ]
        for (_, nearer_kg), (number, farther_kg) in itertools.pairwise(given):
            if farther_kg > nearer_kg:
                problems.append(
                    Problem(
                        f"chart[{number}]", "the capacity rises with the radius; check the row in the chart"
                    )
                )
        if problems:
            raise InputError(tuple(problems))

    @property
    def last_radius_m(self) -> float:
        """Largest radius of the chart, m."""
        return self.rows[-1].radius_m


@dataclass(frozen=True, slots=True)
class DutyReading:
    """What a chart says for a radius.

    Attributes:
        radius_m: radius asked for, m.
        row: row used; None where the chart gives nothing.
        reason: why it gives nothing; "" where it does.
    """

    radius_m: float
    row: DutyRow | None
    reason: str = ""

    @property
    def capacity_kg(self) -> float:
        """Capacity of the row, kg; NaN where the chart gives nothing."""
        return math.nan if self.row is None or self.row.capacity_kg is None else self.row.capacity_kg


def read_chart(chart: DutyChart, radius_m: float) -> DutyReading:
    """Row of the next larger tabulated radius, or the reason why there is none.

    Args:
        chart: the chart.
        radius_m: radius of the hook from the slew axis, m.

    Returns:
        The reading. A radius below the first row takes the first row; whether the machine may work so
        close is for its manual to say, where the chart states no smallest radius. A row that the chart leaves
        empty gives nothing, also between it and the row before: a hole is not stepped over.
    """
    if not (math.isfinite(radius_m) and radius_m > 0.0):
        return DutyReading(radius_m, None, "the radius is not a positive number")
    asked, last = format_quantity(radius_m, "m"), format_quantity(chart.last_radius_m, "m")
    smallest = chart.smallest_radius_m
    if smallest is not None and radius_m < smallest - RADIUS_GRACE_M:
        least = format_quantity(smallest, "m")
        return DutyReading(radius_m, None, f"radius {asked} is below the smallest permitted one, {least}")
    for row in chart.rows:
        if radius_m <= row.radius_m + RADIUS_GRACE_M:
            if row.capacity_kg is None:
                hole = format_quantity(row.radius_m, "m")
                return DutyReading(
                    radius_m, None, f"the chart leaves its row at {hole} empty: nothing may hang at {asked}"
                )
            return DutyReading(radius_m, row)
    return DutyReading(
        radius_m,
        None,
        f"radius {asked} is beyond the last row of the chart at {last}; nothing is read beyond it",
    )


def largest_radius_m(chart: DutyChart, gross_load_kg: float, use_limit_ratio: float) -> float | None:
    """Largest tabulated radius at which the gross load is within the policy, m; None where there is none.

    Args:
        chart: the chart.
        gross_load_kg: everything below the boom head, kg.
        use_limit_ratio: largest use of the chart, ratio.
    """
    least = chart.smallest_radius_m or 0.0
    within = [
        row.radius_m
        for row in chart.rows
        if row.capacity_kg is not None
        and row.radius_m >= least - RADIUS_GRACE_M
        and 0.0 <= gross_load_kg <= use_limit_ratio * row.capacity_kg
    ]
    return max(within, default=None)


def _not_evaluated(reading: DutyReading, parts: Sequence[HookPart]) -> str:
    if not math.isfinite(reading.radius_m):
        return reading.reason
    wrong = [part.name for part in parts if not (math.isfinite(part.mass_kg) and part.mass_kg >= 0.0)]
    return f"no mass for: {', '.join(dict.fromkeys(wrong))}" if wrong else ""


def _close_in(chart: DutyChart, radius_m: float) -> str:
    first = chart.rows[0].radius_m
    if chart.smallest_radius_m is not None or not radius_m < first - RADIUS_GRACE_M:
        return ""
    return (
        f"The radius is below the first row of the chart, {format_quantity(first, 'm')}; see in the "
        "manual of the crane that it may work so close."
    )


@dataclass(frozen=True, slots=True)
class HookPart:
    """One part of what hangs below the boom head.

    Attributes:
        symbol: symbol in the working, e.g. ``m_load``.
        name: what it is.
        mass_kg: mass, kg.
        origin: where the mass comes from.
        quantity: key among the quantities of the lift, e.g. ``load_mass``; "" where it has none.
    """

    symbol: str
    name: str
    mass_kg: float
    origin: str
    quantity: str = ""


def gross_load_step(parts: Sequence[HookPart]) -> Step:
    """The step that adds up everything below the boom head, kg.

    Raises:
        InputError: there is no part.
    """
    if not parts:
        raise InputError.one("nothing hangs below the boom head; enter load, rig, block and rope")
    inputs = tuple(
        Value(part.symbol, part.mass_kg, "kg", part.name, part.origin, "t", part.quantity) for part in parts
    )
    total = Value(
        "m_gross", math.fsum(part.mass_kg for part in parts), "kg", "gross load on the crane", display="t"
    )
    return Step(total, " + ".join(part.symbol for part in parts), inputs, GROSS_LOAD)


def gross_load_check(
    check_id: str,
    station: str,
    title: str,
    *,
    chart: DutyChart,
    radius_m: float,
    parts: Sequence[HookPart],
    use_limit_ratio: float,
    nominal_parts: Sequence[HookPart] = (),
    radius_steps: Sequence[Step] = (),
    clause: Clause = CHART,
) -> Check:
    """Gross load at one radius against the chart, reduced by the firm's limit on its use.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        chart: chart of the crane as it stands.
        radius_m: radius, m, rounded to the worse side by the planner.
        parts: everything below the boom head at its greatest, kg.
        use_limit_ratio: largest use of the chart, ratio of 0 to 1.
        nominal_parts: the same at the expected weight, with symbols of its own; () leaves the nominal out.
        radius_steps: working of the radius under load; () where it is the planned one.
        clause: the rule that sets the limit.

    Returns:
        The check, in kg. The capacity shown is that of the chart times the limit. Refused beyond the last
        row.

    Raises:
        InputError: no part, or a limit outside 0 to 1.
    """
    if not 0.0 < use_limit_ratio <= 1.0:
        raise InputError.one(
            "the largest use of the chart must be above 0 % and at most 100 %", field=check_id
        )
    total = gross_load_step(parts)
    steps = [total, *radius_steps]
    nominal = None
    if nominal_parts:
        inputs = tuple(
            Value(part.symbol, part.mass_kg, "kg", part.name, part.origin, "t", part.quantity)
            for part in nominal_parts
        )
        nominal = Value(
            "m_gross_nom",
            math.fsum(part.mass_kg for part in nominal_parts),
            "kg",
            "gross load at the expected weight",
            display="t",
        )
        steps.insert(0, Step(nominal, " + ".join(part.symbol for part in nominal_parts), inputs, GROSS_LOAD))
    reading = read_chart(chart, radius_m)
    limit = Value("k_use", use_limit_ratio, "1", "largest use of the chart", "policy", display="%")
    if reading.row is None:
        capacity = Value("m_all", math.nan, "kg", "allowed gross load", "not in the chart", display="t")
        refused = reading.reason
        if not math.isfinite(radius_m):
            refused = ""
    else:
        tabulated = Value(
            "m_chart",
            reading.capacity_kg,
            "kg",
            f"capacity at {format_quantity(reading.row.radius_m, 'm')}",
            f"chart {chart.page}, row {format_quantity(reading.row.radius_m, 'm')}",
            display="t",
        )
        capacity = Value("m_all", use_limit_ratio * tabulated.value, "kg", "allowed gross load", display="t")
        steps.append(Step(capacity, "k_use*m_chart", (limit, tabulated), USE_LIMIT))
        refused = ""
    largest = largest_radius_m(chart, total.result.value, use_limit_ratio)
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=total.result,
        capacity=capacity,
        clause=clause,
        steps=tuple(steps),
        assumptions=(
            f"{chart.machine}, {chart.configuration}, {chart.page}: the crane stands exactly so.",
            "The crane is level, on firm ground, and hoists, slews and luffs gently.",
        ),
        nominal=nominal,
        attention=_close_in(chart, radius_m),
        refused_because=refused,
        not_evaluated_because=_not_evaluated(reading, (*parts, *nominal_parts)),
        cure=(
            f"keep the radius at or below {format_quantity(largest, 'm')}, or take a larger crane"
            if largest is not None
            else "take a larger crane: no radius of this chart carries the gross load within the limit"
        ),
    )
