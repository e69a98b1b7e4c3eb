"""Duty charts in a grid of cells: head lines that say what they hold for, then radius and capacity columns.

The head lines have a name in the first cell (``machine``, ``counterweight``, ``boom length``, ...) and one value, or
one for each capacity column. The table starts at the line whose first cell is ``radius``; every further column is a
chart, headed ``capacity`` or by what tells it from its neighbours: ``boom length 36.6 m``, ``sector over the rear``.
Units stand in brackets in the head of a column or in every cell. An empty cell, or one with a dash, is a hole.
"""

from __future__ import annotations

import csv
import hashlib
import io
import itertools
import re
from collections.abc import Sequence
from dataclasses import dataclass

from pydantic import ValidationError

from plumbhook.core.errors import InputError, Problem
from plumbhook.core.units import Kind, UnitError, parse_quantity
from plumbhook.model._problems import nearest
from plumbhook.model.crane_chart import ChartFile, ChartIdentity, ImportedChart

MOST_LINES = 2000
MOST_COLUMNS = 100

_HOLES = {"", "-", "–", "—", "−"}
_KEYS = {
    (field.alias or name).replace("_", " "): field.alias or name
    for name, field in ChartIdentity.model_fields.items()
}


@dataclass(frozen=True, slots=True)
class Grid:
    """Cells of a sheet as texts.

    Attributes:
        lines: cells of every line from the first; empty where nothing stands.
        sheet: name of the sheet; "" in a CSV.
    """

    lines: tuple[tuple[str, ...], ...]
    sheet: str = ""


def read_chart_csv(text: str, source: str) -> ChartFile:
    """Every chart of a CSV.

    Args:
        text: the CSV, as :mod:`plumbhook.model.chart_grid` describes it.
        source: name of the file, for the messages.

    Raises:
        InputError: with every problem found, each with its line.
    """
    reader = csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline=""), strict=True)
    lines: list[tuple[str, ...]] = []
    try:
        for cells in reader:
            # A quoted line break makes one row of two lines: the numbers that people see must still agree.
            lines += [()] * (reader.line_num - len(lines) - 1)
            lines.append(tuple(" ".join(cell.split()) for cell in cells))
            if len(lines) > MOST_LINES or len(cells) > MOST_COLUMNS:
                raise _too_large(source)
    except csv.Error:
        raise InputError.one(
            "this row cannot be read as CSV; check that every quotation mark is closed",
            line=reader.line_num,
            source=source,
        ) from None
    return charts_of_grids([Grid(tuple(lines))], source, hashlib.sha256(text.encode()).hexdigest())


def charts_of_grids(grids: Sequence[Grid], source: str, sha256: str) -> ChartFile:
    """Every chart of some sheets.

    Args:
        grids: the sheets.
        source: name of the file.
        sha256: SHA-256 of the file.

    Raises:
        InputError: no sheet holds a chart, or with every problem found in those that do.
    """
    charts: list[ImportedChart] = []
    problems: list[Problem] = []
    passed_over = []
    for grid in grids:
        reading = _Reading(grid, source)
        if reading.head is None:
            passed_over.append(grid.sheet)
            continue
        charts += reading.charts()
        problems += reading.problems
    if not charts and not problems:
        raise InputError.one(
            'there is no chart: no line starts with "radius"; head the table "radius [m], capacity [t]"',
            source=source,
        )
    if problems:
        raise InputError(tuple(problems))
    return ChartFile(source, sha256, tuple(charts), tuple(passed_over))


def _too_large(source: str) -> InputError:
    return InputError.one(
        f"the table has more than {MOST_LINES} lines or {MOST_COLUMNS} columns; keep the chart of this crane alone",
        source=source,
    )


class _Reading:
    """One sheet, with every problem found on the way."""

    def __init__(self, grid: Grid, source: str) -> None:
        self.problems: list[Problem] = []
        self._grid = grid
        self._source = f"{source}, sheet {grid.sheet}" if grid.sheet else source
        self.head = next((n for n, line in enumerate(grid.lines) if _is_head(line)), None)

    def charts(self) -> list[ImportedChart]:
        """The charts of the sheet, without those that have a problem."""
        assert self.head is not None
        heads = self._heads(self.head)
        lines = [
            (number, line)
            for number, line in enumerate(self._grid.lines[self.head + 1 :], start=self.head + 2)
            if any(line)
        ]
        for number, line in lines:
            if any(line[len(self._grid.lines[self.head]) :]):
                self._problem(
                    "", "the row has more cells than the head; put texts with commas in quotes", number
                )
        radii = self._radii(lines, _unit(self._grid.lines[self.head][0]))
        identities = self._identities(self.head, heads)
        found = []
        for (column, written), identity in zip(heads, identities, strict=True):
            rows = self._rows(lines, radii, column, written)
            while rows and rows[-1][1] is None:
                rows.pop()
            if not rows:
                self._problem(written, "the column holds no capacity; fill it or delete it", self.head + 1)
            elif identity is not None:
                place = f"line {self.head + 1}, column {column + 1}"
                found.append(ImportedChart(identity, tuple(rows), written, self._grid.sheet, place))
        return [] if self.problems else found

    def _problem(self, field: str, message: str, line: int | None) -> None:
        self.problems.append(Problem(field, message, line, self._source))

    def _heads(self, head: int) -> list[tuple[int, str]]:
        heads = [(n, cell) for n, cell in enumerate(self._grid.lines[head]) if n and cell]
        if not heads:
            self._problem("capacity", "this column is missing; add it to the head of the table", head + 1)
        names = [written for _, written in heads]
        for written in dict.fromkeys(names):
            if names.count(written) > 1 and not self._told_apart(head, names.count(written)):
                self._problem(
                    written,
                    "several columns have this head; say what tells them apart, for instance "
                    '"boom length 36.6 m [t]"',
                    head + 1,
                )
        return heads

    def _told_apart(self, head: int, columns: int) -> bool:
        return any(len(_values(line)) == columns > 1 for line in self._grid.lines[:head])

    def _identities(self, head: int, heads: Sequence[tuple[int, str]]) -> list[ChartIdentity | None]:
        """What each column holds for: the head lines, and what the head of the column itself says."""
        common: list[dict[str, str]] = [{} for _ in heads]
        for number, line in enumerate(self._grid.lines[:head], start=1):
            if not any(line):
                continue
            key, values = self._key(line[0], number), _values(line)
            if key is None or not values:
                continue
            if key in common[0]:
                self._problem(line[0], "this line is given twice; keep one of the two", number)
            elif len(values) in (1, len(heads)):
                for n, identity in enumerate(common):
                    identity[key] = values[0] if len(values) == 1 else values[n]
            else:
                self._problem(
                    line[0],
                    f"there are {len(values)} values for {len(heads)} capacity columns; give one, or one for each, "
                    "and put texts with commas in quotes",
                    number,
                )
        return [
            self._identity(given, written, head + 1)
            for given, (_, written) in zip(common, heads, strict=True)
        ]

    def _key(self, written: str, line: int) -> str | None:
        name = written.casefold().replace("_", " ").strip(" :")
        if name in _KEYS:
            return _KEYS[name]
        near = nearest(name, list(_KEYS))
        hint = f'did you mean "{near}"' if near else f"known are {', '.join(_KEYS)}"
        self._problem(written, f"this line of the head is not known; {hint}", line)
        return None

    def _identity(self, given: dict[str, str], written: str, line: int) -> ChartIdentity | None:
        name = re.sub(r"\s*\[[^\]]*\]$", "", written)
        if name.casefold() != "capacity":
            key = next((key for key in _KEYS if name.casefold().startswith(f"{key} ")), None)
            if key is None:
                self._problem(
                    written,
                    'this column is not known; head it "capacity [t]", or by what tells it apart, '
                    'as in "boom length 36.6 m [t]" or "sector over the rear [t]"',
                    line,
                )
                return None
            own = name[len(key) :].strip()
            if given.get(_KEYS[key], own) != own:
                self._problem(written, f"the head lines give another {key}; keep one of the two", line)
                return None
            given = {**given, _KEYS[key]: own}
        try:
            return ChartIdentity.model_validate(given)
        except ValidationError as error:
            for each in error.errors():
                self._problem(str(each["loc"][0]).replace("_", " "), each["msg"], None)
            return None

    def _radii(self, lines: Sequence[tuple[int, Sequence[str]]], unit: str) -> list[float | None]:
        radii = [self._quantity(line[0] if line else "", unit, Kind.LENGTH, "radius", n) for n, line in lines]
        given = [(radius, n) for radius, (n, _) in zip(radii, lines, strict=True) if radius is not None]
        for (nearer, _), (farther, number) in itertools.pairwise(given):
            if farther <= nearer:
                self._problem("radius", "radii must ascend; sort the rows and give each radius once", number)
        return radii

    def _rows(
        self,
        lines: Sequence[tuple[int, Sequence[str]]],
        radii: Sequence[float | None],
        column: int,
        written: str,
    ) -> list[tuple[float, float | None]]:
        rows: list[tuple[float, float | None]] = []
        before = None
        for radius, (number, line) in zip(radii, lines, strict=True):
            text = line[column] if column < len(line) else ""
            hole = text in _HOLES
            capacity = None if hole else self._quantity(text, _unit(written), Kind.MASS, written, number)
            if capacity is not None and before is not None and capacity > before:
                self._problem(
                    written, "the capacity rises with the radius; check the row in the chart", number
                )
            before = before if capacity is None else capacity
            if radius is not None:
                rows.append((radius, capacity))
        return rows

    def _quantity(self, text: str, unit: str, kind: Kind, field: str, line: int) -> float | None:
        try:
            value = parse_quantity(f"{text} {unit}".strip(), kind)
        except UnitError as error:
            self._problem(field, str(error), line)
            return None
        if value <= 0.0:
            cure = "leave the cell empty where the chart gives nothing" if kind is Kind.MASS else "correct it"
            self._problem(field, f'"{text}" is not possible here: it must be more than zero; {cure}', line)
            return None
        return value


def _is_head(line: Sequence[str]) -> bool:
    return bool(line) and re.fullmatch(r"radius(_m|\s*\[[^\]]*\])?", line[0].casefold()) is not None


def _values(line: Sequence[str]) -> list[str]:
    return [cell for cell in line[1:] if cell]


def _unit(head: str) -> str:
    """Unit in the head of a column; "" where every cell has its own."""
    match = re.search(r"\[([^\]]*)\]$", head)
    if match:
        return match.group(1).strip()
    return {"radius_m": "m", "capacity_kg": "kg"}.get(head, "")
