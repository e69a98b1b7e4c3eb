"""Rules that a rig graph must keep to be solved; the public face is :mod:`plumbhook.model.rig_graph`."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from plumbhook.core.errors import Problem
from plumbhook.model._rig_graph_figures import Figures, figures_of, within_bounds
from plumbhook.model._rig_graph_reader import Reader
from plumbhook.model._rig_graph_records import (
    ALL_ELEMENT_NUMBERS,
    ELEMENT_NUMBERS,
    HOOK,
    IDENTITY,
    LENGTH_RANGE_M,
    MAX_BODIES,
    MAX_COORDINATE_M,
    MAX_ELEMENTS,
    MAX_GRAVITY_M_S2,
    MAX_MASS_KG,
    ROTATION_TOLERANCE,
    STIFFNESS_RANGE,
    Element,
    ElementType,
    Matrix,
    RigGraph,
    Vector,
    split_reference,
)

if TYPE_CHECKING:
    from collections.abc import Iterable


def problems_of(graph: RigGraph, source: str = "", *, figures: Figures | None = None) -> tuple[Problem, ...]:
    """Everything that makes a rig impossible to solve, each with its field; empty if there is nothing.

    Args:
        graph: records built by a program or by :func:`parse_rig_graphs`.
        source: name repeated in every problem.
        figures: ``figures_of(graph)``, if that is known.
    """
    figures = figures or figures_of(graph)
    if figures and figures.pattern.sound and within_bounds(figures) and _turned_only(graph):
        return ()
    rules = _Rules(graph, "", source)
    rules.finite()
    found = tuple(rules.found or found_problems(graph, "", source, complete=True))
    if figures and not found:
        figures.pattern.sound = True
    return found


def _turned_only(graph: RigGraph) -> bool:
    """Whether all start rotations are rotations."""
    return all(
        rows == IDENTITY or not rotation_complaint(rows)
        for rows in [body.start.rotation_rows for body in graph.bodies]
    )


def found_problems(graph: RigGraph, path: str, source: str, *, complete: bool) -> list[Problem]:
    """Problems of a graph; only those that are certain unless it is ``complete``."""
    rules = _Rules(graph, f"{path}." if path else "", source)
    rules.sizes()
    rules.numbers()
    rules.names()
    if complete:
        rules.references()
        if not rules.found:
            rules.connections()
    return rules.found


class _Rules:
    """Collects the problems of one rig."""

    def __init__(self, graph: RigGraph, prefix: str, source: str) -> None:
        self.graph = graph
        self.prefix = prefix
        self.source = source
        self.found: list[Problem] = []

    def add(self, field: str, message: str) -> None:
        self.found.append(Problem(field=f"{self.prefix}{field}", message=message, source=self.source))

    def finite(self) -> None:
        """Numbers of records built by a program; those read from a file are known to be finite."""
        graph = self.graph
        self._finite("gravity_m_s2", graph.gravity_m_s2)
        for hook in graph.hooks_m:
            self._finite(f"hooks_m.{hook.name}", *hook.position_m)
        for number, body in enumerate(graph.bodies):
            at = f"bodies[{number}]"
            self._finite(f"{at}.mass_kg", body.mass_kg)
            self._finite(f"{at}.cog_m", *body.cog_m)
            for point in body.points_m:
                self._finite(f"{at}.points_m.{point.name}", *point.position_m)
            self._finite(f"{at}.start.origin_m", *body.start.origin_m)
            self._finite(f"{at}.start.rotation_rows", *(x for row in body.start.rotation_rows for x in row))
        for number, element in enumerate(graph.elements):
            for key in ALL_ELEMENT_NUMBERS:
                value: float | None = getattr(element, key)
                if value is not None:
                    self._finite(f"elements[{number}].{key}", value)

    def _finite(self, field: str, *values: float) -> None:
        bad = [value for value in values if not math.isfinite(value)]
        if bad:
            self.add(field, f"is {bad[0]}; give a finite number.")

    def sizes(self) -> None:
        for field, count, most in (
            ("hooks_m", len(self.graph.hooks_m), MAX_BODIES),
            ("bodies", len(self.graph.bodies), MAX_BODIES),
            ("elements", len(self.graph.elements), MAX_ELEMENTS),
        ):
            if count > most:
                self.add(field, f"holds {count} entries; one rig may have at most {most}.")

    def numbers(self) -> None:
        graph = self.graph
        # NaN means that the reader has already reported the number.
        if graph.gravity_m_s2 <= 0.0 or graph.gravity_m_s2 > MAX_GRAVITY_M_S2:
            self.add(
                "gravity_m_s2",
                f"is {graph.gravity_m_s2:g}; give an acceleration above 0 and up to 1000 m/s2.",
            )
        for hook in graph.hooks_m:
            self._coordinates(f"hooks_m.{hook.name}", hook.position_m)
        for number, body in enumerate(graph.bodies):
            at = f"bodies[{number}]"
            if body.mass_kg < 0.0:
                self.add(f"{at}.mass_kg", f"is {body.mass_kg:g} kg; a mass cannot be negative.")
            elif body.mass_kg > MAX_MASS_KG:
                self.add(f"{at}.mass_kg", f"is {body.mass_kg:g} kg; give at most {MAX_MASS_KG:g} kg.")
            self._coordinates(f"{at}.cog_m", body.cog_m)
            for point in body.points_m:
                self._coordinates(f"{at}.points_m.{point.name}", point.position_m)
            self._coordinates(f"{at}.start.origin_m", body.start.origin_m)
            complaint = rotation_complaint(body.start.rotation_rows)
            if complaint:
                self.add(f"{at}.start.rotation_rows", complaint)
        for number, element in enumerate(graph.elements):
            self._element_numbers(f"elements[{number}]", element)

    def _coordinates(self, field: str, vector: Vector) -> None:
        if any(abs(value) > MAX_COORDINATE_M for value in vector):
            self.add(
                field, f"is farther than {MAX_COORDINATE_M:g} m from the origin; check the unit (metres)."
            )

    def _element_numbers(self, at: str, element: Element) -> None:
        if element.level_m is not None and abs(element.level_m) > MAX_COORDINATE_M:
            self.add(
                f"{at}.level_m",
                f"is farther than {MAX_COORDINATE_M:g} m from the origin; check the unit (metres).",
            )
        elif element.level_m is None and element.type is ElementType.SUPPORT:
            self.add(f"{at}.level_m", "is missing; a support needs it.")
        for key, (low, high), unit, what in (
            ("unstretched_length_m", LENGTH_RANGE_M, "m", "length"),
            ("EA_N", STIFFNESS_RANGE, "N", "stiffness"),
            ("stiffness_N_per_m", STIFFNESS_RANGE, "N/m", "stiffness"),
        ):
            value: float | None = getattr(element, key)
            if value is None:
                if key in ELEMENT_NUMBERS[element.type]:
                    self.add(f"{at}.{key}", f"is missing; a {element.type.value} needs it.")
            elif value <= 0.0:
                self.add(f"{at}.{key}", f"is {value:g} {unit}; a {what} must be above zero.")
            elif value < low or value > high:
                self.add(
                    f"{at}.{key}", f"is {value:g} {unit}; give a {what} between {low:g} and {high:g} {unit}."
                )

    def names(self) -> None:
        graph = self.graph
        for number, body in enumerate(graph.bodies):
            field = f"bodies[{number}].name"
            if "." in body.name:
                self.add(
                    field,
                    f"'{body.name}' holds a dot; use a name without one (a dot separates body and point).",
                )
            if body.name == HOOK:
                self.add(field, "'hook' stands for the hooks; give the body another name.")
            self._empty_and_twice(f"bodies[{number}].points_m", [p.name for p in body.points_m], "point")
        self._empty_and_twice("hooks_m", [hook.name for hook in graph.hooks_m], "hook")
        self._empty_and_twice("bodies", [body.name for body in graph.bodies], "body")
        self._empty_and_twice("elements", [element.name for element in graph.elements], "element")

    def _empty_and_twice(self, field: str, names: list[str], what: str) -> None:
        seen: set[str] = set()
        for number, name in enumerate(names):
            at = f"{field}[{number}].name" if field in ("bodies", "elements") else field
            if not name:
                self.add(at, f"is empty; give every {what} a name.")
            elif name in seen:
                self.add(at, f"'{name}' is used twice; give every {what} a name of its own.")
            seen.add(name)

    def references(self) -> None:
        graph = self.graph
        if not graph.hooks_m and not _supported(graph):
            self.add(
                "hooks_m",
                "names no hook, and no support carries the rig; give at least one fixed point to hang it from.",
            )
        if not graph.bodies:
            self.add("bodies", "holds no body; give at least the load.")
        elif all(body.mass_kg == 0.0 for body in graph.bodies):
            self.add("bodies", "have no mass at all; give at least one body a mass above zero.")
        known = [f"{HOOK}.{hook.name}" for hook in graph.hooks_m]
        known += [f"{body.name}.{point.name}" for body in graph.bodies for point in body.points_m]
        known_set = set(known)
        for number, element in enumerate(graph.elements):
            at = f"elements[{number}]"
            for key, ref in zip(("from", "to"), element.end_refs, strict=False):
                if ref not in known_set:
                    self.add(f"{at}.{key}", Reader.unknown_text(ref, known, "point"))
            if element.type is ElementType.SUPPORT:
                self._below_a_body(at, element)
            elif element.from_ref in known_set and element.to_ref in known_set:
                self._same_body(at, element)

    def _below_a_body(self, at: str, element: Element) -> None:
        if element.to_ref:
            self.add(f"{at}.to", "does not belong to a support, which stands on the ground; leave it out.")
        if split_reference(element.from_ref)[0] == HOOK:
            self.add(
                f"{at}.from",
                f"'{element.name}' stands below a hook, which needs no support; name a point of a body.",
            )

    def _same_body(self, at: str, element: Element) -> None:
        owner, other = split_reference(element.from_ref)[0], split_reference(element.to_ref)[0]
        if owner != other:
            return
        if owner == HOOK:
            self.add(at, f"'{element.name}' runs from hook to hook and carries nothing; leave it out.")
        else:
            self.add(
                at,
                f"'{element.name}' joins two points of the same body '{owner}' and carries nothing; "
                "lead it to another body or a hook.",
            )

    def connections(self) -> None:
        groups = _connected_groups(self.graph)
        stands = _supported(self.graph)
        hung_groups = [group for group in groups if any(is_hook or name in stands for is_hook, name in group)]
        used = {split_reference(ref)[0] for e in self.graph.elements for ref in e.end_refs}
        for number, body in enumerate(self.graph.bodies):
            if body.name not in used:
                self.add(
                    f"bodies[{number}]",
                    f"'{body.name}' hangs from nothing; fix at least one line to it, or set it on supports.",
                )
        for group in groups:
            names = sorted(name for is_hook, name in group if not is_hook and name in used)
            if names and group not in hung_groups:
                self.add(
                    "bodies",
                    f"{_listed(names)} hang from no hook; lead a line up from one of them, or set them on supports.",
                )
        parts = [sorted(name for is_hook, name in group if not is_hook) for group in hung_groups]
        parts = [part for part in parts if part]
        if len(parts) > 1:
            text = " and ".join(f"({', '.join(part)})" for part in parts)
            self.add("bodies", f"{text} hang apart from one another; give them as rigs of their own.")


def _connected_groups(graph: RigGraph) -> list[set[tuple[bool, str]]]:
    """Sets of (is it a hook, name) that elements join."""
    parent: dict[tuple[bool, str], tuple[bool, str]] = {
        (True, hook.name): (True, hook.name) for hook in graph.hooks_m
    }
    parent |= {(False, body.name): (False, body.name) for body in graph.bodies}

    def root(node: tuple[bool, str]) -> tuple[bool, str]:
        while parent[node] != node:
            parent[node] = parent[parent[node]]
            node = parent[node]
        return node

    for element in graph.elements:
        if element.type is ElementType.SUPPORT:
            continue
        nodes = []
        for ref in element.end_refs:
            owner, point = split_reference(ref)
            nodes.append((True, point) if owner == HOOK else (False, owner))
        parent[root(nodes[0])] = root(nodes[1])
    groups: dict[tuple[bool, str], set[tuple[bool, str]]] = {}
    for node in parent:
        groups.setdefault(root(node), set()).add(node)
    return list(groups.values())


def _supported(graph: RigGraph) -> set[str]:
    """Names of the bodies that have a support below them."""
    return {split_reference(e.from_ref)[0] for e in graph.elements if e.type is ElementType.SUPPORT}


def _listed(names: Iterable[str]) -> str:
    return ", ".join(f"'{name}'" for name in names)


def rotation_complaint(rows: Matrix) -> str:
    """What is wrong with a rotation, or "" if it is one within the tolerance."""
    (a, b, c), (d, e, f), (g, h, i) = rows
    if any(map(math.isnan, (a, b, c, d, e, f, g, h, i))):
        return ""  # already reported by the reader
    off = (
        a * a + b * b + c * c - 1.0,
        d * d + e * e + f * f - 1.0,
        g * g + h * h + i * i - 1.0,
        a * d + b * e + c * f,
        a * g + b * h + c * i,
        d * g + e * h + f * i,
    )
    if max(off) > ROTATION_TOLERANCE or min(off) < -ROTATION_TOLERANCE:
        return "is not a rotation: its rows must be unit vectors at right angles to one another."
    if _determinant(rows) < 0.0:
        return "is a reflection: its rows must form a right-handed set (change the sign of one row)."
    return ""


def _determinant(m: Matrix) -> float:
    return (
        m[0][0] * (m[1][1] * m[2][2] - m[1][2] * m[2][1])
        - m[0][1] * (m[1][0] * m[2][2] - m[1][2] * m[2][0])
        + m[0][2] * (m[1][0] * m[2][1] - m[1][1] * m[2][0])
    )
