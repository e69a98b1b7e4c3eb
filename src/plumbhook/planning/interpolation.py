"""A smooth function of one number at very many places: polynomials through few of them, checked against the function.

The second-order moment of a strut depends on its compression alone. Where a study asks for it a hundred thousand times,
Chebyshev interpolation gives it to eleven digits from a few dozen exact values; where that does not hold, for instance
where the largest moment passes from one place of the strut to another, the function itself is asked everywhere.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import numpy.typing as npt
from numpy.polynomial import chebyshev

Floats = npt.NDArray[np.float64]

_DEGREES = (12, 24)
# A polynomial serves a range up to 2^(1/4) times its lower end, so that no answer depends on what else is asked.
_PER_OCTAVE = 4
# So many places pay for the check; fewer are computed one by one.
_FEWEST = 400


class ManyValues:
    """A function of one positive number, for many places at once; it keeps the polynomials it has made."""

    def __init__(self, function: Callable[[Floats], Floats], *, relative: float = 1e-11) -> None:
        """Wrap a function.

        Args:
            function: takes (n,) and gives (n,); values may be NaN.
            relative: largest error of a polynomial accepted, over the largest value in its range.
        """
        self._function = function
        self._relative = relative
        self._series: dict[int, Floats | None] = {}

    def __call__(self, places: Floats) -> Floats:
        """Values at (N,) places.

        Interpolated in the ranges where a polynomial agrees with the function between its nodes and at the ends of
        the range; computed in the others, and for numbers that are NaN, infinite or not positive.

        Source: interpolation in Chebyshev nodes, e.g. Trefethen, Approximation Theory and Approximation Practice, 2013.
        """
        places = np.asarray(places, dtype=np.float64)
        usable = np.isfinite(places) & (places > 0.0)
        if places.size < _FEWEST or not usable.any():
            return self._function(places)
        found = np.empty_like(places)
        number = np.zeros(places.shape, dtype=np.int64)
        number[usable] = np.floor(_PER_OCTAVE * np.log2(places[usable])).astype(np.int64)
        exact = ~usable
        for one in np.unique(number[usable]).tolist():
            series = self._series_of(one)
            own = usable & (number == one)
            if series is None:
                exact |= own
            else:
                middle, half = _range_of(one)
                found[own] = chebyshev.chebval((places[own] - middle) / half, series)
        if exact.any():
            found[exact] = self._function(places[exact])
        return found

    def _series_of(self, number: int) -> Floats | None:
        if number not in self._series:
            self._series[number] = self._fitted(*_range_of(number))
        return self._series[number]

    def _fitted(self, middle: float, half: float) -> Floats | None:
        for degree in _DEGREES:
            nodes = chebyshev.chebpts1(degree + 1)
            # Twice as many places that lie between the nodes, and the ends.
            between = np.concatenate([chebyshev.chebpts1(2 * degree + 2), [-1.0, 1.0]])
            values = self._function(middle + half * np.concatenate([nodes, between]))
            if not np.isfinite(values).all():
                return None
            at_nodes, truth = values[: degree + 1], values[degree + 1 :]
            series = np.asarray(chebyshev.chebfit(nodes, at_nodes, degree), dtype=np.float64)
            error = np.abs(chebyshev.chebval(between, series) - truth).max()
            if error <= self._relative * np.abs(truth).max():
                return series
        return None


def _range_of(number: int) -> tuple[float, float]:
    """Middle and half width of a range."""
    low, high = 2.0 ** (number / _PER_OCTAVE), 2.0 ** ((number + 1) / _PER_OCTAVE)
    return 0.5 * (low + high), 0.5 * (high - low)
