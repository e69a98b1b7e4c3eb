"""Drawing of the load statement: the load in elevation and plan, its parts by letter, the CoG box enlarged."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from plumbhook.documents.dimensions import Stop, chain
from plumbhook.documents.drawable import HOOK_NODE, drawable
from plumbhook.documents.fonts import Face, printable, text_extent
from plumbhook.documents.load_outline import draw_cog, draw_load, load_extent
from plumbhook.documents.numbers import millimetres, signed_millimetres
from plumbhook.documents.placement import Label, place_labels, text_block
from plumbhook.documents.scene import (
    COG_BOX_PEN,
    LOAD_PEN,
    THIN_PEN,
    Circle,
    Fill,
    Item,
    Layer,
    Point,
    Polyline,
    Scene,
    Text,
)
from plumbhook.documents.sheet import PlacementError, Sheet, find_room, without_idle_knock_outs
from plumbhook.documents.symbols import centre_line, cog_mark, scale_bar, scale_bar_size
from plumbhook.documents.views import SCALES, Block, Margins, Placed, View, place_rows, standard_views
from plumbhook.planning.assessment import Assessment, LoadStatement, PartRow

_VIEWS_WIDTH_MM = 130.0
_ELEVATION = Margins(20.0, 12.0, 4.0, 5.0)
_PLAN = Margins(20.0, 12.0, 4.0, 14.0)
_DETAIL_MM = 30.0
_MOST_LETTERS = 12


def load_scene(assessment: Assessment, width_mm: float, tallest_mm: float) -> Scene:
    """Load in elevation and plan to scale at the left, its CoG box enlarged at the right.

    Raises:
        PlacementError: the load is too large for any scale.
    """
    assessment = drawable(assessment)
    views = standard_views(assessment)
    elevation, plan = views[0], views[2]
    load = assessment.load
    blocks = [
        Block(elevation, load_extent(load, elevation), None, _ELEVATION),
        Block(plan, load_extent(load, plan), None, _PLAN),
    ]
    problem = "it does not fit"
    for scale in SCALES[1:]:
        height = sum(block.size(scale)[1] for block in blocks)
        if height > tallest_mm:
            continue
        height = max(height, _detail_height(assessment, (elevation, plan)))
        rows = place_rows(blocks, [[0], [1]], scale, _VIEWS_WIDTH_MM, height)
        if rows is None:
            continue
        sheet = Sheet(width_mm, height)
        try:
            _draw_views(sheet, assessment, rows, scale)
            _draw_detail(sheet, assessment, (elevation, plan))
        except PlacementError as error:
            problem = str(error)
            continue
        return Scene(width_mm, height, "The load", without_idle_knock_outs(sheet.items), "", float(scale))
    raise PlacementError(f"the load cannot be drawn legibly at any scale: {problem}")


def _draw_views(sheet: Sheet, assessment: Assessment, rows: Sequence[Placed], scale: int) -> None:
    load = assessment.load
    elevation, plan = rows
    for placed in rows:
        sheet.add(*draw_load(load, placed))
        sheet.add(*draw_cog(load, placed))
    labels: list[Label] = []
    for point in load.lift_points:
        for placed in rows:
            sheet.add(Circle(placed.paper(point.at_m), 0.9, LOAD_PEN, Layer.LOAD, Fill.WHITE))
        labels.append(_name(point.name, plan.paper(point.at_m)))
    for items, texts in (_height(elevation, load), *_spacings(assessment, plan)):
        sheet.add(*items)
        labels.extend(texts)
    labels.extend(_letters(sheet, assessment, elevation))
    sheet.add(*scale_bar(find_room(_left_part(sheet), *scale_bar_size(scale)), scale))
    for placed in rows:
        labels.extend(
            _sides(placed, load_extent(load, placed.view).left, load_extent(load, placed.view).right)
        )
    place_labels(sheet, labels)


def _left_part(sheet: Sheet) -> Sheet:
    part = Sheet(_VIEWS_WIDTH_MM, sheet.height_mm)
    part.items = list(sheet.items)
    return part


def _name(name: str, at: Point) -> Label:
    width = text_extent(name, Face.SEMIBOLD, 2.5).width
    near = [(s * (1.8 + width / 2.0), dy) for s in (1.0, -1.0) for dy in (0.0, -3.0, 3.0)]
    options = tuple(text_block((name,), (at[0] + dx, at[1] + dy), Face.SEMIBOLD, 2.5) for dx, dy in near)
    return Label((name,), options, (at,), Face.SEMIBOLD, 2.5)


def _height(placed: Placed, load: LoadStatement) -> tuple[tuple[Item, ...], tuple[Label, ...]]:
    e = placed.extent
    low, high = (load.envelope.low_m[2], load.envelope.high_m[2]) if load.envelope else (e.bottom, e.top)
    left, top = placed.paper_uv((e.left, high))
    bottom = placed.paper_uv((e.left, low))[1]
    return chain([Stop(top, left), Stop(bottom, left)], [millimetres(high - low)], left - 8.0, vertical=True)


def _spacings(assessment: Assessment, placed: Placed) -> list[tuple[tuple[Item, ...], tuple[Label, ...]]]:
    e = placed.extent
    points = [placed.view.project(point.at_m) for point in assessment.load.lift_points]
    left, foot = placed.paper_uv((e.left, e.bottom))
    us = _distinct([e.left, e.right, *(p[0] for p in points)])
    vs = _distinct([e.bottom, e.top, *(p[1] for p in points)])
    texts_u = [millimetres(b - a) for a, b in itertools.pairwise(us)]
    texts_v = [millimetres(b - a) for a, b in itertools.pairwise(vs)]
    return [
        chain([Stop(placed.paper_uv((u, 0.0))[0], foot) for u in us], texts_u, foot + 7.0, vertical=False),
        chain(
            [Stop(placed.paper_uv((0.0, v))[1], left) for v in reversed(vs)],
            texts_v[::-1],
            left - 8.0,
            vertical=True,
        ),
    ]


def _distinct(values: Sequence[float]) -> list[float]:
    out: list[float] = []
    for value in sorted(values):
        if not out or value - out[-1] > 0.0015:
            out.append(value)
    return out


def _letters(sheet: Sheet, assessment: Assessment, placed: Placed) -> list[Label]:
    """Letters of the heaviest parts in the elevation; parts without a box are marked by their point."""
    labels = []
    for part in sorted(assessment.load.parts, key=lambda part: -part.mass_kg)[:_MOST_LETTERS]:
        letter = printable(part.letter)[:3] or "?"
        points = _inside(part, placed)
        if not points:
            continue
        if part.box is None:
            sheet.add(Circle(points[0], 0.7, THIN_PEN, Layer.LOAD, Fill.BLACK))
            near = ((2.2, 0.0), (-2.2, 0.0), (2.2, -2.2), (-2.2, -2.2), (2.2, 2.2), (-2.2, 2.2))
            points = tuple((points[0][0] + dx, points[0][1] + dy) for dx, dy in near)
        options = tuple(text_block((letter,), point, Face.BOLD, 2.5) for point in points)
        labels.append(Label((letter,), options, points, Face.BOLD, 2.5))
    return labels


def _on_paper(placed: Placed, point: Point) -> bool:
    return placed.left < point[0] < placed.right and placed.top < point[1] < placed.bottom


def _inside(part: PartRow, placed: Placed) -> tuple[Point, ...]:
    if part.box is None:
        point = placed.paper(part.at_m)
        return (point,) if _on_paper(placed, point) else ()
    (x0, y0, z0), (x1, y1, z1) = part.box.low_m, part.box.high_m
    shares = ((0.5, 0.5), (0.5, 0.75), (0.5, 0.25), (0.8, 0.5), (0.2, 0.5), (0.9, 0.5), (0.1, 0.5))
    return tuple(
        placed.paper((x0 + (x1 - x0) * t, y0 + (y1 - y0) * t, z0 + (z1 - z0) * up)) for t, up in shares
    )


def _sides(placed: Placed, left: float, right: float) -> list[Label]:
    e = placed.extent
    out = []
    for u, word, sign in ((left, placed.view.left_word, -1.0), (right, placed.view.right_word, 1.0)):
        width = text_extent(word, Face.REGULAR, 1.8).width
        options = []
        for share in (0.5, 0.3, 0.7, 0.1, 0.9):
            x, y = placed.paper_uv((u, e.bottom + share * (e.top - e.bottom)))
            options.append(text_block((word,), (x + sign * (1.2 + width / 2.0), y), Face.REGULAR, 1.8))
            options.append(text_block((word,), (x - sign * (1.2 + width / 2.0), y), Face.REGULAR, 1.8))
        out.append(Label((word,), tuple(options), (), cap_height_mm=1.8, required=False))
    return out


def _draw_detail(sheet: Sheet, assessment: Assessment, views: Sequence[View]) -> None:
    """The box of the centre of gravity, in elevation and plan, with the hook line where it passes."""
    scale = _detail_scale(assessment)
    left = _VIEWS_WIDTH_MM + 4.0
    sheet.add(Text((left, 4.0), f"CoG box 1:{scale}", Face.SEMIBOLD, 2.5, knock_out=Fill.NONE))
    labels: list[Label] = []
    top = 8.0
    for view, name in zip(views, ("elevation", "plan"), strict=True):
        height = _detail(sheet, labels, assessment, view, name, (left, top), scale)
        top += height + 6.0
    place_labels(sheet, labels)


def _detail_scale(assessment: Assessment) -> int:
    largest = 2.0 * max(*assessment.load.cog_box_m, 0.005)
    return next((s for s in (1, 2, *SCALES) if largest * 1000.0 / s <= _DETAIL_MM), SCALES[-1])


def _detail_height(assessment: Assessment, views: Sequence[View]) -> float:
    k = 1000.0 / _detail_scale(assessment)
    halves = [assessment.load.cog_box_m[_axes(view)[1]] * k for view in views]
    return 8.0 + sum(9.0 + 2.0 * half + 9.4 for half in halves) + 6.0


def _axes(view: View) -> tuple[int, int]:
    """The load's axes nearest to right and up of a view."""
    right, up = (max(range(3), key=lambda i: abs(direction[i])) for direction in (view.right, view.up))
    return right, up


def _detail(
    sheet: Sheet,
    labels: list[Label],
    assessment: Assessment,
    view: View,
    name: str,
    corner: Point,
    scale: int,
) -> float:
    load = assessment.load
    k = 1000.0 / scale
    axes = _axes(view)
    half = [load.cog_box_m[i] * k for i in axes]
    centre = (corner[0] + 13.0 + half[0], corner[1] + 9.0 + half[1])
    (x0, x1), (y0, y1) = (
        (centre[0] - half[0], centre[0] + half[0]),
        (centre[1] - half[1], centre[1] + half[1]),
    )
    if half[0] > 0.1 and half[1] > 0.1:
        sheet.add(
            Polyline(((x0, y0), (x1, y0), (x1, y1), (x0, y1)), COG_BOX_PEN, Layer.LOAD, True, Fill.GREY)
        )
    sheet.add(*_hook_cross(assessment, view, centre, k, (x0, y0, x1, y1)))
    sheet.add(*cog_mark(centre, 1.6))
    texts = [millimetres(load.cog_box_m[i]) for i in axes]
    chains = []
    if half[0] > 1.0:
        chains.append(
            chain([Stop(x, y0) for x in (x0, centre[0], x1)], [texts[0]] * 2, y0 - 4.0, vertical=False)
        )
    if half[1] > 1.0:
        chains.append(
            chain([Stop(y, x0) for y in (y0, centre[1], y1)], [texts[1]] * 2, x0 - 5.0, vertical=True)
        )
    for items, found in chains:
        sheet.add(*items)
        labels.extend(found)
    lines = [
        f"{'xyz'[i]} {signed_millimetres(load.cog_m[i])} ± {text}"
        for i, text in zip(axes, texts, strict=True)
    ]
    sheet.add(Text((corner[0], y1 + 5.0), f"{name}:  {lines[0]}", Face.REGULAR, 1.8))
    sheet.add(
        Text(
            (corner[0] + text_extent(f"{name}:  ", Face.REGULAR, 1.8).width, y1 + 8.4),
            lines[1],
            Face.REGULAR,
            1.8,
        )
    )
    return y1 + 9.4 - corner[1]


def _hook_cross(
    assessment: Assessment, view: View, centre: Point, k: float, frame: tuple[float, float, float, float]
) -> list[Item]:
    """The hook line through the detail: plumb in the elevation, a cross in the plan; nothing where it is outside."""
    hook = view.project(assessment.rig.drawn.nodes_m[HOOK_NODE])
    cog = view.project(assessment.load.cog_m)
    x, y = centre[0] + (hook[0] - cog[0]) * k, centre[1] - (hook[1] - cog[1]) * k
    x0, y0, x1, y1 = frame
    items: list[Item] = []
    if x0 - 2.0 <= x <= x1 + 2.0:
        items.append(centre_line((x, y0 - 2.5), (x, y1 + 2.0)))
    if view.letter == "C" and y0 - 2.0 <= y <= y1 + 2.0:
        items.append(centre_line((x0 - 2.5, y), (x1 + 4.0, y)))
    return items
