"""What an IFC file says of an element besides its shape: weight, material and density, in its own units.

Weights are quantities of the element (base quantities of the open standard ISO 16739: ``GrossWeight``,
``NetWeight``); densities are properties of its material (``MassDensity``). Units are worked out from the entities
of the file; nothing is taken to be in kilograms that does not say so.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

Entity = Any  # entities of the library have no types of their own

_POWER_OF_TEN = {
    "EXA": 18, "PETA": 15, "TERA": 12, "GIGA": 9, "MEGA": 6, "KILO": 3, "HECTO": 2, "DECA": 1,
    "DECI": -1, "CENTI": -2, "MILLI": -3, "MICRO": -6, "NANO": -9, "PICO": -12, "FEMTO": -15, "ATTO": -18,
}  # fmt: skip
_SI_SIZE = {"GRAM": 1e-3}  # all others are their own SI unit


def unit_size(unit: Entity) -> float | None:
    """Size of a unit in SI (kilogram, metre, second); None where it cannot be worked out."""
    if unit is None:
        return None
    if unit.is_a("IfcSIUnit"):
        return 10.0 ** _POWER_OF_TEN.get(unit.Prefix or "", 0) * _SI_SIZE.get(unit.Name, 1.0)
    if unit.is_a("IfcConversionBasedUnit"):
        step = unit.ConversionFactor
        inner = unit_size(step.UnitComponent)
        return None if inner is None else float(step.ValueComponent.wrappedValue) * inner
    if unit.is_a("IfcDerivedUnit"):
        size = 1.0
        for element in unit.Elements:
            inner = unit_size(element.Unit)
            if inner is None:
                return None
            size *= inner**element.Exponent
        return size
    return None


@dataclass(frozen=True, slots=True)
class Units:
    """Units of the project.

    Attributes:
        length_m: metres per unit of length.
        length_word: the unit of length in words.
        mass_kg: kilograms per unit of mass; None where the file does not say.
        density_kg_m3: size of the unit of density; None where the file does not say.
    """

    length_m: float
    length_word: str
    mass_kg: float | None
    density_kg_m3: float | None


def units_of(file: Entity) -> Units:
    """The units of an IFC file; a length unit that is not named is the SI unit, as the geometry library takes it."""
    sizes: dict[str, float | None] = {}
    words: dict[str, str] = {}
    for project in file.by_type("IfcProject") or file.by_type("IfcContext"):
        if project.UnitsInContext is None:
            continue
        for unit in project.UnitsInContext.Units:
            kind = getattr(unit, "UnitType", None)
            if kind:
                sizes[kind] = unit_size(unit)
                prefix = getattr(unit, "Prefix", None) or ""
                words[kind] = f"{prefix}{getattr(unit, 'Name', None) or kind}".lower()
    length = sizes.get("LENGTHUNIT")
    return Units(
        length if length is not None else 1.0,
        words.get("LENGTHUNIT", "metre"),
        sizes.get("MASSUNIT"),
        sizes.get("MASSDENSITYUNIT"),
    )


@dataclass(frozen=True, slots=True)
class Declared:
    """A declared weight: mass in kg (None where there is none), where it stands, and what is worth knowing."""

    mass_kg: float | None = None
    source: str = ""
    remarks: tuple[str, ...] = ()


def declared_weight(element: Entity, units: Units) -> Declared:
    """The weight that an element declares as a quantity.

    The gross weight comes first, since holes and cut-outs are often made good by what fills them; where the
    element has openings in the model, the net weight does.
    """
    found: dict[str, tuple[float, str]] = {}
    remarks = []
    for quantities in _quantity_sets(element):
        for quantity in quantities.Quantities or ():
            if not quantity.is_a("IfcQuantityWeight"):
                continue
            unit = unit_size(quantity.Unit) if quantity.Unit is not None else units.mass_kg
            if unit is None:
                remarks.append(
                    f"the {quantity.Name} of {quantity.WeightValue:g} has no unit of mass in the file and is not used"
                )
                continue
            found[quantity.Name] = (quantity.WeightValue * unit, f"{quantity.Name} in {quantities.Name}")
    first, second = ("NetWeight", "GrossWeight") if openings_of(element) else ("GrossWeight", "NetWeight")
    chosen = next((name for name in (first, second) if name in found), next(iter(found), None))
    if chosen is None:
        return Declared(remarks=tuple(remarks))
    mass, source = found[chosen]
    if len({round(other, 6) for other, _ in found.values()}) > 1:
        all_of_them = ", ".join(f"{name} {value:g} kg" for name, (value, _) in sorted(found.items()))
        remarks.append(f"the file declares {all_of_them}; {chosen} is used")
    return Declared(mass, source, tuple(remarks))


def _quantity_sets(element: Entity) -> Iterator[Entity]:
    for relation in getattr(element, "IsDefinedBy", None) or ():
        if relation.is_a("IfcRelDefinesByProperties"):
            definition = relation.RelatingPropertyDefinition
            if definition is not None and definition.is_a("IfcElementQuantity"):
                yield definition


def openings_of(element: Entity) -> int:
    """How many openings an element has."""
    return len(getattr(element, "HasOpenings", None) or ())


@dataclass(frozen=True, slots=True)
class Material:
    """Material of an element: its name, density in kg/m3 (None where there is none), where it stands."""

    name: str = ""
    density_kg_m3: float | None = None
    source: str = ""
    remarks: tuple[str, ...] = ()


def material_of(element: Entity, units: Units) -> Material:
    """The material of an element or of its type, and the density that follows from its parts."""
    shares = _shares(_assigned(element))
    if not shares:
        return Material()
    names = list(dict.fromkeys(material.Name or "unnamed material" for material, _ in shares))
    densities = [_density(material, units) for material, _ in shares]
    name = " + ".join(names)
    known = [density for density in densities if density is not None]
    if not known:
        return Material(name)
    if len(known) < len(densities):
        return Material(name, remarks=("not all of its materials have a density in the file",))
    source = "MassDensity of the material"
    if units.density_kg_m3 is None:
        source += " (in kg/m³, as the standard says is usual; the file names no unit)"
    if max(known) == min(known):
        return Material(name, known[0], source)
    thicknesses = [share for _, share in shares if share is not None]
    if len(thicknesses) < len(shares) or sum(thicknesses) <= 0.0:
        return Material(
            name, remarks=("made of several materials, and the file does not say how much of each",)
        )
    mean = sum(d * t for d, t in zip(known, thicknesses, strict=True)) / sum(thicknesses)
    return Material(name, mean, f"{source}, by thickness of its layers")


def _assigned(element: Entity) -> Entity:
    typed = (*(getattr(element, "IsTypedBy", None) or ()), *(getattr(element, "IsDefinedBy", None) or ()))
    types = [relation.RelatingType for relation in typed if relation.is_a("IfcRelDefinesByType")]
    for holder in (element, *types):
        for relation in getattr(holder, "HasAssociations", None) or ():
            if relation.is_a("IfcRelAssociatesMaterial"):
                return relation.RelatingMaterial
    return None


def _shares(assigned: Entity) -> list[tuple[Entity, float | None]]:
    """Materials with the thickness of their layer; None where they are no layers."""
    if assigned is None:
        return []
    if assigned.is_a("IfcMaterialLayerSetUsage"):
        assigned = assigned.ForLayerSet
    if assigned.is_a("IfcMaterialProfileSetUsage"):
        assigned = assigned.ForProfileSet
    if assigned.is_a("IfcMaterial"):
        return [(assigned, None)]
    if assigned.is_a("IfcMaterialLayerSet"):
        return [(layer.Material, layer.LayerThickness) for layer in assigned.MaterialLayers if layer.Material]
    if assigned.is_a("IfcMaterialLayer"):
        return [(assigned.Material, assigned.LayerThickness)] if assigned.Material else []
    inner = {
        "IfcMaterialConstituentSet": "MaterialConstituents",
        "IfcMaterialProfileSet": "MaterialProfiles",
        "IfcMaterialList": "Materials",
    }.get(assigned.is_a())
    members = (getattr(assigned, inner) or ()) if inner else (assigned,)
    materials = [one if one.is_a("IfcMaterial") else getattr(one, "Material", None) for one in members]
    return [(material, None) for material in materials if material is not None]


def _density(material: Entity, units: Units) -> float | None:
    """MassDensity of a material in kg/m3; the standard calls kg/m3 usual where the file names no unit."""
    for properties in getattr(material, "HasProperties", None) or ():
        if properties.is_a("IfcGeneralMaterialProperties") and properties.MassDensity is not None:
            return float(properties.MassDensity) * (units.density_kg_m3 or 1.0)
        members = (
            getattr(properties, "Properties", None) or getattr(properties, "ExtendedProperties", None) or ()
        )
        for one in members:
            if (
                one.is_a("IfcPropertySingleValue")
                and one.Name == "MassDensity"
                and one.NominalValue is not None
            ):
                size = unit_size(one.Unit) if one.Unit is not None else units.density_kg_m3 or 1.0
                value = one.NominalValue.wrappedValue
                return float(value) * size if size is not None and isinstance(value, int | float) else None
    return None
