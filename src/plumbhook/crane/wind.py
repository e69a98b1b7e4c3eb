"""Wind on the hanging load: the permissible wind speed where it catches more wind than the chart assumes.

This states a limit. Whether the wind on the day is below it is decided on the day, on the site.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from plumbhook.core.check import Clause, SourceQuality, Step, Value
from plumbhook.core.errors import InputError, Problem

FloatOrArray = float | npt.NDArray[np.float64]

PERMISSIBLE_WIND = Clause(
    "FEM 5.016, form of EN 13000",
    "2012",
    "permissible wind speed by area of the load",
    SourceQuality.FROM_MEMORY,
)
GUST = Clause(
    "Wind at height from the mean at 10 m", clause="three-second gust", quality=SourceQuality.COMMON_PRACTICE
)

CHART_AREA_M2_PER_KG = 1.2e-3
"""Wind area that duty charts assume, 1.2 m2 per tonne of load (FEM 5.016 form)."""


def permissible_wind_m_s(
    chart_wind_m_s: float, load_mass_kg: FloatOrArray, shape_factor: float, area_m2: FloatOrArray
) -> FloatOrArray:
    """Permissible wind speed ``v_chart min(1, sqrt(1.2 m/(c_w A)))``, m/s, at the height the chart says.

    Args:
        chart_wind_m_s: largest wind speed of the duty chart, m/s.
        load_mass_kg: mass of the load, the least, kg.
        shape_factor: shape factor c_w of the load.
        area_m2: side area of the load, the greatest, m2.

    Returns:
        Wind speed, m/s; the chart's own where the load catches no more than 1.2 m2 per tonne.

    Source: FEM 5.016 / EN 13000 form; a published calculation gives 9.617 m/s for 96.8 t, 133.65 m2, c_w 1.2
    and 11.3 m/s. The root spans the whole ratio.
    """
    wind_area = shape_factor * np.asarray(area_m2, dtype=np.float64)
    with np.errstate(divide="ignore"):
        ratio = np.sqrt(CHART_AREA_M2_PER_KG * np.asarray(load_mass_kg) / wind_area)
    speed = chart_wind_m_s * np.minimum(1.0, ratio)
    return float(speed) if speed.ndim == 0 else speed


def gust_m_s(mean_wind_m_s: FloatOrArray, height_m: FloatOrArray) -> FloatOrArray:
    """Three-second gust at a height, ``((z/10)^0.14 + 0.4) v``, m/s.

    Args:
        mean_wind_m_s: ten-minute mean at 10 m above ground, as forecasts give it, m/s.
        height_m: height above ground, m.

    Source: form printed in a published crane manual, seen in two copies; common in the trade.
    """
    return ((height_m / 10.0) ** 0.14 + 0.4) * mean_wind_m_s


@dataclass(frozen=True, slots=True)
class WindLimit:
    """The largest wind at which this load may be lifted.

    Attributes:
        permissible_m_s: wind speed, m/s.
        reduced: whether it is below the limit of the chart.
        area_ratio_m2_per_kg: wind area per mass of the load, m2/kg.
        steps: the working.
    """

    permissible_m_s: float
    reduced: bool
    area_ratio_m2_per_kg: float
    steps: tuple[Step, ...]


def wind_limit(
    *,
    chart_wind_m_s: float,
    load_mass_kg: float,
    shape_factor: float,
    area_m2: float,
    area_source: str,
) -> WindLimit:
    """The permissible wind speed with its working; a limit, not a verdict on the weather.

    Args:
        chart_wind_m_s: largest wind speed of the duty chart, m/s.
        load_mass_kg: mass of the load, the least, kg.
        shape_factor: shape factor c_w of the load.
        area_m2: side area of the load, the greatest, m2.
        area_source: where area and shape factor come from.

    Returns:
        The limit and its working.

    Raises:
        InputError: a number is missing or not positive; all of them at once.
    """
    problems = [
        Problem("wind", f"the {name} must be a positive number")
        for name, number in (
            ("wind limit of the chart", chart_wind_m_s),
            ("mass of the load", load_mass_kg),
            ("shape factor", shape_factor),
            ("side area of the load", area_m2),
        )
        if not (math.isfinite(number) and number > 0.0)
    ]
    if problems:
        raise InputError(tuple(problems))
    chart = Value("v_chart", chart_wind_m_s, "m_s", "largest wind of the chart", "chart")
    mass = Value("m", load_mass_kg, "kg", "least mass of the load", "load statement", "t")
    shape = Value("c_w", shape_factor, "1", "shape factor", area_source)
    area = Value("A", area_m2, "m2", "side area of the load", area_source)
    assumed = Value("a_0", CHART_AREA_M2_PER_KG, "m2_per_kg", "wind area per mass of the chart", "FEM 5.016")
    ratio = Value("a_w", shape_factor * area_m2 / load_mass_kg, "m2_per_kg", "wind area per mass of the load")
    limit = Value(
        "v_max",
        float(permissible_wind_m_s(chart_wind_m_s, load_mass_kg, shape_factor, area_m2)),
        "m_s",
        "permissible wind speed",
    )
    return WindLimit(
        limit.value,
        ratio.value > CHART_AREA_M2_PER_KG,
        ratio.value,
        (
            Step(ratio, "c_w*A/m", (shape, area, mass), PERMISSIBLE_WIND),
            Step(limit, "v_chart*min(1, sqrt(a_0/a_w))", (chart, assumed, ratio), PERMISSIBLE_WIND),
        ),
    )
