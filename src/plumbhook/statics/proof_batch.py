"""Independent proof of many samples of one rig: sums of forces and moments from reported poses and tensions.

It shares no line with the solvers, nor with the proof of a single rig (:mod:`plumbhook.statics.proof`), which it agrees
with. A line or pin pulls along the line between its ends, so its moment about a
point is the same whichever end it is taken at.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
import numpy.typing as npt

from plumbhook.model.rig_graph import HOOK, ElementType, RigGraph, split_reference

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]

_EPS = 2.220446049250313e-16
_RELATIVE = 1e-8
# So many places fit into the cache of the processor, and so few samples are not worth a call.
_PLACES_AT_ONCE = 12_000
_LEAST_AT_ONCE = 512


@dataclass(frozen=True, slots=True)
class Given:
    """What varies, by sample; what is None is as in the graph (see :class:`plumbhook.statics.kernel.BatchSamples`)."""

    mass_kg: Floats | None
    cog_shift_m: Floats | None
    unstretched_length_m: Floats | None
    stiffness_factor: Floats | None
    hook_position_m: Floats | None

    def part(self, rows: slice) -> Given:
        """Some of the samples."""
        arrays = (getattr(self, own.name) for own in fields(self))
        return Given(*(None if array is None else array[rows] for array in arrays))


class BatchProof:
    """Proves samples of a rig."""

    def __init__(self, graph: RigGraph, anchors_m: Floats) -> None:
        """Read what belongs to what, and the numbers that do not vary, from the graph.

        Args:
            graph: the rig.
            anchors_m: (nb, 3) by body, in its own axes, the point whose place is told in a posture: the centre of
                gravity, or any point of a body without mass. It moves with the centre of gravity by sample.

        Raises:
            ValueError: if an anchor of a body with mass is not its centre of gravity.
        """
        cogs = np.array([body.cog_m for body in graph.bodies])
        heavy = np.array([body.mass_kg > 0.0 for body in graph.bodies])
        if not np.array_equal(anchors_m[heavy], cogs[heavy]):
            raise ValueError("the places of bodies with mass must be told of their centres of gravity")
        number = {body.name: n for n, body in enumerate(graph.bodies)}
        hooks = {hook.name: n for n, hook in enumerate(graph.hooks_m)}
        whole = len(number)
        tips: list[list[tuple[float, float, float]]] = [[] for _ in number]
        at: list[list[tuple[int, int]]] = []
        self._acts = np.zeros((whole + 1, len(graph.elements)))
        for column, element in enumerate(graph.elements):
            ends: list[tuple[int, int]] = []
            # The force on the first end is the opposite of that on the second; on the whole rig a hook acts with the
            # opposite of what the element does to it.
            for ref, sign in ((element.from_ref, 1.0), (element.to_ref, -1.0)):
                if not ref:  # the ground below a support acts on the whole rig as it does on the body
                    ends.append(ends[0])
                    self._acts[whole, column] += 1.0
                    continue
                owner, point = split_reference(ref)
                if owner == HOOK:
                    ends.append((whole, hooks[point]))
                    self._acts[whole, column] -= sign
                    continue
                body = graph.bodies[number[owner]]
                place = next(own.position_m for own in body.points_m if own.name == point)
                ends.append((number[owner], len(tips[number[owner]])))
                tips[number[owner]].append(place)
                self._acts[number[owner], column] += sign
            at.append(ends)
        first = np.cumsum([0, *[len(own) for own in tips]])
        # Places: the ends of body after body, then the hooks.
        self._starts, self._ends = (
            np.array([first[body] + own for body, own in (ends[side] for ends in at)]) for side in (0, 1)
        )
        self._at_once = max(_PLACES_AT_ONCE // (int(first[-1]) + len(hooks)), _LEAST_AT_ONCE)
        self._tips = [np.array(own, dtype=np.float64).reshape(-1, 3) for own in tips]
        self._lever = max(float(np.abs(own).max(initial=0.0)) for own in self._tips)
        self.anchors_m = anchors_m
        self._hooks = np.array([hook.position_m for hook in graph.hooks_m]).reshape(-1, 3)
        # Reported places may be rounded where the site is, not where the hook is.
        self._far = float(np.abs(self._hooks).max(initial=0.0))
        self._mass = np.array([body.mass_kg for body in graph.bodies])
        self._gravity = graph.gravity_m_s2
        elements = graph.elements
        self._is_pin = np.array([e.type is ElementType.PIN for e in elements])[:, None]
        one_way = (ElementType.SLING, ElementType.SUPPORT)
        self._least = np.array([0.0 if e.type in one_way else -np.inf for e in elements])[:, None]
        self._supports = np.flatnonzero([e.type is ElementType.SUPPORT for e in elements])
        self._level = np.array([e.level_m or 0.0 for e in elements])[self._supports, None]
        self._springs = np.array([e.unstretched_length_m is None for e in elements])[:, None]
        self._has_springs = bool(self._springs.any())
        self._length = np.array([e.unstretched_length_m or 0.0 for e in elements])[:, None]
        self._EA = np.array([e.EA_N or 0.0 for e in elements])[:, None]
        self._given_k = np.array([e.stiffness_N_per_m or 0.0 for e in elements])[:, None]

    def holds(
        self, given: Given, position_m: Floats, rotation: Floats, tensions_N: Floats, *, datum_m: Floats
    ) -> Bools:
        """Whether every sum is zero and every law is kept, within 1e-8 of the weight and what rounding explains.

        Args:
            given: what varies, N samples.
            position_m: (N, nb, 3) from the datum to the centre of gravity of every body; for a body without mass to the
                point ``anchors_m``.
            rotation: (N, nb, 3, 3) from body to world axes.
            tensions_N: (N, ne); of a pin the magnitude of its force.
            datum_m: (3,) world position that the others are told from; moments of the whole rig are taken there.

        Returns:
            (N,) False as well where anything is not finite.
        """
        out = np.zeros(len(tensions_N), dtype=np.bool_)
        with np.errstate(all="ignore"):
            for first in range(0, len(out), self._at_once):
                rows = slice(first, first + self._at_once)
                some = given.part(rows)
                places, centres = self._places(some, position_m[rows], rotation[rows], datum_m)
                out[rows] = self._holds(some, places, centres, tensions_N[rows], datum_m)
        return out

    def _holds(
        self, given: Given, places: Floats, centres: Floats, tensions_N: Floats, datum_m: Floats
    ) -> Bools:
        tension = np.ascontiguousarray(tensions_N.T)
        start = places[:, self._starts]
        span = places[:, self._ends] - start
        distance = np.sqrt(_squares(span))
        if len(self._supports):
            # A support pushes straight up, as far as its point has sunk below its level.
            sunk = (self._level - datum_m[2]) - start[2, self._supports]
            span[:2, self._supports] = 0.0
            span[2, self._supports] = distance[self._supports] = sunk
        length, k = self._lines(given)
        per_length = tension / distance
        expected = k * (distance - length)
        # A pin has no length: its force is that of its gap, also where there is none.
        steepest = np.abs(per_length)
        if self._has_springs:
            per_length = np.where(self._is_pin, k, per_length)
            steepest = np.where(self._springs, 0.0, steepest)
        np.maximum(expected, self._least, out=expected)
        weight = self._weights(given)
        total = weight.sum(axis=0)
        spread = self._far + np.abs(places).max(axis=(0, 1))
        off = np.abs(tension - expected)
        off -= 64.0 * _EPS * k * (spread + np.abs(distance))
        law_kept = off.max(axis=0) <= _RELATIVE * total
        force = per_length * span
        sums, turns = self._acts @ force, self._acts @ _cross(start, force)
        sums[2, :-1] -= weight
        turns[:, :-1] -= _cross(centres, sums[:, :-1])
        turns[0, :-1] -= centres[1] * weight
        turns[1, :-1] += centres[0] * weight
        sums[2, -1] -= total
        turns[0, -1] -= (centres[1] * weight).sum(axis=0)
        turns[1, -1] += (centres[0] * weight).sum(axis=0)
        mean = length.sum(axis=0) / max(int((~self._springs).sum()), 1)
        size = np.maximum(np.sqrt(_squares(centres)).max(axis=0), np.maximum(mean, self._lever))
        most = np.abs(tension).max(axis=0)
        rounding = spread * steepest.max(axis=0) + most + k.max(axis=0) * (2.0 * size + mean)
        allowed = _RELATIVE * total + 64.0 * _EPS * rounding
        unbalanced = np.sqrt(_squares(sums).max(axis=0))
        turning = np.sqrt(_squares(turns).max(axis=0))
        return np.asarray(law_kept & (unbalanced <= allowed) & (turning <= allowed * size))

    def _places(
        self, given: Given, position_m: Floats, rotation: Floats, datum_m: Floats
    ) -> tuple[Floats, Floats]:
        """Places of all ends and hooks (3, n, N), and of the centres of gravity (3, nb, N), from the datum."""
        hooks = self._hooks[None] if given.hook_position_m is None else given.hook_position_m
        centres = np.ascontiguousarray(position_m.transpose(2, 1, 0))
        axes = np.ascontiguousarray(rotation.transpose(1, 2, 3, 0))
        whole = sum(len(own) for own in self._tips)
        places = np.empty((3, whole + len(self._hooks), centres.shape[2]))
        first = 0
        for number, own in enumerate(self._tips):
            last = first + len(own)
            np.matmul(own - self.anchors_m[number], axes[number], out=places[:, first:last])
            centre = centres[:, number]
            if given.cog_shift_m is not None:
                shift = np.ascontiguousarray(given.cog_shift_m[:, number].T)
                centre = centre - (axes[number] * shift).sum(axis=1)
            places[:, first:last] += centre[:, None]
            first = last
        places[:, whole:] = (hooks - datum_m).transpose(2, 1, 0)
        return places, centres

    def _lines(self, given: Given) -> tuple[Floats, Floats]:
        """Unstretched lengths and stiffnesses (ne, N), or (ne, 1) where they do not vary."""
        length = self._length
        if given.unstretched_length_m is not None:
            length = np.ascontiguousarray(given.unstretched_length_m.T)
        if self._has_springs:
            length = np.where(self._springs, 0.0, length)
            k = np.where(self._springs, self._given_k, self._EA / np.where(self._springs, 1.0, length))
        else:
            k = self._EA / length
        return length, k if given.stiffness_factor is None else k * given.stiffness_factor.T

    def _weights(self, given: Given) -> Floats:
        mass = self._mass[:, None] if given.mass_kg is None else given.mass_kg.T
        return np.asarray(mass * self._gravity)


def _cross(a: Floats, b: Floats) -> Floats:
    """Cross products of (3, n, N)."""
    out = np.empty(np.broadcast_shapes(a.shape, b.shape))
    for axis in range(3):
        after, last = (axis + 1) % 3, (axis + 2) % 3
        np.multiply(a[after], b[last], out=out[axis])
        out[axis] -= a[last] * b[after]
    return out


def _squares(a: Floats) -> Floats:
    """Squared lengths of (3, n, N) over the first axis."""
    return np.asarray(a[0] * a[0] + a[1] * a[1] + a[2] * a[2])
