"""Forces, lengths and angles of slings and struts in an elevation."""

from __future__ import annotations

import math

from plumbhook.core.units import format_quantity
from plumbhook.documents.arrangement_parts import RigView, same_on_paper, struts_on_paper
from plumbhook.documents.dimensions import angle_of
from plumbhook.documents.drawable import HOOK_NODE
from plumbhook.documents.fonts import Face, text_extent
from plumbhook.documents.numbers import degrees, millimetres
from plumbhook.documents.placement import Label, text_block
from plumbhook.documents.scene import CENTRE_PEN, THIN_PEN, Arc, Item, Layer, Point, line
from plumbhook.documents.sheet import Option
from plumbhook.documents.symbols import along, force_arrow, towards
from plumbhook.planning.assessment import Basis, LineDrawing, Method, StrutDrawing

_CAP = 2.5
_SMALL = 1.8
_PLUMB_RAD = math.radians(0.5)
_ARC_MM = 20.0


def force_t(force_N: float, gravity_m_s2: float) -> str:
    """A force as riggers read it: tonnes of force, two decimals."""
    return format_quantity(force_N / gravity_m_s2, "kg", "t")


def sling_labels(shown: RigView) -> list[Label]:
    """Tension of each line seen, and its length, in the elevation that shows it best."""
    if shown.is_plan:
        return []
    labels: list[Label] = []
    lengths: dict[str, Label] = {}
    for group in same_on_paper(shown, [part for part in shown.assessment.rig.lines if _belongs(shown, part)]):
        worst = max(group, key=lambda part: part.tension_N)
        labels.append(_tension(shown, worst))
        length = _length_text(shown, worst)
        if worst.angle_from_vertical_rad > _PLUMB_RAD:
            # Legs of one length: said once, on the last of them.
            lengths[length] = _along_leg(shown, worst, (length,), Face.REGULAR, outside=False)
    return [*labels, *lengths.values()]


def _belongs(shown: RigView, part: LineDrawing) -> bool:
    """True where no other elevation shows the line longer; the leading one is preferred."""
    a, b = shown.node(part.upper_node), shown.node(part.lower_node)
    seen = shown.view.true_ratio(a, b)
    horizontal = (b[0] - a[0]) * shown.view.right[0] + (b[1] - a[1]) * shown.view.right[1]
    across = math.hypot(b[0] - a[0], b[1] - a[1]) ** 2 - horizontal**2
    other = math.sqrt(max(across, 0.0) + (b[2] - a[2]) ** 2) / math.dist(a, b)
    return seen >= other - 1e-6 if shown.view.letter == "A" else seen > other + 1e-6


def _length_text(shown: RigView, part: LineDrawing) -> str:
    text = millimetres(part.length_m)
    if shown.is_true(part.upper_node, part.lower_node):
        return text
    return f"{text} true, {degrees(part.angle_from_vertical_rad, 1)} from vertical"


def _tension(shown: RigView, part: LineDrawing) -> Label:
    text = f"{part.name}  {force_t(part.tension_N, shown.assessment.gravity_m_s2)}"
    if part.role == "lower" and part.angle_from_vertical_rad <= _PLUMB_RAD:
        return _beside_plumb(shown, part, text)
    return _along_leg(shown, part, (text,), Face.SEMIBOLD, outside=True)


def _beside_plumb(shown: RigView, part: LineDrawing, text: str) -> Label:
    """A plumb sling: level text with an arrow, down, as the load pulls on the rig."""
    a, b = shown.at(part.upper_node), shown.at(part.lower_node)
    width = text_extent(text, Face.SEMIBOLD, _CAP).width
    arrow = min(8.0, 0.6 * abs(b[1] - a[1]))
    outward = 1.0 if a[0] >= shown.placed.paper((0.0, 0.0, 0.0))[0] else -1.0
    options: list[Option] = []
    for side in (outward, -outward):
        for share in (0.5, 0.35, 0.65, 0.2, 0.8):
            x, y = a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])
            if arrow >= 4.0:
                tail = (x + side * 3.0, y - arrow / 2.0)
                words = text_block((text,), (x + side * (4.4 + width / 2.0), y), Face.SEMIBOLD, _CAP)
                options.append((*words, *force_arrow(tail, (tail[0], tail[1] + arrow))))
            options.append(text_block((text,), (x + side * (2.0 + width / 2.0), y), Face.SEMIBOLD, _CAP))
    return Label((text,), tuple(options), _points_on(a, b), Face.SEMIBOLD, _CAP)


def _along_leg(
    shown: RigView, part: LineDrawing, lines: tuple[str, ...], face: Face, *, outside: bool
) -> Label:
    """Text parallel to a leg, on its outer or inner side first."""
    a, b = shown.at(part.upper_node), shown.at(part.lower_node)
    u, n, length = towards(a, b)
    centre = shown.at(HOOK_NODE)[0]
    outer = 1.0 if (n[0] > 0.0) == ((a[0] + b[0]) / 2.0 >= centre) else -1.0
    if abs(a[0] - b[0]) < 0.3:
        outer = 1.0 if n[0] > 0.0 else -1.0
    first = outer if outside else -outer
    width = max(text_extent(words, face, _CAP).width for words in lines)
    options: list[Option] = []
    if width + 4.0 <= length:
        for side in (first, -first):
            for share in (0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74):
                if width / 2.0 + 2.0 <= min(share, 1.0 - share) * length:
                    middle = along(a, u, share * length, n, side * (0.9 + 1.0 + _CAP / 2.0))
                    options.append(text_block(lines, middle, face, _CAP, angle_deg=angle_of(a, b)))
    return Label(lines, tuple(options), _points_on(a, b), face, _CAP)


def _points_on(a: Point, b: Point) -> tuple[Point, ...]:
    """Where a leader may end on a straight thing, its middle first."""
    return tuple(
        (a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]))
        for t in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9)
    )


def angle_labels(shown: RigView) -> tuple[list[Item], list[Label]]:
    """Angle from the vertical of each leg seen in true length: an arc at its upper end and the text in it."""
    items: list[Item] = []
    labels: list[Label] = []
    if shown.is_plan:
        return items, labels
    for group in same_on_paper(
        shown,
        [part for part in shown.assessment.rig.lines if part.role != "lower" or part.upper_node == HOOK_NODE],
    ):
        part = group[0]
        if part.angle_from_vertical_rad <= _PLUMB_RAD or not shown.is_true(part.upper_node, part.lower_node):
            continue
        a, b = shown.at(part.upper_node), shown.at(part.lower_node)
        radius = min(_ARC_MM, 0.5 * math.dist(a, b))
        angle = math.degrees(part.angle_from_vertical_rad)
        sign = 1.0 if b[0] > a[0] else -1.0
        begin, end = (-90.0, -90.0 + angle) if sign > 0.0 else (-90.0 - angle, -90.0)
        items.append(Arc(a, radius, begin, end, THIN_PEN, Layer.DIMENSION))
        if abs(a[0] - shown.at(HOOK_NODE)[0]) > 0.3:
            items.append(line(a, (a[0], a[1] + radius + 2.0), CENTRE_PEN, Layer.CENTRE))
        labels.append(
            _angle_text(
                a, radius, math.radians(-90.0 + sign * angle / 2.0), degrees(part.angle_from_vertical_rad, 1)
            )
        )
    return items, labels


def _angle_text(apex: Point, radius: float, direction: float, text: str) -> Label:
    options = []
    for extra in (2.6, 4.5, 7.0, -2.6, 10.0):
        r = radius + extra
        options.append(
            text_block(
                (text,),
                (apex[0] + r * math.cos(direction), apex[1] - r * math.sin(direction)),
                Face.REGULAR,
                _CAP,
            )
        )
    anchors = tuple(
        (apex[0] + r * math.cos(direction), apex[1] - r * math.sin(direction))
        for r in (radius, 0.6 * radius, 0.8 * radius)
    )
    return Label((text,), tuple(options), anchors, cap_height_mm=_CAP)


def strut_labels(shown: RigView) -> list[Label]:
    """Name and compression of each strut seen in true length, and the names of its pieces."""
    if shown.is_plan:
        return []
    labels: list[Label] = []
    for group in struts_on_paper(shown):
        if shown.is_true(group[0].node_a, group[0].node_b):
            labels.append(_compression(shown, group))
            labels.extend(_piece_names(shown, group[0]))
    return labels


def _compression(shown: RigView, group: list[StrutDrawing]) -> Label:
    """Compression with arrows at both sides that push on the strut; the largest of struts that hide one another."""
    strut = group[0]
    force = format_quantity(max(s.compression_N for s in group), "N", "kN")
    names = ", ".join(s.name for s in group[:3])
    text = f"{names}  N {'=' if len(group) == 1 else '≤'} {force}"
    a, b = shown.at(strut.node_a), shown.at(strut.node_b)
    u, n, length = towards(a, b)
    width = text_extent(text, Face.SEMIBOLD, _CAP).width
    clear = strut.outside_diameter_m * shown.placed.mm_per_m * 0.8 + 1.4 + _CAP / 2.0
    below = -1.0 if n[1] < 0.0 else 1.0
    options: list[Option] = []
    for off in (below * (clear + 0.6), -below * (clear + 0.6), below * (clear + 3.0)):
        for share in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8):
            middle = along(a, u, share * length, n, off)
            words = text_block((text,), middle, Face.SEMIBOLD, _CAP, angle_deg=angle_of(a, b))
            if width + 22.0 <= length:
                arrows: list[Item] = []
                for sign in (-1.0, 1.0):
                    tip = along(middle, u, sign * (width / 2.0 + 1.8))
                    arrows.extend(force_arrow(along(tip, u, sign * 7.5), tip))
                options.append((*words, *arrows))
    for off in (below * (clear + 0.6), -below * (clear + 0.6)):
        for share in (0.5, 0.4, 0.6, 0.3, 0.7):
            middle = along(a, u, share * length, n, off)
            options.append(text_block((text,), middle, Face.SEMIBOLD, _CAP, angle_deg=angle_of(a, b)))
    return Label((text,), tuple(options), _points_on(a, b), Face.SEMIBOLD, _CAP)


def _piece_names(shown: RigView, strut: StrutDrawing) -> list[Label]:
    a, b = shown.at(strut.node_a), shown.at(strut.node_b)
    u, n, length = towards(a, b)
    half = strut.outside_diameter_m * shown.placed.mm_per_m / 2.0
    labels = []
    for piece in strut.pieces:
        if piece.is_fitting or not piece.label:
            continue
        middle = along(a, u, (piece.start_m + piece.end_m) / 2.0 / strut.span_m * length)
        options = [text_block((piece.label,), middle, Face.SEMIBOLD, _SMALL, angle_deg=angle_of(a, b))]
        for off in (1.0, -1.0):
            shifted = along(middle, n, off * (half * 1.55 + 0.9 + _SMALL / 2.0))
            options.append(
                text_block((piece.label,), shifted, Face.SEMIBOLD, _SMALL, angle_deg=angle_of(a, b))
            )
        ends = [along(a, u, s / strut.span_m * length) for s in (piece.start_m, piece.end_m)]
        labels.append(
            Label((piece.label,), tuple(options), _points_on(ends[0], ends[1]), Face.SEMIBOLD, _SMALL)
        )
    return labels


def hook_label(shown: RigView) -> list[Label]:
    """The pull at the top of the slings, up, as the hook pulls on the rig."""
    if shown.view.letter != "A":
        return []
    cases = [c for c in shown.assessment.cases if c.basis is Basis.DESIGN and c.case.startswith("expected")]
    best = next(
        (c for m in (Method.ELASTIC, Method.RIGID, Method.HAND) for c in cases if c.method is m), None
    )
    if best is None or not math.isfinite(best.hook_load_N):
        return []
    text = force_t(best.hook_load_N, shown.assessment.gravity_m_s2)
    x, y = shown.at(HOOK_NODE)
    width = text_extent(text, Face.SEMIBOLD, _CAP).width
    options: list[Option] = []
    for side in (-1.0, 1.0):
        for dx, dy in ((5.0, -2.0), (5.0, 4.0), (8.0, -2.0), (5.0, -8.0), (12.0, -2.0)):
            tail = (x + side * dx, y + dy + 5.0)
            words = text_block(
                (text,), (x + side * (dx + 1.6 + width / 2.0), y + dy + 1.0), Face.SEMIBOLD, _CAP
            )
            options.append((*words, *force_arrow(tail, (tail[0], tail[1] - 8.0))))
    return [Label((text,), tuple(options), ((x, y), (x, y - 1.5), (x, y + 2.0)), Face.SEMIBOLD, _CAP)]
