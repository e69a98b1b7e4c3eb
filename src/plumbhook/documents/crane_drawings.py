"""Drawings of the crane page: capacity over radius in steps, the headroom stack, the gauge of the trial lift."""

from __future__ import annotations

import math
from collections.abc import Sequence

from plumbhook.documents.balloons import pushed_apart
from plumbhook.documents.fonts import Face, printable, text_extent
from plumbhook.documents.hatch import hatch
from plumbhook.documents.numbers import metres, tonnes
from plumbhook.documents.placement import Label, place_labels, text_block
from plumbhook.documents.scene import (
    EXTENSION_PEN,
    FRAME_PEN,
    HIDDEN,
    LEADER_PEN,
    LOAD_PEN,
    NO_PEN,
    RIG_PEN,
    THIN_PEN,
    Circle,
    Fill,
    Item,
    Layer,
    ObliqueStroke,
    Pen,
    Point,
    Polyline,
    Scene,
    Text,
    line,
    rectangle,
)
from plumbhook.documents.sheet import Option, Sheet, without_idle_knock_outs
from plumbhook.documents.symbols import hook
from plumbhook.documents.views import SCALES
from plumbhook.planning.assessment import Assessment
from plumbhook.planning.crane_records import ChartRow, CraneStatement, TrialLift

_GRID_PEN = Pen(0.13)
_STEP_PEN = Pen(0.7)
_POLICY_PEN = Pen(0.35, HIDDEN)


def chart_scene(duty: CraneStatement, width_mm: float, height_mm: float) -> Scene:
    """Capacity over radius in steps, the policy below it dashed, the gross load, and what is refused hatched."""
    sheet = Sheet(width_mm, height_mm)
    every = sorted(duty.rows, key=lambda row: row.radius_m)
    rows = [row for row in every if math.isfinite(row.capacity_kg)]
    if not rows:
        sheet.add(Text((2.0, 8.0), "The chart has no rows.", Face.SEMIBOLD, 2.5))
        return Scene(width_mm, height_mm, "Crane chart", tuple(sheet.items))
    plot = _Plot(every, duty, width_mm, height_mm)
    for low, high in plot.holes():
        sheet.add(*hatch(plot.x(low), plot.top, plot.x(high), plot.bottom, pitch=3.0))
    if duty.largest_radius_m is None:
        sheet.add(*hatch(plot.x(plot.low_m), plot.top, plot.right, plot.bottom, pitch=3.0))
    elif duty.largest_radius_m < plot.high_m:
        sheet.add(*hatch(plot.x(duty.largest_radius_m), plot.top, plot.right, plot.bottom, pitch=3.0))
    sheet.add(*plot.grid())
    for share, pen in ((1.0, _STEP_PEN), (duty.policy_limit_ratio, _POLICY_PEN)):
        for stretch in plot.steps(share):
            sheet.add(Polyline(tuple(stretch), pen, Layer.CHART))
    gross = plot.y(duty.gross_load_kg)
    sheet.add(line((plot.left, gross), (plot.right, gross), FRAME_PEN, Layer.CHART))
    for row in rows:
        sheet.add(
            Circle((plot.x(row.radius_m), plot.y(row.capacity_kg)), 0.8, LOAD_PEN, Layer.CHART, Fill.WHITE)
        )
    labels = [
        plot.label(f"gross {tonnes(duty.gross_load_kg)}", (plot.left, gross), Face.SEMIBOLD),
        plot.label("chart", (plot.x(rows[0].radius_m), plot.y(rows[0].capacity_kg))),
        plot.label(
            f"{duty.policy_limit_ratio * 100:.0f} % of chart",
            (plot.x(rows[0].radius_m), plot.y(rows[0].capacity_kg * duty.policy_limit_ratio)),
        ),
    ]
    if duty.largest_radius_m is not None:
        x = plot.x(duty.largest_radius_m)
        sheet.add(line((x, plot.top), (x, plot.bottom), Pen(1.0), Layer.CHART))
        labels.append(
            plot.label(f"largest radius {duty.largest_radius_m:g} m", (x, plot.top + 2.0), Face.SEMIBOLD)
        )
    if duty.largest_radius_m is None or duty.largest_radius_m < plot.high_m:
        labels.append(
            plot.label(
                "refused",
                ((plot.x(duty.largest_radius_m or plot.low_m) + plot.right) / 2.0, plot.bottom - 8.0),
                Face.SEMIBOLD,
            )
        )
    place_labels(sheet, labels)
    return Scene(
        width_mm, height_mm, "Capacity of the crane over radius", without_idle_knock_outs(sheet.items)
    )


class _Plot:
    """Axes of the chart: radius to the right, tonnes up."""

    def __init__(self, rows: Sequence[ChartRow], duty: CraneStatement, width: float, height: float) -> None:
        self.rows = rows
        self.left, self.top, self.right, self.bottom = 9.0, 5.0, width - 3.0, height - 10.0
        first, last = rows[0].radius_m, rows[-1].radius_m
        pad = max((last - first) * 0.08, 0.5)
        self.low_m, self.high_m = max(first - pad, 0.0), last + pad
        known = [row.capacity_kg for row in rows if math.isfinite(row.capacity_kg)]
        largest = max(*known, duty.gross_load_kg)
        self.tick_t = _nice(largest / 1000.0 / 5.0)
        self.most_t = self.tick_t * math.ceil(largest / 1000.0 / self.tick_t + 1e-9)

    def x(self, radius_m: float) -> float:
        return self.left + (radius_m - self.low_m) / (self.high_m - self.low_m) * (self.right - self.left)

    def y(self, mass_kg: float) -> float:
        return self.bottom - mass_kg / 1000.0 / self.most_t * (self.bottom - self.top)

    def steps(self, share: float) -> list[list[Point]]:
        """Up to a listed radius its own capacity counts: the curve drops just after the radius before it.

        Where a row has no capacity the curve ends, and begins anew after it.
        """
        stretches: list[list[Point]] = [[]]
        before = self.low_m
        for row in self.rows:
            if math.isfinite(row.capacity_kg):
                y = self.y(row.capacity_kg * share)
                stretches[-1] += [(self.x(before), y), (self.x(row.radius_m), y)]
            elif stretches[-1]:
                stretches.append([])
            before = row.radius_m
        return [stretch for stretch in stretches if stretch]

    def holes(self) -> list[tuple[float, float]]:
        """Radii, from and to, at which the chart gives nothing although it goes on, m."""
        before, found = self.low_m, []
        for row in self.rows:
            if not math.isfinite(row.capacity_kg):
                found.append((before, row.radius_m))
            before = row.radius_m
        return found

    def grid(self) -> list[Item]:
        items: list[Item] = []
        t = 0.0
        while t <= self.most_t + 1e-9:
            y = self.y(t * 1000.0)
            items.append(line((self.left, y), (self.right, y), _GRID_PEN, Layer.CHART))
            items.append(Text((self.left - 1.2, y + 0.9), f"{t:g}", Face.REGULAR, 1.8, "end"))
            t += self.tick_t
        items.append(
            Polyline(
                ((self.left, self.top), (self.left, self.bottom), (self.right, self.bottom)),
                THIN_PEN,
                Layer.CHART,
            )
        )
        items.append(Text((self.left - 1.2, self.top - 2.6), "t", Face.REGULAR, 1.8, "end"))
        last = -math.inf
        for row in self.rows:
            words = f"{row.radius_m:g}"
            x = self.x(row.radius_m)
            if x - last > text_extent(words, Face.REGULAR, 1.8).width + 1.5:
                items.append(line((x, self.bottom), (x, self.bottom + 0.9), THIN_PEN, Layer.CHART))
                items.append(Text((x, self.bottom + 3.6), words, Face.REGULAR, 1.8, "middle"))
                last = x
        items.append(Text((self.right, self.bottom + 7.6), "radius, m", Face.REGULAR, 1.8, "end"))
        return items

    def label(self, words: str, anchor: Point, face: Face = Face.REGULAR) -> Label:
        width = text_extent(words, face, 1.8).width
        options: list[Option] = [
            text_block((words,), (anchor[0] + dx, anchor[1] + dy), face, 1.8)
            for dy in (-2.2, 2.4, -4.5, 4.7)
            for dx in (1.5 + width / 2.0, 4.0 + width / 2.0, -1.5 - width / 2.0, 9.0 + width / 2.0)
        ]
        return Label((words,), tuple(options), (anchor,), face, 1.8)


def _nice(step: float) -> float:
    power = 10.0 ** math.floor(math.log10(step))
    return next(power * m for m in (1.0, 2.0, 5.0, 10.0) if power * m >= step - 1e-12)


def headroom_scene(assessment: Assessment, width_mm: float, tallest_mm: float) -> Scene:
    """The heights from the ground to the hook, to scale, with the height that is available."""
    duty = assessment.crane
    rows = (
        [row for row in duty.headroom if math.isfinite(row.height_m) and row.height_m > 0.0] if duty else []
    )
    total = sum(row.height_m for row in rows)
    limit = _hook_limit(assessment)
    tallest = max(total, limit or 0.0)
    if not rows:
        return Scene(
            width_mm,
            12.0,
            "Headroom",
            (Text((1.0, 7.0), "No station gives a height to lift to.", Face.REGULAR, 2.5),),
        )
    scale = next((s for s in SCALES if tallest * 1000.0 / s + 24.0 <= tallest_mm), SCALES[-1])
    k = 1000.0 / scale
    height = tallest * k + 24.0
    sheet = Sheet(width_mm, height)
    ground = height - 8.0
    axis = width_mm - 47.0
    sheet.add(line((2.0, ground), (width_mm - 2.0, ground), FRAME_PEN, Layer.GROUND))
    sheet.add(*hatch(2.0, ground, width_mm - 2.0, ground + 2.2, pitch=2.2, layer=Layer.GROUND))
    levels = [0.0]
    for row in rows:
        levels.append(levels[-1] + row.height_m)
    _stack(sheet, [row.label for row in rows], [ground - z * k for z in levels], axis)
    sheet.add(line((axis, ground), (axis, ground - total * k), THIN_PEN, Layer.DIMENSION))
    for z in levels:
        sheet.add(ObliqueStroke((axis, ground - z * k), 90.0))
    heights = [
        (row.label, row.height_m, ground - (a + b) / 2.0 * k)
        for row, a, b in zip(rows, levels, levels[1:], strict=False)
    ]
    heights.append(("hook, needed", total, ground - total * k - 0.8))
    if limit is not None:
        top = ground - limit * k
        sheet.add(line((2.0, top), (axis + 3.0, top), Pen(0.5, HIDDEN), Layer.DIMENSION))
        heights.append(("highest hook position", limit, top - 1.6))
        words = "to spare" if limit >= total else "missing"
        heights.append((words, abs(limit - total), ground - (total + limit) / 2.0 * k - 1.2))
        sheet.add(line((axis, ground - total * k), (axis, top), THIN_PEN, Layer.DIMENSION))
    _heights(sheet, heights, axis)
    sheet.add(Text((2.0, height - 1.2), f"1:{scale}, heights in m", Face.REGULAR, 1.8))
    return Scene(width_mm, height, "Headroom", without_idle_knock_outs(sheet.items), "", float(scale))


def _hook_limit(assessment: Assessment) -> float | None:
    """The largest hook height that a check compares with, m."""
    found = [
        c
        for c in assessment.checks
        if c.check_id.startswith(("headroom", "hook_height")) and c.capacity.unit == "m"
    ]
    found = [c for c in found if math.isfinite(c.capacity.value) and math.isfinite(c.utilisation)]
    return max(found, key=lambda c: c.utilisation).capacity.value if found else None


def _stack(sheet: Sheet, names: Sequence[str], ys: Sequence[float], axis: float) -> None:
    """Pictures of what stands on what: support hatched, load grey, rig as a triangle, the rest open."""
    left, right = axis - 30.0, axis - 8.0
    middle = (left + right) / 2.0
    load = next((i for i, name in enumerate(names) if name.startswith("load,") or name == "load"), None)
    for i, name in enumerate(names):
        bottom, top = ys[i], ys[i + 1]
        if i == 0 and name.startswith("support"):
            sheet.add(rectangle(left, top, right - left, bottom - top, LOAD_PEN, Layer.GROUND))
            sheet.add(*hatch(left, top, right, bottom, pitch=3.0, layer=Layer.GROUND))
        elif i == load:
            sheet.add(
                rectangle(left + 3.0, top, right - left - 6.0, bottom - top, LOAD_PEN, Layer.LOAD, Fill.GREY)
            )
    if load is not None and load + 1 < len(ys):
        base, peak = ys[load + 1], ys[-1]
        sheet.add(Polyline(((left + 5.0, base), (middle, peak), (right - 5.0, base)), RIG_PEN, Layer.RIG))
    sheet.add(*hook((middle, ys[-1])))
    for y in ys:
        sheet.add(line((right + 1.0, y), (axis + 1.8, y), EXTENSION_PEN, Layer.DIMENSION))


def _heights(sheet: Sheet, rows: Sequence[tuple[str, float, float]], axis: float) -> None:
    """Each height with its name in a column, in the order of the stack, with a short leader to its middle."""
    order = sorted(rows, key=lambda row: row[2])
    lines = [_wrapped(printable(name), sheet.width_mm - axis - 17.0) for name, _, _ in order]
    pitch = 3.4 * max(len(each) for each in lines) + 1.2
    slots = pushed_apart([middle for _, _, middle in order], pitch, 9.0, sheet.height_mm - 12.0)
    for i, ((_, height, middle), y, words) in enumerate(zip(order, slots, lines, strict=True)):
        sheet.add(line((axis + 0.6, middle), (axis + 3.4, y), LEADER_PEN, Layer.LEADER, f"height {i}"))
        sheet.add(Text((axis + 12.6, y + 0.9), metres(height), Face.SEMIBOLD, 1.8, "end"))
        first = y + 0.9 - 1.6 * (len(words) - 1)
        for j, text in enumerate(words):
            sheet.add(Text((axis + 14.2, first + 3.2 * j), text, Face.REGULAR, 1.8))


def _wrapped(text: str, width: float) -> list[str]:
    """Words in lines no wider than ``width`` mm, at most three; what is longer is cut with a sign."""
    lines: list[str] = [""]
    for word in text.split():
        tried = f"{lines[-1]} {word}".strip()
        if text_extent(tried, Face.REGULAR, 1.8).width <= width or not lines[-1]:
            lines[-1] = tried
        else:
            lines.append(word)
    cut = [_cut(each, width) for each in lines[:3]]
    if len(lines) > 3:
        cut[-1] = _cut(cut[-1] + " …", width)
    return cut


def _cut(text: str, width: float) -> str:
    while text and text_extent(text, Face.REGULAR, 1.8).width > width:
        text = text.rstrip("…").rstrip()[:-1] + "…"
    return text


def trial_scene(trial: TrialLift, width_mm: float) -> Scene:
    """Gauge of the load cell at the trial lift: go on, ask, stop; the expected reading in the middle."""
    sheet = Sheet(width_mm, 21.0)
    left, right, top, bottom = 4.0, width_mm - 4.0, 7.5, 14.5
    middle = (left + right) / 2.0
    span = max(trial.red_kg, trial.green_kg, 1e-9) * 1.6

    def x(offset_kg: float) -> float:
        return middle + offset_kg / span * (right - left) / 2.0

    edges = (left, x(-trial.red_kg), x(-trial.green_kg), x(trial.green_kg), x(trial.red_kg), right)
    words = ("STOP", "ASK", "GO ON", "ASK", "STOP")
    for i, text in enumerate(words):
        a, b = edges[i], edges[i + 1]
        if text == "STOP":
            sheet.add(rectangle(a, top, b - a, bottom - top, NO_PEN, Layer.CHART, Fill.BLACK))
        elif text == "ASK":
            sheet.add(*hatch(a, top, b, bottom, pitch=2.4))
        sheet.add(rectangle(a, top, b - a, bottom - top, RIG_PEN, Layer.CHART))
    for i, text in enumerate(words):
        a, b = edges[i], edges[i + 1]
        if text == "STOP":
            continue
        halves = ((a, middle), (middle, b)) if text == "GO ON" else ((a, b),)
        for low, high in halves:
            if text_extent(text, Face.BOLD, 2.5).width + 2.0 < high - low:
                sheet.add(Text(((low + high) / 2.0, 12.3), text, Face.BOLD, 2.5, "middle"))
    sheet.add(line((middle, top - 1.5), (middle, bottom + 1.0), Pen(1.0), Layer.CHART))
    sheet.add(Text((middle, 4.6), f"expected {tonnes(trial.expected_kg)}", Face.BOLD, 2.5, "middle"))
    for edge in (*trial.red_edges_kg, *trial.green_edges_kg):
        sheet.add(Text((x(edge - trial.expected_kg), 18.4), tonnes(edge), Face.REGULAR, 2.5, "middle"))
    for a, b in ((edges[0], edges[1]), (edges[4], edges[5])):
        sheet.add(Text(((a + b) / 2.0, 4.6), "stop", Face.BOLD, 2.5, "middle"))
    return Scene(width_mm, 21.0, "Gauge of the trial lift", without_idle_knock_outs(sheet.items))
