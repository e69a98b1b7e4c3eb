"""Reader of PLY meshes, text and binary: corners and faces; colours and the rest are passed over."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from plumbhook.model.mass_properties import Floats, Integers
from plumbhook.model.mesh_bodies import MeshPiece, bodies_of
from plumbhook.model.solids import SolidModel
from plumbhook.takeoff.formats import Format
from plumbhook.takeoff.reading import FileRefusedError, Order, model_of_bodies

_TYPES = {
    "char": "i1", "int8": "i1", "uchar": "u1", "uint8": "u1", "short": "i2", "int16": "i2", "ushort": "u2",
    "uint16": "u2", "int": "i4", "int32": "i4", "uint": "u4", "uint32": "u4", "float": "f4", "float32": "f4",
    "double": "f8", "float64": "f8",
}  # fmt: skip
_ORDERS = {"ascii": "", "binary_little_endian": "<", "binary_big_endian": ">"}
_LONGEST_HEADER = 65_536
_FACE_LISTS = ("vertex_indices", "vertex_index")


@dataclass(slots=True)
class _Element:
    name: str
    count: int
    # Name, type of the value, type of the length for a list ("" for a single value).
    properties: list[tuple[str, str, str]] = field(default_factory=list)


def read(order: Order) -> SolidModel:
    """Read a PLY file.

    Raises:
        FileRefusedError: its header is wrong, it is cut short, or it has no faces.
    """
    data = order.path.read_bytes()
    end = data.find(b"end_header", 0, _LONGEST_HEADER)
    if end < 0:
        raise FileRefusedError("the PLY has no end of its header; it is damaged, export it again")
    byte_order, elements = _header(data[:end].decode("ascii", "replace"))
    body = data.find(b"\n", end) + 1
    if sum(element.count for element in elements) > len(data):
        raise FileRefusedError("the PLY promises more than it can hold; it is cut short, export it again")
    walk = _Text(data[body:]) if byte_order == "" else _Binary(data, body, byte_order)
    corners: Floats = np.zeros((0, 3))
    triangles: Integers = np.zeros((0, 3), dtype=np.int64)
    try:
        for element in elements:
            if element.name == "vertex":
                corners = walk.table(element, ("x", "y", "z"))
            elif element.name == "face":
                triangles = _fans(walk.lists(element))
            else:
                walk.lists(element)
    except (ValueError, IndexError):
        raise FileRefusedError("the PLY is cut short or a number in it is none; export it again") from None
    if len(triangles) == 0:
        raise FileRefusedError("the PLY has no faces: the mesh is empty; export the model again")
    if triangles.min() < 0 or triangles.max() >= len(corners):
        raise FileRefusedError("a face of the PLY names a corner that is not there; export it again")
    found = bodies_of([MeshPiece(order.name, corners * order.scale, triangles)], whole_pieces=False)
    return model_of_bodies(
        found,
        Format.PLY,
        unit=f"{order.unit_word}, as said by the user",
        axes="as in the file; z taken as up",
    )


def _header(text: str) -> tuple[str, list[_Element]]:
    byte_order: str | None = None
    elements: list[_Element] = []
    for line in text.splitlines():
        words = line.split()
        match words:
            case ["format", name, _] if name in _ORDERS:
                byte_order = _ORDERS[name]
            case ["element", name, count] if count.isdigit():
                elements.append(_Element(name, int(count)))
            case ["property", "list", length, value, name] if elements and {length, value} <= set(_TYPES):
                elements[-1].properties.append((name, _TYPES[value], _TYPES[length]))
            case ["property", value, name] if elements and value in _TYPES:
                elements[-1].properties.append((name, _TYPES[value], ""))
            case ["ply" | "comment" | "obj_info", *_] | []:
                pass
            case _:
                raise FileRefusedError(
                    f"the header of the PLY has a wrong line ({line[:40]}); export it again"
                )
    if byte_order is None:
        raise FileRefusedError("the header of the PLY names no known format; export it again")
    return byte_order, elements


class _Text:
    """The numbers of a text file, one after the other."""

    def __init__(self, data: bytes) -> None:
        self._words = data.split()
        self._at = 0

    def table(self, element: _Element, wanted: tuple[str, ...]) -> Floats:
        names = [name for name, _, _ in element.properties]
        size = element.count * len(names)
        rows = np.array(self._take(size), dtype=np.float64).reshape(element.count, len(names))
        return rows[:, [names.index(name) for name in wanted]]

    def lists(self, element: _Element) -> list[list[int]]:
        found = []
        for _ in range(element.count):
            for name, _, length in element.properties:
                count = int(self._take(1)[0]) if length else 1
                values = self._take(count)
                if length and name in _FACE_LISTS:
                    found.append([int(value) for value in values])
        return found

    def _take(self, count: int) -> list[bytes]:
        words = self._words[self._at : self._at + count]
        if count < 0 or len(words) < count:
            raise IndexError
        self._at += count
        return words


class _Binary:
    """The values of a binary file, one after the other."""

    def __init__(self, data: bytes, start: int, byte_order: str) -> None:
        self._data = data
        self._at = start
        self._order = byte_order

    def table(self, element: _Element, wanted: tuple[str, ...]) -> Floats:
        if any(length for _, _, length in element.properties):
            raise ValueError
        row = np.dtype([(name, self._order + value) for name, value, _ in element.properties])
        table = np.frombuffer(self._data, dtype=row, count=element.count, offset=self._at)
        self._at += row.itemsize * element.count
        return np.stack([table[name].astype(np.float64) for name in wanted], axis=1)

    def lists(self, element: _Element) -> list[list[int]]:
        found = []
        for _ in range(element.count):
            for name, value, length in element.properties:
                count = int(self._take(length, 1)[0]) if length else 1
                values = self._take(value, count)
                if length and name in _FACE_LISTS:
                    found.append([int(one) for one in values])
        return found

    def _take(self, kind: str, count: int) -> Floats:
        dtype = np.dtype(self._order + kind)
        if count < 0:
            raise ValueError
        values = np.frombuffer(self._data, dtype=dtype, count=count, offset=self._at)
        self._at += dtype.itemsize * count
        return values


def _fans(faces: list[list[int]]) -> Integers:
    fans = [(face[0], face[k], face[k + 1]) for face in faces for k in range(1, len(face) - 1)]
    return np.array(fans, dtype=np.int64).reshape(-1, 3)
