"""A drawing under construction: what is drawn, and what a further text must keep clear of."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from plumbhook.core.errors import PlumbhookError
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
from plumbhook.documents.scene import Arc, Fill, Item, Layer, ObliqueStroke, Point, Polyline, Text

CLEARANCE_MM = 0.4
"""Free space kept round a text when it is placed; the test of the finished scene asks for none."""

EDGE_MM = 0.5
"""Nothing is placed nearer to the edge of a sheet."""

Option = tuple[Item, ...]
"""The primitives that would be drawn for a label."""


class PlacementError(PlumbhookError):
    """A label finds no free place at this scale; a smaller scale or another division of the sheets is tried."""


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
        return inside(part, EDGE_MM, EDGE_MM, self.width_mm - EDGE_MM, self.height_mm - EDGE_MM)

    def free_boxes(self, centres: np.ndarray, width: float, height: float) -> np.ndarray:
        """Of upright boxes around ``centres`` (n, 2), which touch no bounding box of anything drawn: bool (n,)."""
        left, right = centres[:, 0] - width / 2.0, centres[:, 0] + width / 2.0
        top, bottom = centres[:, 1] - height / 2.0, centres[:, 1] + height / 2.0
        free: np.ndarray = (
            (left >= EDGE_MM)
            & (top >= EDGE_MM)
            & (right <= self.width_mm - EDGE_MM)
            & (bottom <= self.height_mm - EDGE_MM)
        )
        boxes = self._boxes[: len(self._shapes)]
        left_over = np.flatnonzero(free)
        for begin in range(0, len(boxes), 128):
            part = boxes[begin : begin + 128]
            clear = (
                (left[left_over, None] > part[None, :, 2])
                | (right[left_over, None] < part[None, :, 0])
                | (top[left_over, None] > part[None, :, 3])
                | (bottom[left_over, None] < part[None, :, 1])
            )
            left_over = left_over[clear.all(axis=1)]
        free[:] = False
        free[left_over] = True
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
            out.extend((part, _LEADER_OBSTACLES) for part in outline(item))
    return out


def outline(item: Item) -> list[Shape]:
    """Every stroke of an item, thin ones too."""
    match item:
        case Polyline():
            return segments(item.points, item.closed, max(item.pen.width_mm, 0.1), "a line", item.owner)
        case Arc() | ObliqueStroke():
            return segments(item.points(), False, max(item.pen.width_mm, 0.1), "a line", item.owner)
        case _:
            return obstacles(item)


def find_room(sheet: Sheet, width: float, height: float) -> Point:
    """Upper left corner of an upright free space, thin lines counted too, as far down and right as there is one.

    Raises:
        PlacementError: there is none.
    """
    strokes = [part for item in sheet.items for part in (*outline(item), *obstacles(item))]
    x = sheet.width_mm - width - EDGE_MM
    while x > EDGE_MM:
        y = sheet.height_mm - height - EDGE_MM
        while y > EDGE_MM:
            room = shape(((x, y), (x + width, y), (x + width, y + height), (x, y + height)), "room")
            if not any(touches(room, part) for part in strokes):
                return (x, y)
            y -= 4.0
        x -= 4.0
    raise PlacementError("no room for the scale bar")


def without_idle_knock_outs(items: Sequence[Item]) -> tuple[Item, ...]:
    """Hide what is behind a text only where a thin line would run through it, in the colour of the ground there."""
    thin = [part for item in items if not isinstance(item, Text) and _is_thin(item) for part in outline(item)]
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
