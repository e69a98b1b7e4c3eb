"""Volume, centroid and inertia of closed triangle meshes, and how they add up.

Lengths in metres, z up. Inertia here is that of the volume alone, per unit density (m5): multiplied by the
density it is the inertia of the mass (kg m2). The second moments of a tetrahedron are those of F. Tonon,
*Explicit exact formulas for the 3-D tetrahedron inertia tensor in terms of its vertex coordinates*, Journal of
Mathematics and Statistics 1(1), 2004; summing signed tetrahedra over the surface is the divergence theorem
(B. Mirtich, *Fast and accurate computation of polyhedral mass properties*, Journal of Graphics Tools 1(2), 1996).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Integers = NDArray[np.int64]
Vector = tuple[float, float, float]
Matrix = tuple[Vector, Vector, Vector]


@dataclass(frozen=True, slots=True)
class MassProperties:
    """What a homogeneous solid has by its shape alone.

    Attributes:
        volume_m3: volume; negative where the surface is turned inside out.
        centroid_m: centre of the volume.
        inertia_m5: inertia about the centroid along the axes of the coordinates, per unit density; the terms
            off the diagonal are the negative products of inertia.
        low_m: corner of the bounding box with the smallest x, y, z.
        high_m: corner of the bounding box with the largest x, y, z.
    """

    volume_m3: float
    centroid_m: Vector
    inertia_m5: Matrix
    low_m: Vector
    high_m: Vector


def vector(values: Floats | Sequence[float]) -> Vector:
    """Three plain numbers."""
    x, y, z = (float(value) for value in values)
    return (x, y, z)


def matrix(values: Floats | Sequence[Sequence[float]]) -> Matrix:
    """Three rows of three plain numbers."""
    a, b, c = (vector(row) for row in values)
    return (a, b, c)


def mesh_mass_properties(vertices_m: Floats, triangles: Integers) -> MassProperties:
    """Mass properties of the volume inside a closed, consistently turned triangle mesh.

    Args:
        vertices_m: corners, shape (n, 3).
        triangles: indices of corners, shape (m, 3), counter-clockwise seen from outside.

    Returns:
        The properties; of an open mesh they mean nothing, so ask :mod:`plumbhook.model.mesh_surface` first.

    Raises:
        ValueError: there is no triangle, a number is not finite, or the volume is zero.
    """
    if len(triangles) == 0:
        raise ValueError("a mesh without triangles has no mass properties")
    corners = vertices_m[triangles]
    if not np.isfinite(corners).all():
        raise ValueError("every coordinate of a mesh must be a finite number")
    low, high = corners.min(axis=(0, 1)), corners.max(axis=(0, 1))
    # About the middle of the box: far from the origin the tetrahedra would be huge and cancel.
    middle = 0.5 * (low + high)
    a, b, c = (corners[:, k] - middle for k in range(3))
    six_volumes = np.einsum("ij,ij->i", a, np.cross(b, c))
    volume = float(six_volumes.sum() / 6.0)
    if volume == 0.0:
        raise ValueError("the mesh encloses no volume")
    sums = a + b + c
    centroid = six_volumes @ sums / 24.0 / volume
    second = sum(np.einsum("i,ij,ik->jk", six_volumes, v, v) for v in (a, b, c, sums)) / 120.0
    second = second - volume * np.outer(centroid, centroid)
    inertia = np.trace(second) * np.eye(3) - second
    return MassProperties(volume, vector(centroid + middle), matrix(inertia), vector(low), vector(high))


def inertia_about(inertia: Matrix, mass: float, from_centre: Vector) -> Matrix:
    """Inertia about a point that is ``from_centre`` away from the centre (the parallel axis theorem).

    Args:
        inertia: about the centre, kg m2 or per unit density.
        mass: mass, or volume where the inertia is per unit density.
        from_centre: from the centre to the point, m.
    """
    d = np.asarray(from_centre)
    return matrix(np.asarray(inertia) + mass * (float(d @ d) * np.eye(3) - np.outer(d, d)))


def inertia_of_all(
    masses: Sequence[float], centres_m: Sequence[Vector], inertias: Sequence[Matrix]
) -> Matrix:
    """Inertia of several bodies about the centre of gravity that they have together.

    Args:
        masses: their masses.
        centres_m: their centres of gravity.
        inertias: the inertia of each about its own centre, along common axes.

    Raises:
        ValueError: there are none, or they weigh nothing together.
    """
    centre = np.asarray(centre_of_all(masses, centres_m))
    total = np.zeros((3, 3))
    for mass, at, inertia in zip(masses, centres_m, inertias, strict=True):
        total += np.asarray(inertia_about(inertia, mass, vector(centre - np.asarray(at))))
    return matrix(total)


def centre_of_all(masses: Sequence[float], centres_m: Sequence[Vector]) -> Vector:
    """Centre of gravity of several bodies: sum(m r) / sum(m).

    Raises:
        ValueError: there are none, or they weigh nothing together.
    """
    weights = np.asarray(masses, dtype=np.float64)
    if len(weights) == 0 or float(weights.sum()) == 0.0:
        raise ValueError("bodies without mass have no centre of gravity")
    return vector(weights @ np.asarray(centres_m, dtype=np.float64) / weights.sum())


def moved(properties: MassProperties, rotation: Matrix, origin_m: Vector) -> MassProperties:
    """The same solid turned and moved: a point p goes to ``origin + rotation p``.

    The bounding box is that of the turned box, so it can be larger than the smallest one.
    """
    turn, origin = np.asarray(rotation), np.asarray(origin_m)
    corners = np.array(
        [
            [x, y, z]
            for x in (properties.low_m[0], properties.high_m[0])
            for y in (properties.low_m[1], properties.high_m[1])
            for z in (properties.low_m[2], properties.high_m[2])
        ]
    )
    placed = corners @ turn.T + origin
    return MassProperties(
        properties.volume_m3,
        vector(turn @ np.asarray(properties.centroid_m) + origin),
        matrix(turn @ np.asarray(properties.inertia_m5) @ turn.T),
        vector(placed.min(axis=0)),
        vector(placed.max(axis=0)),
    )
