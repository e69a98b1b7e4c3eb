"""What cannot be true of the parts of a load: said while the file is read."""

from __future__ import annotations

import difflib
from collections.abc import Iterator

from plumbhook.core.units import format_quantity
from plumbhook.model.densities import load_densities, material_densities
from plumbhook.model.finding import Finding
from plumbhook.model.load import Load, part_mass_tolerance_kg, parts_mass_kg
from plumbhook.model.part import Part, free_range_m, signed_mass_kg
from plumbhook.model.yaml_source import Path


def part_findings(load: Load) -> Iterator[Finding]:
    """Parts that contradict themselves, and openings that take away more than there is."""
    for position, part in enumerate(load.parts):
        path: Path = ("load", "parts", position)
        yield from _shape(part, path)
        yield from _movable(part, path)
        if part.tolerance is not None and part.tolerance.of(part.mass_kg) > part.mass_kg:
            yield Finding(
                (*path, "tolerance"), "the tolerance is more than the mass of the part; correct one of them"
            )
    if load.parts and not parts_mass_kg(load) > 0.0:
        yield Finding(
            ("load", "parts"), "the openings take away as much as the other parts weigh; correct the masses"
        )
    elif load.parts and _least_kg(load) <= 0.0:
        yield Finding(
            ("load", "parts"),
            "within their tolerances the openings may take away all that the other parts weigh; narrow them",
        )
    if load.kind is not None and load.kind not in load_densities():
        yield Finding(("load", "kind"), _unknown(load.kind, "kind of load", tuple(load_densities())))


def _least_kg(load: Load) -> float:
    return sum(
        signed_mass_kg(part) - min(part_mass_tolerance_kg(load, part) or 0.0, part.mass_kg)
        for part in load.parts
    )


def _shape(part: Part, path: Path) -> Iterator[Finding]:
    if part.size_m is not None and part.cylinder is not None:
        yield Finding(
            (*path, "cylinder"), "the shape is given twice; keep size (a box) or cylinder, not both"
        )
    if part.solid_of is None:
        return
    if part.solid_of not in material_densities():
        known = tuple(material_densities())
        yield Finding((*path, "solid_of"), _unknown(part.solid_of, "material", known))
    if part.size_m is None and part.cylinder is None:
        yield Finding(
            (*path, "solid_of"),
            "the material is given without a shape; add size or cylinder, or leave it out",
        )


def _movable(part: Part, path: Path) -> Iterator[Finding]:
    if part.movable is None:
        return
    path = (*path, "movable")
    if part.opening:
        yield Finding(path, "an opening cannot move; leave movable out")
    if part.movable.kind == "loose" and part.movable.fills is not None:
        yield Finding((*path, "fills"), "only a fluid fills its room; leave this out for a loose part")
    room = part.movable.within
    if room is not None and not all(low < high for low, high in zip(room.low_m, room.high_m, strict=True)):
        yield Finding(
            (*path, "within"), "the low end is not below the high end along each axis; correct them"
        )
        return
    reach = free_range_m(part)
    if reach is None:
        return
    for axis, at, low, high in zip("xyz", part.at_m, *reach, strict=True):
        if not low - 1e-9 <= at <= high + 1e-9:
            yield Finding(
                (*path, "within"),
                f"along {axis} its centre of gravity ({_length(at)}) is outside where it can be "
                f"({_length(low)} to {_length(high)}); correct the place, the room or how far it is filled",
            )


def _unknown(word: str, what: str, known: tuple[str, ...]) -> str:
    near = difflib.get_close_matches(word, known, n=1, cutoff=0.6)
    hint = f'did you mean "{near[0]}"? ' if near else ""
    return f'"{word}" is not a {what} of the table; {hint}Known are {", ".join(known)}'


def _length(value_m: float) -> str:
    return format_quantity(value_m, "m", "m", decimals=3)
