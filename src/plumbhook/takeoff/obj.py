"""Reader of OBJ text meshes: corners, faces, objects, groups and names of materials; nothing else is opened."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from plumbhook.model.mass_properties import Floats
from plumbhook.model.mesh_bodies import MeshPiece, bodies_of
from plumbhook.model.solids import SolidModel
from plumbhook.takeoff.formats import Format
from plumbhook.takeoff.reading import FileRefusedError, Order, model_of_bodies

_FREE_FORM = frozenset({"curv", "curv2", "surf", "deg", "bmat", "cstype"})


@dataclass(slots=True)
class _Lines:
    """What the lines of the file have said so far."""

    corners: list[tuple[float, float, float]] = field(default_factory=list)
    triangles: dict[tuple[str, str], list[tuple[int, int, int]]] = field(default_factory=dict)
    name: str = ""
    material: str = ""
    free_form: bool = False

    def take(self, words: list[str]) -> None:
        """Take one line.

        Raises:
            ValueError: a number is none.
            IndexError: a number or a corner is missing.
        """
        key = words[0]
        if key == "v":
            self.corners.append((float(words[1]), float(words[2]), float(words[3])))
        elif key == "f":
            self._face(words[1:])
        elif key in ("o", "g"):
            self.name = " ".join(words[1:])
        elif key == "usemtl":
            self.material = " ".join(words[1:])
        elif key in _FREE_FORM:
            self.free_form = True

    def _face(self, words: list[str]) -> None:
        here = [self._corner(word) for word in words]
        fan = self.triangles.setdefault((self.name, self.material), [])
        fan += [(here[0], here[k], here[k + 1]) for k in range(1, len(here) - 1)]

    def _corner(self, word: str) -> int:
        number = int(word.partition("/")[0])
        index = number - 1 if number > 0 else len(self.corners) + number
        if number == 0 or not 0 <= index < len(self.corners):
            raise IndexError(word)
        return index


def read(order: Order) -> SolidModel:
    """Read an OBJ file.

    Raises:
        FileRefusedError: a line is wrong, it has no faces, or curved surfaces that are no mesh.
    """
    lines = _Lines()
    with order.path.open(encoding="utf-8-sig", errors="replace") as file:
        for number, line in enumerate(file, 1):
            words = line.split()
            if not words or words[0].startswith("#"):
                continue
            try:
                lines.take(words)
            except (ValueError, IndexError):
                raise FileRefusedError(
                    f"line {number} of the OBJ is wrong ({line.strip()[:40]}): a number is missing, none, or names no "
                    "corner before it; export it again"
                ) from None
    if lines.free_form:
        raise FileRefusedError(
            "the OBJ has curved surfaces that are no mesh; export it as a mesh, or as STEP"
        )
    if not any(lines.triangles.values()):
        raise FileRefusedError("the OBJ has no faces: the mesh is empty; export the model again")
    corners: Floats = np.array(lines.corners, dtype=np.float64) * order.scale
    pieces = [
        MeshPiece(name or order.name, corners, np.array(triangles, dtype=np.int64).reshape(-1, 3), material)
        for (name, material), triangles in lines.triangles.items()
    ]
    found = bodies_of(pieces, whole_pieces=False)
    return model_of_bodies(
        found,
        Format.OBJ,
        unit=f"{order.unit_word}, as said by the user",
        axes="as in the file; z taken as up",
    )
