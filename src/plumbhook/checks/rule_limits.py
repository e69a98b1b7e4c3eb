"""What a rule pack asks of the plan itself: its factors and limits, its category, its people."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence

from plumbhook.core.check import Check, Clause, SourceQuality, Value
from plumbhook.core.units import format_quantity

OTHER_THAN_AUTHOR = Clause(
    "The checker of a plan is somebody other than its author", quality=SourceQuality.COMMON_PRACTICE
)
COMPETENT_ON_THE_DAY = Clause(
    "Evidence of competence is in date on the day of the lift", quality=SourceQuality.COMMON_PRACTICE
)


def rule_limit_check(
    check_id: str,
    station: str,
    title: str,
    *,
    adopted: float | None,
    unit: str,
    display: str,
    clause: Clause,
    at_least: float | None = None,
    at_most: float | None = None,
    relaxed: str = "",
) -> Check:
    """A factor or limit that the plan works with against what a rule pack allows.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        adopted: what the plan works with, SI; None where it is not stated.
        unit: SI unit of the rule.
        display: unit to print it in.
        clause: clause of the pack.
        at_least: least value allowed, or None.
        at_most: largest value allowed, or None; exactly one of the two is given.
        relaxed: why the rule is not kept and who answers for it; "" where it must be kept.

    Returns:
        The check. ``NOT_EVALUATED`` where nothing is adopted or the pack's bound cannot be told; not applicable,
        with the reason, where the rule is relaxed.

    Raises:
        ValueError: both bounds or none are given.
    """
    if (at_least is None) == (at_most is None):
        raise ValueError("a rule has one bound")
    bound = at_least if at_least is not None else at_most
    words = "at least" if at_least is not None else "at most"
    value = math.nan if adopted is None or not math.isfinite(adopted) else adopted
    limit = math.nan if bound is None or not math.isfinite(bound) else bound
    off = limit - value if at_least is not None else value - limit
    known, broken = not math.isnan(off), off > 0.0
    # The pack's bound is no capacity: what fails is being off it at all.
    return Check(
        check_id=check_id,
        station=station,
        title=f"{title}, the plan works with {format_quantity(value, unit, display)}",
        demand=Value(
            "short", max(0.0, off) if known else math.nan, unit, "how far the plan is off", "rules", display
        ),
        capacity=Value("limit", limit, unit, f"what the rule pack asks, {words}", str(clause), display),
        clause=clause,
        refused_because="it is not kept" if broken and not relaxed else "",
        not_applicable_because=relaxed if broken else "",
        not_evaluated_because="" if known else "the plan does not state it, or not what it depends on",
        cure="keep the rule, or name in rules.relaxed why not and who answers for it",
    )


def category_check(
    check_id: str,
    station: str,
    title: str,
    *,
    declared: str,
    required: str,
    categories: Sequence[str],
    clause: Clause,
) -> Check:
    """The category that the plan declares against the one that its circumstances ask for.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        declared: category in the lift file.
        required: category that is triggered.
        categories: categories of the pack from the least to the most demanding.
        clause: clause of the pack.

    Returns:
        A check that is refused where the declared category is the lesser one.
    """
    ranks = {name: rank for rank, name in enumerate(categories)}
    lower = max(0, ranks[required] - ranks[declared])
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=Value("required", float(ranks[required]), "1", f"category {required}", "triggers of the pack"),
        capacity=Value(
            "declared", float(max(ranks[declared], 1)), "1", f"category {declared}", "rules.categories"
        ),
        clause=clause,
        refused_because=f"declared as {declared}, but its circumstances make it {required}" if lower else "",
        cure=f"declare {required}, or delete the declaration",
    )


def independent_checker_check(
    check_id: str, station: str, title: str, *, authors: Sequence[str], checkers: Sequence[str]
) -> Check:
    """Nobody checks their own plan.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        authors: names of those who plan.
        checkers: names of those who check.

    Returns:
        A check that is refused where a name stands on both sides, and not evaluated where either side is empty.
    """
    both = sorted({_folded(name) for name in authors} & {_folded(name) for name in checkers})
    missing = [words for words, names in (("author", authors), ("checker", checkers)) if not names]
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=Value("n_same", float(len(both)), "1", "people who are both author and checker", "people"),
        capacity=Value("n_checkers", float(max(len(checkers), 1)), "1", "people who check", "people"),
        clause=OTHER_THAN_AUTHOR,
        refused_because=f"{', '.join(both)}: author and checker at once" if both else "",
        not_evaluated_because=f"no {' and no '.join(missing)} is named" if missing else "",
        cure="have somebody else check the plan",
    )


def _folded(name: str) -> str:
    return " ".join(name.casefold().split())


def competence_check(
    check_id: str,
    station: str,
    title: str,
    *,
    competent_until: datetime.date | None,
    lift_date: datetime.date,
) -> Check:
    """Evidence of a person's competence against the day of the lift.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: whose, for what.
        competent_until: last day on which the evidence counts; None where it is not stated.
        lift_date: day of the lift.

    Returns:
        A check that is refused where the evidence has expired, ``NOT_EVALUATED`` where no day is stated.
    """
    expired = competent_until is not None and competent_until < lift_date
    stated = math.nan if competent_until is None else 1.0
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=Value(
            "n_expired", float(expired), "1", f"evidence expired on {lift_date.isoformat()}", "people"
        ),
        capacity=Value("n_stated", stated, "1", f"evidence that counts until {competent_until}", "people"),
        clause=COMPETENT_ON_THE_DAY,
        refused_because=f"expires on {competent_until}, before the lift" if expired else "",
        not_evaluated_because="" if competent_until is not None else "no day is stated until which it counts",
        cure="renew the evidence, or name somebody else",
    )
