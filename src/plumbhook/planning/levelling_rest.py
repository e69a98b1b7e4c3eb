"""How the load of a rig hangs for one weight, centre of gravity and set of line lengths, and what changes it.

The load's attitude is written in its own axes: gravity seen from the load does not depend on how the rig is turned
about the vertical, which nothing holds.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
import numpy.typing as npt

from plumbhook.core.errors import NotEvaluatedError
from plumbhook.model.rig_graph import NamedPoint, RigGraph
from plumbhook.planning.assemble import LOAD, AssembledRig, assemble
from plumbhook.planning.assessment import Posture, Vector
from plumbhook.planning.cases import RigProblem, posture_of
from plumbhook.planning.layout import lay_out
from plumbhook.planning.rig import Group, ResolvedLine
from plumbhook.statics import Equilibrium, solve
from plumbhook.statics.sensitivity import Sensitivities, sensitivities

Floats = npt.NDArray[np.float64]

# Points of the load that only read its posture; no lift point can have such a name.
_REFERENCE = ("@origin", "@x", "@y", "@z")
_AT: tuple[Vector, ...] = ((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


@dataclass(frozen=True, slots=True)
class LoadState:
    """Mass (kg) and centre of gravity (load coordinates, m) of the load."""

    mass_kg: float
    cog_m: Vector


@dataclass(frozen=True)
class Rest:
    """A rig at rest with one state of the load. Tilts are positive when the plus side of the axis is low."""

    problem: RigProblem
    load: LoadState
    assembled: AssembledRig
    equilibrium: Equilibrium

    @property
    def graph(self) -> RigGraph:
        """The graph that was solved."""
        return self.assembled.graph

    @cached_property
    def rotation(self) -> Floats:
        """(3, 3) from load to world axes."""
        return np.array(self.equilibrium.poses[LOAD].rotation_rows)

    @cached_property
    def origin_m(self) -> Floats:
        """(3,) world position of the load's origin."""
        return np.array(self.equilibrium.poses[LOAD].origin_m)

    @property
    def tilt_x_rad(self) -> float:
        """Slope of the load's x axis."""
        return _low(float(self.rotation[2, 0]))

    @property
    def tilt_y_rad(self) -> float:
        """Slope of the load's y axis."""
        return _low(float(self.rotation[2, 1]))

    @property
    def tilt_rad(self) -> float:
        """Angle between the load's own vertical and the vertical."""
        return self.equilibrium.tilt_rad[LOAD]

    @cached_property
    def posture(self) -> Posture:
        """World positions of every node."""
        return posture_of(self.assembled, self.equilibrium, self.load.cog_m, "trial lift")

    def hook_m(self) -> Floats:
        """(3,) world position of the hook.

        Raises:
            NotEvaluatedError: there are several hooks.
        """
        hooks = self.graph.hooks_m
        if len(hooks) != 1:
            raise NotEvaluatedError("what hangs below one hook is asked of a rig with several hooks")
        return np.array(hooks[0].position_m)

    def hook_over_m(self, height_m: float) -> tuple[float, float]:
        """Point (x, y) of the load, at a height z of its own, that is plumb below the hook."""
        arm, down = self.rotation.T @ (self.hook_m() - self.origin_m), self.rotation[2]
        drop = (arm[2] - height_m) / down[2]
        return float(arm[0] - down[0] * drop), float(arm[1] - down[1] * drop)

    @cached_property
    def sensitivities(self) -> Sensitivities:
        """First-order sensitivities of the rest.

        Raises:
            NotEvaluatedError: the rest is not stable.
        """
        return sensitivities(self.graph, self.equilibrium)

    @cached_property
    def rotation_change(self) -> Floats:
        """(3, 3, P) change of :attr:`rotation` per unit of every parameter."""
        points = self.sensitivities.points[LOAD]
        origin = points[_REFERENCE[0]]
        return np.stack([points[name] - origin for name in _REFERENCE[1:]], axis=1)

    def tilt_change(self, axis: int) -> Floats:
        """(P,) change of the slope of the load's x (0) or y (1) axis per unit of every parameter, rad."""
        slope = float(self.rotation[2, axis])
        change: Floats = -self.rotation_change[2, axis] / math.sqrt(1.0 - slope * slope)
        return change

    def hook_over_change(self, height_m: float) -> tuple[Floats, Floats]:
        """(P,) changes of :meth:`hook_over_m` in x and y per unit of every parameter but the hook's place."""
        turn, rotation = self.rotation_change, self.rotation
        reach = self.hook_m() - self.origin_m
        arm, down = rotation.T @ reach, rotation[2]
        arm_change = np.einsum("jip,j->ip", turn, reach) - rotation.T @ self._origin_change
        down_change = turn[2]
        drop = (arm[2] - height_m) / down[2]
        drop_change = (arm_change[2] - drop * down_change[2]) / down[2]
        across = [arm_change[i] - down_change[i] * drop - down[i] * drop_change for i in (0, 1)]
        return across[0], across[1]

    @property
    def _origin_change(self) -> Floats:
        return np.asarray(self.sensitivities.points[LOAD][_REFERENCE[0]])


def _low(slope: float) -> float:
    return -math.asin(max(-1.0, min(1.0, slope)))


def rest_of(problem: RigProblem, load: LoadState) -> Rest:
    """The rest of a rig with one state of the load.

    Raises:
        NotEvaluatedError: there is no stable rest; nothing may be read from any other.
    """
    assembled = assembled_with(problem, load)
    equilibrium = solve(assembled.graph)
    if not equilibrium.is_stable:
        raise NotEvaluatedError(f"no stable rest was found: {equilibrium.message}")
    return Rest(problem, load, assembled, equilibrium)


def assembled_with(problem: RigProblem, load: LoadState) -> AssembledRig:
    """The graph of a rig with one state of the load, and with the points that read its posture."""
    assembled = assemble(
        problem.rig,
        problem.layout,
        problem.lift_points_m,
        load_mass_kg=load.mass_kg,
        cog_m=load.cog_m,
        gravity_m_s2=problem.gravity_m_s2,
        name="trial lift",
    )
    reading = tuple(NamedPoint(name, at) for name, at in zip(_REFERENCE, _AT, strict=True))
    bodies = tuple(
        replace(body, points_m=(*body.points_m, *reading)) if body.name == LOAD else body
        for body in assembled.graph.bodies
    )
    return replace(assembled, graph=replace(assembled.graph, bodies=bodies))


def with_lengths(problem: RigProblem, lengths_m: Mapping[str, float]) -> RigProblem:
    """The same rig with some lines set to other lengths; only the longest item of a line changes with it.

    Raises:
        InputError: the rig cannot be drawn with these lengths (a line does not reach ...).
        KeyError: there is no such line.
    """
    lines = dict(problem.rig.lines)
    for name, length in lengths_m.items():
        lines[name] = line_set_to(lines[name], length)
    rig = replace(problem.rig, lines=lines)
    return replace(problem, rig=rig, layout=lay_out(rig, problem.lift_points_m))


def line_set_to(line: ResolvedLine, length_m: float) -> ResolvedLine:
    """A line set to another length: its longest item is longer or shorter and as much softer or stiffer."""
    groups = list(line.groups)
    at = groups.index(varied_group(line))
    old = groups[at]
    longer = old.length_m + length_m - line.length_m
    stiffness = None
    if old.stiffness_N_per_m is not None and longer > 0.0:
        stiffness = old.stiffness_N_per_m * old.length_m / longer
    groups[at] = replace(old, length_m=longer, stiffness_N_per_m=stiffness)
    compliance = sum(1.0 / g.stiffness_N_per_m for g in groups if g.stiffness_N_per_m is not None)
    axial = line.EA_N if compliance == 0.0 else length_m / compliance
    return replace(line, groups=tuple(groups), length_m=length_m, EA_N=axial)


def varied_group(line: ResolvedLine) -> Group:
    """The items of a line whose length is varied: those that can be set in steps, else the longest."""
    stepped = [group for group in line.groups if group.items[0].pitch_m is not None]
    return max(stepped or line.groups, key=lambda group: group.length_m)
