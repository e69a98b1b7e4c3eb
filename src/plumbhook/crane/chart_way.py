"""A duty chart along a whole way of the hook: many radii at once, by the same rule as the reading of one."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from plumbhook.core.errors import InputError
from plumbhook.crane.chart import RADIUS_GRACE_M, DutyChart

FloatArray = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class DutyAlongWay:
    """What the chart gives at every step of a way, arrays of one shape.

    Attributes:
        row_radius_m: radius of the row that counts, m; NaN where the chart gives nothing.
        capacity_kg: rated capacity of that row, kg; 0 where the chart gives nothing (beyond the last row, in a
            hole, below the smallest permitted radius); NaN where the radius is no positive number.
        utilisation: gross load over capacity; infinite where the chart gives nothing, NaN where radius or gross
            load is no number or the gross load is negative. Compare as ``utilisation <= limit``, so that NaN
            and infinity do not pass.
    """

    row_radius_m: FloatArray
    capacity_kg: FloatArray
    utilisation: FloatArray


def duty_along_way(chart: DutyChart, radius_m: ArrayLike, gross_load_kg: ArrayLike) -> DutyAlongWay:
    """Rated capacity and use of the chart at every radius: the row of the next larger radius counts.

    Args:
        chart: the chart.
        radius_m: radii of the hook from the slew axis, growth included, m; any shape.
        gross_load_kg: everything below the boom head, kg; a number, or an array that broadcasts with the radii.

    Returns:
        Arrays of the broadcast shape. Nothing is interpolated upward, and nothing is read beyond the last row.

    Raises:
        InputError: the shapes of radii and gross loads do not fit each other.
    """
    try:
        radius, gross = np.broadcast_arrays(
            np.asarray(radius_m, dtype=np.float64), np.asarray(gross_load_kg, dtype=np.float64)
        )
    except ValueError:
        message = "radii and gross loads are of different number; give one load, or one for each"
        raise InputError.one(message) from None
    rows_m = np.array([row.radius_m for row in chart.rows])
    # One place more, for what lies beyond the last row; a hole gives nothing either.
    capacities = np.array([row.capacity_kg or 0.0 for row in chart.rows] + [0.0])
    at_row = np.append(np.where(capacities[:-1] > 0.0, rows_m, np.nan), np.nan)
    index = np.searchsorted(rows_m + RADIUS_GRACE_M, radius, side="left")
    capacity, row_radius = capacities[index], at_row[index]
    if chart.smallest_radius_m is not None:
        close = radius < chart.smallest_radius_m - RADIUS_GRACE_M
        capacity, row_radius = np.where(close, 0.0, capacity), np.where(close, np.nan, row_radius)
    no_radius = ~(np.isfinite(radius) & (radius > 0.0))
    capacity, row_radius = np.where(no_radius, np.nan, capacity), np.where(no_radius, np.nan, row_radius)
    loads = np.where(gross >= 0.0, gross, np.nan)
    with np.errstate(divide="ignore", invalid="ignore"):
        use = np.where(capacity > 0.0, loads / capacity, np.where(np.isnan(capacity * loads), np.nan, np.inf))
    return DutyAlongWay(row_radius, capacity, use)
