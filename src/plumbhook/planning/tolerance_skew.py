"""Unequal sharing of four lines that statics alone does not decide, beside the factor of the marine guideline."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from plumbhook.planning.assessment import Vector
from plumbhook.planning.hand import lift_point_shares
from plumbhook.planning.statistics import quantiles, share_interval
from plumbhook.planning.tolerance_checks import SampleAnswers
from plumbhook.planning.tolerance_rig import StudyRig
from plumbhook.planning.tolerance_study import LEVELS, Share, SkewRow

Floats = npt.NDArray[np.float64]

GUIDELINE = 1.25
GUIDELINE_SOURCE = "0027/ND Rev 11.2, 5.6.12: four slings, statically indeterminate, matched pairs"
_REMARK = (
    "The guideline's factor is for slings whose lengths match within a rope diameter; over equal share the place of "
    "the centre of gravity is included, over place it is not."
)


@dataclass(frozen=True, slots=True)
class FourLines:
    """Four lines to a stiff load: their lift points, and the drawn angles from the vertical."""

    lines: tuple[str, ...]
    points_m: Mapping[str, Vector]
    cosines: Floats
    shares: Floats | None

    def columns(self, rig: StudyRig, answers: SampleAnswers) -> dict[str, Floats]:
        """(N,) largest tension over the mean of the four, and over what the place of the centre of gravity gives."""
        tensions = np.stack([answers.quantities[f"tension:{name}"] for name in self.lines], axis=1)
        largest = tensions.max(axis=1)
        found = {"over_equal": largest / tensions.mean(axis=1), "over_place": np.full(len(largest), np.nan)}
        if self.shares is not None:
            x, y = answers.quantities["cog_x"], answers.quantities["cog_y"]
            share = np.stack([np.ones_like(x), x, y, x * y], axis=1) @ self.shares
            weight = answers.quantities["load_mass"] * rig.problem.gravity_m_s2 * rig.problem.dynamic_factor
            found["over_place"] = (tensions / (weight[:, None] * share / self.cosines)).max(axis=1)
        return found


def four_lines(rig: StudyRig) -> FourLines | None:
    """The four lines of a rig that statics does not decide: a bridle of four, or four lines below a stiff frame."""
    problem = rig.problem
    to_load = [line for line in problem.rig.lines.values() if line.lower.startswith("load.")]
    stiff = problem.rig.arrangement == "direct bridle" or problem.rig.frame_joints == "stiff"
    if problem.rig.is_free or len(to_load) != 4 or not stiff:
        return None
    points = {
        line.lower.removeprefix("load."): problem.lift_points_m[line.lower.removeprefix("load.")]
        for line in to_load
    }
    cosines = np.cos([problem.layout.angle_from_vertical_rad(line) for line in to_load])
    return FourLines(tuple(line.name for line in to_load), points, cosines, _share_coefficients(points))


def _share_coefficients(points_m: Mapping[str, Vector]) -> Floats | None:
    """(4, 4) coefficients of 1, x, y, xy in the share of each point; None where the points are no rectangle.

    The product share on a rectangle is bilinear in the place of the centre of gravity, so four places fix it.
    """
    places = [(at[0], at[1]) for at in points_m.values()]
    rows, values = [], []
    for x, y in places:
        found = lift_point_shares(points_m, (x, y, 0.0), diagonal=False)
        if found is None:
            return None
        rows.append([1.0, x, y, x * y])
        values.append([found[0][name] for name in points_m])
    matrix = np.array(rows)
    if np.linalg.matrix_rank(matrix) < 4:  # turned by half a right angle x y is no fourth function
        return None
    solved: Floats = np.linalg.solve(matrix, np.array(values))
    return solved


def skew_row(found: FourLines, columns: Mapping[str, npt.NDArray[np.float32]]) -> SkewRow:
    """The row of the study."""
    ratio = columns["over_place"] if found.shares is not None else columns["over_equal"]
    beyond, unknown = int((ratio > GUIDELINE).sum()), int(np.isnan(ratio).sum())
    return SkewRow(
        lines=found.lines,
        over_equal=quantiles(columns["over_equal"], LEVELS),
        over_place=quantiles(columns["over_place"], LEVELS),
        guideline=GUIDELINE,
        guideline_source=GUIDELINE_SOURCE,
        beyond_guideline=counted_share(beyond, unknown, len(ratio)),
        remark=_REMARK,
    )


def counted_share(counted: int, unknown: int, of: int) -> Share:
    """A share with its interval; samples without an answer count towards the upper end."""
    low, _ = share_interval(counted, of)
    _, high = share_interval(counted + unknown, of)
    return Share(counted, unknown, of, low, high)
