"""Dimension chains: thin lines with oblique strokes, the text above the line, never shrunk."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from plumbhook.documents.fonts import Face, text_extent
from plumbhook.documents.placement import Label, text_block
from plumbhook.documents.scene import (
    EXTENSION_PEN,
    LEADER_PEN,
    THIN_PEN,
    Item,
    Layer,
    ObliqueStroke,
    Point,
    Text,
    line,
)
from plumbhook.documents.sheet import Option

GAP_MM = 1.0
OVERRUN_MM = 1.8
TEXT_MM = 2.5
LIFT_MM = 0.9
"""Distance of the text from the dimension line."""


@dataclass(frozen=True, slots=True)
class Stop:
    """One point of a chain: its coordinate along the chain, and where its extension line starts across it."""

    along: float
    start: float


def chain(
    stops: Sequence[Stop], texts: Sequence[str], across: float, *, vertical: bool, owner: str = ""
) -> tuple[tuple[Item, ...], tuple[Label, ...]]:
    """A chain of dimensions.

    Args:
        stops: at least two, in increasing order of ``along``.
        texts: one text for each segment.
        across: position of the dimension line across the chain (x of a vertical chain, y of a horizontal one).
        vertical: True for a chain that runs up the sheet; its text is read from the right.
        owner: name for tests.

    Returns:
        The lines, and one label for each text with its options.
    """
    items: list[Item] = []
    items.append(_across(stops[0].along, across, stops[-1].along, across, vertical, owner))
    for stop in stops:
        side = 1.0 if across >= stop.start else -1.0
        begin, end = stop.start + side * GAP_MM, across + side * OVERRUN_MM
        if abs(across - stop.start) > GAP_MM:
            a, b = (stop.along, begin), (stop.along, end)
            items.append(line(_turn(a, vertical), _turn(b, vertical), EXTENSION_PEN, Layer.DIMENSION))
        items.append(ObliqueStroke(_turn((stop.along, across), vertical), 0.0 if not vertical else 90.0))
    labels = [
        _label(text, a.along, b.along, across, vertical, first=i == 0, last=i == len(texts) - 1)
        for i, (text, a, b) in enumerate(zip(texts, stops, stops[1:], strict=False))
    ]
    return tuple(items), tuple(labels)


def _across(a: float, x: float, b: float, y: float, vertical: bool, owner: str) -> Item:
    return line(_turn((a, x), vertical), _turn((b, y), vertical), THIN_PEN, Layer.DIMENSION, owner)


def _turn(point: Point, vertical: bool) -> Point:
    return (point[1], point[0]) if vertical else point


def _label(
    text: str, low: float, high: float, across: float, vertical: bool, *, first: bool, last: bool
) -> Label:
    width = text_extent(text, Face.REGULAR, TEXT_MM).width
    middle = (low + high) / 2.0
    off = LIFT_MM + TEXT_MM / 2.0
    beyond = width / 2.0 + 2.4
    places: list[tuple[float, float]] = []
    if width + 2.0 <= high - low:
        places += [(middle, -off), (middle, off)]
    if first:
        places += [(low - beyond, -off), (low - beyond, off)]
    if last:
        places += [(high + beyond, -off), (high + beyond, off)]
    options = tuple(_option(text, along, across + shift, vertical) for along, shift in places)
    if width + 2.0 > high - low:
        options += tuple(
            _beside(text, middle, across, shift, vertical) for shift in (4.0, -4.0, 7.0, -7.0, 10.0, -10.0)
        )
    anchors = tuple(
        _turn((low + share * (high - low), across), vertical) for share in (0.5, 0.3, 0.7, 0.15, 0.85)
    )
    return Label((text,), options, anchors, cap_height_mm=TEXT_MM)


def _option(text: str, along: float, across: float, vertical: bool) -> Option:
    return text_block(
        (text,), _turn((along, across), vertical), Face.REGULAR, TEXT_MM, angle_deg=90.0 if vertical else 0.0
    )


def _beside(text: str, middle: float, across: float, shift: float, vertical: bool) -> Option:
    """A text too wide for its segment: read level beside the chain, with a short leader."""
    if vertical:
        width = text_extent(text, Face.REGULAR, TEXT_MM).width
        side = math.copysign(1.0, shift)
        centre = (across + shift + side * width / 2.0, middle)
        tip = (across + shift - side * 0.6, middle)
        return (
            Text((centre[0], centre[1] + TEXT_MM / 2.0), text, Face.REGULAR, TEXT_MM, "middle"),
            line((across, middle), tip, LEADER_PEN, Layer.LEADER),
        )
    centre = (middle, across + shift)
    side = math.copysign(1.0, shift)
    edge = (middle, across + shift - side * (TEXT_MM / 2.0 + 0.6))
    return (
        *text_block((text,), centre, Face.REGULAR, TEXT_MM),
        line((middle, across), edge, LEADER_PEN, Layer.LEADER),
    )


def angle_of(a: Point, b: Point) -> float:
    """Direction of a line on paper as it is read, in (-90, 90] degrees, so that text on it is never upside down."""
    angle = math.degrees(math.atan2(a[1] - b[1], b[0] - a[0]))
    while angle <= -90.0:
        angle += 180.0
    while angle > 90.0:
        angle -= 180.0
    return angle
