"""Hoist rope and hook block: pull on the lead line against the rated line pull, the block against its rating."""

from __future__ import annotations

import math
from collections.abc import Sequence

from plumbhook.core.check import Check, Clause, SourceQuality, Step, Value
from plumbhook.core.errors import InputError
from plumbhook.crane.chart import HookPart, gross_load_step

LEAD_LINE = Clause(
    "Wire Rope Users Manual", "4th edition", "lead-line factor of a tackle with as many sheaves as falls"
)
EFFICIENCY = Clause("Reeving efficiency as stated for the crane", quality=SourceQuality.COMMON_PRACTICE)
LINE_PULL = Clause(
    "Rated line pull of the hoist, not exceeded by the lead line", quality=SourceQuality.COMMON_PRACTICE
)
BLOCK_RATING = Clause(
    "Rated load of the hook block, not exceeded by what hangs on it", quality=SourceQuality.COMMON_PRACTICE
)


def lead_line_factor(falls: int, sheave_factor: float, lead_sheaves: int = 0) -> float:
    """Pull on the lead line over the load, ``K^s (K - 1)/(K^n - 1)``; 1/n where the sheaves have no friction.

    Args:
        falls: falls of rope between boom head and block, n.
        sheave_factor: pull after a sheave over that before it, K, 1 or more.
        lead_sheaves: sheaves between the tackle and the drum; the tackle itself has as many as falls, s = n + these.

    Raises:
        InputError: no fall, or a factor below 1.

    Source: Wire Rope Users Manual, 4th edition, pp. 86-88 (K 1.09 plain, 1.04 anti-friction bearings); API RP 9B,
    14th edition, figure 1, case A, has the same factors.
    """
    if falls < 1 or lead_sheaves < 0 or not (math.isfinite(sheave_factor) and sheave_factor >= 1.0):
        raise InputError.one(
            "the tackle needs one fall or more and a sheave factor of 1 or more, for instance 1.04 for anti-friction "
            "bearings",
            field="rope.sheave_factor",
        )
    if sheave_factor - 1.0 < 1e-9:
        return 1.0 / falls
    factor: float = sheave_factor ** (falls + lead_sheaves) * (sheave_factor - 1.0)
    return factor / (sheave_factor**falls - 1.0)


def line_pull_check(
    check_id: str,
    station: str,
    title: str,
    *,
    parts: Sequence[HookPart],
    falls: int | None,
    line_pull_N: float | None,
    reeving_efficiency: float | None,
    sheave_factor: float | None,
    lead_sheaves: int = 0,
    gravity_m_s2: float,
    clause: Clause = LINE_PULL,
) -> Check:
    """Pull on the lead line while hoisting against the rated line pull.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        parts: everything below the boom head, rope included, kg.
        falls: falls of rope; None where not known.
        line_pull_N: rated line pull, N; None where not known.
        reeving_efficiency: load over falls times lead line, ratio of 0 to 1; None to reckon it by the sheaves.
        sheave_factor: pull after a sheave over that before it, 1 or more; None where an efficiency is stated.
        lead_sheaves: sheaves between the tackle and the drum; for the reckoning by sheaves only.
        gravity_m_s2: acceleration of gravity, m/s2.
        clause: the rule that sets the limit.

    Returns:
        The check, in N. ``NOT_EVALUATED`` where falls, line pull, or both ways to the friction are missing.

    Raises:
        InputError: no part hangs below the boom head, or the friction makes no sense.
    """
    total = gross_load_step(parts)
    gravity = Value("g", gravity_m_s2, "m_s2", "acceleration of gravity", "rules")
    missing = [
        name
        for name, absent in (
            ("the number of falls (place.crane.rigged_as.falls)", falls is None),
            ("the rated line pull (place.crane.rope.line_pull)", line_pull_N is None),
            (
                "the friction of the reeving (place.crane.rope.reeving_efficiency or sheave_factor)",
                reeving_efficiency is None and sheave_factor is None,
            ),
        )
        if absent
    ]
    steps = [total]
    pull = Value("S", math.nan, "N", "pull on the lead line", "missing", "kN")
    number = Value("n", math.nan if falls is None else float(falls), "1", "falls of rope", "crane as rigged")
    if falls is not None and reeving_efficiency is not None:
        if not 0.0 < reeving_efficiency <= 1.0:
            raise InputError.one(
                "the reeving efficiency must be above 0 and at most 1", field="rope.reeving_efficiency"
            )
        ratio = Value("eta", reeving_efficiency, "1", "efficiency of the reeving", "place.crane.rope")
        pull = Value(
            "S",
            total.result.value * gravity_m_s2 / (falls * reeving_efficiency),
            "N",
            "pull on the lead line",
            display="kN",
        )
        steps.append(Step(pull, "m_gross*g/(n*eta)", (total.result, gravity, number, ratio), EFFICIENCY))
    elif falls is not None and sheave_factor is not None:
        factor = Value(
            "f_lead",
            lead_line_factor(falls, sheave_factor, lead_sheaves),
            "1",
            "pull on the lead line over the load",
        )
        friction = Value(
            "K", sheave_factor, "1", "pull after a sheave over that before it", "place.crane.rope"
        )
        sheaves = Value("s", float(falls + lead_sheaves), "1", "sheaves that the rope runs over")
        formula = "K**s*(K - 1)/(K**n - 1)" if sheave_factor - 1.0 >= 1e-9 else "1/n"
        inputs = (friction, sheaves, number) if sheave_factor - 1.0 >= 1e-9 else (number,)
        pull = Value(
            "S",
            total.result.value * gravity_m_s2 * factor.value,
            "N",
            "pull on the lead line",
            display="kN",
        )
        steps.append(Step(factor, formula, inputs, LEAD_LINE))
        steps.append(Step(pull, "m_gross*g*f_lead", (total.result, gravity, factor), LEAD_LINE))
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=pull,
        capacity=Value(
            "S_all",
            math.nan if line_pull_N is None else line_pull_N,
            "N",
            "rated line pull",
            "place.crane.rope.line_pull",
            "kN",
        ),
        clause=clause,
        steps=tuple(steps),
        assumptions=("The rope is in order, and of the kind that the rated line pull holds for.",),
        not_evaluated_because=_why(missing, parts),
        cure=f"enter {' and '.join(missing)}" if missing else "reeve more falls, and take the chart for them",
    )


def block_check(
    check_id: str,
    station: str,
    title: str,
    *,
    parts: Sequence[HookPart],
    rating_kg: float | None,
    clause: Clause = BLOCK_RATING,
) -> Check:
    """What hangs on the hook block against its rated load.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        parts: what hangs on the hook: load and rig, without block and rope, kg.
        rating_kg: rated load of the block, kg; None where not known.
        clause: the rule that sets the limit.

    Returns:
        The check, in kg. ``NOT_EVALUATED`` where the rating is missing.

    Raises:
        InputError: nothing hangs on the hook.
    """
    total = gross_load_step(parts)
    on_hook = Value("m_hook", total.result.value, "kg", "load and rig on the hook", display="t")
    missing = (
        ["the rated load of the hook block (place.crane.hook_block_rating)"] if rating_kg is None else []
    )
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=on_hook,
        capacity=Value(
            "m_block_all",
            math.nan if rating_kg is None else rating_kg,
            "kg",
            "rated load of the hook block",
            "place.crane.hook_block_rating",
            "t",
        ),
        clause=clause,
        steps=(Step(on_hook, total.formula, total.inputs, clause),),
        not_evaluated_because=_why(missing, parts),
        cure=f"enter {missing[0]}" if missing else "take a larger block, and enter its mass",
    )


def _why(missing: Sequence[str], parts: Sequence[HookPart]) -> str:
    without = [part.name for part in parts if not (math.isfinite(part.mass_kg) and part.mass_kg >= 0.0)]
    if without:
        return f"no mass for: {', '.join(dict.fromkeys(without))}"
    return f"not stated: {', '.join(missing)}" if missing else ""
