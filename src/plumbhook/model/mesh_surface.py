"""Whether a triangle mesh is the surface of a solid: closed, turned one way, not crossing itself.

Everything here is plain geometry on arrays: corners (n, 3) in metres and triangles (m, 3) of indices,
counter-clockwise seen from outside. Nothing is repaired in silence: what is mended is returned with its count.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plumbhook.model.box_tree import overlapping_boxes
from plumbhook.model.mass_properties import Floats, Integers, Vector


def welded(vertices_m: Floats, triangles: Integers, tolerance_m: float = 0.0) -> tuple[Floats, Integers]:
    """Join corners that lie at one place, and drop triangles that shrink to a line or a point by it.

    Args:
        vertices_m: corners.
        triangles: their triangles.
        tolerance_m: how far apart corners may lie and still be one; zero joins equal ones only.
    """
    if len(vertices_m) == 0:
        return vertices_m, triangles
    if tolerance_m > 0.0:
        label = corner_labels(vertices_m, tolerance_m)
        kept, inverse = np.unique(label, return_inverse=True)
        vertices = vertices_m[kept]
    else:
        first, inverse = _equal_rows(vertices_m)
        vertices = vertices_m[first]
    joined = inverse.reshape(-1)[triangles]
    a, b, c = joined.T
    return vertices, joined[(a != b) & (b != c) & (c != a)]


def _equal_rows(rows: Floats) -> tuple[Integers, Integers]:
    """One row of each kind, in rising order, and which of them each row is; quicker than sorting whole rows."""
    order = np.lexsort(rows.T[::-1])
    ordered = rows[order]
    starts = np.ones(len(rows), dtype=bool)
    starts[1:] = (ordered[1:] != ordered[:-1]).any(axis=1)
    inverse = np.empty(len(rows), dtype=np.int64)
    inverse[order] = np.cumsum(starts) - 1
    return order[starts].astype(np.int64), inverse


def corner_labels(vertices: Floats, tolerance: float) -> Integers:
    """The first of the corners that lie at the place of each corner, shape (n,).

    Corners are at one place when they share a cell of a grid or of one of its seven half-shifted copies.
    """
    label = np.arange(len(vertices), dtype=np.int64)
    shifts = [np.array([x, y, z]) for x in (0.0, 0.5) for y in (0.0, 0.5) for z in (0.0, 0.5)]
    # Cells of twice the tolerance: two corners nearer than it share a cell of at least one copy.
    cells = (vertices - vertices.min(axis=0)) / (2.0 * tolerance)
    for _ in range(2):
        for shift in shifts:
            _, cell = _equal_rows(np.floor(cells + shift))
            smallest = np.full(len(vertices), len(vertices), dtype=np.int64)
            np.minimum.at(smallest, cell, label)
            label = smallest[cell]
    return label


@dataclass(frozen=True, slots=True)
class Edges:
    """The edges of a mesh and how its triangles meet there.

    Attributes:
        ends: corners of each edge, smaller index first, shape (e, 2).
        of_side: edge of each of the three sides of each triangle, shape (m, 3).
        along: +1 where the side runs from the smaller to the larger index, else -1, shape (m, 3).
        count: how many triangles meet at each edge.
        balance: sides along the edge minus sides against it; zero where the triangles are turned one way.
    """

    ends: Integers
    of_side: Integers
    along: Integers
    count: Integers
    balance: Integers

    @property
    def open(self) -> Integers:
        """Edges where the surface ends: an odd number of triangles meet there."""
        return np.flatnonzero(self.count % 2 == 1)

    @property
    def is_closed(self) -> bool:
        """Whether every edge has as many sides one way as the other, so that the surface bounds a volume."""
        return len(self.ends) > 0 and not self.balance.any()


def edges_of(triangles: Integers) -> Edges:
    """Edges of a mesh whose corners are welded."""
    sides = np.stack([triangles, np.roll(triangles, -1, axis=1)], axis=2).reshape(-1, 2)
    along = np.where(sides[:, 0] < sides[:, 1], 1, -1)
    base = int(triangles.max()) + 1 if len(triangles) else 1
    key = sides.min(axis=1) * base + sides.max(axis=1)
    keys, edge, count = np.unique(key, return_inverse=True, return_counts=True)
    ends = np.stack([keys // base, keys % base], axis=1)
    balance = np.zeros(len(ends), dtype=np.int64)
    np.add.at(balance, edge, along)
    return Edges(ends, edge.reshape(-1, 3), along.reshape(-1, 3), count.astype(np.int64), balance)


def pieces_of(triangles: Integers, edges: Edges) -> Integers:
    """Number of the connected piece that each triangle belongs to, from 0, shape (m,)."""
    label = np.arange(len(triangles), dtype=np.int64)
    at_edge = edges.of_side
    while True:
        smallest = np.full(len(edges.ends), len(triangles), dtype=np.int64)
        np.minimum.at(smallest, at_edge.reshape(-1), np.repeat(label, 3))
        lower = smallest[at_edge].min(axis=1)
        lower = np.minimum(lower, label)
        lower = lower[lower]
        if np.array_equal(lower, label):
            break
        label = lower
    return np.unique(label, return_inverse=True)[1].reshape(-1).astype(np.int64)


def turned_one_way(triangles: Integers, edges: Edges) -> tuple[Integers, int]:
    """Turn triangles over until neighbours agree which side is outside.

    Args:
        triangles: a mesh where two triangles meet at every edge.
        edges: its edges.

    Returns:
        The triangles and how many were turned over; of each piece the smaller part is turned. Where no way of
        turning agrees (a one-sided surface) the edges of the result are still unbalanced.
    """
    count = len(triangles)
    pairs = _neighbours(edges)
    twisted = edges.along.reshape(-1)[pairs[:, 0]] == edges.along.reshape(-1)[pairs[:, 1]]
    first, second = pairs[:, 0] // 3, pairs[:, 1] // 3
    # Each neighbour from both sides, sorted, so that the neighbours of one triangle are one slice.
    start = np.concatenate([first, second])
    order = np.argsort(start, kind="stable")
    start, end = start[order], np.concatenate([second, first])[order]
    twist = np.concatenate([twisted, twisted])[order]
    begin = np.searchsorted(start, np.arange(count + 1))
    side = np.full(count, -1, dtype=np.int64)
    flip = np.zeros(count, dtype=bool)
    for seed in range(count):
        if side[seed] >= 0:
            continue
        members = _spread_from(seed, side, begin, end, twist)
        over = members[side[members] == 1]
        flip[over if 2 * len(over) <= len(members) else members[side[members] == 0]] = True
    turned = triangles.copy()
    turned[flip] = turned[flip][:, ::-1]
    return turned, int(flip.sum())


def _spread_from(
    seed: int,
    side: Integers,
    begin: Integers,
    end: Integers,
    twist: np.ndarray[tuple[int], np.dtype[np.bool_]],
) -> Integers:
    """Give every triangle that can be reached from the seed its side (0 or 1); returns those reached."""
    side[seed] = 0
    front = np.array([seed], dtype=np.int64)
    reached = [front]
    while len(front):
        lengths = begin[front + 1] - begin[front]
        slots = np.repeat(begin[front] - np.concatenate([[0], np.cumsum(lengths)[:-1]]), lengths)
        slots += np.arange(int(lengths.sum()))
        target = end[slots]
        value = np.repeat(side[front], lengths) ^ twist[slots]
        new = side[target] < 0
        side[target[new]] = value[new]
        front = np.unique(target[new])
        reached.append(front)
    return np.concatenate(reached)


def _neighbours(edges: Edges) -> Integers:
    """Pairs of sides (3 * triangle + side) that meet at an edge of exactly two triangles, shape (k, 2)."""
    flat = edges.of_side.reshape(-1)
    order = np.argsort(flat, kind="stable")
    starts = np.searchsorted(flat[order], np.flatnonzero(edges.count == 2))
    return np.stack([order[starts], order[starts + 1]], axis=1).astype(np.int64)


def doubled_triangles(triangles: Integers) -> int:
    """How many triangles repeat another one with the same corners and the same side outside."""
    smallest = np.argmin(triangles, axis=1)
    rows = np.arange(len(triangles))
    turned = np.stack([triangles[rows, (smallest + k) % 3] for k in range(3)], axis=1)
    return len(turned) - len(np.unique(turned, axis=0))


def winding_number(point_m: Vector | Floats, vertices_m: Floats, triangles: Integers) -> float:
    """How often a closed surface goes around a point: 1 inside, 0 outside, -1 inside one turned inside out.

    Sum of the solid angles of the triangles over 4 pi, each by A. van Oosterom and J. Strackee, *The solid angle
    of a plane triangle*, IEEE Transactions on Biomedical Engineering 30(2), 1983.
    """
    a, b, c = (vertices_m[triangles[:, k]] - np.asarray(point_m) for k in range(3))
    la, lb, lc = (np.linalg.norm(v, axis=1) for v in (a, b, c))
    above = np.einsum("ij,ij->i", a, np.cross(b, c))
    dots = [np.einsum("ij,ij->i", u, v) for u, v in ((a, b), (b, c), (c, a))]
    below = la * lb * lc + dots[0] * lc + dots[1] * la + dots[2] * lb
    return float(np.arctan2(above, below).sum() / (2.0 * np.pi))


@dataclass(frozen=True, slots=True)
class Crossings:
    """Places where an edge of a mesh passes through one of its triangles, rims of triangles included.

    Attributes:
        edge_triangle: triangle that the edge belongs to, shape (k,).
        side: which side of that triangle the edge is, shape (k,).
        through: triangle that it passes through, shape (k,).
        depth_m: how far the nearer end of the edge lies beyond the triangle, shape (k,).
        at_m: where, shape (k, 3).
    """

    edge_triangle: Integers
    side: Integers
    through: Integers
    depth_m: Floats
    at_m: Floats


def crossings(vertices_m: Floats, triangles: Integers, *, tolerance_m: float) -> Crossings:
    """Every place where an edge passes through a triangle that it shares no corner with.

    Surfaces that only touch, and faces that lie on one another in one plane, do not cross.

    Args:
        vertices_m: corners.
        triangles: their triangles, welded.
        tolerance_m: an end of an edge nearer than this to the plane of the triangle counts as lying on it.
    """
    corners = vertices_m[triangles]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    twice_area = np.linalg.norm(normal, axis=1)
    unit = normal / np.where(twice_area > 0.0, twice_area, 1.0)[:, None]
    surface = _Surface(triangles, corners, unit, twice_area, tolerance_m)
    found = [_NO_CROSSINGS]
    for first, second in overlapping_boxes(corners.min(axis=1), corners.max(axis=1)):
        for one, other in ((first, second), (second, first)):
            found += surface.sides_through(one, other)
    return Crossings(
        np.concatenate([hit[0] for hit in found]),
        np.concatenate([hit[1] for hit in found]),
        np.concatenate([hit[2] for hit in found]),
        np.concatenate([hit[3] for hit in found]),
        np.concatenate([hit[4] for hit in found]),
    )


def around_crossing(
    vertices_m: Floats, triangles: Integers, found: Crossings, number: int, reach_m: float
) -> Floats:
    """Points on all sides of a crossing, by which to tell a true crossing from contact.

    Two sheets that cross part the space into four; going round, the number of times that one is inside takes
    three values in a row, so one of the four is counted twice or outside in. Surfaces that only touch have none.

    Args:
        vertices_m: corners of the mesh.
        triangles: its triangles.
        found: its crossings.
        number: which of them.
        reach_m: how far from the crossing.

    Returns:
        The points, shape (16, 3).
    """
    edge_triangle = vertices_m[triangles[found.edge_triangle[number]]]
    through = vertices_m[triangles[found.through[number]]]
    side = int(found.side[number])
    along = _direction(edge_triangle[(side + 1) % 3] - edge_triangle[side])
    first, second = (_direction(np.cross(t[1] - t[0], t[2] - t[0])) for t in (edge_triangle, through))
    third = np.cross(first, along)
    signs = (-1.0, 1.0)
    steps = [a * first + b * along + c * third for a in signs for b in signs for c in signs]
    # Off the plane of the two as well, since other faces often end just there.
    aside = _ASIDE * _direction(np.cross(first, second))
    steps += [a * first + b * second + c * aside for a in signs for b in signs for c in signs]
    points: Floats = found.at_m[number] + reach_m * np.array(steps)
    return points


_ASIDE = 0.37


def _direction(way: Floats) -> Floats:
    length = float(np.linalg.norm(way))
    return way / length if length > 0.0 else way


_Hits = tuple[Integers, Integers, Integers, Floats, Floats]
_NO_CROSSINGS: _Hits = (
    np.zeros(0, dtype=np.int64),
    np.zeros(0, dtype=np.int64),
    np.zeros(0, dtype=np.int64),
    np.zeros(0),
    np.zeros((0, 3)),
)
_ON_THE_RIM = 1e-9


@dataclass(frozen=True, slots=True)
class _Surface:
    triangles: Integers
    corners: Floats
    unit: Floats
    twice_area: Floats
    tolerance_m: float

    def sides_through(self, one: Integers, other: Integers) -> list[_Hits]:
        """Sides of the triangles ``one`` that pass through the triangles ``other``, pair by pair."""
        from_plane = self.corners[one] - self.corners[other][:, :1]
        height = np.einsum("pkj,pj->pk", from_plane, self.unit[other])
        crosses = (height.max(axis=1) > self.tolerance_m) & (height.min(axis=1) < -self.tolerance_m)
        crosses &= self.twice_area[other] > 0.0
        one, other, height = one[crosses], other[crosses], height[crosses]
        return [self._side_through(one, other, height, side) for side in range(3)] if len(one) else []

    def _side_through(self, one: Integers, other: Integers, height: Floats, side: int) -> _Hits:
        above, below = height[:, side], height[:, (side + 1) % 3]
        depth = np.minimum(np.abs(above), np.abs(below))
        start, end = self.triangles[one, side], self.triangles[one, (side + 1) % 3]
        far = self.triangles[other]
        # A side that shares a corner with the triangle meets its plane there and nowhere else.
        apart = ((far != start[:, None]) & (far != end[:, None])).all(axis=1)
        keep = np.flatnonzero(apart & (above * below < 0.0) & (depth > self.tolerance_m))
        one, other, above, below, depth = one[keep], other[keep], above[keep], below[keep], depth[keep]
        p, q = self.corners[one, side], self.corners[one, (side + 1) % 3]
        at = p + (above / (above - below))[:, None] * (q - p)
        a, b, c = (self.corners[other, k] for k in range(3))
        shares = [
            np.einsum("ij,ij->i", self.unit[other], np.cross(v - u, at - u)) / self.twice_area[other]
            for u, v in ((a, b), (b, c), (c, a))
        ]
        inside = np.flatnonzero((np.stack(shares) >= -_ON_THE_RIM).all(axis=0))
        sides = np.full(len(inside), side, dtype=np.int64)
        return one[inside], sides, other[inside], depth[inside], at[inside]
