"""Reader of IFC (ISO 16739): the bodies of elements, openings cut, with declared weights and densities."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from dataclasses import replace

import ifcopenshell
import ifcopenshell.geom
import ifcopenshell.util.placement
import numpy as np
from OCP.BRep import BRep_Builder
from OCP.BRepTools import BRepTools
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.TopoDS import TopoDS_Shape

from plumbhook.model.mass_properties import (
    Floats,
    Integers,
    MassProperties,
    Vector,
    centre_of_all,
    inertia_of_all,
    vector,
)
from plumbhook.model.mesh_bodies import MeshPiece, bodies_of, overlaps_of
from plumbhook.model.solids import LeftOut, NamedPoint, Solid, SolidModel, count
from plumbhook.takeoff.brep import ExactSolid, NotASolidError, exact_solid, parts_of
from plumbhook.takeoff.formats import Format
from plumbhook.takeoff.ifc_facts import (
    Entity,
    declared_weight,
    material_of,
    openings_of,
    units_of,
)
from plumbhook.takeoff.reading import FileRefusedError, Order

_MOST_FACETS = 400_000
_MOST_POINTS = 500
_FACET_ANGLE_RAD = 0.05
# What is not matter: holes, marks on surfaces, borders of rooms.
_NO_MATTER = ("IfcFeatureElementSubtraction", "IfcSurfaceFeature", "IfcVirtualElement")
# What may stand for a point when it has no body.
_POINTS = ("IfcAnnotation", "IfcPort", "IfcBuildingElementProxy", "IfcProxy", "IfcReferent")


def read(order: Order) -> SolidModel:
    """Read an IFC file.

    Raises:
        FileRefusedError: it is damaged or of a schema that is not known.
    """
    try:
        file = ifcopenshell.open(str(order.path), format=".ifc")
    except (OSError, RuntimeError, ifcopenshell.Error) as error:
        raise FileRefusedError(
            f"the IFC file cannot be read ({' '.join(str(error).split())[:120]}); export the model again"
        ) from None
    faults = _faults_in_log()
    if not any(project.UnitsInContext for project in file.by_type("IfcProject")):
        raise FileRefusedError(
            "the IFC file has no project with units, so its lengths mean nothing; export it again"
        )
    walk = _Walk(file)
    for product in file.by_type("IfcProduct"):
        walk.product(product)
    facets = sum(len(triangles) for _, triangles in walk.surfaces)
    return SolidModel(
        format=f"{Format.IFC.word} ({file.schema})",
        unit=f"{walk.units.length_word}, as the file says",
        axes="as in the file, z up",
        solids=tuple(walk.solids),
        left_out=tuple(walk.left_out),
        points=tuple(walk.points[:_MOST_POINTS]),
        overlaps=overlaps_of(walk.surfaces) if facets <= _MOST_FACETS else (),
        remarks=tuple(walk.remarks)
        + (() if facets <= _MOST_FACETS else ("there are too many faces to look for solids that overlap",)),
        questions=(*faults, *walk.questions),
    )


def _faults_in_log() -> tuple[str, ...]:
    """A question where the library found faults since the last call; it reads on without what is wrong."""
    errors = _errors_in_log()
    if not errors:
        return ()
    faults = count(len(errors), "fault")
    return (f"the IFC file has {faults}, the first: {errors[0]}; something may be missing, export it again",)


def _errors_in_log() -> list[str]:
    get_log: Callable[[], str] = ifcopenshell.get_log
    lines = (line for line in get_log().splitlines() if "[error]" in line.lower())
    return [re.sub(r"^(\[[^\]]*\]\s*)+", "", line)[:120] for line in lines]


class _Walk:
    """One pass over the products of a file."""

    def __init__(self, file: Entity) -> None:
        self.units = units_of(file)
        serialised = ifcopenshell.ifcopenshell_wrapper.SERIALIZED
        self._exact = _settings({"iterator-output": serialised})
        self._mesh = _settings({"mesher-angular-deflection": _FACET_ANGLE_RAD})
        self.solids: list[Solid] = []
        self.surfaces: list[tuple[Floats, Integers]] = []
        self.left_out: list[LeftOut] = []
        self.points: list[NamedPoint] = []
        self.remarks: list[str] = []
        self.questions: list[str] = []

    def product(self, product: Entity) -> None:
        """Take one product: a solid, a point, a holder of parts, or something to report."""
        if any(_is_a(product, kind) for kind in _NO_MATTER):
            return
        if _has_body(product) and (product.is_a("IfcElement") or _is_a(product, "IfcProxy")):
            self._body(product)
        elif any(_is_a(product, kind) for kind in _POINTS):
            self._named_point(product)
        elif product.is_a("IfcElement"):
            self._without_body(product)

    def _without_body(self, element: Entity) -> None:
        declared = declared_weight(element, self.units)
        if _parts(element):
            if declared.mass_kg is not None:
                self.remarks.append(
                    f"{_name(element)} declares {declared.mass_kg:g} kg for the whole; its parts are weighed one by "
                    "one, so compare"
                )
        elif declared.mass_kg is not None:
            reason = f"it declares {declared.mass_kg:g} kg but has no body, so its place is not known; add it as a part"
            self.left_out.append(LeftOut(_name(element), reason))
        else:
            self.left_out.append(LeftOut(_name(element), "it has neither body nor weight; model one of them"))

    def _body(self, element: Entity) -> None:
        name = _name(element)
        if any(_has_body(part) for part in _parts(element)):
            self.questions.append(
                f"{name}: it and its parts both have a body, so its mass would be counted twice; keep one of them"
            )
        declared, material = declared_weight(element, self.units), material_of(element, self.units)
        try:
            exact = self._solid(element, name)
        except NotASolidError as reason:
            weight = f" (it declares {declared.mass_kg:g} kg)" if declared.mass_kg is not None else ""
            self.left_out.append(LeftOut(name, f"{reason}{weight}"))
            return
        openings = openings_of(element)
        cut = (f"{count(openings, 'opening')} cut out",) if openings else ()
        self.surfaces.append((exact.vertices_m, exact.triangles))
        self.solids.append(
            Solid(
                name,
                exact.shape,
                material=material.name,
                density_kg_m3=material.density_kg_m3,
                density_source=material.source,
                declared_mass_kg=declared.mass_kg,
                declared_source=declared.source,
                remarks=(*exact.remarks, *cut, *declared.remarks, *material.remarks),
            )
        )

    def _solid(self, element: Entity, name: str) -> ExactSolid:
        try:
            built: Entity = ifcopenshell.geom.create_shape(self._exact, element)
        except RuntimeError as error:
            raise NotASolidError(
                f"its body cannot be built ({' '.join(str(error).split())[:80]}); check it in the program that made it"
            ) from None
        errors = _errors_in_log()
        if errors:
            raise NotASolidError(
                f"its body was built with a fault ({errors[0]}), so its volume is not certain; check it in the program "
                "that made it"
            )
        shape = TopoDS_Shape()
        BRepTools.Read_s(shape, io.BytesIO(built.geometry.brep_data.encode()), BRep_Builder())
        bodies = list(parts_of(shape, TopAbs_ShapeEnum.TopAbs_SOLID))
        loose = next(parts_of(shape, TopAbs_ShapeEnum.TopAbs_FACE, TopAbs_ShapeEnum.TopAbs_SOLID), None)
        if not bodies or loose is not None:
            return self._by_mesh(element, name)
        return _joined([exact_solid(body, 1.0) for body in bodies])

    def _by_mesh(self, element: Entity, name: str) -> ExactSolid:
        """The body from its facets, where it is a bag of faces and not a solid of the kernel."""
        built: Entity = ifcopenshell.geom.create_shape(self._mesh, element)
        mesh = built.geometry
        piece = MeshPiece(
            name,
            np.array(mesh.verts, dtype=np.float64).reshape(-1, 3),
            np.array(mesh.faces, dtype=np.int64).reshape(-1, 3),
        )
        found = bodies_of([piece], whole_pieces=True)
        if found.left_out or not found.bodies:
            raise NotASolidError(found.left_out[0].reason if found.left_out else "it encloses no volume")
        body = found.bodies[0]
        return ExactSolid(body.shape, body.vertices_m, body.triangles, body.remarks)

    def _named_point(self, product: Entity) -> None:
        if not product.Name or product.ObjectPlacement is None:
            return
        placement = ifcopenshell.util.placement.get_local_placement(product.ObjectPlacement)
        local = _single_point(product)
        at = (placement @ np.array([*local, 1.0]))[:3] * self.units.length_m
        self.points.append(NamedPoint(product.Name, vector(at), product.is_a()))


def _settings(choices: dict[str, float]) -> Entity:
    make: Callable[[], Entity] = ifcopenshell.geom.settings
    settings = make()
    settings.set("use-world-coords", True)
    for name, value in choices.items():
        settings.set(name, value)
    return settings


def _joined(bodies: list[ExactSolid]) -> ExactSolid:
    """Bodies of one element as one.

    Raises:
        NotASolidError: they overlap, so that what they share would be counted twice.
    """
    if len(bodies) == 1:
        return bodies[0]
    if overlaps_of([(body.vertices_m, body.triangles) for body in bodies]):
        raise NotASolidError("its bodies overlap, so its volume would be counted twice; join them")
    volumes = [body.shape.volume_m3 for body in bodies]
    centres = [body.shape.centroid_m for body in bodies]
    shape = MassProperties(
        sum(volumes),
        centre_of_all(volumes, centres),
        inertia_of_all(volumes, centres, [body.shape.inertia_m5 for body in bodies]),
        vector(np.min([body.shape.low_m for body in bodies], axis=0)),
        vector(np.max([body.shape.high_m for body in bodies], axis=0)),
    )
    offsets = np.cumsum([0] + [len(body.vertices_m) for body in bodies])
    return replace(
        bodies[0],
        shape=shape,
        vertices_m=np.concatenate([body.vertices_m for body in bodies]),
        triangles=np.concatenate([b.triangles + k for b, k in zip(bodies, offsets, strict=False)]),
        remarks=(*dict.fromkeys(r for body in bodies for r in body.remarks), f"made of {len(bodies)} bodies"),
    )


def _is_a(product: Entity, kind: str) -> bool:
    try:
        return bool(product.is_a(kind))
    except RuntimeError:
        return False  # the schema of the file does not know this kind


def _has_body(product: Entity) -> bool:
    representation = getattr(product, "Representation", None)
    if representation is None:
        return False
    return any(
        shape.RepresentationIdentifier in ("Body", "Facetation", "Body-FallBack")
        or (shape.RepresentationIdentifier is None and shape.RepresentationType not in _NOT_BODIES)
        for shape in representation.Representations
    )


_NOT_BODIES = (
    "Point",
    "PointCloud",
    "Curve",
    "Curve2D",
    "Curve3D",
    "Annotation2D",
    "GeometricCurveSet",
    "BoundingBox",
)


def _single_point(product: Entity) -> Vector:
    """The point that represents a product, relative to its placement; its origin where there is none."""
    representation = getattr(product, "Representation", None)
    for shape in representation.Representations if representation is not None else ():
        for item in shape.Items:
            if item.is_a("IfcCartesianPoint"):
                x, y, z = (*item.Coordinates, 0.0, 0.0)[:3]
                return (float(x), float(y), float(z))
    return (0.0, 0.0, 0.0)


def _parts(element: Entity) -> list[Entity]:
    return [
        part
        for relation in getattr(element, "IsDecomposedBy", None) or ()
        for part in relation.RelatedObjects
    ]


def _name(element: Entity) -> str:
    """Name of an element with those of the assemblies above it."""
    own = " ".join((element.Name or "").split()) or f"{element.is_a()} #{element.id()}"
    for relation in getattr(element, "Decomposes", None) or ():
        whole = relation.RelatingObject
        if whole.is_a("IfcElement"):
            return f"{_name(whole)} / {own}"
    return own
