"""Balloons with the numbers of items, by boundary labelling."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from plumbhook.documents.fonts import Face
from plumbhook.documents.overlap import shape, touches
from plumbhook.documents.placement import free_places
from plumbhook.documents.scene import (
    BALLOON_PEN,
    LEADER_PEN,
    THIN_PEN,
    Circle,
    Fill,
    Layer,
    Point,
    Text,
    line,
)
from plumbhook.documents.sheet import Option, PlacementError, Sheet

BALLOON_RADIUS_MM = 3.3
BALLOON_PITCH_MM = 9.0


@dataclass(frozen=True, slots=True)
class BalloonAnchor:
    """One item to be named: its number or letter and the points on it where the leader may end, best first."""

    name: str
    points: tuple[Point, ...]


def place_balloons(
    sheet: Sheet,
    anchors: Sequence[BalloonAnchor],
    column_x: float,
    top: float,
    bottom: float,
    left_out: list[str] | None = None,
) -> None:
    """Boundary labelling: balloons in one column beside the view, in order of height, with straight leaders.

    Args:
        sheet: the drawing.
        anchors: what to number.
        column_x: centre line of the column, mm.
        top: where the column may begin.
        bottom: where the column must end.
        left_out: collects the numbers that find no place; None makes that an error.

    Raises:
        PlacementError: the column is too short, or a leader cannot get through.
    """
    pitch = BALLOON_PITCH_MM
    if not anchors:
        return
    if (len(anchors) - 1) * pitch > bottom - top - 2.0 * BALLOON_RADIUS_MM:
        if left_out is None:
            raise PlacementError(f"no room for {len(anchors)} balloons")
        pitch = 2.0 * BALLOON_RADIUS_MM + 0.4
    order = sorted(anchors, key=lambda a: (a.points[0][1], a.name))
    slots = pushed_apart(
        [a.points[0][1] for a in order], pitch, top + BALLOON_RADIUS_MM, bottom - BALLOON_RADIUS_MM
    )
    order = _uncrossed(order, slots, column_x)
    for anchor, y in zip(order, slots, strict=True):
        owner = f"balloon {anchor.name} at {y:.1f}"
        centres = itertools.chain([(column_x, y)], _elsewhere(sheet, anchor))
        options = (
            _balloon(anchor.name, point, centre, owner) for centre in centres for point in anchor.points
        )
        option = next((each for each in options if sheet.fits(each)), None)
        if option is not None:
            sheet.add(*option)
        elif left_out is None:
            raise PlacementError(f"no way for the leader of balloon {anchor.name}")
        else:
            left_out.append(f"item {anchor.name}")


def _elsewhere(sheet: Sheet, anchor: BalloonAnchor) -> Iterator[Point]:
    """Other free places for a balloon, for when its leader cannot get to the column."""
    size = 2.0 * BALLOON_RADIUS_MM + 1.0
    yield from free_places(sheet, anchor.points, size, size)


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
