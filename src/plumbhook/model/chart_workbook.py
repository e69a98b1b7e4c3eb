"""Sheets of a workbook (XLSX) as grids of texts, with what could mislead refused in one sentence.

A workbook comes from somebody else: its size is looked at before it is unpacked, a document type or entity in it is
refused, and so is a formula without its last computed value. Merged cells give their value to the first cell alone,
so that a chart with merged capacities would lose some of them: it is refused.
"""

from __future__ import annotations

import hashlib
import io
import math
import re
import warnings
import zipfile
import zlib
from pathlib import PurePath
from typing import TYPE_CHECKING

from plumbhook.core.errors import InputError, Problem
from plumbhook.model.chart_grid import MOST_COLUMNS, MOST_LINES, Grid, charts_of_grids, read_chart_csv
from plumbhook.model.crane_chart import ChartFile
from plumbhook.model.yaml_source import decode

if TYPE_CHECKING:
    from collections.abc import Iterator

    from openpyxl.cell import Cell
    from openpyxl.worksheet.worksheet import Worksheet

LARGEST_WORKBOOK_BYTES = 4_000_000
_LARGEST_UNPACKED_BYTES = 40_000_000
_MOST_PARTS = 500
_BREAKS = "the file is not a workbook that can be read; save it again as XLSX, or as CSV"


def read_chart_bytes(raw: bytes, source: str) -> ChartFile:
    """Every chart of a file, CSV or XLSX by the ending of its name.

    Args:
        raw: the bytes of the file.
        source: its name.

    Raises:
        InputError: it cannot be read, or with every problem found.
    """
    ending = PurePath(source).suffix.casefold()
    if len(raw) > LARGEST_WORKBOOK_BYTES:
        raise InputError.one(
            f"the file has {len(raw) / 1e6:.1f} MB, more than the {LARGEST_WORKBOOK_BYTES / 1e6:.0f} MB allowed; "
            "keep the chart of this crane alone",
            source=source,
        )
    if ending == ".xlsx":
        return charts_of_grids(read_workbook(raw, source), source, hashlib.sha256(raw).hexdigest())
    if ending == ".csv":
        return read_chart_csv(decode(raw, source), source)
    raise InputError.one("a chart is read from CSV or XLSX; save it as one of the two", source=source)


def read_workbook(raw: bytes, source: str) -> list[Grid]:
    """Every visible sheet of a workbook, its cells as texts.

    Raises:
        InputError: it is no workbook, too large, encrypted, or holds what could mislead; the library is missing.
    """
    _hold_sizes(raw, source)
    try:
        from openpyxl import load_workbook  # noqa: PLC0415 - an extra, and slow to load
    except ImportError:
        raise InputError.one(
            "reading XLSX needs openpyxl; install plumbhook[sheets], or save the chart as CSV", source=source
        ) from None
    with warnings.catch_warnings():
        warnings.simplefilter(
            "ignore"
        )  # what the library does not know (pictures, validation) holds no number
        try:
            formulas = load_workbook(io.BytesIO(raw), data_only=False, keep_links=False)
            values = load_workbook(io.BytesIO(raw), data_only=True, keep_links=False)
        except Exception:  # noqa: BLE001 - the library raises what it happens to meet in a broken file
            raise InputError.one(_BREAKS, source=source) from None
    problems: list[Problem] = []
    grids = [
        _grid(formulas[sheet.title], sheet, source, problems)
        for sheet in values.worksheets
        if sheet.sheet_state == "visible"
    ]
    if problems:
        raise InputError(tuple(problems))
    return grids


def _hold_sizes(raw: bytes, source: str) -> None:
    """Refuse what would be dangerous to unpack, before it is unpacked."""
    if raw.startswith(b"\xd0\xcf\x11\xe0"):
        raise InputError.one(
            "the workbook has a password or is of the old kind (XLS); save it as XLSX without a password",
            source=source,
        )
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as archive:
            parts = archive.infolist()
            if len(parts) > _MOST_PARTS or sum(part.file_size for part in parts) > _LARGEST_UNPACKED_BYTES:
                raise InputError.one(
                    "the workbook is far larger unpacked than a chart needs; keep the chart of this crane alone",
                    source=source,
                )
            for part in parts:
                if part.filename.casefold().endswith((".xml", ".rels")):
                    _hold_part(archive.read(part), source)
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, RuntimeError, EOFError, ValueError, OSError):
        raise InputError.one(_BREAKS, source=source) from None


def _hold_part(part: bytes, source: str) -> None:
    if b"\0" in part or re.search(rb"<!\s*(DOCTYPE|ENTITY)", part, re.IGNORECASE):
        raise InputError.one(
            "the workbook defines entities of its own, which no spreadsheet program does; save it again as XLSX",
            source=source,
        )


def _grid(formulas: Worksheet, values: Worksheet, source: str, problems: list[Problem]) -> Grid:
    """Texts of one sheet."""
    where = f"{source}, sheet {values.title}"
    if values.max_row > MOST_LINES or values.max_column > MOST_COLUMNS:
        problems.append(
            Problem(
                "",
                f"the sheet has more than {MOST_LINES} lines or {MOST_COLUMNS} columns; keep the chart alone",
                source=where,
            )
        )
        return Grid((), values.title)
    problems.extend(
        Problem(str(merged), "these cells are merged; split them and fill in every one", source=where)
        for merged in sorted(values.merged_cells.ranges, key=str)
    )
    lines = []
    for cells in values.iter_rows():
        line = []
        for cell in cells:
            text, fault = _text(cell, formulas[cell.coordinate])
            if fault:
                problems.append(Problem(cell.coordinate, fault, source=where))
            line.append(text)
        lines.append(tuple(_without_empty_end(line)))
    return Grid(tuple(lines), values.title)


def _text(cell: Cell, formula: Cell) -> tuple[str, str]:
    """Text of a cell, and what is wrong with it."""
    value = cell.value
    if formula.data_type == "f" and value is None:
        return "", "the formula has no computed value; open the workbook, let it compute, and save it"
    if value is None:
        return "", ""
    if cell.data_type == "e":
        return "", f"the cell holds the error {value}; correct the formula"
    if isinstance(value, bool) or cell.is_date:
        return "", "the cell holds a date or a truth value; write a number or a text"
    if isinstance(value, int | float):
        if not math.isfinite(value):
            return "", "the cell holds no finite number; correct it"
        return (str(int(value)) if value == int(value) else repr(value)), ""
    return " ".join(str(value).split()), ""


def _without_empty_end(line: list[str]) -> Iterator[str]:
    last = max((n for n, text in enumerate(line) if text), default=-1)
    return iter(line[: last + 1])
