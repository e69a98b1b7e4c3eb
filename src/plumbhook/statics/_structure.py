"""What rigs of one pattern have in common, worked out once: which body, point and number belongs to which element.

Nothing here depends on a length, place or weight. Every array is closed for writing, so that threads may share them.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from typing import TypeVar

import numpy as np
import numpy.typing as npt

from plumbhook.model.rig_graph import HOOK, ElementType, Pattern, split_reference

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

_STRUCTURES = 64
_Array = TypeVar("_Array", bound=npt.NDArray[np.generic])


@dataclass(frozen=True, slots=True)
class Values:
    """Where the numbers of a rig lie among its figures (see :class:`plumbhook.model.rig_graph.Figures`)."""

    mass: slice
    length: slice
    EA: slice
    stiffness: slice
    level: slice
    places: slice
    cogs: slice
    origins: slice
    rows: slice

    @classmethod
    def of(cls, n_bodies: int, n_elements: int, n_places: int) -> Values:
        """Slices for a rig of that many parts; places are those of hooks, then of points."""
        at, out = 1, []
        for count in (
            n_bodies,
            *[n_elements] * 4,
            3 * n_places,
            3 * n_bodies,
            3 * n_bodies,
            9 * n_bodies,
        ):
            out.append(slice(at, at + count))
            at += count
        return cls(*out)


@dataclass(frozen=True, slots=True)
class Tips:
    """The places that elements end at, each once, in the order of the elements.

    Attributes:
        end: (nt,) first end there; ends are counted all ``i`` before all ``j``.
        body: body of each, ``nb`` for a hook.
        of_element: by element, the tips at its ends, one for a support.
        a, b: (n,) pairs of tips of one body, or of two hooks; ``between_hooks`` (n,) True for the latter.
    """

    end: Ints
    body: tuple[int, ...]
    of_element: tuple[tuple[int, ...], ...]
    a: Ints
    b: Ints
    between_hooks: Bools

    @classmethod
    def of(
        cls, n_bodies: int, bodies: tuple[Ints, Ints], places: tuple[Ints, Ints], is_support: Bools
    ) -> Tips:
        """Tips from the bodies and places at both ends of every element."""
        number: dict[int, int] = {}
        end: list[int] = []
        body: list[int] = []
        of_element: list[tuple[int, ...]] = []
        n_elements = len(is_support)
        for element, support in enumerate(is_support.tolist()):
            own = []
            for side in (0,) if support else (0, 1):
                place = int(places[side][element])
                if place not in number:
                    number[place] = len(number)
                    end.append(side * n_elements + element)
                    body.append(int(bodies[side][element]))
                own.append(number[place])
            of_element.append(tuple(own))
        pairs = [(a, b) for b in range(len(body)) for a in range(b) if body[a] == body[b]]
        return cls(
            _numbers(end),
            tuple(body),
            tuple(of_element),
            _numbers([a for a, _ in pairs]),
            _numbers([b for _, b in pairs]),
            _flags([body[a] == n_bodies for a, _ in pairs]),
        )


@dataclass(frozen=True, slots=True, eq=False)
class Structure:
    """A rig without its numbers, as arrays. Bodies are numbered as in the graph; number ``nb`` is the world.

    Attributes:
        hooks, bodies, points, elements: names; points by body.
        values: where its numbers are among the figures.
        has_mass: (nb,) True for bodies with weight.
        point_body: (np,) body of every point, points counted through body by body.
        body_i, body_j: (ne,) body at either end of every element, ``nb`` for a hook and for the level of a support.
        body_ends: (2 ne,) all ``body_i``, then all ``body_j``.
        place_i, place_j: (ne,) hook or point at either end: hooks first, then points; 0 for the level of a support.
        place_ends: (2 ne,) all ``place_i``, then all ``place_j``.
        on_body: (2 ne, 1) 1 for ends on bodies, 0 for those at hooks and levels.
        massless: bodies without weight.
        is_sling, is_pin, is_support, is_line, is_one_way: (ne,) True by law.
        one_way: ``is_one_way`` as plain truths.
        has_stiffness: (ne,) True where the stiffness is given, not EA and length.
        used: by body, places of its points at the ends of elements, as often as they are used.
        has_supports: True if there is a support; ``has_unlike`` if there is an element that is no line,
            ``has_stiffnesses`` if one whose stiffness is given.
        depth: (nb,) number of elements between a body and the nearest hook, 1 for what stands apart from hooks.
        is_turn: (6 nb,) True for the rotations among the coordinates.
        hook_signs: (nh, ne) 1 where an element starts at a hook, -1 where it ends there.
        scatter: (ne*144,) where each entry of the 12 by 12 matrix of an element belongs in the flat matrix.
        scatter_gradient: (ne*12,) likewise for the gradient.
        tips: the places that elements end at.
    """

    hooks: tuple[str, ...]
    bodies: tuple[str, ...]
    points: tuple[tuple[str, ...], ...]
    elements: tuple[str, ...]
    values: Values
    has_mass: Bools
    point_body: Ints
    body_i: Ints
    body_j: Ints
    body_ends: Ints
    place_i: Ints
    place_j: Ints
    place_ends: Ints
    on_body: Floats
    massless: tuple[int, ...]
    is_sling: Bools
    is_pin: Bools
    is_support: Bools
    is_line: Bools
    is_one_way: Bools
    one_way: tuple[bool, ...]
    has_stiffness: Bools
    used: tuple[tuple[int, ...], ...]
    has_supports: bool
    has_unlike: bool
    has_stiffnesses: bool
    depth: Floats
    is_turn: Bools
    hook_signs: Floats = field(repr=False)
    scatter: Ints = field(repr=False)
    scatter_gradient: Ints = field(repr=False)
    tips: Tips = field(repr=False)

    @property
    def n_bodies(self) -> int:
        """Number of bodies."""
        return len(self.bodies)


@lru_cache(maxsize=_STRUCTURES)
def structure_of(pattern: Pattern) -> Structure:
    """Structure of all rigs of a pattern that has no problems."""
    hooks, bodies, elements, kinds = pattern.hooks, pattern.bodies, pattern.elements, pattern.types
    n_bodies = len(bodies)
    place_of = {f"{HOOK}.{name}": number for number, name in enumerate(hooks)}
    for body in bodies:
        place_of |= {f"{body.name}.{name}": len(place_of) + n for n, name in enumerate(body.points)}
    number_of = {body.name: number for number, body in enumerate(bodies)}
    is_support = _flags([kind is ElementType.SUPPORT for kind in kinds])
    is_pin = _flags([kind is ElementType.PIN for kind in kinds])
    is_sling = _flags([kind is ElementType.SLING for kind in kinds])

    def ends(refs: tuple[str, ...]) -> tuple[Ints, Ints]:
        owners = [number_of.get(split_reference(ref)[0], n_bodies) for ref in refs]
        return _numbers(owners), _numbers([place_of[ref] if ref else 0 for ref in refs])

    body_i, place_i = ends(pattern.from_refs)
    body_j, place_j = ends(pattern.to_refs)
    used: list[list[int]] = [[] for _ in bodies]
    for kind, start, end in zip(kinds, pattern.from_refs, pattern.to_refs, strict=True):
        for ref in (start,) if kind is ElementType.SUPPORT else (start, end):
            owner = split_reference(ref)[0]
            if owner != HOOK:
                used[number_of[owner]].append(place_of[ref])
    scatter_gradient, scatter = _scatter(body_i, body_j, n_bodies)
    return Structure(
        hooks=hooks,
        bodies=tuple(body.name for body in bodies),
        points=tuple(body.points for body in bodies),
        elements=elements,
        values=Values.of(n_bodies, len(elements), len(place_of)),
        has_mass=_flags([body.has_mass for body in bodies]),
        point_body=_numbers([number for number, body in enumerate(bodies) for _ in body.points]),
        body_i=body_i,
        body_j=body_j,
        body_ends=_closed(np.concatenate([body_i, body_j])),
        place_i=place_i,
        place_j=place_j,
        place_ends=_closed(np.concatenate([place_i, place_j])),
        on_body=_closed((np.concatenate([body_i, body_j]) < n_bodies).astype(np.float64)[:, None]),
        massless=tuple(number for number, body in enumerate(bodies) if not body.has_mass),
        is_sling=is_sling,
        is_pin=is_pin,
        is_support=is_support,
        is_line=_closed(~(is_pin | is_support)),
        is_one_way=_closed(is_sling | is_support),
        one_way=tuple((is_sling | is_support).tolist()),
        has_stiffness=_flags([bool(own & 2) for own in pattern.given]),
        used=tuple(tuple(own) for own in used),
        has_supports=bool(is_support.any()),
        has_unlike=bool((is_support | is_pin).any()),
        has_stiffnesses=any(own & 2 for own in pattern.given),
        depth=_depth(n_bodies, body_i[~is_support].tolist(), body_j[~is_support].tolist()),
        is_turn=_flags([False, False, False, True, True, True] * n_bodies),
        hook_signs=_hook_signs(len(hooks), n_bodies, (body_i, body_j), (place_i, place_j), is_support),
        scatter=scatter,
        scatter_gradient=scatter_gradient,
        tips=Tips.of(n_bodies, (body_i, body_j), (place_i, place_j), is_support),
    )


def _closed(array: _Array) -> _Array:
    array.flags.writeable = False
    return array


def _numbers(values: list[int]) -> Ints:
    return _closed(np.array(values, dtype=np.int64))


def _flags(values: list[bool]) -> Bools:
    return _closed(np.array(values, dtype=np.bool_))


def _scatter(body_i: Ints, body_j: Ints, n_bodies: int) -> tuple[Ints, Ints]:
    """Flat indices of the entries of every element in a gradient and a matrix, the fixed world included."""
    six = np.arange(6)
    rows = np.concatenate([6 * body_i[:, None] + six, 6 * body_j[:, None] + six], axis=1)
    n_all = 6 * (n_bodies + 1)
    return _closed(rows.ravel()), _closed((rows[:, :, None] * n_all + rows[:, None, :]).ravel())


def _hook_signs(
    n_hooks: int, n_bodies: int, bodies: tuple[Ints, Ints], places: tuple[Ints, Ints], is_support: Bools
) -> Floats:
    out = np.zeros((n_hooks, len(is_support)))
    for body, place, sign in zip(bodies, places, (1.0, -1.0), strict=True):
        at_hook = np.flatnonzero((body == n_bodies) & ~is_support)
        out[place[at_hook], at_hook] += sign
    return _closed(out)


def _depth(n_bodies: int, body_i: list[int], body_j: list[int]) -> Floats:
    depth = [-1] * n_bodies + [0]
    for level in range(n_bodies):
        for a, b in zip(body_i, body_j, strict=True):
            for near, far in ((a, b), (b, a)):
                if depth[near] == level and depth[far] < 0:
                    depth[far] = level + 1
    return _closed(np.array([1.0 if own < 0 else float(own) for own in depth[:n_bodies]]))
