"""General arrangement of the rig: two elevations and a plan to scale, from the level, unstretched posture.

The sheets hold the largest scale of ISO 5455 at which every view fits with all its texts free of each other. Where a
load that overhangs the rig would force a smaller scale, it is broken off; its whole outline stands on the load
statement.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from plumbhook.documents.arrangement_labels import label_view
from plumbhook.documents.arrangement_parts import RigView, draw_view, rig_extent
from plumbhook.documents.drawable import ArrangementError, drawable
from plumbhook.documents.ghost import Ghost, tilt_ghost
from plumbhook.documents.load_outline import load_extent
from plumbhook.documents.scene import Scene
from plumbhook.documents.sheet import PlacementError, Sheet, without_idle_knock_outs
from plumbhook.documents.svg import scene_to_svg
from plumbhook.documents.symbols import HOOK_HEIGHT_MM
from plumbhook.documents.views import (
    SCALES,
    Block,
    Extent,
    Margins,
    Placed,
    View,
    extent_of,
    layouts,
    place_rows,
    standard_views,
    turned_plan,
)
from plumbhook.planning.assessment import Assessment

SHEET_WIDTH_MM = 175.0
SHEET_HEIGHT_MM = 229.0

_OVERHANG_MM = 10.0
_TITLE_MM = 60.0
_MOST_TRIES = 8
_ELEVATION_A = Margins(25.0, 16.0, 9.0 + HOOK_HEIGHT_MM, 15.0)
_ELEVATION_B = Margins(8.0, 8.0, 9.0 + HOOK_HEIGHT_MM, 15.0)
_PLAN = Margins(15.0, 12.0, 16.0, 13.0)


@dataclass(frozen=True, slots=True)
class Arrangement:
    """The drawn sheets, the scale they share, the views on each by letter, and texts that found no place."""

    sheets: tuple[Scene, ...]
    scale: int
    views: tuple[tuple[str, ...], ...]
    left_out: tuple[str, ...] = ()


def draw_arrangement(
    assessment: Assessment, width_mm: float = SHEET_WIDTH_MM, height_mm: float = SHEET_HEIGHT_MM
) -> Arrangement:
    """Draw the arrangement on as few sheets of the given size as the largest possible scale needs.

    Raises:
        ArrangementError: the rig cannot be drawn at any scale.
    """
    ready = drawable(assessment)
    views = standard_views(ready)
    ghost = tilt_ghost(ready.rig, tuple(point.at_m for point in ready.load.lift_points))
    size = (width_mm, height_mm)
    for strict in (True, False):
        for scale, sheets in itertools.islice(_fitting(ready, views, ghost, size), _MOST_TRIES):
            left_out: list[str] | None = None if strict else []
            try:
                scenes = tuple(_draw(ready, placed, ghost, size, left_out) for placed in sheets)
            except PlacementError:
                continue
            letters = tuple(tuple(placed.view.letter for placed in sheet) for sheet in sheets)
            return Arrangement(scenes, scale, letters, tuple(left_out or ()))
    raise ArrangementError("the rig cannot be drawn legibly at any scale")


def _fitting(
    assessment: Assessment, views: tuple[View, View, View], ghost: Ghost | None, size: tuple[float, float]
) -> Iterator[tuple[int, list[list[Placed]]]]:
    """Scales and sheets that have room for all views: largest scale, whole before broken off, fewest sheets."""
    a, b, plan = views
    for scale, broken in itertools.product(SCALES, (False, True)):
        options = [_blocks(assessment, (a, b, c), ghost, scale, broken) for c in (plan, turned_plan(plan))]
        ways = [(len(way), i, way) for i, blocks in enumerate(options) if blocks for way in layouts(blocks)]
        for _, i, way in sorted(ways, key=lambda w: (w[0], w[1])):
            sheets = [place_rows(options[i] or [], rows, scale, *size) for rows in way]
            if all(sheets):
                yield scale, [sheet for sheet in sheets if sheet]


def arrangement_svg(assessment: Assessment, *, embed_fonts: bool = True) -> str:
    """The arrangement as one stand-alone SVG: all views on one sheet, as large as they need at the scale of the plan.

    Raises:
        ArrangementError: the rig cannot be drawn at any scale.
        DrawingError: a text touches something.
    """
    drawn = draw_arrangement(assessment)
    if len(drawn.sheets) == 1:
        return scene_to_svg(drawn.sheets[0], embed_fonts=embed_fonts)
    one = draw_arrangement(assessment, SHEET_WIDTH_MM * len(drawn.sheets), SHEET_HEIGHT_MM + 20.0)
    return scene_to_svg(one.sheets[0], embed_fonts=embed_fonts)


def outline_scene(assessment: Assessment, width_mm: float, height_mm: float) -> Scene:
    """The leading elevation in outline only, as large as a standard scale allows, for the cover."""
    assessment = drawable(assessment)
    view = standard_views(assessment)[0]
    extent = _whole_extent(assessment, view, None)
    for scale in SCALES:
        margins = Margins(1.0, 1.0, HOOK_HEIGHT_MM + 1.0, 1.0)
        rows = place_rows([Block(view, extent, None, margins)], [[0]], scale, width_mm, height_mm)
        if rows is not None:
            sheet = Sheet(width_mm, height_mm)
            sheet.add(*draw_view(RigView(assessment, rows[0], None)))
            return Scene(width_mm, height_mm, "Rig and load in outline", tuple(sheet.items), "", scale)
    raise ArrangementError("the rig is too large for the cover")


def _whole_extent(assessment: Assessment, view: View, ghost: Ghost | None) -> Extent:
    extent = rig_extent(assessment, view).joined(load_extent(assessment.load, view))
    if ghost is not None and assessment.load.envelope is not None:
        box = assessment.load.envelope
        points = [
            (x, y, z)
            for x in (box.low_m[0], box.high_m[0])
            for y in (box.low_m[1], box.high_m[1])
            for z in (box.low_m[2], box.high_m[2])
        ]
        extent = extent.joined(extent_of(view.project(ghost.load_point(p)) for p in points))
    return extent


def _blocks(
    assessment: Assessment, views: Sequence[View], ghost: Ghost | None, scale: int, broken: bool
) -> list[Block] | None:
    """The three views with their extents; None where breaking off would change nothing."""
    blocks = []
    cut = False
    for view, margins in zip(views, (_ELEVATION_A, _ELEVATION_B, _PLAN), strict=True):
        shown = None if view.letter == "C" else ghost
        whole = _whole_extent(assessment, view, shown)
        if not broken:
            blocks.append(Block(view, whole, None, margins, _TITLE_MM))
            continue
        window = _window(assessment, view, whole, scale)
        cut = cut or window != whole
        blocks.append(Block(view, window, window if window != whole else None, margins, _TITLE_MM))
    return blocks if cut or not broken else None


def _window(assessment: Assessment, view: View, whole: Extent, scale: int) -> Extent:
    """The rig and as much of the load round it as is needed to see where it hangs."""
    pad = _OVERHANG_MM * scale / 1000.0
    rig = rig_extent(assessment, view)
    load = assessment.load
    cog = view.project(load.cog_m)
    half = max(load.cog_box_m)
    wanted = rig.joined(Extent(cog[0] - half, cog[1] - half, cog[0] + half, cog[1] + half))
    wanted = Extent(wanted.left - pad, wanted.bottom - pad, wanted.right + pad, wanted.top + pad)
    top = whole.top if view.letter != "C" else min(whole.top, wanted.top)
    return Extent(
        max(whole.left, wanted.left), max(whole.bottom, wanted.bottom), min(whole.right, wanted.right), top
    )


def _draw(
    assessment: Assessment,
    placed: Sequence[Placed],
    ghost: Ghost | None,
    size: tuple[float, float],
    left_out: list[str] | None,
) -> Scene:
    """One sheet.

    Raises:
        PlacementError: a text finds no free place.
    """
    sheet = Sheet(*size)
    shown = [RigView(assessment, p, ghost if p.view.letter != "C" else None) for p in placed]
    for rig_view in shown:
        sheet.add(*draw_view(rig_view))
    label_view(sheet, shown, left_out)
    title = f"Arrangement of the rig, views {', '.join(p.view.letter for p in placed)}"
    items = without_idle_knock_outs(sheet.items)
    return Scene(*size, title, items, _described(assessment), float(placed[0].scale))


def _described(assessment: Assessment) -> str:
    return f"{assessment.rig.arrangement}; lengths in millimetres, drawn level and unstretched"
