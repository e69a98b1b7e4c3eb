"""The rating table that a firm has from the maker of a strut family: rated load by span and angle of the top slings.

A table is a grid: every angle at every span. It is read as it stands and never interpolated or extended; between two
rows the worse one counts. A combination that the maker does not rate has the words ``not rated`` in its cell.
"""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from plumbhook.core.errors import InputError, Problem
from plumbhook.core.tables import Column, Row, read_table
from plumbhook.core.units import Kind, UnitError, format_quantity, parse_quantity

_GRACE_M = 1e-6
_GRACE_RAD = 1e-6
NOT_RATED = "not rated"

_TEXT_COLUMNS = ("family", "source")
_ANGLES = ("top_angle_from_vertical", "top_angle_from_horizontal")
_NUMBERS: Mapping[str, Kind] = {
    "span": Kind.LENGTH,
    "top_angle_from_vertical": Kind.ANGLE,
    "top_angle_from_horizontal": Kind.ANGLE,
    "rated_load": Kind.MASS,
}


@dataclass(frozen=True, slots=True)
class RatingTable:
    """Rated load of a strut family on the whole strut, both ends together, top slings to one hook.

    Attributes:
        family: strut family.
        source: the maker's sheet, as the firm names it.
        spans_m: spans pin to pin, growing, m.
        angles_from_vertical_rad: angles of the top slings from the vertical, growing, rad.
        rated_kg: rated load by span and angle, kg; None where the maker rates none.
    """

    family: str
    source: str
    spans_m: tuple[float, ...]
    angles_from_vertical_rad: tuple[float, ...]
    rated_kg: tuple[tuple[float | None, ...], ...]


@dataclass(frozen=True, slots=True)
class RatingRow:
    """One row as written: span m, angle from the vertical rad, rated load kg or None, and its line."""

    span_m: float
    angle_from_vertical_rad: float
    rated_kg: float | None
    line: int | None = None


def read_rating_tables(text: str, source: str) -> Mapping[str, RatingTable]:
    """Rating tables by strut family from a CSV.

    Columns: ``family``, ``span [m]``, ``top_angle_from_vertical [deg]`` or ``top_angle_from_horizontal [deg]``,
    ``rated_load [t]`` and ``source``. Units stand in the head; a unit in a cell is refused, so that no table mixes
    two.

    Raises:
        InputError: with every problem found: a hole, a row given twice, mixed units, a rating that grows with span or
            with a flatter angle.
    """
    head = text.removeprefix("\ufeff").lstrip().split("\n", 1)[0]
    columns = (
        Column("family", "text", required=True),
        Column("source", "text"),
        *(Column(name, "text", required=name not in _ANGLES) for name in _NUMBERS),
    )
    heads, problems = _heads(head, source)
    rows = read_table(_without_units(text, heads), columns, source=source)
    given = [name for name in _ANGLES if name in heads]
    if len(given) != 1:
        message = f"head one column for the angle of the top slings: {_ANGLES[0]} or {_ANGLES[1]}"
        raise InputError((*problems, Problem("top_angle", message, 1, source)))
    by_family: dict[str, list[RatingRow]] = {}
    sources: dict[str, str] = {}
    for row in rows:
        read = _rating_row(row, heads, given[0], source, problems)
        name = row.text("family")
        sources[name] = sources.get(name) or row.text("source")
        if read is not None:
            by_family.setdefault(name, []).append(read)
    if problems:  # a row that cannot be read would show as a hole, too
        raise InputError(tuple(sorted(problems, key=lambda problem: problem.line or 0)))
    tables = {}
    for name, found in by_family.items():
        faults = rating_faults(found)
        problems.extend(Problem("rated_load", f"{name}: {fault}", line, source) for fault, line in faults)
        if not faults and not problems:
            tables[name] = rating_table(name, sources[name] or source, found)
    if problems:
        raise InputError(tuple(sorted(problems, key=lambda problem: problem.line or 0)))
    return tables


def rating_table(family: str, source: str, rows: Sequence[RatingRow]) -> RatingTable:
    """The grid of rows that have no faults."""
    spans, angles = _levels(rows)
    cell = {(_near(r.span_m, spans), _near(r.angle_from_vertical_rad, angles)): r.rated_kg for r in rows}
    return RatingTable(
        family, source, spans, angles, tuple(tuple(cell[(s, a)] for a in angles) for s in spans)
    )


def rating_faults(rows: Sequence[RatingRow]) -> list[tuple[str, int | None]]:
    """Why rows make no table: each fault as a sentence with its cure, and its line if known."""
    spans, angles = _levels(rows)
    cell: dict[tuple[float, float], RatingRow] = {}
    faults: list[tuple[str, int | None]] = []
    for row in rows:
        key = (_near(row.span_m, spans), _near(row.angle_from_vertical_rad, angles))
        if key in cell:
            faults.append((f"{_place(*key)} is given twice; keep one of the two rows", row.line))
        cell.setdefault(key, row)
    faults.extend(
        (
            f"the table has a hole: there is no row for {_place(span, angle)}; add the row as the maker gives it, or "
            f'write "{NOT_RATED}" there',
            None,
        )
        for span in spans
        for angle in angles
        if (span, angle) not in cell
    )
    if not faults:
        faults.extend(_growing(spans, angles, cell))
    return faults


def _growing(
    spans: Sequence[float], angles: Sequence[float], cell: Mapping[tuple[float, float], RatingRow]
) -> list[tuple[str, int | None]]:
    """Ratings that are larger at a longer span or a flatter angle: a misprint, or columns exchanged."""
    faults: list[tuple[str, int | None]] = []
    longer = [((s, a), (t, a)) for a in angles for s, t in itertools.pairwise(spans)]
    flatter = [((s, a), (s, b)) for s in spans for a, b in itertools.pairwise(angles)]
    for better, worse in (*longer, *flatter):
        high, low = cell[worse].rated_kg, cell[better].rated_kg
        if high is not None and (low is None or high > low * (1.0 + 1e-9)):
            faults.append(
                (
                    f"more is rated for {_place(*worse)} than for {_place(*better)}, which asks less of the strut; "
                    "check both rows against the maker's sheet",
                    cell[worse].line,
                )
            )
    return faults


def _levels(rows: Sequence[RatingRow]) -> tuple[tuple[float, ...], tuple[float, ...]]:
    return (
        _distinct((row.span_m for row in rows), _GRACE_M),
        _distinct((row.angle_from_vertical_rad for row in rows), _GRACE_RAD),
    )


def _distinct(numbers: Iterable[float], grace: float) -> tuple[float, ...]:
    found: list[float] = []
    for number in sorted(numbers):
        if not found or number - found[-1] > grace:
            found.append(number)
    return tuple(found)


def _near(number: float, levels: Sequence[float]) -> float:
    return min(levels, key=lambda level: abs(level - number))


def _place(span_m: float, angle_rad: float) -> str:
    return f"a span of {format_quantity(span_m, 'm')} at {format_quantity(angle_rad, 'rad', 'deg')} from the vertical"


def _heads(head: str, source: str) -> tuple[dict[str, str], list[Problem]]:
    """Unit of each column of numbers, and what is wrong with the heads."""
    heads: dict[str, str] = {}
    problems: list[Problem] = []
    for written in head.rstrip("\r").split(","):
        match = re.fullmatch(r"\s*(\w+)\s*(?:\[(.+)\])?\s*", written.strip('" '))
        if match is None or match.group(1) not in _NUMBERS:
            continue
        name, unit = match.group(1), (match.group(2) or "").strip()
        kind = _NUMBERS[name]
        example = {Kind.LENGTH: "m", Kind.ANGLE: "deg", Kind.MASS: "t"}[kind]
        heads[name] = unit
        if not unit:
            message = f"the column has no unit; head it {name} [{example}], one unit for all rows"
            problems.append(Problem(name, message, 1, source))
            continue
        try:
            parse_quantity(f"1 {unit}", kind)
        except UnitError as error:
            problems.append(Problem(name, f"the unit of the column cannot be used: {error}", 1, source))
    return heads, problems


def _without_units(text: str, heads: Mapping[str, str]) -> str:
    """The table with plain column names, so that its cells are read as text here."""
    first, mark, rest = text.removeprefix("\ufeff").lstrip().partition("\n")
    for name in heads:
        first = re.sub(rf"\b{name}\b\s*\[[^\]]*\]", name, first)
    return f"{first}{mark}{rest}"


def _rating_row(
    row: Row, heads: Mapping[str, str], angle: str, source: str, problems: list[Problem]
) -> RatingRow | None:
    numbers: dict[str, float | None] = {}
    before = len(problems)
    for name in ("span", angle, "rated_load"):
        text = row.text(name)
        if name == "rated_load" and text.lower() == NOT_RATED:
            numbers[name] = None
            continue
        fault, number = _number(text, heads[name], _NUMBERS[name])
        if fault:
            problems.append(Problem(name, fault, row.line, source))
        numbers[name] = number
    if len(problems) > before:
        return None
    span, written = numbers["span"], numbers[angle]
    assert span is not None
    assert written is not None
    from_vertical = written if angle == _ANGLES[0] else 0.5 * math.pi - written
    if not 0.0 <= from_vertical < 0.5 * math.pi:
        problems.append(
            Problem(angle, "top slings hang between 0 and 90 degrees; check the angle", row.line, source)
        )
        return None
    return RatingRow(span, from_vertical, numbers["rated_load"], row.line)


def _number(text: str, unit: str, kind: Kind) -> tuple[str, float | None]:
    """What is wrong with a cell ("" if nothing), and its SI number."""
    if not text:
        return "the cell is empty; give the number of the maker's sheet", None
    if not re.fullmatch(r"[+-]?[\d.,]+(?:[eE][+-]?\d+)?", text):
        return (
            f'"{text}" has a unit of its own or is no number; a rating table has one unit for each column, in its '
            "head, so that units are never mixed",
            None,
        )
    if not unit:
        return "", math.nan
    try:
        number = parse_quantity(f"{text} {unit}", kind)
    except UnitError as error:
        return str(error), None
    if kind is not Kind.ANGLE and number <= 0.0:
        return "this must be more than zero; check the number", None
    return "", number
