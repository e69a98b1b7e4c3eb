"""Rows of a tolerance study by quantity: bands of three methods, what is planned for, and what matters most."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from plumbhook.planning.assessment import CaseResult, Method
from plumbhook.planning.cases import EXPECTED_CASE
from plumbhook.planning.solutions import Solutions
from plumbhook.planning.statistics import quantiles
from plumbhook.planning.tolerance_inputs import Inputs
from plumbhook.planning.tolerance_rig import StudyRig
from plumbhook.planning.tolerance_run import Moments
from plumbhook.planning.tolerance_skew import counted_share
from plumbhook.planning.tolerance_study import LEVELS, Contribution, QuantityRow

Floats = npt.NDArray[np.float64]

_APART = 0.05
_WELL_EXPLAINED = 0.9
_TILT = {"tilt": ("tilt_x", "tilt_y")}
"""A tilt has no slope where the load hangs level; the variance of its two components says what matters."""


@dataclass(frozen=True, slots=True)
class QuantityPlan:
    """One quantity to report: how it is called and printed, what the box corners and the assessment say of it."""

    key: str
    words: str
    unit: str
    display: str
    middle: float
    corner: float = math.nan
    corner_name: str = ""
    planned: float = math.nan
    smaller_is_worse: bool = False


def quantity_plans(
    rig: StudyRig, solutions: Solutions, middle: Mapping[str, float]
) -> Iterator[QuantityPlan]:
    """The quantities of a rig in load-path order."""
    problem = rig.problem
    factor = problem.dynamic_factor

    def plan(
        key: str,
        words: str,
        unit: str,
        display: str,
        pick: Callable[[CaseResult], float] | None,
        planned: float = math.nan,
    ) -> QuantityPlan:
        corner, name = _worst_corner(solutions, pick) if pick is not None else (math.nan, "")
        return QuantityPlan(key, words, unit, display, middle[key], corner, name, planned)

    yield plan(
        "hook_load",
        "weight under the hook items",
        "N",
        "kN",
        lambda case: factor * case.hook_load_N,
        solutions.hook_demand().worst,
    )
    for name in problem.rig.lines:
        yield plan(
            f"tension:{name}",
            f"tension of {name}",
            "N",
            "kN",
            lambda case, name=name: factor * case.tensions_N[name],  # type: ignore[misc]
            solutions.line_demand(name).worst,
        )
    for name in problem.rig.struts:
        yield plan(
            f"compression:{name}",
            f"compression of {name}",
            "N",
            "kN",
            lambda case, name=name: factor * case.compressions_N[name],  # type: ignore[misc]
            solutions.compression_demand(name).worst,
        )
    yield plan(
        "tilt", "tilt of the load", "rad", "deg", lambda case: case.tilt_rad, solutions.tilt_demand().worst
    )
    for axis in "xy":
        yield plan(f"tilt_{axis}", f"{axis}+ side low", "rad", "deg", None)
    for line in problem.rig.lines.values():
        if line.role == "lower":
            yield plan(
                f"angle:{line.name}",
                f"lean of {line.name} from plumb",
                "rad",
                "deg",
                lambda case, name=line.name: case.angles_from_vertical_rad[name],  # type: ignore[misc]
                solutions.largest_angle_rad(line.name),
            )
        if line.lower.startswith("load."):
            point = line.lower.removeprefix("load.")
            yield plan(
                f"off_axis:{point}",
                f"pull off the axis of lift point {point}",
                "rad",
                "deg",
                lambda case, name=point: case.off_axis_rad[name],  # type: ignore[misc]
                solutions.off_axis_demand(point).worst,
            )
    yield plan(
        "rig_height",
        "lowest point of the load to the hook",
        "m",
        "m",
        lambda case: case.rig_height_m,
        solutions.height_demand().worst,
    )
    yield QuantityPlan(
        "restoring_height",
        "restoring height, weaker plane",
        "m",
        "m",
        middle["restoring_height"],
        smaller_is_worse=True,
    )


def _worst_corner(solutions: Solutions, pick: Callable[[CaseResult], float]) -> tuple[float, str]:
    corners = [
        case for case in solutions.expected if case.method is Method.ELASTIC and case.case != EXPECTED_CASE
    ]
    if not corners:
        return math.nan, ""
    worst = max(corners, key=pick)
    return pick(worst), worst.case


@dataclass(frozen=True, slots=True)
class FirstOrder:
    """Answers to first order by quantity: samples (n,), and change per standard deviation of each input (P,)."""

    samples: Mapping[str, Floats]
    slopes: Mapping[str, Floats]


def quantity_row(
    plan: QuantityPlan,
    column: npt.NDArray[np.float32],
    moments: Moments,
    first: FirstOrder,
    inputs: Inputs,
    *,
    slack_share: float,
) -> QuantityRow:
    """The row of one quantity.

    Args:
        plan: what it is.
        column: (N,) its samples.
        moments: of all quantities.
        first: answers to first order.
        inputs: what scatters.
        slack_share: share of the samples with a loose line.
    """
    linear = first.samples.get(plan.key)
    number = moments.keys.index(plan.key)
    deviation = math.sqrt(float(moments.variances[number]))
    first_deviation = float(np.std(linear)) if linear is not None else math.nan
    beyond = None
    if math.isfinite(plan.planned):
        beyond = counted_share(int((column > plan.planned).sum()), int(np.isnan(column).sum()), len(column))
    known = column[np.isfinite(column)]
    extreme = np.min if plan.smaller_is_worse else np.max
    return QuantityRow(
        key=plan.key,
        words=plan.words,
        unit=plan.unit,
        display=plan.display,
        middle=plan.middle,
        deviation_first_order=first_deviation,
        deviation=deviation,
        first_order=quantiles(linear, LEVELS) if linear is not None else tuple(math.nan for _ in LEVELS),
        sampled=quantiles(column, LEVELS),
        largest=float(extreme(known)) if len(known) else math.nan,
        corner=plan.corner,
        corner_name=plan.corner_name,
        planned=plan.planned,
        beyond_planned=beyond,
        contributions=_contributions(plan.key, moments, first, inputs),
        remark=_remark(first_deviation, deviation, slack_share, linear is not None),
        smaller_is_worse=plan.smaller_is_worse,
    )


def _contributions(key: str, moments: Moments, first: FirstOrder, inputs: Inputs) -> tuple[Contribution, ...]:
    """Parts of the variance by group of inputs; empty where no input explains the quantity linearly."""
    parts = _TILT.get(key, (key,))
    numbers = [moments.keys.index(part) for part in parts]
    total = float(moments.variances[numbers].sum())
    sampled = (
        (moments.covariances[:, numbers] ** 2).sum(axis=1) / total
        if total > 0.0
        else np.zeros(len(inputs.rows))
    )
    slopes = [first.slopes[part] for part in parts if part in first.slopes]
    linear = np.sum([slope**2 for slope in slopes], axis=0) if slopes else np.full(len(inputs.rows), np.nan)
    if slopes and float(linear.sum()) > 0.0:
        linear = linear / float(linear.sum())
    found = []
    for group in dict.fromkeys(row.group for row in inputs.rows):
        own = [number for number, row in enumerate(inputs.rows) if row.group == group]
        foremost = max(own, key=lambda number: float(sampled[number]))
        found.append(
            Contribution(
                group, float(linear[own].sum()), float(sampled[own].sum()), inputs.rows[foremost].name
            )
        )
    return tuple(sorted(found, key=lambda one: -one.sampled))


def _remark(first: float, sampled: float, slack_share: float, has_first: bool) -> str:
    if not has_first or not sampled > 0.0:
        return ""
    if abs(first / sampled - 1.0) <= _APART:
        return ""
    if slack_share > 0.0:
        return (
            f"lines go slack in {100.0 * slack_share:.2g} % of the samples, which first order cannot know: "
            "the samples count"
        )
    return "the answer bends within the band, so first order is only a guide: the samples count"
