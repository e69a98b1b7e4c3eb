"""The test files in IFC4."""

from __future__ import annotations

import uuid
from pathlib import Path
from typing import Any

import ifcopenshell
import ifcopenshell.guid

from solid_files import figures as f

MM = 1000.0
Entity = Any
_UP = (0.0, 0.0, 1.0)


class _Project:
    """A file in millimetres and kilograms with one context for bodies."""

    def __init__(self) -> None:
        self.file = ifcopenshell.file(schema="IFC4")
        self._number = 0
        make = self.file
        kilogram = make.createIfcSIUnit(None, "MASSUNIT", "KILO", "GRAM")
        metre = make.createIfcSIUnit(None, "LENGTHUNIT", None, "METRE")
        powers = tuple(
            make.createIfcDerivedUnitElement(unit, power) for unit, power in ((kilogram, 1), (metre, -3))
        )
        units = make.createIfcUnitAssignment(
            (
                make.createIfcSIUnit(None, "LENGTHUNIT", "MILLI", "METRE"),
                kilogram,
                make.createIfcDerivedUnit(powers, "MASSDENSITYUNIT"),
            )
        )
        context = make.createIfcGeometricRepresentationContext(None, "Model", 3, 1e-5, self._axes((0, 0, 0)))
        self._body = make.createIfcGeometricRepresentationSubContext(
            "Body", "Model", None, None, None, None, context, None, "MODEL_VIEW", None
        )
        make.createIfcProject(self._id(), None, "test file", None, None, None, None, (context,), units)

    def _id(self) -> str:
        self._number += 1
        return ifcopenshell.guid.compress(uuid.uuid5(uuid.NAMESPACE_OID, str(self._number)).hex)

    def _point(self, at: tuple[float, ...]) -> Entity:
        return self.file.createIfcCartesianPoint(tuple(MM * float(value) for value in at))

    def _axes(self, at: tuple[float, ...]) -> Entity:
        return self.file.createIfcAxis2Placement3D(self._point(at))

    def place(self, at: f.Point = (0.0, 0.0, 0.0)) -> Entity:
        return self.file.createIfcLocalPlacement(None, self._axes(at))

    def box(self, low: f.Point, size: f.Point) -> Entity:
        profile = self.file.createIfcRectangleProfileDef("AREA", None, None, MM * size[0], MM * size[1])
        foot = (low[0] + size[0] / 2, low[1] + size[1] / 2, low[2])
        return self._extruded(profile, foot, size[2])

    def round_bar(self, foot: f.Point, radius: float, height: float) -> Entity:
        profile = self.file.createIfcCircleProfileDef("AREA", None, None, MM * radius)
        return self._extruded(profile, foot, height)

    def _extruded(self, profile: Entity, foot: f.Point, height: float) -> Entity:
        up = self.file.createIfcDirection(_UP)
        return self.file.createIfcExtrudedAreaSolid(profile, self._axes(foot), up, MM * height)

    def shape(self, item: Entity, kind: str = "SweptSolid") -> Entity:
        body = self.file.createIfcShapeRepresentation(self._body, "Body", kind, (item,))
        return self.file.createIfcProductDefinitionShape(None, None, (body,))

    def element(
        self, kind: str, name: str, shape: Entity | None = None, at: f.Point = (0.0, 0.0, 0.0)
    ) -> Entity:
        return self.file.create_entity(
            kind,
            GlobalId=self._id(),
            Name=name,
            ObjectPlacement=self.place(at),
            Representation=shape,
        )

    def opening(self, host: Entity, name: str, shape: Entity) -> None:
        hole = self.element("IfcOpeningElement", name, shape)
        self.file.createIfcRelVoidsElement(self._id(), None, None, None, host, hole)

    def material(self, name: str, density: float | None, *elements: Entity) -> None:
        material = self.file.createIfcMaterial(name)
        if density is not None:
            value = self.file.createIfcMassDensityMeasure(density)
            single = self.file.createIfcPropertySingleValue("MassDensity", None, value, None)
            self.file.createIfcMaterialProperties("Pset_MaterialCommon", None, (single,), material)
        self.file.createIfcRelAssociatesMaterial(self._id(), None, None, None, elements, material)

    def weight(self, element: Entity, set_name: str, **weights: float) -> None:
        quantities = tuple(
            self.file.createIfcQuantityWeight(name, None, None, value, None)
            for name, value in weights.items()
        )
        holder = self.file.createIfcElementQuantity(self._id(), None, set_name, None, None, quantities)
        self.file.createIfcRelDefinesByProperties(self._id(), None, None, None, (element,), holder)

    def parts(self, whole: Entity, *parts: Entity) -> None:
        self.file.createIfcRelAggregates(self._id(), None, None, None, whole, parts)

    def write(self, path: Path) -> None:
        self.file.header.file_name.time_stamp = "2027-01-01T00:00:00"
        self.file.write(str(path))


def write_block(path: Path) -> None:
    """One solid: the boss joined on, the bore an opening."""
    project = _Project()
    block = project.box((0.0, 0.0, 0.0), f.BLOCK)
    boss = project.round_bar((*f.BOSS_AT, f.BLOCK[2]), f.BOSS_RADIUS, f.BOSS_HEIGHT)
    joined = project.file.createIfcBooleanResult("UNION", block, boss)
    member = project.element("IfcMember", "block", project.shape(joined, "CSG"))
    bore = project.round_bar((*f.BORE_AT, -0.1), f.BORE_RADIUS, f.BLOCK[2] + 0.2)
    project.opening(member, "bore", project.shape(bore))
    project.material("steel S355", f.STEEL, member)
    project.write(path)


def write_skid(path: Path) -> None:
    """The skid of the STEP file, with a pump of declared weight and four lugs that are points."""
    project = _Project()
    deck = project.element("IfcSlab", "deck", project.shape(project.box(f.DECK_LOW, f.DECK_SIZE)))
    project.opening(deck, "hatch", project.shape(project.box(f.HOLE_LOW, f.HOLE_SIZE)))
    frame = project.element("IfcElementAssembly", "frame")
    beams = [
        project.element("IfcBeam", name, project.shape(project.box((0.0, 0.0, 0.0), f.BEAM_SIZE)), at)
        for name, at in (
            ("beam west", f.BEAM_WEST),
            ("beam east", f.BEAM_EAST),
            ("beam east again", f.BEAM_EAST),
        )
    ]
    project.parts(frame, *beams)
    tank = project.element(
        "IfcTank", "tank", project.shape(project.round_bar(f.TANK_AT, f.TANK_RADIUS, f.TANK_HEIGHT))
    )
    project.element("IfcPlate", "cover", project.shape(project.box(f.COVER_LOW, f.COVER_SIZE)))
    pump = project.element("IfcPump", "pump", project.shape(project.box(f.PUMP_LOW, f.PUMP_SIZE)))
    project.weight(pump, "Qto_PumpBaseQuantities", GrossWeight=f.PUMP_KG)
    project.material("concrete C40", f.CONCRETE, deck)
    project.material("steel S355", f.STEEL, *beams)
    project.material("aluminium 5083", f.ALUMINIUM, tank)
    for name, at in f.LUGS.items():
        project.element("IfcBuildingElementProxy", name, None, at)
    project.write(path)
