"""Habits of the trade in putting a rig together: torque of the joint bolts, order of the shackles."""

from __future__ import annotations

import math
import re

from plumbhook.core.check import Check, Clause, SourceQuality, Value
from plumbhook.core.errors import InputError

LEAST_TORQUE = Clause("Joint bolts M20 tightened to 240 N·m at least", quality=SourceQuality.COMMON_PRACTICE)
SHACKLE_ORDER = Clause("The smaller shackle below, the larger above", quality=SourceQuality.COMMON_PRACTICE)
_BOLT_SIZE = re.compile(r"\bM(\d+)\b")
_SIZE_WITH_A_KNOWN_LEAST = "M20"


def bolt_size(joint_bolts: str) -> str:
    """Metric size of the bolts in a description such as ``6 x M20 8.8``; "" where it names none or several."""
    sizes = {f"M{number}" for number in _BOLT_SIZE.findall(joint_bolts)}
    return sizes.pop() if len(sizes) == 1 else ""


def joint_torque_check(
    check_id: str,
    station: str,
    title: str,
    *,
    joint_bolts: str,
    joint_torque_Nm: float | None,
    least_torque_Nm: float,
) -> Check:
    """Tightening torque of the joints of a strut against the least one customary for M20 bolts.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        joint_bolts: the bolts of one joint in words, e.g. ``6 x M20 8.8``.
        joint_torque_Nm: torque stated for the family, N m; None where it is not known.
        least_torque_Nm: least torque for M20, N m.

    Returns:
        The check, in N m. Not applicable to other sizes, whose torque the maker's sheet alone gives;
        ``NOT_EVALUATED`` where the torque or the size of the bolts is not known.

    Raises:
        InputError: the least torque is no positive number.
    """
    if not (math.isfinite(least_torque_Nm) and least_torque_Nm > 0.0):
        raise InputError.one("the least torque must be a positive number", field=check_id)
    size = bolt_size(joint_bolts)
    stated = Value(
        "T_joint",
        math.nan if joint_torque_Nm is None else joint_torque_Nm,
        "Nm",
        f"torque stated for the joints, {joint_bolts or 'bolts not stated'}",
        "strut family" if joint_torque_Nm is not None else "missing",
        "N.m",
    )
    unknown = "the torque of the joints is missing" if joint_torque_Nm is None else ""
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=Value("T_least", least_torque_Nm, "Nm", "least torque for M20", "policy", "N.m"),
        capacity=stated,
        clause=LEAST_TORQUE,
        assumptions=("The torque of every joint bolt is checked again before each lift.",),
        not_applicable_because=(
            f"the joints have {size} bolts; their torque is the maker's alone"
            if size and size != _SIZE_WITH_A_KNOWN_LEAST and not unknown
            else ""
        ),
        not_evaluated_because=unknown or ("" if size else "the size of the joint bolts is not stated"),
        cure="state bolts and torque of the family as on the maker's sheet",
    )


def shackle_order_check(
    check_id: str,
    station: str,
    title: str,
    *,
    upper_rated_kg: float | None,
    lower_rated_kg: float | None,
) -> Check:
    """The shackle at the lower end of a line is no larger than the one at its upper end.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        upper_rated_kg: rated load of the shackle at the upper end, kg; None where it is not known.
        lower_rated_kg: likewise at the lower end.

    Returns:
        The check, in kg. It never fails on a known order, for both shackles are checked against their own rated load:
        a larger shackle below gets attention. ``NOT_EVALUATED`` where a rated load is missing.
    """
    upper = math.nan if upper_rated_kg is None else upper_rated_kg
    lower = math.nan if lower_rated_kg is None else lower_rated_kg
    larger_below = lower > upper
    missing = not all(math.isfinite(rated) and rated > 0.0 for rated in (upper, lower))
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=Value(
            "n", float(larger_below), "1", "larger shackles below smaller ones", "items of the line"
        ),
        capacity=Value("n_max", 1.0, "1", "shackles that may be so, with attention", "policy"),
        clause=SHACKLE_ORDER,
        attention=(
            "A larger shackle hangs below a smaller one: check that neither has been swapped."
            if larger_below
            else ""
        ),
        not_evaluated_because="the rated load of a shackle is missing or makes no sense" if missing else "",
        cure="use the larger shackle above",
    )
