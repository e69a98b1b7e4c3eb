"""What is drawn of the rig in one view: hook and its items, slings, struts with joints, load, ghost, hook line."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from plumbhook.documents.clip import clip_segment
from plumbhook.documents.drawable import HOOK_NODE
from plumbhook.documents.ghost import Ghost
from plumbhook.documents.load_outline import draw_cog, draw_ghost_load, draw_load, load_extent
from plumbhook.documents.scene import GHOST_PEN, THIN_PEN, Circle, Fill, Item, Layer, Point, line
from plumbhook.documents.symbols import HOOK_HEIGHT_MM, centre_line, hook, hook_item, shackle, sling, strut
from plumbhook.documents.views import Extent, Placed, View, extent_of
from plumbhook.planning.assessment import Assessment, LineDrawing, StrutDrawing, Vector

_SAME_PLACE_MM = 0.3
_SHORTEST_GHOST_MM = 6.0


@dataclass(frozen=True, slots=True)
class RigView:
    """A rig in one placed view."""

    assessment: Assessment
    placed: Placed
    ghost: Ghost | None

    @property
    def view(self) -> View:
        """The direction of looking."""
        return self.placed.view

    @property
    def is_plan(self) -> bool:
        """True for the view from above."""
        return self.view.letter == "C"

    def node(self, name: str) -> Vector:
        """A node of the drawn posture."""
        return self.assessment.rig.drawn.nodes_m[name]

    def at(self, name: str) -> Point:
        """A node on paper."""
        return self.placed.paper(self.node(name))

    def is_true(self, a: str, b: str) -> bool:
        """True where the view shows the distance of two nodes in true length."""
        return self.view.true_ratio(self.node(a), self.node(b)) > 1.0 - 1e-6


def hook_top(assessment: Assessment) -> Vector:
    """Seat of the crane hook: the hook node raised by the items between."""
    x, y, z = assessment.rig.drawn.nodes_m[HOOK_NODE]
    return (x, y, z + sum(item.length_m for item in assessment.rig.hook_items))


def rig_extent(assessment: Assessment, view: View) -> Extent:
    """What the rig covers in a view, tubes included, m."""
    rig = assessment.rig
    points = [view.project(node) for node in rig.drawn.nodes_m.values()] + [
        view.project(hook_top(assessment))
    ]
    for each in rig.struts:
        half = each.outside_diameter_m * 0.8
        for name in (each.node_a, each.node_b):
            u, v = view.project(rig.drawn.nodes_m[name])
            points += [(u - half, v - half), (u + half, v + half)]
    return extent_of(points)


def draw_view(shown: RigView) -> tuple[Item, ...]:
    """Everything that has a shape, in painting order; no text."""
    load = shown.assessment.load
    items: list[Item] = []
    items.extend(draw_load(load, shown.placed))
    items.extend(_strands(shown))
    items.extend(_hook_line(shown))
    items.extend(draw_cog(load, shown.placed))
    if not shown.is_plan:
        items.extend(_hook_and_items(shown))
        items.extend(_lift_points(shown))
    else:
        items.extend(_hook_from_above(shown))
    items.extend(_ghost(shown))
    return tuple(items)


def _strands(shown: RigView) -> list[Item]:
    """Slings and struts, farther ones first; those that fall on one another are drawn once."""
    depth = shown.view.depth
    rig = shown.assessment.rig
    parts: list[tuple[float, LineDrawing | StrutDrawing]] = [
        (max(depth(shown.node(each.upper_node)), depth(shown.node(each.lower_node))), each)
        for each in rig.lines
    ]
    # A strut lies over the slings that end at it.
    parts += [
        (min(depth(shown.node(beam.node_a)), depth(shown.node(beam.node_b))) - 1e-3, beam)
        for beam in (group[0] for group in struts_on_paper(shown))
    ]
    parts.sort(key=lambda part: (-round(part[0], 6), part[1].name))
    items: list[Item] = []
    for _, part in parts:
        if isinstance(part, LineDrawing):
            items.extend(_sling(shown, part))
        else:
            items.extend(_strut(shown, part))
    return items


def _sling(shown: RigView, part: LineDrawing) -> tuple[Item, ...]:
    a, b = shown.at(part.upper_node), shown.at(part.lower_node)
    if shown.is_plan:
        if part.role == "lower":
            return ()
        return (line(a, b, THIN_PEN, Layer.GEAR),)
    return sling(a, b, part.parallel, part.name)


def _strut(shown: RigView, part: StrutDrawing) -> tuple[Item, ...]:
    a, b = shown.at(part.node_a), shown.at(part.node_b)
    seen = shown.view.true_ratio(shown.node(part.node_a), shown.node(part.node_b))
    k = shown.placed.mm_per_m * seen
    begin = part.pieces[0].end_m if part.pieces and part.pieces[0].is_fitting else 0.0
    end = part.span_m - part.pieces[-1].start_m if part.pieces and part.pieces[-1].is_fitting else 0.0
    joints = [s * k for s in joint_stations(part)]
    return strut(
        a, b, part.outside_diameter_m * shown.placed.mm_per_m, joints, (begin * k, end * k), part.name
    )


def joint_stations(part: StrutDrawing) -> tuple[float, ...]:
    """Joints between pieces, m from pin a; the joints to the end fittings are left out."""
    pieces = [piece for piece in part.pieces if not piece.is_fitting]
    return tuple(piece.end_m for piece in pieces[:-1])


def _hook_and_items(shown: RigView) -> list[Item]:
    items: list[Item] = []
    x, y, z = hook_top(shown.assessment)
    items.extend(hook(shown.placed.paper((x, y, z))))
    for each in shown.assessment.rig.hook_items:
        below = z - each.length_m
        is_ring = "link" in each.description.lower() and "load" not in each.description.lower()
        items.extend(
            hook_item(shown.placed.paper((x, y, z)), shown.placed.paper((x, y, below)), ring=is_ring)
        )
        z = below
    items.extend(shackle(shown.at(HOOK_NODE), 1.1))
    return items


def _lift_points(shown: RigView) -> list[Item]:
    return [
        item
        for part in shown.assessment.rig.lines
        if part.role == "lower"
        for item in shackle(shown.at(part.lower_node), 0.8)
    ]


def _hook_from_above(shown: RigView) -> list[Item]:
    x, y = shown.at(HOOK_NODE)
    items: list[Item] = []
    for part in shown.assessment.rig.lines:
        if part.role == "lower" or not shown.assessment.rig.struts:
            items.append(Circle(shown.at(part.lower_node), 1.2, THIN_PEN, Layer.LOAD, Fill.WHITE))
            items.append(Circle(shown.at(part.lower_node), 0.45, THIN_PEN, Layer.LOAD, Fill.BLACK))
    items += [centre_line((x - 6.0, y), (x + 6.0, y)), centre_line((x, y - 6.0), (x, y + 6.0))]
    return items


def _hook_line(shown: RigView) -> list[Item]:
    """The plumb line through the hook, down to the foot of the load."""
    if shown.is_plan:
        return []
    x, y = shown.placed.paper(hook_top(shown.assessment))
    foot = shown.placed.paper_uv((0.0, shown.placed.extent.bottom))[1]
    return [centre_line((x, y - HOOK_HEIGHT_MM + 3.0), (x, foot + 2.0))]


def _ghost(shown: RigView) -> list[Item]:
    if shown.ghost is None:
        return []
    items = list(draw_ghost_load(shown.assessment.load, shown.placed, shown.ghost.load_point))
    for a, b in shown.ghost.struts:
        ends = (shown.view.project(a), shown.view.project(b))
        part = ends if shown.placed.window is None else clip_segment(*ends, shown.placed.window)
        if part is not None:
            start, end = shown.placed.paper_uv(part[0]), shown.placed.paper_uv(part[1])
            if math.dist(start, end) > _SHORTEST_GHOST_MM:
                items.append(line(start, end, GHOST_PEN, Layer.GHOST))
    return items


def same_on_paper(shown: RigView, parts: Sequence[LineDrawing]) -> list[list[LineDrawing]]:
    """Lines grouped by where they are seen: those that fall on one another share a label."""
    groups: list[list[LineDrawing]] = []
    for part in parts:
        ends = (shown.at(part.upper_node), shown.at(part.lower_node))
        for group in groups:
            other = (shown.at(group[0].upper_node), shown.at(group[0].lower_node))
            if all(
                abs(p[i] - q[i]) < _SAME_PLACE_MM for p, q in zip(ends, other, strict=True) for i in (0, 1)
            ):
                group.append(part)
                break
        else:
            groups.append([part])
    return groups


def struts_on_paper(shown: RigView) -> list[list[StrutDrawing]]:
    """Struts grouped by where they are seen, the nearest of each group first: it hides the others."""
    groups: dict[tuple[int, ...], list[StrutDrawing]] = {}
    for beam in shown.assessment.rig.struts:
        ends = sorted((shown.at(beam.node_a), shown.at(beam.node_b)))
        groups.setdefault(tuple(round(2.0 * x) for end in ends for x in end), []).append(beam)

    def depth(beam: StrutDrawing) -> tuple[float, str]:
        return (
            round(shown.view.depth(shown.node(beam.node_a)) + shown.view.depth(shown.node(beam.node_b)), 6),
            beam.name,
        )

    return [sorted(group, key=depth) for group in groups.values()]


def visible_load_extent(shown: RigView) -> Extent:
    """The load as far as the window shows it, view coordinates, m."""
    whole = load_extent(shown.assessment.load, shown.view)
    window = shown.placed.window
    if window is None:
        return whole
    return Extent(
        max(whole.left, window.left),
        max(whole.bottom, window.bottom),
        min(whole.right, window.right),
        min(whole.top, window.top),
    )
