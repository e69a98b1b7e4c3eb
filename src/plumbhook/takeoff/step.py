"""Reader of STEP (ISO 10303-21): exact volumes of the solids, at every place where an assembly has them."""

from __future__ import annotations

import re
from typing import Any

from OCP.BRep import BRep_Tool
from OCP.BRepGProp import BRepGProp
from OCP.collections import Sequence_TCollection_AsciiString, Sequence_TDF_Label
from OCP.GProp import GProp_GProps
from OCP.IFSelect import IFSelect_ReturnStatus
from OCP.Interface import Interface_Static
from OCP.Message import Message, Message_Gravity
from OCP.StepBasic import StepBasic_DocumentFile
from OCP.STEPCAFControl import STEPCAFControl_Reader
from OCP.StepRepr import StepRepr_NextAssemblyUsageOccurrence
from OCP.StepShape import StepShape_ManifoldSolidBrep
from OCP.TCollection import TCollection_AsciiString, TCollection_ExtendedString
from OCP.TDataStd import TDataStd_Name
from OCP.TDF import TDF_Label, TDF_Tool
from OCP.TDocStd import TDocStd_Document
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS, TopoDS_Shape
from OCP.XCAFDoc import XCAFDoc_DocumentTool, XCAFDoc_ShapeTool

from plumbhook.model.mass_properties import Floats, Integers, Vector
from plumbhook.model.mesh_bodies import overlaps_of
from plumbhook.model.solids import LeftOut, NamedPoint, Overlap, Solid, SolidModel, count
from plumbhook.takeoff.brep import NotASolidError, exact_solid, metres, parts_of
from plumbhook.takeoff.formats import Format
from plumbhook.takeoff.reading import FileRefusedError, Order
from plumbhook.takeoff.step_properties import ProductFacts, facts_of_products

_MM = 1e-3  # the kernel works in millimetres whatever the file is in
_VALIDATION = 1e-3
_MOST_FACETS = 400_000
_MOST_POINTS = 500
# Names that programs give by themselves and that mean nothing to people.
_NO_NAME = re.compile(
    r"^(|none|unnamed|unknown|sol(id)?|shape|=>.*|nauo\d*|#?\d+|open cascade step.*)$", re.IGNORECASE
)


def read(order: Order) -> SolidModel:
    """Read a STEP file.

    Raises:
        FileRefusedError: it is damaged, or refers to other files.
    """
    reader = _loaded(order)
    entities = [reader.Reader().Model().Value(k) for k in range(1, reader.Reader().Model().NbEntities() + 1)]
    _refuse_other_files(entities)
    document = TDocStd_Document(TCollection_ExtendedString("take-off"))
    if not reader.Transfer(document):
        raise FileRefusedError(
            "no shape of the STEP file can be built; open it, check it and export it again"
        )
    walk = _Walk(facts_of_products(iter(entities)), order.name)
    roots = Sequence_TDF_Label()
    XCAFDoc_DocumentTool.ShapeTool_s(document.Main()).GetFreeShapes(roots)
    for root in roots:
        walk.root(root)
    questions = [*_faults(reader), *_lost(entities, walk)]
    remarks: tuple[str, ...] = ()
    overlaps: tuple[Overlap, ...] = ()
    if sum(len(triangles) for _, triangles in walk.surfaces) <= _MOST_FACETS:
        overlaps = overlaps_of(walk.surfaces)
    else:
        remarks = ("there are too many faces to look for solids that overlap",)
    return SolidModel(
        format=Format.STEP.word,
        unit=f"{_file_units(reader)}, as the file says",
        axes="as in the file; z taken as up",
        solids=tuple(walk.solids),
        left_out=tuple(walk.left_out),
        points=tuple(walk.points[:_MOST_POINTS]),
        overlaps=overlaps,
        remarks=remarks,
        questions=tuple(questions),
    )


def _loaded(order: Order) -> STEPCAFControl_Reader:
    for printer in Message.DefaultMessenger_s().Printers():
        printer.SetTraceLevel(Message_Gravity.Message_Fail)
    reader = STEPCAFControl_Reader()
    Interface_Static.SetIVal_s("read.stepcaf.subshapes.name", 1)
    reader.SetNameMode(True)
    for switch in (reader.SetColorMode, reader.SetLayerMode, reader.SetPropsMode, reader.SetGDTMode):
        switch(False)
    reader.SetMatMode(False)
    reader.SetViewMode(False)
    if reader.ReadFile(str(order.path)) != IFSelect_ReturnStatus.IFSelect_RetDone:
        raise FileRefusedError("the STEP file is damaged and cannot be read; export the model again")
    return reader


def _refuse_other_files(entities: list[Any]) -> None:
    for entity in entities:
        if isinstance(entity, StepBasic_DocumentFile):
            name = entity.Id().ToCString() if entity.Id() is not None else ""
            raise FileRefusedError(
                f'the STEP file refers to another file ("{name[:60]}"), which is not read; export the assembly as one '
                "file"
            )


def _faults(reader: STEPCAFControl_Reader) -> list[str]:
    """A question where entities are wrong or missing; the kernel reads on without them."""
    checks = reader.Reader().WS().ModelCheckList(True)
    first, faults = "", 0
    checks.Start()
    while checks.More():
        check = checks.Value()
        if check.NbFails():
            faults += check.NbFails()
            first = first or " ".join(str(check.CFail(1)).split())
        checks.Next()
    if not faults:
        return []
    number = count(faults, "fault")
    return [
        f"the STEP file has {number}, the first: {first[:120]}; something may be missing, export it again"
    ]


def _lost(entities: list[Any], walk: _Walk) -> list[str]:
    """Questions where solids or places of the file could not be built, which the kernel passes over in silence."""
    found = []
    for kind, built, what in (
        (StepShape_ManifoldSolidBrep, len(walk.built), "solids"),
        (StepRepr_NextAssemblyUsageOccurrence, walk.places, "places of parts in assemblies"),
    ):
        there = sum(isinstance(entity, kind) for entity in entities)
        if built < there:
            found.append(
                f"of {there} {what} in the file only {built} can be built, the others are missing here; check the "
                "model and export it again"
            )
    return found


def _file_units(reader: STEPCAFControl_Reader) -> str:
    lengths, angles, solid_angles = (Sequence_TCollection_AsciiString() for _ in range(3))
    reader.Reader().FileUnits(lengths, angles, solid_angles)
    return " and ".join(dict.fromkeys(name.ToCString() for name in lengths)) or "millimetre"


class _Walk:
    """One pass over the assembly that collects solids, named points and what gives no solid."""

    def __init__(self, facts: dict[str, ProductFacts], name: str) -> None:
        self._facts = facts
        self._file_name = name
        self.built: set[int] = set()
        self._places: dict[str, int] = {}
        self.solids: list[Solid] = []
        self.surfaces: list[tuple[Floats, Integers]] = []
        self.left_out: list[LeftOut] = []
        self.points: list[NamedPoint] = []

    def root(self, label: TDF_Label) -> None:
        """Walk down from a top-level shape; the name of a top-level assembly is left off."""
        if XCAFDoc_ShapeTool.IsAssembly_s(label):
            self._children(label, TopLoc_Location(), ())
        else:
            self._leaf(label, XCAFDoc_ShapeTool.GetLocation_s(label), (), "")

    @property
    def places(self) -> int:
        """How many places of parts the assemblies have, each assembly counted once however often it is used."""
        return sum(self._places.values())

    def _children(self, assembly: TDF_Label, at: TopLoc_Location, above: tuple[str, ...]) -> None:
        components = Sequence_TDF_Label()
        XCAFDoc_ShapeTool.GetComponents_s(assembly, components)
        self._places[_entry(assembly)] = len(list(components))
        for component in components:
            product = TDF_Label()
            if not XCAFDoc_ShapeTool.GetReferredShape_s(component, product):
                continue
            here = at.Multiplied(XCAFDoc_ShapeTool.GetLocation_s(component))
            if XCAFDoc_ShapeTool.IsAssembly_s(product):
                self._children(product, here, (*above, _shown(_name(product), _name(component))))
            else:
                self._leaf(product, here, above, _name(component))

    def _leaf(self, label: TDF_Label, at: TopLoc_Location, above: tuple[str, ...], instance: str) -> None:
        product = _name(label)
        name = " / ".join((*above, _shown(product, instance) or self._file_name))
        shape = XCAFDoc_ShapeTool.GetShape_s(label).Located(TopLoc_Location())
        placed = shape.Moved(at)
        parts = list(parts_of(placed, TopAbs_ShapeEnum.TopAbs_SOLID))
        facts = self._facts.get(product, ProductFacts())
        before = len(self.solids)
        self.built |= {hash(solid.Located(TopLoc_Location())) for solid in parts}
        for number, solid in enumerate(parts, 1):
            self._solid(solid, name if len(parts) == 1 else f"{name} {number}", facts)
        self._hold_validation(before, facts)
        sheets = list(parts_of(placed, TopAbs_ShapeEnum.TopAbs_SHELL, TopAbs_ShapeEnum.TopAbs_SOLID))
        sheets += list(parts_of(placed, TopAbs_ShapeEnum.TopAbs_FACE, TopAbs_ShapeEnum.TopAbs_SHELL))
        if sheets:
            self.left_out.append(
                LeftOut(
                    name,
                    f"{count(len(sheets), 'surface')} without a solid have no volume; close them to a solid",
                )
            )
        self._named_points(label, at, placed)

    def _named_points(self, label: TDF_Label, at: TopLoc_Location, placed: TopoDS_Shape) -> None:
        named = Sequence_TDF_Label()
        XCAFDoc_ShapeTool.GetSubShapes_s(label, named)
        for feature in named:
            name = _name(feature)
            if name:
                point = _point(XCAFDoc_ShapeTool.GetShape_s(feature).Moved(at))
                if point is not None:
                    self.points.append(NamedPoint(name, point[1], point[0]))
        if placed.ShapeType() == TopAbs_ShapeEnum.TopAbs_VERTEX and _name(label):
            self.points.append(NamedPoint(_name(label), _vertex(placed), "point"))

    def _solid(self, solid: TopoDS_Shape, name: str, facts: ProductFacts) -> None:
        remarks = list(facts.remarks)
        try:
            exact = exact_solid(solid, _MM)
        except NotASolidError as reason:
            self.left_out.append(LeftOut(name, str(reason)))
            return
        remarks += exact.remarks
        density = facts.density_kg_m3[0] if len(facts.density_kg_m3) == 1 else None
        if len(facts.density_kg_m3) > 1:
            remarks.append("products of this name have different densities, so none is used")
        self.surfaces.append((exact.vertices_m, exact.triangles))
        self.solids.append(
            Solid(
                name,
                exact.shape,
                material=" / ".join(facts.material),
                density_kg_m3=density,
                density_source="density in the STEP file" if density is not None else "",
                remarks=tuple(remarks),
            )
        )

    def _hold_validation(self, before: int, facts: ProductFacts) -> None:
        """Compare the volume that the file declares with the one computed."""
        if len(facts.volume_m3) != 1 or before == len(self.solids):
            return
        computed = sum(solid.shape.volume_m3 for solid in self.solids[before:])
        declared = facts.volume_m3[0]
        if abs(computed - declared) > _VALIDATION * abs(declared):
            last = self.solids.pop()
            remark = f"the file declares a volume of {declared:.5g} m³, but its faces give {computed:.5g} m³"
            self.solids.append(
                Solid(
                    last.name,
                    last.shape,
                    last.material,
                    last.density_kg_m3,
                    last.density_source,
                    remarks=(*last.remarks, remark),
                )
            )


def _entry(label: TDF_Label) -> str:
    """The place of a label in the document, by which it is told from others."""
    entry = TCollection_AsciiString()
    TDF_Tool.Entry_s(label, entry)
    return str(entry.ToCString())


def _name(label: TDF_Label) -> str:
    attribute = TDataStd_Name()
    if not label.FindAttribute(TDataStd_Name.GetID_s(), attribute):
        return ""
    name = " ".join(attribute.Get().ToExtString().split())
    return "" if _NO_NAME.match(name) else name


def _shown(product: str, instance: str) -> str:
    if not product or product == instance or instance.startswith(product):
        return instance or product
    return f"{product} ({instance})" if instance else product


def _point(shape: TopoDS_Shape) -> tuple[str, Vector] | None:
    """Kind and place of a named vertex, face (its centre) or edge (its centre)."""
    kind = shape.ShapeType()
    if kind == TopAbs_ShapeEnum.TopAbs_VERTEX:
        return "vertex", _vertex(shape)
    found = GProp_GProps()
    if kind == TopAbs_ShapeEnum.TopAbs_FACE:
        BRepGProp.SurfaceProperties_s(shape, found)
        return "centre of face", metres(found.CentreOfMass(), _MM)
    if kind == TopAbs_ShapeEnum.TopAbs_EDGE:
        BRepGProp.LinearProperties_s(shape, found)
        return "centre of edge", metres(found.CentreOfMass(), _MM)
    return None


def _vertex(shape: TopoDS_Shape) -> Vector:
    return metres(BRep_Tool.Pnt_s(TopoDS.Vertex(shape)), _MM)
