"""Does a text in a drawing touch anything? Found by the separating-axis test on measured boxes.

The rule: no text box touches another text, a balloon, a leader, an arrowhead or oblique stroke, a continuous line of
0.35 mm or more, or the edge of the sheet. Thin and dashed lines may pass behind a text, which hides them. Leaders do
not cross one another.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import Enum

from plumbhook.documents.scene import (
    Arc,
    Arrowhead,
    Circle,
    Fill,
    Item,
    Layer,
    ObliqueStroke,
    Point,
    Polyline,
    Scene,
    Text,
)

HEAVY_MM = 0.35
"""Continuous lines of this width or more may not be touched by a text."""

_CIRCLE_SIDES = 16
_TOUCH_MM = 1e-6
_PIECE_MM = 8.0
_BORDER_MM = (
    0.3  # half of the widest outline and a little: an edge under the border of a later outline is hidden
)


class Kind(Enum):
    """What a shape comes from, as far as leaders care: they may cross lines but no text, balloon or leader."""

    LINE = "line"
    TEXT = "text"
    BALLOON = "balloon"
    LEADER = "leader"


@dataclass(frozen=True, slots=True)
class Shape:
    """A convex polygon (or a segment) with its upright bounding box, as an obstacle for texts."""

    points: tuple[Point, ...]
    left: float
    top: float
    right: float
    bottom: float
    what: str
    owner: str = ""
    kind: Kind = Kind.LINE


@dataclass(frozen=True, slots=True)
class Overlap:
    """Two things that touch, or a text that leaves the sheet."""

    first: str
    second: str
    at: Point

    def __str__(self) -> str:
        return f"{self.first} touches {self.second} at ({self.at[0]:.1f}, {self.at[1]:.1f}) mm"


def shape(points: Sequence[Point], what: str, owner: str = "", kind: Kind = Kind.LINE) -> Shape:
    """A convex outline with its bounding box."""
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return Shape(tuple(points), min(xs), min(ys), max(xs), max(ys), what, owner, kind)


def touches(a: Shape, b: Shape) -> bool:
    """True where two convex shapes have a point in common (separating-axis theorem)."""
    if a.right < b.left or b.right < a.left or a.bottom < b.top or b.bottom < a.top:
        return False
    return not (_separated(a.points, b.points) or _separated(b.points, a.points))


def _separated(a: tuple[Point, ...], b: tuple[Point, ...]) -> bool:
    count = len(a)
    for i in range(count):
        (x1, y1), (x2, y2) = a[i], a[(i + 1) % count]
        nx, ny = y1 - y2, x2 - x1
        if nx == 0.0 and ny == 0.0:
            continue
        along_a = [nx * x + ny * y for x, y in a]
        along_b = [nx * x + ny * y for x, y in b]
        slack = _TOUCH_MM * math.hypot(nx, ny)
        if max(along_a) < min(along_b) - slack or max(along_b) < min(along_a) - slack:
            return True
    return False


def segments(
    points: Sequence[Point], closed: bool, width: float, what: str, owner: str = "", kind: Kind = Kind.LINE
) -> list[Shape]:
    """Each stroke of a polyline as a thin rectangle."""
    ends = list(itertools.pairwise(points))
    if closed and len(points) > 2:
        ends.append((points[-1], points[0]))
    return [
        _thick(p, q, width, what, owner, kind)
        for a, b in ends
        if a != b
        for p, q in itertools.pairwise(_pieces(a, b))
    ]


def _pieces(a: Point, b: Point) -> list[Point]:
    """A slanting stroke cut into pieces, so that the bounding box of each hugs it."""
    count = max(1, math.ceil(min(abs(b[0] - a[0]), abs(b[1] - a[1])) / _PIECE_MM))
    return [(a[0] + (b[0] - a[0]) * i / count, a[1] + (b[1] - a[1]) * i / count) for i in range(count + 1)]


def _thick(a: Point, b: Point, width: float, what: str, owner: str, kind: Kind) -> Shape:
    (x1, y1), (x2, y2) = a, b
    length = math.hypot(x2 - x1, y2 - y1)
    nx, ny = (y1 - y2) / length * width / 2.0, (x2 - x1) / length * width / 2.0
    return shape(
        ((x1 + nx, y1 + ny), (x2 + nx, y2 + ny), (x2 - nx, y2 - ny), (x1 - nx, y1 - ny)), what, owner, kind
    )


def _circle_outline(centre: Point, radius: float) -> list[Point]:
    steps = (2.0 * math.pi * i / _CIRCLE_SIDES for i in range(_CIRCLE_SIDES))
    reach = radius / math.cos(math.pi / _CIRCLE_SIDES)
    return [(centre[0] + reach * math.cos(t), centre[1] + reach * math.sin(t)) for t in steps]


def text_shape(text: Text, margin: float = 0.0) -> Shape:
    """The measured box of a text as a shape."""
    return shape(text.box(margin), f"text '{text.text}'", text.owner, Kind.TEXT)


def obstacles(item: Item) -> list[Shape]:
    """What of ``item`` a text may not touch; empty for thin and dashed lines that pass behind texts."""
    match item:
        case Text():
            return [text_shape(item)]
        case Arrowhead():
            return [shape(item.points(), "an arrowhead", item.owner)]
        case ObliqueStroke():
            return segments(item.points(), False, item.pen.width_mm, "an oblique stroke", item.owner)
        case Circle():
            return _circle_obstacles(item)
        case Arc():
            if item.pen.dash or item.pen.width_mm < HEAVY_MM:
                return []
            return segments(
                item.points(), False, item.pen.width_mm, f"an arc ({item.layer.value})", item.owner
            )
        case Polyline():
            return _polyline_obstacles(item)


def _circle_obstacles(item: Circle) -> list[Shape]:
    solid = item.layer is Layer.BALLOON or item.fill in {Fill.BLACK, Fill.DARK}
    outline = _circle_outline(item.centre, item.radius + item.pen.width_mm / 2.0)
    if solid:
        kind = Kind.BALLOON if item.layer is Layer.BALLOON else Kind.LINE
        return [shape(outline, f"a circle ({item.layer.value})", item.owner, kind)]
    if item.pen.dash or item.pen.width_mm < HEAVY_MM:
        return []
    return segments(outline, True, item.pen.width_mm, f"a circle ({item.layer.value})", item.owner)


def _polyline_obstacles(item: Polyline) -> list[Shape]:
    what = f"a line ({item.layer.value})"
    if item.fill in {Fill.BLACK, Fill.DARK} and item.closed:
        return [shape(item.points, what, item.owner)]
    leader = item.layer is Layer.LEADER
    if not leader and (item.pen.dash or item.pen.width_mm < HEAVY_MM):
        return []
    kind = Kind.LEADER if leader else Kind.LINE
    return segments(item.points, item.closed, item.pen.width_mm, what, item.owner, kind)


def cover(item: Item) -> tuple[Point, ...]:
    """The outline that hides what was drawn before ``item``; empty where it hides nothing."""
    return item.points if isinstance(item, Polyline) and item.closed and item.fill is not Fill.NONE else ()


def hidden(part: Shape, outline: tuple[Point, ...]) -> bool:
    """True where a stroke lies wholly within a convex opaque outline that is drawn later."""
    if part.kind is not Kind.LINE or not outline:
        return False
    xs, ys = [x for x, _ in outline], [y for _, y in outline]
    reach = _BORDER_MM
    if (
        part.left < min(xs) - reach
        or part.right > max(xs) + reach
        or part.top < min(ys) - reach
        or part.bottom > max(ys) + reach
    ):
        return False
    return all(_within(point, outline) for point in part.points)


def _within(point: Point, outline: tuple[Point, ...]) -> bool:
    signs = []
    for (x1, y1), (x2, y2) in zip(outline, (*outline[1:], outline[0]), strict=True):
        length = math.hypot(x2 - x1, y2 - y1)
        if length > 0.0:
            signs.append(((x2 - x1) * (point[1] - y1) - (y2 - y1) * (point[0] - x1)) / length)
    return all(s >= -_BORDER_MM for s in signs) or all(s <= _BORDER_MM for s in signs)


def visible_obstacles(items: Sequence[Item]) -> list[tuple[int, Shape]]:
    """What texts may not touch, each with the index of its item; strokes that are painted over are left out."""
    found: list[tuple[int, Shape]] = []
    for index, item in enumerate(items):
        outline = cover(item)
        if outline:
            found = [(i, part) for i, part in found if not hidden(part, outline)]
        found.extend((index, part) for part in obstacles(item))
    return found


def _same_owner(a: Shape, b: Shape) -> bool:
    return bool(a.owner) and a.owner == b.owner


def find_overlaps(scene: Scene) -> list[Overlap]:
    """Every text that touches something it must not touch, and every pair of leaders that cross."""
    texts = [(index, text_shape(item)) for index, item in enumerate(scene.items) if isinstance(item, Text)]
    blocked = visible_obstacles(scene.items)
    found: list[Overlap] = []
    for index, box in texts:
        if not inside(box, 0.0, 0.0, scene.width_mm, scene.height_mm):
            found.append(Overlap(box.what, "the edge of the sheet", (box.left, box.top)))
        for other, part in blocked:
            if other == index or (part.kind is Kind.TEXT and other < index) or _same_owner(box, part):
                continue
            if touches(box, part):
                found.append(Overlap(box.what, part.what, (part.left, part.top)))
    found.extend(_crossing_leaders(scene.items))
    return found


def inside(box: Shape, left: float, top: float, right: float, bottom: float) -> bool:
    """True where a shape lies within an upright frame."""
    return box.left >= left and box.top >= top and box.right <= right and box.bottom <= bottom


def _crossing_leaders(items: Iterable[Item]) -> list[Overlap]:
    leaders = [item for item in items if isinstance(item, Polyline) and item.layer is Layer.LEADER]
    found: list[Overlap] = []
    for i, first in enumerate(leaders):
        for second in leaders[i + 1 :]:
            a = shape(first.points, f"the leader of {first.owner or 'a label'}")
            b = shape(second.points, f"the leader of {second.owner or 'a label'}")
            if first.points[0] != second.points[0] and touches(a, b):
                found.append(Overlap(a.what, b.what, first.points[0]))
    return found
