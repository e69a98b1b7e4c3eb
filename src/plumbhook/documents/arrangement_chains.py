"""Dimension chains and balloons of the arrangement."""

from __future__ import annotations

import itertools
from collections.abc import Sequence

from plumbhook.documents.arrangement_parts import (
    RigView,
    hook_top,
    joint_stations,
    struts_on_paper,
)
from plumbhook.documents.balloons import BalloonAnchor, place_balloons
from plumbhook.documents.dimensions import Stop, chain
from plumbhook.documents.drawable import HOOK_NODE
from plumbhook.documents.load_outline import load_extent
from plumbhook.documents.numbers import millimetres
from plumbhook.documents.placement import Label
from plumbhook.documents.scene import Item, Point
from plumbhook.documents.sheet import Sheet
from plumbhook.planning.assessment import StrutDrawing

Chain = tuple[tuple[Item, ...], tuple[Label, ...]]

_SAME_M = 0.0015
_CHAIN_MM = 8.0
_PITCH_MM = 8.0
_SHARES = (0.5, 0.62, 0.38, 0.74, 0.26, 0.85)
_LOW_SHARES = (0.82, 0.2, 0.65, 0.35, 0.5)
_ROOM_BELOW_MM = 11.5


def level_chains(shown: RigView) -> list[Chain]:
    """Heights at the left of the leading elevation: every level of the rig, and the whole outside of it."""
    if shown.view.letter != "A":
        return []
    levels = _levels(shown)
    if len(levels) < 2:
        return []
    left = shown.placed.paper_uv((shown.placed.extent.left, 0.0))[0] - _CHAIN_MM
    stops = [Stop(shown.placed.paper_uv((0.0, z))[1], x) for z, x in levels]
    texts = [millimetres(a[0] - b[0]) for a, b in itertools.pairwise(levels)]
    chains = [chain(stops, texts, left, vertical=True)]
    rig = [level for level in levels if level[0] >= _lowest_lift_point(shown) - _SAME_M]
    if len(rig) > 2:
        ends = [Stop(shown.placed.paper_uv((0.0, z))[1], left) for z, _ in (rig[0], rig[-1])]
        chains.append(chain(ends, [millimetres(rig[0][0] - rig[-1][0])], left - _PITCH_MM, vertical=True))
    return chains


def _lowest_lift_point(shown: RigView) -> float:
    return min(point.at_m[2] for point in shown.assessment.load.lift_points)


def _levels(shown: RigView) -> list[tuple[float, float]]:
    """Heights (m, from above) with the paper x of the leftmost thing at that height."""
    found: list[tuple[float, float]] = []
    x, y, z = hook_top(shown.assessment)
    seat = shown.placed.paper((x, y, z))[0] - 3.2
    found.append((z, seat))
    for item in shown.assessment.rig.hook_items:
        z -= item.length_m
        found.append((z, seat))
    for name, node in shown.assessment.rig.drawn.nodes_m.items():
        if name != HOOK_NODE:
            found.append((node[2], shown.at(name)[0] - 2.0))
    load = load_extent(shown.assessment.load, shown.view)
    window = shown.placed.window
    if window is None or load.bottom >= window.bottom - _SAME_M:
        found.append((load.bottom, shown.placed.paper_uv((max(load.left, shown.placed.extent.left), 0.0))[0]))
    found.sort(key=lambda level: -level[0])
    merged: list[tuple[float, float]] = []
    for level, start in found:
        if merged and merged[-1][0] - level < _SAME_M:
            merged[-1] = (merged[-1][0], min(merged[-1][1], start))
        else:
            merged.append((level, start))
    return merged


def spacing_chains(shown: RigView) -> list[Chain]:
    """Spacing of the lift points and what overhangs: below elevations, above and at the left of the plan."""
    placed = shown.placed
    points = [shown.view.project(point.at_m) for point in shown.assessment.load.lift_points]
    load = load_extent(shown.assessment.load, shown.view)
    e = placed.extent
    chains: list[Chain] = []
    us = _distinct([p[0] for p in points] + _edges(load.left, load.right, e.left, e.right))
    if len(us) > 1:
        level = e.top if shown.is_plan else e.bottom
        foot = placed.paper_uv((0.0, level))[1]
        across = foot - 5.0 if shown.is_plan else foot + 8.0
        stops = [Stop(placed.paper_uv((u, 0.0))[0], foot) for u in us]
        chains.append(chain(stops, _texts(us), across, vertical=False))
    if shown.is_plan:
        vs = _distinct([p[1] for p in points] + _edges(load.bottom, load.top, e.bottom, e.top))
        if len(vs) > 1:
            edge = placed.paper_uv((e.left, 0.0))[0]
            stops = [Stop(placed.paper_uv((0.0, v))[1], edge) for v in reversed(vs)]
            chains.append(chain(stops, list(reversed(_texts(vs))), edge - 8.0, vertical=True))
    return chains


def _edges(low: float, high: float, seen_low: float, seen_high: float) -> list[float]:
    """The ends of the load, left out where the view is broken off before them."""
    return [x for x in (low, high) if seen_low - _SAME_M <= x <= seen_high + _SAME_M]


def _distinct(values: Sequence[float]) -> list[float]:
    out: list[float] = []
    for value in sorted(values):
        if not out or value - out[-1] > _SAME_M:
            out.append(value)
    return out


def _texts(values: Sequence[float]) -> list[str]:
    return [millimetres(b - a) for a, b in itertools.pairwise(values)]


def strut_chains(shown: RigView) -> list[Chain]:
    """Span of each strut seen in true length and level, divided at its joints."""
    if shown.is_plan:
        return []
    chains: list[Chain] = []
    for strut in (group[0] for group in struts_on_paper(shown)):
        a, b = shown.at(strut.node_a), shown.at(strut.node_b)
        if shown.is_true(strut.node_a, strut.node_b) and abs(a[1] - b[1]) <= 0.05:
            chains.append(_strut_chain(shown, strut, a, b))
    return chains


def _strut_chain(shown: RigView, strut: StrutDrawing, a: Point, b: Point) -> Chain:
    stations = [0.0, *joint_stations(strut), strut.span_m]
    texts = [millimetres(q - p) for p, q in itertools.pairwise(stations)]
    xs = [a[0] + (b[0] - a[0]) * s / strut.span_m for s in stations]
    if xs[0] > xs[-1]:
        xs.reverse()
        texts.reverse()
    half = strut.outside_diameter_m * shown.placed.mm_per_m * 0.8
    below = _room_below(shown, a[1]) >= _ROOM_BELOW_MM + half
    side = 1.0 if below else -1.0
    across = a[1] + side * (half + 9.5)
    return chain([Stop(x, a[1] + side * half) for x in xs], texts, across, vertical=False)


def _room_below(shown: RigView, y: float) -> float:
    """Paper between a strut and the next level of nodes or the load below it."""
    lower = [shown.at(name)[1] for name in shown.assessment.rig.drawn.nodes_m]
    lower.append(shown.placed.paper_uv((0.0, load_extent(shown.assessment.load, shown.view).top))[1])
    below = [other - y for other in lower if other > y + 0.5]
    return min(below, default=0.0)


def balloons(sheet: Sheet, shown: RigView, left_out: list[str] | None) -> None:
    """Numbers of the items in one column at the right of the leading elevation.

    Raises:
        PlacementError: they do not fit.
    """
    placed = shown.placed
    column = placed.paper_uv((placed.extent.right, 0.0))[0] + 11.0
    anchors: dict[int, list[tuple[float, int, Point]]] = {}
    x, y, z = hook_top(shown.assessment)
    for item in shown.assessment.rig.hook_items:
        middle = placed.paper((x, y, z - item.length_m / 2.0))
        anchors.setdefault(item.balloon, []).append((-middle[0], 0, middle))
        z -= item.length_m
    for line in shown.assessment.rig.lines:
        a, b = shown.at(line.upper_node), shown.at(line.lower_node)
        shares = _LOW_SHARES if line.role == "lower" else _SHARES
        anchors.setdefault(line.balloon, []).extend(_candidates(a, b, shares))
    for strut in shown.assessment.rig.struts:
        a, b = shown.at(strut.node_a), shown.at(strut.node_b)
        anchors.setdefault(strut.balloon, []).extend(_candidates(a, b, (0.9, 0.8, 0.1, 0.2)))
    listed = [
        BalloonAnchor(
            str(number),
            tuple(point for _, _, point in sorted(points, key=lambda c: (round(c[0]), c[1])))[:12],
        )
        for number, points in sorted(anchors.items())
    ]
    place_balloons(sheet, listed, column, placed.top + 10.0, placed.bottom, left_out)


def _candidates(a: Point, b: Point, shares: Sequence[float]) -> list[tuple[float, int, Point]]:
    """Points on an item in order of preference: the item farthest to the right first, then the order of shares."""
    reach = -max(a[0], b[0])
    return [(reach, i, (a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]))) for i, t in enumerate(shares)]
