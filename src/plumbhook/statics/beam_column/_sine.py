"""The part of a sine bow that a piece with moment-free ends adds, in products that stay exact everywhere.

``T'' + k2 T = f sin(p (x0 + x))`` with ``T(0) = T(l) = 0`` divides by ``k2 - p2``, which is zero within the
range of a stepped strut. Written as products with ``sin(d)/d`` of the difference ``d = p - k`` it has no such place.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]


class SineTerm(NamedTuple):
    """Strength and wave numbers of the term in each piece: ``f sin(p (x0 + x))`` against ``k``, over length l."""

    strength: Array
    wave: Array
    start: Array
    k: Array
    length: Array


def value(term: SineTerm, x: Array) -> Array:
    """T at x from the start of the piece."""
    s, d = term.wave + term.k, term.wave - term.k
    near, far = 0.5 * (term.length - x), 0.5 * (term.length + x)
    odd = -(far * np.sin(s * near) * _sinc(d * far) - near * np.sin(s * far) * _sinc(d * near)) / s
    even = (
        -2.0
        * (
            near * _sinc(d * near) * np.sin(0.5 * s * term.length) * np.sin(0.5 * s * x)
            - np.sin(s * near) * 0.5 * term.length * _sinc(0.5 * d * term.length) * np.sin(0.5 * d * x)
        )
        / s
    )
    return _joined(term, odd, even)


def slope_at_start(term: SineTerm) -> Array:
    """T' at the start of the piece."""
    s, d, half = term.wave + term.k, term.wave - term.k, 0.5 * term.length
    odd = np.cos(s * half) * half * _sinc(d * half) - np.sin(s * half) * np.cos(d * half) / s
    even = -2.0 * term.k * np.sin(s * half) * half * _sinc(d * half) / s
    return _joined(term, odd, even)


def slope_at_end(term: SineTerm) -> Array:
    """T' at the end of the piece."""
    s, d, half = term.wave + term.k, term.wave - term.k, 0.5 * term.length
    odd = half * _sinc(2.0 * d * half) - 0.5 * np.sin(2.0 * s * half) / s
    even = -np.sin(d * half) * half * _sinc(d * half) + np.sin(s * half) ** 2 / s
    return _joined(term, odd, even)


def _joined(term: SineTerm, odd: Array, even: Array) -> Array:
    phase = term.wave * term.start
    return term.strength * (np.sin(phase) * even + np.cos(phase) * odd) / np.sin(term.k * term.length)


def _sinc(angle: Array) -> Array:
    return np.sinc(angle / np.pi)
