"""A rig as flat arrays: what the equations need and nothing else.

Bodies are numbered in the order of the graph; number ``nb`` stands for the fixed world, so that a hook is a
point of the world, and so is the level of a support. The reference point of a body is its centre of gravity,
or, for a body without mass, the centroid of its used points; ``lever`` vectors are measured from there in body
axes. All positions are relative to ``datum_m``, a point amid the hooks (without hooks: amid the bodies),
because the rounding error of an elongation grows with the size of the coordinates.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

from plumbhook.model.rig_graph import HOOK, ElementType, Pose, RigGraph, Vector

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]
Bools = npt.NDArray[np.bool_]


@dataclass(slots=True)
class RigArrays:
    """Topology and parameters of one rig.

    Attributes:
        weight_N: (nb,) weight of every body.
        body_i: (ne,) body at the first end of every element, ``nb`` for a hook; ``body_j`` likewise.
        lever_i_m: (ne, 3) first end in body axes from the reference point (hooks: from the datum);
            ``lever_j_m``. The second end of a support is its level: (0, 0, height above the datum).
        length_m: (ne,) unstretched length, 0 for a pin or support.
        stiffness_N_m: (ne,) EA/L0, or the stiffness of a pin or support.
        is_sling: (ne,) True where the element pulls only; ``is_pin``: True for a zero-length pin;
            ``is_support``: True where it only pushes up.
        reference_m: (nb, 3) reference point of every body in its own axes.
        datum_m: (3,) world position of the origin of the arrays.
        body_size_m: mean unstretched length of slings and links, the length everything is scaled by.
        total_weight_N: sum of the weights.
        scale: (6 nb,) what increments are multiplied by so that all are lengths: 1 for moves, the size for turns.
        scatter: (ne*144,) where each entry of the 12 by 12 matrix of an element belongs in the flat matrix.
        scatter_gradient: (ne*12,) likewise for the gradient.
    """

    weight_N: Floats
    body_i: Ints
    body_j: Ints
    lever_i_m: Floats
    lever_j_m: Floats
    length_m: Floats
    stiffness_N_m: Floats
    is_sling: Bools
    is_pin: Bools
    is_support: Bools
    reference_m: Floats
    datum_m: Floats
    has_mass: Bools
    size_m: float
    total_weight_N: float
    scale: Floats
    scatter: Ints = field(repr=False)
    scatter_gradient: Ints = field(repr=False)

    @property
    def n_bodies(self) -> int:
        """Number of bodies."""
        return len(self.weight_N)

    @property
    def n_dof(self) -> int:
        """Number of degrees of freedom: three displacements and three rotations of every body."""
        return 6 * len(self.weight_N)

    def with_reference_moved(self, by_m: Floats) -> RigArrays:
        """The same rig with every reference point, and the weight in it, moved by (nb, 3) in body axes."""
        moves = np.concatenate([by_m, np.zeros((1, 3))])
        return replace(
            self,
            reference_m=self.reference_m + by_m,
            lever_i_m=self.lever_i_m - moves[self.body_i],
            lever_j_m=self.lever_j_m - moves[self.body_j],
        )

    @property
    def is_one_way(self) -> Bools:
        """(ne,) True where the element lets go: slings that go slack, supports that come clear."""
        return self.is_sling | self.is_support

    @property
    def coordinate_size_m(self) -> float:
        """Size of the coordinates that elongations are formed from (m), for the rounding floor."""
        levers = float(np.abs(self.lever_i_m).max()) + float(np.abs(self.lever_j_m).max())
        return levers + float(self.length_m.max())


@dataclass(slots=True)
class State:
    """Posture: reference points (nb, 3) from the datum (m) and rotations (nb, 3, 3) to world axes."""

    position_m: Floats
    rotation: Floats

    def with_reference_moved(self, by_m: Floats) -> State:
        """The same posture told by reference points moved by (nb, 3) in body axes."""
        return State(self.position_m + np.einsum("bij,bj->bi", self.rotation, by_m), self.rotation)


def assemble(graph: RigGraph) -> RigArrays:
    """Arrays of a rig graph that has no problems (see :func:`plumbhook.model.rig_graph.problems_of`)."""
    body_number = {body.name: number for number, body in enumerate(graph.bodies)}
    n_bodies = len(graph.bodies)
    hooks = {f"{HOOK}.{hook.name}": hook.position_m for hook in graph.hooks_m}
    amid = [hook.position_m for hook in graph.hooks_m] or [body.start.origin_m for body in graph.bodies]
    datum = np.array(amid, dtype=float).mean(axis=0)
    points = {
        f"{body.name}.{point.name}": point.position_m for body in graph.bodies for point in body.points_m
    }
    owners = {ref: body_number[ref.split(".", 1)[0]] for ref in points}
    mass = np.array([body.mass_kg for body in graph.bodies], dtype=float)
    has_mass = mass > 0.0
    reference = np.array([body.cog_m for body in graph.bodies], dtype=float)
    for number in np.flatnonzero(~has_mass).tolist():
        own = [
            points[ref] for element in graph.elements for ref in element.end_refs if owners.get(ref) == number
        ]
        reference[number] = np.array(own).mean(axis=0)
    body_i, lever_i = _ends(graph, owners, points | hooks, [element.from_ref for element in graph.elements])
    body_j, lever_j = _ends(graph, owners, points | hooks, [element.to_ref for element in graph.elements])
    origins = np.concatenate([reference, datum[None]])
    lever_i -= origins[body_i]
    lever_j -= origins[body_j]
    kinds = [element.type for element in graph.elements]
    is_pin = np.array([kind is ElementType.PIN for kind in kinds])
    is_support = np.array([kind is ElementType.SUPPORT for kind in kinds])
    lever_j[is_support, :2] = 0.0
    length = np.array([element.unstretched_length_m or 0.0 for element in graph.elements])
    stiffness = np.array(
        [
            element.stiffness_N_per_m
            if element.stiffness_N_per_m is not None
            else (element.EA_N or 0.0) / (element.unstretched_length_m or 1.0)
            for element in graph.elements
        ]
    )
    is_line = ~(is_pin | is_support)
    size = float(length[is_line].mean()) if is_line.any() else 0.0
    if size <= 0.0:
        size = max(float(np.linalg.norm(np.concatenate([lever_i, lever_j]), axis=1).max()), 1e-3)
    scatter_gradient, scatter = _scatter(body_i, body_j, n_bodies)
    weight = mass * graph.gravity_m_s2
    return RigArrays(
        weight_N=weight,
        body_i=body_i,
        body_j=body_j,
        lever_i_m=lever_i,
        lever_j_m=lever_j,
        length_m=length,
        stiffness_N_m=stiffness,
        is_sling=np.array([kind is ElementType.SLING for kind in kinds]),
        is_pin=is_pin,
        is_support=is_support,
        reference_m=reference,
        datum_m=datum,
        has_mass=has_mass,
        size_m=size,
        total_weight_N=float(weight.sum()),
        scale=np.array([1.0, 1.0, 1.0, size, size, size] * n_bodies),
        scatter=scatter,
        scatter_gradient=scatter_gradient,
    )


def _ends(
    graph: RigGraph, owners: Mapping[str, int], places: Mapping[str, Vector], refs: list[str]
) -> tuple[Ints, Floats]:
    """Bodies and places of one end of every element; a support's own end is its level, on the world's z axis."""
    world = len(graph.bodies)
    bodies = [owners.get(ref, world) for ref in refs]
    at = [
        places[ref] if ref else (0.0, 0.0, element.level_m or 0.0)
        for ref, element in zip(refs, graph.elements, strict=True)
    ]
    return np.array(bodies), np.array(at, dtype=float)


def _scatter(body_i: Ints, body_j: Ints, n_bodies: int) -> tuple[Ints, Ints]:
    """Flat indices of the entries of every element in a gradient and a matrix, the fixed world included."""
    six = np.arange(6)
    rows = np.concatenate([6 * body_i[:, None] + six, 6 * body_j[:, None] + six], axis=1)
    n_all = 6 * (n_bodies + 1)
    return rows.ravel(), (rows[:, :, None] * n_all + rows[:, None, :]).ravel()


def state_of(arrays: RigArrays, poses: list[Pose]) -> State:
    """State of bodies in the given poses (body origins in world axes)."""
    rotation = np.array([pose.rotation_rows for pose in poses], dtype=float)
    origin = np.array([pose.origin_m for pose in poses], dtype=float) - arrays.datum_m
    return State(origin + np.einsum("bij,bj->bi", rotation, arrays.reference_m), rotation)


def poses_of(arrays: RigArrays, state: State) -> list[Pose]:
    """Poses (body origins in world axes) of a state."""
    origin = state.position_m - np.einsum("bij,bj->bi", state.rotation, arrays.reference_m) + arrays.datum_m
    poses = []
    for place, rows in zip(origin.tolist(), state.rotation.tolist(), strict=True):
        a, b, c = (_triple(row) for row in rows)
        poses.append(Pose(_triple(place), (a, b, c)))
    return poses


def _triple(values: list[float]) -> Vector:
    x, y, z = values
    return (x, y, z)
