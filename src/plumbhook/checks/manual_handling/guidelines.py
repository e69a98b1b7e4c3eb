"""Guidelines for lifting, pushing and pulling by hand: the NIOSH equation and reductions of the UK filter."""

from __future__ import annotations

import numpy as np

from plumbhook.checks.inputs import FloatOrArray, as_given
from plumbhook.core.check import Clause
from plumbhook.core.errors import InputError

NIOSH_EQUATION = Clause("NIOSH publication 94-110", "revised September 2021", "lifting equation")
UK_FILTER = Clause("HSE INDG143", "", "guideline filter")
PUSH_PULL = Clause("HSE INDG143", "", "pushing and pulling")

LOAD_CONSTANT_KG = 23.0
_PUSH_KG = {
    ("man", "start"): 20.0,
    ("man", "keep moving"): 10.0,
    ("woman", "start"): 15.0,
    ("woman", "keep moving"): 7.0,
}


def horizontal_multiplier(distance_m: FloatOrArray) -> FloatOrArray:
    """``25 cm/H`` with H from the ankles to the hands, at most 1.

    Source: NIOSH publication 94-110.
    """
    return as_given(np.minimum(0.25 / np.asarray(distance_m, dtype=np.float64), 1.0))


def vertical_multiplier(height_m: FloatOrArray) -> FloatOrArray:
    """``1 - 0.003 |V - 75 cm|`` with the height V of the hands above the floor.

    Source: NIOSH publication 94-110.
    """
    return as_given(1.0 - 0.3 * np.abs(np.asarray(height_m, dtype=np.float64) - 0.75))


def distance_multiplier(travel_m: FloatOrArray) -> FloatOrArray:
    """``0.82 + 4.5 cm/D`` with the height D lifted through, at most 1.

    Source: NIOSH publication 94-110.
    """
    return as_given(np.minimum(0.82 + 0.045 / np.asarray(travel_m, dtype=np.float64), 1.0))


def recommended_weight_kg(
    distance_m: FloatOrArray, height_m: FloatOrArray, travel_m: FloatOrArray, further: float = 1.0
) -> FloatOrArray:
    """Recommended weight limit, ``23 kg HM VM DM`` times the further multipliers, kg.

    Args:
        distance_m: from the ankles to the hands, m.
        height_m: height of the hands above the floor, m.
        travel_m: height lifted through, m.
        further: product of the multipliers of asymmetry, frequency and grip (1 for none).

    Source: NIOSH publication 94-110, revised September 2021.
    """
    return (
        LOAD_CONSTANT_KG
        * horizontal_multiplier(distance_m)
        * vertical_multiplier(height_m)
        * distance_multiplier(travel_m)
        * further
    )


def frequency_part(lifts_per_minute: FloatOrArray) -> FloatOrArray:
    """Part of a guideline weight left at a rate of lifting: 1 to 30 an hour, 0.7 to 2 a minute, 0.5 to 8, 0.2 above.

    Source: HSE INDG143: 30 % less at 1 to 2 a minute, 50 % at 5 to 8, 80 % above 12; a rate between two bands takes the
    lower one.
    """
    rate = np.asarray(lifts_per_minute, dtype=np.float64)
    part = np.select(
        [rate <= 0.5, rate <= 2.0, rate <= 8.0, rate > 8.0], [1.0, 0.7, 0.5, 0.2], default=np.nan
    )
    return as_given(np.where(rate >= 0.0, part, np.nan))


def twist_part(twist_rad: FloatOrArray) -> FloatOrArray:
    """Part of a guideline weight left when the body is twisted: 1 to 45 degrees, 0.9 to 90, 0.8 beyond.

    Source: HSE INDG143.
    """
    twist = np.asarray(twist_rad, dtype=np.float64)
    part = np.select(
        [twist <= np.pi / 4.0 + 1e-9, twist <= np.pi / 2.0 + 1e-9, twist > np.pi / 2.0],
        [1.0, 0.9, 0.8],
        default=np.nan,
    )
    return as_given(np.where(twist >= 0.0, part, np.nan))


def push_limit_kg(who: str, phase: str) -> float:
    """Guideline force to push or pull a load, as a mass, kg.

    Args:
        who: ``man`` or ``woman``.
        phase: ``start`` (also to stop) or ``keep moving``.

    Raises:
        InputError: another person or phase.

    Source: HSE INDG143; hands between knuckle and shoulder, up to about 20 m.
    """
    if (who, phase) not in _PUSH_KG:
        raise InputError.one("write man or woman, and start or keep moving", field="push")
    return _PUSH_KG[who, phase]
