"""The test files in STL, OBJ, PLY and glTF: the block with polygons for circles, so that it is exact."""

from __future__ import annotations

import json
import struct
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from OCP.BRep import BRep_Tool
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.TopAbs import TopAbs_Orientation, TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS

from solid_files import figures as f
from solid_files import kernel

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]


def block_mesh() -> tuple[Floats, Integers]:
    """Corners in millimetres, each once, and triangles of the block with polygons for circles."""
    shape = kernel.block(f.SIDES)
    BRepMesh_IncrementalMesh(shape, 1.0)
    corners: list[tuple[float, float, float]] = []
    triangles: list[tuple[int, int, int]] = []
    explorer = TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_FACE)
    while explorer.More():
        face = explorer.Current()
        location = TopLoc_Location()
        mesh = BRep_Tool.Triangulation_s(TopoDS.Face(face), location)
        first = len(corners)
        for k in range(1, mesh.NbNodes() + 1):
            node = mesh.Node(k).Transformed(location.Transformation())
            corners.append((node.X(), node.Y(), node.Z()))
        for k in range(1, mesh.NbTriangles() + 1):
            a, b, c = (number + first - 1 for number in mesh.Triangle(k).Get())
            turned = face.Orientation() == TopAbs_Orientation.TopAbs_REVERSED
            triangles.append((a, c, b) if turned else (a, b, c))
        explorer.Next()
    unique, inverse = np.unique(np.round(np.array(corners), 6), axis=0, return_inverse=True)
    return unique, inverse.reshape(-1)[np.array(triangles, dtype=np.int64)]


def write_stl(path: Path) -> None:
    """Binary STL in millimetres."""
    corners, triangles = block_mesh()
    facets = np.zeros(len(triangles), dtype=[("n", "<f4", 3), ("c", "<f4", (3, 3)), ("x", "<u2")])
    facets["c"] = corners[triangles]
    path.write_bytes(
        b"block with bore and boss, mm".ljust(80) + struct.pack("<I", len(triangles)) + facets.tobytes()
    )


def write_obj(path: Path) -> None:
    """OBJ in millimetres, its faces in two groups that close only together."""
    corners, triangles = block_mesh()
    half = len(triangles) // 2
    lines = ["# block with bore and boss, mm", *(f"v {x:.9g} {y:.9g} {z:.9g}" for x, y, z in corners)]
    for name, part in (("block lower", triangles[:half]), ("block upper", triangles[half:])):
        lines += [f"g {name}", "usemtl steel", *(f"f {a + 1} {b + 1} {c + 1}" for a, b, c in part)]
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


def write_ply(path: Path) -> None:
    """Binary PLY in millimetres, the larger byte first."""
    corners, triangles = block_mesh()
    header = (
        f"ply\nformat binary_big_endian 1.0\ncomment mm\nelement vertex {len(corners)}\nproperty double x\n"
        f"property double y\nproperty double z\nelement face {len(triangles)}\n"
        "property list uchar int vertex_indices\nend_header\n"
    )
    faces = b"".join(struct.pack(">B3i", 3, *(int(k) for k in triangle)) for triangle in triangles)
    path.write_bytes(header.encode() + corners.astype(">f8").tobytes() + faces)


def write_glb(path: Path) -> None:
    """GlTF in one file: metres, y up, moved by its node, and a node without a mesh for a lift point."""
    corners, triangles = block_mesh()
    y_up = (corners[:, [0, 2, 1]] * (1.0, 1.0, -1.0) / kernel.MM).astype("<f4")
    indices = triangles.astype("<u2").tobytes()
    indices += b"\0" * (-len(indices) % 4)
    data = indices + y_up.tobytes()
    document = {
        "asset": {"version": "2.0"},
        "scene": 0,
        "scenes": [{"nodes": [0, 1]}],
        "nodes": [
            {"name": "block", "mesh": 0, "translation": [10.0, 0.0, 0.0]},
            {"name": "lug A", "translation": [13.0, 1.7, -1.0]},
        ],
        "meshes": [{"primitives": [{"attributes": {"POSITION": 1}, "indices": 0, "material": 0}]}],
        "materials": [{"name": "steel"}],
        "accessors": [
            {"bufferView": 0, "componentType": 5123, "count": int(triangles.size), "type": "SCALAR"},
            {
                "bufferView": 1, "componentType": 5126, "count": len(corners), "type": "VEC3",
                "min": y_up.min(axis=0).tolist(), "max": y_up.max(axis=0).tolist(),
            },
        ],
        "bufferViews": [
            {"buffer": 0, "byteLength": int(triangles.size) * 2},
            {"buffer": 0, "byteOffset": len(indices), "byteLength": y_up.nbytes},
        ],
        "buffers": [{"byteLength": len(data)}],
    }  # fmt: skip
    text = json.dumps(document, separators=(",", ":")).encode()
    text += b" " * (-len(text) % 4)
    chunks = (
        struct.pack("<II", len(text), 0x4E4F534A) + text + struct.pack("<II", len(data), 0x004E4942) + data
    )
    path.write_bytes(struct.pack("<4sII", b"glTF", 2, 12 + len(chunks)) + chunks)
