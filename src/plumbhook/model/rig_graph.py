"""The rig graph: rigid bodies, hooks, supports and the lines between them, in the JSON form rigs are exchanged in.

Everything is SI. Axes are right-handed with z up; gravity acts along -z. The world position of a point of a
body is ``origin + rotation @ point``. A point is referred to as ``hook.<name>`` or ``<body>.<point>``: the
text before the *first* dot names the body, all the rest names the point. So body names hold no dot and no
body is called ``hook``; names of points, hooks and elements may hold any character.

:func:`parse_rig_graphs` turns parsed JSON into records and reports everything that is wrong at once.
:func:`problems_of` applies the same rules to records that a program has built itself.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from plumbhook.core.errors import InputError, Problem
from plumbhook.model._rig_graph_figures import Figures, Pattern, figures_of
from plumbhook.model._rig_graph_reader import Reader
from plumbhook.model._rig_graph_records import (
    ALL_ELEMENT_NUMBERS,
    ELEMENT_NUMBERS,
    HOOK,
    IDENTITY,
    STANDARD_GRAVITY_M_S2,
    Body,
    Element,
    ElementType,
    Matrix,
    NamedPoint,
    Pose,
    RigGraph,
    Vector,
    link,
    orthonormal,
    pin,
    sling,
    split_reference,
    support,
    with_stiffness_factor,
)
from plumbhook.model._rig_graph_rules import found_problems, problems_of, rotation_complaint

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = [
    "HOOK",
    "IDENTITY",
    "STANDARD_GRAVITY_M_S2",
    "Body",
    "Element",
    "ElementType",
    "Figures",
    "Matrix",
    "NamedPoint",
    "Pattern",
    "Pose",
    "RigGraph",
    "Vector",
    "figures_of",
    "link",
    "orthonormal",
    "parse_rig_graphs",
    "pin",
    "problems_of",
    "rotation_complaint",
    "sling",
    "split_reference",
    "support",
    "to_json_dict",
    "with_stiffness_factor",
]


_MOST_PROBLEMS = 200


def to_json_dict(graph: RigGraph) -> dict[str, Any]:
    """The rig as plain JSON values; :func:`parse_rig_graphs` reads it back to the same record."""
    return {
        "name": graph.name,
        "gravity_m_s2": graph.gravity_m_s2,
        "hooks_m": {hook.name: list(hook.position_m) for hook in graph.hooks_m},
        "bodies": [
            {
                "name": body.name,
                "mass_kg": body.mass_kg,
                "cog_m": list(body.cog_m),
                "points_m": {point.name: list(point.position_m) for point in body.points_m},
                "start": {
                    "origin_m": list(body.start.origin_m),
                    "rotation_rows": [list(row) for row in body.start.rotation_rows],
                },
            }
            for body in graph.bodies
        ],
        "elements": [_element_to_json(element) for element in graph.elements],
    }


def _element_to_json(element: Element) -> dict[str, Any]:
    out: dict[str, Any] = {
        "name": element.name,
        "type": element.type.value,
        **dict(zip(("from", "to"), element.end_refs, strict=False)),
    }
    for key in ALL_ELEMENT_NUMBERS:
        value = getattr(element, key)
        if value is not None:
            out[key] = value
    return out


def parse_rig_graphs(data: object, source: str = "") -> tuple[RigGraph, ...]:
    """Read one rig graph or a list of them from parsed JSON (or YAML).

    Args:
        data: a mapping (one rig) or a list of mappings.
        source: name of the file, repeated in every problem.

    Returns:
        The rigs in the order given. Start rotations are made exactly orthonormal.

    Raises:
        InputError: with every problem of every rig; fields read like ``elements[2].EA_N``, in a list of rigs
            ``[1].elements[2].EA_N``.
    """
    reader = Reader(source)
    rigs: list[RigGraph] = []
    if isinstance(data, list):
        if not data:
            reader.problem("", "the list holds no rig; give at least one.")
        for number, item in enumerate(data):
            rigs.extend(_read_rig(reader, item, f"[{number}]"))
    else:
        rigs.extend(_read_rig(reader, data, ""))
    if reader.problems:
        raise InputError(_few(reader.problems))
    return tuple(rigs)


def _few(problems: list[Problem]) -> tuple[Problem, ...]:
    """The problems, but of a file that is nothing like a rig only as many as a reader can use."""
    if len(problems) <= _MOST_PROBLEMS:
        return tuple(problems)
    more = f"and {len(problems) - _MOST_PROBLEMS} more problems; mend these first."
    return (*problems[:_MOST_PROBLEMS], Problem(field="", message=more, source=problems[0].source))


def _read_rig(reader: Reader, data: object, path: str) -> Iterator[RigGraph]:
    known = len(reader.problems)
    table = reader.table(
        data,
        path,
        required=("hooks_m", "bodies", "elements"),
        optional=("name", "gravity_m_s2"),
        what="a rig",
    )
    if table is None:
        return
    join = f"{path}." if path else ""
    name = reader.text(table["name"], f"{join}name") if "name" in table else ""
    gravity = (
        reader.number(table["gravity_m_s2"], f"{join}gravity_m_s2")
        if "gravity_m_s2" in table
        else STANDARD_GRAVITY_M_S2
    )
    hooks = _read_points(reader, table.get("hooks_m"), f"{join}hooks_m") if "hooks_m" in table else ()
    bodies = [
        _read_body(reader, item, where)
        for item, where in reader.items(table.get("bodies"), f"{join}bodies", table)
    ]
    elements = [
        _read_element(reader, item, where)
        for item, where in reader.items(table.get("elements"), f"{join}elements", table)
    ]
    graph = RigGraph(
        name=name,
        gravity_m_s2=gravity,
        hooks_m=hooks,
        bodies=tuple(body for body in bodies if body is not None),
        elements=tuple(element for element in elements if element is not None),
    )
    complete = len(reader.problems) == known
    reader.problems.extend(found_problems(graph, path, reader.source, complete=complete))
    if len(reader.problems) == known:
        yield replace(
            graph,
            bodies=tuple(
                replace(body, start=replace(body.start, rotation_rows=orthonormal(body.start.rotation_rows)))
                for body in graph.bodies
            ),
        )


def _read_points(reader: Reader, data: object, path: str) -> tuple[NamedPoint, ...]:
    return tuple(
        NamedPoint(name, reader.vector(value, f"{path}.{name}")) for name, value in reader.named(data, path)
    )


def _read_body(reader: Reader, data: object, path: str) -> Body | None:
    table = reader.table(
        data, path, required=("name", "mass_kg", "points_m", "start"), optional=("cog_m",), what="a body"
    )
    if table is None:
        return None
    mass = reader.number(table["mass_kg"], f"{path}.mass_kg") if "mass_kg" in table else math.nan
    cog: Vector = (0.0, 0.0, 0.0)
    if "cog_m" in table:
        cog = reader.vector(table["cog_m"], f"{path}.cog_m")
    elif mass > 0.0:
        reader.problem(
            f"{path}.cog_m", "is missing; give the centre of gravity of the body in its own axes (m)."
        )
    points = _read_points(reader, table["points_m"], f"{path}.points_m") if "points_m" in table else ()
    start = _read_pose(reader, table["start"], f"{path}.start") if "start" in table else Pose((0.0, 0.0, 0.0))
    name = reader.text(table["name"], f"{path}.name") if "name" in table else ""
    return Body(name, mass, cog, points, start)


def _read_pose(reader: Reader, data: object, path: str) -> Pose:
    table = reader.table(
        data, path, required=("origin_m",), optional=("rotation_rows",), what="a start posture"
    )
    if table is None:
        return Pose((0.0, 0.0, 0.0))
    origin = reader.vector(table["origin_m"], f"{path}.origin_m") if "origin_m" in table else (0.0, 0.0, 0.0)
    rows = table.get("rotation_rows", IDENTITY)
    if not isinstance(rows, (list, tuple)) or len(rows) != 3:
        reader.problem(f"{path}.rotation_rows", "must be three rows of three numbers.")
        return Pose(origin)
    read = [reader.vector(row, f"{path}.rotation_rows[{number}]") for number, row in enumerate(rows)]
    return Pose(origin, (read[0], read[1], read[2]))


def _read_element(reader: Reader, data: object, path: str) -> Element | None:
    table = reader.table(
        data,
        path,
        required=("name", "type", "from"),
        optional=("to", *ALL_ELEMENT_NUMBERS),
        what="an element",
    )
    if table is None:
        return None
    name = reader.text(table["name"], f"{path}.name") if "name" in table else ""
    ends = [reader.text(table[key], f"{path}.{key}") if key in table else "" for key in ("from", "to")]
    if "to" not in table and table.get("type") != ElementType.SUPPORT.value:
        reader.problem(f"{path}.to", "is missing.")
    if "type" not in table:
        return None
    kind = next((kind for kind in ElementType if kind.value == table["type"]), None)
    if kind is None:
        words = [kind.value for kind in ElementType]
        reader.unknown(f"{path}.type", table["type"], words, "type of element")
        return None
    if kind is ElementType.SUPPORT and "to" in table:
        reader.problem(
            f"{path}.to", "does not belong to a support, which stands on the ground; leave it out."
        )
        ends[1] = ""
    numbers: dict[str, float] = {}
    for key in ALL_ELEMENT_NUMBERS:
        if key in ELEMENT_NUMBERS[kind]:
            if key in table:
                numbers[key] = reader.number(table[key], f"{path}.{key}")
            else:
                reader.problem(f"{path}.{key}", f"is missing; a {kind.value} needs it.")
        elif key in table:
            reader.problem(f"{path}.{key}", f"does not belong to a {kind.value}; leave it out.")
    return Element(name, kind, ends[0], ends[1], **numbers)
