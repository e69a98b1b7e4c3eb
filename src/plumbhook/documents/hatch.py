"""Hatching of upright rectangles: thin parallel lines at 45 degrees."""

from __future__ import annotations

from plumbhook.documents.scene import HATCH_PEN, Item, Layer, line


def hatch(
    left: float,
    top: float,
    right: float,
    bottom: float,
    *,
    pitch: float = 2.0,
    rising: bool = True,
    layer: Layer = Layer.CHART,
) -> tuple[Item, ...]:
    """Lines at 45 degrees, ``pitch`` mm apart measured along the horizontal, clipped to the rectangle."""
    height = bottom - top
    items: list[Item] = []
    count = int((right - left + height) / pitch)
    for i in range(1, count + 1):
        # The line x + y = const (rising as read) or x - y = const, through (left + i * pitch, top).
        x = left + i * pitch
        begin, end = (x, top), (x - height, bottom)
        if begin[0] > right:
            begin = (right, top + (x - right))
        if end[0] < left:
            end = (left, top + (x - left))
        if begin[1] > bottom or end[1] < top:
            continue
        if not rising:
            begin, end = (begin[0], top + bottom - begin[1]), (end[0], top + bottom - end[1])
        items.append(line(begin, end, HATCH_PEN, layer))
    return tuple(items)
