"""A general library for moored bodies on the same rigs: MoorPy, bodies hung on lines, by its own Newton.

Knows the rig graph only. Its lines are catenaries and need a weight: a tenth of a millionth of all the weight each,
which limits how well tensions can agree. It has no joint of two bodies and stays with bodies held by lines. A motion
that nothing resists stops its Newton, so the turn of the load below a single hook and the spin of a strut whose
points lie on one axis are taken out.
"""

from __future__ import annotations

import contextlib
import importlib
import importlib.util
import io
import math
import warnings
from dataclasses import dataclass
from typing import Any

import numpy as np

from plumbhook.model.rig_graph import Body, ElementType, RigGraph

NAME = "MoorPy, bodies on lines"
WORDS = (
    "Knows the rig graph only. Its lines need a weight, here a tenth of a millionth of all the weight each, and what",
    "turns freely has to be held, so agreement ends near that. It has no pins, and its Newton does not come to the",
    "rest of every rig.",
)
LINE_OVER_ALL = 1e-7
TOLERANCE_M = 1e-6
MOST_STEPS = 200
SPIN, TURN = 3, 5  # of its six motions of a body


def missing() -> str:
    """Why the library cannot be used here; empty if it can."""
    if importlib.util.find_spec("moorpy") is None:
        return "MoorPy (dependency group `bench`) is not installed."
    return ""


def can_do(graph: RigGraph) -> bool:
    """Only lines, and bodies that are drawn level and turned about the vertical."""
    return all(element.type is ElementType.SLING for element in graph.elements) and all(
        math.isclose(body.start.rotation_rows[2][2], 1.0) for body in graph.bodies
    )


def _on_one_axis(body: Body) -> bool:
    """Whether the points and the centre of gravity lie on the body's own first axis."""
    places = np.array([body.cog_m, *(point.position_m for point in body.points_m)])
    return bool(np.ptp(places[:, 1:], axis=0).max() <= 1e-9 * np.ptp(places[:, 0]))


def _motions(body: Body, *, may_turn: bool) -> list[int]:
    out = {SPIN} if _on_one_axis(body) else set()
    return [motion for motion in range(6) if motion not in out and (may_turn or motion != TURN)]


@dataclass
class Model:
    """A rig as the library's system."""

    system: Any

    def rest(self) -> np.ndarray | None:
        """Tensions (N) by element at rest; None if its Newton does not come to it."""
        from moorpy.helpers import SolveError

        with contextlib.redirect_stdout(io.StringIO()), warnings.catch_warnings(), np.errstate(all="ignore"):
            warnings.simplefilter("ignore")
            try:
                self.system.initialize()
                self.system.solveEquilibrium(tol=TOLERANCE_M, maxIter=MOST_STEPS)
            except SolveError:
                return None
        return np.array([0.5 * (line.TA + line.TB) for line in self.system.lineList])


def prepared(graph: RigGraph) -> Model:
    """The rig as drawn, ready for :meth:`Model.rest`."""
    import moorpy

    system = moorpy.System(depth=1e4, rho=0.0, g=graph.gravity_m_s2)
    numbers: dict[str, int] = {}
    for hook in graph.hooks_m:
        system.addPoint(1, np.array(hook.position_m))
        numbers[f"hook.{hook.name}"] = len(system.pointList)
    one_hook = len(graph.hooks_m) == 1
    for body in graph.bodies:
        rows = body.start.rotation_rows
        place = np.array([*body.start.origin_m, 0.0, 0.0, math.atan2(rows[1][0], rows[0][0])])
        motions = _motions(body, may_turn=not (one_hook and body is graph.bodies[-1]))
        system.addBody(0, place, m=body.mass_kg, rCG=np.array(body.cog_m), DOFs=motions)
        for point in body.points_m:
            system.addPoint(1, np.array(body.start.world(point.position_m)))
            numbers[f"{body.name}.{point.name}"] = len(system.pointList)
            system.bodyList[-1].attachPoint(len(system.pointList), np.array(point.position_m))
    light_kg = LINE_OVER_ALL * sum(body.mass_kg for body in graph.bodies)
    for element in graph.elements:
        length = element.unstretched_length_m or 0.0
        per_m = light_kg / length
        system.lineTypes[element.name] = {
            "name": element.name,
            "d_vol": 1e-3,
            "m": per_m,
            "w": per_m * graph.gravity_m_s2,
            "EA": element.EA_N,
        }
        ends = {"pointA": numbers[element.from_ref], "pointB": numbers[element.to_ref]}
        system.addLine(length, element.name, **ends)
    return Model(system)
