"""Texts of the arrangement: titles, dimension chains, balloons, forces, lengths, angles, names."""

from __future__ import annotations

from collections.abc import Sequence

from plumbhook.documents.arrangement_chains import balloons, level_chains, spacing_chains, strut_chains
from plumbhook.documents.arrangement_forces import angle_labels, hook_label, sling_labels, strut_labels
from plumbhook.documents.arrangement_parts import RigView, visible_load_extent
from plumbhook.documents.dimensions import LIFT_MM
from plumbhook.documents.fonts import Face, text_extent
from plumbhook.documents.numbers import degrees, millimetres, signed_millimetres, tonnes
from plumbhook.documents.placement import Label, place_labels, text_block
from plumbhook.documents.scene import Layer, Point, Polyline, Text
from plumbhook.documents.sheet import Option, Sheet, find_room
from plumbhook.documents.symbols import force_arrow, scale_bar, scale_bar_size, view_title
from plumbhook.documents.views import dot, standard_views

_SMALL = 1.8
_NORMAL = 2.5


def label_view(sheet: Sheet, views: Sequence[RigView], left_out: list[str] | None = None) -> None:
    """Put every text of the views of one sheet where it is free.

    Args:
        sheet: the drawing.
        views: the views on it, already drawn.
        left_out: collects the texts that find no place; None makes that an error.

    Raises:
        PlacementError: a text finds no free place.
    """
    labels: list[Label] = []
    for shown in views:
        _title(sheet, shown)
        chains = [*level_chains(shown), *spacing_chains(shown), *strut_chains(shown)]
        for items, texts in chains:
            sheet.add(*items)
            labels.extend(texts)
    for shown in views:
        arcs, angles = angle_labels(shown)
        sheet.add(*arcs)
        labels.extend(angles)
    for shown in views:
        if shown.view.letter == "A":
            balloons(sheet, shown, left_out)
        labels.extend(sling_labels(shown))
        labels.extend(strut_labels(shown))
        labels.extend(hook_label(shown))
        labels.extend(_load_labels(sheet, shown))
        if shown.is_plan:
            labels.extend(_plan_labels(shown))
            labels.extend(_view_arrows(shown))
    scale = views[0].placed.scale
    sheet.add(*scale_bar(find_room(sheet, *scale_bar_size(scale)), scale))
    place_labels(sheet, labels, left_out)


def _title(sheet: Sheet, shown: RigView) -> None:
    placed = shown.placed
    name = shown.view.name
    width = 5.0 + text_extent(name, Face.SEMIBOLD, _NORMAL).width + 3.0 + 10.0
    left = min(max(placed.left + 1.0, 1.0), sheet.width_mm - width - 1.0)
    sheet.add(*view_title((left, placed.top + 5.0), shown.view.letter, name, placed.scale, width))


def _load_labels(sheet: Sheet, shown: RigView) -> list[Label]:
    load = shown.assessment.load
    cog, half = load.cog_m, load.cog_box_m
    axes = [i for i in range(3) if abs(_axis_share(shown, i)) > 0.5]
    words = "  ".join(f"{'xyz'[i]} {signed_millimetres(cog[i])}" for i in axes)
    box = "  ".join(f"±{millimetres(half[i])} ({'xyz'[i]})" for i in axes)
    labels = [
        Label((f"CoG  {words}", f"box {box}"), (), _round(shown.placed.paper(cog)), cap_height_mm=_SMALL)
    ]
    labels.extend(_side_words(shown))
    if shown.ghost is not None:
        corner = _ghost_corner(sheet, shown)
        text = f"tilt {degrees(shown.ghost.tilt_rad)}, drawn × {shown.ghost.factor}"
        if corner:
            labels.append(Label((text,), (), corner, cap_height_mm=_SMALL))
    return labels


def _round(point: Point) -> tuple[Point, ...]:
    """A point and four places beside it, any of which a leader may end at."""
    x, y = point
    return (point, (x + 1.0, y), (x - 1.0, y), (x, y + 1.0), (x, y - 1.0))


def _axis_share(shown: RigView, axis: int) -> float:
    unit = [(1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0)][axis]
    return abs(dot(unit, shown.view.right)) + abs(dot(unit, shown.view.up))


def _ghost_corner(sheet: Sheet, shown: RigView) -> tuple[Point, ...]:
    """Points on the visible ghost, the farthest from the hook line first."""
    placed = shown.placed
    middle = (placed.left + placed.right) / 2.0
    points = [
        (p[0] + 0.25 * (q[0] - p[0]), p[1] + 0.25 * (q[1] - p[1]))
        for item in sheet.items
        if isinstance(item, Polyline) and item.layer is Layer.GHOST
        for a, b in zip(item.points, (*item.points[1:], item.points[0]), strict=True)
        for p, q in ((a, b), (b, a))
    ]
    seen = [p for p in points if placed.left <= p[0] <= placed.right and placed.top <= p[1] <= placed.bottom]
    return tuple(sorted(seen, key=lambda p: (-abs(p[0] - middle), -p[1])))[:8]


def _side_words(shown: RigView) -> list[Label]:
    """Which side of the load is at the left and right of the view."""
    e = visible_load_extent(shown)
    out = []
    for u, word, sign in ((e.left, shown.view.left_word, -1.0), (e.right, shown.view.right_word, 1.0)):
        width = text_extent(word, Face.REGULAR, _SMALL).width
        options: list[Option] = []
        for share in (0.5, 0.3, 0.7, 0.15, 0.85):
            x, y = shown.placed.paper_uv((u, e.bottom + share * (e.top - e.bottom)))
            for side in (1.0, -1.0):
                middle = (x + sign * side * (1.4 + width / 2.0), y)
                options.append(text_block((word,), middle, Face.REGULAR, _SMALL))
        out.append(Label((word,), tuple(options), (), cap_height_mm=_SMALL, required=False))
    return out


def _plan_labels(shown: RigView) -> list[Label]:
    labels = []
    for point in shown.assessment.load.lift_points:
        lines = (point.name, tonnes(point.carries_kg))
        x, y = shown.placed.paper(point.at_m)
        width = max(text_extent(words, Face.SEMIBOLD, _NORMAL).width for words in lines)
        options = tuple(
            text_block(
                lines, (x + dx * (2.2 + width / 2.0), y + dy * (2.0 + _NORMAL * 1.4)), Face.SEMIBOLD, _NORMAL
            )
            for dx, dy in ((1, -1), (-1, -1), (1, 1), (-1, 1), (1, 0), (-1, 0), (0, -1.4), (0, 1.4))
        )
        labels.append(Label(lines, options, _round((x, y)), Face.SEMIBOLD, _NORMAL))
    for strut in shown.assessment.rig.struts:
        a, b = shown.at(strut.node_a), shown.at(strut.node_b)
        half = strut.outside_diameter_m * shown.placed.mm_per_m / 2.0 * 1.55 + LIFT_MM + _NORMAL / 2.0
        options_list: list[Option] = []
        for share in (0.5, 0.35, 0.65, 0.2, 0.8):
            x, y = a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])
            flat = abs(b[0] - a[0]) >= abs(b[1] - a[1])
            for side in (-1.0, 1.0):
                dx, dy = (0.0, side * half) if flat else (side * (half + 1.6), 0.0)
                options_list.append(text_block((strut.name,), (x + dx, y + dy), Face.SEMIBOLD, _NORMAL))
        anchors = tuple(
            (a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])) for t in (0.5, 0.3, 0.7, 0.15, 0.85)
        )
        labels.append(Label((strut.name,), tuple(options_list), anchors, Face.SEMIBOLD, _NORMAL))
    return labels


def _view_arrows(shown: RigView) -> list[Label]:
    """From where the elevations look: an arrow with the letter beside the plan."""
    labels = []
    for view in standard_views(shown.assessment)[:2]:
        across, up = dot(view.towards, shown.view.right), dot(view.towards, shown.view.up)
        options = tuple(
            _view_arrow(shown, view.letter, (across, up), share, gap)
            for gap in (3.0, 6.0, 10.0, 14.0)
            for share in (0.5, 0.6, 0.4, 0.7, 0.3, 0.85, 0.15)
        )
        labels.append(Label((view.letter,), options, (), Face.BOLD, 3.5))
    return labels


def _view_arrow(shown: RigView, letter: str, direction: Point, share: float, gap: float) -> Option:
    e, placed = shown.placed.extent, shown.placed
    left, top = placed.paper_uv((e.left, e.top))
    right, bottom = placed.paper_uv((e.right, e.bottom))
    across, up = direction
    if abs(across) > abs(up):
        x, sign = (right, 1.0) if across < 0.0 else (left, -1.0)
        y = top + share * (bottom - top)
        arrow = force_arrow((x + sign * (gap + 6.0), y), (x + sign * gap, y))
        words = Text((x + sign * (gap + 3.0), y - 1.6), letter, Face.BOLD, 3.5, "middle")
    else:
        y, sign = (bottom, 1.0) if up > 0.0 else (top, -1.0)
        x = left + share * (right - left)
        arrow = force_arrow((x, y + sign * (gap + 6.0)), (x, y + sign * gap))
        words = Text((x + 2.0, y + sign * (gap + 3.5) + 1.75), letter, Face.BOLD, 3.5)
    return (*arrow, words)
