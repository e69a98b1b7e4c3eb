"""Reader of glTF 2.0 (ISO/IEC 12113), as one file: meshes at their nodes, and nodes without a mesh as points.

The standard fixes the unit (metres) and the axes (y up); here z is up, so (x, y, z) becomes (x, -z, y). Nothing
outside the file is ever opened: files that point elsewhere are refused.
"""

from __future__ import annotations

import base64
import binascii
import json
import struct
from collections.abc import Mapping
from typing import Any

import numpy as np

from plumbhook.model.mass_properties import Floats, Integers, vector
from plumbhook.model.mesh_bodies import MeshPiece, bodies_of
from plumbhook.model.solids import NamedPoint, SolidModel
from plumbhook.takeoff.formats import Format
from plumbhook.takeoff.reading import FileRefusedError, Order, model_of_bodies

_JSON_CHUNK, _BINARY_CHUNK = 0x4E4F534A, 0x004E4942
_COMPONENTS = {5120: "<i1", 5121: "<u1", 5122: "<i2", 5123: "<u2", 5125: "<u4", 5126: "<f4"}
_WIDTHS = {"SCALAR": 1, "VEC2": 2, "VEC3": 3, "VEC4": 4}
_TRIANGLES, _STRIP, _FAN = 4, 5, 6
_DEEPEST, _MOST_NODES = 200, 100_000
_Z_UP = np.array([[1.0, 0.0, 0.0, 0.0], [0.0, 0.0, -1.0, 0.0], [0.0, 1.0, 0.0, 0.0], [0.0, 0.0, 0.0, 1.0]])
# Extensions that change only the looks.
_LOOKS_ONLY = ("KHR_materials_", "KHR_texture_", "KHR_lights_", "KHR_xmp", "EXT_texture_", "KHR_animation_")


def read(order: Order) -> SolidModel:
    """Read a ``.glb`` or a ``.gltf`` with everything inside it.

    Raises:
        FileRefusedError: it is damaged, points to other files, or needs an extension that is not known.
    """
    document, binary = _document(order.path.read_bytes())
    walk = _Walk(document, _buffers(document, binary))
    for root in walk.roots():
        walk.node(root, _Z_UP, 0)
    if not walk.pieces:
        raise FileRefusedError("the glTF has no triangles: the mesh is empty; export the model again")
    found = bodies_of(walk.pieces, whole_pieces=False)
    return model_of_bodies(
        found,
        Format.GLTF,
        unit="metre, as the glTF 2.0 standard says",
        axes="y is up in glTF and was turned to z up: (x, y, z) became (x, -z, y)",
        points=tuple(walk.points),
    )


def _document(data: bytes) -> tuple[Mapping[str, Any], bytes | None]:
    text, binary = data, None
    if data[:4] == b"glTF":
        version, length = struct.unpack_from("<II", data, 4)
        if version != 2 or length != len(data):
            raise FileRefusedError(
                "the glTF is not of version 2, or is cut short; export it again as glTF 2.0"
            )
        text, binary = b"", None
        at = 12
        while at + 8 <= len(data):
            size, kind = struct.unpack_from("<II", data, at)
            chunk = data[at + 8 : at + 8 + size]
            if len(chunk) != size:
                raise FileRefusedError("the glTF is cut short; export it again")
            if kind == _JSON_CHUNK and not text:
                text = chunk
            elif kind == _BINARY_CHUNK and binary is None:
                binary = chunk
            at += 8 + size + (-size) % 4
    try:
        document = json.loads(text.decode("utf-8-sig"))
    except ValueError:
        raise FileRefusedError("the glTF is damaged: its description is no JSON; export it again") from None
    if not isinstance(document, dict) or not str(document.get("asset", {}).get("version", "")).startswith(
        "2"
    ):
        raise FileRefusedError("this is no glTF of version 2; export it again as glTF 2.0")
    unknown = [
        name for name in document.get("extensionsRequired", []) if not str(name).startswith(_LOOKS_ONLY)
    ]
    if unknown:
        raise FileRefusedError(
            f"the glTF needs {', '.join(map(str, unknown))[:80]}, which is not read; export it without compression or "
            "extensions"
        )
    return document, binary


def _buffers(document: Mapping[str, Any], binary: bytes | None) -> list[bytes]:
    for kind in ("buffers", "images"):
        for one in document.get(kind, []):
            uri = one.get("uri")
            if uri is not None and not str(uri).startswith("data:"):
                raise FileRefusedError(
                    f'the glTF points to another file ("{str(uri)[:60]}"), which is not opened; export it as one .glb'
                )
    buffers = []
    for position, one in enumerate(document.get("buffers", [])):
        uri = one.get("uri")
        if uri is None and position == 0 and binary is not None:
            buffers.append(binary)
            continue
        try:
            buffers.append(base64.b64decode(str(uri).partition(",")[2], validate=True))
        except binascii.Error:
            raise FileRefusedError("the data inside the glTF are damaged; export it again") from None
    return buffers


class _Walk:
    """One pass over the nodes of the scene."""

    def __init__(self, document: Mapping[str, Any], buffers: list[bytes]) -> None:
        self._document = document
        self._buffers = buffers
        self._seen = 0
        self.pieces: list[MeshPiece] = []
        self.points: list[NamedPoint] = []

    def roots(self) -> list[int]:
        """Nodes at the top of the scene."""
        scenes = self._document.get("scenes", [])
        if scenes:
            return list(scenes[self._document.get("scene", 0)].get("nodes", []))
        children = {child for node in self._document.get("nodes", []) for child in node.get("children", [])}
        return [k for k in range(len(self._document.get("nodes", []))) if k not in children]

    def node(self, number: int, above: Floats, depth: int) -> None:
        """Take a node and those below it."""
        self._seen += 1
        if depth > _DEEPEST or self._seen > _MOST_NODES:
            raise FileRefusedError("the nodes of the glTF are nested without end; export it again")
        node = self._document["nodes"][number]
        here = above @ _matrix(node)
        name = str(node.get("name", "")).strip()
        if "mesh" in node:
            self._mesh(self._document["meshes"][node["mesh"]], name, here)
        elif name and not node.get("children") and not {"camera", "skin"} & set(node):
            self.points.append(NamedPoint(name, vector(here[:3, 3]), "node"))
        for child in node.get("children", []):
            self.node(child, here, depth + 1)

    def _mesh(self, mesh: Mapping[str, Any], name: str, here: Floats) -> None:
        label = name or str(mesh.get("name", "")).strip() or f"mesh {len(self.pieces) + 1}"
        mirrored = np.linalg.det(here[:3, :3]) < 0.0
        for primitive in mesh.get("primitives", []):
            mode = primitive.get("mode", _TRIANGLES)
            if mode not in (_TRIANGLES, _STRIP, _FAN):
                continue
            corners = self._accessor(primitive["attributes"]["POSITION"]).astype(np.float64)
            if "indices" in primitive:
                indices = self._accessor(primitive["indices"]).astype(np.int64).reshape(-1)
            else:
                indices = np.arange(len(corners), dtype=np.int64)
            triangles = _triangles(indices, mode)
            if len(triangles) and triangles.max() >= len(corners):
                raise FileRefusedError("a face of the glTF names a corner that is not there; export it again")
            if mirrored:
                triangles = triangles[:, ::-1]
            placed = corners @ here[:3, :3].T + here[:3, 3]
            self.pieces.append(MeshPiece(label, placed, triangles, self._material(primitive)))

    def _material(self, primitive: Mapping[str, Any]) -> str:
        if "material" not in primitive:
            return ""
        return str(self._document["materials"][primitive["material"]].get("name", "")).strip()

    def _accessor(self, number: int) -> np.ndarray[Any, np.dtype[Any]]:
        accessor = self._document["accessors"][number]
        if "sparse" in accessor or "bufferView" not in accessor:
            raise FileRefusedError(
                "the glTF has sparse data, which are not read; export it again without them"
            )
        view = self._document["bufferViews"][accessor["bufferView"]]
        data = self._buffers[view["buffer"]]
        dtype = np.dtype(_COMPONENTS[accessor["componentType"]])
        width, count = _WIDTHS[accessor["type"]], int(accessor["count"])
        start = int(view.get("byteOffset", 0)) + int(accessor.get("byteOffset", 0))
        stride = int(view.get("byteStride", 0)) or dtype.itemsize * width
        last = start + stride * (count - 1) + dtype.itemsize * width
        if count < 1 or start < 0 or stride < dtype.itemsize * width or last > len(data):
            raise FileRefusedError("the data inside the glTF are cut short; export it again")
        return np.ndarray((count, width), dtype, data, start, (stride, dtype.itemsize))


def _triangles(indices: Integers, mode: int) -> Integers:
    if mode == _TRIANGLES:
        return indices[: len(indices) // 3 * 3].reshape(-1, 3)
    if mode == _FAN:
        first = np.full(max(0, len(indices) - 2), indices[0] if len(indices) else 0, dtype=np.int64)
        return np.stack([first, indices[1:-1], indices[2:]], axis=1)
    three = np.stack([indices[:-2], indices[1:-1], indices[2:]], axis=1)
    three[1::2] = three[1::2][:, [1, 0, 2]]
    return three


def _matrix(node: Mapping[str, Any]) -> Floats:
    """The place of a node in the one above it: its matrix, or translation, rotation (x, y, z, w) and scale."""
    if "matrix" in node:
        return np.array(node["matrix"], dtype=np.float64).reshape(4, 4).T
    x, y, z, w = (float(value) for value in node.get("rotation", (0.0, 0.0, 0.0, 1.0)))
    norm = x * x + y * y + z * z + w * w
    if norm == 0.0:
        raise FileRefusedError("a rotation in the glTF has no direction; export it again")
    s = 2.0 / norm
    turn = np.array(
        [
            [1.0 - s * (y * y + z * z), s * (x * y - z * w), s * (x * z + y * w)],
            [s * (x * y + z * w), 1.0 - s * (x * x + z * z), s * (y * z - x * w)],
            [s * (x * z - y * w), s * (y * z + x * w), 1.0 - s * (x * x + y * y)],
        ]
    )
    placed = np.eye(4)
    placed[:3, :3] = turn * np.array(node.get("scale", (1.0, 1.0, 1.0)), dtype=np.float64)
    placed[:3, 3] = node.get("translation", (0.0, 0.0, 0.0))
    return placed
