"""A round tube bent in two planes at once: at each place the two moments add as vectors."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from plumbhook.statics.beam_column.solution import Bent

Array = npt.NDArray[np.float64]

_SAMPLES = np.linspace(0.0, 1.0, 33)
_ROUNDS = 4


def largest_resultant(vertical: Bent, lateral: Bent) -> tuple[Array, Array]:
    """Largest resultant moment ``sqrt(Mv2 + Ml2)`` along a strut bent in two planes at right angles.

    A round tube bends alike in every plane, so that each plane is solved by itself; what no closed form gives is the
    place where the two together are largest.

    Args:
        vertical: the strut bent in one plane.
        lateral: the same strut bent in the other plane, with the same pieces and batch.

    Returns:
        The moment, N m, and its distance from the first pin, m, each of batch shape; NaN where a plane has no answer.

    Raises:
        ValueError: the pieces of the two planes differ.
    """
    if vertical.length_m.shape != lateral.length_m.shape or not np.array_equal(
        vertical.length_m, lateral.length_m
    ):
        raise ValueError("the two planes of a strut must have the same pieces")
    samples = _SAMPLES.reshape((-1, *(1,) * vertical.length_m.ndim))
    best = np.argmax(np.nan_to_num(_squared(vertical, lateral, samples), nan=-1.0), axis=0)
    place, width = _SAMPLES[best], 1.0 / (_SAMPLES.size - 1)
    for _ in range(_ROUNDS):
        middle = np.clip(place, width, 1.0 - width)
        left, mid, right = (_squared(vertical, lateral, middle + step) for step in (-width, 0.0, width))
        bend = left - 2.0 * mid + right
        with np.errstate(divide="ignore", invalid="ignore"):
            shift = np.where(bend < 0.0, np.clip(0.5 * (left - right) / bend, -1.0, 1.0), 0.0)
        found = middle + width * shift
        better = _squared(vertical, lateral, found) >= _squared(vertical, lateral, place)
        place, width = np.where(better, found, place), 0.125 * width
    amount = np.sqrt(_squared(vertical, lateral, place))
    worst = np.expand_dims(np.argmax(amount, axis=0), 0)
    stations = vertical.station_m[:-1] + place * vertical.length_m
    return np.take_along_axis(amount, worst, 0)[0], np.take_along_axis(stations, worst, 0)[0]


def _squared(vertical: Bent, lateral: Bent, share: Array) -> Array:
    return np.asarray(vertical.moment_Nm(share) ** 2 + lateral.moment_Nm(share) ** 2)
