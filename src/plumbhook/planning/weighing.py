"""A weighing worked out: mass and centre of gravity, the working, and whether the readings agree."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from plumbhook.checks.weighing import agreement_check, redundancy_check, weighing_steps
from plumbhook.core.audit import audit_steps, require_audit
from plumbhook.core.check import Check, Step
from plumbhook.core.chi_square import chance_of_sigmas, limit_of
from plumbhook.core.errors import AuditError, InputError
from plumbhook.model.weighing import Weighing, hook_disagreement, observations_of, weigh
from plumbhook.model.weighing_adjustment import WeighingError, WeighingResult

WEIGHING = "load.weighing"


@dataclass(frozen=True, slots=True)
class WeighingStatement:
    """What a weighing says.

    Attributes:
        source: who weighed, with what.
        state: state of the load while it was weighed; "" where it is not stated.
        result: mass and centre of gravity with covariance and corrections.
        mass_half_width_kg: half width of the 95 % band of the mass, kg.
        cog_half_sizes_m: half sizes of the 95 % box, all axes together, m; NaN along an axis not found.
        steps: the working by plain sums; every formula has been computed again.
        checks: readings against each other.
    """

    source: str
    state: str
    result: WeighingResult
    mass_half_width_kg: float
    cog_half_sizes_m: tuple[float, float, float]
    steps: tuple[Step, ...]
    checks: tuple[Check, ...]


def state_weighing(weighing: Weighing) -> WeighingStatement:
    """Work a weighing out.

    Raises:
        InputError: the readings give no mass, or no mass explains them.
        AuditError: a printed formula and the computed number disagree (a bug).
    """
    try:
        result = weigh(weighing)
    except WeighingError as error:
        raise InputError.one(str(error), field="weighing") from None
    steps = weighing_steps(observations_of(weighing))
    findings = audit_steps("weighing", steps)
    if findings:
        raise AuditError("printed formula and computed number disagree:\n" + "\n".join(map(str, findings)))
    checks = tuple(weighing_checks(weighing))
    require_audit(checks)
    return WeighingStatement(
        weighing.source,
        weighing.state or "",
        result,
        result.mass_half_width_kg,
        result.half_sizes_m,
        steps,
        checks,
    )


def weighing_checks(weighing: Weighing | None) -> Iterator[Check]:
    """Sum of the supports against the hook, and the whole adjustment against chance; nothing without a weighing."""
    if weighing is None:
        return
    observations, result = observations_of(weighing), weigh(weighing)
    gap = hook_disagreement(observations)
    if gap is not None and observations.hook is not None:
        hook = observations.hook
        yield agreement_check(
            "weighing.agreement",
            WEIGHING,
            "Weighing: sum of the supports against the hook",
            sum_kg=gap[0] + hook.reading_kg,
            sum_uncertainty_kg=math.sqrt(gap[1] ** 2 - hook.uncertainty_kg**2),
            hook_kg=hook.reading_kg,
            hook_uncertainty_kg=hook.uncertainty_kg,
            limit=weighing.disagreement_limit,
        )
    if result.redundancy:
        yield redundancy_check(
            "weighing.redundancy",
            WEIGHING,
            "Weighing: all readings against one weight and one centre of gravity",
            chi_square=result.chi_square,
            largest_chi_square=limit_of(chance_of_sigmas(weighing.disagreement_limit), result.redundancy),
            redundancy=result.redundancy,
        )
