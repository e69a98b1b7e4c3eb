"""Convex outlines in a plane: hulls of projected boxes, and clipping to the window of a broken view."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from plumbhook.documents.scene import Point
from plumbhook.documents.views import Extent


def convex_hull(points: Iterable[Point]) -> tuple[Point, ...]:
    """Convex hull, anticlockwise (monotone chain); fewer than three points where they lie on a line."""
    ordered = sorted(set(points))
    if len(ordered) < 3:
        return tuple(ordered)

    def half(sequence: Iterable[Point]) -> list[Point]:
        out: list[Point] = []
        for point in sequence:
            while len(out) >= 2 and _turn(out[-2], out[-1], point) <= 1e-12:
                out.pop()
            out.append(point)
        return out

    lower, upper = half(ordered), half(reversed(ordered))
    return tuple(lower[:-1] + upper[:-1])


def _turn(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def clip_polygon(polygon: Sequence[Point], window: Extent) -> tuple[Point, ...]:
    """The part of a convex polygon inside a window (Sutherland and Hodgman); empty where none is."""
    out = list(polygon)
    for axis, limit, sign in (
        (0, window.left, 1.0),
        (0, window.right, -1.0),
        (1, window.bottom, 1.0),
        (1, window.top, -1.0),
    ):
        out = _clip_half_plane(out, axis, limit, sign)
    return tuple(out)


def _clip_half_plane(polygon: list[Point], axis: int, limit: float, sign: float) -> list[Point]:
    out: list[Point] = []
    for i, current in enumerate(polygon):
        previous = polygon[i - 1]
        now, before = sign * (current[axis] - limit), sign * (previous[axis] - limit)
        if (now >= 0.0) != (before >= 0.0):
            t = before / (before - now)
            out.append(
                (previous[0] + t * (current[0] - previous[0]), previous[1] + t * (current[1] - previous[1]))
            )
        if now >= 0.0:
            out.append(current)
    return out


def clip_segment(a: Point, b: Point, window: Extent) -> tuple[Point, Point] | None:
    """The part of a line inside a window (Liang and Barsky); None where none is."""
    t0, t1 = 0.0, 1.0
    dx, dy = b[0] - a[0], b[1] - a[1]
    for p, q in (
        (-dx, a[0] - window.left),
        (dx, window.right - a[0]),
        (-dy, a[1] - window.bottom),
        (dy, window.top - a[1]),
    ):
        if p == 0.0:
            if q < 0.0:
                return None
            continue
        t = q / p
        if p < 0.0:
            t0 = max(t0, t)
        else:
            t1 = min(t1, t)
    if t0 >= t1:
        return None
    return (a[0] + t0 * dx, a[1] + t0 * dy), (a[0] + t1 * dx, a[1] + t1 * dy)
