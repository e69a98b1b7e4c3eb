"""Where labels go: ordered options for each, the most constrained label first, and leaders where nothing near is free.

A label is a list of options; an option is the very primitives that would be drawn. The first option that touches
nothing is taken. Where none is free, the text is set anywhere on the sheet that is free and near, with a leader to its
anchor.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from plumbhook.core.errors import PlumbhookError
from plumbhook.documents.fonts import Face, text_extent
from plumbhook.documents.overlap import (
    HEAVY_MM,
    Kind,
    Shape,
    cover,
    hidden,
    inside,
    obstacles,
    segments,
    shape,
    text_shape,
    touches,
)
from plumbhook.documents.scene import (
    BALLOON_PEN,
    LEADER_PEN,
    THIN_PEN,
    Arc,
    Circle,
    Fill,
    Item,
    Layer,
    ObliqueStroke,
    Point,
    Polyline,
    Text,
    line,
)

CLEARANCE_MM = 0.4
"""Free space kept round a text when it is placed; the test of the finished scene asks for none."""

BALLOON_RADIUS_MM = 3.3
BALLOON_PITCH_MM = 9.0
LINE_PITCH = 1.75
"""Distance of baselines of a text of several lines, in capital heights."""

_GRID_MM = 2.0
_LEADER_GAP_MM = 0.6
_EDGE_MM = 0.5

Option = tuple[Item, ...]


class PlacementError(PlumbhookError):
    """A label finds no free place at this scale; a smaller scale or another division of the sheets is tried."""


@dataclass(frozen=True, slots=True)
class Label:
    """A text to be placed.

    Attributes:
        lines: the text, one entry a line.
        options: complete alternatives in order of preference.
        anchor: the point a leader would end at; None where a leader makes no sense and an option must do.
        face, cap_height_mm: of the text set with a leader.
        owner: name of what is labelled; its own balloon or outline does not count as an obstacle.
        required: False for a text that may be left out where there is no room.
    """

    lines: tuple[str, ...]
    options: tuple[Option, ...]
    anchor: Point | None
    face: Face = Face.REGULAR
    cap_height_mm: float = 2.5
    owner: str = ""
    required: bool = True


class Sheet:
    """A drawing under construction: what is drawn, and what a further text must keep clear of."""

    def __init__(self, width_mm: float, height_mm: float) -> None:
        self.width_mm = width_mm
        self.height_mm = height_mm
        self.items: list[Item] = []
        self._shapes: list[Shape] = []
        self._boxes = np.zeros((64, 4))

    def add(self, *items: Item) -> None:
        """Draw ``items`` and keep later texts clear of them."""
        for item in items:
            self.items.append(item)
            outline = cover(item)
            if outline:
                self._hide(outline)
            for part in obstacles(item):
                self._remember(part)

    def mark(self) -> int:
        """How much has been drawn, to come back to."""
        return len(self.items)

    def back_to(self, mark: int) -> None:
        """Take away everything drawn since ``mark``."""
        kept = self.items[:mark]
        self.items, self._shapes, self._boxes = [], [], np.zeros((64, 4))
        self.add(*kept)

    def _hide(self, outline: tuple[Point, ...]) -> None:
        kept = [part for part in self._shapes if not hidden(part, outline)]
        if len(kept) != len(self._shapes):
            self._shapes, self._boxes = [], np.zeros((64, 4))
            for part in kept:
                self._remember(part)

    def _remember(self, part: Shape) -> None:
        count = len(self._shapes)
        if count == len(self._boxes):
            self._boxes = np.vstack([self._boxes, np.zeros_like(self._boxes)])
        self._boxes[count] = (part.left, part.top, part.right, part.bottom)
        self._shapes.append(part)

    @property
    def count(self) -> int:
        """Number of obstacles so far; later ones can be told from it."""
        return len(self._shapes)

    def hits(self, candidate: Shape, kinds: frozenset[Kind] = frozenset(Kind), since: int = 0) -> bool:
        """True where ``candidate`` touches an obstacle of these kinds from number ``since`` on, not its own."""
        boxes = self._boxes[since : len(self._shapes)]
        near = (
            (boxes[:, 0] <= candidate.right)
            & (boxes[:, 2] >= candidate.left)
            & (boxes[:, 1] <= candidate.bottom)
            & (boxes[:, 3] >= candidate.top)
        )
        for index in np.flatnonzero(near):
            part = self._shapes[since + index]
            own = bool(part.owner) and part.owner == candidate.owner
            if part.kind in kinds and not own and touches(candidate, part):
                return True
        return False

    def fits(self, option: Option) -> bool:
        """True where every primitive of an option is free and inside the sheet."""
        return self.clear(probes(option))

    def clear(self, parts: Sequence[Probe], since: int = 0) -> bool:
        """True where no probe leaves the sheet or touches an obstacle from number ``since`` on."""
        return all(self._inside(part) and not self.hits(part, kinds, since) for part, kinds in parts)

    def _inside(self, part: Shape) -> bool:
        return inside(part, _EDGE_MM, _EDGE_MM, self.width_mm - _EDGE_MM, self.height_mm - _EDGE_MM)

    def free_boxes(self, centres: np.ndarray, width: float, height: float) -> np.ndarray:
        """Of upright boxes around ``centres`` (n, 2), which touch no bounding box of anything drawn: bool (n,)."""
        left, right = centres[:, 0] - width / 2.0, centres[:, 0] + width / 2.0
        top, bottom = centres[:, 1] - height / 2.0, centres[:, 1] + height / 2.0
        free: np.ndarray = (
            (left >= _EDGE_MM)
            & (top >= _EDGE_MM)
            & (right <= self.width_mm - _EDGE_MM)
            & (bottom <= self.height_mm - _EDGE_MM)
        )
        boxes = self._boxes[: len(self._shapes)]
        for begin in range(0, len(boxes), 128):
            part = boxes[begin : begin + 128]
            clear = (
                (left[:, None] > part[None, :, 2])
                | (right[:, None] < part[None, :, 0])
                | (top[:, None] > part[None, :, 3])
                | (bottom[:, None] < part[None, :, 1])
            )
            free &= clear.all(axis=1)
        return free


_LEADER_OBSTACLES = frozenset({Kind.TEXT, Kind.BALLOON, Kind.LEADER})
_TEXT_OBSTACLES = frozenset(Kind)

Probe = tuple[Shape, frozenset[Kind]]
"""A shape to be drawn and the kinds of obstacles it may not touch."""


def probes(option: Option) -> list[Probe]:
    """What must be free for an option: its texts of everything, its lines of texts, balloons and leaders."""
    out: list[Probe] = []
    for item in option:
        if isinstance(item, Text):
            out.append((text_shape(item, CLEARANCE_MM), _TEXT_OBSTACLES))
        elif isinstance(item, Polyline) and item.layer is Layer.LEADER:
            strokes = segments(item.points, False, item.pen.width_mm, "a leader", item.owner)
            out.extend((part, _LEADER_OBSTACLES) for part in strokes)
        else:
            out.extend((part, _LEADER_OBSTACLES) for part in _outline(item))
    return out


def _outline(item: Item) -> list[Shape]:
    """Every stroke of an item, thin ones too."""
    match item:
        case Polyline():
            return segments(item.points, item.closed, max(item.pen.width_mm, 0.1), "a line", item.owner)
        case Arc() | ObliqueStroke():
            return segments(item.points(), False, max(item.pen.width_mm, 0.1), "a line", item.owner)
        case _:
            return obstacles(item)


def text_block(
    lines: Sequence[str],
    centre: Point,
    face: Face,
    cap: float,
    *,
    align: str = "middle",
    owner: str = "",
    angle_deg: float = 0.0,
) -> tuple[Text, ...]:
    """Lines of text whose common box has its middle at ``centre``; ``align`` is start, middle or end of each line."""
    width = block_width(lines, face, cap)
    height = cap * (1.0 + LINE_PITCH * (len(lines) - 1))
    shift = {"start": -width / 2.0, "middle": 0.0, "end": width / 2.0}[align]
    turn = math.radians(angle_deg)
    cos, sin = math.cos(turn), math.sin(turn)
    out = []
    for index, words in enumerate(lines):
        x, y = shift, -height / 2.0 + cap + index * cap * LINE_PITCH
        at = (centre[0] + x * cos + y * sin, centre[1] - x * sin + y * cos)
        out.append(Text(at, words, face, cap, align, angle_deg, owner=owner))
    return tuple(out)


def block_width(lines: Sequence[str], face: Face, cap: float) -> float:
    """Width of the longest line, mm."""
    return max(text_extent(words, face, cap).width for words in lines)


def place_labels(sheet: Sheet, labels: Iterable[Label]) -> None:
    """Place every label on the sheet, the most constrained first.

    Raises:
        PlacementError: a label has no free place.
    """
    # For each label its free options; after each placement only the new obstacles are looked at.
    waiting = [(label, [(option, probes(option)) for option in label.options]) for label in labels]
    seen = 0
    while waiting:
        now = sheet.count
        waiting = [(label, [o for o in options if sheet.clear(o[1], seen)]) for label, options in waiting]
        seen = now
        index = min(range(len(waiting)), key=lambda i: (not waiting[i][1], len(waiting[i][1])))
        if not waiting[index][1]:
            break
        _, options = waiting.pop(index)
        sheet.add(*options[0][0])
    for label, _ in waiting:
        if label.required:
            sheet.add(*_with_leader(sheet, label))


def _with_leader(sheet: Sheet, label: Label) -> Option:
    """The nearest free place for a label, with a straight leader to its anchor.

    Raises:
        PlacementError: there is none.
    """
    if label.anchor is None:
        raise PlacementError(f"no free place for '{' / '.join(label.lines)}'")
    width = block_width(label.lines, label.face, label.cap_height_mm)
    cap = label.cap_height_mm
    # Descenders reach below the last baseline.
    height = cap * (1.0 + LINE_PITCH * (len(label.lines) - 1)) + 0.7 * cap
    xs = np.arange(width / 2.0 + _EDGE_MM, sheet.width_mm - width / 2.0, _GRID_MM)
    ys = np.arange(height / 2.0 + _EDGE_MM, sheet.height_mm - height / 2.0, _GRID_MM)
    if xs.size == 0 or ys.size == 0:
        raise PlacementError(f"'{label.lines[0]}' is wider than the sheet")
    grid = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
    ax, ay = label.anchor
    reach = np.hypot(
        np.maximum(np.abs(grid[:, 0] - ax) - width / 2.0, 0.0),
        np.maximum(np.abs(grid[:, 1] - ay) - height / 2.0, 0.0),
    )
    grid, reach = grid[reach > 3.0], reach[reach > 3.0]
    free = sheet.free_boxes(grid, width + 2.0 * CLEARANCE_MM, height + 2.0 * CLEARANCE_MM)
    grid, reach = grid[free], reach[free]
    for index in np.argsort(reach, kind="stable"):
        centre = (float(grid[index, 0]), float(grid[index, 1]))
        texts = text_block(label.lines, centre, label.face, cap, owner=label.owner)
        option: Option = (*texts, _leader(label, centre, width, height))
        if sheet.fits(option):
            return option
    raise PlacementError(f"no free place for '{' / '.join(label.lines)}'")


def _leader(label: Label, centre: Point, width: float, height: float) -> Polyline:
    """From the anchor to the nearest point of the text's box, with a gap before the text."""
    assert label.anchor is not None
    ax, ay = label.anchor
    half_w, half_h = width / 2.0 + _LEADER_GAP_MM, height / 2.0 + _LEADER_GAP_MM
    near = (
        min(max(ax, centre[0] - half_w), centre[0] + half_w),
        min(max(ay, centre[1] - half_h), centre[1] + half_h),
    )
    return line(label.anchor, near, LEADER_PEN, Layer.LEADER)


def find_room(sheet: Sheet, width: float, height: float) -> Point:
    """Upper left corner of an upright free space, thin lines counted too, as far down and right as there is one.

    Raises:
        PlacementError: there is none.
    """
    strokes = [part for item in sheet.items for part in (*_outline(item), *obstacles(item))]
    x = sheet.width_mm - width - _EDGE_MM
    while x > _EDGE_MM:
        y = sheet.height_mm - height - _EDGE_MM
        while y > _EDGE_MM:
            room = shape(((x, y), (x + width, y), (x + width, y + height), (x, y + height)), "room")
            if not any(touches(room, part) for part in strokes):
                return (x, y)
            y -= 4.0
        x -= 4.0
    raise PlacementError("no room for the scale bar")


@dataclass(frozen=True, slots=True)
class BalloonAnchor:
    """One item to be named: its number or letter and the points on it where the leader may end, best first."""

    name: str
    points: tuple[Point, ...]


def place_balloons(
    sheet: Sheet, anchors: Sequence[BalloonAnchor], column_x: float, top: float, bottom: float
) -> None:
    """Boundary labelling: balloons in one column beside the view, in order of height, with straight leaders.

    Args:
        sheet: the drawing.
        anchors: what to number.
        column_x: centre line of the column, mm.
        top: where the column may begin.
        bottom: where the column must end.

    Raises:
        PlacementError: the column is too short, or a leader cannot get through.
    """
    pitch = BALLOON_PITCH_MM
    if not anchors:
        return
    if (len(anchors) - 1) * pitch > bottom - top - 2.0 * BALLOON_RADIUS_MM:
        raise PlacementError(f"no room for {len(anchors)} balloons")
    order = sorted(anchors, key=lambda a: (a.points[0][1], a.name))
    slots = pushed_apart(
        [a.points[0][1] for a in order], pitch, top + BALLOON_RADIUS_MM, bottom - BALLOON_RADIUS_MM
    )
    order = _uncrossed(order, slots, column_x)
    for anchor, y in zip(order, slots, strict=True):
        owner = f"balloon {anchor.name} at {y:.1f}"
        option = next(
            (
                o
                for o in (_balloon(anchor.name, p, (column_x, y), owner) for p in anchor.points)
                if sheet.fits(o)
            ),
            None,
        )
        if option is None:
            raise PlacementError(f"no way for the leader of balloon {anchor.name}")
        sheet.add(*option)


def _balloon(name: str, point: Point, centre: Point, owner: str) -> Option:
    dx, dy = point[0] - centre[0], point[1] - centre[1]
    length = math.hypot(dx, dy)
    edge = (centre[0] + dx / length * BALLOON_RADIUS_MM, centre[1] + dy / length * BALLOON_RADIUS_MM)
    return (
        line(point, edge, LEADER_PEN, Layer.LEADER, owner),
        Circle(point, 0.55, THIN_PEN, Layer.LEADER, Fill.BLACK, owner),
        Circle(centre, BALLOON_RADIUS_MM, BALLOON_PEN, Layer.BALLOON, Fill.WHITE, owner),
        Text(
            (centre[0], centre[1] + 1.25),
            name,
            Face.SEMIBOLD,
            2.5,
            "middle",
            knock_out=Fill.NONE,
            owner=owner,
        ),
    )


def pushed_apart(wanted: Sequence[float], pitch: float, low: float, high: float) -> list[float]:
    """Slots in the order of ``wanted``, at least ``pitch`` apart, within bounds, near where they are wanted."""
    slots: list[float] = []
    for index, y in enumerate(wanted):
        lowest = low + index * pitch if not slots else slots[-1] + pitch
        slots.append(max(y, lowest))
    for index in range(len(slots) - 1, -1, -1):
        ceiling = high - (len(slots) - 1 - index) * pitch
        if index + 1 < len(slots):
            ceiling = min(ceiling, slots[index + 1] - pitch)
        slots[index] = min(slots[index], ceiling)
    return slots


def _uncrossed(
    order: Sequence[BalloonAnchor], slots: Sequence[float], column_x: float
) -> list[BalloonAnchor]:
    """Swap slots of crossing leaders; each swap shortens the leaders in sum, so this ends."""
    out = list(order)
    for _ in range(len(out) ** 2):
        swapped = False
        for i in range(len(out) - 1):
            for j in range(i + 1, len(out)):
                first = shape((out[i].points[0], (column_x, slots[i])), "")
                second = shape((out[j].points[0], (column_x, slots[j])), "")
                if touches(first, second):
                    out[i], out[j] = out[j], out[i]
                    swapped = True
        if not swapped:
            break
    return out


def without_idle_knock_outs(items: Sequence[Item]) -> tuple[Item, ...]:
    """Hide what is behind a text only where a thin line would run through it, in the colour of the ground there."""
    thin = [
        part for item in items if not isinstance(item, Text) and _is_thin(item) for part in _outline(item)
    ]
    return tuple(_with_ground(item, items, thin) if isinstance(item, Text) else item for item in items)


def _with_ground(text: Text, items: Sequence[Item], thin: Sequence[Shape]) -> Text:
    if text.knock_out is Fill.NONE:
        return text
    box = text_shape(text, 0.35)
    if not any(touches(box, part) for part in thin):
        return replace(text, knock_out=Fill.NONE)
    grounds = [
        item for item in items if isinstance(item, Polyline) and hidden(shape(box.points, ""), cover(item))
    ]
    return replace(text, knock_out=grounds[-1].fill) if grounds else text


def _is_thin(item: Item) -> bool:
    pen = getattr(item, "pen", None)
    return pen is not None and pen.width_mm > 0.0 and (bool(pen.dash) or pen.width_mm < HEAVY_MM)
