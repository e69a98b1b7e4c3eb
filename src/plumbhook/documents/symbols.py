"""Symbols of rigging in paper millimetres: hook, links, struts with their joints, slings, centre of gravity."""

from __future__ import annotations

import math
from collections.abc import Sequence

from plumbhook.documents.fonts import Face
from plumbhook.documents.scene import (
    BALLOON_PEN,
    CENTRE_PEN,
    FORCE_PEN,
    FRAME_PEN,
    RIG_PEN,
    SLING_PEN,
    THIN_PEN,
    Arc,
    Arrowhead,
    Circle,
    Fill,
    Item,
    Layer,
    Pen,
    Point,
    Polyline,
    Text,
    line,
)

HOOK_HEIGHT_MM = 9.0
"""From the top of the hook symbol to its seat."""


def towards(a: Point, b: Point) -> tuple[Point, Point, float]:
    """Unit vector from a to b, the unit vector to its left as read, and the distance."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    length = math.hypot(dx, dy)
    if length == 0.0:
        return (1.0, 0.0), (0.0, -1.0), 0.0
    u = (dx / length, dy / length)
    return u, (u[1], -u[0]), length


def along(a: Point, u: Point, s: float, n: Point = (0.0, 0.0), t: float = 0.0) -> Point:
    """Point at ``s`` along ``u`` from ``a`` and ``t`` along ``n``."""
    return (a[0] + u[0] * s + n[0] * t, a[1] + u[1] * s + n[1] * t)


def hook(seat: Point) -> tuple[Item, ...]:
    """A crane hook whose seat is at ``seat``; the size is a symbol, not to scale."""
    x, y = seat
    radius = 1.9
    return (
        Polyline(
            ((x - 0.8, y - 9.0), (x + 0.8, y - 9.0), (x + 0.8, y - 5.2), (x - 0.8, y - 5.2)),
            RIG_PEN,
            Layer.RIG,
            True,
            Fill.WHITE,
        ),
        line((x, y - 5.2), (x, y - 3.9), Pen(1.0), Layer.RIG),
        Arc((x, y - radius), radius, -190.0, 90.0, Pen(1.0), Layer.RIG),
    )


def hook_item(top: Point, bottom: Point, *, ring: bool) -> tuple[Item, ...]:
    """A link or load cell between two bearing points: a ring, or a body with an eye at each end."""
    u, n, length = towards(top, bottom)
    half = min(max(0.22 * length, 0.9), 2.6)
    if ring or length < 6.0:
        outer = _stadium(top, bottom, half)
        inner = _stadium(along(top, u, half * 0.45), along(bottom, u, -half * 0.45), half * 0.5)
        return (
            Polyline(outer, RIG_PEN, Layer.GEAR, True, Fill.WHITE),
            Polyline(inner, THIN_PEN, Layer.GEAR, True),
        )
    eye = 1.1
    body = [
        along(top, u, s, n, t)
        for s, t in (
            (eye * 2, half * 0.7),
            (length - eye * 2, half * 0.7),
            (length - eye * 2, -half * 0.7),
            (eye * 2, -half * 0.7),
        )
    ]
    return (
        Circle(along(top, u, eye), eye, RIG_PEN, Layer.GEAR, Fill.WHITE),
        Circle(along(bottom, u, -eye), eye, RIG_PEN, Layer.GEAR, Fill.WHITE),
        Polyline(tuple(body), RIG_PEN, Layer.GEAR, True, Fill.WHITE),
        line(
            along(top, u, length * 0.5, n, -half * 0.7),
            along(top, u, length * 0.5, n, half * 0.7),
            THIN_PEN,
            Layer.GEAR,
        ),
    )


def _stadium(a: Point, b: Point, half: float) -> tuple[Point, ...]:
    u, n, length = towards(a, b)
    half = min(half, length / 2.0)
    out: list[Point] = []
    for centre, begin in ((along(a, u, half), 90.0), (along(a, u, length - half), -90.0)):
        for i in range(9):
            turn = math.radians(begin + 180.0 * i / 8.0)
            out.append(along(centre, u, half * math.cos(turn), n, half * math.sin(turn)))
    return tuple(out)


def sling(a: Point, b: Point, parallel: int, owner: str) -> tuple[Item, ...]:
    """A sling as a double line; slings side by side have lines between them. The width is a symbol."""
    u, n, length = towards(a, b)
    if length < 0.05:
        return ()
    half = 0.5 if parallel < 2 else 0.8
    corners = tuple(
        along(a, u, s, n, t) for s, t in ((0.0, half), (length, half), (length, -half), (0.0, -half))
    )
    items: list[Item] = [Polyline(corners, SLING_PEN, Layer.GEAR, True, Fill.WHITE, owner)]
    for i in range(1, min(parallel, 4)):
        t = half - 2.0 * half * i / min(parallel, 4)
        items.append(line(along(a, u, 0.0, n, t), along(a, u, length, n, t), Pen(0.18), Layer.GEAR))
    return tuple(items)


def strut(
    a: Point, b: Point, diameter: float, joints: Sequence[float], fittings: tuple[float, float], owner: str
) -> tuple[Item, ...]:
    """A strut from pin to pin.

    Args:
        a: one pin on paper.
        b: the other pin.
        diameter: tube, mm on paper.
        joints: distances of joints between pieces from ``a``, mm on paper.
        fittings: length of the end fitting at a and at b, mm on paper.
        owner: name for tests.
    """
    u, n, length = towards(a, b)
    half = max(diameter / 2.0, 0.55)
    if length < 2.0 * half:
        return (
            Circle(a, half * 1.35, RIG_PEN, Layer.RIG, Fill.WHITE, owner),
            Circle(a, half * 0.6, THIN_PEN, Layer.RIG, Fill.WHITE, owner),
        )
    begin, end = fittings[0], length - fittings[1]
    tube = tuple(along(a, u, s, n, t) for s, t in ((begin, half), (end, half), (end, -half), (begin, -half)))
    items: list[Item] = [Polyline(tube, RIG_PEN, Layer.RIG, True, Fill.WHITE, owner)]
    for pin, sign, size in ((a, 1.0, fittings[0]), (b, -1.0, fittings[1])):
        back = half * 1.0
        shape = (
            (size, half * 1.25),
            (-back * 0.4, half * 0.95),
            (-back, half * 0.4),
            (-back, -half * 0.4),
            (-back * 0.4, -half * 0.95),
            (size, -half * 1.25),
        )
        items.append(
            Polyline(
                tuple(along(pin, u, sign * s, n, t) for s, t in shape),
                RIG_PEN,
                Layer.RIG,
                True,
                Fill.WHITE,
                owner,
            )
        )
        items.append(Circle(pin, min(0.55, half * 0.5), THIN_PEN, Layer.RIG, Fill.BLACK, owner))
    flange, thick = half * 1.55, min(0.45, max(length * 0.004, 0.3))
    for at in (*joints, begin, end):
        for s in (at - thick / 2.0, at + thick / 2.0):
            ends = (along(a, u, s, n, flange), along(a, u, s, n, -flange))
            items.append(Polyline(ends, Pen(0.35), Layer.RIG, owner=owner))
    return tuple(items)


def shackle(centre: Point, radius: float = 0.9) -> tuple[Item, ...]:
    """A shackle or pin where a sling ends, as a small ring; a symbol, not to scale."""
    return (Circle(centre, radius, RIG_PEN, Layer.GEAR, Fill.WHITE),)


def cog_mark(centre: Point, radius: float = 1.5) -> tuple[Item, ...]:
    """The quartered disc of a centre of gravity."""
    quarters = []
    for begin in (0.0, 180.0):
        rim = Arc(centre, radius, begin, begin + 90.0, BALLOON_PEN, Layer.LOAD).points(9)
        quarters.append(Polyline((centre, *rim), Pen(0.0), Layer.LOAD, True, Fill.BLACK, "cog"))
    return (Circle(centre, radius, BALLOON_PEN, Layer.LOAD, Fill.WHITE, "cog"), *quarters)


def force_arrow(tail: Point, tip: Point, owner: str = "") -> tuple[Item, ...]:
    """A force: a line of 0.5 mm with a head at its tip."""
    u, _, length = towards(tail, tip)
    angle = math.degrees(math.atan2(-u[1], u[0]))
    return (
        line(tail, along(tail, u, max(length - 2.5, 0.0)), FORCE_PEN, Layer.FORCE, owner),
        Arrowhead(tip, angle, 3.0, Layer.FORCE, owner),
    )


def view_title(at: Point, letter: str, name: str, scale: int, width: float) -> tuple[Item, ...]:
    """Letter, name and scale of a view, underlined."""
    x, y = at
    return (
        Text((x, y), letter, Face.BOLD, 3.5, knock_out=Fill.NONE),
        Text((x + 5.0, y), name, Face.SEMIBOLD, 2.5, knock_out=Fill.NONE),
        Text((x + width, y), f"1:{scale}", Face.REGULAR, 2.5, "end", knock_out=Fill.NONE),
        line((x, y + 1.9), (x + width, y + 1.9), FRAME_PEN, Layer.FRAME),
    )


def centre_line(a: Point, b: Point) -> Item:
    """A chain line."""
    return line(a, b, CENTRE_PEN, Layer.CENTRE)


def break_line(top: Point, bottom: Point) -> Item:
    """A thin continuous line with a zigzag, where a view is broken off (ISO 128)."""
    u, n, length = towards(top, bottom)
    mid = length / 2.0
    points = [along(top, u, -1.5)]
    points += [along(top, u, mid + s, n, t) for s, t in ((-1.2, 0.0), (-0.4, 1.4), (0.4, -1.4), (1.2, 0.0))]
    points.append(along(top, u, length + 1.5))
    return Polyline(tuple(points), THIN_PEN, Layer.LOAD)


def scale_bar(at: Point, scale: int) -> tuple[Item, ...]:
    """A bar of 0, 1 and 2 steps with the scale; ``at`` is its upper left corner. About 50 mm wide at most."""
    step_m = next(step for step in (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0) if step * 1000.0 / scale >= 9.0)
    step = step_m * 1000.0 / scale
    x, y = at[0] + 11.0, at[1] + 3.4
    items: list[Item] = [Text((at[0], y + 1.9), f"1:{scale}", Face.REGULAR, 1.8, knock_out=Fill.NONE)]
    for i in range(2):
        corners = (
            (x + i * step, y),
            (x + (i + 1) * step, y),
            (x + (i + 1) * step, y + 1.6),
            (x + i * step, y + 1.6),
        )
        items.append(Polyline(corners, THIN_PEN, Layer.FRAME, True, Fill.BLACK if i == 0 else Fill.WHITE))
    for i in range(3):
        words = f"{i * step_m:g}" + (" m" if i == 2 else "")
        anchor = "middle" if i < 2 else "start"
        shift = 0.0 if i < 2 else -0.8
        items.append(
            Text((x + i * step + shift, y - 0.9), words, Face.REGULAR, 1.8, anchor, knock_out=Fill.NONE)
        )
    return tuple(items)


def scale_bar_size(scale: int) -> tuple[float, float]:
    """Width and height that :func:`scale_bar` needs, mm."""
    step_m = next(step for step in (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0) if step * 1000.0 / scale >= 9.0)
    return 11.0 + 2.0 * step_m * 1000.0 / scale + 8.0, 5.6
