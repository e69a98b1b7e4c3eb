"""The rig of a tolerance study: samples of its inputs for the solver, and the quantities of every rest."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from plumbhook.checks.cog_margins import cog_margins_m
from plumbhook.model.lift import Lift
from plumbhook.model.load import cog_m
from plumbhook.model.rig_graph import ElementType, RigGraph
from plumbhook.planning.assemble import LOAD, AssembledRig, assemble
from plumbhook.planning.assessment import Vector
from plumbhook.planning.cases import RigProblem
from plumbhook.planning.check_strut import StrutMoments
from plumbhook.planning.crane_duty import gear_mass_kg
from plumbhook.planning.layout import lines_below, strut_ends
from plumbhook.planning.rig import is_hook
from plumbhook.planning.tolerance_inputs import Inputs, scattered_inputs
from plumbhook.statics.kernel import BatchResult, BatchSamples
from plumbhook.statics.kernel.problem import Problem
from plumbhook.statics.margin_batch import restoring_heights_m

Floats = npt.NDArray[np.float64]
Quantities = dict[str, Floats]

# Points that tell where the load is and how it is turned; they carry nothing.
FRAME: Mapping[str, Vector] = {
    "frame 0": (0.0, 0.0, 0.0),
    "frame x": (1.0, 0.0, 0.0),
    "frame y": (0.0, 1.0, 0.0),
    "frame z": (0.0, 0.0, 1.0),
}


@dataclass(frozen=True, slots=True)
class Postures:
    """Where things are in every sample, and what it weighs: all that quantities are made from.

    Attributes:
        tensions_N: (N, nl) by line, without dynamic factor.
        nodes_m: by node of the rig, (N, 3) world.
        origin_m: (N, 3) origin of the load; ``rotation`` (N, 3, 3) from load to world axes.
        mass_kg: (N,) of the load; ``cog_m`` (N, 3) in load coordinates.
    """

    tensions_N: Floats
    nodes_m: Mapping[str, Floats]
    origin_m: Floats
    rotation: Floats
    mass_kg: Floats
    cog_m: Floats


@dataclass(frozen=True, slots=True)
class StudyRig:
    """A lift with its inputs and the graph that the solver sees, every input at the middle of its band."""

    lift: Lift
    problem: RigProblem
    inputs: Inputs
    assembled: AssembledRig
    cog_m: Vector
    prepared: Problem
    struts: StrutMoments

    @classmethod
    def of(cls, lift: Lift, problem: RigProblem) -> StudyRig:
        """Prepare a lift.

        Raises:
            InputError: the tolerances name slings that the rig does not use.
        """
        inputs = scattered_inputs(lift, problem.rig)
        cog = cog_m(lift.file.load)
        lengths = {
            name: float(value)
            for name, value in zip(inputs.lines, inputs.length @ inputs.middles, strict=True)
        }
        lines = {
            name: replace(line, length_m=line.length_m + lengths[name])
            for name, line in problem.rig.lines.items()
        }
        assembled = assemble(
            replace(problem.rig, lines=lines),
            problem.layout,
            {**problem.lift_points_m, **FRAME},
            load_mass_kg=problem.expected_mass_kg,
            cog_m=cog,
            gravity_m_s2=problem.gravity_m_s2,
            name="tolerances",
        )
        return cls(
            lift, problem, inputs, assembled, cog, Problem(assembled.graph), StrutMoments(lift, problem)
        )

    @property
    def graph(self) -> RigGraph:
        """The graph with every input at the middle of its band."""
        return self.assembled.graph

    @property
    def body_numbers(self) -> dict[str, int]:
        """Number of each body in the graph."""
        return {body.name: number for number, body in enumerate(self.graph.bodies)}

    @property
    def nodes(self) -> tuple[str, ...]:
        """Nodes that lines and struts meet at."""
        rig = self.problem.rig
        lines = [end for line in rig.lines.values() for end in (line.upper, line.lower)]
        struts = [end for strut in rig.struts.values() for end in strut_ends(strut)]
        return tuple(dict.fromkeys((*lines, *struts)))

    def masses_kg(self, x: Floats) -> Floats:
        """(N,) mass of the load for inputs (N, P)."""
        return self.problem.expected_mass_kg * (1.0 + x @ self.inputs.mass)

    def cogs_m(self, x: Floats) -> Floats:
        """(N, 3) centre of gravity of the load for inputs (N, P), load coordinates."""
        return np.array(self.cog_m) + x @ self.inputs.cog.T

    def lengths_m(self, x: Floats) -> Floats:
        """(N, nl) unstretched length of every line for inputs (N, P)."""
        marked = np.array([line.length_m for line in self.problem.rig.lines.values()])
        return marked + x @ self.inputs.length.T

    def samples(self, x: Floats) -> BatchSamples:
        """The samples for the batch solver, for inputs (N, P)."""
        graph, count = self.graph, len(x)
        load = self.body_numbers[LOAD]
        mass = np.repeat(np.array([[body.mass_kg for body in graph.bodies]]), count, axis=0)
        mass[:, load] = self.masses_kg(x)
        shift = np.zeros((count, len(graph.bodies), 3))
        shift[:, load] = x @ self.inputs.cog.T
        lengths = np.zeros((count, len(graph.elements)))
        factors = np.ones((count, len(graph.elements)))
        columns = self.line_columns
        lengths[:, columns] = self.lengths_m(x)
        factors[:, columns] = self.inputs.stiffness_factors(x)
        pins = [i for i, element in enumerate(graph.elements) if element.type is ElementType.PIN]
        if pins:  # a pin is so many times stiffer than the stiffest line, in every sample
            EA = np.array([line.EA_N for line in self.problem.rig.lines.values()])
            middle = np.max(EA / self.lengths_m(self.inputs.middles[None])[0])
            stiffest = np.max(EA * factors[:, columns] / lengths[:, columns], axis=1)
            factors[:, pins] = (stiffest / middle)[:, None]
        return BatchSamples(
            mass_kg=mass, cog_shift_m=shift, unstretched_length_m=lengths, stiffness_factor=factors
        )

    @property
    def line_columns(self) -> list[int]:
        """Column of each line among the elements of the graph."""
        number = {element.name: index for index, element in enumerate(self.graph.elements)}
        return [number[name] for name in self.inputs.lines]

    def postures(self, x: Floats, result: BatchResult) -> Postures:
        """Postures of solved samples.

        Raises:
            ValueError: the result was solved without poses.
        """
        if result.origin_m is None or result.rotation is None:
            raise ValueError("a study needs the poses of its samples")
        bodies = self.body_numbers
        points = {
            body.name: {p.name: np.array(p.position_m) for p in body.points_m} for body in self.graph.bodies
        }
        hooks = {hook.name: np.array(hook.position_m) for hook in self.graph.hooks_m}
        nodes: dict[str, Floats] = {}
        for node in self.nodes:
            if is_hook(node):
                nodes[node] = np.broadcast_to(hooks[node], (len(x), 3))
                continue
            place = self.assembled.places[node]
            number = bodies[place.body]
            turned = result.rotation[:, number] @ points[place.body][place.point]
            nodes[node] = result.origin_m[:, number] + turned
        load = bodies[LOAD]
        return Postures(
            tensions_N=result.tensions_N[:, self.line_columns],
            nodes_m=nodes,
            origin_m=result.origin_m[:, load],
            rotation=result.rotation[:, load],
            mass_kg=self.masses_kg(x),
            cog_m=self.cogs_m(x),
        )

    def quantities(self, postures: Postures) -> Quantities:
        """Every quantity that checks ask for and that follows from postures and weights; forces × dynamic factor."""
        rig, factor = self.problem.rig, self.problem.dynamic_factor
        tensions = {name: factor * postures.tensions_N[:, i] for i, name in enumerate(rig.lines)}
        units: dict[str, Floats] = {}
        found: Quantities = {f"tension:{name}": tension for name, tension in tensions.items()}
        for name, line in rig.lines.items():
            span = postures.nodes_m[line.lower] - postures.nodes_m[line.upper]
            distance = _norm(span)
            units[name] = span / distance[:, None]
            # The hypotenuse, and not the cosine, keeps the digits of a line that is nearly plumb.
            found[f"angle:{name}"] = np.arctan2(np.hypot(span[:, 0], span[:, 1]), np.abs(span[:, 2]))
            if line.lower.startswith("load."):
                cosine = -(units[name] * postures.rotation[:, :, 2]).sum(axis=1)
                point = line.lower.removeprefix("load.")
                found[f"off_axis:{point}"] = np.arccos(np.clip(cosine, -1.0, 1.0))
        compressions = self._compressions(postures, tensions, units)
        found.update(compressions)
        forces = {key.removeprefix("compression:"): force for key, force in compressions.items()}
        found.update(self.struts.quantities(forces))
        found.update(self._hung(tensions, found))
        found.update(self._attitude(postures))
        found["hook_load"] = self._hook_load(tensions, units)
        found["rig_height"] = self._rig_height(postures)
        found["least_tension"] = np.min(np.stack(list(tensions.values())), axis=0)
        found["load_mass"] = postures.mass_kg
        found["cog_x"], found["cog_y"] = postures.cog_m[:, 0], postures.cog_m[:, 1]
        place = self.lift.file.place
        if place is not None:
            found["gross_load"] = postures.mass_kg + gear_mass_kg(self.problem, place.crane)
        return found

    def _attitude(self, postures: Postures) -> Quantities:
        rotation, points = postures.rotation, list(self.problem.lift_points_m.values())
        level = float(np.mean([at[2] for at in points]))
        found = {
            "tilt": np.arctan2(np.hypot(rotation[:, 0, 2], rotation[:, 1, 2]), rotation[:, 2, 2]),
            "tilt_x": -np.arcsin(np.clip(rotation[:, 2, 0], -1.0, 1.0)),
            "tilt_y": -np.arcsin(np.clip(rotation[:, 2, 1], -1.0, 1.0)),
            "cog_above_lift_points": postures.cog_m[:, 2] - level,
        }
        if len(points) >= 3:
            margins = cog_margins_m([(at[0], at[1]) for at in points], postures.cog_m[:, :2])
            if margins is not None:
                found["cog_inside_lift_points"] = margins
        return found

    def _hung(self, tensions: Mapping[str, Floats], found: Quantities) -> Quantities:
        """Twice the vertical force of the lines below the more loaded end of each strut."""
        ends: Quantities = {}
        for strut in self.problem.rig.struts.values():
            below = [
                sum(
                    (tensions[line.name] * np.cos(found[f"angle:{line.name}"]) for line in lines),
                    start=np.zeros(1),
                )
                for lines in (lines_below(self.problem.rig, end) for end in strut_ends(strut))
            ]
            ends[f"hung:{strut.name}"] = 2.0 * np.maximum(*below)
        return ends

    def _hook_load(self, tensions: Mapping[str, Floats], units: Mapping[str, Floats]) -> Floats:
        rig = self.problem.rig
        pulls: dict[str, Floats] = {}
        for name, line in rig.lines.items():
            if is_hook(line.upper):
                pull = tensions[name][:, None] * units[name]
                pulls[line.upper] = pulls.get(line.upper, np.zeros(3)) + pull
        own = self.problem.dynamic_factor * self.assembled.mass_at_hook_kg * self.problem.gravity_m_s2
        total: Floats = sum((_norm(pull) for pull in pulls.values()), start=np.zeros(1)) + own
        return total

    def _rig_height(self, postures: Postures) -> Floats:
        problem = self.problem
        corners: list[Vector] = list(problem.lift_points_m.values())
        if problem.envelope is not None:
            low, high = problem.envelope.low_m, problem.envelope.high_m
            corners = [(x, y, z) for x, y, z in itertools.product(*zip(low, high, strict=True))]
        up = postures.rotation[:, 2, :]
        lowest = np.min(up @ np.array(corners).T, axis=1) + postures.origin_m[:, 2]
        highest = max(hook.position_m[2] for hook in self.graph.hooks_m)
        height: Floats = highest + problem.rig.hook_chain_length_m - lowest
        return height

    def _compressions(
        self, postures: Postures, tensions: Mapping[str, Floats], units: Mapping[str, Floats]
    ) -> Quantities:
        """Compression of each strut as in :func:`plumbhook.planning.cases.compressions`, for every sample."""
        rig = self.problem.rig
        pulls: dict[str, Floats] = {}
        for name, line in rig.lines.items():
            pull = tensions[name][:, None] * units[name]
            pulls[line.upper] = pulls.get(line.upper, np.zeros(3)) + pull
            pulls[line.lower] = pulls.get(line.lower, np.zeros(3)) - pull
        inward: dict[str, dict[str, Floats]] = {}
        for strut in rig.struts.values():
            end_a, end_b = strut_ends(strut)
            axis = postures.nodes_m[end_b] - postures.nodes_m[end_a]
            axis = axis / _norm(axis)[:, None]
            inward.setdefault(end_a, {})[strut.name] = axis
            inward.setdefault(end_b, {})[strut.name] = -axis
        found: Quantities = {}
        for node, axes in inward.items():
            matrix = np.stack(list(axes.values()), axis=2)
            gram = matrix.transpose(0, 2, 1) @ matrix
            parts = np.linalg.solve(gram, matrix.transpose(0, 2, 1) @ pulls[node][:, :, None])[:, :, 0]
            for number, name in enumerate(axes):
                key = f"compression:{name}"
                part = np.asarray(parts[:, number], dtype=np.float64)
                found[key] = np.maximum(found.get(key, part), part)
        return found

    def solved_quantities(self, x: Floats, samples: BatchSamples, result: BatchResult) -> Quantities:
        """All quantities of solved samples: those of the postures, and what only the solver tells."""
        found = self.quantities(self.postures(x, result))
        found["restoring_height"] = restoring_heights_m(
            self.graph, samples, result, LOAD, problem=self.prepared
        )
        found["not_stable"] = np.where(result.converged, (~result.stable).astype(float), np.nan)
        return found


def _norm(vectors: Floats) -> Floats:
    length: Floats = np.sqrt((vectors * vectors).sum(axis=1))
    return length
