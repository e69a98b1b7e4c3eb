"""Supports push, never pull and rub nowhere."""

import json
import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from rigs import G, NamedPoint, four_strut_frame, random_rig, strut_rig
from standing import bridled_load, rectangle, standing_body, turned_about_z

from plumbhook.core.errors import InputError
from plumbhook.model.rig_graph import Body, Pose, parse_rig_graphs, pin, problems_of, support, to_json_dict
from plumbhook.statics import EquilibriumStatus, equilibrium_json, prove, solve
from plumbhook.statics._arrays import assemble, state_of
from plumbhook.statics._energy import energy, gradient, hessian, lines, moved
from plumbhook.statics._neutral import NeutralFinder
from plumbhook.statics.sensitivity import ParameterKind, sensitivities

# --- Closed forms -------------------------------------------------------------------------------------------


def beam(mass_kg, cog_m, length_m, stiffness=1e10):
    """A beam on two supports at either end, side by side, so that it cannot roll; its CoG level with them."""
    return standing_body(rectangle(length_m, 0.4), (cog_m, 0.0, 0.0), mass_kg=mass_kg, stiffness=stiffness)


def reactions(result):
    push = result.support_forces_N
    return push["under a"] + push["under d"], push["under b"] + push["under c"]


def test_a_worker_on_a_beam_on_two_supports():
    """Steel beam of 11 m and 396 kg, worker of 77 kg at 7.5 m from A: B carries 2455 N with g = 9.80 m/s2.

    Exercise of university physics, as published with its answer of 2454.9 N in an open answer collection.
    """
    total = 396.0 + 77.0
    cog = (396.0 * 5.5 + 77.0 * 7.5) / total - 5.5
    rig = replace(beam(total, cog, 11.0), gravity_m_s2=9.80)
    at_a, at_b = reactions(solve(rig))
    assert at_b == pytest.approx(2454.9, abs=0.05)
    assert at_a == pytest.approx(total * 9.80 - 2454.9, abs=0.05)


@given(st.floats(-0.49, 0.49), st.floats(2.0, 30.0), st.floats(100.0, 5e5), st.floats(-math.pi, math.pi))
@settings(max_examples=25, deadline=None)
def test_a_beam_on_two_supports_keeps_the_law_of_the_lever(share, length, mass, yaw):
    """R_B L = W a, whatever the stiffness of the supports, as long as the CoG is level with them."""
    rig = beam(mass, share * length, length)
    rig = replace(rig, bodies=(replace(rig.bodies[0], start=Pose((3.0, -2.0, 0.0), turned_about_z(yaw))),))
    result = solve(rig)
    weight = mass * G
    at_a, at_b = reactions(result)
    assert result.is_stable
    assert at_b == pytest.approx(weight * (0.5 + share), rel=1e-7, abs=1e-7 * weight)
    assert at_a == pytest.approx(weight * (0.5 - share), rel=1e-7, abs=1e-7 * weight)


@given(st.floats(-0.15, 0.15), st.floats(-0.15, 0.15), st.floats(1e7, 1e11))
@settings(max_examples=25, deadline=None)
def test_four_equal_springs_share_as_a_plane(ex, ey, stiffness):
    """P_i = W/4 + W e_x x_i / sum x^2 + W e_y y_i / sum y^2: the rigid cap on equal piles of the textbooks.

    With the CoG in the plane of the springs it holds at any tilt, because plan and springs shorten alike.
    """
    corners = rectangle(6.0, 4.0)
    rig = standing_body(corners, (6.0 * ex, 4.0 * ey, 0.0), stiffness=stiffness)
    weight = 12e3 * G
    found = solve(rig).support_forces_N
    for name, (x, y, _) in corners.items():
        expected = weight * (0.25 + 6.0 * ex * x / 36.0 + 4.0 * ey * y / 16.0)
        assert found[f"under {name}"] == pytest.approx(expected, abs=1e-7 * weight)


def test_three_supports_share_by_moments_alone():
    """On three supports statics alone decides: the shares are the barycentric coordinates of the CoG."""
    feet = {"a": (0.0, 0.0, 0.0), "b": (5.0, 0.0, 0.0), "c": (1.0, 4.0, 0.0)}
    shares = {"a": 0.5, "b": 0.2, "c": 0.3}
    cog = tuple(sum(shares[name] * at[axis] for name, at in feet.items()) for axis in range(3))
    found = solve(standing_body(feet, cog)).support_forces_N
    for name, share in shares.items():
        assert found[f"under {name}"] == pytest.approx(share * 12e3 * G, rel=1e-7)


def test_a_tall_load_on_soft_supports_stands_only_while_they_are_stiff_enough():
    """A rigid block on springs tips where k sum x^2 < W h (tilting stiffness of the springs against the weight)."""
    weight, base, height = 12e3 * G, 2.0, 5.0
    limit = weight * height / (4.0 * (0.5 * base) ** 2)
    feet = rectangle(base, 4.0 * base)
    assert solve(standing_body(feet, (0.0, 0.0, height), stiffness=1.1 * limit)).is_stable
    fallen = solve(standing_body(feet, (0.0, 0.0, height), stiffness=0.9 * limit))
    assert fallen.status is EquilibriumStatus.UNSTABLE


# --- What supports do ---------------------------------------------------------------------------------------


def test_a_load_that_stands_is_at_rest_and_free_in_plan():
    rig = standing_body(rectangle(4.0, 2.0), (0.2, 0.1, 1.0))
    result = solve(rig)
    assert result.is_stable
    assert result.neutral_modes == 3
    assert result.modes.indifferent == 0
    assert "may slide" in result.neutral_motions[0]
    assert "friction" in result.message
    assert result.assembled_posture.in_equilibrium
    # Frictionless supports push upward only, so the centre of gravity stays where it was in plan.
    assert result.poses["load"].world((0.2, 0.1, 1.0))[:2] == pytest.approx((0.2, 0.1), abs=1e-12)


def test_slack_slings_above_a_standing_load_carry_nothing_and_say_by_how_much_they_hang():
    result = solve(bridled_load(slack_m=0.1))
    assert result.is_stable
    assert set(result.tensions_N.values()) == {0.0}
    assert result.hook_load_N["h"] == 0.0
    assert result.poses["load"].origin_m[:2] == (0.0, 0.0)
    straight = math.hypot(4.0, math.sqrt(8.0))
    sunk = 12e3 * G / 4e8
    hanging = straight - math.hypot(3.9 + sunk, math.sqrt(8.0))
    assert list(result.slack_m.values()) == pytest.approx([hanging] * 4, rel=1e-9)
    assert result.neutral_modes == 3


def test_a_load_may_hang_and_stand_at_once():
    result = solve(bridled_load(slack_m=-0.005))
    pushes = sum(result.support_forces_N.values())
    assert result.is_stable
    assert pushes > 0.1 * 12e3 * G
    assert result.hook_load_N["h"] > 0.1 * 12e3 * G
    assert result.neutral_modes == 1
    assert result.message == "The rig hangs and stands at rest and resists every small push."


def test_a_load_that_hangs_clear_says_how_far_it_is_above_each_support():
    result = solve(bridled_load(slack_m=-0.5))
    assert set(result.support_forces_N.values()) == {0.0}
    assert len(result.clear_m) == 4
    for name, height in result.clear_m.items():
        foot = result.attachment_heights_m["load"][f"foot {name[6:]}"]
        assert height == pytest.approx(foot + 6.0, rel=1e-9)


def test_a_load_whose_cog_is_beyond_its_supports_falls():
    for cog in ((2.5, 0.0, 1.0), (0.0, -1.01, 0.0)):
        result = solve(standing_body(rectangle(4.0, 2.0), cog))
        assert result.status is EquilibriumStatus.UNSTABLE
        assert "before it comes to rest" in result.message
        assert result.rest_after_kick is not None


def test_on_two_supports_a_load_balances_above_them_and_hangs_below_them():
    feet = {"a": (-2.0, 0.0, 0.0), "b": (2.0, 0.0, 0.0)}
    above = solve(standing_body(feet, (0.0, 0.0, 0.5)))
    below = solve(standing_body(feet, (0.0, 0.0, -0.5)))
    assert above.status is EquilibriumStatus.UNSTABLE
    assert below.is_stable


def test_two_loads_joined_by_a_pin_slide_together_and_turn_about_it():
    feet = rectangle(2.0, 2.0)
    rig = standing_body({**feet, "eye": (2.0, 0.0, 0.0)}, (0.0, 0.0, 0.0))
    other = Body(
        "other",
        5e3,
        (0.0, 0.0, 0.0),
        tuple(NamedPoint(name, at) for name, at in {**feet, "eye": (-2.0, 0.0, 0.0)}.items()),
        Pose((4.0, 0.0, 0.0)),
    )
    elements = [e for e in rig.elements if "eye" not in e.name]
    elements += [support(f"other {name}", f"other.{name}", 0.0, 1e9) for name in feet]
    elements.append(pin("joint", "load.eye", "other.eye", 1e9))
    result = solve(replace(rig, bodies=(*rig.bodies, other), elements=tuple(elements)))
    assert result.is_stable
    assert result.neutral_modes == 4
    assert len(result.neutral_motions) == 2


def with_its_load_set_down(rig):
    """The rig with its load 0.3 m higher than it hangs, on supports below its points."""
    load = next(body for body in rig.bodies if body.name == "load")
    ground = load.start.origin_m[2] + 0.3
    stood = tuple(support(f"under {p.name}", f"load.{p.name}", ground, 1e9) for p in load.points_m)
    bodies = tuple(replace(b, start=Pose((0.0, 0.0, ground))) if b.name == "load" else b for b in rig.bodies)
    return replace(rig, bodies=bodies, elements=rig.elements + stood)


def test_a_standing_load_leaves_the_frame_hanging_above_it():
    """With the hook let down, the lower slings are slack and the hook carries the frame alone."""
    rig = four_strut_frame(jointed=False)
    result = solve(with_its_load_set_down(rig))
    frame = sum(body.mass_kg for body in rig.bodies if body.name != "load")
    assert result.is_stable
    assert result.hook_load_N["h"] == pytest.approx(frame * G, rel=1e-7)
    assert sum(result.support_forces_N.values()) == pytest.approx(20e3 * G, rel=1e-7)
    assert {name for name in result.slack_m if name.startswith("low")} == {
        e.name for e in rig.elements if e.name.startswith("low")
    }


def test_a_pin_jointed_frame_folds_once_its_load_is_set_down():
    """Its corners keep to a sphere about the hook, their half diagonals a and b to cos a cos b = const.

    The height of the four corners, -2 L (cos a + cos b), is then greatest at a = b: the square frame is balanced
    at its highest, and any other one falls to one side. (Own derivation, spherical right triangle.)
    """
    result = solve(with_its_load_set_down(four_strut_frame(jointed=True)))
    assert result.status is EquilibriumStatus.UNSTABLE
    assert "side" in result.message


def test_a_strut_without_weight_on_loose_lines_may_be_anywhere():
    result = solve(with_its_load_set_down(strut_rig((0.0, 0.0, -1.0), mass_ratio=0.0)))
    assert result.is_stable
    assert result.neutral_modes == 9
    assert any("may be anywhere" in words for words in result.neutral_motions)


def test_a_standing_load_stays_where_it_is_drawn_until_a_line_pulls_it():
    """Off the hook, turned, its CoG off the middle: looking for the rest does not move it in plan."""
    rig = bridled_load((0.6, -0.3, 0.2), slack_m=0.05)
    at = Pose((0.05, -0.02, -4.0), turned_about_z(0.1))
    result = solve(replace(rig, bodies=(replace(rig.bodies[0], start=at),)))
    cog = (0.6, -0.3, 0.2)
    assert result.neutral_modes == 3
    assert result.poses["load"].world(cog)[:2] == pytest.approx(at.world(cog)[:2], abs=1e-12)
    (a, _, _), (b, _, _), _ = result.poses["load"].rotation_rows
    assert math.atan2(b, a) == pytest.approx(0.1, abs=1e-6)
    assert result.assembled_posture.in_equilibrium


# --- Laws ---------------------------------------------------------------------------------------------------

offsets = st.floats(-1.2, 1.2)


@given(offsets, offsets, st.floats(-3.0, 1.0), st.floats(-0.05, 0.05), st.floats(6.0, 10.0))
@settings(max_examples=60, deadline=None)
def test_pushes_and_hook_load_carry_the_weight_and_supports_never_pull(x, y, z, slack, log_stiffness):
    rig = bridled_load((x, y, z), slack_m=slack, stiffness=10.0**log_stiffness)
    result = solve(rig)
    assume(result.is_stable)
    weight = 12e3 * G
    assert all(push >= 0.0 for push in result.support_forces_N.values())
    assert all(tension >= 0.0 for tension in result.tensions_N.values())
    upward = sum(result.support_forces_N.values()) - result.hook_forces_N["h"][2]
    assert upward == pytest.approx(weight, rel=1e-7)
    assert math.hypot(*result.hook_forces_N["h"][:2]) <= 1e-7 * weight
    heights = result.attachment_heights_m["load"]
    for element in rig.elements:
        if element.name.startswith("under"):
            sunk = element.level_m - heights[element.from_ref.partition(".")[2]]
            expected = element.stiffness_N_per_m * max(0.0, sunk)
            assert result.support_forces_N[element.name] == pytest.approx(expected, abs=1e-7 * weight)


@given(offsets, st.floats(-math.pi, math.pi), st.floats(-50.0, 50.0), st.floats(-50.0, 50.0))
@settings(max_examples=25, deadline=None)
def test_where_a_load_stands_in_plan_has_no_effect(x, yaw, east, north):
    rig = standing_body(rectangle(4.0, 3.0), (x, 0.3, 0.5))
    here = solve(rig)
    placed = replace(rig.bodies[0], start=Pose((east, north, 0.0), turned_about_z(yaw)))
    there = solve(replace(rig, bodies=(placed,)))
    for name, push in here.support_forces_N.items():
        assert there.support_forces_N[name] == pytest.approx(push, rel=1e-7)
    cog = (x, 0.3, 0.5)
    assert there.poses["load"].world(cog)[:2] == pytest.approx(placed.start.world(cog)[:2], abs=1e-9)


# --- Derivatives --------------------------------------------------------------------------------------------


def supported(kind, seed):
    """A random rig with supports below the points of its load that partly carry, at a posture off its rest."""
    rig = random_rig(kind, seed)
    rest = solve(rig)
    load = next(body for body in rig.bodies if body.name == "load")
    at = rest.attachment_heights_m["load"]
    rise = 0.02 * rig.elements[0].unstretched_length_m
    stiffness = rig.elements[0].EA_N / rig.elements[0].unstretched_length_m
    stood = tuple(
        support(f"under {p.name}", f"load.{p.name}", at[p.name] + rise * (-1.0) ** number, stiffness)
        for number, p in enumerate(load.points_m)
    )
    rig = replace(rig, elements=rig.elements + stood)
    arrays = assemble(rig)
    random = np.random.default_rng(seed)
    scale = np.tile([3e-3 * arrays.size_m] * 3 + [0.01] * 3, arrays.n_bodies)
    for _ in range(200):
        state = moved(
            state_of(arrays, list(rest.poses.values())), scale * random.standard_normal(arrays.n_dof)
        )
        now = lines(arrays, arrays.stiffness_N_m, state)
        carrying = now.active[arrays.is_support].sum()
        if np.abs(now.stretch[arrays.is_one_way]).min() > 3e-4 * arrays.size_m and carrying:
            return arrays, state, 2e-3 * scale, random
    raise AssertionError("no posture found")


@pytest.mark.parametrize("kind", "abcdg")
def test_gradient_and_hessian_of_supports_agree_with_differences(kind):
    arrays, state, scale, random = supported(kind, 3)
    stiffness = arrays.stiffness_N_m
    now = lines(arrays, stiffness, state)
    slope, matrix = gradient(arrays, now), hessian(arrays, stiffness, now)
    for _ in range(5):
        p = scale * random.standard_normal(arrays.n_dof)
        ahead, behind = (
            gradient(arrays, lines(arrays, stiffness, moved(state, sign * p))) for sign in (1.0, -1.0)
        )
        rise = energy(arrays, stiffness, moved(state, p)) - energy(arrays, stiffness, moved(state, -p))
        size = np.linalg.norm(scale * slope) + np.linalg.norm(scale * (matrix @ p))
        assert rise == pytest.approx(2.0 * slope @ p, rel=1e-4, abs=1e-6 * size)
        # The gradient after an increment is taken in turned axes: its symmetric part is what the Hessian is.
        assert (ahead - behind) @ p == pytest.approx(2.0 * p @ matrix @ p, rel=1e-4, abs=1e-6 * size)


@pytest.mark.parametrize("kind", "abcdg")
def test_taylor_remainders_with_supports_fall_with_slopes_two_and_three(kind):
    arrays, state, scale, random = supported(kind, 4)
    stiffness = arrays.stiffness_N_m
    now = lines(arrays, stiffness, state)
    slope, matrix = gradient(arrays, now), hessian(arrays, stiffness, now)
    start = energy(arrays, stiffness, state)
    p = scale * random.standard_normal(arrays.n_dof)
    steps = 10.0 * 2.0 ** -np.arange(4)
    change = np.array([energy(arrays, stiffness, moved(state, t * p)) - start for t in steps])
    first = np.abs(change - steps * (slope @ p))
    second = np.abs(change - steps * (slope @ p) - 0.5 * steps**2 * (p @ matrix @ p))
    for remainder, expected in ((first, 2.0), (second, 3.0)):
        assert np.polyfit(np.log(steps), np.log(remainder), 1)[0] == pytest.approx(expected, abs=0.2)


@pytest.mark.parametrize("kind", "abcdg")
def test_supports_block_no_turning_about_a_vertical(kind):
    """Turning below a hook costs no energy with supports below, even away from the rest."""
    arrays, state, _, _ = supported(kind, 5)
    now = lines(arrays, arrays.stiffness_N_m, state)
    basis = NeutralFinder(arrays).basis(now.active > 0.0, state, np.ones(arrays.n_dof))
    slope = gradient(arrays, now)
    assert np.abs(basis.T @ slope).max(initial=0.0) <= 1e-11 * np.linalg.norm(slope)
    assert basis.shape[1] >= (0 if kind == "g" else 1)


def test_sensitivities_of_pushes_agree_with_solving_again():
    rig = bridled_load((0.3, 0.1, -1.0), slack_m=-0.003)
    rest = solve(rig)
    found = sensitivities(rig, rest)
    column = found.of(ParameterKind.HOOK, "h", 2)

    def raised(by):
        x, y, z = rig.hooks_m[0].position_m
        return solve(replace(rig, hooks_m=(NamedPoint("h", (x, y, z + by)),)), start=rest.poses)

    up, down = raised(1e-6), raised(-1e-6)
    for name in rest.support_forces_N:
        difference = (up.support_forces_N[name] - down.support_forces_N[name]) / 2e-6
        assert found.support_forces[name][column] == pytest.approx(difference, rel=1e-4)
    assert not set(found.tensions) & set(rest.support_forces_N)


# --- Proof and forms ----------------------------------------------------------------------------------------


def test_the_proof_finds_a_push_that_is_wrong_or_missing():
    rig = bridled_load(slack_m=-0.005)
    result = solve(rig)
    pushes = dict(result.support_forces_N)
    name = "under 1"

    def proved(given):
        return prove(rig, result.poses, result.tensions_N, result.pin_forces_N, given)

    assert proved(pushes).holds
    for wrong in (1.001 * pushes[name], -pushes[name], 0.0, math.nan):
        assert not proved({**pushes, name: wrong}).holds
    assert not proved({}).holds
    assert not proved(None).holds
    assert "push of 'under 1'" in proved({**pushes, name: 0.0}).worst


def test_results_as_json_name_every_support():
    rig = bridled_load(slack_m=-0.005, levels_m=(-6.0, -6.0, -6.0, -6.2))
    answer = equilibrium_json(rig, solve(rig))
    json.dumps(answer, allow_nan=False)
    assert answer["support_forces_N"].keys() == {f"under {n}" for n in range(1, 5)}
    assert answer["clear_m"].keys() == {"under 4"}
    assert not answer["tensions_N"].keys() & answer["support_forces_N"].keys()


def test_a_rig_with_supports_is_read_back_as_it_was_written():
    rig = bridled_load()
    data = json.loads(json.dumps(to_json_dict(rig)))
    assert data["elements"][4] == {
        "name": "under 1",
        "type": "support",
        "from": "load.foot 1",
        "stiffness_N_per_m": 1e8,
        "level_m": -6.0,
    }
    assert parse_rig_graphs(data) == (rig,)


@pytest.mark.parametrize(
    ("change", "field", "words"),
    [
        ({"level_m": ...}, "elements[4].level_m", "is missing; a support needs it"),
        ({"stiffness_N_per_m": ...}, "elements[4].stiffness_N_per_m", "is missing; a support needs it"),
        ({"stiffness_N_per_m": -1.0}, "elements[4].stiffness_N_per_m", "must be above zero"),
        ({"stiffness_N_per_m": 0.0}, "elements[4].stiffness_N_per_m", "must be above zero"),
        ({"level_m": 1e9}, "elements[4].level_m", "check the unit"),
        ({"level_m": "low"}, "elements[4].level_m", "must be a number"),
        ({"level_m": float("nan")}, "elements[4].level_m", "give a finite number"),
        ({"to": "hook.h"}, "elements[4].to", "does not belong to a support"),
        ({"from": "hook.h"}, "elements[4].from", "needs no support"),
        ({"from": "load.foot 9"}, "elements[4].from", "did you mean"),
        ({"EA_N": 1e6}, "elements[4].EA_N", "does not belong to a support"),
        ({"type": "suport"}, "elements[4].type", "did you mean 'support'"),
        ({"type": "pin"}, "elements[4].to", "is missing"),
        ({"type": "pin"}, "elements[4].level_m", "does not belong to a pin"),
    ],
)
def test_what_is_wrong_with_a_support_is_said_in_a_sentence(change, field, words):
    data = to_json_dict(bridled_load())
    for key, value in change.items():
        if value is ...:
            del data["elements"][4][key]
        else:
            data["elements"][4][key] = value
    with pytest.raises(InputError) as caught:
        parse_rig_graphs(data)
    said = {problem.field: problem.message for problem in caught.value.problems}
    assert words in said[field]
    assert said[field][-1] in ".?"


def test_records_of_a_support_without_its_numbers_are_invalid():
    rig = standing_body(rectangle(2.0, 2.0), (0.0, 0.0, 0.0))
    bare = replace(rig.elements[0], level_m=None, stiffness_N_per_m=None)
    fields = {problem.field for problem in problems_of(replace(rig, elements=(bare, *rig.elements[1:])))}
    assert fields == {"elements[0].level_m", "elements[0].stiffness_N_per_m"}
    led = replace(rig.elements[0], to_ref="load.b")
    assert "leave it out" in str(problems_of(replace(rig, elements=(led, *rig.elements[1:])))[0])


def test_a_rig_without_hooks_or_supports_is_refused():
    rig = bridled_load()
    said = " ".join(str(problem) for problem in problems_of(replace(rig, hooks_m=(), elements=())))
    assert "no support carries the rig" in said


def test_two_loads_that_stand_apart_are_two_rigs():
    rig = standing_body(rectangle(2.0, 2.0), (0.0, 0.0, 0.0))
    other = replace(rig.bodies[0], name="other", start=Pose((9.0, 0.0, 0.0)))
    more = tuple(replace(e, name=f"o {e.name}", from_ref=f"other.{e.from_ref[5:]}") for e in rig.elements)
    both = replace(rig, bodies=(*rig.bodies, other), elements=rig.elements + more)
    assert "give them as rigs of their own" in str(problems_of(both)[0])
