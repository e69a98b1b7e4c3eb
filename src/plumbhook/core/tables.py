"""Tables as CSV: the unit in the head of each column, the origin of the numbers in a sidecar file.

A column is headed ``wll [t]`` (number in the cell, unit in the head), ``wll_kg`` (SI by its suffix) or
``wll`` (each cell carries its own unit). Tables that come with the program have a sidecar of the same name
ending in ``.toml`` that names document, edition, table, page, who transcribed and who checked it, the number
of rows and the SHA-256 of the CSV; :func:`read_sourced_table` refuses a table that no longer agrees with it.
Users' own tables (stock, charts) have none and are read by :func:`read_table`.
"""

from __future__ import annotations

import csv
import datetime
import difflib
import hashlib
import io
import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from typing import Literal

from plumbhook.core.check import SourceQuality
from plumbhook.core.errors import InputError, PlumbhookError, Problem
from plumbhook.core.units import Kind, UnitError, parse_quantity

Cell = str | int | float | datetime.date | None
MOST_ROWS = 100_000


class TableError(PlumbhookError):
    """A table that comes with the program does not agree with its sidecar: never used, whatever is wrong."""


@dataclass(frozen=True, slots=True)
class Column:
    """What a column holds.

    Attributes:
        name: head of the column without its unit.
        holds: kind of quantity (read to an SI float), or ``text``, ``whole`` (number) or ``date``.
        required: whether the column must be there and no cell of it may be empty.
    """

    name: str
    holds: Kind | Literal["text", "whole", "date"]
    required: bool = False


@dataclass(frozen=True, slots=True)
class Row:
    """One row: its 1-based line in the file, and its cells by column name; None where a cell is empty."""

    line: int
    cells: Mapping[str, Cell]

    def number(self, name: str) -> float | None:
        """The SI number in a column of a quantity, None where the cell is empty.

        Raises:
            KeyError: no such column.
            TypeError: the column does not hold a quantity.
        """
        cell = self.cells[name]
        if cell is None or isinstance(cell, float):
            return cell
        raise TypeError(f"column {name} does not hold a quantity")

    def text(self, name: str) -> str:
        """The text in a column, "" where the cell is empty.

        Raises:
            KeyError: no such column.
        """
        cell = self.cells[name]
        return "" if cell is None else str(cell)

    def whole(self, name: str) -> int | None:
        """The whole number in a column, None where the cell is empty.

        Raises:
            KeyError: no such column.
            TypeError: the column does not hold whole numbers.
        """
        cell = self.cells[name]
        if cell is None or isinstance(cell, int):
            return cell
        raise TypeError(f"column {name} does not hold whole numbers")

    def date(self, name: str) -> datetime.date | None:
        """The date in a column, None where the cell is empty.

        Raises:
            KeyError: no such column.
            TypeError: the column does not hold dates.
        """
        cell = self.cells[name]
        if cell is None or isinstance(cell, datetime.date):
            return cell
        raise TypeError(f"column {name} does not hold dates")


@dataclass(frozen=True, slots=True)
class Provenance:
    """Where the numbers of a table come from, and who stands for the transcription."""

    document: str
    edition: str
    table: str
    page: str
    transcribed_by: str
    checked_by: str
    date: datetime.date
    rows: int
    sha256: str
    quality: SourceQuality
    note: str = ""


@dataclass(frozen=True, slots=True)
class SourcedTable:
    """Rows of a table with their provenance."""

    provenance: Provenance
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class _Head:
    """A column as found in the file: its position, what it holds, and the unit its cells are in."""

    position: int
    column: Column
    unit: str
    written: str


def read_table(text: str, columns: Sequence[Column], *, source: str) -> tuple[Row, ...]:
    """Read a CSV.

    Args:
        text: the CSV; the first row is the head; empty rows are skipped.
        columns: the columns that may be there, in any order.
        source: name of the file, for the messages.

    Returns:
        The rows in order; every column of ``columns`` has a cell in every row.

    Raises:
        InputError: with every problem found, each with its line and column.
    """
    records = _records(text, source)
    if not records:
        raise InputError.one("the table is empty; its first line names the columns", source=source)
    problems: list[Problem] = []
    heads = _heads(records[0], columns, source, problems)
    width = len(records[0][1])
    rows = [_row(line, cells, width, heads, columns, source, problems) for line, cells in records[1:]]
    if problems:
        raise InputError(tuple(sorted(problems, key=lambda problem: problem.line or 0)))
    return tuple(rows)


def _records(text: str, source: str) -> list[tuple[int, list[str]]]:
    """Line number and cells of every row that is not empty."""
    reader = csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline=""), strict=True)
    records: list[tuple[int, list[str]]] = []
    line = 1
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                records.append((line, [cell.strip() for cell in cells]))
            if len(records) > MOST_ROWS:
                raise InputError.one(f"the table has more than {MOST_ROWS} rows", line=line, source=source)
            line = reader.line_num + 1
    except csv.Error:
        raise InputError.one(
            "this row cannot be read as CSV; check that every quotation mark is closed",
            line=line,
            source=source,
        ) from None
    return records


def _heads(
    head: tuple[int, list[str]], columns: Sequence[Column], source: str, problems: list[Problem]
) -> list[_Head]:
    line, names = head
    known = {column.name: column for column in columns}
    found: dict[str, _Head] = {}
    for position, written in enumerate(names):
        name, unit = _name_and_unit(written, known)
        column = known.get(name)
        message = _head_problem(written, name, unit, column, known)
        if column is not None and not message and name in found:
            message = f'the column "{name}" is given twice; keep one of the two'
        if message:
            problems.append(Problem(written, message, line, source))
        elif column is not None:
            found[name] = _Head(position, column, unit, written)
    problems.extend(
        Problem(column.name, "this column is missing; add it to the head of the table", line, source)
        for column in columns
        if column.required and column.name not in {_name_and_unit(name, known)[0] for name in names}
    )
    return list(found.values())


def _name_and_unit(written: str, known: Mapping[str, Column]) -> tuple[str, str]:
    match = re.fullmatch(r"(.*?)\s*\[(.+)\]", written)
    if match:
        return match.group(1), match.group(2).strip()
    if written not in known:
        for name, column in known.items():
            if isinstance(column.holds, Kind) and written == f"{name}_{column.holds.value}":
                return name, column.holds.value
    return written, ""


# SI unit words whose spelling in a name differs from that in a text.
_SI_TEXT = {
    "1": "", "Nm": "N.m", "m_s": "m/s", "kg_per_m": "kg/m", "kg_per_m3": "kg/m3", "m_s2": "m/s2",
    "N_per_m": "N/m", "N_per_m3": "N/m3",
    "Nm_per_rad": "N.m/rad", "m2_per_kg": "m2/kg",
}  # fmt: skip


def _head_problem(
    written: str, name: str, unit: str, column: Column | None, known: Mapping[str, Column]
) -> str:
    """What is wrong with the head of a column; "" if nothing."""
    if not written:
        return "a column has no name; name it or delete it"
    if column is None:
        near = difflib.get_close_matches(name, list(known), n=1, cutoff=0.6)
        hint = f'did you mean "{near[0]}"?' if near else f"known are {', '.join(known)}"
        return f"this column is not known; {hint}"
    if not unit:
        return ""
    if not isinstance(column.holds, Kind):
        return f'the column "{name}" has no unit; head it "{name}"'
    try:
        parse_quantity(f"1 {_SI_TEXT.get(unit, unit)}", column.holds)
    except UnitError as error:
        return f"the unit of the column cannot be used: {error}"
    return ""


def _row(
    line: int,
    cells: list[str],
    width: int,
    heads: Sequence[_Head],
    columns: Sequence[Column],
    source: str,
    problems: list[Problem],
) -> Row:
    values: dict[str, Cell] = {column.name: None for column in columns}
    if any(cells[width:]):
        message = f"the row has {len(cells)} cells, the head {width}; put texts with commas in quotes"
        problems.append(Problem("", message, line, source))
        return Row(line, values)
    for head in heads:
        text = cells[head.position] if head.position < len(cells) else ""
        try:
            values[head.column.name] = _cell(text, head)
        except ValueError as error:
            problems.append(Problem(head.written, str(error), line, source))
    return Row(line, values)


def _cell(text: str, head: _Head) -> Cell:
    """The value of a cell.

    Raises:
        ValueError: with one sentence.
    """
    holds = head.column.holds
    if not text:
        if head.column.required:
            raise ValueError("the cell is empty; this column needs a value in every row")
        return None
    if isinstance(holds, Kind):
        return parse_quantity(f"{text} {_SI_TEXT.get(head.unit, head.unit)}".strip(), holds)
    if holds == "whole":
        if not re.fullmatch(r"[+-]?\d{1,9}", text):
            raise ValueError(f'"{text}" is not a whole number')
        return int(text)
    if holds == "date":
        return _date(text)
    return text


def _date(text: str) -> datetime.date:
    cure = "write year, month and day as in 2027-03-17"
    if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", text):
        raise ValueError(f'"{text}" is not a date; {cure}')
    try:
        return datetime.date.fromisoformat(text)
    except ValueError:
        raise ValueError(f'"{text}" is not a day of the calendar; {cure}') from None


def table_sha256(text: str) -> str:
    """SHA-256 of a CSV as a sidecar states it: over its UTF-8 bytes with line ends as LF."""
    return hashlib.sha256(text.replace("\r\n", "\n").encode()).hexdigest()


def read_sourced_table(
    text: str, sidecar: str, columns: Sequence[Column], *, source: str, increasing: str = ""
) -> SourcedTable:
    """Read a table that comes with the program and hold it against its sidecar.

    Args:
        text: the CSV.
        sidecar: the TOML beside it.
        columns: as for :func:`read_table`.
        source: name of the table, for the messages.
        increasing: name of a column whose numbers must grow from row to row; "" for none.

    Raises:
        TableError: the sidecar lacks a field, or rows or checksum differ, or a row cannot be read.
    """
    provenance = _provenance(sidecar, source)
    digest = table_sha256(text)
    if digest != provenance.sha256:
        raise TableError(
            f"{source}: the table was changed since its sidecar was written (SHA-256 is {digest})"
        )
    try:
        rows = read_table(text, columns, source=source)
    except InputError as error:
        raise TableError(str(error)) from error
    if len(rows) != provenance.rows:
        raise TableError(f"{source}: the table has {len(rows)} rows, its sidecar says {provenance.rows}")
    if increasing:
        _hold_increasing(rows, increasing, source)
    return SourcedTable(provenance, rows)


@lru_cache(maxsize=64)
def packaged_table(name: str, columns: tuple[Column, ...], increasing: str = "") -> SourcedTable:
    """A table of ``data/tables`` that comes with the program, held against its sidecar.

    Args:
        name: name of the file without its ending.
        columns: as for :func:`read_table`.
        increasing: as for :func:`read_sourced_table`.

    Returns:
        The table; read once.

    Raises:
        TableError: the table or its sidecar is missing, or they do not agree.
    """
    folder = files("plumbhook").joinpath("data", "tables")
    try:
        text = folder.joinpath(f"{name}.csv").read_text(encoding="utf-8")
        sidecar = folder.joinpath(f"{name}.toml").read_text(encoding="utf-8")
    except FileNotFoundError:
        raise TableError(f"{name}: the table or its sidecar is missing; install the program again") from None
    return read_sourced_table(text, sidecar, columns, source=f"{name}.csv", increasing=increasing)


def packaged_tables() -> tuple[str, ...]:
    """Names of the tables that come with the program."""
    folder = files("plumbhook").joinpath("data", "tables")
    return tuple(sorted(item.name[:-4] for item in folder.iterdir() if item.name.endswith(".csv")))


def _hold_increasing(rows: Sequence[Row], name: str, source: str) -> None:
    previous: float | None = None
    for row in rows:
        number = row.number(name)
        if number is None or (previous is not None and number <= previous):
            raise TableError(f"{source}, line {row.line}: the column {name} does not grow from row to row")
        previous = number


def _provenance(sidecar: str, source: str) -> Provenance:
    try:
        data = tomllib.loads(sidecar)
    except tomllib.TOMLDecodeError as error:
        raise TableError(f"{source}: the sidecar cannot be read: {error}") from None
    texts = ("document", "edition", "table", "page", "transcribed_by", "checked_by", "sha256")
    absent = [name for name in (*texts, "date", "rows", "quality") if name not in data]
    unknown = [name for name in data if name not in {*texts, "date", "rows", "quality", "note"}]
    wrong = [name for name in texts if name in data and not isinstance(data[name], str)]
    if absent or unknown or wrong:
        raise TableError(
            f"{source}: the sidecar lacks {absent}, does not know {unknown}, needs text in {wrong}"
        )
    if not isinstance(data["date"], datetime.date) or type(data["rows"]) is not int:
        raise TableError(f"{source}: the sidecar needs a date and a whole number of rows")
    try:
        quality = SourceQuality[str(data["quality"])]
    except KeyError:
        known = ", ".join(member.name for member in SourceQuality)
        raise TableError(f"{source}: the quality of a sidecar is one of {known}") from None
    return Provenance(
        date=data["date"],
        rows=data["rows"],
        quality=quality,
        note=str(data.get("note", "")),
        **{name: data[name] for name in texts},
    )
