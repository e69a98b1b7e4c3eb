"""Drawing of the way: each curve over the hook's way with its limit, its worst place, and what lies beyond."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable

from plumbhook.core.units import display_unit
from plumbhook.documents.fonts import Face
from plumbhook.documents.hatch import hatch
from plumbhook.documents.scene import (
    EXTENSION_PEN,
    HIDDEN,
    LOAD_PEN,
    THIN_PEN,
    Circle,
    Fill,
    Item,
    Layer,
    Pen,
    Point,
    Polyline,
    Scene,
    Text,
    line,
)
from plumbhook.documents.sheet import Sheet, without_idle_knock_outs
from plumbhook.planning.way_records import WayCurve, WayStatement

_PLOT_MM = 19.0
_HEAD_MM = 8.0
_LEFT_MM = 13.0
_RIGHT_MM = 3.0
_FOOT_MM = 11.0
_CURVE_PEN = Pen(0.7)
_LIMIT_PEN = Pen(0.35, HIDDEN)
_DOT_MM = 1.1
_NARROWEST_MM = 4.0

Scale = Callable[[float], float]


def way_scene(way: WayStatement, width_mm: float) -> Scene:
    """One panel for each curve, one below the other, over the way of the hook; numbers of the moves below.

    Args:
        way: the way with its curves.
        width_mm: width of the drawing, mm.
    """
    panels = len(way.curves)
    height = panels * (_HEAD_MM + _PLOT_MM) + _FOOT_MM
    sheet = Sheet(width_mm, height)
    whole = max(way.legs[-1].to_m, 1e-9)
    left, right = _LEFT_MM, width_mm - _RIGHT_MM

    def x(distance_m: float) -> float:
        return left + (right - left) * distance_m / whole

    for number, curve in enumerate(way.curves):
        top = number * (_HEAD_MM + _PLOT_MM) + _HEAD_MM
        panel = _Panel(curve, top, top + _PLOT_MM)
        sheet.add(Text((left, top - 2.6), panel.heading(), Face.SEMIBOLD, 2.0))
        for start, end in curve.beyond_m:
            if x(end) - x(start) > 0.5:
                sheet.add(*hatch(x(start), top, x(end), panel.bottom, pitch=2.2))
        for leg in way.legs[:-1]:
            at = x(leg.to_m)
            sheet.add(line((at, top), (at, panel.bottom), EXTENSION_PEN, Layer.CHART))
        sheet.add(Polyline(((left, top), (left, panel.bottom), (right, panel.bottom)), THIN_PEN, Layer.CHART))
        sheet.add(*panel.ticks(left))
        for points in panel.lines(curve.limit, x):
            sheet.add(Polyline(points, _LIMIT_PEN, Layer.CHART))
        for points in panel.lines(curve.value, x):
            sheet.add(Polyline(points, _CURVE_PEN, Layer.CHART))
        worst = panel.y(curve.worst_value) if math.isfinite(curve.worst_value) else top + _DOT_MM
        sheet.add(Circle((x(curve.worst.distance_m), worst), _DOT_MM, LOAD_PEN, Layer.CHART, Fill.BLACK))
    sheet.add(*_foot(way, x, height - _FOOT_MM, right))
    return Scene(width_mm, height, "Curves along the way", without_idle_knock_outs(sheet.items))


def _foot(way: WayStatement, x: Scale, top: float, right: float) -> list[Item]:
    """Numbers of the moves below their stretch, where it is wide enough, and the scale of the way."""
    items: list[Item] = []
    for number, leg in enumerate(way.legs, start=1):
        start, end = x(leg.from_m), x(leg.to_m)
        if end - start >= _NARROWEST_MM:
            items.append(Text(((start + end) / 2.0, top + 3.6), str(number), Face.SEMIBOLD, 2.0, "middle"))
    items.append(Text((_LEFT_MM, top + 8.6), "0", Face.REGULAR, 1.8, "middle"))
    whole = f"number of the move; way of the hook, {way.legs[-1].to_m:.1f} m in all"
    items.append(Text((right, top + 8.6), whole, Face.REGULAR, 1.8, "end"))
    return items


class _Panel:
    """Scale of one curve: from zero, or the lowest number, to a little above the highest."""

    def __init__(self, curve: WayCurve, top: float, bottom: float) -> None:
        self.curve, self.top, self.bottom = curve, top, bottom
        finite = [v for v in (*curve.value, *curve.limit) if math.isfinite(v)]
        self.low = min(0.0, *finite) if finite else 0.0
        self.high = max(finite, default=1.0) * 1.08 or 1.0

    def y(self, value: float) -> float:
        share = (value - self.low) / (self.high - self.low)
        return self.bottom - (self.bottom - self.top) * min(max(share, 0.0), 1.0)

    def lines(self, values: tuple[float, ...], x: Scale) -> list[tuple[Point, ...]]:
        """The curve in pieces, broken where a number is missing; what is endless runs along the top."""
        points = [
            None if math.isnan(v) else (x(d), self.y(min(v, self.high)))
            for d, v in zip(self.curve.distance_m, values, strict=True)
        ]
        pieces = []
        for known, group in itertools.groupby(points, key=lambda point: point is not None):
            piece = tuple(point for point in group if point is not None)
            if known and len(piece) > 1:
                pieces.append(piece)
        return pieces

    def ticks(self, left: float) -> list[Item]:
        items: list[Item] = []
        for value in (self.low, (self.low + self.high) / 2.16, self.high / 1.08):
            at = self.y(value)
            items.append(line((left - 0.9, at), (left, at), THIN_PEN, Layer.CHART))
            items.append(Text((left - 1.5, at + 0.9), self._number(value), Face.REGULAR, 1.8, "end"))
        return items

    def heading(self) -> str:
        curve = self.curve
        name = curve.name[:1].upper() + curve.name[1:]
        word = "at least" if curve.at_least else "at most"
        limit = (
            f"{word} {self._number(curve.worst_limit)}"
            if math.isfinite(curve.worst_limit)
            else "limit not known"
        )
        worst = self._number(curve.worst_value) if not math.isnan(curve.worst_value) else "not known"
        where = f"move {curve.worst.leg}, {curve.worst.along_m:.2f} m in"
        return f"{name}, {curve.display}: worst {worst} ({limit}), {where}"

    def _number(self, value: float) -> str:
        number, _ = display_unit(value, self.curve.unit, self.curve.display)
        return number
