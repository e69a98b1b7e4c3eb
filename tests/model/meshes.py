"""Triangle meshes of shapes whose volume, centroid and inertia stand in every handbook."""

from __future__ import annotations

import numpy as np

from plumbhook.model.mass_properties import Floats, Integers

Mesh = tuple[Floats, Integers]


def box(low=(0.0, 0.0, 0.0), size=(1.0, 1.0, 1.0)) -> Mesh:
    corners = np.array([[x, y, z] for z in (0.0, 1.0) for y in (0.0, 1.0) for x in (0.0, 1.0)])
    triangles = [
        (0, 2, 1), (1, 2, 3), (4, 5, 6), (5, 7, 6), (0, 1, 4), (1, 5, 4),
        (2, 6, 3), (3, 6, 7), (0, 4, 2), (2, 4, 6), (1, 3, 5), (3, 7, 5),
    ]  # fmt: skip
    return corners * np.array(size) + np.array(low), np.array(triangles, dtype=np.int64)


def frustum(sides: int, foot: float, top: float, height: float) -> Mesh:
    """Regular pyramid cut off parallel to its foot, or a prism where foot and top are alike; axis z from 0."""
    angles = 2.0 * np.pi * np.arange(sides) / sides
    rim = np.stack([np.cos(angles), np.sin(angles)], axis=1)
    lower = np.column_stack([foot * rim, np.zeros(sides)])
    upper = np.column_stack([top * rim, np.full(sides, height)])
    corners = np.vstack([lower, upper, [[0.0, 0.0, 0.0], [0.0, 0.0, height]]])
    k, after = np.arange(sides), (np.arange(sides) + 1) % sides
    walls = [np.stack([k, after, sides + k], axis=1), np.stack([after, sides + after, sides + k], axis=1)]
    bottom = np.stack([np.full(sides, 2 * sides), after, k], axis=1)
    lid = np.stack([np.full(sides, 2 * sides + 1), sides + k, sides + after], axis=1)
    return corners, np.vstack([*walls, bottom, lid]).astype(np.int64)


def sphere(radius=1.0, rows=12) -> Mesh:
    theta = np.linspace(0.0, np.pi, rows + 1)[1:-1]
    around = 2 * rows
    phi = 2.0 * np.pi * np.arange(around) / around
    rings = [
        np.column_stack([np.sin(t) * np.cos(phi), np.sin(t) * np.sin(phi), np.full(around, np.cos(t))])
        for t in theta
    ]
    corners = np.vstack([*rings, [[0.0, 0.0, 1.0], [0.0, 0.0, -1.0]]]) * radius
    north, south = len(corners) - 2, len(corners) - 1
    k, after = np.arange(around), (np.arange(around) + 1) % around
    triangles = [np.stack([np.full(around, north), k, after], axis=1)]
    for ring in range(len(rings) - 1):
        a, b = ring * around, (ring + 1) * around
        triangles += [
            np.stack([a + k, b + k, a + after], axis=1),
            np.stack([a + after, b + k, b + after], axis=1),
        ]
    last = (len(rings) - 1) * around
    triangles.append(np.stack([np.full(around, south), last + after, last + k], axis=1))
    return corners, np.vstack(triangles).astype(np.int64)


def together(*meshes: Mesh) -> Mesh:
    offsets = np.cumsum([0, *(len(corners) for corners, _ in meshes)])
    return (
        np.vstack([corners for corners, _ in meshes]),
        np.vstack([triangles + k for (_, triangles), k in zip(meshes, offsets, strict=False)]),
    )


def turned_over(mesh: Mesh) -> Mesh:
    return mesh[0], mesh[1][:, ::-1]


def rotation(a: float, b: float, c: float) -> Floats:
    def about(axis: int, angle: float) -> Floats:
        turn = np.eye(3)
        i, j = [(1, 2), (2, 0), (0, 1)][axis]
        turn[i, i] = turn[j, j] = np.cos(angle)
        turn[i, j], turn[j, i] = -np.sin(angle), np.sin(angle)
        return turn

    return about(2, a) @ about(1, b) @ about(0, c)
