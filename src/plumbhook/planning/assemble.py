"""From a rig in words and places to the graph that the solver sees, and back to nodes.

The hook of the graph is where the top slings meet: everything above it on one hook hangs plumb and only adds its
weight. The mass of a line is placed at its upper end, so that a line's tension is what it carries at its lower end
("load share, half its strut and all gear below it"); what an item carries of its own line is added in its check.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from plumbhook.model.rig_graph import IDENTITY, Body, Element, ElementType, NamedPoint, Pose, RigGraph
from plumbhook.planning.assessment import Rows, Vector
from plumbhook.planning.layout import Layout, lines_below, strut_ends
from plumbhook.planning.rig import ResolvedRig, ResolvedStrut, is_hook

LOAD = "load"
FRAME = "frame"
# A pin is much stiffer than any sling but not so stiff that rounding shows.
_PIN_STIFFNESS_RATIO = 1.0e2


@dataclass(frozen=True, slots=True)
class NodePlace:
    """Where a node sits: a body of the graph and the name of its point there."""

    body: str
    point: str

    @property
    def reference(self) -> str:
        """Reference as the graph writes it."""
        return f"{self.body}.{self.point}"


@dataclass(frozen=True, slots=True)
class AssembledRig:
    """The graph and the place of every node of the rig in it."""

    graph: RigGraph
    places: Mapping[str, NodePlace]
    mass_at_hook_kg: float


def assemble(
    rig: ResolvedRig,
    layout: Layout,
    lift_points_m: Mapping[str, Vector],
    *,
    load_mass_kg: float,
    cog_m: Vector,
    gravity_m_s2: float,
    name: str = "rig",
) -> AssembledRig:
    """Build the solver's graph for one load mass and one centre of gravity.

    Args:
        rig: resolved rig.
        layout: the rig as drawn; gives the start posture and the hook.
        lift_points_m: by name, load coordinates.
        load_mass_kg: mass of the load for this case.
        cog_m: centre of gravity of the load for this case, load coordinates.
        gravity_m_s2: downward.
        name: of the graph.
    """
    builder = _Builder(rig, layout)
    places = {f"{LOAD}.{point}": NodePlace(LOAD, point) for point in lift_points_m}
    bodies = [
        Body(
            name=LOAD,
            mass_kg=load_mass_kg,
            cog_m=cog_m,
            points_m=tuple(NamedPoint(point, at) for point, at in lift_points_m.items()),
            start=Pose(origin_m=(0.0, 0.0, 0.0)),
        )
    ]
    elements: list[Element] = []
    if rig.is_free:
        bodies.extend(builder.free_body(name, places) for name in rig.bodies)
    elif rig.struts and rig.frame_joints == "stiff":
        bodies.append(builder.stiff_frame(places))
    else:
        bodies.extend(builder.strut_body(strut, places) for strut in rig.struts.values())
        elements.extend(builder.pins(places))
    mass_at_hook = 0.0
    for line in rig.lines.values():
        if is_hook(line.upper):
            mass_at_hook += line.mass_kg
        upper = hook_reference(line.upper) if is_hook(line.upper) else places[line.upper].reference
        elements.append(
            Element(
                name=line.name,
                type=ElementType.SLING,
                from_ref=upper,
                to_ref=places[line.lower].reference,
                unstretched_length_m=line.length_m,
                EA_N=line.EA_N,
            )
        )
    graph = RigGraph(
        name=name,
        gravity_m_s2=gravity_m_s2,
        hooks_m=tuple(NamedPoint(hook, layout.nodes_m[hook]) for hook in layout.hooks),
        bodies=tuple(bodies),
        elements=tuple(elements),
    )
    return AssembledRig(graph=graph, places=places, mass_at_hook_kg=mass_at_hook)


def hook_reference(hook: str) -> str:
    """How the graph refers to a hook of the rig: its hooks carry the rig's own names."""
    return f"hook.{hook}"


class _Builder:
    def __init__(self, rig: ResolvedRig, layout: Layout) -> None:
        self._rig = rig
        self._layout = layout

    def _gear_kg(self, node: str) -> float:
        return sum(line.mass_kg for line in lines_below(self._rig, node))

    def strut_body(self, strut: ResolvedStrut, places: dict[str, NodePlace]) -> Body:
        """A strut as a body: x along it from end a, gear hung from its ends lumped there."""
        end_a, end_b = strut_ends(strut)
        masses = [(strut.mass_kg, strut.centre_m)]
        for end, station in ((end_a, 0.0), (end_b, strut.span_m)):
            if end not in places:  # at a corner the first strut holds the lines
                places[end] = NodePlace(strut.name, "a" if station == 0.0 else "b")
                masses.append((self._gear_kg(end), station))
        total = sum(mass for mass, _ in masses)
        centre = sum(mass * station for mass, station in masses) / total
        start = np.array(self._layout.nodes_m[end_a])
        along = np.array(self._layout.nodes_m[end_b]) - start
        along /= np.linalg.norm(along)
        across = np.cross([0.0, 0.0, 1.0], along)
        across /= np.linalg.norm(across)
        rotation = np.column_stack([along, across, np.cross(along, across)])
        return Body(
            name=strut.name,
            mass_kg=total,
            cog_m=(centre, 0.0, 0.0),
            points_m=(NamedPoint("a", (0.0, 0.0, 0.0)), NamedPoint("b", (strut.span_m, 0.0, 0.0))),
            start=Pose(origin_m=_vector(start), rotation_rows=_rows(rotation)),
        )

    def free_body(self, name: str, places: dict[str, NodePlace]) -> Body:
        """A body of a free rig, with the gear hung from its points lumped there."""
        body = self._rig.bodies[name]
        moment, total = body.mass_kg * np.array(body.cog_m), body.mass_kg
        for point, at in body.points_m.items():
            places[f"{name}.{point}"] = NodePlace(name, point)
            gear = self._gear_kg(f"{name}.{point}")
            total += gear
            moment = moment + gear * np.array(at)
        return Body(
            name=name,
            mass_kg=total,
            cog_m=_vector(moment / total),
            points_m=tuple(NamedPoint(point, at) for point, at in body.points_m.items()),
            start=Pose(origin_m=body.at_m),
        )

    def stiff_frame(self, places: dict[str, NodePlace]) -> Body:
        """A frame with moment-stiff corners as one body in drawn coordinates about its first corner."""
        corners = list(self._rig.corners)
        origin = np.array(self._layout.nodes_m[corners[0]])
        points = {f"c{i}": _vector(np.array(self._layout.nodes_m[c]) - origin) for i, c in enumerate(corners)}
        moment, total = np.zeros(3), 0.0
        for i, corner in enumerate(corners):
            places[corner] = NodePlace(FRAME, f"c{i}")
            mass = self._gear_kg(corner)
            total += mass
            moment += mass * np.array(points[f"c{i}"])
        for strut in self._rig.struts.values():
            end_a, end_b = (np.array(self._layout.nodes_m[end]) for end in strut_ends(strut))
            centre = end_a + (end_b - end_a) * (strut.centre_m / strut.span_m)
            total += strut.mass_kg
            moment += strut.mass_kg * (centre - origin)
        return Body(
            name=FRAME,
            mass_kg=total,
            cog_m=_vector(moment / total),
            points_m=tuple(NamedPoint(point, at) for point, at in points.items()),
            start=Pose(origin_m=_vector(origin), rotation_rows=IDENTITY),
        )

    def pins(self, places: Mapping[str, NodePlace]) -> list[Element]:
        """Zero-length pins that hold the struts of a frame together at their corners."""
        stiffest = max(line.EA_N / line.length_m for line in self._rig.lines.values())
        pins = []
        for strut in self._rig.struts.values():
            for end, point in zip(strut.corners or (), ("a", "b"), strict=False):
                if places[end].body != strut.name:
                    pins.append(
                        Element(
                            name=f"pin {end}",
                            type=ElementType.PIN,
                            from_ref=places[end].reference,
                            to_ref=f"{strut.name}.{point}",
                            stiffness_N_per_m=_PIN_STIFFNESS_RATIO * stiffest,
                        )
                    )
        return pins


def _vector(at: np.ndarray) -> Vector:
    return (float(at[0]), float(at[1]), float(at[2]))


def _rows(rotation: np.ndarray) -> Rows:
    return (_vector(rotation[0]), _vector(rotation[1]), _vector(rotation[2]))
