"""Rule packs applied to a lift: category with its reasons, limits kept, roles filled, contents answered.

Every active pack is evaluated by itself and shown; nothing is merged, so that a reader sees which authority asks what.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from plumbhook.checks.nd_0027_2016.factors import dynamic_factor
from plumbhook.checks.rule_limits import (
    category_check,
    competence_check,
    independent_checker_check,
    rule_limit_check,
)
from plumbhook.core.check import Check, Clause
from plumbhook.core.units import format_quantity, parse_quantity
from plumbhook.model.lift import Lift
from plumbhook.model.load import mass_kg, mass_tolerance_ratio
from plumbhook.model.quantity import Quantity
from plumbhook.model.rule_pack import TABLE_5_1, Limit, RulePack, content_items, rule_pack
from plumbhook.model.rules import Rules, rule_quantity
from plumbhook.planning.check_whole import FACTORS
from plumbhook.planning.rule_facts import ANSWERS, LiftFacts, condition_words, holds
from plumbhook.planning.rule_records import ContentRow, PackStatement, RoleRow, TriggerRow

_AUTHOR, _CHECKER = "appointed person", "checking engineer"


def pack_statements(facts: LiftFacts) -> tuple[PackStatement, ...]:
    """What every active pack makes of the lift, in the order of the file."""
    return tuple(_statement(rule_pack(name), facts) for name in facts.lift.file.rules.packs)


def pack_checks(facts: LiftFacts) -> Iterator[Check]:
    """Checks of limits and categories of every active pack, and of the people named."""
    rules = facts.lift.file.rules
    for name in rules.packs:
        pack = rule_pack(name)
        yield from (_limit_check(pack, limit, facts) for limit in pack.limits)
        if name in rules.categories:
            triggers = _triggers(pack, facts)
            required = _category(pack, triggers)
            reason = next((t for t in pack.triggers if t.category == required), None)
            yield category_check(
                f"category.{name}",
                FACTORS,
                f"Category by {pack.title}",
                declared=rules.categories[name],
                required=required,
                categories=pack.categories,
                clause=reason.source if reason else _title_clause(pack),
            )
    yield from _people_checks(facts.lift)


def _title_clause(pack: RulePack) -> Clause:
    return Clause(pack.title)


def _people_checks(lift: Lift) -> Iterator[Check]:
    people = lift.file.people
    if not people:
        return
    yield independent_checker_check(
        "people.independent",
        FACTORS,
        "The checking engineer is not the author",
        authors=[person.name for person in people if person.role == _AUTHOR],
        checkers=[person.name for person in people if person.role == _CHECKER],
    )
    for position, person in enumerate(people):
        if person.competent_until is not None:
            yield competence_check(
                f"people.competence.{position}",
                FACTORS,
                f"{person.name}, {person.role}: evidence of competence",
                competent_until=person.competent_until,
                lift_date=lift.file.lift.date,
            )


def _statement(pack: RulePack, facts: LiftFacts) -> PackStatement:
    triggers = _triggers(pack, facts)
    required = _category(pack, triggers)
    declared = facts.lift.file.rules.categories.get(pack.pack, required)
    category = max(required, declared, key=pack.categories.index)
    people = facts.lift.file.people
    return PackStatement(
        pack=pack.pack,
        title=pack.title,
        category=category,
        triggers=tuple(triggers),
        roles=tuple(
            RoleRow(row.role, str(row.source), tuple(p.name for p in people if p.role == row.role))
            for row in pack.roles
        ),
        contents=tuple(_contents(pack, category, facts)),
    )


def heightened_category(facts: LiftFacts) -> str:
    """The category that is above the usual one by any active pack or the client's own rule, in words; else ""."""
    for name in facts.lift.file.rules.packs:
        pack = rule_pack(name)
        category = _statement(pack, facts).category
        if pack.categories.index(category) > pack.categories.index(pack.usual_category):
            return f"{category} lift by {pack.title}"
    limit = facts.lift.file.rules.critical_crane_use
    if limit is not None and facts.crane_use and max(facts.crane_use.values()) > limit:
        return "critical lift by the client's own rule"
    return ""


def _category(pack: RulePack, triggers: list[TriggerRow]) -> str:
    held = [row.category for row in triggers if row.holds]
    return max([pack.usual_category, *held], key=pack.categories.index)


def _triggers(pack: RulePack, facts: LiftFacts) -> list[TriggerRow]:
    return [
        TriggerRow(condition_words(row), row.category, holds(row.when, row.value, facts), str(row.source))
        for row in pack.triggers
    ]


def _contents(pack: RulePack, category: str, facts: LiftFacts) -> Iterator[ContentRow]:
    rank = pack.categories.index
    for row in pack.contents:
        if rank(category) < rank(row.from_category):
            continue
        if row.when is not None and holds(row.when, None, facts) is False:
            continue
        item = content_items()[row.item]
        yield ContentRow(item.words, str(row.source), ANSWERS[item.answered_by](facts))


# Limits of a pack on the rules of the plan.


def _limit_check(pack: RulePack, limit: Limit, facts: LiftFacts) -> Check:
    adopted, quantity = _adopted(limit.rule, facts)
    relaxed = next(
        (r for r in facts.lift.file.rules.relaxed if r.pack == pack.pack and r.rule == limit.rule), None
    )
    return rule_limit_check(
        f"pack.{pack.pack}.{limit.rule}",
        FACTORS,
        f"{pack.title}: {limit.rule.replace('_', ' ')}",
        adopted=adopted,
        unit=quantity.kind.value,
        display=_DISPLAY.get(quantity.kind.value, ""),
        clause=limit.source,
        at_least=_bound(limit.at_least, quantity, facts),
        at_most=_bound(limit.at_most, quantity, facts),
        relaxed=f"relaxed by {relaxed.by}: {relaxed.because}" if relaxed else "",
    )


_DISPLAY = {"rad": "deg"}


def _adopted(rule: str, facts: LiftFacts) -> tuple[float | None, Quantity]:
    """What the plan works with for a rule named as in the lift file, SI, and what kind of quantity it is."""
    quantity = rule_quantity(rule)
    if rule == "weight_tolerance":
        return mass_tolerance_ratio(facts.lift.file.load), quantity
    name = next(name for name, field in Rules.model_fields.items() if (field.alias or name) == rule)
    value = getattr(facts.lift.file.rules, name)
    return (None if value is None else float(value)), quantity


def _bound(text: str | None, quantity: Quantity, facts: LiftFacts) -> float | None:
    if text is None:
        return None
    if text != TABLE_5_1:
        return parse_quantity(text, quantity.kind)
    situation = facts.lift.file.circumstances.situation
    mass = mass_kg(facts.lift.file.load)
    if situation is None:
        return math.nan
    below = facts.hook_mass_kg if math.isfinite(facts.hook_mass_kg) else mass
    return float(dynamic_factor(mass, below, situation))


# What is open, in words.


def pack_gaps(facts: LiftFacts, statements: tuple[PackStatement, ...]) -> Iterator[tuple[str, str]]:
    """What the packs ask for and the file does not say or have, each with who can close it."""
    if not facts.lift.file.rules.packs:
        yield (
            "No rule pack is named (rules.packs): category, roles and contents of the plan are not checked.",
            _AUTHOR,
        )
    for statement in statements:
        unsaid = list(dict.fromkeys(row.words for row in statement.triggers if row.holds is None))
        if unsaid:
            yield f"{statement.title}: not stated whether {'; '.join(unsaid)} (circumstances).", _AUTHOR
        missing = [f"{row.words} ({row.clause})" for row in statement.contents if not row.answer]
        if missing:
            yield f"{statement.title} asks for, and this plan has not: {'; '.join(missing)}.", _AUTHOR
        nobody = [f"{row.role} ({row.clause})" for row in statement.roles if not row.names]
        if nobody:
            yield f"{statement.title}: nobody is named as {'; '.join(nobody)} (people).", _AUTHOR


def pack_cautions(facts: LiftFacts, statements: tuple[PackStatement, ...]) -> Iterator[str]:
    """Categories above the usual ones, with their reasons, and every rule that is relaxed."""
    for statement in statements:
        reasons = [
            row.words for row in statement.triggers if row.holds and row.category == statement.category
        ]
        if reasons:
            yield f"{statement.title}: {statement.category} lift, because {'; '.join(dict.fromkeys(reasons))}."
    limit = facts.lift.file.rules.critical_crane_use
    if limit is not None and facts.crane_use:
        largest = max(facts.crane_use.values())
        word = "critical" if largest > limit else "not critical"
        used = format_quantity(largest, "1", "%", rounding="up")
        yield f"The client's own rule, above {format_quantity(limit, '1', '%')} of the chart: {word}, {used} is used."
    for relaxed in facts.lift.file.rules.relaxed:
        rule = relaxed.rule.replace("_", " ")
        yield f"Rule relaxed, {relaxed.pack}, {rule}: {relaxed.because} Answered for by {relaxed.by}."
