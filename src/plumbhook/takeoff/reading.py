"""What every reader gets and may say, and which reader is for which format."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

from plumbhook.model.mesh_bodies import MeshBodies
from plumbhook.model.solids import NamedPoint, Solid, SolidModel
from plumbhook.takeoff.formats import Format

INSTALL = "pip install 'plumbhook[geometry]'"


class FileRefusedError(Exception):
    """Why the whole file is refused: one sentence with the cure."""


@dataclass(frozen=True, slots=True)
class Order:
    """What to read.

    Attributes:
        path: the file.
        name: what to call a solid that has no name of its own.
        unit_m: size of its unit in metres, for formats without one.
        unit_word: that unit in words.
    """

    path: Path
    name: str
    unit_m: float | None
    unit_word: str

    @property
    def scale(self) -> float:
        """Metres per unit of a format that has no unit of its own."""
        if self.unit_m is None:
            raise FileRefusedError("the unit of length is missing; say it, for instance --unit mm")
        return self.unit_m


Reader = Callable[[Order], SolidModel]

_MODULES = {
    Format.STEP: "step",
    Format.IFC: "ifc",
    Format.GLTF: "gltf",
    Format.STL: "stl",
    Format.OBJ: "obj",
    Format.PLY: "ply",
}
_LIBRARIES = {"OCP": "STEP", "ifcopenshell": "IFC"}


def reader_of(kind: Format) -> Reader:
    """The reader of a format.

    Raises:
        FileRefusedError: the library that it needs is not installed; names the command.
    """
    try:
        module = import_module(f"plumbhook.takeoff.{_MODULES[kind]}")
    except ModuleNotFoundError as missing:
        library = (missing.name or "").partition(".")[0]
        if library not in _LIBRARIES:
            raise
        raise FileRefusedError(
            f"reading {kind.word} needs a package that is not installed; install it with: {INSTALL}"
        ) from None
    read: Reader = module.read
    return read


def model_of_bodies(
    found: MeshBodies, kind: Format, *, unit: str, axes: str, points: tuple[NamedPoint, ...] = ()
) -> SolidModel:
    """A model of a format whose meshes have no weights or densities."""
    solids = tuple(
        Solid(body.name, body.shape, material=body.material, remarks=body.remarks) for body in found.bodies
    )
    return SolidModel(
        format=kind.word,
        unit=unit,
        axes=axes,
        solids=solids,
        left_out=found.left_out,
        points=points,
        overlaps=found.overlaps,
        questions=found.questions,
    )
