"""A general structural engine on the same rigs: OpenSees with corotational trusses, by its own Newton.

Knows the rig graph only. It has no rigid body of large turning, so each one is four stiff nodes around its centre of
gravity, tied by bars to each other and to the points of the body. Two things make the rest exact all the same: every
bar is tightened by the force found in it until none has stretched, and the soft springs that hold the motions which
nothing resists are placed anew, without force, wherever the rig has come to.
"""

from __future__ import annotations

import ctypes
import importlib.util
import math
import os
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from plumbhook.model.rig_graph import Element, ElementType, RigGraph

PACKAGE = "openseespylinux"  # it has been run on Linux only
NAME = "OpenSees, corotational trusses"
WORDS = (
    "Knows the rig graph only. It swings heavily damped until near its rest, then finds it by Newton's method; rigid",
    "bodies are stiff bars, tightened until none has stretched.",
)
CORNERS = np.array([(1, 1, 1), (1, -1, -1), (-1, 1, -1), (-1, -1, 1)]) / math.sqrt(3.0)
# Bars over the stiffest sling; the softest springs over weight and length. Both errors are worked off by repetition.
BAR_RATIO = 1e3
SOFT_RATIO = 3e-4
FIRST_STEP_S = 0.1
STEP_GROWTH = 1.3
SWUNG_S = 1.0
NEAR = 1e-2
SAME = 1e-7
GRAVITY_M_S2 = 9.81  # only for the scale of the damping


def _engine() -> Any:  # noqa: ANN401 - the engine is not typed
    """The engine, quiet.

    Its wheel for Linux brings the library of linear algebra along but does not find it by itself.
    """
    found = importlib.util.find_spec(PACKAGE)
    if found is not None and found.submodule_search_locations:
        library = Path(found.submodule_search_locations[0]) / "lib" / "libblas.so.3"
        if library.is_file():
            ctypes.CDLL(str(library))
    engine = importlib.import_module(f"{PACKAGE}.opensees")
    engine.logFile(os.devnull, "-noEcho")
    return engine


def missing() -> str:
    """Why the engine cannot be used here; empty if it can."""
    if importlib.util.find_spec(PACKAGE) is None:
        return f"OpenSees (package {PACKAGE}, dependency group `bench`) is not installed."
    try:
        _engine()
    except (ImportError, OSError, RuntimeError) as error:
        return f"OpenSees is installed but cannot be loaded here: {error}"
    return ""


def can_do(graph: RigGraph) -> bool:
    """Slings, and pins of a given stiffness in every direction; bodies of any mass above zero."""
    known = (ElementType.SLING, ElementType.PIN)
    return all(element.type in known for element in graph.elements) and all(
        body.mass_kg > 0.0 for body in graph.bodies
    )


@dataclass
class Model:
    """A rig as nodes, slings, pins and stiff bars, at the places that it has come to."""

    graph: RigGraph
    engine: Any = field(default_factory=_engine)
    nodes: dict[str, int] = field(default_factory=dict)
    weights: dict[int, float] = field(default_factory=dict)
    bars: list[tuple[int, int]] = field(default_factory=list)

    def __post_init__(self) -> None:
        places = [list(hook.position_m) for hook in self.graph.hooks_m]
        self.n_fixed = len(places)
        self.nodes = {f"hook.{hook.name}": n for n, hook in enumerate(self.graph.hooks_m)}
        for body in self.graph.bodies:
            cog = np.array(body.cog_m)
            reach = max(float(np.linalg.norm(np.array(p.position_m) - cog)) for p in body.points_m)
            first = len(places)
            corners = range(first, first + 4)
            places += [list(body.start.world(tuple(cog + 1.5 * reach * corner))) for corner in CORNERS]
            self.weights.update(dict.fromkeys(corners, 0.25 * body.mass_kg * self.graph.gravity_m_s2))
            self.bars += [(a, b) for a in corners for b in range(first, a)]
            for point in body.points_m:
                self.nodes[f"{body.name}.{point.name}"] = len(places)
                self.bars += [(len(places), corner) for corner in corners]
                places.append(list(body.start.world(point.position_m)))
        slings = [e for e in self.graph.elements if e.type is ElementType.SLING]
        lengths = [sling.unstretched_length_m or 0.0 for sling in slings]
        self.places = np.array(places)
        self.size_m = float(np.mean(lengths))
        self.weight_N = sum(self.weights.values())
        self.bar_stiffness = BAR_RATIO * max(
            (e.EA_N or 0.0) / length for e, length in zip(slings, lengths, strict=True)
        )
        self.bar_lengths = [math.dist(places[a], places[b]) for a, b in self.bars]
        self.bar_forces = np.zeros(len(self.bars))

    def _line(
        self, number: int, ends: tuple[int, int], length: float, EA: float, force: float | None
    ) -> None:
        """A truss of that unstretched length; with a force it pulls and pushes, and is tightened by that force."""
        now = math.dist(self.places[ends[0]], self.places[ends[1]])
        stiffness = EA * now / length
        law = (stiffness, 0.0, 0.0) if force is None else (stiffness,)
        stretch = 1.0 - length / now + (force or 0.0) / stiffness
        tag = 4 * number + 1
        self.engine.uniaxialMaterial("Elastic", tag, *law)
        self.engine.uniaxialMaterial("InitStrainMaterial", tag + 1, tag, stretch)
        self.engine.element("corotTruss", number, *ends, 1.0, tag + 1)

    def _pin(self, number: int, ends: tuple[int, int], stiffness: float) -> None:
        tag = 4 * number + 1
        gaps = (self.places[ends[1]] - self.places[ends[0]]).tolist()
        self.engine.uniaxialMaterial("Elastic", tag, stiffness)
        for axis, gap in enumerate(gaps, start=1):
            self.engine.uniaxialMaterial("InitStrainMaterial", tag + axis, tag, gap)
        materials = (tag + 1, tag + 2, tag + 3)
        self.engine.element("zeroLength", number, *ends, "-mat", *materials, "-dir", 1, 2, 3)

    def _element(self, number: int, element: Element) -> None:
        ends = (self.nodes[element.from_ref], self.nodes[element.to_ref])
        if element.type is ElementType.PIN:
            self._pin(number, ends, element.stiffness_N_per_m or 0.0)
        else:
            self._line(number, ends, element.unstretched_length_m or 0.0, element.EA_N or 0.0, None)

    def _built(self) -> int:
        """Tell the engine the rig at its places; returns the number of its elements."""
        self.engine.wipe()
        self.engine.model("basic", "-ndm", 3, "-ndf", 3)
        for node, place in enumerate(self.places.tolist()):
            self.engine.node(node, *place)
            if node < self.n_fixed:
                self.engine.fix(node, 1, 1, 1)
        for number, element in enumerate(self.graph.elements):
            self._element(number, element)
        count = len(self.graph.elements)
        for ends, length, force in zip(self.bars, self.bar_lengths, self.bar_forces.tolist(), strict=True):
            self._line(count, ends, length, self.bar_stiffness * length, force)
            count += 1
        self.engine.timeSeries("Constant", 1)
        self.engine.pattern("Plain", 1, 1)
        for node, weight in self.weights.items():
            self.engine.load(node, 0.0, 0.0, -weight)
        self.engine.constraints("Plain")
        self.engine.numberer("RCM")
        self.engine.system("ProfileSPD")
        self.engine.algorithm("Newton")
        return count

    def _keep_places(self) -> None:
        self.places = self.places + np.array([self.engine.nodeDisp(n) for n in range(len(self.places))])

    def _forces(self) -> np.ndarray:
        return np.array([np.linalg.norm(self.engine.basicForce(n)) for n in range(len(self.graph.elements))])

    def swing(self, near: float) -> bool:
        """Let the rig swing, all but without inertia, in growing steps until no tension changes much."""
        self._built()
        mass = 1e-6 * self.weight_N / GRAVITY_M_S2 / len(self.places)
        for node in range(self.n_fixed, len(self.places)):
            self.engine.mass(node, mass, mass, mass)
        self.engine.rayleigh(1e6, 0.0, 0.0, 0.0)
        self.engine.test("NormUnbalance", 1e-4 * self.weight_N, 8, 0)
        self.engine.integrator("Newmark", 1.0, 1.0)
        self.engine.analysis("Transient")
        step, before = FIRST_STEP_S, None
        for _ in range(300):
            if self.engine.analyze(1, step) != 0:
                step *= 0.25
                continue
            now = self._forces()
            if before is not None and step >= SWUNG_S and np.abs(now - before).max() < near * now.max():
                self._keep_places()
                return True
            before = now
            step *= STEP_GROWTH
        return False

    def sharpen(self) -> np.ndarray | None:
        """Forces of the rest near by; None if Newton's method does not come to it."""
        before = None
        for _ in range(9):
            count = self._built()
            ground = len(self.places)
            tag = 4 * count + 1
            self.engine.uniaxialMaterial("Elastic", tag, SOFT_RATIO * self.weight_N / self.size_m)
            for number, node in enumerate(self.weights):
                self.engine.node(ground + node, *self.places[node].tolist())
                self.engine.fix(ground + node, 1, 1, 1)
                ends = (ground + node, node)
                self.engine.element(
                    "zeroLength", count + number, *ends, "-mat", tag, tag, tag, "-dir", 1, 2, 3
                )
            self.engine.test("NormUnbalance", 1e-8 * self.weight_N, 25, 0)
            self.engine.integrator("LoadControl", 1.0)
            self.engine.analysis("Static")
            if self.engine.analyze(1) != 0:
                return None
            first = len(self.graph.elements)
            self.bar_forces = np.array([self.engine.basicForce(first + n)[0] for n in range(len(self.bars))])
            now = self._forces()
            self._keep_places()
            if before is not None and np.abs(now - before).max() < SAME * now.max():
                return now
            before = now
        return None

    def rest(self) -> np.ndarray | None:
        """Forces (N) by element at rest; None if it is not found."""
        near = NEAR
        for _ in range(4):
            if not self.swing(near):
                return None
            kept = self.places
            forces = self.sharpen()
            if forces is not None:
                return forces
            self.places, near = kept, 0.1 * near
            self.bar_forces = np.zeros(len(self.bars))
        return None


def prepared(graph: RigGraph) -> Model:
    """The rig as drawn, ready for :meth:`Model.rest`."""
    return Model(graph)
