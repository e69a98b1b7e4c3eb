"""Densities that the user gives, by name of a material or of a solid: from options and from a CSV file."""

from __future__ import annotations

import csv
import difflib
import io
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fnmatch import fnmatchcase

from plumbhook.core.errors import InputError, Problem
from plumbhook.core.units import Kind, UnitError, format_quantity, parse_quantity
from plumbhook.model.solids import HEAVIEST_KG_M3, LIGHTEST_KG_M3, LeftOut, Solid

EVERYTHING = "*"
_COLUMNS = ("name", "density", "source")


@dataclass(frozen=True, slots=True)
class GivenDensity:
    """A density for a material or for solids.

    Attributes:
        name: name of a material or of a solid, small and capital letters alike; ``*`` stands for any letters,
            and ``*`` alone for all solids that have no density otherwise (an assumption).
        density_kg_m3: the density.
        source: where it comes from.
        field: the option or column it was given in, for messages.
        line: line in the file of densities, None where there is none.
        file: the file of densities.
    """

    name: str
    density_kg_m3: float
    source: str = "given by the user"
    field: str = "--density"
    line: int | None = None
    file: str = ""

    @property
    def is_assumption(self) -> bool:
        """Whether it stands for everything that has no density."""
        return self.name == EVERYTHING

    def fits(self, solid: Solid) -> int:
        """How closely it names a solid: 3 its name, 2 its material, 1 by a pattern, 0 not at all."""
        return self._closeness(solid.name.casefold(), solid.material.casefold())

    def would_fit(self, gone: LeftOut) -> bool:
        """Whether it names something that was left out."""
        return self._closeness(gone.name.casefold(), "") > 0

    def _closeness(self, name: str, material: str) -> int:
        wanted = self.name.casefold()
        if wanted == name:
            return 3
        if material and wanted == material:
            return 2
        pattern = wanted.replace("[", "[[]")
        return int("*" in wanted and any(text and fnmatchcase(text, pattern) for text in (name, material)))


def densities_of_texts(texts: Iterable[str]) -> tuple[GivenDensity, ...]:
    """Densities written as ``NAME=7850 kg/m3``.

    Raises:
        InputError: every text that is no such density, one sentence each.
    """
    problems: list[Problem] = []
    found = []
    for text in texts:
        name, sign, density = text.rpartition("=")
        if not sign or not name.strip():
            problems.append(
                Problem("--density", f'"{text}" is no density; write NAME=DENSITY, as in "steel=7850 kg/m3"')
            )
            continue
        try:
            found.append(GivenDensity(name.strip(), _density(density)))
        except UnitError as error:
            problems.append(Problem("--density", f"{name.strip()}: {error}"))
    if problems:
        raise InputError(tuple(problems))
    return tuple(found)


def densities_of_mapping(densities: Mapping[str, str | float]) -> tuple[GivenDensity, ...]:
    """Densities by name, each a text with its unit or a number in kg/m3.

    Raises:
        InputError: every density that is none, one sentence each.
    """
    return densities_of_texts(
        f"{name}={value if isinstance(value, str) else f'{value!r} kg/m3'}"
        for name, value in densities.items()
    )


def densities_of_csv(text: str, file: str) -> tuple[GivenDensity, ...]:
    """Densities of a CSV file with the columns ``name``, ``density`` (with its unit) and ``source``.

    Raises:
        InputError: everything that is wrong with the file, with its line.
    """
    rows = csv.reader(io.StringIO(text), strict=True)
    problems: list[Problem] = []
    found: list[GivenDensity] = []
    try:
        head = [cell.strip().lower() for cell in next(rows, [])]
        if tuple(head) != _COLUMNS:
            raise InputError.one(
                f"the first line must be {','.join(_COLUMNS)}; it is {','.join(head) or 'empty'}",
                line=1,
                source=file,
            )
        for row in rows:
            if any(cell.strip() for cell in row):
                one = _row(row, rows.line_num, file)
                (problems if isinstance(one, Problem) else found).append(one)  # type: ignore[arg-type]
    except csv.Error as error:
        problems.append(Problem("", f"this is no CSV: {error}", rows.line_num, file))
    if not found and not problems:
        problems.append(
            Problem("", "there is no density in the file; add a line for each material", None, file)
        )
    if problems:
        raise InputError(tuple(problems))
    return tuple(found)


def _row(row: Sequence[str], line: int, file: str) -> GivenDensity | Problem:
    if len(row) != len(_COLUMNS):
        return Problem(
            "", f"a line has {len(_COLUMNS)} cells ({', '.join(_COLUMNS)}), this one {len(row)}", line, file
        )
    name, density, source = (cell.strip() for cell in row)
    for word, cell in (("name", name), ("source", source)):
        if not cell:
            return Problem(word, "there is no text here; write some", line, file)
    try:
        return GivenDensity(name, _density(density), source, "density", line, file)
    except UnitError as error:
        return Problem("density", str(error), line, file)


def _density(text: str) -> float:
    value = parse_quantity(text, Kind.DENSITY)
    if not LIGHTEST_KG_M3 <= value <= HEAVIEST_KG_M3:
        low, high = (
            format_quantity(limit, "kg_per_m3", "kg/m3") for limit in (LIGHTEST_KG_M3, HEAVIEST_KG_M3)
        )
        cure = "check the sign" if value < 0.0 else "check the number and the unit"
        raise UnitError(f'"{text.strip()}" is no density of a material (from {low} to {high}); {cure}')
    return value


def matched(
    densities: Sequence[GivenDensity], solids: Sequence[Solid], source: str, left_out: Sequence[LeftOut] = ()
) -> tuple[list[GivenDensity | None], GivenDensity | None]:
    """The density given for each solid (None where there is none), and that for all the rest.

    A density for something that was left out is no mistake: the report says why that is not weighed.

    Raises:
        InputError: a density fits nothing in the model, or two that fit equally well differ; all of them.
    """
    assumed = [one for one in densities if one.is_assumption]
    named = [one for one in densities if not one.is_assumption]
    problems = [
        _unused(one, solids, source)
        for one in named
        if not any(map(one.fits, solids)) and not any(map(one.would_fit, left_out))
    ]
    problems += [_twice(one, assumed[0]) for one in assumed[1:]]
    chosen: list[GivenDensity | None] = []
    clashes: dict[tuple[str, str], Problem] = {}
    for solid in solids:
        best = max((one.fits(solid) for one in named), default=0)
        fitting = [one for one in named if best and one.fits(solid) == best]
        chosen.append(fitting[0] if fitting else None)
        for other in fitting[1:]:
            if other.density_kg_m3 != fitting[0].density_kg_m3:
                clashes[fitting[0].name, other.name] = _twice(other, fitting[0], solid.name)
    problems += clashes.values()
    if problems:
        raise InputError(tuple(problems))
    return chosen, assumed[0] if assumed else None


def _twice(one: GivenDensity, first: GivenDensity, solid: str = "") -> Problem:
    what = f" for {solid}" if solid else ""
    return Problem(
        one.field,
        f"{first.name} and {one.name} give two densities{what}; keep one of them",
        one.line,
        one.file,
    )


def _unused(one: GivenDensity, solids: Sequence[Solid], source: str) -> Problem:
    names = sorted({solid.material for solid in solids if solid.material} | {solid.name for solid in solids})
    near = difflib.get_close_matches(one.name, names, n=1, cutoff=0.6)
    there = ", ".join(names[:8]) + (" ..." if len(names) > 8 else "")
    cure = f"did you mean {near[0]}?" if near else f"there are: {there or 'no solids at all'}"
    return Problem(
        one.field, f"no material or solid of {source} is called {one.name}; {cure}", one.line, one.file
    )
