"""The load as seen in a view: its parts as grey outlines, farther ones first, cut at the window of a broken view."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable

from plumbhook.documents.clip import clip_polygon, clip_segment, convex_hull
from plumbhook.documents.scene import (
    COG_BOX_PEN,
    GHOST_PEN,
    HIDDEN_PEN,
    LOAD_PEN,
    NO_PEN,
    Fill,
    Item,
    Layer,
    Pen,
    Polyline,
    line,
)
from plumbhook.documents.symbols import break_line, cog_mark
from plumbhook.documents.views import Extent, Placed, View, extent_of
from plumbhook.planning.assessment import Box, LoadStatement, Vector


def corners(box: Box) -> tuple[Vector, ...]:
    """The eight corners of a box."""
    (x0, y0, z0), (x1, y1, z1) = box.low_m, box.high_m
    return tuple(itertools.product((x0, x1), (y0, y1), (z0, z1)))


def load_boxes(load: LoadStatement) -> tuple[Box, ...]:
    """The boxes that make the load visible: its parts that have one, else its envelope, else a box round its points."""
    boxes = tuple(part.box for part in load.parts if part.box is not None)
    if boxes:
        return boxes
    return (load.envelope if load.envelope is not None else fallback_box(load),)


def fallback_box(load: LoadStatement) -> Box:
    """A box round lift points and centre of gravity, for a load without any size given."""
    points = [point.at_m for point in load.lift_points] + [load.cog_m]
    low = tuple(min(p[i] for p in points) - 0.2 for i in range(3))
    high = tuple(max(p[i] for p in points) + (0.2 if i < 2 else 0.0) for i in range(3))
    return Box((low[0], low[1], low[2]), (high[0], high[1], high[2]))


def has_size(load: LoadStatement) -> bool:
    """True where the load was given a size by its parts or envelope."""
    return load.envelope is not None or any(part.box is not None for part in load.parts)


def load_extent(load: LoadStatement, view: View) -> Extent:
    """What the load covers in a view, m."""
    boxes = [*load_boxes(load), *([load.envelope] if load.envelope else [])]
    return extent_of(view.project(corner) for box in boxes for corner in corners(box))


def draw_load(load: LoadStatement, placed: Placed) -> tuple[Item, ...]:
    """The load in a view: parts in grey, envelope dashed where the parts have boxes of their own."""
    boxes = load_boxes(load)
    pen = LOAD_PEN if has_size(load) else HIDDEN_PEN
    ordered = sorted(boxes, key=lambda box: -min(placed.view.depth(c) for c in corners(box)))
    items: list[Item] = []
    for box in ordered:
        items.extend(_outline(corners(box), placed, pen, Fill.GREY))
    if load.envelope is not None and boxes != (load.envelope,):
        items.extend(_outline(corners(load.envelope), placed, HIDDEN_PEN, Fill.NONE))
    items.extend(_breaks(load, placed))
    return tuple(items)


def draw_ghost_load(
    load: LoadStatement, placed: Placed, move: Callable[[Vector], Vector]
) -> tuple[Item, ...]:
    """The outline of the tilted load, double-dot chain."""
    box = load.envelope if load.envelope is not None else _round(load_boxes(load))
    return tuple(_outline([move(c) for c in corners(box)], placed, GHOST_PEN, Fill.NONE, Layer.GHOST))


def _round(boxes: Iterable[Box]) -> Box:
    listed = list(boxes)
    low = tuple(min(box.low_m[i] for box in listed) for i in range(3))
    high = tuple(max(box.high_m[i] for box in listed) for i in range(3))
    return Box((low[0], low[1], low[2]), (high[0], high[1], high[2]))


def _outline(
    points: Iterable[Vector], placed: Placed, pen: Pen, fill: Fill, layer: Layer = Layer.LOAD
) -> list[Item]:
    hull = convex_hull(placed.view.project(p) for p in points)
    if len(hull) < 3:
        return []
    window = placed.window
    if window is None:
        return [Polyline(tuple(placed.paper_uv(p) for p in hull), pen, layer, True, fill)]
    items: list[Item] = []
    inside = clip_polygon(hull, window)
    if len(inside) >= 3 and fill is not Fill.NONE:
        items.append(Polyline(tuple(placed.paper_uv(p) for p in inside), NO_PEN, layer, True, fill))
    for a, b in zip(hull, (*hull[1:], hull[0]), strict=True):
        part = clip_segment(a, b, window)
        if part is not None:
            items.append(line(placed.paper_uv(part[0]), placed.paper_uv(part[1]), pen, layer))
    return items


def _breaks(load: LoadStatement, placed: Placed) -> list[Item]:
    """Zigzag lines where the window cuts the load."""
    if placed.window is None:
        return []
    whole, window = load_extent(load, placed.view), placed.window
    top, bottom = min(whole.top, window.top), max(whole.bottom, window.bottom)
    items: list[Item] = []
    for side, cut in ((window.left, whole.left < window.left), (window.right, whole.right > window.right)):
        if cut:
            items.append(break_line(placed.paper_uv((side, top)), placed.paper_uv((side, bottom))))
    left, right = max(whole.left, window.left), min(whole.right, window.right)
    for level, cut in ((window.bottom, whole.bottom < window.bottom), (window.top, whole.top > window.top)):
        if cut:
            items.append(break_line(placed.paper_uv((left, level)), placed.paper_uv((right, level))))
    return items


def draw_cog(load: LoadStatement, placed: Placed) -> tuple[Item, ...]:
    """Centre of gravity with its box; the box is drawn where it is larger than its mark."""
    centre = placed.paper(load.cog_m)
    low = tuple(c - h for c, h in zip(load.cog_m, load.cog_box_m, strict=True))
    high = tuple(c + h for c, h in zip(load.cog_m, load.cog_box_m, strict=True))
    box = Box((low[0], low[1], low[2]), (high[0], high[1], high[2]))
    hull = convex_hull(placed.paper(c) for c in corners(box))
    items: list[Item] = []
    if len(hull) >= 3:
        items.append(Polyline(hull, COG_BOX_PEN, Layer.LOAD, True, Fill.NONE, "cog"))
    items.extend(cog_mark(centre, 1.3))
    return tuple(items)
