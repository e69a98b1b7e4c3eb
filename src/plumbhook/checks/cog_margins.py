"""Distance of many centres of gravity from the edges of the lift points: one of them is in :mod:`.attitude`."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from plumbhook.checks.attitude import Point, convex_hull


def cog_margins_m(points: Sequence[Point], cogs_m: npt.NDArray[np.float64]) -> npt.NDArray[np.float64] | None:
    """Distance of many centres of gravity from the nearest edge of the lift points, in plan.

    Args:
        points: lift points in plan, m, in any order.
        cogs_m: (N, 2) centres of gravity in plan, m, each a point without a box.

    Returns:
        (N,) m, negative outside, or None where the lift points span no area; each as
        :func:`plumbhook.checks.attitude.cog_margin` gives it.
    """
    hull = convex_hull(points)
    if len(hull) < 3:
        return None
    best = np.full(len(cogs_m), math.inf)
    for start, end in zip(hull, [*hull[1:], hull[0]], strict=True):
        along = (end[0] - start[0], end[1] - start[1])
        across = along[0] * (cogs_m[:, 1] - start[1]) - along[1] * (cogs_m[:, 0] - start[0])
        best = np.minimum(best, across / math.hypot(*along))
    return best
