"""Views of the rig: direction, projection to paper, extents, and the scale and sheets on which they fit.

z is up. An elevation has a horizontal direction that runs to the right; the plan has the right-hand direction of the
leading elevation, so that what is at the right of one is at the right of the other.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from plumbhook.documents.numbers import degrees
from plumbhook.documents.scene import Point
from plumbhook.planning.assessment import Assessment, Posture, StrutDrawing, Vector

SCALES = (5, 10, 20, 50, 100, 200, 500, 1000)
"""Scales of ISO 5455 for reduction, largest drawing first."""

_ALIGNED = 1e-6
_MOST_AIR_MM = 10.0


@dataclass(frozen=True, slots=True)
class View:
    """A direction of looking: letter, name, and the model directions that run right and up on paper."""

    letter: str
    name: str
    right: Vector
    up: Vector
    left_word: str
    right_word: str

    @property
    def towards(self) -> Vector:
        """The direction of looking, into the paper."""
        return cross(self.up, self.right)

    def project(self, point: Vector) -> Point:
        """Model point to view coordinates, m: right and up."""
        return (dot(point, self.right), dot(point, self.up))

    def depth(self, point: Vector) -> float:
        """How far a point lies from the viewer, m; larger is farther."""
        return dot(point, self.towards)

    def true_ratio(self, a: Vector, b: Vector) -> float:
        """Length seen over true length of a line; 1 where the view shows it in true length."""
        length = math.dist(a, b)
        return math.dist(self.project(a), self.project(b)) / length if length > 0.0 else 0.0


@dataclass(frozen=True, slots=True)
class Extent:
    """Upright rectangle in view coordinates, m."""

    left: float
    bottom: float
    right: float
    top: float

    def joined(self, other: Extent) -> Extent:
        """The smallest rectangle round both."""
        return Extent(
            min(self.left, other.left),
            min(self.bottom, other.bottom),
            max(self.right, other.right),
            max(self.top, other.top),
        )


def dot(a: Vector, b: Vector) -> float:
    """Scalar product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vector, b: Vector) -> Vector:
    """Vector product a x b."""
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def extent_of(points: Iterable[Point]) -> Extent:
    """The smallest rectangle round some points."""
    listed = list(points)
    us, vs = [p[0] for p in listed], [p[1] for p in listed]
    return Extent(min(us), min(vs), max(us), max(vs))


def leading_direction(assessment: Assessment) -> Vector:
    """Horizontal unit vector along the longest strut; without struts along the longest distance of lift points."""
    nodes = assessment.rig.drawn.nodes_m
    pairs = [(nodes[s.node_a], nodes[s.node_b]) for s in _longest_first(assessment.rig.struts)]
    if not pairs:
        points = [p.at_m for p in assessment.load.lift_points]
        pairs = sorted(
            ((a, b) for i, a in enumerate(points) for b in points[i + 1 :]), key=lambda ab: _beside_axis(*ab)
        )
    for a, b in pairs:
        along = (b[0] - a[0], b[1] - a[1], 0.0)
        length = math.hypot(along[0], along[1])
        if length > 1e-3:
            unit = (along[0] / length, along[1] / length, 0.0)
            return _forward(unit)
    return (1.0, 0.0, 0.0)


def _longest_first(struts: Sequence[StrutDrawing]) -> list[StrutDrawing]:
    return sorted(struts, key=lambda s: (-round(s.span_m, 4), s.name))


def _beside_axis(a: Vector, b: Vector) -> tuple[float, float]:
    """Sort key of two lift points: lines along x or y before diagonals, then the longest."""
    dx, dy = abs(b[0] - a[0]), abs(b[1] - a[1])
    return (round(min(dx, dy), 3), -math.hypot(dx, dy))


def _forward(unit: Vector) -> Vector:
    """The one of the two opposite directions that points to +x, or to +y where it has no x."""
    x, y, _ = unit
    if abs(x) < _ALIGNED:
        return (0.0, 1.0, 0.0)
    if abs(y) < _ALIGNED:
        return (1.0, 0.0, 0.0)
    return unit if x > 0.0 else (-x, -y, 0.0)


def standard_views(assessment: Assessment) -> tuple[View, View, View]:
    """Elevation A (the longest strut in true length), elevation B at right angles to it, and the plan C."""
    along = leading_direction(assessment)
    up = (0.0, 0.0, 1.0)
    across = cross(up, along)
    # B looks along the leading direction; what is at its right is then -across, turned so that it runs to + if it can.
    second = _forward(across) if _axis_name(along) else across
    return (
        _elevation("A", along, up),
        _elevation("B", second, up),
        View("C", "Plan, from above", along, across, *_words(along)),
    )


def turned_plan(plan: View) -> View:
    """The plan with its right-hand direction up the sheet, where that saves a sheet."""
    up = plan.right
    right = cross(up, (0.0, 0.0, 1.0))
    return View(plan.letter, plan.name, right, up, *_words(right))


def _elevation(letter: str, right: Vector, up: Vector) -> View:
    view = View(letter, "", right, up, *_words(right))
    toward = _axis_name(view.towards)
    name = (
        f"Elevation towards {toward}"
        if toward
        else f"Elevation, {degrees(math.atan2(right[1], right[0]), 1)} from x to y"
    )
    return View(letter, name, right, up, *_words(right))


def _axis_name(direction: Vector) -> str:
    for axis, component in zip("xyz", direction, strict=True):
        if abs(abs(component) - 1.0) < _ALIGNED:
            return f"+{axis}" if component > 0.0 else f"−{axis}"
    return ""


def _words(right: Vector) -> tuple[str, str]:
    name = _axis_name(right)
    if not name:
        return ("end a side", "end b side")
    sign, axis = name[0], name[1]
    return (f"{axis}−", f"{axis}+") if sign == "+" else (f"{axis}+", f"{axis}−")


@dataclass(frozen=True, slots=True)
class Margins:
    """Paper round the geometry of a view for dimensions, balloons and titles, mm."""

    left: float
    right: float
    top: float
    bottom: float


@dataclass(frozen=True, slots=True)
class Placed:
    """A view on a sheet: where its origin is on paper, at which scale, and the paper it may use."""

    view: View
    scale: int
    origin: Point
    extent: Extent
    window: Extent | None
    left: float
    top: float
    right: float
    bottom: float

    @property
    def mm_per_m(self) -> float:
        """Paper millimetres for one metre."""
        return 1000.0 / self.scale

    def paper(self, point: Vector) -> Point:
        """Model point to paper."""
        return self.paper_uv(self.view.project(point))

    def paper_uv(self, uv: Point) -> Point:
        """View coordinates to paper."""
        k = self.mm_per_m
        return (self.origin[0] + k * uv[0], self.origin[1] - k * uv[1])


@dataclass(frozen=True, slots=True)
class Block:
    """A view to be put on a sheet."""

    view: View
    extent: Extent
    window: Extent | None
    margins: Margins
    least_width: float = 0.0

    def size(self, scale: int) -> tuple[float, float]:
        """Width and height on paper, mm."""
        k = 1000.0 / scale
        e, m = self.extent, self.margins
        width = (e.right - e.left) * k + m.left + m.right
        return (max(width, self.least_width), (e.top - e.bottom) * k + m.top + m.bottom)

    def geometry_left(self, scale: int) -> float:
        """From the left of the block to the left of its geometry, mm; a narrow view stands in the middle."""
        drawn = (self.extent.right - self.extent.left) * 1000.0 / scale
        spare = self.size(scale)[0] - drawn - self.margins.left - self.margins.right
        return self.margins.left + spare / 2.0


def layouts(blocks: Sequence[Block]) -> list[list[list[list[int]]]]:
    """Ways to divide views among sheets (sheets of rows of views), fewest sheets first."""
    if len(blocks) == 1:
        return [[[[0]]]]
    if len(blocks) == 2:
        return [[[[0, 1]]], [[[0], [1]]]]
    one = [[[[0, 1, 2]]], [[[0, 1], [2]]], [[[0, 2], [1]]], [[[0], [1, 2]]], [[[0], [1], [2]]]]
    two = [[[[0, 1]], [[2]]], [[[0], [1]], [[2]]], [[[0]], [[1, 2]]], [[[0]], [[1], [2]]]]
    return [*one, *two]


def place_rows(
    blocks: Sequence[Block], rows: Sequence[Sequence[int]], scale: int, width: float, height: float
) -> list[Placed] | None:
    """Put rows of views on one sheet, the spare room shared between them; None where they do not fit."""
    sizes = [[blocks[i].size(scale) for i in row] for row in rows]
    widths = [sum(size[0] for size in row) for row in sizes]
    heights = [max(size[1] for size in row) for row in sizes]
    if max(widths) > width or sum(heights) > height:
        return None
    out: list[Placed] = []
    top = 0.0
    spare_y = (height - sum(heights)) / len(rows)
    for row, row_sizes, row_width, row_height in zip(rows, sizes, widths, heights, strict=True):
        left = 0.0
        spare_x = (width - row_width) / len(row)
        bottom = top + row_height + spare_y
        for index, size in zip(row, row_sizes, strict=True):
            right = left + size[0] + spare_x
            block = blocks[index]
            k = 1000.0 / scale
            x = left + spare_x / 2.0 + block.geometry_left(scale) - block.extent.left * k
            y = top + min(spare_y / 2.0, _MOST_AIR_MM) + block.margins.top + block.extent.top * k
            out.append(
                Placed(block.view, scale, (x, y), block.extent, block.window, left, top, right, bottom)
            )
            left = right
        top = bottom
    return out


def finite_posture(posture: Posture) -> bool:
    """True where every number of a posture can be drawn."""
    numbers = [*posture.load_origin_m, *posture.cog_m, *(x for row in posture.load_rows for x in row)]
    numbers += [x for node in posture.nodes_m.values() for x in node]
    return all(math.isfinite(x) for x in numbers)
