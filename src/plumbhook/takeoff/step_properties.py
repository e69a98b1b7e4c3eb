"""Materials, densities and declared volumes in a STEP file, from its entities and with its own units.

Files write them as properties of a product (CAx-IF recommended practices for material identification and density,
and for geometric validation properties): ``material property`` with ``material name`` and ``density``, and
``geometric validation property`` with a volume. The unit is worked out from the entities; a value whose unit is
not a density or a volume is not used, and said so.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from OCP.StepBasic import (
    StepBasic_ConversionBasedUnit,
    StepBasic_DerivedUnit,
    StepBasic_MeasureWithUnit,
    StepBasic_SiPrefix,
    StepBasic_SiUnit,
    StepBasic_SiUnitName,
)
from OCP.StepRepr import (
    StepRepr_DescriptiveRepresentationItem,
    StepRepr_MeasureRepresentationItem,
    StepRepr_PropertyDefinition,
    StepRepr_PropertyDefinitionRepresentation,
)

# Powers of kilogram and metre.
Dimension = tuple[float, float]
_MASS: Dimension = (1.0, 0.0)
_LENGTH: Dimension = (0.0, 1.0)
_DENSITY: Dimension = (1.0, -3.0)
_VOLUME: Dimension = (0.0, 3.0)
_POWER_OF_TEN = {
    "EXA": 18, "PETA": 15, "TERA": 12, "GIGA": 9, "MEGA": 6, "KILO": 3, "HECTO": 2, "DECA": 1,
    "DECI": -1, "CENTI": -2, "MILLI": -3, "MICRO": -6, "NANO": -9, "PICO": -12, "FEMTO": -15, "ATTO": -18,
}  # fmt: skip


@dataclass(slots=True)
class ProductFacts:
    """What the file says of the products of one name.

    Attributes:
        material: names of material, each once.
        density_kg_m3: densities, each once.
        volume_m3: declared volumes, each once.
        remarks: what could not be used.
    """

    material: list[str] = field(default_factory=list)
    density_kg_m3: list[float] = field(default_factory=list)
    volume_m3: list[float] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)


def facts_of_products(entities: Iterator[Any]) -> dict[str, ProductFacts]:
    """What a file says of its products, by name of product.

    Args:
        entities: every entity of the file.
    """
    found: dict[str, ProductFacts] = {}
    for entity in entities:
        if isinstance(entity, StepRepr_PropertyDefinitionRepresentation):
            _add_property(entity, found)
    return found


def _add_property(entity: Any, found: dict[str, ProductFacts]) -> None:  # noqa: ANN401 - entities have no types
    definition = entity.Definition().PropertyDefinition()
    if definition is None:
        return
    kind, product = _text(definition.Name()), product_of(definition)
    representation = entity.UsedRepresentation()
    if product is None or representation is None or kind not in _WANTED:
        return
    facts = found.setdefault(product, ProductFacts())
    for number in range(1, representation.NbItems() + 1):
        item = representation.ItemsValue(number)
        if isinstance(item, StepRepr_DescriptiveRepresentationItem) and kind == _MATERIAL:
            _once(facts.material, _text(item.Name()))
        elif isinstance(item, StepRepr_MeasureRepresentationItem):
            _add_measure(kind, _text(item.Name()), item.Measure(), facts)


_MATERIAL = "material property"
_VALIDATION = "geometric validation property"
_WANTED = (_MATERIAL, _VALIDATION)


def _add_measure(kind: str, name: str, measure: Any, facts: ProductFacts) -> None:  # noqa: ANN401
    if kind == _MATERIAL and "density" in name.lower():
        wanted, values, what = _DENSITY, facts.density_kg_m3, "density"
    elif kind == _VALIDATION and "volume" in name.lower():
        wanted, values, what = _VOLUME, facts.volume_m3, "volume"
    else:
        return
    size = _unit(measure.UnitComponent())
    if size is None or size[1] != wanted:
        _once(facts.remarks, f"the {what} in the file has no unit of a {what} and is not used")
        return
    _once(values, measure.ValueComponent() * size[0])


def product_of(definition: StepRepr_PropertyDefinition) -> str | None:
    """Name of the product that a property is of, None where it is of something else."""
    about = definition.Definition()
    product, shape = about.ProductDefinition(), about.ProductDefinitionShape()
    if about.ShapeAspect() is not None:
        shape = about.ShapeAspect().OfShape()
    if product is None and shape is not None:
        product = shape.Definition().ProductDefinition()
    if product is None:
        return None
    found = product.Formation().OfProduct()
    return _text(found.Name()) or _text(found.Id())


def _unit(select: Any) -> tuple[float, Dimension] | None:  # noqa: ANN401
    """Size in kilograms and metres, and dimension; None for what is neither mass, length nor made of them."""
    entity = select.Value() if hasattr(select, "Value") else select
    if isinstance(entity, StepBasic_DerivedUnit):
        factor, mass, length = 1.0, 0.0, 0.0
        for number in range(1, entity.NbElements() + 1):
            element = entity.ElementsValue(number)
            one = _unit(element.Unit())
            if one is None:
                return None
            power = element.Exponent()
            factor *= one[0] ** power
            mass, length = mass + power * one[1][0], length + power * one[1][1]
        return factor, (mass, length)
    if isinstance(entity, StepBasic_SiUnit):
        return _si_unit(entity)
    if isinstance(entity, StepBasic_ConversionBasedUnit):
        step: StepBasic_MeasureWithUnit = entity.ConversionFactor()
        one = _unit(step.UnitComponent())
        return None if one is None else (step.ValueComponent() * one[0], one[1])
    return None


def _si_unit(unit: StepBasic_SiUnit) -> tuple[float, Dimension] | None:
    scale = 1.0
    if unit.HasPrefix():
        prefix = next(word for word in _POWER_OF_TEN if unit.Prefix() == _prefix(word))
        scale = 10.0 ** _POWER_OF_TEN[prefix]
    if unit.Name() == StepBasic_SiUnitName.StepBasic_sunMetre:
        return scale, _LENGTH
    if unit.Name() == StepBasic_SiUnitName.StepBasic_sunGram:
        return scale / 1000.0, _MASS
    return None


def _prefix(word: str) -> StepBasic_SiPrefix:
    prefix: StepBasic_SiPrefix = getattr(StepBasic_SiPrefix, f"StepBasic_sp{word.capitalize()}")
    return prefix


def _once(values: list[Any], value: Any) -> None:  # noqa: ANN401
    if value not in values and value != "":
        values.append(value)


def _text(value: Any) -> str:  # noqa: ANN401
    return value.ToCString().strip() if value is not None else ""
