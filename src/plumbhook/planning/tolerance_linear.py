"""First-order answers of a tolerance study, from the exact sensitivities of one equilibrium."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from plumbhook.planning.assemble import LOAD
from plumbhook.planning.rig import is_hook
from plumbhook.planning.tolerance_rig import FRAME, Postures, Quantities, StudyRig
from plumbhook.statics import Equilibrium
from plumbhook.statics.sensitivity import ParameterKind, Sensitivities, sensitivities

Floats = npt.NDArray[np.float64]
_FRAME = tuple(FRAME)
_SMALL_STEP = 1e-3
"""Of a standard deviation: the posture is linear in the inputs, and what is made from it nearly so."""


@dataclass(frozen=True, slots=True)
class LinearRig:
    """Tensions and places of a rig as linear functions of its inputs.

    Attributes:
        rig: the rig.
        tensions: (nl,) at the middle of all bands and (nl, P) change per unit of an input, N.
        nodes: by node, (3,) and (3, P), m; frame points of the load likewise.
    """

    rig: StudyRig
    tensions: tuple[Floats, Floats]
    nodes: Mapping[str, tuple[Floats, Floats]]
    frame: Mapping[str, tuple[Floats, Floats]]

    @classmethod
    def of(cls, rig: StudyRig, rest: Equilibrium) -> LinearRig:
        """Linearise a rig at its rest.

        Raises:
            NotEvaluatedError: the rest is not stable.
        """
        known = sensitivities(rig.graph, rest)
        inputs = rig.inputs
        effect = _parameter_changes(rig, known)
        tensions = np.array([rest.tensions_N[name] for name in inputs.lines])
        slopes = np.array([known.tensions[name] @ effect for name in inputs.lines])
        points = {body.name: {p.name: p.position_m for p in body.points_m} for body in rig.graph.bodies}
        hooks = {hook.name: np.array(hook.position_m) for hook in rig.graph.hooks_m}

        def place(body: str, point: str) -> tuple[Floats, Floats]:
            at = np.array(rest.poses[body].world(points[body][point]))
            return at, known.points[body][point] @ effect

        nodes = {}
        for node in rig.nodes:
            if is_hook(node):
                nodes[node] = (hooks[node], np.zeros((3, len(inputs.rows))))
            else:
                own = rig.assembled.places[node]
                nodes[node] = place(own.body, own.point)
        frame = {name: place(LOAD, name) for name in _FRAME}
        return cls(rig, (tensions, slopes), nodes, frame)

    def quantities(self, x: Floats) -> Quantities:
        """Quantities of the linear postures for inputs (N, P)."""
        rig, off = self.rig, x - self.rig.inputs.middles
        frame = {name: at + off @ slope.T for name, (at, slope) in self.frame.items()}
        origin = frame[_FRAME[0]]
        rotation = np.stack([frame[name] - origin for name in _FRAME[1:]], axis=2)
        # To first order the axes keep their length; without the second order no angle comes from their growth.
        rotation /= np.sqrt((rotation * rotation).sum(axis=1, keepdims=True))
        tensions, slopes = self.tensions
        return rig.quantities(
            Postures(
                tensions_N=tensions + off @ slopes.T,
                nodes_m={name: at + off @ slope.T for name, (at, slope) in self.nodes.items()},
                origin_m=origin,
                rotation=rotation,
                mass_kg=rig.masses_kg(x),
                cog_m=rig.cogs_m(x),
            )
        )

    def slopes(self) -> dict[str, Floats]:
        """By quantity, (P,) change per standard deviation of each input."""
        inputs = self.rig.inputs
        step = _SMALL_STEP * np.diag(inputs.deviations)
        up = self.quantities(inputs.middles + step)
        down = self.quantities(inputs.middles - step)
        return {key: (up[key] - down[key]) / (2.0 * _SMALL_STEP) for key in up}


def _parameter_changes(rig: StudyRig, known: Sensitivities) -> Floats:
    """(parameters of the solver, P) change of each parameter per unit of each input."""
    inputs, problem = rig.inputs, rig.problem
    effect = np.zeros((len(known.parameters), len(inputs.rows)))
    effect[known.of(ParameterKind.MASS, LOAD)] = problem.expected_mass_kg * inputs.mass
    for axis in range(3):
        effect[known.of(ParameterKind.COG, LOAD, axis)] = inputs.cog[axis]
    for number, name in enumerate(inputs.lines):
        effect[known.of(ParameterKind.UNSTRETCHED_LENGTH, name)] = inputs.length[number]
        groups = inputs.parts[number]
        if groups:
            slope = np.sum([part * change for part, change in groups], axis=0)
            effect[known.of(ParameterKind.AXIAL_STIFFNESS, name)] = problem.rig.lines[name].EA_N * slope
    return effect
