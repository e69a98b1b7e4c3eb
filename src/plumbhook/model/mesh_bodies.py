"""From triangle meshes to solids: weld, split into bodies, find cavities, refuse what encloses nothing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from plumbhook.model.box_tree import overlapping_boxes
from plumbhook.model.mass_properties import Floats, Integers, MassProperties, mesh_mass_properties, vector
from plumbhook.model.mesh_surface import (
    around_crossing,
    corner_labels,
    crossings,
    doubled_triangles,
    edges_of,
    pieces_of,
    turned_one_way,
    welded,
    winding_number,
)
from plumbhook.model.solids import LeftOut, Overlap, count, place

_WELD = 1e-6  # of the diagonal of the box
_FLAT = 1e-9  # of the cube of the diagonal
_TOUCHING = 1e-7  # of the diagonal of the box
_OVERLAP_FROM_M = 1e-3  # nearer to a face than this is contact, and the facets of round parts
_LARGEST_TO_CROSS = 600_000
_LOOKED_AT = 4  # crossings of a pair that are looked at more closely
_REACH = 0.05  # of the depth of a crossing


@dataclass(frozen=True, slots=True)
class MeshPiece:
    """A mesh with a name, as it stands in a file.

    Attributes:
        name: its name.
        vertices_m: corners, shape (n, 3).
        triangles: indices of corners, shape (m, 3).
        material: name of its material, "" where there is none.
    """

    name: str
    vertices_m: Floats
    triangles: Integers
    material: str = ""


@dataclass(frozen=True, slots=True)
class MeshBody:
    """A closed body of a mesh.

    Attributes:
        name: its name.
        material: its material.
        piece: position of the piece that it comes from.
        shape: its mass properties.
        vertices_m: corners of its surface.
        triangles: its surface, outside counter-clockwise, cavities included.
        remarks: what was mended.
    """

    name: str
    material: str
    piece: int
    shape: MassProperties
    vertices_m: Floats
    triangles: Integers
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class MeshBodies:
    """The bodies of a file, what was left out, which bodies overlap, and what was not looked at."""

    bodies: tuple[MeshBody, ...]
    left_out: tuple[LeftOut, ...]
    overlaps: tuple[Overlap, ...]
    questions: tuple[str, ...] = ()


class _RefusedError(Exception):
    """Why a mesh is not a solid, for the list of what was left out."""


def bodies_of(pieces: Sequence[MeshPiece], *, whole_pieces: bool) -> MeshBodies:
    """Solids in a set of meshes.

    Args:
        pieces: the meshes of a file.
        whole_pieces: True where a piece is one part (its bodies stay together and one bad body refuses it);
            False where a piece may hold many parts, or many pieces one part.
    """
    left_out: list[LeftOut] = []
    ready: list[tuple[int, MeshPiece]] = []
    for position, piece in enumerate(pieces):
        try:
            ready.append((position, _prepared(piece)))
        except _RefusedError as reason:
            left_out.append(LeftOut(piece.name, str(reason)))
    if not whole_pieces:
        ready = _open_ones_joined(ready)
    bodies: list[MeshBody] = []
    for position, piece in ready:
        found, refused = _bodies_of_piece(piece, position)
        if whole_pieces and refused:
            left_out.append(LeftOut(piece.name, refused[0].reason))
            continue
        left_out += refused
        bodies += [_together(found)] if whole_pieces and found else found
    return _without_crossed(_named_apart(bodies), left_out)


def _prepared(piece: MeshPiece) -> MeshPiece:
    if len(piece.triangles) == 0:
        raise _RefusedError("it has no facets; export it as a mesh with facets")
    if not np.isfinite(piece.vertices_m[piece.triangles]).all():
        raise _RefusedError("a coordinate is not a finite number; export it again")
    return _welded_piece(piece)


def _welded_piece(piece: MeshPiece) -> MeshPiece:
    used, triangles = np.unique(piece.triangles, return_inverse=True)
    vertices, triangles = welded(piece.vertices_m[used], triangles.reshape(-1, 3).astype(np.int64))
    if len(edges_of(triangles).open):
        span = float(np.linalg.norm(np.ptp(vertices, axis=0)))
        vertices, triangles = (
            welded(vertices, triangles, _WELD * span) if span > 0.0 else (vertices, triangles)
        )
    if len(triangles) == 0:
        raise _RefusedError("all its facets are points or lines; export it again, and check the unit")
    return MeshPiece(piece.name, vertices, triangles, piece.material)


def _open_ones_joined(ready: list[tuple[int, MeshPiece]]) -> list[tuple[int, MeshPiece]]:
    """Join pieces that are open by themselves: groups of faces of one body close only together."""
    is_open = [len(edges_of(piece.triangles).open) > 0 for _, piece in ready]
    opened = [one for one, flag in zip(ready, is_open, strict=True) if flag]
    if len(opened) < 2:
        return ready
    closed = [one for one, flag in zip(ready, is_open, strict=True) if not flag]
    offsets = np.cumsum([0] + [len(piece.vertices_m) for _, piece in opened])
    triangles = np.concatenate(
        [piece.triangles + offset for (_, piece), offset in zip(opened, offsets, strict=False)]
    )
    owner = np.repeat(np.arange(len(opened)), [len(piece.triangles) for _, piece in opened])
    vertices = np.concatenate([piece.vertices_m for _, piece in opened])
    span = float(np.linalg.norm(np.ptp(vertices, axis=0)))
    label = corner_labels(vertices, max(_WELD * span, 1e-300))[triangles]
    edges = edges_of(label)
    part = pieces_of(label, edges)
    joined: list[tuple[int, MeshPiece]] = []
    for number in range(int(part.max()) + 1):
        mine = np.flatnonzero(part == number)
        owners, counts = np.unique(owner[mine], return_counts=True)
        first = [opened[k] for k in owners[np.argsort(-counts, kind="stable")]]
        name = " + ".join(dict.fromkeys(piece.name for _, piece in first))
        materials = list(dict.fromkeys(piece.material for _, piece in first))
        material = materials[0] if len(materials) == 1 else ""
        kept, indices = np.unique(label[mine], return_inverse=True)
        joined.append((first[0][0], MeshPiece(name, vertices[kept], indices.reshape(-1, 3), material)))
    return closed + joined


def _bodies_of_piece(piece: MeshPiece, position: int) -> tuple[list[MeshBody], list[LeftOut]]:
    edges = edges_of(piece.triangles)
    part = pieces_of(piece.triangles, edges)
    shells: list[_Shell] = []
    left_out: list[LeftOut] = []
    order = np.argsort(part, kind="stable")
    for mine in np.split(order, np.searchsorted(part[order], np.arange(1, int(part.max()) + 1))):
        try:
            shells.append(_shell(piece.vertices_m, piece.triangles[mine]))
        except _RefusedError as reason:
            left_out.append(LeftOut(piece.name, str(reason)))
    bodies: list[MeshBody] = []
    for outer, inner in _nested(shells):
        try:
            bodies.append(_body(piece, position, shells, outer, inner))
        except _RefusedError as reason:
            left_out.append(LeftOut(piece.name, str(reason)))
    return bodies, left_out


@dataclass(frozen=True, slots=True)
class _Shell:
    """One closed surface: corners, triangles turned one way, its properties (volume of either sign)."""

    vertices_m: Floats
    triangles: Integers
    shape: MassProperties
    turned: int


def _shell(vertices: Floats, triangles: Integers) -> _Shell:
    used, triangles = np.unique(triangles, return_inverse=True)
    vertices, triangles = vertices[used], triangles.reshape(-1, 3).astype(np.int64)
    span = float(np.linalg.norm(np.ptp(vertices, axis=0)))
    edges = edges_of(triangles)
    rims = edges.open
    if len(rims):
        ends = vertices[edges.ends[rims]].reshape(-1, 3)
        raise _RefusedError(
            f"the surface is open: {count(len(rims), 'open edge')} between {place(vector(ends.min(axis=0)))} and "
            f"{place(vector(ends.max(axis=0)))}, so it has no volume; close it in the program that made it"
        )
    doubled = doubled_triangles(triangles)
    if doubled:
        raise _RefusedError(
            f"{count(doubled, 'facet')} occur twice at the same place, as where a body is in the file two "
            "times; remove the copy"
        )
    turned = 0
    if not edges.is_closed:
        triangles, turned = _turned(triangles, vertices)
    try:
        shape = mesh_mass_properties(vertices, triangles)
    except ValueError:
        shape = None
    if shape is None or abs(shape.volume_m3) <= _FLAT * span**3:
        raise _RefusedError(
            "it encloses no volume: a flat sheet; give it a thickness, or its weight as a part"
        )
    return _Shell(vertices, triangles, shape, turned)


def _turned(triangles: Integers, vertices: Floats) -> tuple[Integers, int]:
    edges = edges_of(triangles)
    crowded = np.flatnonzero(edges.count > 2)
    if len(crowded):
        at = vertices[edges.ends[crowded[0]]].mean(axis=0)
        raise _RefusedError(
            f"more than two facets meet at {count(len(crowded), 'edge')}, one near {place(vector(at))}, and do "
            "not say which side is inside; export it as a solid"
        )
    triangles, turned = turned_one_way(triangles, edges)
    if not edges_of(triangles).is_closed:
        raise _RefusedError("its surface has one side only, so nothing is inside; model it as a solid")
    return triangles, turned


def _nested(shells: list[_Shell]) -> list[tuple[int, list[int]]]:
    """Outer shells, each with the shells directly inside it."""
    around: dict[int, set[int]] = {k: set() for k in range(len(shells))}
    low = np.array([shell.shape.low_m for shell in shells]).reshape(-1, 3)
    high = np.array([shell.shape.high_m for shell in shells]).reshape(-1, 3)
    for first, second in overlapping_boxes(low, high):
        for one, other in [*zip(first, second, strict=True), *zip(second, first, strict=True)]:
            boxed = (low[one] <= low[other]).all() and (high[one] >= high[other]).all()
            if boxed and _is_inside(shells[other], shells[one].vertices_m, shells[one].triangles):
                around[int(other)].add(int(one))
    depth = {k: len(outside) for k, outside in around.items()}
    return [
        (k, [j for j in around if k in around[j] and depth[j] == depth[k] + 1])
        for k in around
        if depth[k] % 2 == 0
    ]


def _is_inside(inner: _Shell | MeshBody, vertices: Floats, triangles: Integers) -> bool:
    """Whether a shell lies inside a closed surface, by the median of a few of its points."""
    step = max(1, len(inner.triangles) // 5)
    points = inner.vertices_m[inner.triangles[::step][:5]].mean(axis=1)
    return bool(np.median([abs(winding_number(point, vertices, triangles)) for point in points]) > 0.5)


def _body(piece: MeshPiece, position: int, shells: list[_Shell], outer: int, inner: list[int]) -> MeshBody:
    outside = shells[outer]
    remarks = []
    turned = outside.turned + sum(shells[k].turned for k in inner)
    if turned:
        remarks.append(f"{count(turned, 'facet')} faced the wrong way and were turned round")
    if any(shells[k].shape.volume_m3 * outside.shape.volume_m3 > 0.0 for k in inner if not shells[k].turned):
        raise _RefusedError(
            "a closed surface lies inside another and is not turned as a cavity, so its volume would be counted "
            "twice; remove it, or turn it"
        )
    parts = [_facing(outside, outward=True), *(_facing(shells[k], outward=False) for k in inner)]
    if outside.shape.volume_m3 < 0.0 and not outside.turned:
        remarks.append("the surface was inside out and was turned round")
    if inner:
        remarks.append(f"{count(len(inner), 'closed cavity', 'closed cavities')} inside")
    vertices, triangles = _stacked(parts)
    shape = mesh_mass_properties(vertices, triangles)
    if shape.volume_m3 <= 0.0:
        raise _RefusedError("its cavities are larger than itself; export it again")
    return MeshBody(piece.name, piece.material, position, shape, vertices, triangles, tuple(remarks))


def _facing(shell: _Shell, *, outward: bool) -> tuple[Floats, Integers]:
    right = (shell.shape.volume_m3 > 0.0) == outward
    return shell.vertices_m, shell.triangles if right else shell.triangles[:, ::-1]


def _stacked(meshes: Sequence[tuple[Floats, Integers]]) -> tuple[Floats, Integers]:
    offsets = np.cumsum([0] + [len(vertices) for vertices, _ in meshes])
    return (
        np.concatenate([vertices for vertices, _ in meshes]),
        np.concatenate([triangles + k for (_, triangles), k in zip(meshes, offsets, strict=False)]),
    )


def _together(bodies: list[MeshBody]) -> MeshBody:
    """Bodies of one part as one body."""
    first = bodies[0]
    if len(bodies) == 1:
        return first
    vertices, triangles = _stacked([(body.vertices_m, body.triangles) for body in bodies])
    remarks = dict.fromkeys(remark for body in bodies for remark in body.remarks)
    return MeshBody(
        first.name,
        first.material,
        first.piece,
        mesh_mass_properties(vertices, triangles),
        vertices,
        triangles,
        (*remarks, f"made of {len(bodies)} separate bodies"),
    )


def _named_apart(bodies: list[MeshBody]) -> list[MeshBody]:
    """Number the bodies of one piece where it has several."""
    total: dict[tuple[int, str], int] = {}
    for body in bodies:
        total[body.piece, body.name] = total.get((body.piece, body.name), 0) + 1
    seen: dict[tuple[int, str], int] = {}
    named = []
    for body in bodies:
        key = (body.piece, body.name)
        seen[key] = seen.get(key, 0) + 1
        name = f"{body.name} {seen[key]}" if total[key] > 1 else body.name
        named.append(
            MeshBody(
                name, body.material, body.piece, body.shape, body.vertices_m, body.triangles, body.remarks
            )
        )
    return named


def _without_crossed(bodies: list[MeshBody], left_out: list[LeftOut]) -> MeshBodies:
    """Refuse bodies whose surface crosses itself; report those that cross or hold one another."""
    surfaces = [(body.vertices_m, body.triangles) for body in bodies]
    facets = sum(len(triangles) for _, triangles in surfaces)
    if facets > _LARGEST_TO_CROSS:
        question = (
            f"with {facets} facets the model is too fine to look for surfaces that cross themselves or each "
            f"other; export it with fewer than {_LARGEST_TO_CROSS} facets"
        )
        return MeshBodies(tuple(bodies), tuple(left_out), (), (question,))
    crossed, overlaps = _crossed(surfaces)
    kept = [k for k in range(len(bodies)) if k not in crossed]
    new = {k: position for position, k in enumerate(kept)}
    refused = [LeftOut(bodies[k].name, reason) for k, reason in sorted(crossed.items())]
    return MeshBodies(
        tuple(bodies[k] for k in kept),
        (*left_out, *refused),
        tuple(
            Overlap(new[one.first], new[one.second], one.at_m, one.inside)
            for one in overlaps
            if one.first in new and one.second in new
        ),
    )


def overlaps_of(surfaces: Sequence[tuple[Floats, Integers]]) -> tuple[Overlap, ...]:
    """Pairs of closed surfaces that cross by more than a millimetre, or lie one inside the other.

    Args:
        surfaces: corners and triangles of each, outside counter-clockwise.
    """
    return tuple(_crossed(surfaces)[1])


def _crossed(surfaces: Sequence[tuple[Floats, Integers]]) -> tuple[dict[int, str], list[Overlap]]:
    """Bodies whose surface crosses itself, with the reason, and pairs of bodies that overlap."""
    if not surfaces:
        return {}, []
    vertices, triangles = _stacked(surfaces)
    owner = np.repeat(np.arange(len(surfaces)), [len(mesh) for _, mesh in surfaces])
    span = float(np.linalg.norm(np.ptp(vertices, axis=0)))
    found = crossings(vertices, triangles, tolerance_m=_TOUCHING * span)
    one, other = owner[found.edge_triangle], owner[found.through]
    candidates: dict[tuple[int, int], list[int]] = {}
    for k in np.argsort(-found.depth_m, kind="stable"):
        if one[k] == other[k] or found.depth_m[k] > _OVERLAP_FROM_M:
            pair = (int(min(one[k], other[k])), int(max(one[k], other[k])))
            candidates.setdefault(pair, []).append(int(k))
    own: dict[int, str] = {}
    pairs: dict[tuple[int, int], Overlap] = {}
    for (a, b), hits in candidates.items():
        for k in _spread_out(hits):
            reach = _REACH * float(found.depth_m[k]) if a == b else _OVERLAP_FROM_M / 2.0
            points = around_crossing(vertices, triangles, found, k, reach)
            at = vector(found.at_m[k])
            if a == b and _is_counted_wrongly(points, surfaces[a]):
                own[a] = (
                    f"its surface crosses itself, for instance near {place(at)}, so its volume is not certain; join "
                    "its bodies in the program that made it"
                )
                break
            if a != b and _is_in_both(points, surfaces[a], surfaces[b]):
                pairs[a, b] = Overlap(a, b, at)
                break
    for overlap in _held_inside(surfaces):
        pairs.setdefault((min(overlap.first, overlap.second), max(overlap.first, overlap.second)), overlap)
    return own, [pairs[pair] for pair in sorted(pairs)]


def _spread_out(hits: list[int]) -> list[int]:
    """A few of the crossings, the deepest first and the others spread over the rest."""
    return hits[:_LOOKED_AT] + hits[_LOOKED_AT :: max(1, len(hits) // _LOOKED_AT)][:_LOOKED_AT]


def _is_counted_wrongly(points: Floats, surface: tuple[Floats, Integers]) -> bool:
    """Whether the surface goes round one of the points twice, or the wrong way."""
    rounds = [winding_number(point, *surface) for point in points]
    return any(number > 1.75 or number < -0.75 for number in rounds)


def _is_in_both(points: Floats, one: tuple[Floats, Integers], other: tuple[Floats, Integers]) -> bool:
    return any(winding_number(p, *one) > 0.75 and winding_number(p, *other) > 0.75 for p in points)


def _held_inside(surfaces: Sequence[tuple[Floats, Integers]]) -> list[Overlap]:
    low = np.array([vertices.min(axis=0) for vertices, _ in surfaces])
    high = np.array([vertices.max(axis=0) for vertices, _ in surfaces])
    found = []
    for first, second in overlapping_boxes(low, high):
        for outer, inner in [*zip(first, second, strict=True), *zip(second, first, strict=True)]:
            if (low[outer] < low[inner]).all() and (high[outer] > high[inner]).all():
                vertices, triangles = surfaces[int(inner)]
                at = vertices[triangles[0]].mean(axis=0)
                if winding_number(at, *surfaces[int(outer)]) > 0.5:
                    found.append(Overlap(int(outer), int(inner), vector(at), inside=True))
    return found
