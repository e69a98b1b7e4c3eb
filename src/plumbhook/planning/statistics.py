"""Statistics of samples: quantiles in little memory, and intervals of a share that was counted.

Nothing here knows of rigs. The exact interval of a share is that of C. J. Clopper and E. S. Pearson, Biometrika 26
(1934) 404-413: it covers the true share with at least its confidence, never less, also where nothing was counted.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from functools import lru_cache

import numpy as np
import numpy.typing as npt

_CONVERGED = 1e-15
_TERMS = 20_000


def quantiles(column: npt.NDArray[np.floating], levels: Sequence[float]) -> tuple[float, ...]:
    """Quantiles of samples by linear interpolation between order statistics.

    Args:
        column: (N,) numbers; NaN counts as worse than any number, so that a sample without an answer is never the
            kinder one.
        levels: between 0 and 1, ascending.

    Returns:
        One number per level; NaN where the level falls among samples without an answer, or there are none.
    """
    count = len(column)
    if count == 0:
        return tuple(math.nan for _ in levels)
    places = [level * (count - 1) for level in levels]
    below = [math.floor(place) for place in places]
    above = [min(low + 1, count - 1) for low in below]
    ordered = np.partition(column, sorted({*below, *above}))
    found = []
    for place, low, high in zip(places, below, above, strict=True):
        first, second = float(ordered[low]), float(ordered[high])
        # Without the difference of two infinities, which has no value.
        found.append(first if first == second or place == low else first + (place - low) * (second - first))
    return tuple(found)


@lru_cache(maxsize=4096)
def share_interval(counted: int, of: int, confidence: float = 0.95) -> tuple[float, float]:
    """Clopper-Pearson interval of a share.

    Args:
        counted: how many samples had it.
        of: how many samples there were.
        confidence: probability that the interval holds the true share, at least.

    Returns:
        Lower and upper end; (0, 1) where there is no sample.

    Raises:
        ValueError: counts or confidence make no sense.

    Source: Clopper and Pearson (1934): the ends are quantiles of beta distributions.
    """
    if not 0 <= counted <= of or not 0.0 < confidence < 1.0:
        raise ValueError(f"{counted} of {of} with confidence {confidence} is no share")
    tail = 0.5 * (1.0 - confidence)
    low = 0.0 if counted == 0 else beta_quantile(tail, counted, of - counted + 1)
    high = 1.0 if counted == of else beta_quantile(1.0 - tail, counted + 1, of - counted)
    return low, high


def beta_quantile(level: float, a: float, b: float) -> float:
    """Where the beta distribution with parameters a and b reaches a level, by bisection.

    Args:
        level: between 0 and 1.
        a: first parameter, positive.
        b: second parameter, positive.
    """
    low, high = 0.0, 1.0
    for _ in range(200):
        middle = 0.5 * (low + high)
        if middle in (low, high):
            break
        if regularised_beta(middle, a, b) < level:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def regularised_beta(x: float, a: float, b: float) -> float:
    """Regularised incomplete beta function, the distribution function of the beta distribution.

    Args:
        x: between 0 and 1.
        a: first parameter, positive.
        b: second parameter, positive.

    Source: continued fraction DLMF 8.17.22, evaluated forward by the method of Lentz; it converges fast below
    the mean, and above it the symmetry ``1 - I(1 - x, b, a)`` is used.
    """
    if x <= 0.0 or x >= 1.0:
        return 0.0 if x <= 0.0 else 1.0
    if x > (a + 1.0) / (a + b + 2.0):
        return 1.0 - regularised_beta(1.0 - x, b, a)
    front = math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x)
    tiny = 1e-300
    value, c, d = tiny, tiny, 0.0
    for term in range(_TERMS):
        half = term // 2
        if term == 0:
            numerator = 1.0
        elif term % 2:
            numerator = -(a + half) * (a + b + half) * x / ((a + 2 * half) * (a + 2 * half + 1.0))
        else:
            numerator = half * (b - half) * x / ((a + 2 * half - 1.0) * (a + 2 * half))
        d = 1.0 + numerator * d
        d = 1.0 / (d if d != 0.0 else tiny)
        c = 1.0 + numerator / c
        c = c if c != 0.0 else tiny
        factor = c * d
        value *= factor
        if abs(factor - 1.0) < _CONVERGED and term > 1:
            break
    return math.exp(front) * value / a
