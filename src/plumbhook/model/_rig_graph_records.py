"""Records of the rig graph; the public face is :mod:`plumbhook.model.rig_graph`."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import Enum

Vector = tuple[float, float, float]
Matrix = tuple[Vector, Vector, Vector]

STANDARD_GRAVITY_M_S2 = 9.80665
HOOK = "hook"
IDENTITY: Matrix = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))

ROTATION_TOLERANCE = 1e-6
MAX_COORDINATE_M = 1e8
MAX_MASS_KG = 1e12
MAX_GRAVITY_M_S2 = 1e3
MAX_BODIES = 100
MAX_ELEMENTS = 1000
LENGTH_RANGE_M = (1e-6, 1e8)
STIFFNESS_RANGE = (1e-6, 1e24)


class ElementType(Enum):
    """Law of an element.

    ``SLING`` pulls only, ``T = EA/L0 max(0, l - L0)``; ``LINK`` has the same law in both directions; ``PIN``
    holds two points together with a stiffness in every direction; ``SUPPORT`` pushes one point up from a level
    surface, ``N = k max(0, level - z)``, never pulls and rubs nowhere.
    """

    SLING = "sling"
    LINK = "link"
    PIN = "pin"
    SUPPORT = "support"


ELEMENT_NUMBERS: dict[ElementType, tuple[str, ...]] = {
    ElementType.SLING: ("unstretched_length_m", "EA_N"),
    ElementType.LINK: ("unstretched_length_m", "EA_N"),
    ElementType.PIN: ("stiffness_N_per_m",),
    ElementType.SUPPORT: ("level_m", "stiffness_N_per_m"),
}
ALL_ELEMENT_NUMBERS = ("unstretched_length_m", "EA_N", "stiffness_N_per_m", "level_m")


@dataclass(frozen=True, slots=True)
class NamedPoint:
    """A point with its name: of a hook in world axes, of a body in the body's own axes (m)."""

    name: str
    position_m: Vector


@dataclass(frozen=True, slots=True)
class Pose:
    """Where a body is: world position of its origin (m) and rows of the rotation from body to world axes."""

    origin_m: Vector
    rotation_rows: Matrix = IDENTITY

    def world(self, point_m: Vector) -> Vector:
        """World position of a point given in body axes (m)."""
        ox, oy, oz = self.origin_m
        x, y, z = point_m
        (a, b, c), (d, e, f), (g, h, i) = self.rotation_rows
        return (ox + a * x + b * y + c * z, oy + d * x + e * y + f * z, oz + g * x + h * y + i * z)


@dataclass(frozen=True, slots=True)
class Body:
    """A rigid body.

    Attributes:
        name: unique, without a dot.
        mass_kg: zero for a body whose weight is left out.
        cog_m: centre of gravity in body axes (m); has no effect where the mass is zero.
        points_m: points that elements may be fixed to, in body axes (m).
        start: the posture as drawn.
    """

    name: str
    mass_kg: float
    cog_m: Vector
    points_m: tuple[NamedPoint, ...]
    start: Pose


@dataclass(frozen=True, slots=True)
class Element:
    """A line, link or pin between two points, or a support below one.

    Attributes:
        name: unique among the elements.
        type: the law it follows.
        from_ref: ``hook.<name>`` or ``<body>.<point>``.
        to_ref: the other end, likewise; the direction has no meaning. "" for a support, which the ground holds.
        unstretched_length_m: length without tension (m); None for a pin or support.
        EA_N: axial stiffness times area (N), tension per unit of strain; None for a pin or support.
        stiffness_N_per_m: stiffness of a pin or support (N/m); None for slings and links.
        level_m: world height of the surface that a support offers to its point (m), however far that point is
            moved sideways; None for all others.
    """

    name: str
    type: ElementType
    from_ref: str
    to_ref: str
    unstretched_length_m: float | None = None
    EA_N: float | None = None
    stiffness_N_per_m: float | None = None
    level_m: float | None = None

    @property
    def end_refs(self) -> tuple[str, ...]:
        """Points of the rig that the element acts on: one for a support, two for all others."""
        return (self.from_ref,) if self.type is ElementType.SUPPORT else (self.from_ref, self.to_ref)


@dataclass(frozen=True, slots=True, kw_only=True)
class RigGraph:
    """A whole rig: what hangs from which hooks or stands on which supports, and by what.

    Attributes:
        name: label of the rig, may be empty.
        gravity_m_s2: acceleration of gravity (m/s2), along -z.
        hooks_m: fixed points the rig hangs from, world axes (m); may be empty where supports carry it.
        bodies: rigid bodies in any order.
        elements: slings, links, pins and supports in any order.
    """

    name: str
    hooks_m: tuple[NamedPoint, ...]
    bodies: tuple[Body, ...]
    elements: tuple[Element, ...]
    gravity_m_s2: float = STANDARD_GRAVITY_M_S2


def sling(name: str, from_ref: str, to_ref: str, unstretched_length_m: float, EA_N: float) -> Element:
    """A line that can only pull."""
    return Element(name, ElementType.SLING, from_ref, to_ref, unstretched_length_m, EA_N)


def link(name: str, from_ref: str, to_ref: str, unstretched_length_m: float, EA_N: float) -> Element:
    """A straight bar on two hinges: pulls and pushes."""
    return Element(name, ElementType.LINK, from_ref, to_ref, unstretched_length_m, EA_N)


def pin(name: str, from_ref: str, to_ref: str, stiffness_N_per_m: float) -> Element:
    """A ball joint that holds two points together."""
    return Element(name, ElementType.PIN, from_ref, to_ref, stiffness_N_per_m=stiffness_N_per_m)


def support(name: str, from_ref: str, level_m: float, stiffness_N_per_m: float) -> Element:
    """A level surface that pushes a point of a body up where the point would sink below it, without friction."""
    return Element(
        name, ElementType.SUPPORT, from_ref, "", stiffness_N_per_m=stiffness_N_per_m, level_m=level_m
    )


def split_reference(ref: str) -> tuple[str, str]:
    """Body (or ``hook``) and point of a reference, split at the first dot; ``("", ref)`` without a dot."""
    owner, dot, point = ref.partition(".")
    return (owner, point) if dot else ("", ref)


def with_stiffness_factor(graph: RigGraph, factor: float) -> RigGraph:
    """The same rig with every EA and every stiffness multiplied by ``factor`` (> 0, finite).

    A large factor (1e4) gives the answer of rigid lines: the geometry stays that of the unstretched lengths.

    Raises:
        ValueError: if the factor is not a finite number above zero.
    """
    if not (math.isfinite(factor) and factor > 0.0):
        raise ValueError(f"stiffness factor must be finite and above zero, not {factor!r}")
    elements = tuple(
        replace(
            element,
            EA_N=None if element.EA_N is None else element.EA_N * factor,
            stiffness_N_per_m=None
            if element.stiffness_N_per_m is None
            else element.stiffness_N_per_m * factor,
        )
        for element in graph.elements
    )
    return replace(graph, elements=elements)


def orthonormal(rows: Matrix) -> Matrix:
    """The rotation nearest to a matrix that is almost one (Newton iteration for the polar factor)."""
    m = rows
    for _ in range(3):
        gram = [[sum(m[k][i] * m[k][j] for k in range(3)) for j in range(3)] for i in range(3)]
        if all(abs(gram[i][j] - (i == j)) <= 4e-16 for i in range(3) for j in range(3)):
            return m
        half = [[(3.0 if i == j else 0.0) - gram[i][j] for j in range(3)] for i in range(3)]
        r = [[0.5 * sum(m[i][k] * half[k][j] for k in range(3)) for j in range(3)] for i in range(3)]
        m = ((r[0][0], r[0][1], r[0][2]), (r[1][0], r[1][1], r[1][2]), (r[2][0], r[2][1], r[2][2]))
    return m
