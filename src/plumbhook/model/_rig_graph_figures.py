"""A rig graph taken apart into its pattern and its figures; the public face is :mod:`plumbhook.model.rig_graph`.

Rigs of one pattern differ in numbers only. What is wrong with the way a rig is put together is wrong with every rig of
the pattern; so once one of them was found without problems, the others need only their numbers looked at.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import chain
from operator import attrgetter, le
from typing import NamedTuple

from plumbhook.model._rig_graph_records import (
    ALL_ELEMENT_NUMBERS,
    LENGTH_RANGE_M,
    MAX_COORDINATE_M,
    MAX_GRAVITY_M_S2,
    MAX_MASS_KG,
    STIFFNESS_RANGE,
    ElementType,
    RigGraph,
)

_PATTERNS = 256
_ABOVE_ZERO = math.ulp(0.0)


class BodyPattern(NamedTuple):
    """A body without its numbers: name, whether it has a mass, names of its points."""

    name: str
    has_mass: bool
    points: tuple[str, ...]


@dataclass(slots=True, eq=False)
class Pattern:
    """A rig without its numbers: one object for all rigs that are put together alike and have the same names.

    Attributes:
        hooks: names.
        bodies: by body.
        elements: names; ``types``, ``from_refs`` and ``to_refs`` likewise.
        given: which of :data:`ALL_ELEMENT_NUMBERS` each element has: its bit is set, the first the highest.
        low: least allowed values of the figures; ``high`` largest ones.
        sound: True once a rig of the pattern was found without problems.
    """

    hooks: tuple[str, ...]
    bodies: tuple[BodyPattern, ...]
    elements: tuple[str, ...]
    types: tuple[ElementType, ...]
    from_refs: tuple[str, ...]
    to_refs: tuple[str, ...]
    given: tuple[int, ...]
    low: list[float] = field(init=False, repr=False)
    high: list[float] = field(init=False, repr=False)
    sound: bool = field(init=False, default=False)

    def __post_init__(self) -> None:
        ranges = list(_ranges(self))
        self.low, self.high = [low for low, _ in ranges], [high for _, high in ranges]


@dataclass(frozen=True, slots=True)
class Figures:
    """A rig as its pattern and its numbers.

    Attributes:
        pattern: how it is put together.
        values: gravity; by body the mass; by element unstretched length, EA, stiffness, level, each 0 where there is
            none, first all lengths, then all EA and so on; then vectors: of hooks, points, centres of gravity, start
            origins, and the three rows of the start rotation of each body.
    """

    pattern: Pattern
    values: list[float]


def figures_of(graph: RigGraph) -> Figures | None:
    """Pattern and numbers of a rig; None where a vector does not have three."""
    bodies = graph.bodies
    columns = tuple(zip(*map(_ELEMENT, graph.elements), strict=True)) or _NO_ELEMENTS
    names, types, from_refs, to_refs, lengths, EAs, stiffnesses, levels = columns
    given = tuple([
        8 * (length is not None) + 4 * (EA is not None) + 2 * (stiffness is not None) + (level is not None)
        for length, EA, stiffness, level in zip(lengths, EAs, stiffnesses, levels, strict=True)
    ])  # fmt: skip
    pattern = _pattern(
        tuple([hook.name for hook in graph.hooks_m]),
        tuple([
            (body.name, body.mass_kg > 0.0, tuple([point.name for point in body.points_m]))
            for body in bodies
        ]),
        names,
        types,
        from_refs,
        to_refs,
        given,
    )  # fmt: skip
    vectors = [hook.position_m for hook in graph.hooks_m]
    for body in bodies:
        vectors += [point.position_m for point in body.points_m]
    vectors += [body.cog_m for body in bodies]
    starts = [body.start for body in bodies]
    vectors += [start.origin_m for start in starts]
    for start in starts:
        vectors += start.rotation_rows
    if set(map(len, vectors)) - _THREE:
        return None
    values = [graph.gravity_m_s2, *[body.mass_kg for body in bodies]]
    for column in (lengths, EAs, stiffnesses, levels):
        values += [value or 0.0 for value in column]
    values += chain.from_iterable(vectors)
    return Figures(pattern, values)


# The word of a type is hashed many times faster than the type.
_ELEMENT = attrgetter("name", "type._value_", "from_ref", "to_ref", *ALL_ELEMENT_NUMBERS)
_NO_ELEMENTS = ((),) * 8
_THREE = frozenset({3})


@lru_cache(maxsize=_PATTERNS)
def _pattern(
    hooks: tuple[str, ...],
    bodies: tuple[tuple[str, bool, tuple[str, ...]], ...],
    elements: tuple[str, ...],
    types: tuple[str, ...],
    from_refs: tuple[str, ...],
    to_refs: tuple[str, ...],
    given: tuple[int, ...],
) -> Pattern:
    """The one pattern of these names."""
    kinds = tuple(ElementType(word) for word in types)
    return Pattern(
        hooks, tuple(BodyPattern(*body) for body in bodies), elements, kinds, from_refs, to_refs, given
    )


def _ranges(pattern: Pattern) -> Iterator[tuple[float, float]]:
    """Least and largest allowed value of every figure; rotations are looked at apart."""
    far = (-MAX_COORDINATE_M, MAX_COORDINATE_M)
    none = (0.0, 0.0)
    yield (_ABOVE_ZERO, MAX_GRAVITY_M_S2)
    for body in pattern.bodies:
        yield (_ABOVE_ZERO, MAX_MASS_KG) if body.has_mass else none
    for bit, allowed in ((8, LENGTH_RANGE_M), (4, STIFFNESS_RANGE), (2, STIFFNESS_RANGE), (1, far)):
        for own in pattern.given:
            yield allowed if own & bit else none
    points = sum(len(body.points) for body in pattern.bodies)
    yield from [far] * (3 * (len(pattern.hooks) + points + 5 * len(pattern.bodies)))


def within_bounds(figures: Figures) -> bool:
    """Whether every number is finite and allowed."""
    values, pattern = figures.values, figures.pattern
    return (
        len(values) == len(pattern.low)
        and all(map(le, pattern.low, values))
        and all(map(le, values, pattern.high))
    )
