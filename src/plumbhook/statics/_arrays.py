"""A rig as flat arrays: what the equations need and nothing else.

Bodies are numbered in the order of the graph; number ``nb`` stands for the fixed world, so that a hook is a
point of the world, and so is the level of a support. The reference point of a body is its centre of gravity,
or, for a body without mass, the centroid of its used points; ``lever`` vectors are measured from there in body
axes. All positions are relative to ``datum_m``, a point amid the hooks (without hooks: amid the bodies),
because the rounding error of an elongation grows with the size of the coordinates.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from plumbhook.model.rig_graph import Figures, Pose, RigGraph, figures_of
from plumbhook.statics._structure import Bools, Floats, Ints, Structure, structure_of

__all__ = [
    "Bools",
    "Floats",
    "Ints",
    "RigArrays",
    "State",
    "assemble",
    "known_figures",
    "poses_of",
    "state_of",
]


@dataclass(slots=True)
class RigArrays:
    """Parameters of one rig on its structure.

    Attributes:
        structure: what belongs to what; its arrays are at hand here as well.
        weight_N: (nb,) weight of every body.
        lever_m: (2 ne, 3) all first, then all second ends in body axes from the reference point (hooks: from the
            datum). The second end of a support is its level: (0, 0, height above the datum).
        length_m: (ne,) unstretched length, 0 for a pin or support.
        stiffness_N_m: (ne,) EA/L0, or the stiffness of a pin or support.
        reference_m: (nb, 3) reference point of every body in its own axes.
        datum_m: (3,) world position of the origin of the arrays.
        size_m: mean unstretched length of slings and links, the length everything is scaled by.
        total_weight_N: sum of the weights.
        scale: (6 nb,) what increments are multiplied by so that all are lengths: 1 for moves, the size for turns.
        values: the figures of the rig as given.
        first_reach_m: largest coordinate of a first end in its own axes (m); ``second_reach_m`` of a second end.
    """

    structure: Structure
    weight_N: Floats
    lever_m: Floats
    length_m: Floats
    stiffness_N_m: Floats
    reference_m: Floats
    datum_m: Floats
    size_m: float
    total_weight_N: float
    scale: Floats
    values: Floats = field(repr=False)
    first_reach_m: float = field(init=False)
    second_reach_m: float = field(init=False)
    body_i: Ints = field(init=False, repr=False)
    body_j: Ints = field(init=False, repr=False)
    is_sling: Bools = field(init=False, repr=False)
    is_pin: Bools = field(init=False, repr=False)
    is_support: Bools = field(init=False, repr=False)
    is_one_way: Bools = field(init=False, repr=False)
    has_mass: Bools = field(init=False, repr=False)

    def __post_init__(self) -> None:
        structure = self.structure
        self.body_i, self.body_j = structure.body_i, structure.body_j
        self.is_sling, self.is_pin, self.is_support = (
            structure.is_sling,
            structure.is_pin,
            structure.is_support,
        )
        self.is_one_way, self.has_mass = structure.is_one_way, structure.has_mass
        self.first_reach_m, self.second_reach_m = (
            np.abs(self.lever_m).reshape(2, -1).max(axis=1, initial=0.0).tolist()
        )

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
            lever_m=self.lever_m - moves[self.structure.body_ends],
        )

    @property
    def lever_i_m(self) -> Floats:
        """(ne, 3) first ends."""
        return self.lever_m[: len(self.length_m)]

    @property
    def lever_j_m(self) -> Floats:
        """(ne, 3) second ends."""
        return self.lever_m[len(self.length_m) :]

    @property
    def coordinate_size_m(self) -> float:
        """Size of the coordinates that elongations are formed from (m), for the rounding floor."""
        return self.first_reach_m + self.second_reach_m + float(self.length_m.max())


@dataclass(slots=True)
class State:
    """Posture: reference points (nb, 3) from the datum (m) and rotations (nb, 3, 3) to world axes."""

    position_m: Floats
    rotation: Floats

    def with_reference_moved(self, by_m: Floats) -> State:
        """The same posture told by reference points moved by (nb, 3) in body axes."""
        return State(self.position_m + np.einsum("bij,bj->bi", self.rotation, by_m), self.rotation)


def assemble(graph: RigGraph, figures: Figures | None = None) -> RigArrays:
    """Arrays of a rig graph that has no problems (see :func:`plumbhook.model.rig_graph.problems_of`).

    Args:
        graph: the rig.
        figures: ``figures_of(graph)``, if that is known.

    Raises:
        ValueError: if a place is not told by three numbers.
    """
    figures = figures or known_figures(graph)
    structure = structure_of(figures.pattern)
    values, at = np.array(figures.values, dtype=np.float64), structure.values
    places = values[at.places].reshape(-1, 3)
    n_hooks, n_bodies, n_el = len(structure.hooks), structure.n_bodies, len(structure.elements)
    amid = places[:n_hooks] if n_hooks else values[at.origins].reshape(-1, 3)
    # The last row is the world, whose places are told from the datum.
    origins = np.empty((n_bodies + 1, 3))
    origins[:n_bodies] = values[at.cogs].reshape(-1, 3)
    origins[n_bodies] = amid[0] if len(amid) == 1 else amid.sum(axis=0) / len(amid)
    for number in structure.massless:
        origins[number] = places[list(structure.used[number])].mean(axis=0)
    lever = places[structure.place_ends] - origins[structure.body_ends]
    if structure.has_supports:
        level = lever[n_el:]
        level[structure.is_support, :2] = 0.0
        level[structure.is_support, 2] = values[at.level][structure.is_support] - origins[n_bodies, 2]
    length = values[at.length]
    if structure.has_stiffnesses:
        safe = np.where(length > 0.0, length, 1.0)
        stiffness = np.where(structure.has_stiffness, values[at.stiffness], values[at.EA] / safe)
    else:
        stiffness = values[at.EA] / length
    lines = length[structure.is_line]
    size = float(lines.sum() / len(lines)) if len(lines) else 0.0
    if size <= 0.0:
        size = max(float(np.linalg.norm(lever, axis=1).max()), 1e-3)
    weight = values[at.mass] * figures.values[0]
    return RigArrays(
        structure=structure,
        weight_N=weight,
        lever_m=lever,
        length_m=length,
        stiffness_N_m=stiffness,
        reference_m=origins[:n_bodies],
        datum_m=origins[n_bodies],
        size_m=size,
        total_weight_N=float(weight.sum()),
        scale=np.where(structure.is_turn, size, 1.0),
        values=values,
    )


def known_figures(graph: RigGraph) -> Figures:
    """Pattern and numbers of a rig that has no problems.

    Raises:
        ValueError: if a place is not told by three numbers.
    """
    figures = figures_of(graph)
    if figures is None:
        raise ValueError(f"a place of rig {graph.name!r} is not told by three numbers")
    return figures


def state_of(arrays: RigArrays, poses: list[Pose]) -> State:
    """State of bodies in the given poses (body origins in world axes)."""
    rotation = np.array([pose.rotation_rows for pose in poses], dtype=float)
    origin = np.array([pose.origin_m for pose in poses], dtype=float) - arrays.datum_m
    return State(origin + np.einsum("bij,bj->bi", rotation, arrays.reference_m), rotation)


def levers_of(arrays: RigArrays, state: State) -> Floats:
    """(np, 3) every point of the bodies from their reference points in world axes (m)."""
    structure = arrays.structure
    places = arrays.values[structure.values.places].reshape(-1, 3)[len(structure.hooks) :]
    owner = structure.point_body
    lever: Floats = (state.rotation[owner] @ (places - arrays.reference_m[owner])[:, :, None])[:, :, 0]
    return lever


def poses_of(arrays: RigArrays, state: State) -> list[Pose]:
    """Poses (body origins in world axes) of a state."""
    turned = (state.rotation @ arrays.reference_m[:, :, None])[:, :, 0]
    origin = state.position_m - turned + arrays.datum_m
    return [
        Pose((x, y, z), ((a, b, c), (d, e, f), (g, h, i)))
        for (x, y, z), ((a, b, c), (d, e, f), (g, h, i)) in zip(
            origin.tolist(), state.rotation.tolist(), strict=True
        )
    ]
