"""The second method: statics by hand against the equilibrium solver with inextensible lines, at one pose."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from plumbhook.core.check import Check, Clause, SourceQuality, Step, Value

SECOND_METHOD = Clause(
    "Hand statics and rigid equilibrium agree at the same pose", quality=SourceQuality.POLICY
)


@dataclass(frozen=True, slots=True)
class MethodPair:
    """One force by both methods at the same pose.

    Attributes:
        quantity: what it is, e.g. "tension of T1".
        hand_N: by statics of the drawn geometry, with the centre of gravity moved by the tilt, N.
        rigid_N: by the equilibrium solver with inextensible lines, N.
    """

    quantity: str
    hand_N: float
    rigid_N: float

    @property
    def difference(self) -> float:
        """Relative difference; NaN where the rigid answer is missing or not positive."""
        return relative_difference(self.hand_N, self.rigid_N)


def relative_difference(hand: float, reference: float) -> float:
    """Absolute difference relative to the reference; NaN where the reference is not a positive number."""
    if not (math.isfinite(hand) and math.isfinite(reference)) or reference <= 0.0:
        return math.nan
    return abs(hand - reference) / reference


def second_method_check(
    check_id: str,
    station: str,
    title: str,
    *,
    pairs: Sequence[MethodPair],
    max_difference_ratio: float,
    clause: Clause = SECOND_METHOD,
) -> Check:
    """Largest relative difference between the two methods over all quantities compared.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        pairs: quantities by both methods at the same pose.
        max_difference_ratio: largest difference accepted, ratio.
        clause: the rule that sets the limit.

    Returns:
        The check, dimensionless. ``NOT_EVALUATED`` where nothing was compared or a number is missing.
    """
    limit = Value("d_max", max_difference_ratio, "1", "largest difference accepted", "policy", "%")
    if not pairs:
        missing = Value("d", math.nan, "1", "difference of the two methods", "nothing was compared", "%")
        return Check(
            check_id,
            station,
            title,
            missing,
            limit,
            clause,
            not_evaluated_because="no quantity was computed by both methods",
            cure="give the rig a form that statics by hand can solve, or have a second engineer check it",
        )
    worst = max(pairs, key=lambda pair: math.inf if math.isnan(pair.difference) else pair.difference)
    hand = Value("F_hand", worst.hand_N, "N", f"{worst.quantity}, by hand", "hand, same pose", "kN")
    rigid = Value("F_rigid", worst.rigid_N, "N", f"{worst.quantity}, rigid", "rigid equilibrium", "kN")
    result = Value(
        "d", worst.difference, "1", "largest difference of the two methods", worst.quantity, display="%"
    )
    step = Step(result, "abs(F_hand - F_rigid)/F_rigid", (hand, rigid), clause)
    # Where the difference is NaN the formula may still have a value; without a comparison there is no step.
    steps = () if math.isnan(worst.difference) else (step,)
    return Check(
        check_id,
        station,
        title,
        result,
        limit,
        clause,
        steps,
        cure="find the cause first: a wrong length, a wrong attachment, or a rig that is not determinate",
    )
