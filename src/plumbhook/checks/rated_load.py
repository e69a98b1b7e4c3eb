"""Rated load (WLL) of slings, shackles, links, load cells and end fittings against the force in them.

The comparison is made in the unit of the plate: the force divided by the acceleration of gravity is a mass,
and the rated load is a mass. The rated load already contains the safety factor of the item's own standard
(for instance 7 for textile slings of EN 1492-2, 5 for wire rope slings of EN 13414-1, 4 for chain of
EN 818-4), so the dynamic factor enters once, on the side of the load, and no further factor is applied.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from plumbhook.checks.demand import Demand
from plumbhook.checks.reduction import (
    NO_OTHER,
    Reduction,
    least_of,
    reduced_cure,
    reduced_step,
    refusals,
    unmeasured,
)
from plumbhook.checks.slinging import side_by_side_note
from plumbhook.core.check import Check, Clause, SourceQuality, Step, Value
from plumbhook.core.errors import InputError, Problem
from plumbhook.core.units import format_quantity

FloatOrArray = float | npt.NDArray[np.float64]

RATED_LOAD = Clause("SI 1998/2307 (LOLER)", "1998", "reg. 7(a): marked with its safe working load")
SHARE = Clause("Share of side-by-side items", quality=SourceQuality.COMMON_PRACTICE)
FORCE_AS_MASS = Clause("Newton's second law: rated loads are masses", quality=SourceQuality.OWN_DERIVATION)

ASSUMPTIONS = (
    "The rated load contains the safety factor of the item's own standard; the dynamic factor is applied "
    "once, to the load.",
    "The item is loaded in line as its standard foresees: no side load, no edge, no knot, no twist.",
)


def equivalent_mass_kg(force_N: FloatOrArray, gravity_m_s2: float, share_ratio: float = 1.0) -> FloatOrArray:
    """Mass whose weight is the share of a force that one item carries: ``share F / g``.

    Args:
        force_N: force in the line, tension positive, N; number or array.
        gravity_m_s2: acceleration of gravity that the whole lift uses, m/s2.
        share_ratio: part of the force in the most loaded of the items side by side, 1 for a single item.

    Returns:
        Mass to compare with a rated load, kg, shape of ``force_N``.

    Source: Newton's second law.
    """
    return share_ratio * force_N / gravity_m_s2


def rated_load_check(
    check_id: str,
    station: str,
    title: str,
    *,
    demand: Demand,
    rated_mass_kg: float | None,
    gravity_m_s2: float,
    item_kind: str,
    clause: Clause = RATED_LOAD,
    side_by_side: int = 1,
    larger_share: float = 1.0,
    own_weight_N: float = 0.0,
    angle_from_vertical_rad: float | None = None,
    reductions: Sequence[Reduction] = (),
) -> Check:
    """Check of one item, or the more loaded of items side by side, against its rated load.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        demand: force in the line, N, dynamic factor included.
        rated_mass_kg: rated load (WLL) of one item as marked, kg; None where it is not known.
        gravity_m_s2: acceleration of gravity, m/s2.
        item_kind: the item in the words of the trade, e.g. "shackle".
        clause: the rule that sets the limit.
        side_by_side: number of equal items that share the line.
        larger_share: part of the line's force in the most loaded of them, from 1/side_by_side to 1.
        own_weight_N: weight between the station of the demand and the item, dynamic factor included, N.
        angle_from_vertical_rad: angle of the line from the vertical in the nominal case, rad, shown only.
        reductions: factors on the rated load where the item is not used straight and in line.

    Returns:
        The check, in kg, with the working shown in tonnes. ``NOT_EVALUATED`` where the rated load or the measure of
        a reduction is missing; fails outright where the item is not rated for the use at all.

    Raises:
        InputError: number of items, share, weight or gravity make no sense.
    """
    _refuse_nonsense(check_id, gravity_m_s2, side_by_side, larger_share, own_weight_N, reductions)
    worst = demand.worst_step("F", f"largest force in the line at the {item_kind}")
    nominal_force = demand.nominal
    gravity = Value("g", gravity_m_s2, "m_s2", "acceleration of gravity", "rules of the lift")
    share = Value(
        "s",
        larger_share,
        "1",
        "part of the force in the most loaded of the items side by side",
        f"{side_by_side} side by side" if side_by_side > 1 else "single item",
        display="%",
    )
    weight = Value("W_own", own_weight_N, "N", "weight of the gear between, × dynamic factor", "item masses")
    steps = [worst]
    if angle_from_vertical_rad is not None and math.isfinite(angle_from_vertical_rad):
        steps.append(_vertical_part(nominal_force, angle_from_vertical_rad))
    steps.append(_mass_step("m_nom", nominal_force, share, weight, gravity, "as the rig hangs"))
    steps.append(_mass_step("m", worst.result, share, weight, gravity, "worst case"))
    masses = len(steps) - 1
    capacity = Value(
        "WLL",
        math.nan if rated_mass_kg is None else rated_mass_kg,
        "kg",
        f"rated load of the {item_kind}",
        "plate or certificate" if rated_mass_kg is not None else "missing",
        display="t",
    )
    if reductions:
        steps.append(reduced_step(capacity, reductions))
        capacity = steps[-1].result
        clause = least_of(reductions).clause
    assumptions = list(ASSUMPTIONS[:1] if reductions else ASSUMPTIONS)
    if reductions:
        assumptions.append(NO_OTHER)
    if side_by_side > 1:
        assumptions.append(side_by_side_note(side_by_side, larger_share))
    if angle_from_vertical_rad is not None:
        assumptions.append(
            f"The force is along the line, {format_quantity(angle_from_vertical_rad, 'rad')} from the "
            "vertical; no further angle factor applies."
        )
    mass, nominal = (step.result for step in (steps[masses], steps[masses - 1]))
    cure = ""
    if reductions:
        cure = reduced_cure(mass.value, reductions, item_kind)
    elif math.isfinite(mass.value):
        needed = format_quantity(mass.value, "kg", "t", rounding="up")
        article = "an" if item_kind[0] in "aeiou" else "a"
        cure = f"use {article} {item_kind} with a rated load of at least {needed}"
    if rated_mass_kg is None:
        cure = f"enter the rated load from the plate or certificate of the {item_kind}"
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=mass,
        capacity=capacity,
        clause=clause,
        steps=tuple(steps),
        assumptions=tuple(assumptions),
        nominal=nominal,
        refused_because=refusals(reductions),
        not_evaluated_because=_not_evaluated(rated_mass_kg, demand, angle_from_vertical_rad, reductions),
        cure=cure,
    )


def _not_evaluated(
    rated_mass_kg: float | None, demand: Demand, angle_rad: float | None, reductions: Sequence[Reduction]
) -> str:
    if rated_mass_kg is None:
        return "rated load missing"
    if demand.missing:
        return demand.missing
    if demand.worst < 0.0:
        # The weight of the gear between must not turn a negative force into a load that passes.
        return "the force in the line is negative"
    if angle_rad is not None and not math.isfinite(angle_rad):
        return "angle of the line missing"
    return unmeasured(reductions)


def _refuse_nonsense(
    check_id: str,
    gravity_m_s2: float,
    side_by_side: int,
    larger_share: float,
    own_weight_N: float,
    reductions: Sequence[Reduction],
) -> None:
    problems: list[Problem] = []
    if not (math.isfinite(gravity_m_s2) and gravity_m_s2 > 0.0):
        problems.append(Problem(check_id, "gravity must be a positive number"))
    if side_by_side < 1:
        problems.append(Problem(check_id, "the number of items side by side must be at least 1"))
    elif not 1.0 / side_by_side - 1e-12 <= larger_share <= 1.0:
        problems.append(
            Problem(
                check_id,
                f"the larger share of {side_by_side} items side by side must lie between "
                f"{100.0 / side_by_side:.0f} % and 100 %",
            )
        )
    if not (math.isfinite(own_weight_N) and own_weight_N >= 0.0):
        problems.append(Problem(check_id, "the weight of the gear between must be a number, zero or more"))
    symbols = [reduction.symbol for reduction in reductions]
    if len(set(symbols)) != len(symbols):
        problems.append(Problem(check_id, "one reduction is given twice; give each once"))
    if problems:
        raise InputError(tuple(problems))


def _vertical_part(force: Value, angle_from_vertical_rad: float) -> Step:
    angle = Value(
        "beta",
        angle_from_vertical_rad,
        "rad",
        "angle of the line from the vertical",
        "geometry as it hangs",
        display="deg",
    )
    result = Value(
        "V_nom",
        force.value * math.cos(angle_from_vertical_rad),
        "N",
        "vertical part of that force",
        display="kN",
    )
    return Step(result, f"{force.symbol}*cos(beta)", (force, angle), note="as the rig hangs")


def _mass_step(symbol: str, force: Value, share: Value, weight: Value, gravity: Value, case: str) -> Step:
    if weight.value > 0.0:
        formula = f"s*({force.symbol} + W_own)/g"
        inputs: tuple[Value, ...] = (share, force, weight, gravity)
    else:
        formula, inputs = f"s*{force.symbol}/g", (share, force, gravity)
    if share.value == 1.0:
        formula, inputs = formula.removeprefix("s*"), inputs[1:]
    mass = equivalent_mass_kg(force.value + weight.value, gravity.value, share.value)
    result = Value(symbol, float(mass), "kg", f"load on one item, as a mass, {case}", display="t")
    return Step(result, formula, inputs, FORCE_AS_MASS if share.value == 1.0 else SHARE)
