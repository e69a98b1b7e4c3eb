"""Writer of a scene as SVG: text stays text, one unit is one millimetre of paper."""

from __future__ import annotations

import base64
from functools import cache
from xml.sax.saxutils import escape, quoteattr

from plumbhook.core.errors import PlumbhookError
from plumbhook.documents.fonts import FAMILY, Face, em_mm, font_file, printable
from plumbhook.documents.overlap import find_overlaps
from plumbhook.documents.scene import (
    Arc,
    Arrowhead,
    Circle,
    Fill,
    Item,
    ObliqueStroke,
    Pen,
    Point,
    Polyline,
    Scene,
    Text,
)

_FILLS = {
    Fill.NONE: "none",
    Fill.WHITE: "#ffffff",
    Fill.PALE: "#f2f2f2",
    Fill.GREY: "#e6e6e6",
    Fill.DARK: "#404040",
    Fill.BLACK: "#000000",
}
_KNOCK_OUT_MARGIN_MM = 0.35


class DrawingError(PlumbhookError):
    """A drawing whose texts would touch something must not be printed."""


def scene_to_svg(scene: Scene, *, embed_fonts: bool = False, check: bool = True) -> str:
    """``scene`` as an SVG document, ``width`` and ``height`` in mm.

    Args:
        scene: the drawing.
        embed_fonts: put the cuts that are used into the file, so that any viewer shows the right face.
        check: refuse a scene in which a text touches something (the rule of :func:`find_overlaps`).

    Raises:
        DrawingError: a text touches another item or leaves the sheet.
    """
    if check and (hits := find_overlaps(scene)):
        raise DrawingError(
            f"the drawing '{scene.title}' is not legible: " + "; ".join(str(hit) for hit in hits[:5])
        )
    size = f'width="{_n(scene.width_mm)}mm" height="{_n(scene.height_mm)}mm"'
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" {size} viewBox="0 0 {_n(scene.width_mm)} {_n(scene.height_mm)}" '
        f'stroke-linecap="butt" stroke-linejoin="round" fill="none" role="img">',
        f"<title>{escape(printable(scene.title))}</title>",
    ]
    if scene.description:
        parts.append(f"<desc>{escape(printable(scene.description))}</desc>")
    if embed_fonts:
        faces = {item.face for item in scene.items if isinstance(item, Text)}
        parts.append(f"<style>{''.join(_font_rule(face) for face in Face if face in faces)}</style>")
        parts.append('<rect width="100%" height="100%" fill="#ffffff"/>')
    parts.extend(_element(item) for item in scene.items)
    parts.append("</svg>\n")
    return "\n".join(parts)


@cache
def _font_rule(face: Face) -> str:
    data = base64.b64encode(font_file(face).read_bytes()).decode("ascii")
    style = "italic" if face.italic else "normal"
    return (
        f'@font-face{{font-family:"{FAMILY}";font-weight:{face.weight};font-style:{style};'
        f'src:url("data:font/ttf;base64,{data}") format("truetype")}}'
    )


def _element(item: Item) -> str:
    match item:
        case Text():
            return _text(item)
        case Circle():
            x, y = item.centre
            shape = f'<circle cx="{_n(x)}" cy="{_n(y)}" r="{_n(item.radius)}"'
            return f"{shape} {_paint(item.pen, item.fill)} {_data(item)}/>"
        case Arc():
            return _path(item.points(), item.pen, Fill.NONE, False, _data(item))
        case Arrowhead():
            return _path(item.points(), Pen(0.0), Fill.BLACK, True, _data(item))
        case ObliqueStroke():
            return _path(item.points(), item.pen, Fill.NONE, False, _data(item))
        case Polyline():
            return _path(item.points, item.pen, item.fill, item.closed, _data(item))


def _path(points: tuple[Point, ...], pen: Pen, fill: Fill, closed: bool, data: str) -> str:
    way = "M" + " L".join(f"{_n(x)},{_n(y)}" for x, y in points) + (" Z" if closed else "")
    return f'<path d="{way}" {_paint(pen, fill)} {data}/>'


def _text(item: Text) -> str:
    font_size = em_mm(item.face, item.cap_height_mm)
    x, y = item.at
    turn = f' transform="rotate({_n(-item.angle_deg)} {_n(x)} {_n(y)})"' if item.angle_deg else ""
    style = ' font-style="italic"' if item.face.italic else ""
    font = f'font-family="{FAMILY}" font-weight="{item.face.weight}"{style} font-size="{_n(font_size)}"'
    place = f'x="{_n(x)}" y="{_n(y)}" text-anchor="{item.anchor}"{turn}'
    element = f'<text {place} {font} fill="#000000" {_data(item)}>{escape(item.text)}</text>'
    if item.knock_out is Fill.NONE:
        return element
    corners = " ".join(f"{_n(px)},{_n(py)}" for px, py in item.box(_KNOCK_OUT_MARGIN_MM))
    return f'<polygon points="{corners}" fill="{_FILLS[item.knock_out]}"/>\n{element}'


def _paint(pen: Pen, fill: Fill) -> str:
    stroke = f'stroke="#000000" stroke-width="{_n(pen.width_mm)}"' if pen.width_mm > 0.0 else 'stroke="none"'
    dash = f' stroke-dasharray="{" ".join(_n(part) for part in pen.dash)}"' if pen.dash else ""
    return f'fill="{_FILLS[fill]}" {stroke}{dash}'


def _data(item: Item) -> str:
    owner = f" data-owner={quoteattr(printable(item.owner))}" if item.owner else ""
    return f'class="{item.layer.value}"{owner}'


def _n(number: float) -> str:
    text = f"{number:.4f}".rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text
