"""How a rig is put together: which bodies meet in which points, and what hangs below each of them."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from plumbhook.model.rig_graph import Vector
from plumbhook.statics._arrays import Bools, RigArrays
from plumbhook.statics._structure import Structure

COINCIDENT = 1e-9
WORLD_NODE = 0
_LAYOUTS = 64


@dataclass(frozen=True, slots=True, eq=False)
class Layout:
    """The rig as a graph without any place: node 0 is the world, then the bodies, then the points they are held at.

    Attributes:
        n_bodies: number of bodies.
        owners: body of every point, ``n_bodies`` for a hook.
        ends: points at the ends of every element, one for a support.
    """

    n_bodies: int
    owners: tuple[int, ...]
    ends: tuple[tuple[int, ...], ...]

    def point_node(self, point: int) -> int:
        """Node of a point."""
        return 1 + self.n_bodies + point

    def owner_node(self, point: int) -> int:
        """Node of the body that a point belongs to; of the world for a hook."""
        body = self.owners[point]
        return WORLD_NODE if body == self.n_bodies else 1 + body

    def neighbours(self, carrying: Bools) -> list[set[int]]:
        """Neighbours of every node while just the elements marked carry."""
        out: list[set[int]] = [set() for _ in range(1 + self.n_bodies + len(self.owners))]
        for number in np.flatnonzero(carrying).tolist():
            if len(self.ends[number]) == 1:
                continue
            first, second = self.ends[number]
            pairs = [(self.point_node(first), self.point_node(second))]
            pairs += [(self.point_node(end), self.owner_node(end)) for end in (first, second)]
            for a, b in pairs:
                out[a].add(b)
                out[b].add(a)
        return out


class Nodes:
    """Points that elements are held at, each once, with their places, and the layout they make."""

    def __init__(self, arrays: RigArrays) -> None:
        tips = arrays.structure.tips
        lever = arrays.lever_m[tips.end]
        apart = np.abs(lever[tips.a] - lever[tips.b])
        # Hooks on one vertical count as one: turning about it moves none of them.
        apart[tips.between_hooks, 2] = 0.0
        near = apart.max(axis=1, initial=0.0) <= COINCIDENT * max(arrays.size_m, 1.0)
        self.layout, first = _merged(arrays.structure, near.tobytes())
        # No two points of a body are farther apart along an axis.
        self.reach_m = 2.0 * max(arrays.first_reach_m, arrays.second_reach_m)
        places = list(map(tuple, lever.tolist()))
        self.points: list[tuple[int, Vector]] = [(tips.body[tip], places[tip]) for tip in first]


@lru_cache(maxsize=_LAYOUTS)
def _merged(structure: Structure, near: bytes) -> tuple[Layout, tuple[int, ...]]:
    """Layout of a rig, and the first tip of every point of it, where just the pairs of tips marked coincide."""
    tips = structure.tips
    together = {
        (a, b)
        for a, b, own in zip(tips.a.tolist(), tips.b.tolist(), np.frombuffer(near, np.bool_), strict=True)
        if own
    }
    first: list[int] = []
    point: list[int] = []
    for tip in range(len(tips.body)):
        same = next((number for number, other in enumerate(first) if (other, tip) in together), len(first))
        if same == len(first):
            first.append(tip)
        point.append(same)
    ends = tuple(tuple(point[tip] for tip in own) for own in tips.of_element)
    return Layout(structure.n_bodies, tuple(tips.body[tip] for tip in first), ends), tuple(first)


def distances(neighbours: list[set[int]], start: int, without: int = -1) -> dict[int, int]:
    """Number of steps to every node that can be reached from the start without passing one node."""
    found = {start: 0}
    queue = deque([start])
    while queue:
        node = queue.popleft()
        for other in neighbours[node]:
            if other != without and other not in found:
                found[other] = found[node] + 1
                queue.append(other)
    return found


@lru_cache(maxsize=_LAYOUTS)
def turning_parts(
    layout: Layout, carrying: bytes, standing: tuple[tuple[int, ...], ...]
) -> tuple[tuple[tuple[int, ...], int], ...]:
    """Bodies that turn together and the point they turn below; the same for all rigs of a layout."""
    neighbours = layout.neighbours(np.frombuffer(carrying, dtype=np.bool_))
    roots = [WORLD_NODE, *(1 + group[0] for group in standing)]
    return tuple(part for root in roots for part in _parts_below(layout, neighbours, root))


def _parts_below(
    layout: Layout, neighbours: list[set[int]], root: int
) -> Iterator[tuple[tuple[int, ...], int]]:
    held = distances(neighbours, root)
    known: set[frozenset[int]] = set()
    candidates = [point for point in range(len(layout.owners)) if layout.point_node(point) in held]
    for point in sorted(candidates, key=lambda number: held[layout.point_node(number)]):
        cut = layout.point_node(point)
        left = set(held) - set(distances(neighbours, root, without=cut)) - {cut}
        while left:
            part = set(distances(neighbours, next(iter(left)), without=cut))
            left -= part
            bodies = frozenset(node - 1 for node in part if 1 <= node <= layout.n_bodies)
            if bodies and bodies not in known:
                known.add(bodies)
                yield tuple(sorted(bodies)), point
