"""Drawings of the ground: pressures through the slew as curves, and the crane on its pads or tracks in plan."""

from __future__ import annotations

import math
from collections.abc import Sequence

from plumbhook.documents.fonts import Face, printable, text_extent
from plumbhook.documents.scene import (
    CENTRE_PEN,
    CHAIN,
    FRAME_PEN,
    LOAD_PEN,
    RIG_PEN,
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
    rectangle,
)
from plumbhook.documents.sheet import Sheet, without_idle_knock_outs
from plumbhook.documents.views import SCALES
from plumbhook.planning.ground_statement import GroundStatement, Support

_CAP = 1.8
_GRID_PEN = Pen(0.13)
_CURVE_PENS = (
    Pen(0.5), Pen(0.5, (3.0, 1.0)), Pen(0.5, (1.0, 0.8)), Pen(0.5, (4.0, 0.8, 0.8, 0.8)),
    Pen(0.25), Pen(0.25, (3.0, 1.0)), Pen(0.25, (1.0, 0.8)), Pen(0.25, (4.0, 0.8, 0.8, 0.8)),
)  # fmt: skip
_ALONE_PEN = Pen(0.18, (0.8, 0.6))
_ALLOWABLE_PEN = Pen(0.9)
_BOUND_PEN = Pen(0.35, CHAIN)
_ROW = 3.4


def slew_scene(ground: GroundStatement, width_mm: float, plot_mm: float) -> Scene:
    """Pressure below every pad or track over the slew, with the crane alone, the customary bound and the allowable."""
    keys = _keys(ground)
    height = plot_mm + 13.0 + _ROW * len(keys)
    sheet = Sheet(width_mm, height)
    left, top, right, bottom = 11.0, 5.0, width_mm - 3.0, plot_mm
    most = _most_Pa(ground)
    tick = _nice(most / 1e3 / 5.0)
    high = tick * math.ceil(most / 1e3 / tick + 1e-9)
    low_slew, high_slew = ground.slew_rad[0], ground.slew_rad[-1]

    def at(slew: float, pressure: float) -> Point:
        along = (slew - low_slew) / (high_slew - low_slew)
        return (left + along * (right - left), bottom - pressure / 1e3 / high * (bottom - top))

    sheet.add(*_axes(left, top, right, bottom, tick, high, (low_slew, high_slew)))
    for curve, pen in zip(ground.loaded, _CURVE_PENS, strict=False):
        _draw(sheet, [at(s, p) for s, p in zip(ground.slew_rad, curve.pressure_Pa, strict=True)], pen)
    _draw(
        sheet, [at(s, p) for s, p in zip(ground.slew_rad, ground.alone.pressure_Pa, strict=True)], _ALONE_PEN
    )
    for level, pen in ((ground.bound_Pa, _BOUND_PEN), (ground.allowable_Pa, _ALLOWABLE_PEN)):
        if math.isfinite(level):
            sheet.add(line(at(low_slew, level), at(high_slew, level), pen, Layer.CHART))
    for number, (words, pen) in enumerate(keys):
        y = plot_mm + 11.5 + _ROW * number
        sheet.add(line((left, y), (left + 12.0, y), pen, Layer.CHART))
        sheet.add(Text((left + 14.0, y + 0.8), _cut(words, right - left - 14.0), Face.REGULAR, _CAP))
    return Scene(
        width_mm, height, "Pressure on the ground through the slew", without_idle_knock_outs(sheet.items)
    )


def supports_scene(ground: GroundStatement, width_mm: float, tallest_mm: float) -> Scene:
    """Plan of the pads or tracks with the area below each that carries and its largest force; the front is up."""
    reach_x = max(abs(s.left_m) + s.area_m[1] / 2.0 for s in ground.supports)
    reach_y = max(abs(s.ahead_m) + s.area_m[0] / 2.0 for s in ground.supports)
    scale = next(
        (
            s
            for s in SCALES
            if 2.0 * reach_x * 1e3 / s + 6.0 <= width_mm and 2.0 * reach_y * 1e3 / s + 20.0 <= tallest_mm
        ),
        SCALES[-1],
    )
    k = 1e3 / scale
    height = 2.0 * reach_y * k + 20.0 + _ROW * len(ground.supports)
    sheet = Sheet(width_mm, height)
    middle = (width_mm / 2.0, reach_y * k + 10.0)
    sheet.add(
        line(
            (middle[0], middle[1] - reach_y * k - 2.0),
            (middle[0], middle[1] + reach_y * k),
            CENTRE_PEN,
            Layer.CENTRE,
        ),
        line(
            (middle[0] - reach_x * k, middle[1]),
            (middle[0] + reach_x * k, middle[1]),
            CENTRE_PEN,
            Layer.CENTRE,
        ),
        Circle(middle, 1.4, RIG_PEN, Layer.GROUND, Fill.WHITE),
    )
    for number, support in enumerate(ground.supports, start=1):
        _support(sheet, support, number, (middle[0] - support.left_m * k, middle[1] - support.ahead_m * k), k)
    sheet.add(Text((middle[0], 4.2), "front", Face.SEMIBOLD, _CAP, "middle"))
    for number, support in enumerate(ground.supports, start=1):
        y = height - 6.0 - _ROW * (len(ground.supports) - number)
        words = (
            f"{number} {support.name}: {support.force_N / 1e3:.0f} kN on "
            f"{support.area_m[0]:.2f} x {support.area_m[1]:.2f} m"
        )
        sheet.add(Text((3.0, y), _cut(words, width_mm - 6.0), Face.REGULAR, _CAP))
    foot = _cut(f"1:{scale}; largest force in the slew, {ground.station}", width_mm - 6.0)
    sheet.add(Text((3.0, height - 1.4), foot, Face.REGULAR, _CAP))
    return Scene(
        width_mm,
        height,
        "Crane on the ground in plan",
        without_idle_knock_outs(sheet.items),
        "",
        float(scale),
    )


def _support(sheet: Sheet, support: Support, number: int, at: Point, k: float) -> None:
    length, width = support.area_m[0] * k, support.area_m[1] * k
    sheet.add(
        rectangle(
            at[0] - width / 2.0, at[1] - length / 2.0, width, length, LOAD_PEN, Layer.GROUND, Fill.WHITE
        )
    )
    own_length, own_width = support.length_m * k, support.width_m * k
    words = str(number)
    room = text_extent(words, Face.BOLD, 2.5)
    if own_length > 0.0 and own_width > 0.0:
        fits = own_width > room.width + 1.6 and own_length > 5.0
        sheet.add(
            rectangle(
                at[0] - own_width / 2.0, at[1] - own_length / 2.0, own_width, own_length, RIG_PEN, Layer.GROUND,
                Fill.WHITE if fits else Fill.PALE,
            )
        )  # fmt: skip
        if not fits:
            x = at[0] - width / 2.0 + room.width / 2.0 + 1.2
            if x + room.width / 2.0 + 0.6 < at[0] - own_width / 2.0 and length > 6.0:
                sheet.add(Text((x, at[1] - length / 2.0 + 3.9), words, Face.BOLD, 2.5, "middle"))
            return
    if min(length, width) > 5.0:
        sheet.add(Text((at[0], at[1] + 1.25), words, Face.BOLD, 2.5, "middle"))


def _keys(ground: GroundStatement) -> list[tuple[str, Pen]]:
    keys = [
        (f"{curve.name}, with the load", pen) for curve, pen in zip(ground.loaded, _CURVE_PENS, strict=False)
    ]
    keys.append((ground.alone.name, _ALONE_PEN))
    if math.isfinite(ground.bound_Pa):
        share = f"{100.0 * ground.larger_share:.0f} %"
        keys.append((f"customary bound, {share} on one pad: {ground.bound_Pa / 1e3:.0f} kPa", _BOUND_PEN))
    if math.isfinite(ground.allowable_Pa):
        keys.append((f"allowable {ground.allowable_Pa / 1e3:.0f} kPa", _ALLOWABLE_PEN))
    return keys


def _most_Pa(ground: GroundStatement) -> float:
    every = [p for curve in (*ground.loaded, ground.alone) for p in curve.pressure_Pa]
    every += [ground.bound_Pa, ground.allowable_Pa]
    return max((p for p in every if math.isfinite(p)), default=1e3)


def _axes(
    left: float, top: float, right: float, bottom: float, tick: float, high: float, slew: tuple[float, float]
) -> list[Item]:
    items: list[Item] = []
    for step in range(round(high / tick) + 1):
        y = bottom - step * tick / high * (bottom - top)
        items.append(line((left, y), (right, y), _GRID_PEN, Layer.CHART))
        items.append(Text((left - 1.2, y + 0.9), f"{step * tick:g}", Face.REGULAR, _CAP, "end"))
    items.append(Polyline(((left, top), (left, bottom), (right, bottom)), THIN_PEN, Layer.CHART))
    items.append(Text((left - 1.2, top - 2.6), "kPa", Face.REGULAR, _CAP, "end"))
    for part in range(5):
        x = left + part / 4.0 * (right - left)
        degrees = math.degrees(slew[0] + part / 4.0 * (slew[1] - slew[0]))
        anchor = "start" if part == 0 else "end" if part == 4 else "middle"
        items.append(line((x, bottom), (x, bottom + 0.9), FRAME_PEN, Layer.CHART))
        items.append(Text((x, bottom + 3.8), f"{degrees:.3g}°", Face.REGULAR, _CAP, anchor))
    items.append(Text((right, bottom + 7.6), "boom from the front, clockwise", Face.REGULAR, _CAP, "end"))
    return items


def _draw(sheet: Sheet, points: Sequence[Point], pen: Pen) -> None:
    """A curve in its finite stretches."""
    run: list[Point] = []
    for point in (*points, (math.nan, math.nan)):
        if math.isfinite(point[1]):
            run.append(point)
            continue
        if len(run) > 1:
            sheet.add(Polyline(tuple(run), pen, Layer.CHART))
        run = []


def _nice(step: float) -> float:
    power = 10.0 ** math.floor(math.log10(step))
    return next(power * m for m in (1.0, 2.0, 5.0, 10.0) if power * m >= step - 1e-12)


def _cut(words: str, width: float) -> str:
    text = printable(words)
    while text and text_extent(text, Face.REGULAR, _CAP).width > width:
        text = text.rstrip("…").rstrip()[:-1] + "…"
    return text
