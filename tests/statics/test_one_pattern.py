"""Rigs of one pattern share what does not depend on their numbers; nothing else may pass from one to another."""

from __future__ import annotations

import math
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.statics.rigs import KINDS, four_leg_bridle, random_rig, strut_rig

from plumbhook.core.errors import NotEvaluatedError
from plumbhook.model._rig_graph_rules import _Rules, found_problems
from plumbhook.model.rig_graph import NamedPoint, figures_of, problems_of, support
from plumbhook.statics import solve
from plumbhook.statics._arrays import assemble, state_of
from plumbhook.statics._energy import hessian, lines, moved, unit_of
from plumbhook.statics._neutral import NeutralFinder
from plumbhook.statics._stability import _judge_closely, judge
from plumbhook.statics._stiffness import stiffness_at
from plumbhook.statics.sensitivity import sensitivities


def slowly(graph):
    """Every rule asked one by one, whatever is known of rigs of the pattern."""
    rules = _Rules(graph, "", "")
    rules.finite()
    return tuple(rules.found or found_problems(graph, "", "", complete=True))


def with_number(graph, path, value):
    """The rig with one of its numbers changed, told as the way to it through records and tuples."""

    def changed(record, rest):
        if not rest:
            return value
        head, *tail = rest
        if isinstance(head, int):
            return (*record[:head], changed(record[head], tail), *record[head + 1 :])
        return replace(record, **{head: changed(getattr(record, head), tail)})

    return changed(graph, path)


NUMBERS = [
    ("gravity_m_s2",),
    ("hooks_m", 0, "position_m", 1),
    ("bodies", 0, "mass_kg"),
    ("bodies", -1, "mass_kg"),
    ("bodies", -1, "cog_m", 2),
    ("bodies", 0, "points_m", 1, "position_m", 0),
    ("bodies", 0, "start", "origin_m", 2),
    ("bodies", 0, "start", "rotation_rows", 1, 2),
    ("bodies", 0, "start", "rotation_rows", 2, 2),
    ("elements", 0, "unstretched_length_m"),
    ("elements", 0, "EA_N"),
    ("elements", 1, "level_m"),
    ("elements", 1, "stiffness_N_per_m"),
]
VALUES = [
    math.nan,
    math.inf,
    -math.inf,
    -1.0,
    -0.0,
    0.0,
    5e-324,
    1e-7,
    1e-6,
    1.0,
    1e3,
    1.001e3,
    1e8,
    1.1e8,
    1e12,
    2e12,
    1e25,
    None,
]


@settings(max_examples=80, deadline=None)
@given(
    kind=st.sampled_from("acF"),
    path=st.sampled_from(NUMBERS),
    value=st.sampled_from(VALUES),
)
def test_a_number_out_of_bounds_is_found_in_a_rig_of_a_known_pattern(kind, path, value):
    rig = random_rig(kind, 5)
    assert problems_of(rig) == ()
    if value is None and path[0] != "elements":
        return
    path = [len(rig.bodies) - 1 if step == -1 else step for step in path]
    changed = with_number(rig, path, value)
    assert problems_of(changed) == slowly(changed)
    result = solve(changed)
    assert bool(slowly(changed)) == (result.status.value == "invalid") or "stiff" in result.message


def test_a_place_of_two_numbers_is_not_made_up_for_by_one_of_four():
    rig = random_rig("a", 1)
    body = rig.bodies[0]
    first, second, *rest = body.points_m
    ill = replace(
        body,
        points_m=(
            NamedPoint(first.name, first.position_m[:2]),
            NamedPoint(second.name, (0.0, *second.position_m)),
            *rest,
        ),
    )
    assert figures_of(replace(rig, bodies=(ill, *rig.bodies[1:]))) is None


def standing(rig):
    """A rig with supports below two points of its load, pressed and clear."""
    load = rig.bodies[-1].name
    names = [point.name for point in rig.bodies[-1].points_m]
    return replace(
        rig,
        elements=(
            *rig.elements,
            support("pressed", f"{load}.{names[0]}", 1e3, 1e4),
            support("clear", f"{load}.{names[-1]}", -1e3, 1e4),
        ),
    )


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("change", [lambda rig: rig, standing], ids=["hung", "supported"])
def test_the_two_ways_to_the_stiffness_agree(kind, change):
    draw = np.random.default_rng(3)
    rig = change(random_rig(kind, 12))
    arrays = assemble(rig)
    drawn = state_of(arrays, [body.start for body in rig.bodies])
    for _ in range(3):
        state = moved(drawn, draw.normal(size=arrays.n_dof) * 0.05 / arrays.scale * arrays.size_m)
        now = lines(arrays, arrays.stiffness_N_m, state)
        blocks = hessian(arrays, arrays.stiffness_N_m, now)
        whole = stiffness_at(arrays, now, unit_of(now)).matrix
        assert np.abs(blocks - whole).max() <= 1e-13 * np.abs(blocks).max()


@pytest.mark.parametrize("kind", KINDS)
def test_the_verdict_at_a_glance_is_the_verdict_on_the_projected_stiffness(kind):
    rig = random_rig(kind, 30)
    rest = solve(rig).linear
    arrays, scale = rest.arrays, rest.arrays.scale
    neutral = NeutralFinder(arrays)
    glance = judge(arrays, rest.state, neutral, rest.now)
    unit = arrays.size_m / arrays.total_weight_N
    matrix = hessian(arrays, arrays.stiffness_N_m, rest.now) * unit / (scale[:, None] * scale)
    basis = neutral.basis(rest.now.active > 0.0, rest.state, scale, 1e-4)
    close = _judge_closely(arrays, rest.now, matrix, basis, 1e-7)
    assert close.neutral_modes == glance.neutral_modes
    assert close.modes.lowest == pytest.approx(
        glance.modes.lowest, rel=1e-8, abs=1e-13 * glance.modes.highest
    )
    assert close.modes.highest == pytest.approx(glance.modes.highest, rel=1e-12)


@pytest.mark.parametrize("kind", KINDS)
def test_sensitivities_come_with_the_answer_and_are_those_formed_anew(kind):
    rig = random_rig(kind, 31)
    result = solve(rig)
    kept, anew = result.sensitivities, sensitivities(rig, result)
    assert kept.parameters == anew.parameters
    assert result.sensitivities is kept
    for name in ("by_element", "by_body", "motion"):
        here, there = getattr(kept, name), getattr(anew, name)
        # Parameters differ in unit, so each column is compared by itself; moving the only hook changes no force.
        largest = np.abs(there).reshape(-1, there.shape[-1]).max(axis=0)
        assert (np.abs(here - there) <= 1e-6 * largest + 1e-9 * largest.max()).all()


def test_where_the_rig_falls_there_are_no_sensitivities():
    high = four_leg_bridle((0.0, 0.0, 5.0))
    result = solve(high)
    assert not result.is_stable
    with pytest.raises(NotEvaluatedError, match="stable rest"):
        _ = result.sensitivities


def test_a_strut_with_its_points_on_its_axis_or_off_it_has_its_own_neutral_motions():
    """Both have the same names, so they share all that a pattern can give."""
    on_axis = strut_rig((0.2, 0.0, -1.0))
    strut = on_axis.bodies[0]
    name, place = strut.points_m[0].name, strut.points_m[0].position_m
    off = replace(
        on_axis,
        bodies=(
            replace(
                strut, points_m=(NamedPoint(name, (place[0], place[1], place[2] + 0.1)), *strut.points_m[1:])
            ),
            *on_axis.bodies[1:],
        ),
    )
    assert figures_of(on_axis).pattern == figures_of(off).pattern
    for _ in range(2):
        spinning, held = solve(on_axis), solve(off)
        assert any("may spin" in words for words in spinning.neutral_motions)
        assert not any("may spin" in words for words in held.neutral_motions)
        assert spinning.neutral_modes == held.neutral_modes + 1


def test_hooks_on_one_vertical_or_not_are_told_apart():
    rig = random_rig("g", 3)
    first, second = rig.hooks_m
    above = (first.position_m[0], first.position_m[1], first.position_m[2] + 1.0)
    together = replace(rig, hooks_m=(first, replace(second, position_m=above)))
    assert solve(rig).neutral_modes == 0
    assert solve(together).neutral_modes == 1
    assert solve(rig).neutral_modes == 0


def test_many_threads_at_once_find_what_one_finds_digit_for_digit():
    rigs = [random_rig(kind, seed) for seed in range(60, 64) for kind in "abcF"]
    rigs += [replace(rig, gravity_m_s2=9.0) for rig in rigs]
    alone = [solve(rig) for rig in rigs]
    with ThreadPoolExecutor(4) as pool:
        together = list(pool.map(solve, [replace(rig, name=rig.name) for rig in rigs] * 3))
    for number, found in enumerate(together):
        expected = alone[number % len(rigs)]
        assert found == expected
        assert np.array_equal(found.sensitivities.by_element, expected.sensitivities.by_element)
