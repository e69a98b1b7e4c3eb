"""The compression at which a rule is just used up: a root for every place of a chart at once."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

_ROUNDS = 100
_TOLERANCE = 1e-10
# How close to the load at which the use has no bound the search may go.
_BRINK = 1e-9


def largest_compression_N(use: Callable[[Array], Array], bound_N: npt.ArrayLike) -> Array:
    """Largest compression with a use of at most 1.

    The use grows with the compression and without bound near ``bound_N`` (an elastic critical load, whole or over a
    factor). Multiplied by the distance from the bound it is nearly a parabola, on which a regula falsi with the
    weights of Anderson and Bjorck (1973) needs few steps.

    Args:
        use: use of the rule by compression, same shape in and out; NaN or infinite where there is no answer.
        bound_N: compression that is never reached, N, above zero.

    Returns:
        Compression, N, to ten digits; zero where the use exceeds 1 without compression; NaN where there is no use to be
        had even there, or where the search does not settle.
    """
    bound = np.asarray(bound_N, dtype=np.float64)

    def height(force: Array) -> Array:
        with np.errstate(invalid="ignore"):
            value = (use(force) - 1.0) * (1.0 - force / bound)
        return np.where(np.isfinite(value), value, np.inf)

    none = use(np.zeros_like(bound))
    low, high = np.zeros_like(bound), bound * (1.0 - _BRINK)
    low_height = np.where(none < 1.0, none - 1.0, -1.0)
    top_height = height(high)
    high_height = np.where(np.isfinite(top_height), np.maximum(top_height, 0.0), 1.0)
    # A use below 1 right up to the bound: the bound itself decides.
    low = np.where(top_height <= 0.0, high, low)
    settled, root = low >= high, low
    for _ in range(_ROUNDS):
        with np.errstate(divide="ignore", invalid="ignore"):
            middle = low + (high - low) * np.clip(low_height / (low_height - high_height), 0.0, 1.0)
        middle = np.where(settled, root, middle)
        value = height(middle)
        unbounded = np.isinf(value)
        below = value <= 0.0
        with np.errstate(divide="ignore", invalid="ignore"):
            # The end that stays is given less weight, by how far the other end came down.
            high_weight = _weight(value, low_height)
            low_weight = _weight(value, high_height)
        moved = np.where(below, middle - low, high - middle)
        high = np.where(below, high, middle)
        low = np.where(below, middle, low)
        new_high = np.where(below, high_height * high_weight, value)
        high_height = np.where(unbounded, 1.0, new_high)
        low_height = np.where(below, value, np.where(unbounded, low_height, low_height * low_weight))
        close = (moved <= _TOLERANCE * middle) | (high - low <= _TOLERANCE * high) | (value == 0.0)
        root = np.where(settled, root, middle)
        settled = settled | (close & ~unbounded)
        if np.all(settled | ~(none < 1.0)):
            break
    found = np.where(none >= 1.0, 0.0, np.where(settled, root, np.nan))
    return np.where(np.isnan(none), np.nan, found)


def _weight(value: Array, replaced: Array) -> Array:
    weight = 1.0 - value / replaced
    return np.where(weight > 0.0, weight, 0.5)
