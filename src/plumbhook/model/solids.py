"""Solids of a model of the load: what a file says of them, and what they weigh together.

A file gives shapes, names and sometimes materials and weights (:class:`SolidModel`); with densities it becomes
a take-off of weight and centre of gravity (:class:`SolidsReport`). What has no density has no mass: it is named,
never guessed, and while anything is open the totals are NaN.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from enum import Enum
from functools import cached_property
from typing import Literal

import numpy as np

from plumbhook.core.units import format_quantity
from plumbhook.model.mass_properties import (
    MassProperties,
    Matrix,
    Vector,
    centre_of_all,
    inertia_of_all,
    matrix,
)

# Lightest foams and heaviest metals; common practice, no source. Outside, the unit is likely wrong.
LIGHTEST_KG_M3 = 10.0
HEAVIEST_KG_M3 = 23_000.0
# Declared weight and volume times density farther apart than this are worth a remark.
_AGREEMENT = 0.05
_NOWHERE: Vector = (math.nan, math.nan, math.nan)
_NO_INERTIA: Matrix = (_NOWHERE, _NOWHERE, _NOWHERE)


@dataclass(frozen=True, slots=True)
class Solid:
    """One solid of a model, as the file has it.

    Attributes:
        name: its name in the model, with the assemblies above it.
        shape: volume, centroid, inertia and bounding box in the axes of the model.
        material: name of its material; "" where the file has none.
        density_kg_m3: density in the file; None where it has none.
        density_source: where in the file the density stands.
        declared_mass_kg: mass that the file declares; None where it declares none.
        declared_source: where in the file the mass stands.
        remarks: what was mended or looks strange, one sentence each.
    """

    name: str
    shape: MassProperties
    material: str = ""
    density_kg_m3: float | None = None
    density_source: str = ""
    declared_mass_kg: float | None = None
    declared_source: str = ""
    remarks: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        numbers = np.asarray(
            [
                self.shape.volume_m3,
                *self.shape.centroid_m,
                *np.ravel(self.shape.inertia_m5),
                *self.shape.low_m,
            ]
        )
        if not np.isfinite(numbers).all() or self.shape.volume_m3 <= 0.0:
            raise ValueError(f"{self.name}: a solid has a finite volume above zero")
        for number in (self.density_kg_m3, self.declared_mass_kg):
            if number is not None and not math.isfinite(number):
                raise ValueError(f"{self.name}: density and declared mass are finite numbers or None")


@dataclass(frozen=True, slots=True)
class LeftOut:
    """Something of the file that gives no solid, and why.

    Attributes:
        name: its name in the model.
        reason: one sentence with the cure.
    """

    name: str
    reason: str


@dataclass(frozen=True, slots=True)
class NamedPoint:
    """A point of the model that has a name: a candidate for a lift point.

    Attributes:
        name: its name.
        at_m: where, in the axes of the model.
        feature: what it is in the file: vertex, face, node, port ...
    """

    name: str
    at_m: Vector
    feature: str


@dataclass(frozen=True, slots=True)
class Overlap:
    """Two solids that take up the same space.

    Attributes:
        first: position of the one in the list of solids.
        second: position of the other.
        at_m: a place where they do.
        inside: whether the second lies wholly inside the first.
    """

    first: int
    second: int
    at_m: Vector
    inside: bool = False


@dataclass(frozen=True, slots=True)
class SolidModel:
    """Everything that was read from one file.

    Attributes:
        format: format of the file, e.g. ``STEP``.
        unit: unit of length of the file and how it is known.
        axes: how the axes of the file became those used here, z up.
        solids: its solids.
        left_out: what gives no solid.
        points: named points.
        overlaps: pairs of solids that take up the same space.
        remarks: what else is worth knowing, one sentence each.
        questions: what must be settled before the totals can be used, one sentence each.
    """

    format: str
    unit: str
    axes: str
    solids: tuple[Solid, ...]
    left_out: tuple[LeftOut, ...] = ()
    points: tuple[NamedPoint, ...] = ()
    overlaps: tuple[Overlap, ...] = ()
    remarks: tuple[str, ...] = ()
    questions: tuple[str, ...] = ()


class MassSource(Enum):
    """Where the mass of a solid comes from, best first."""

    DECLARED = "declared weight"
    GIVEN_DENSITY = "density given"
    MODEL_DENSITY = "density in the model"
    ASSUMED_DENSITY = "density assumed"
    NONE = "no density"


@dataclass(frozen=True, slots=True)
class WeighedSolid:
    """A solid with its mass.

    Attributes:
        solid: the solid.
        mass_kg: its mass; NaN where it has no density.
        mass_source: where the mass comes from.
        density_kg_m3: density used, or mass over volume where the weight is declared; NaN where there is none.
        source: in words, for the parts list.
        remarks: of the solid, and of its mass.
        counted: False for a duplicate that the totals leave out.
    """

    solid: Solid
    mass_kg: float
    mass_source: MassSource
    density_kg_m3: float
    source: str
    remarks: tuple[str, ...] = ()
    counted: bool = True

    @property
    def is_real(self) -> bool:
        """Whether the mass rests on a declared weight or a real density, not on an assumption."""
        return self.mass_source not in (MassSource.ASSUMED_DENSITY, MassSource.NONE)

    @property
    def inertia_kg_m2(self) -> Matrix:
        """Inertia about its own centroid, the mass spread evenly over the volume; NaN without mass."""
        if math.isnan(self.mass_kg):
            return _NO_INERTIA
        return matrix(np.asarray(self.solid.shape.inertia_m5) * (self.mass_kg / self.solid.shape.volume_m3))


Duplicates = Literal["ask", "once", "all"]


@dataclass(frozen=True)
class SolidsReport:
    """The take-off of one model: weight and centre of gravity, and what they rest on.

    Attributes:
        model: what was read.
        solids: every solid with its mass, in the order of the model.
        duplicates: groups of solids of the same shape at the same place, by position in ``solids``.
        counting: what was decided of duplicates.
        source: name of the file.
    """

    model: SolidModel
    solids: tuple[WeighedSolid, ...]
    duplicates: tuple[tuple[int, ...], ...] = ()
    counting: Duplicates = "ask"
    source: str = field(default="")

    @cached_property
    def _known(self) -> tuple[WeighedSolid, ...]:
        return tuple(one for one in self.solids if one.counted and not math.isnan(one.mass_kg))

    @cached_property
    def questions(self) -> tuple[str, ...]:
        """What must be settled before the totals can be used, one sentence each with its cure."""
        found = list(self.model.questions)
        if not self.solids:
            found.append("the file has no solid that can be weighed; see what was left out")
        found += [f"{one.name}: left out: {one.reason}" for one in self.model.left_out]
        found += [
            f"{one.solid.name}: no density{_of(one.solid.material)}; give one by material or by name"
            for one in self.solids
            if one.mass_source is MassSource.NONE
        ]
        if self.counting == "ask":
            found += [
                f"{' and '.join(self.solids[i].solid.name for i in group)}: the same shape at the same place "
                f"{len(group)} times; say whether to count it once or every time"
                for group in self.duplicates
            ]
        return tuple(found)

    @property
    def is_complete(self) -> bool:
        """Whether nothing is open, so that the totals are those of the whole model."""
        return not self.questions

    @cached_property
    def known_mass_kg(self) -> float:
        """Sum of the masses that are known and counted, kg; less than the whole while questions are open."""
        return math.fsum(one.mass_kg for one in self._known)

    @property
    def mass_kg(self) -> float:
        """Mass of the whole model, kg; NaN while anything is open."""
        return self.known_mass_kg if self.is_complete else math.nan

    @cached_property
    def known_cog_m(self) -> Vector:
        """Centre of gravity of the masses that are known, m; NaN where none is."""
        if not self._known:
            return _NOWHERE
        return centre_of_all(
            [one.mass_kg for one in self._known], [one.solid.shape.centroid_m for one in self._known]
        )

    @property
    def cog_m(self) -> Vector:
        """Centre of gravity of the whole model, m; NaN while anything is open."""
        return self.known_cog_m if self.is_complete else _NOWHERE

    @cached_property
    def inertia_kg_m2(self) -> Matrix:
        """Inertia about the centre of gravity, kg m2; NaN while anything is open."""
        if not self.is_complete:
            return _NO_INERTIA
        return inertia_of_all(
            [one.mass_kg for one in self._known],
            [one.solid.shape.centroid_m for one in self._known],
            [one.inertia_kg_m2 for one in self._known],
        )

    @cached_property
    def box_m(self) -> tuple[Vector, Vector]:
        """Smallest and largest corner of the box around all solids, m; NaN where there are none."""
        shapes = [one.solid.shape for one in self.solids]
        if not shapes:
            return _NOWHERE, _NOWHERE
        low = tuple(min(shape.low_m[axis] for shape in shapes) for axis in range(3))
        high = tuple(max(shape.high_m[axis] for shape in shapes) for axis in range(3))
        return (low[0], low[1], low[2]), (high[0], high[1], high[2])

    @cached_property
    def mass_coverage(self) -> float:
        """Share of the mass with a declared weight or a real density, 0 to 1; NaN where a mass is missing."""
        counted = [one for one in self.solids if one.counted]
        if not counted or len(self._known) < len(counted):
            return math.nan
        return math.fsum(one.mass_kg for one in counted if one.is_real) / self.known_mass_kg

    @cached_property
    def volume_coverage(self) -> float:
        """Share of the volume with a declared weight or a real density, 0 to 1; NaN without solids."""
        volumes = [(one.solid.shape.volume_m3, one.is_real) for one in self.solids if one.counted]
        if not volumes:
            return math.nan
        return math.fsum(v for v, real in volumes if real) / math.fsum(v for v, _ in volumes)

    @cached_property
    def remarks(self) -> tuple[str, ...]:
        """What is worth knowing and leaves the totals standing, one sentence each."""
        found = list(self.model.remarks)
        for one in self.solids:
            found += [f"{one.solid.name}: {remark}" for remark in one.remarks]
        for overlap in self.model.overlaps:
            first, second = (self.solids[i].solid.name for i in (overlap.first, overlap.second))
            how = "lies inside" if overlap.inside else "overlaps"
            pair = f"{second} {how} {first}" if overlap.inside else f"{first} {how} {second}"
            found.append(f"{pair} near {place(overlap.at_m)}; what they share is counted twice")
        if self.counting != "ask":
            once = "once" if self.counting == "once" else "every time"
            found += [
                f"{self.solids[group[0]].solid.name}: {len(group)} times at the same place, counted {once}"
                for group in self.duplicates
            ]
        return tuple(found)


def place(at_m: Vector) -> str:
    """A point as text, e.g. ``(1.200, 0.000, -0.350) m``."""
    return f"({', '.join(three_decimals(number) for number in at_m)}) m"


def three_decimals(length_m: float) -> str:
    """A coordinate in metres to the millimetre; what rounds to nothing has no sign."""
    return f"{round(length_m, 3) + 0.0:.3f}"


def count(number: int, noun: str, plural: str = "") -> str:
    """A number with its noun, e.g. ``1 facet`` or ``3 facets``."""
    return f"{number} {noun if number == 1 else plural or noun + 's'}"


def _of(material: str) -> str:
    return f" for {material}" if material else " and no material"


def duplicates_of(solids: tuple[Solid, ...]) -> tuple[tuple[int, ...], ...]:
    """Groups of solids that have the same shape at the same place.

    Volume, centroid, inertia and bounding box must agree to one part in a million of the size; no pair of
    different parts of a real model is known to do so by chance.

    Returns:
        Positions of the solids of each group of two or more, in the order of the first.
    """
    order = sorted(range(len(solids)), key=lambda i: solids[i].shape.volume_m3)
    group_of: dict[int, list[int]] = {}
    leaders: list[int] = []
    for i in order:
        shape = solids[i].shape
        leaders = [
            k for k in leaders if shape.volume_m3 - solids[k].shape.volume_m3 <= 1e-6 * shape.volume_m3
        ]
        leader = next((k for k in leaders if _same(solids[k].shape, shape)), None)
        if leader is None:
            leaders.append(i)
            group_of[i] = [i]
        else:
            group_of[leader].append(i)
    return tuple(sorted(tuple(sorted(group)) for group in group_of.values() if len(group) > 1))


def _same(one: MassProperties, other: MassProperties) -> bool:
    size = max(h - low for low, h in zip(one.low_m, one.high_m, strict=True))
    places = np.array([[s.centroid_m, s.low_m, s.high_m] for s in (one, other)])
    inertias = np.array([one.inertia_m5, other.inertia_m5])
    return bool(
        np.abs(places[0] - places[1]).max() <= 1e-6 * size
        and np.abs(inertias[0] - inertias[1]).max() <= 1e-5 * np.abs(inertias[0]).max()
    )


def weighed(
    solid: Solid, given: tuple[float, str] | None, assumed: tuple[float, str] | None, *, counted: bool = True
) -> WeighedSolid:
    """Put a mass to a solid: its declared weight, else a density given, in the model, or assumed, in that order.

    Args:
        solid: the solid.
        given: density in kg/m3 that the user gives for this material or solid, and its source.
        assumed: density for all that have none, and its source.
        counted: False for a duplicate that is left out of the totals.

    Returns:
        The solid with its mass, NaN where there is none; a density of the model that no material can have is
        not used and remarked.
    """
    volume = solid.shape.volume_m3
    remarks = list(solid.remarks)
    in_model = solid.density_kg_m3
    if in_model is not None and not LIGHTEST_KG_M3 <= in_model <= HEAVIEST_KG_M3:
        remarks.append(f"the density of {in_model:g} kg/m³ in the model cannot be right and is not used")
        in_model = None
    choices = [
        (given, MassSource.GIVEN_DENSITY),
        ((in_model, solid.density_source) if in_model is not None else None, MassSource.MODEL_DENSITY),
        (assumed, MassSource.ASSUMED_DENSITY),
    ]
    density, source, kind = next(
        ((choice[0], choice[1], kind) for choice, kind in choices if choice is not None),
        (math.nan, "no density", MassSource.NONE),
    )
    mass = solid.declared_mass_kg
    if mass is not None and mass <= 0.0:
        remarks.append(f"the declared weight of {mass:g} kg cannot be right and is not used")
        mass = None
    if mass is None:
        text = (
            f"volume {volume:.4g} m³ × {density:g} kg/m³, {source}" if kind is not MassSource.NONE else source
        )
        return WeighedSolid(solid, volume * density, kind, density, text, tuple(remarks), counted)
    by_volume = volume * density
    if not math.isnan(by_volume) and abs(mass - by_volume) > _AGREEMENT * mass:
        remarks.append(
            f"declared {_kg(mass)}, but volume times density ({source}) gives {_kg(by_volume)}; find out which"
        )
    return WeighedSolid(
        solid, mass, MassSource.DECLARED, mass / volume, solid.declared_source, tuple(remarks), counted
    )


def _kg(mass: float) -> str:
    return format_quantity(mass, "kg", "kg")
