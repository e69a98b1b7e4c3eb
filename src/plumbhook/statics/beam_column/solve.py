"""Second-order bending of a strut of pieces: exact in each piece, one tridiagonal system in the joint moments.

With ``k = sqrt(N/EI)``, ``s = k/sin kl`` and ``c = k cot kl`` the slopes on both sides of a joint agree up to the turn
``M/K`` of its splice where

    s_l M_(i-1) + (N/K_i - c_l - c_r) M_i + s_r M_(i+1) = right side of loads, offsets and bows.

The matrix is negative definite below the elastic critical load and nowhere above it, so that the elimination itself
says whether there is an answer. Source: theory of beam-columns with stability functions (own derivation of this form,
the three-moment equation with axial force).
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from plumbhook.statics.beam_column import _sine
from plumbhook.statics.beam_column._sine import SineTerm
from plumbhook.statics.beam_column.member import BeamColumn, stations_m
from plumbhook.statics.beam_column.solution import Bent

Array = npt.NDArray[np.float64]

# Below this k l the pieces are straight to the last digit; it keeps the quotients defined at no compression.
_LEAST_KL = 1e-8


def solve(member: BeamColumn, compression_N: npt.ArrayLike) -> Bent:
    """Bend a strut under compression and its transverse loads.

    Args:
        member: the strut in one plane.
        compression_N: compression, N, not negative; any shape that broadcasts with the batch of the strut.

    Returns:
        The bent strut. Numbers are NaN where the compression reaches the elastic critical load, is negative or
        is no number.
    """
    force = np.asarray(compression_N, dtype=np.float64)
    shape = np.broadcast_shapes(force.shape, member.batch_shape)
    force = np.broadcast_to(force, shape)
    lead = _Leading(member, shape)
    usable = np.isfinite(force) & (force >= 0.0)
    safe = np.where(usable, force, 0.0)
    length, stiffness = lead.length, lead.stiffness
    v = np.maximum(np.sqrt(safe / stiffness) * length, _LEAST_KL)
    usable = usable & np.all(v < np.pi, axis=0)
    v = np.where(usable, v, 1.0)
    k = v / length
    quotients = _Quotients.of(v, length)
    bow = 8.0 * safe * lead.rise / length**2
    sine = _sine_term(member, lead, safe, k)
    ends = safe[None, ...] * lead.eccentricity + lead.end_moment
    if member.pieces == 1:
        joints, stable = np.empty((0, *shape)), np.ones(shape, dtype=bool)
    else:
        joints, stable = _joint_moments(lead, safe, quotients, bow, sine, ends)
    nodes = np.concatenate([ends[:1], joints, ends[1:]])
    nodes = np.where(usable & stable, nodes, np.nan)
    return Bent(
        compression_N=force,
        length_m=length,
        stiffness_Nm2=stiffness,
        k_per_m=k,
        half_sine=quotients.sine,
        half_cosine=quotients.cosine,
        start_moment_Nm=nodes[:-1],
        end_moment_Nm=nodes[1:],
        load_N_per_m=lead.load + bow,
        rotation_rad=nodes[1:-1] / lead.splice,
        sine=sine,
    )


class _Leading:
    """The arrays of a strut with the axis along the strut first and the batch after it, broadcast in full."""

    def __init__(self, member: BeamColumn, shape: tuple[int, ...]) -> None:
        def lead(values: Array) -> Array:
            moved = np.moveaxis(values, -1, 0)
            moved = moved.reshape((moved.shape[0], *(1,) * (len(shape) - moved.ndim + 1), *moved.shape[1:]))
            return np.broadcast_to(moved, (moved.shape[0], *shape))

        self.length = lead(member.length_m)
        self.stiffness = lead(member.stiffness_Nm2)
        self.load = lead(member.line_load_N_per_m)
        self.splice = lead(member.splice_Nm_per_rad)
        self.joint_load = lead(member.joint_load_N)
        self.offset = lead(member.joint_offset_m)
        self.rise = lead(member.piece_rise_m)
        self.eccentricity = lead(member.end_eccentricity_m)
        self.end_moment = lead(member.end_moment_Nm)
        self.start = lead(stations_m(member.length_m))[:-1]
        self.span = np.broadcast_to(member.span_m, shape)
        self.sine_bow = np.broadcast_to(member.sine_bow_m, shape)


class _Quotients(NamedTuple):
    """``k/sin kl``, ``k cot kl``, ``tan(kl/2)/k``, ``sin(kl/2)`` and ``cos(kl/2)`` of each piece."""

    s: Array
    c: Array
    t: Array
    sine: Array
    cosine: Array

    @classmethod
    def of(cls, v: Array, length: Array) -> _Quotients:
        half = 0.5 * v
        sine, cosine = np.sin(half), np.cos(half)
        s = v / (2.0 * sine * cosine * length)
        return cls(s, s * (1.0 - 2.0 * sine * sine), sine / cosine * length / v, sine, cosine)


def _sine_term(member: BeamColumn, lead: _Leading, force: Array, k: Array) -> SineTerm | None:
    if not np.any(member.sine_bow_m):
        return None
    wave = np.pi / lead.span
    return SineTerm(-force * lead.sine_bow * wave**2 + 0.0 * k, wave + 0.0 * k, lead.start, k, lead.length)


def _joint_moments(
    lead: _Leading, force: Array, q: _Quotients, bow: Array, sine: SineTerm | None, ends: Array
) -> tuple[Array, npt.NDArray[np.bool_]]:
    """Moments at the joints, (n - 1, ...), and where the strut is below its critical load."""
    diagonal = force / lead.splice - q.c[:-1] - q.c[1:]
    # Loads on the pieces with their first-order part; the bow adds its second-order part and the turn of its chords.
    piece = lead.load * q.t + bow * (q.t - 0.5 * lead.length)
    offsets = np.concatenate([np.zeros_like(ends[:1]), lead.offset, np.zeros_like(ends[:1])])
    chords = np.diff(offsets, axis=0) / lead.length
    right = -lead.joint_load - piece[:-1] - piece[1:] + force * np.diff(chords, axis=0)
    if sine is not None:
        right = right - _sine.slope_at_start(sine)[1:] + _sine.slope_at_end(sine)[:-1]
    right[0] -= q.s[0] * ends[0]
    right[-1] -= q.s[-1] * ends[1]
    return _eliminated(diagonal, q.s[1:-1], right)


def _eliminated(diagonal: Array, beside: Array, right: Array) -> tuple[Array, npt.NDArray[np.bool_]]:
    """Solve the tridiagonal system; stable where every pivot is negative."""
    count = len(diagonal)
    pivots, sides = [diagonal[0]], [right[0]]
    stable = pivots[0] < 0.0
    for i in range(1, count):
        factor = beside[i - 1] / np.where(stable, pivots[-1], -1.0)
        pivots.append(diagonal[i] - factor * beside[i - 1])
        sides.append(right[i] - factor * sides[-1])
        stable = stable & (pivots[-1] < 0.0)
    moments = np.empty_like(right)
    moments[-1] = sides[-1] / np.where(stable, pivots[-1], -1.0)
    for i in range(count - 2, -1, -1):
        moments[i] = (sides[i] - beside[i] * moments[i + 1]) / np.where(stable, pivots[i], -1.0)
    return moments, stable
