"""Elastic critical load of a strut of pieces: the smallest compression at which it has a second, bent posture.

The number of critical loads below a compression is counted, after Wittrick and Williams (1971): the half waves that
fit into the pieces by themselves plus the positive pivots of the joint system. Bisection on that count cannot skip a
root, however close two of them lie.
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from plumbhook.statics.beam_column.member import BeamColumn

Array = npt.NDArray[np.float64]

_HALVINGS = 64


def critical_loads_below(member: BeamColumn, compression_N: npt.ArrayLike) -> npt.NDArray[np.int64]:
    """How many critical loads of a strut lie below a compression.

    Args:
        member: the strut in one plane; loads, offsets and bows do not matter.
        compression_N: compression, N, above zero; any shape that broadcasts with the batch of the strut.

    Returns:
        The count, shape of the broadcast.
    """
    force = np.asarray(compression_N, dtype=np.float64)
    return _count(force, *_bare(member, force.shape))


def _count(force: Array, length: Array, stiffness: Array, splice: Array) -> npt.NDArray[np.int64]:
    v = np.sqrt(force / stiffness) * length
    halves = np.floor(v / np.pi).astype(np.int64).sum(axis=0)
    half = 0.5 * v
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        s = v / (np.sin(v) * length)
        # k cot kl by the half angle: its own difference loses nothing where sin kl is small.
        c = 0.5 * v / length * (1.0 / np.tan(half) - np.tan(half))
        positive = np.zeros(np.shape(halves), dtype=np.int64)
        pivot: Array | None = None
        for i in range(len(length) - 1):
            entry = force / splice[i] - c[i] - c[i + 1]
            pivot = entry if pivot is None else entry - s[i] ** 2 / np.where(pivot == 0.0, 1e-300, pivot)
            positive = positive + (pivot > 0.0)
    return np.asarray(halves + positive)


def critical_load_N(member: BeamColumn, number: int = 1) -> Array:
    """Elastic critical load of a strut in one plane.

    Args:
        member: the strut; loads, offsets and bows do not matter.
        number: which critical load, 1 for the smallest, which is the one that counts.

    Returns:
        Critical load, N, compression positive, batch shape of lengths, stiffnesses and splices.

    Raises:
        ValueError: the number is not 1 or more.
    """
    if number < 1:
        raise ValueError("critical loads are counted from 1")
    length, stiffness, splice = _bare(member)
    # Rigid splices and the stiffest piece throughout bound every critical load from above.
    high = number**2 * np.pi**2 * stiffness.max(axis=0) / length.sum(axis=0) ** 2 * (1.0 + 1e-12)
    low = np.zeros_like(high)
    for _ in range(_HALVINGS):
        middle = 0.5 * (low + high)
        beyond = _count(middle, length, stiffness, splice) >= number
        high = np.where(beyond, middle, high)
        low = np.where(beyond, low, middle)
        if math.isclose(float(np.max((high - low) / high)), 0.0, abs_tol=2.3e-16):
            break
    return np.asarray(0.5 * (low + high))


def _bare(member: BeamColumn, more: tuple[int, ...] = ()) -> tuple[Array, Array, Array]:
    """Lengths, stiffnesses and splices with the axis along the strut first, broadcast with each other."""
    shape = np.broadcast_shapes(
        more, member.length_m.shape[:-1], member.stiffness_Nm2.shape[:-1], member.splice_Nm_per_rad.shape[:-1]
    )
    return tuple(
        np.moveaxis(np.broadcast_to(values, (*shape, values.shape[-1])), -1, 0)
        for values in (member.length_m, member.stiffness_Nm2, member.splice_Nm_per_rad)
    )  # type: ignore[return-value]
