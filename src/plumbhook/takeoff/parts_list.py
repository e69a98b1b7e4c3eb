"""The take-off as parts and lift points of a lift file, and as plain data."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Sequence
from typing import Any

from plumbhook.core.errors import InputError, Problem
from plumbhook.core.units import Kind, UnitError, parse_quantity
from plumbhook.model.mass_properties import Vector
from plumbhook.model.part import Part
from plumbhook.model.solids import NamedPoint, SolidsReport, WeighedSolid

_MASS_DIGITS, _LENGTH_DIGITS = 9, 7
_SHORTEST_M = 1e-6
_CENTRED = 1e-3  # of the size


def parts_of(report: SolidsReport) -> tuple[Part, ...]:
    """One part of the load for each solid that has a mass and is counted.

    Args:
        report: the take-off; parts of what is open are not among them, so ask ``report.questions``.
    """
    return tuple(Part.model_validate(_row(one, report)) for one in _counted(report))


def _counted(report: SolidsReport) -> list[WeighedSolid]:
    return [one for one in report.solids if one.counted and not math.isnan(one.mass_kg)]


def _row(one: WeighedSolid, report: SolidsReport) -> dict[str, Any]:
    shape = one.solid.shape
    corners = tuple(zip(shape.low_m, shape.high_m, shape.centroid_m, strict=True))
    size = [max(high - low, _SHORTEST_M) for low, high, _ in corners]
    file = f"{report.source}, " if report.source else ""
    row: dict[str, Any] = {
        "name": one.solid.name,
        "mass": f"{one.mass_kg:.{_MASS_DIGITS}g} kg",
        "at": [_metres(value) for value in shape.centroid_m],
        "source": f"{file}{one.source}",
    }
    # The box of a part has its centre of gravity in its middle; where the solid has not, there is no box to give.
    if all(abs((low + high) / 2.0 - centre) <= _CENTRED * max(size) for low, high, centre in corners):
        row["size"] = [_metres(value) for value in size]
    return row


def _metres(value: float) -> str:
    return f"{round(value, 9):.{_LENGTH_DIGITS}g} m"


def chosen_points(report: SolidsReport, texts: Sequence[str]) -> tuple[NamedPoint, ...]:
    """Lift points by name of a point of the model, or by coordinates.

    Args:
        report: the take-off.
        texts: ``NAME`` of a named point, or ``NAME=X, Y, Z`` with units.

    Raises:
        InputError: a name that the model does not have or has twice, or coordinates that are none; all of them.
    """
    found: list[NamedPoint] = []
    problems: list[Problem] = []
    for text in texts:
        name, sign, coordinates = text.partition("=")
        point = _at(name.strip(), coordinates) if sign else _named(report, text.strip())
        if isinstance(point, str):
            problems.append(Problem("--lift-point", point))
        else:
            found.append(point)
    if problems:
        raise InputError(tuple(problems))
    return tuple(found)


def _at(name: str, text: str) -> NamedPoint | str:
    words = text.split(",")
    if not name or len(words) != 3:
        return f'"{name}={text}" is no place; write NAME=X,Y,Z with units, as in "north=1.2 m, 0 m, 3 m"'
    try:
        x, y, z = (parse_quantity(word, Kind.LENGTH) for word in words)
    except UnitError as error:
        return f"{name}: {error}"
    return NamedPoint(name, (x, y, z), "by coordinates")


def _named(report: SolidsReport, name: str) -> NamedPoint | str:
    fitting = [point for point in report.model.points if point.name.casefold() == name.casefold()]
    if len(fitting) == 1:
        return fitting[0]
    if fitting:
        return f"{len(fitting)} points of the model are called {name}; give the place, as {name}=X,Y,Z"
    there = ", ".join(list(dict.fromkeys(point.name for point in report.model.points))[:8])
    return (
        f"no point of the model is called {name}; {f'there are: {there}' if there else 'it names no points'}"
    )


def lift_file_text(report: SolidsReport, points: Sequence[NamedPoint] = ()) -> str:
    """The take-off as text to paste below ``load:`` of a lift file; what is open stands first, as comments."""
    low, high = report.box_m
    lines = [f"# Take-off of {report.source or report.model.format}: {report.model.axes}."]
    lines += [f"# OPEN: {question}" for question in report.questions]
    if not any(math.isnan(value) for value in (*low, *high)):
        lines += ["envelope:", f"  low: {_list(low)}", f"  high: {_list(high)}"]
    rows = [_row(one, report) for one in _counted(report)]
    lines += ["parts:"] if rows else []
    for row in rows:
        lines.append(f"  - name: {_quoted(row['name'])}")
        lines.append(f"    mass: {row['mass']}")
        lines += [f"    {key}: [{', '.join(row[key])}]" for key in ("at", "size") if key in row]
        lines.append(f"    source: {_quoted(row['source'])}")
    lines += ["lift_points:"] if points else []
    taken: set[str] = set()
    for point in points:
        name = _key(point.name, taken)
        lines += [f"  {name}:", f"    at: {_list(point.at_m)}"]
    return "\n".join(lines) + "\n"


def _list(at_m: Vector) -> str:
    return f"[{', '.join(_metres(value) for value in at_m)}]"


def _quoted(text: str) -> str:
    return json.dumps(" ".join(text.split()), ensure_ascii=False)


def _key(name: str, taken: set[str]) -> str:
    """A name that the lift file accepts, each once."""
    plain = re.sub(r"[^A-Za-z0-9 _/+-]+", "-", name).strip(" -_/+") or "point"
    key, number = plain, 1
    while key in taken:
        number += 1
        key = f"{plain} {number}"
    taken.add(key)
    return json.dumps(key)


def plain(report: SolidsReport) -> dict[str, Any]:
    """The take-off as plain data, SI units, None for what is not known."""
    model = report.model
    return {
        "source": report.source,
        "format": model.format,
        "unit": model.unit,
        "axes": model.axes,
        "complete": report.is_complete,
        "mass_kg": _number(report.mass_kg),
        "cog_m": _numbers(report.cog_m),
        "inertia_kg_m2": [_numbers(row) for row in report.inertia_kg_m2],
        "known_mass_kg": report.known_mass_kg,
        "box_m": [_numbers(corner) for corner in report.box_m],
        "mass_coverage": _number(report.mass_coverage),
        "volume_coverage": _number(report.volume_coverage),
        "solids": [_plain_solid(one) for one in report.solids],
        "left_out": [{"name": one.name, "reason": one.reason} for one in model.left_out],
        "duplicates": [[report.solids[i].solid.name for i in group] for group in report.duplicates],
        "overlaps": [
            {
                "solids": [report.solids[one.first].solid.name, report.solids[one.second].solid.name],
                "at_m": list(one.at_m),
                "inside": one.inside,
            }
            for one in model.overlaps
        ],
        "points": [
            {"name": one.name, "at_m": list(one.at_m), "feature": one.feature} for one in model.points
        ],
        "questions": list(report.questions),
        "remarks": list(report.remarks),
    }


def _plain_solid(one: WeighedSolid) -> dict[str, Any]:
    shape = one.solid.shape
    return {
        "name": one.solid.name,
        "material": one.solid.material or None,
        "volume_m3": shape.volume_m3,
        "centroid_m": list(shape.centroid_m),
        "box_m": [list(shape.low_m), list(shape.high_m)],
        "mass_kg": _number(one.mass_kg),
        "density_kg_m3": _number(one.density_kg_m3),
        "mass_source": one.mass_source.value,
        "source": one.source,
        "inertia_kg_m2": [_numbers(row) for row in one.inertia_kg_m2],
        "counted": one.counted,
    }


def _number(value: float) -> float | None:
    return None if math.isnan(value) else value


def _numbers(values: Sequence[float]) -> list[float | None]:
    return [_number(value) for value in values]
