"""Shapes of the geometry kernel, in millimetres."""

from __future__ import annotations

import math

from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut, BRepAlgoAPI_Fuse
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakePolygon
from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox, BRepPrimAPI_MakeCylinder, BRepPrimAPI_MakePrism
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt, gp_Vec
from OCP.ShapeUpgrade import ShapeUpgrade_UnifySameDomain
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS_Shape

from solid_files import figures as f

MM = 1000.0


def point(at: f.Point) -> gp_Pnt:
    """A point given in metres."""
    return gp_Pnt(*(MM * value for value in at))


def box(low: f.Point, size: f.Point) -> TopoDS_Shape:
    """A box by its lowest corner and its size in metres."""
    return BRepPrimAPI_MakeBox(point(low), *(MM * value for value in size)).Solid()


def round_bar(foot: f.Point, radius: float, height: float, sides: int | None = None) -> TopoDS_Shape:
    """An upright cylinder, or the prism inscribed in it, by the middle of its foot."""
    if sides is None:
        return BRepPrimAPI_MakeCylinder(
            gp_Ax2(point(foot), gp_Dir(0.0, 0.0, 1.0)), MM * radius, MM * height
        ).Shape()
    rim = BRepBuilderAPI_MakePolygon()
    for k in range(sides):
        angle = 2.0 * math.pi * k / sides
        rim.Add(point((foot[0] + radius * math.cos(angle), foot[1] + radius * math.sin(angle), foot[2])))
    rim.Close()
    face = BRepBuilderAPI_MakeFace(rim.Wire()).Face()
    return BRepPrimAPI_MakePrism(face, gp_Vec(0.0, 0.0, MM * height)).Shape()


def cut(one: TopoDS_Shape, other: TopoDS_Shape) -> TopoDS_Shape:
    """What is left of the one without the other, as one solid."""
    return _solid(BRepAlgoAPI_Cut(one, other).Shape())


def block(sides: int | None = None) -> TopoDS_Shape:
    """The block with bore and boss."""
    high = f.BLOCK[2]
    bore = round_bar((*f.BORE_AT, -0.1), f.BORE_RADIUS, high + 0.2, sides)
    boss = round_bar((*f.BOSS_AT, high), f.BOSS_RADIUS, f.BOSS_HEIGHT, sides)
    return _solid(BRepAlgoAPI_Fuse(cut(box((0.0, 0.0, 0.0), f.BLOCK), bore), boss).Shape())


def deck() -> TopoDS_Shape:
    """The deck with its opening."""
    return cut(box(f.DECK_LOW, f.DECK_SIZE), box(f.HOLE_LOW, f.HOLE_SIZE))


def _solid(shape: TopoDS_Shape) -> TopoDS_Shape:
    unify = ShapeUpgrade_UnifySameDomain(shape)
    unify.Build()
    return TopExp_Explorer(unify.Shape(), TopAbs_ShapeEnum.TopAbs_SOLID).Current()
