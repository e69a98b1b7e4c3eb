"""The test files in STEP."""

from __future__ import annotations

import re
from pathlib import Path

from OCP.BRep import BRep_Tool
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakePolygon
from OCP.gp import gp_Ax1, gp_Dir, gp_Pnt, gp_Trsf, gp_Vec
from OCP.Interface import Interface_Static
from OCP.STEPCAFControl import STEPCAFControl_Writer
from OCP.TCollection import TCollection_ExtendedString, TCollection_HAsciiString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_Label
from OCP.TDocStd import TDocStd_Document
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopExp import TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS, TopoDS_Shape
from OCP.XCAFDoc import XCAFDoc_DocumentTool, XCAFDoc_Volume

from solid_files import figures as f
from solid_files import kernel


class Assembly:
    """A document of products and of places where they are."""

    def __init__(self) -> None:
        self._document = TDocStd_Document(TCollection_ExtendedString("test file"))
        self._shapes = XCAFDoc_DocumentTool.ShapeTool_s(self._document.Main())
        self._materials = XCAFDoc_DocumentTool.MaterialTool_s(self._document.Main())

    def assembly(self, name: str) -> TDF_Label:
        """A new assembly, empty."""
        return _named(self._shapes.NewShape(), name)

    def product(self, name: str, shape: TopoDS_Shape, material: str = "", density: float = 0.0) -> TDF_Label:
        """A new part; density in kg/m3."""
        label = _named(self._shapes.AddShape(shape, False), name)
        if material:
            words = (TCollection_HAsciiString(word) for word in ("density measure", "POSITIVE_RATIO_MEASURE"))
            name_of, about = TCollection_HAsciiString(material), TCollection_HAsciiString("")
            self._materials.SetMaterial(label, name_of, about, density / 1000.0, *words)
        return label

    def put(
        self,
        into: TDF_Label,
        product: TDF_Label,
        name: str,
        at: f.Point = (0.0, 0.0, 0.0),
        turn_rad: float = 0.0,
    ) -> None:
        """Put a product into an assembly, turned about z and then moved."""
        turn, move = gp_Trsf(), gp_Trsf()
        turn.SetRotation(gp_Ax1(gp_Pnt(), gp_Dir(0.0, 0.0, 1.0)), turn_rad)
        move.SetTranslation(gp_Vec(*(kernel.MM * value for value in at)))
        _named(self._shapes.AddComponent(into, product, TopLoc_Location(move.Multiplied(turn))), name)

    def name_face_above(self, product: TDF_Label, shape: TopoDS_Shape, name: str) -> None:
        """Give a name to the first face whose corners are all at the top of a shape."""
        explorer = TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_FACE)
        top = max(height for height, _ in _heights(shape))
        while explorer.More():
            if all(abs(height - top) < 1e-6 for height, _ in _heights(explorer.Current())):
                _named(self._shapes.AddSubShape(product, explorer.Current()), name)
                return
            explorer.Next()

    def name_vertices(self, product: TDF_Label, shape: TopoDS_Shape, name: str) -> None:
        """Give a name to the vertex with the largest coordinates."""
        _, vertex = max(
            ((sum(_coordinates(vertex)), vertex) for _, vertex in _heights(shape)), key=lambda pair: pair[0]
        )
        _named(self._shapes.AddSubShape(product, vertex), name)

    def declare_volume(self, product: TDF_Label, volume_m3: float) -> None:
        """Have the file declare the volume of a part."""
        XCAFDoc_Volume.Set_s(product, volume_m3 * kernel.MM**3)

    def write(self, path: Path) -> None:
        """Write the file."""
        self._shapes.UpdateAssemblies()
        writer = STEPCAFControl_Writer()
        Interface_Static.SetIVal_s("write.stepcaf.subshapes.name", 1)
        writer.SetNameMode(True)
        writer.SetMaterialMode(True)
        writer.SetPropsMode(True)
        writer.Transfer(self._document)
        writer.Write(str(path))
        path.write_text(_tidy(path.read_text(encoding="utf-8")), encoding="utf-8", newline="\n")


def _tidy(text: str) -> str:
    """A file that does not change with the clock, its densities in g/cm3.

    The writer gives densities the unit gram^3 centimetre^2; the powers are set right here.
    """
    text = re.sub(r"'\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d'", "'2027-01-01T00:00:00'", text)
    for mass, length in re.findall(r"DERIVED_UNIT\(\(#(\d+),#(\d+)\)\)", text):
        text = re.sub(rf"(#{mass} = DERIVED_UNIT_ELEMENT\(#\d+,)3\.\)", r"\g<1>1.)", text)
        text = re.sub(rf"(#{length} = DERIVED_UNIT_ELEMENT\(#\d+,)2\.\)", r"\g<1>-3.)", text)
    return "\n".join(line.rstrip() for line in text.splitlines()) + "\n"


def _named(label: TDF_Label, name: str) -> TDF_Label:
    TDataStd_Name.Set_s(label, TCollection_ExtendedString(name))
    return label


def _heights(shape: TopoDS_Shape) -> list[tuple[float, TopoDS_Shape]]:
    explorer = TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_VERTEX)
    found = []
    while explorer.More():
        found.append((_coordinates(explorer.Current())[2], explorer.Current()))
        explorer.Next()
    return found


def _coordinates(vertex: TopoDS_Shape) -> f.Point:
    at = BRep_Tool.Pnt_s(TopoDS.Vertex(vertex))
    return (at.X(), at.Y(), at.Z())


def write_block(path: Path) -> None:
    """One solid with material and a named face."""
    file, shape = Assembly(), kernel.block()
    product = file.product("block", shape, "steel S355", f.STEEL)
    file.declare_volume(product, f.block()[0])
    file.name_face_above(product, shape, "top of boss")
    file.write(path)


def write_skid(path: Path) -> None:
    """An assembly with materials, an opening, a copy at the same place, a part without material and a sheet."""
    file = Assembly()
    skid, frame = file.assembly("skid"), file.assembly("frame")
    deck = kernel.deck()
    deck_product = file.product("deck", deck, "concrete C40", f.CONCRETE)
    file.name_face_above(deck_product, deck, "top of deck")
    file.name_vertices(deck_product, deck, "lug NE")
    beam = file.product("beam", kernel.box((0.0, 0.0, 0.0), f.BEAM_SIZE), "steel S355", f.STEEL)
    file.put(frame, beam, "west", f.BEAM_WEST)
    file.put(frame, beam, "east", f.BEAM_EAST)
    file.put(frame, beam, "east again", f.BEAM_EAST)
    tank = kernel.round_bar(f.TANK_AT, f.TANK_RADIUS, f.TANK_HEIGHT)
    rim = BRepBuilderAPI_MakePolygon(*(kernel.point(at) for at in ((0, 0, 2), (1, 0, 2), (1, 1, 2))), True)
    file.put(skid, frame, "frame")
    file.put(skid, deck_product, "deck")
    file.put(skid, file.product("tank", tank, "aluminium 5083", f.ALUMINIUM), "tank")
    file.put(skid, file.product("cover", kernel.box(f.COVER_LOW, f.COVER_SIZE)), "cover")
    file.put(skid, file.product("hood", BRepBuilderAPI_MakeFace(rim.Wire()).Face()), "hood")
    file.write(path)
