"""A sensitivity is what a re-solved rig shows when one input is changed a little."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from tests.planning import small_lifts as small
from tests.scenarios.variants import example

from plumbhook.core.errors import NotEvaluatedError
from plumbhook.model.rig_graph import NamedPoint, RigGraph
from plumbhook.planning.assemble import assemble
from plumbhook.planning.assess import state_problem
from plumbhook.statics import solve
from plumbhook.statics.sensitivity import Parameter, ParameterKind, sensitivities


def graph_of(lift, cog) -> RigGraph:
    problem = state_problem(lift)
    return assemble(
        problem.rig,
        problem.layout,
        problem.lift_points_m,
        load_mass_kg=problem.design_mass_kg,
        cog_m=cog,
        gravity_m_s2=9.81,
    ).graph


RIGS = {
    "strut over two struts": lambda: graph_of(example("hallowmere-viaduct"), (0.033, -0.015, 1.545)),
    "four-strut frame": lambda: graph_of(example("marrow-lane"), (4.076, 0.02, 1.038)),
    "one strut": lambda: graph_of(small.read(small.ONE_STRUT_FOUR_POINTS), (0.1, 0.05, 0.5)),
    "bridle of four": lambda: graph_of(small.read(small.BRIDLE_OF_FOUR), (0.1, 0.05, 0.5)),
}


def changed(graph: RigGraph, parameter: Parameter, by: float) -> RigGraph:
    """The rig with one input changed."""
    name, axis = parameter.name, parameter.axis

    def shifted(at):
        return tuple(value + (by if i == axis else 0.0) for i, value in enumerate(at))

    match parameter.kind:
        case ParameterKind.UNSTRETCHED_LENGTH:
            elements = tuple(
                replace(e, unstretched_length_m=e.unstretched_length_m + by) if e.name == name else e
                for e in graph.elements
            )
            return replace(graph, elements=elements)
        case ParameterKind.AXIAL_STIFFNESS:
            return replace(
                graph,
                elements=tuple(replace(e, EA_N=e.EA_N + by) if e.name == name else e for e in graph.elements),
            )
        case ParameterKind.MASS:
            return replace(
                graph,
                bodies=tuple(
                    replace(b, mass_kg=b.mass_kg + by) if b.name == name else b for b in graph.bodies
                ),
            )
        case ParameterKind.COG:
            return replace(
                graph,
                bodies=tuple(
                    replace(b, cog_m=shifted(b.cog_m)) if b.name == name else b for b in graph.bodies
                ),
            )
        case ParameterKind.HOOK:
            return replace(
                graph,
                hooks_m=tuple(
                    NamedPoint(h.name, shifted(h.position_m)) if h.name == name else h for h in graph.hooks_m
                ),
            )


STEP = {
    ParameterKind.UNSTRETCHED_LENGTH: 2e-5,
    ParameterKind.AXIAL_STIFFNESS: 2e3,
    ParameterKind.MASS: 1.0,
    ParameterKind.COG: 2e-4,
    ParameterKind.HOOK: 1e-3,
}


@pytest.mark.parametrize("name", RIGS)
def test_sensitivities_agree_with_rigs_solved_again(name: str) -> None:
    graph = RIGS[name]()
    rest = solve(graph)
    found = sensitivities(graph, rest)
    largest = max(rest.tensions_N.values())
    for position, parameter in enumerate(found.parameters):
        step = STEP[parameter.kind]
        up = solve(changed(graph, parameter, step), start=rest.poses)
        down = solve(changed(graph, parameter, -step), start=rest.poses)
        for element, derivative in found.tensions.items():
            difference = (up.tensions_N[element] - down.tensions_N[element]) / 2.0
            assert derivative[position] * step == pytest.approx(difference, abs=2e-7 * largest), (
                parameter,
                element,
            )
        for body, derivative in found.tilt.items():
            if body == "load" and rest.tilt_rad[body] > 1e-4:
                difference = (up.tilt_rad[body] - down.tilt_rad[body]) / 2.0
                assert derivative[position] * step == pytest.approx(difference, rel=1e-5, abs=2e-8)


def test_heights_follow_the_hook_when_everything_hangs_from_it() -> None:
    graph = RIGS["strut over two struts"]()
    found = sensitivities(graph, solve(graph))
    for axis in range(3):
        column = found.of(ParameterKind.HOOK, "hook", axis)
        for body in found.points.values():
            for point in body.values():
                # In plan the answer holds up to a turn about the plumb line, which costs no energy.
                assert point[2, column] == pytest.approx(1.0 if axis == 2 else 0.0, abs=1e-7)
        for tension in found.tensions.values():
            assert abs(tension[column]) < 1e-2


def test_a_heavier_load_raises_the_sum_of_the_top_leg_forces_by_its_weight() -> None:
    graph = RIGS["strut over two struts"]()
    rest = solve(graph)
    found = sensitivities(graph, rest)
    column = found.of(ParameterKind.MASS, "load")
    vertical = 0.0
    for line in ("T1", "T2"):
        end = next(e for e in graph.elements if e.name == line).to_ref
        body, point = end.split(".")
        angle = rest.angle_from_vertical_rad[line]
        vertical += found.tensions[line][column] * math.cos(angle)
        # The legs also turn a little as they stretch; to first order that is the change of the cosine.
        hook, at = (
            np.array(graph.hooks_m[0].position_m),
            np.array(
                rest.poses[body].world(
                    next(
                        p.position_m
                        for b in graph.bodies
                        if b.name == body
                        for p in b.points_m
                        if p.name == point
                    )
                )
            ),
        )
        span = hook - at
        change = -found.points[body][point][:, column]
        length = float(np.linalg.norm(span))
        vertical += rest.tensions_N[line] * (change[2] - span[2] * float(span @ change) / length**2) / length
    assert vertical == pytest.approx(9.81, rel=1e-6)


def test_an_unstable_rig_has_no_sensitivities() -> None:
    top_heavy = small.read(
        small.ONE_STRUT, ("cog: [0 m, 0 m, 0.5 m]", "cog: [0 m, 0 m, 1.3 m]"), ("1.0 m]}", "2.0 m]}")
    )
    graph = graph_of(top_heavy, (0.0, 0.0, 1.3))
    with pytest.raises(NotEvaluatedError, match="stable"):
        sensitivities(graph, solve(graph))
