"""The restoring height found from the stiffness is the closed form wherever the closed form holds."""

from __future__ import annotations

import math

import pytest
from tests.planning import small_lifts as small
from tests.scenarios.variants import example

from plumbhook.model.rig_graph import with_stiffness_factor
from plumbhook.planning.assemble import LOAD, assemble
from plumbhook.planning.assess import state_problem
from plumbhook.planning.planes import restoring_height, tilt_planes
from plumbhook.statics import solve
from plumbhook.statics.margin import margins


def rigs(lift, cog):
    problem = state_problem(lift)
    assembled = assemble(
        problem.rig,
        problem.layout,
        problem.lift_points_m,
        load_mass_kg=problem.design_mass_kg,
        cog_m=cog,
        gravity_m_s2=9.81,
    )
    return problem, assembled.graph


@pytest.mark.parametrize(
    ("lift", "cog"),
    [
        (example("hallowmere-viaduct"), (0.0, 0.0, 1.545)),
        (small.read(small.ONE_STRUT), (0.0, 0.0, 0.5)),
        (small.read(small.ONE_STRUT_FOUR_POINTS), (0.0, 0.0, 0.5)),
        (small.read(small.ONE_STRUT_FOUR_POINTS), (0.0, 0.0, 1.3)),
    ],
    ids=[
        "strut over two struts",
        "one strut, two points",
        "one strut, four points",
        "top-heavy on four points",
    ],
)
def test_restoring_heights_of_a_level_rig_with_stiff_lines_are_the_closed_form(lift, cog) -> None:
    problem, graph = rigs(lift, cog)
    stiff = with_stiffness_factor(graph, 1e4)
    found = margins(stiff, solve(stiff), LOAD)
    above = cog[2] - sum(at[2] for at in problem.lift_points_m.values()) / len(problem.lift_points_m)
    planes = tilt_planes(problem.rig, problem.layout, problem.lift_points_m)
    expected = sorted(restoring_height(plane, problem.design_mass_kg, above) for plane in planes)
    # The closed form places the gear at the foot of the triangle; the two agree to the sagging of a level rig.
    assert [plane.restoring_height_m for plane in found] == pytest.approx(expected, rel=5e-3)


def test_stretch_lowers_the_restoring_height() -> None:
    _, graph = rigs(example("hallowmere-viaduct"), (0.0, 0.0, 1.545))
    stiff = with_stiffness_factor(graph, 1e4)
    elastic, rigid = margins(graph, solve(graph), LOAD), margins(stiff, solve(stiff), LOAD)
    for soft, hard in zip(elastic, rigid, strict=True):
        assert 0.8 * hard.restoring_height_m < soft.restoring_height_m < hard.restoring_height_m


def test_a_load_above_its_two_points_has_no_restoring_height() -> None:
    top_heavy = small.read(
        small.ONE_STRUT, ("cog: [0 m, 0 m, 0.5 m]", "cog: [0 m, 0 m, 1.3 m]"), ("1.0 m]}", "2.0 m]}")
    )
    _, graph = rigs(top_heavy, (0.0, 0.0, 1.3))
    weak, strong = margins(graph, solve(graph), LOAD)
    assert weak.restoring_height_m == pytest.approx(-0.3, abs=0.02)
    assert abs(weak.direction[1]) == pytest.approx(1.0)
    assert strong.restoring_height_m > 0.0


def test_a_pendulum_on_one_line_is_as_stiff_as_its_length() -> None:
    graph = rigs(small.read(small.BRIDLE_OF_TWO), (0.0, 0.0, 0.5))[1]
    weak, strong = margins(graph, solve(graph), LOAD)
    assert weak.restoring_height_m == pytest.approx(0.5, rel=0.02)
    assert strong.restoring_height_m == pytest.approx(0.5 + math.sqrt(3.0**2 - 1.65**2), rel=0.06)


def test_the_angle_at_which_a_line_goes_slack_is_where_it_really_does() -> None:
    lift = small.read(small.BRIDLE_OF_FOUR)
    problem, graph = rigs(lift, (0.0, 0.0, 0.5))
    weak, _ = margins(graph, solve(graph), LOAD)
    assert math.isfinite(weak.slack_tilt_rad)
    assert weak.first_slack in problem.rig.lines
    height = weak.restoring_height_m
    slack_by = {}
    for share in (0.8, 1.2):
        offset = share * height * math.tan(weak.slack_tilt_rad)
        cog = (offset * weak.direction[0], offset * weak.direction[1], 0.5)
        moved = assemble(
            problem.rig,
            problem.layout,
            problem.lift_points_m,
            load_mass_kg=problem.design_mass_kg,
            cog_m=cog,
            gravity_m_s2=9.81,
        ).graph
        slack_by[share] = bool(solve(moved).slack_m)
    assert slack_by == {0.8: False, 1.2: True}
