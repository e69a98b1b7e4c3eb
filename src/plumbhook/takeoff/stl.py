"""Reader of STL, binary and text: triangles without unit, without material."""

from __future__ import annotations

import re

import numpy as np

from plumbhook.model.mass_properties import Floats, Integers
from plumbhook.model.mesh_bodies import MeshPiece, bodies_of
from plumbhook.model.solids import SolidModel
from plumbhook.takeoff.formats import Format
from plumbhook.takeoff.reading import FileRefusedError, Order, model_of_bodies

_HEADER_BYTES = 84
_FACET = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("extra", "<u2")])
_SOLID = re.compile(rb"^[ \t]*solid\b[ \t]*(.*?)[ \t]*$", re.MULTILINE)
_END = re.compile(rb"^[ \t]*endsolid\b", re.MULTILINE)
_VERTEX = re.compile(rb"^[ \t]*vertex[ \t]+(.*?)[ \t\r]*$", re.MULTILINE)


def read(order: Order) -> SolidModel:
    """Read an STL file.

    Raises:
        FileRefusedError: it is cut short, has no facets, or is no STL.
    """
    data = order.path.read_bytes()
    count = int.from_bytes(data[80:84], "little") if len(data) >= _HEADER_BYTES else -1
    if count >= 0 and len(data) == _HEADER_BYTES + _FACET.itemsize * count:
        pieces = [_piece(order.name, _binary(data, count), order.scale)]
    elif re.match(rb"\s*solid\b", data[:512]) and b"\0" not in data[:4096]:
        pieces = [_piece(name or order.name, corners, order.scale) for name, corners in _text(data)]
    else:
        there = max(0, len(data) - _HEADER_BYTES) // _FACET.itemsize
        raise FileRefusedError(
            f"the STL says it has {max(count, 0)} facets and holds {there}; it is cut short or damaged, export it "
            "again"
        )
    if not sum(len(piece.triangles) for piece in pieces):
        raise FileRefusedError("the STL has no facets: the mesh is empty; export the model again")
    found = bodies_of(pieces, whole_pieces=False)
    return model_of_bodies(
        found,
        Format.STL,
        unit=f"{order.unit_word}, as said by the user",
        axes="as in the file; z taken as up",
    )


def _binary(data: bytes, count: int) -> Floats:
    facets = np.frombuffer(data, dtype=_FACET, count=count, offset=_HEADER_BYTES)
    return facets["corners"].astype(np.float64)


def _text(data: bytes) -> list[tuple[str, Floats]]:
    starts = [(match.start(), match.group(1)) for match in _SOLID.finditer(data)]
    if len(starts) != len(_END.findall(data)):
        raise FileRefusedError("the STL does not end with endsolid; it is cut short, export it again")
    ends = [start for start, _ in starts[1:]] + [len(data)]
    return [
        (name.decode("utf-8", "replace").strip(), _corners(data[start:end]))
        for (start, name), end in zip(starts, ends, strict=True)
    ]


def _corners(block: bytes) -> Floats:
    rows = b" ".join(_VERTEX.findall(block)).split()
    if len(rows) % 9:
        raise FileRefusedError("a facet of the STL has not three corners of three numbers; export it again")
    try:
        return np.array(rows, dtype=np.float64).reshape(-1, 3, 3)
    except ValueError:
        raise FileRefusedError("a corner of the STL is not three numbers; export it again") from None


def _piece(name: str, corners: Floats, scale: float) -> MeshPiece:
    triangles: Integers = np.arange(3 * len(corners), dtype=np.int64).reshape(-1, 3)
    return MeshPiece(name, corners.reshape(-1, 3) * scale, triangles)
