"""Where labels go: ordered options for each, the most constrained label first, and leaders where nothing near is free.

A label is a list of options; an option is the very primitives that would be drawn. The first option that touches
nothing is taken. Where none is free, the text is set anywhere on the sheet that is free and near, with a leader to its
anchor.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from plumbhook.documents.fonts import Face, text_extent
from plumbhook.documents.scene import LEADER_PEN, Layer, Point, Polyline, Text, line
from plumbhook.documents.sheet import CLEARANCE_MM, EDGE_MM, Option, PlacementError, Sheet, probes

LINE_PITCH = 1.75
"""Distance of baselines of a text of several lines, in capital heights."""

_GRID_MM = 2.0
_LEADER_GAP_MM = 0.6
_MOST_TRIES = 900


@dataclass(frozen=True, slots=True)
class Label:
    """A text to be placed.

    Attributes:
        lines: the text, one entry a line.
        options: complete alternatives in order of preference.
        anchors: points at one of which a leader may end, best first; none where an option must do.
        face, cap_height_mm: of the text set with a leader.
        owner: name of what is labelled; its own balloon or outline does not count as an obstacle.
        required: False for a text that may be left out where there is no room.
    """

    lines: tuple[str, ...]
    options: tuple[Option, ...]
    anchors: tuple[Point, ...]
    face: Face = Face.REGULAR
    cap_height_mm: float = 2.5
    owner: str = ""
    required: bool = True


def text_block(
    lines: Sequence[str],
    centre: Point,
    face: Face,
    cap: float,
    *,
    align: str = "middle",
    owner: str = "",
    angle_deg: float = 0.0,
) -> tuple[Text, ...]:
    """Lines of text whose common box has its middle at ``centre``; ``align`` is start, middle or end of each line."""
    width = block_width(lines, face, cap)
    height = cap * (1.0 + LINE_PITCH * (len(lines) - 1))
    shift = {"start": -width / 2.0, "middle": 0.0, "end": width / 2.0}[align]
    turn = math.radians(angle_deg)
    cos, sin = math.cos(turn), math.sin(turn)
    out = []
    for index, words in enumerate(lines):
        x, y = shift, -height / 2.0 + cap + index * cap * LINE_PITCH
        at = (centre[0] + x * cos + y * sin, centre[1] - x * sin + y * cos)
        out.append(Text(at, words, face, cap, align, angle_deg, owner=owner))
    return tuple(out)


def block_width(lines: Sequence[str], face: Face, cap: float) -> float:
    """Width of the longest line, mm."""
    return max(text_extent(words, face, cap).width for words in lines)


def place_labels(sheet: Sheet, labels: Iterable[Label], left_out: list[str] | None = None) -> None:
    """Place every label on the sheet, the most constrained first.

    Args:
        sheet: the drawing.
        labels: what to place.
        left_out: collects the texts that find no place; None makes that an error.

    Raises:
        PlacementError: a label has no free place.
    """
    # For each label its free options; after each placement only the new obstacles are looked at.
    waiting = [(label, [(option, probes(option)) for option in label.options]) for label in labels]
    seen = 0
    while waiting:
        now = sheet.count
        waiting = [(label, [o for o in options if sheet.clear(o[1], seen)]) for label, options in waiting]
        seen = now
        index = min(range(len(waiting)), key=lambda i: (not waiting[i][1], len(waiting[i][1])))
        if not waiting[index][1]:
            break
        _, options = waiting.pop(index)
        sheet.add(*options[0][0])
    for label, _ in waiting:
        if not label.required:
            continue
        try:
            sheet.add(*_with_leader(sheet, label))
        except PlacementError:
            if left_out is None:
                raise
            left_out.append(" ".join(label.lines))


def _with_leader(sheet: Sheet, label: Label) -> Option:
    """The nearest free place for a label, with a straight leader to one of its anchors.

    Raises:
        PlacementError: there is none.
    """
    width = block_width(label.lines, label.face, label.cap_height_mm)
    cap = label.cap_height_mm
    # Descenders reach below the last baseline.
    height = cap * (1.0 + LINE_PITCH * (len(label.lines) - 1)) + 0.7 * cap
    for centre in free_places(sheet, label.anchors, width, height):
        texts = text_block(label.lines, centre, label.face, cap, owner=label.owner)
        for anchor in label.anchors:
            option: Option = (*texts, _leader(anchor, centre, width, height))
            if sheet.fits(option):
                return option
    raise PlacementError(f"no free place for '{' / '.join(label.lines)}'")


def free_places(sheet: Sheet, anchors: Sequence[Point], width: float, height: float) -> list[Point]:
    """Middles of free upright boxes near the first anchor, the nearest first, thinned out where they are many."""
    xs = np.arange(width / 2.0 + EDGE_MM, sheet.width_mm - width / 2.0, _GRID_MM)
    ys = np.arange(height / 2.0 + EDGE_MM, sheet.height_mm - height / 2.0, _GRID_MM)
    if xs.size == 0 or ys.size == 0 or not anchors:
        return []
    grid = np.stack(np.meshgrid(xs, ys), axis=-1).reshape(-1, 2)
    ax, ay = anchors[0]
    beside = np.maximum(np.abs(grid[:, 0] - ax) - width / 2.0, 0.0)
    above = np.maximum(np.abs(grid[:, 1] - ay) - height / 2.0, 0.0)
    reach = np.hypot(beside, above)
    wanted = (reach > 3.0) & sheet.free_boxes(grid, width + 2.0 * CLEARANCE_MM, height + 2.0 * CLEARANCE_MM)
    order = np.argsort(reach[wanted], kind="stable")
    places = grid[wanted][order]
    near, far = places[: _MOST_TRIES // 2], places[_MOST_TRIES // 2 :]
    step = max(1, len(far) * 2 // _MOST_TRIES)
    return [(float(x), float(y)) for x, y in (*near, *far[::step])]


def _leader(anchor: Point, centre: Point, width: float, height: float) -> Polyline:
    """From an anchor to the nearest point of a text's box, with a gap before the text."""
    half_w, half_h = width / 2.0 + _LEADER_GAP_MM, height / 2.0 + _LEADER_GAP_MM
    x = min(max(anchor[0], centre[0] - half_w), centre[0] + half_w)
    y = min(max(anchor[1], centre[1] - half_h), centre[1] + half_h)
    return line(anchor, (x, y), LEADER_PEN, Layer.LEADER)
