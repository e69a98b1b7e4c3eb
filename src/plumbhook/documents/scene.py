"""A drawing as a scene: two-dimensional primitives in paper millimetres, and nothing of any output format.

x runs to the right and y downwards from the top left corner of the scene, as on a sheet that is being read. Angles of
text are in degrees, positive anticlockwise as read. Line widths follow the 0.5 mm group of ISO 128.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

from plumbhook.documents.fonts import Face, text_extent

Point = tuple[float, float]


class Layer(Enum):
    """What a primitive belongs to; writers may map it to a layer of their format."""

    FRAME = "frame"
    LOAD = "load"
    RIG = "rig"
    GEAR = "gear"
    GHOST = "ghost"
    CENTRE = "centre"
    DIMENSION = "dimension"
    FORCE = "force"
    LEADER = "leader"
    BALLOON = "balloon"
    LABEL = "label"
    CHART = "chart"
    GROUND = "ground"


class Fill(Enum):
    """Fill of a closed outline. Nothing is lighter than ``PALE``: it would vanish on a site printer."""

    NONE = "none"
    WHITE = "white"
    PALE = "pale"
    GREY = "grey"
    DARK = "dark"
    BLACK = "black"


HIDDEN = (2.4, 1.0)
CHAIN = (6.0, 1.0, 0.8, 1.0)
DOUBLE_DOT = (5.0, 1.0, 0.8, 1.0, 0.8, 1.0)


@dataclass(frozen=True, slots=True)
class Pen:
    """Line width in mm and dash pattern (lengths of stroke and gap in mm; empty for a continuous line)."""

    width_mm: float
    dash: tuple[float, ...] = ()


NO_PEN = Pen(0.0)
FRAME_PEN = Pen(0.7)
RIG_PEN = Pen(0.5)
FORCE_PEN = Pen(0.5)
LOAD_PEN = Pen(0.35)
SLING_PEN = Pen(0.35)
BALLOON_PEN = Pen(0.35)
THIN_PEN = Pen(0.25)
LEADER_PEN = Pen(0.25)
EXTENSION_PEN = Pen(0.18)
HATCH_PEN = Pen(0.13)
CENTRE_PEN = Pen(0.25, CHAIN)
HIDDEN_PEN = Pen(0.25, HIDDEN)
GHOST_PEN = Pen(0.18, DOUBLE_DOT)
COG_BOX_PEN = Pen(0.35, (1.2, 0.6))


@dataclass(frozen=True, slots=True)
class Polyline:
    """A line, an open polyline or a closed polygon."""

    points: tuple[Point, ...]
    pen: Pen
    layer: Layer
    closed: bool = False
    fill: Fill = Fill.NONE
    owner: str = ""


@dataclass(frozen=True, slots=True)
class Circle:
    """A full circle."""

    centre: Point
    radius: float
    pen: Pen
    layer: Layer
    fill: Fill = Fill.NONE
    owner: str = ""


@dataclass(frozen=True, slots=True)
class Arc:
    """A circular arc from ``start_deg`` to ``end_deg``, anticlockwise as read, 0 to the right."""

    centre: Point
    radius: float
    start_deg: float
    end_deg: float
    pen: Pen
    layer: Layer
    owner: str = ""

    def points(self, count: int = 25) -> tuple[Point, ...]:
        """The arc as a polyline of ``count`` points."""
        step = (self.end_deg - self.start_deg) / (count - 1)
        angles = (math.radians(self.start_deg + step * i) for i in range(count))
        cx, cy = self.centre
        return tuple((cx + self.radius * math.cos(a), cy - self.radius * math.sin(a)) for a in angles)


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text; ``at`` is on the baseline at its start, middle or end. The knock-out hides what is behind."""

    at: Point
    text: str
    face: Face = Face.REGULAR
    cap_height_mm: float = 1.8
    anchor: str = "start"
    angle_deg: float = 0.0
    layer: Layer = Layer.LABEL
    knock_out: Fill = Fill.WHITE
    owner: str = ""

    def box(self, margin: float = 0.0) -> tuple[Point, Point, Point, Point]:
        """Corners of the measured box, grown by ``margin`` mm on every side, turned with the text."""
        extent = text_extent(self.text, self.face, self.cap_height_mm)
        shift = {"start": 0.0, "middle": -extent.width / 2.0, "end": -extent.width}[self.anchor]
        left, right = shift - margin, shift + extent.width + margin
        top, bottom = -extent.top - margin, extent.bottom + margin
        turn = math.radians(self.angle_deg)
        cos, sin = math.cos(turn), math.sin(turn)
        x0, y0 = self.at

        def place(x: float, y: float) -> Point:
            return (x0 + x * cos + y * sin, y0 - x * sin + y * cos)

        return (place(left, top), place(right, top), place(right, bottom), place(left, bottom))


@dataclass(frozen=True, slots=True)
class Arrowhead:
    """A filled head with its tip at ``tip``; it points along ``direction_deg``. Only forces have heads."""

    tip: Point
    direction_deg: float
    length: float = 3.0
    layer: Layer = Layer.FORCE
    owner: str = ""

    def points(self) -> tuple[Point, Point, Point]:
        """Tip and the two barbs; the head is three times as long as wide."""
        turn = math.radians(self.direction_deg)
        back = (-math.cos(turn) * self.length, math.sin(turn) * self.length)
        half = self.length / 6.0
        side = (-math.sin(turn) * half, -math.cos(turn) * half)
        x, y = self.tip
        return (
            (x, y),
            (x + back[0] + side[0], y + back[1] + side[1]),
            (x + back[0] - side[0], y + back[1] - side[1]),
        )


@dataclass(frozen=True, slots=True)
class ObliqueStroke:
    """The short stroke at 45 degrees that ends a dimension line. Only lengths have strokes."""

    at: Point
    line_deg: float
    length: float = 2.8
    pen: Pen = RIG_PEN
    layer: Layer = Layer.DIMENSION
    owner: str = ""

    def points(self) -> tuple[Point, Point]:
        """Both ends of the stroke."""
        turn = math.radians(self.line_deg + 45.0)
        dx, dy = math.cos(turn) * self.length / 2.0, -math.sin(turn) * self.length / 2.0
        x, y = self.at
        return ((x - dx, y - dy), (x + dx, y + dy))


Item = Polyline | Circle | Arc | Text | Arrowhead | ObliqueStroke


@dataclass(frozen=True, slots=True)
class Scene:
    """A finished drawing: size in paper mm and its primitives in painting order (later ones cover earlier ones)."""

    width_mm: float
    height_mm: float
    title: str
    items: tuple[Item, ...]
    description: str = ""
    scale: float | None = None


def line(a: Point, b: Point, pen: Pen, layer: Layer, owner: str = "") -> Polyline:
    """A straight line."""
    return Polyline((a, b), pen, layer, owner=owner)


def rectangle(
    x: float, y: float, width: float, height: float, pen: Pen, layer: Layer, fill: Fill = Fill.NONE
) -> Polyline:
    """An upright rectangle by its upper left corner."""
    corners = ((x, y), (x + width, y), (x + width, y + height), (x, y + height))
    return Polyline(corners, pen, layer, closed=True, fill=fill)
