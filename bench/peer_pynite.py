"""A linear frame library on the same rigs: PyNite, slings as springs that only pull, bodies as stiff frames.

It keeps the drawn geometry, so it solves another problem: nothing swings, tilts or shortens. A rig that hangs is a
mechanism to it and needs props that no real rig has: here the load is kept from moving sideways and turning about the
vertical, and every other body is held softly. What it says of a rig is as near as the rest is to the drawing, which
is what its errors show: first of the rig made level and all but inextensible, where it should agree, then of the rig
itself, but for slings of the length drawn.
"""

from __future__ import annotations

import importlib.util
import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from plumbhook.model.rig_graph import Body, Element, ElementType, RigGraph

NAME = "PyNite, linear"
WORDS = (
    "PyNite solves another problem: small displacements from the drawn posture, with props where a rig would swing. On",
    "a level rig that hardly stretches both are the same. On a rig whose load is not drawn where it will hang, the",
    "error is what a linear model leaves out.",
)
FRAME_RATIO = 1e6
SOFT_RATIO = 1e-6
MOTIONS = ("DX", "DY", "DZ", "RX", "RY", "RZ")


def missing() -> str:
    """Why the library cannot be used here; empty if it can."""
    if importlib.util.find_spec("Pynite") is None:
        return "PyNite (package PyNiteFEA, dependency group `bench`) is not installed."
    return ""


def can_do(graph: RigGraph) -> bool:
    """Only slings, which are springs to it."""
    return all(element.type is ElementType.SLING for element in graph.elements)


def _drawn_m(graph: RigGraph, reference: str) -> tuple[float, float, float]:
    owner, _, name = reference.partition(".")
    if owner == "hook":
        return next(hook.position_m for hook in graph.hooks_m if hook.name == name)
    body = next(body for body in graph.bodies if body.name == owner)
    return body.start.world(next(point.position_m for point in body.points_m if point.name == name))


def as_drawn(graph: RigGraph) -> RigGraph:
    """The rig with every sling as long as it is drawn."""

    def fitted(element: Element) -> Element:
        length = math.dist(_drawn_m(graph, element.from_ref), _drawn_m(graph, element.to_ref))
        return replace(element, unstretched_length_m=length)

    return replace(graph, elements=tuple(fitted(element) for element in graph.elements))


def level(graph: RigGraph, stiffer: float = 1e4) -> RigGraph:
    """The rig with slings as drawn, hardly stretching, and the centre of gravity of its load amid the hooks."""
    drawn = as_drawn(graph)
    middle = np.mean([hook.position_m for hook in drawn.hooks_m], axis=0) - drawn.bodies[-1].start.origin_m
    load = replace(drawn.bodies[-1], cog_m=(float(middle[0]), float(middle[1]), drawn.bodies[-1].cog_m[2]))
    return replace(
        drawn,
        bodies=(*drawn.bodies[:-1], load),
        elements=tuple(replace(e, EA_N=stiffer * (e.EA_N or 0.0)) for e in drawn.elements),
    )


@dataclass
class Model:
    """A rig as the library's model."""

    frame: Any
    names: list[str]

    def rest(self) -> np.ndarray:
        """Tensions (N) by element."""
        self.frame.analyze(check_stability=False)
        return np.array([max(0.0, -self.frame.springs[name].axial()) for name in self.names])


def _stiff_body(frame: Any, body: Body) -> str:  # noqa: ANN401 - the library is not typed
    """Arms from the centre of gravity to every point; returns the node at the centre of gravity."""
    middle = f"{body.name}:cog"
    frame.add_node(middle, *body.start.world(body.cog_m))
    for point in body.points_m:
        frame.add_node(f"{body.name}.{point.name}", *body.start.world(point.position_m))
        frame.add_member(f"{body.name}:{point.name}", middle, f"{body.name}.{point.name}", "stiff", "arm")
    return middle


def prepared(graph: RigGraph) -> Model:
    """The rig as drawn, ready for :meth:`Model.rest`."""
    from Pynite import FEModel3D

    frame = FEModel3D()
    lengths = [element.unstretched_length_m or 0.0 for element in graph.elements]
    stiffness = max((e.EA_N or 0.0) / length for e, length in zip(graph.elements, lengths, strict=True))
    size = float(np.mean(lengths))
    area, bending = FRAME_RATIO * stiffness * size, FRAME_RATIO * stiffness * size**3
    frame.add_material("stiff", 1.0, 1.0, 0.0, 0.0)
    frame.add_section("arm", area, bending, bending, bending)
    for hook in graph.hooks_m:
        frame.add_node(f"hook.{hook.name}", *hook.position_m)
        frame.def_support(f"hook.{hook.name}", *[True] * 6)
    for body in graph.bodies:
        middle = _stiff_body(frame, body)
        frame.add_node_load(middle, "FZ", -body.mass_kg * graph.gravity_m_s2)
        if body is graph.bodies[-1]:
            frame.def_support(middle, support_DX=True, support_DY=True, support_RZ=True)
            continue
        for motion in MOTIONS:
            scale = 1.0 if motion.startswith("D") else size**2
            frame.def_support_spring(middle, motion, SOFT_RATIO * stiffness * scale)
    for element, length in zip(graph.elements, lengths, strict=True):
        ends = (element.from_ref, element.to_ref)
        frame.add_spring(element.name, *ends, (element.EA_N or 0.0) / length, tension_only=True)
    return Model(frame, [element.name for element in graph.elements])


VARIANTS = {
    f"{NAME}, level rig that hardly stretches": level,
    f"{NAME}, rig with slings as drawn": as_drawn,
}
