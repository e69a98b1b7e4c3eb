"""Distances between segments, boxes and upright prisms, for many poses at once; m.

Nearest points of convex shapes: along a segment the distance from a convex shape is convex, so that its derivative
changes sign once; it is straight in pieces, so that halving and then secants find the place soon.
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Nearest = Callable[[Floats], Floats]

_HALVINGS, _SECANTS = 8, 12


def segment_segment_m(p: Floats, q: Floats, r: Floats, s: Floats) -> Floats:
    """Distance of segments ``p q`` and ``r s``, each (..., 3), any shapes that broadcast."""
    d, e, f = q - p, s - r, p - r
    a, b, c = (d * d).sum(-1), (d * e).sum(-1), (e * e).sum(-1)
    g, h = (d * f).sum(-1), (e * f).sum(-1)
    determinant = a * c - b * b
    parallel = determinant <= 1e-12 * np.maximum(a * c, 1e-300)
    t = np.where(parallel, 0.0, np.clip((b * h - c * g) / np.where(parallel, 1.0, determinant), 0.0, 1.0))
    u = np.clip(_quotient(b * t + h, c), 0.0, 1.0)
    t = np.clip(_quotient(b * u - g, a), 0.0, 1.0)
    gap = f + t[..., None] * d - u[..., None] * e
    return np.asarray(np.sqrt((gap * gap).sum(-1)))


def _quotient(numerator: Floats, denominator: Floats) -> Floats:
    """Quotient, 0 where the segment is a point."""
    point = denominator <= 0.0
    return np.where(point, 0.0, numerator / np.where(point, 1.0, denominator))


def segment_convex_m(p: Floats, q: Floats, nearest: Nearest) -> Floats:
    """Distance of segments ``p q`` (..., 3) from a convex shape that is told by its nearest points.

    Args:
        p: first ends.
        q: second ends.
        nearest: the point of the shape that is nearest to each point (..., 3).
    """
    along = q - p

    def away(share: Floats) -> Floats:
        at = p + share[..., None] * along
        return np.asarray(np.einsum("...i,...i->...", at - nearest(at), along))

    low = np.zeros(np.broadcast_shapes(p.shape, q.shape)[:-1])
    high = low + 1.0
    from_low, from_high = away(low), away(high)
    inside = (from_low < 0.0) & (from_high > 0.0)
    share = np.where(from_low >= 0.0, 0.0, 1.0)
    kept = np.zeros(low.shape, dtype=np.int8)
    for step in range(_HALVINGS + _SECANTS):
        middle = 0.5 * (low + high)
        if step >= _HALVINGS:
            with np.errstate(invalid="ignore", divide="ignore"):
                middle = np.where(inside, (low * from_high - high * from_low) / (from_high - from_low), share)
        value = away(middle)
        up = value > 0.0
        # The end that stays twice running counts half (Illinois rule), or it would stay for ever.
        from_low = np.where(up, np.where(kept == 1, 0.5 * from_low, from_low), value)
        from_high = np.where(up, value, np.where(kept == -1, 0.5 * from_high, from_high))
        low, high = np.where(up, low, middle), np.where(up, middle, high)
        kept = np.where(up, 1, -1).astype(np.int8) if step >= _HALVINGS else kept
        share = np.where(inside, middle, share)
    found = p + share[..., None] * along
    best = _norm(found - nearest(found))
    for end in (p, q):
        best = np.minimum(best, _norm(end - nearest(end)))
    return np.asarray(best)


def nearest_of_several_m(starts: Floats, ends: Floats, radius_m: Floats, nearest: Nearest) -> Floats:
    """Distance (N,) of the nearest of several thick segments from a convex shape; NaN where one is not told.

    Args:
        starts: first ends (R, N, 3).
        ends: second ends (R, N, 3).
        radius_m: half thickness of each (R,).
        nearest: nearest points of the shape.
    """
    middle = 0.5 * (starts + ends)
    half = 0.5 * _norm(ends - starts)
    least = _norm(middle - nearest(middle)) - radius_m[:, None]
    # Only what may be the nearest is looked at along its length.
    wanted = ~(least - half > least.min(axis=0))
    found = np.full(least.shape, np.inf)
    row = np.nonzero(wanted)[0]
    found[wanted] = segment_convex_m(starts[wanted], ends[wanted], nearest) - radius_m[row]
    return np.asarray(np.maximum(found.min(axis=0), 0.0))


def box_nearest(half_m: Floats) -> Nearest:
    """Nearest points of a box about the origin with these half sides (3,)."""
    return lambda at: np.clip(at, -half_m, half_m)


def prism_nearest(outline_m: Floats, bottom_m: float, top_m: float) -> Nearest:
    """Nearest points of an upright prism over a convex outline (K, 2), counter-clockwise."""
    edges = [
        (float(x), float(y), float(u - x), float(v - y))
        for (x, y), (u, v) in zip(outline_m, np.roll(outline_m, -1, axis=0), strict=True)
    ]

    def nearest(at: Floats) -> Floats:
        px, py = at[..., 0], at[..., 1]
        best = np.full(px.shape, np.inf)
        nx, ny = px.copy(), py.copy()
        inside = np.ones(px.shape, dtype=np.bool_)
        for x, y, ex, ey in edges:
            ax, ay = px - x, py - y
            share = np.clip((ax * ex + ay * ey) / (ex * ex + ey * ey), 0.0, 1.0)
            gx, gy = ax - share * ex, ay - share * ey
            square = gx * gx + gy * gy
            nearer = square < best
            best = np.where(nearer, square, best)
            nx, ny = np.where(nearer, px - gx, nx), np.where(nearer, py - gy, ny)
            inside &= ex * ay - ey * ax >= 0.0
        out = np.empty(at.shape)
        out[..., 0], out[..., 1] = np.where(inside, px, nx), np.where(inside, py, ny)
        out[..., 2] = np.clip(at[..., 2], bottom_m, top_m)
        return out

    return nearest


def plan_distance_m(a: Floats, b: Floats) -> Floats:
    """Distance in plan of convex outlines (..., K, 2) and (M, 2), both counter-clockwise; 0 where they overlap."""
    between = np.minimum(_corners_to_edges(a, b), _corners_to_edges(b, a))
    apart = _parted(a, b) | _parted(b, a)
    return np.where(apart, between, 0.0)


def _corners_to_edges(corners: Floats, outline: Floats) -> Floats:
    start = outline[..., None, :, :]
    edge = np.roll(outline, -1, axis=-2)[..., None, :, :] - start
    to = corners[..., :, None, :] - start
    share = np.clip((to * edge).sum(-1) / (edge * edge).sum(-1), 0.0, 1.0)
    gap = to - share[..., None] * edge
    return np.asarray(np.sqrt((gap * gap).sum(-1)).min(axis=(-2, -1)))


def _parted(a: Floats, b: Floats) -> NDArray[np.bool_]:
    """Whether an edge of ``a`` parts the two."""
    edge = np.roll(a, -1, axis=-2) - a
    to = b[..., None, :, :] - a[..., :, None, :]
    outside = _turn(edge[..., :, None, :], to) <= 0.0
    return np.asarray(outside.all(axis=-1).any(axis=-1))


def _turn(a: Floats, b: Floats) -> Floats:
    return a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]


def _norm(vectors: Floats) -> Floats:
    return np.asarray(np.sqrt(np.einsum("...i,...i->...", vectors, vectors)))
