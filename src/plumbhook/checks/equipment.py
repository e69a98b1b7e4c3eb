"""Whether the items named may be used on the day: status, examination in date, mass known."""

from __future__ import annotations

import calendar
import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from plumbhook.core.check import Check, Clause, SourceQuality, Value
from plumbhook.core.errors import InputError

ACCESSORY_EXAMINATION = Clause(
    "SI 1998/2307 (LOLER)", "1998", "reg. 9(3)(a)(i): accessories for lifting at least every 6 months"
)
CALIBRATION = Clause("Calibration of load cells", quality=SourceQuality.POLICY)

ACCESSORY_MONTHS = 6
"""Interval of thorough examination of an accessory, LOLER 1998 reg. 9(3)(a)(i); a scheme may replace it."""

_CURE_MISSING = "complete the record of the item from its report of examination and its plate"

USABLE = "ok"
"""The one status of an item that lets it be used."""


@dataclass(frozen=True, slots=True)
class ItemState:
    """What is known of one item on the day the lift is planned.

    Attributes:
        serial: serial number.
        status: ``ok``, or what is wrong with it.
        last_examination: date of the last thorough examination or calibration, None where it is not known.
        mass_kg: mass, kg, None where it is not known.
    """

    serial: str
    status: str
    last_examination: date | None
    mass_kg: float | None


def add_months(day: date, months: int) -> date:
    """The same day so many months later; the last day of the month where that day does not exist."""
    index = day.year * 12 + day.month - 1 + months
    year, month = divmod(index, 12)
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


def months_between(earlier: date, later: date) -> float:
    """Age in months: whole months, and the part of the running month in days.

    It is exactly ``n`` on the day :func:`add_months` gives for ``n``, and larger from the next day on.
    """
    whole = (later.year - earlier.year) * 12 + later.month - earlier.month
    if add_months(earlier, whole) > later:
        whole -= 1
    start, end = add_months(earlier, whole), add_months(earlier, whole + 1)
    return whole + (later - start).days / (end - start).days


def item_usable_check(
    check_id: str,
    station: str,
    title: str,
    *,
    items: Sequence[ItemState],
    lift_date: date,
    used_until: date | None = None,
    interval_months: int = ACCESSORY_MONTHS,
    clause: Clause = ACCESSORY_EXAMINATION,
) -> Check:
    """Status, date of examination and mass of a group of equal items.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        items: every item of the group.
        lift_date: day of the lift; an item that falls due on that day is still in date.
        used_until: last day on which the items are out, where that is later than the lift.
        interval_months: interval of examination or calibration, months.
        clause: the rule that sets the limit.

    Returns:
        The check, in months: age of the oldest examination on the last day of use against the interval.
        Refused where a status is not ``ok`` or an item is overdue; ``NOT_EVALUATED`` where a date or a mass
        is missing, or a date lies after the lift.

    Raises:
        InputError: the interval is not positive, or the last day of use is before the lift.
    """
    if interval_months < 1:
        raise InputError.one("the interval of examination must be at least one month", field=check_id)
    last_day = lift_date if used_until is None else used_until
    if last_day < lift_date:
        raise InputError.one("the equipment cannot be back before the lift; correct one date", field=check_id)
    ages = {
        item.serial: months_between(item.last_examination, last_day)
        for item in items
        if item.last_examination is not None and item.last_examination <= lift_date
    }
    oldest = max(ages, key=ages.__getitem__) if ages else ""
    age = Value(
        "t_exam",
        ages[oldest] if ages else math.nan,
        "months",
        "time since the examination on the last day of use, oldest of the group",
        oldest or "no date is known",
    )
    interval = Value("t_max", float(interval_months), "months", "interval of examination", str(clause))
    unfit = [f"{item.serial}: {item.status or 'no status'}" for item in items if item.status != USABLE]
    unfit += [
        f"{item.serial}: {_due(item.last_examination, interval_months, lift_date)}"
        for item in items
        if item.last_examination is not None and add_months(item.last_examination, interval_months) < last_day
    ]
    missing = _missing(items, lift_date)
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=age,
        capacity=interval,
        clause=clause,
        refused_because=f"not fit for use: {'; '.join(unfit)}" if unfit else "",
        not_evaluated_because=missing,
        cure="take another item instead, or have it examined first" if unfit else _CURE_MISSING,
    )


def _due(examined: date, interval_months: int, lift_date: date) -> str:
    due = add_months(examined, interval_months)
    return f"{'was' if due < lift_date else 'falls'} due {due.isoformat()}"


def _missing(items: Sequence[ItemState], lift_date: date) -> str:
    if not items:
        return "no item is named"
    reasons: list[str] = []
    for item in items:
        if item.last_examination is None:
            reasons.append(f"{item.serial} has no date of examination")
        elif item.last_examination > lift_date:
            reasons.append(f"{item.serial} was examined after the lift")
        if item.mass_kg is None or not (math.isfinite(item.mass_kg) and item.mass_kg >= 0.0):
            reasons.append(f"{item.serial} has no mass")
    return "; ".join(reasons)
