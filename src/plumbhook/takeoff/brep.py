"""Solids of the geometry kernel: exact mass properties from their faces, checked by a second method.

The kernel integrates over the faces as they are (planes, cylinders, free-form); the facets that it lays over them
give the volume again. Where the two disagree, or the facets do not close, the solid is refused.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np
from OCP.Bnd import Bnd_Box
from OCP.BRep import BRep_Tool
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.GProp import GProp_GProps
from OCP.TopAbs import TopAbs_Orientation, TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS, TopoDS_Shape

from plumbhook.model.mass_properties import Floats, Integers, MassProperties, Vector, matrix
from plumbhook.model.mesh_surface import edges_of, welded

_FACET_SAG = 1e-3  # of the size of the solid
_FACET_ANGLE_RAD = 0.2
# The facets lie inside round faces: their volume may differ by this much, for instance for thin round rods.
_SECOND_METHOD = 0.03


class NotASolidError(Exception):
    """Why a shape is refused: one clause for the list of what was left out."""


@dataclass(frozen=True, slots=True)
class ExactSolid:
    """A solid of the kernel.

    Attributes:
        shape: its mass properties.
        vertices_m: corners of its facets.
        triangles: its facets, outside counter-clockwise.
        remarks: what is strange about it.
    """

    shape: MassProperties
    vertices_m: Floats
    triangles: Integers
    remarks: tuple[str, ...]


def exact_solid(solid: TopoDS_Shape, unit_m: float) -> ExactSolid:
    """Mass properties and facets of a solid.

    Args:
        solid: the solid where it is.
        unit_m: metres per unit of its coordinates.

    Raises:
        NotASolidError: it has no volume, or its volume is not certain.
    """
    shape, turned = _properties(solid, unit_m)
    size_m = float(max(np.subtract(shape.high_m, shape.low_m)))
    vertices, triangles = _facets(solid, unit_m, size_m)
    by_facets = _facet_volume(vertices, triangles)
    closed = edges_of(triangles).is_closed
    if not closed or abs(by_facets - shape.volume_m3) > _SECOND_METHOD * shape.volume_m3:
        raise NotASolidError(
            f"its volume is not certain: {shape.volume_m3:.5g} m³ by its faces, {by_facets:.5g} m³ by facets"
            f"{'' if closed else ' that do not close'}; heal it in the program that made it"
        )
    remarks = []
    if turned:
        remarks.append("the solid was inside out and was turned round")
        triangles = triangles[:, ::-1]
    if not BRepCheck_Analyzer(solid).IsValid():
        remarks.append("the kernel finds faults in its faces, but volume by faces and by facets agree")
    return ExactSolid(shape, vertices, triangles, tuple(remarks))


def parts_of(
    shape: TopoDS_Shape, kind: TopAbs_ShapeEnum, outside: TopAbs_ShapeEnum = TopAbs_ShapeEnum.TopAbs_SHAPE
) -> Iterator[TopoDS_Shape]:
    """Every part of a kind, leaving out those that belong to a larger part of the kind ``outside``."""
    explorer = TopExp_Explorer(shape, kind, outside)
    while explorer.More():
        yield explorer.Current()
        explorer.Next()


def _properties(solid: TopoDS_Shape, unit_m: float) -> tuple[MassProperties, bool]:
    """Exact properties in metres, and whether the solid was inside out."""
    found = GProp_GProps()
    BRepGProp.VolumeProperties_s(solid, found)
    volume = found.Mass()
    if not np.isfinite(volume) or volume == 0.0:
        raise NotASolidError("it encloses no volume; check it and export it again")
    sign = -1.0 if volume < 0.0 else 1.0
    centre = found.CentreOfMass()
    inertia = found.MatrixOfInertia()
    rows = [[inertia.Value(i, j) * sign * unit_m**5 for j in (1, 2, 3)] for i in (1, 2, 3)]
    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(solid, box, False, False)
    low, high = box.CornerMin(), box.CornerMax()
    return (
        MassProperties(
            sign * volume * unit_m**3,
            metres(centre, unit_m),
            matrix(rows),
            metres(low, unit_m),
            metres(high, unit_m),
        ),
        sign < 0.0,
    )


def metres(point: Any, unit_m: float) -> Vector:  # noqa: ANN401 - a point of the kernel
    """A point of the kernel in metres."""
    return (point.X() * unit_m, point.Y() * unit_m, point.Z() * unit_m)


def _facets(solid: TopoDS_Shape, unit_m: float, size_m: float) -> tuple[Floats, Integers]:
    """Facets of a solid: corners in metres and triangles."""
    BRepMesh_IncrementalMesh(solid, _FACET_SAG * size_m / unit_m, False, _FACET_ANGLE_RAD, False)
    corners: list[Floats] = []
    triangles: list[Integers] = []
    count = 0
    for face in parts_of(solid, TopAbs_ShapeEnum.TopAbs_FACE):
        location = TopLoc_Location()
        mesh = BRep_Tool.Triangulation_s(TopoDS.Face(face), location)
        if mesh is None:
            continue
        move = location.Transformation()
        nodes = [mesh.Node(k).Transformed(move) for k in range(1, mesh.NbNodes() + 1)]
        three = np.array([mesh.Triangle(k).Get() for k in range(1, mesh.NbTriangles() + 1)], dtype=np.int64)
        if face.Orientation() == TopAbs_Orientation.TopAbs_REVERSED:
            three = three[:, ::-1]
        corners.append(np.array([(p.X(), p.Y(), p.Z()) for p in nodes]) * unit_m)
        triangles.append(three.reshape(-1, 3) - 1 + count)
        count += len(nodes)
    if not corners:
        return np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64)
    return welded(np.concatenate(corners), np.concatenate(triangles), 1e-7 * size_m)


def _facet_volume(vertices: Floats, triangles: Integers) -> float:
    if len(triangles) == 0:
        return 0.0
    a, b, c = (vertices[triangles[:, k]] - vertices.mean(axis=0) for k in range(3))
    return abs(float(np.einsum("ij,ij->", a, np.cross(b, c))) / 6.0)
