"""Lift-off, landing and tandem lifts come out of the same equilibrium, place by place."""

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from rigs import G, NamedPoint, random_rig, two_point_load
from scipy.optimize import brentq
from standing import GROUND_M, bridled_load, standing_body

from plumbhook.core.errors import InputError
from plumbhook.model.rig_graph import Body, Pose, RigGraph, sling, support
from plumbhook.statics import EquilibriumStatus, solve
from plumbhook.statics.hook_motion import Change, even_steps, hoist, land, lift_off

WEIGHT_N = 12e3 * G
TOLERANCE_M = 1e-5
LEG_M = math.hypot(4.0, math.sqrt(8.0))


# --- Lift-off -----------------------------------------------------------------------------------------------


def test_a_symmetric_load_leaves_all_its_supports_at_once():
    """Legs take load where they come straight, supports let go where four stretched legs carry the weight."""
    found = lift_off(bridled_load(slack_m=0.1, stiffness=1e8, EA_N=2e7), "h", 0.3)
    sunk = WEIGHT_N / 4e8

    def excess(height):
        length = math.hypot(height, math.sqrt(8.0))
        return 4.0 * 2e7 / LEG_M * (length - LEG_M) * height / length - WEIGHT_N

    carrying = 0.1 + brentq(excess, 4.0, 4.5) - 4.0
    assert found.is_lifted
    assert list(found.first_load_m.values()) == pytest.approx([0.1 - sunk] * 4, abs=2 * TOLERANCE_M)
    assert list(found.let_go_m.values()) == pytest.approx([carrying] * 4, abs=2 * TOLERANCE_M)
    assert found.lift_off_m == max(found.let_go_m.values())
    assert found.swing_m == pytest.approx(0.0, abs=1e-9)
    assert found.steps[-1].equilibrium.hook_load_N["h"] == pytest.approx(WEIGHT_N)


def test_the_light_end_comes_up_first_and_the_heavy_end_last():
    """CoG 0.5 m off the middle of 4 m: the light end is free when the hook pulls W (1 - 2 e / L) = 0.75 W."""
    found = lift_off(bridled_load((0.5, 0.0, -1.0), slack_m=0.05), "h", 0.5)
    order = list(found.let_go_m)
    assert set(order[:2]) == {"under 1", "under 4"}
    assert set(order[2:]) == {"under 2", "under 3"}
    light = next(step for step in found.steps if "under 1" not in step.standing_on)
    assert light.equilibrium.hook_load_N["h"] == pytest.approx(0.75 * WEIGHT_N, rel=5e-3)
    assert found.offset_m == pytest.approx((0.5, 0.0))
    assert found.swing_m == pytest.approx(0.5, rel=1e-3)


@given(st.floats(0.1, 0.9), st.floats(-2.0, -0.3), st.sampled_from([1.0, -1.0]))
@settings(max_examples=8, deadline=None)
def test_wherever_the_cog_is_the_far_end_is_lifted_first(offset, height, side):
    found = lift_off(bridled_load((side * offset, 0.0, height), slack_m=0.02), "h", 1.2, tolerance_m=1e-4)
    far = {"under 1", "under 4"} if side > 0.0 else {"under 2", "under 3"}
    assert found.is_lifted
    assert set(list(found.let_go_m)[:2]) == far
    assert found.swing_m == pytest.approx(offset, rel=5e-3)
    assert math.copysign(1.0, found.offset_m[0]) == side


def test_a_low_support_lets_go_before_a_high_one():
    levels = (GROUND_M, GROUND_M, GROUND_M, GROUND_M - 2e-4)
    found = lift_off(bridled_load(slack_m=0.01, levels_m=levels), "h", 0.1)
    assert next(iter(found.let_go_m)) == "under 4"


def test_supports_that_still_carry_at_the_end_are_named():
    found = lift_off(bridled_load((0.5, 0.0, -1.0), slack_m=0.05), "h", 0.1)
    assert not found.is_lifted
    assert math.isnan(found.swing_m)
    assert found.message.endswith("'under 2', 'under 3' still carry: raise the hook further.")


def test_a_load_that_hangs_already_has_nothing_to_leave():
    found = lift_off(bridled_load(slack_m=-0.5), "h", 0.1)
    assert not found.is_lifted
    assert "nothing to lift it off" in found.message


def stood_on_two_ends(cog_height_m):
    """A load on four supports, on two legs whose lift points are in line with a CoG above or below them."""
    rig = two_point_load(cog_height_m)
    (load,) = rig.bodies
    feet = {f"foot {x}{y}": (2.0 * x, 1.0 * y, -1.0) for x in (-1, 1) for y in (-1, 1)}
    stood = tuple(support(f"under {name}", f"load.{name}", -3.0, 1e8) for name in feet)
    points = load.points_m + tuple(NamedPoint(name, at) for name, at in feet.items())
    return replace(
        rig,
        hooks_m=(NamedPoint("h", (0.0, 0.0, -0.05)),),
        bodies=(replace(load, points_m=points),),
        elements=rig.elements + stood,
    )


def test_a_load_whose_cog_is_above_its_lift_points_is_refused_on_the_way_up():
    low, high = (lift_off(stood_on_two_ends(z), "h", 0.3) for z in (-0.5, 0.5))
    assert low.is_lifted
    assert not high.is_lifted
    assert high.steps[0].is_stable
    assert not high.steps[-1].is_stable
    assert all(step.is_stable for step in high.steps[:-1])
    assert "not stable after a rise of" in high.message


def test_a_load_that_does_not_even_stand_is_said_to_fall_at_once():
    found = lift_off(bridled_load((2.5, 0.0, 1.0), slack_m=0.5), "h", 0.3)
    assert not found.is_lifted
    assert len(found.steps) == 1
    assert found.steps[0].status is EquilibriumStatus.UNSTABLE


# --- Landing ------------------------------------------------------------------------------------------------


def test_landing_is_lifting_backwards():
    """The rig keeps no memory: each support is touched where it was left, each leg goes slack where it came taut."""
    up = lift_off(bridled_load((0.4, 0.2, -1.0), slack_m=0.05), "h", 0.5)
    assert up.is_lifted
    down = land(bridled_load((0.4, 0.2, -1.0), slack_m=-0.45), "h", 0.5)
    assert down.is_set_down
    for name, at in up.let_go_m.items():
        assert down.touch_m[name] == pytest.approx(0.5 - at, abs=3 * TOLERANCE_M)
    for name, at in up.first_load_m.items():
        assert down.slack_m[name] == pytest.approx(0.5 - at, abs=3 * TOLERANCE_M)
    assert list(down.touch_m) == list(reversed(up.let_go_m))


def test_supports_of_different_heights_are_touched_from_the_highest_down():
    levels = (-6.0, -6.1, -6.2, -6.15)
    down = land(bridled_load(slack_m=-0.4, levels_m=levels), "h", 1.0)
    assert next(iter(down.touch_m)) == "under 1"
    first = down.touch_m["under 1"]
    hangs = down.steps[0].equilibrium.attachment_heights_m["load"]["foot 1"]
    assert first == pytest.approx(hangs + 6.0, abs=2 * TOLERANCE_M)
    assert down.is_set_down
    assert sum(down.steps[-1].equilibrium.support_forces_N.values()) == pytest.approx(WEIGHT_N)


def test_a_load_let_down_too_little_still_hangs():
    away = land(bridled_load(slack_m=-0.4), "h", 0.1)
    assert not away.is_set_down
    assert "touched no support" in away.message
    half = land(bridled_load(slack_m=-0.1), "h", 0.095)
    assert not half.is_set_down
    assert "still hold 'load'" in half.message


def above_the_ground(rig):
    """A rig at rest with supports a little below the points of its load, and how far its hooks go down."""
    rest = solve(rig)
    load = next(body for body in rig.bodies if body.name == "load")
    size = sum(e.unstretched_length_m or 0.0 for e in rig.elements) / len(rig.elements)
    level = min(rest.attachment_heights_m["load"].values()) - 0.05 * size
    stiffness = 200.0 * G * sum(body.mass_kg for body in rig.bodies) / size
    stood = tuple(support(f"under {p.name}", f"load.{p.name}", level, stiffness) for p in load.points_m)
    bodies = tuple(replace(body, start=rest.poses[body.name]) for body in rig.bodies)
    return replace(rig, bodies=bodies, elements=rig.elements + stood), 0.5 * size


def set_down_and_lifted(rig):
    """A rig landed, with what was found, and lifted again from there over the same way."""
    rig, way = above_the_ground(rig)
    first, *others = (hook.name for hook in rig.hooks_m)
    down = land(rig, first, way, ratios=dict.fromkeys(others, 1.0))
    last = down.steps[-1]
    landed = replace(
        rig,
        hooks_m=tuple(NamedPoint(name, at) for name, at in last.hooks_m.items()),
        bodies=tuple(replace(b, start=last.equilibrium.poses[b.name]) for b in rig.bodies),
    )
    return down, lift_off(landed, first, way, ratios=dict.fromkeys(others, 1.0)), way


def assert_lifting_is_landing_backwards(rig):
    down, up, way = set_down_and_lifted(rig)
    assert down.is_set_down, down.message
    assert up.is_lifted, up.message
    for name, at in down.touch_m.items():
        assert up.let_go_m[name] == pytest.approx(way - at, abs=3 * TOLERANCE_M)


def test_struts_and_a_standing_load_that_form_a_linkage_in_plan_do_not_upset_the_landing():
    """Below single points the lower struts turn, the load slides: nothing holds that motion, and no height changes."""
    rig, way = above_the_ground(random_rig("c", 2))
    down = land(rig, "h", way, steps=8, tolerance_m=1e-3)
    assert down.is_set_down, down.message
    linkage = [
        words
        for step in down.steps
        for words in step.equilibrium.neutral_motions
        if "swing together" in words
    ]
    assert linkage
    assert "'lower 1', 'lower 2', 'load' may swing together in plan" in linkage[0]


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("kind", "abcdefg")
def test_random_rigs_are_landed_and_lifted_backwards(kind, seed):
    assert_lifting_is_landing_backwards(random_rig(kind, seed))


# --- Steps --------------------------------------------------------------------------------------------------


def stored_Nm(rig, step):
    """Energy of a place: weight times height and what the lines and supports have stored."""
    result = step.equilibrium
    total = sum(b.mass_kg * G * result.poses[b.name].world(b.cog_m)[2] for b in rig.bodies)
    for e in rig.elements:
        if e.name in result.support_forces_N:
            total += 0.5 * result.support_forces_N[e.name] ** 2 / e.stiffness_N_per_m
        else:
            total += 0.5 * result.tensions_N[e.name] ** 2 * e.unstretched_length_m / e.EA_N
    return total


@given(st.floats(-0.8, 0.8), st.floats(-0.8, 0.8), st.floats(-2.0, 0.5))
@settings(max_examples=10, deadline=None)
def test_hoisting_only_ever_adds_energy_as_much_as_the_hook_works(x, y, z):
    rig = bridled_load((x, y, z), slack_m=0.02)
    steps = hoist(rig, even_steps({"h": (0.0, 0.0, 0.4)}, 40))
    assert len(steps) == 41
    for before, after in pairwise(steps):
        pull = [step.equilibrium.hook_load_N["h"] for step in (before, after)]
        gained = stored_Nm(rig, after) - stored_Nm(rig, before)
        assert gained >= -1e-6 * WEIGHT_N
        assert (min(pull) - 0.02 * WEIGHT_N) * 0.01 <= gained <= (max(pull) + 0.02 * WEIGHT_N) * 0.01


@given(st.floats(1e7, 1e9), st.floats(1e7, 1e9))
@settings(max_examples=8, deadline=None)
def test_the_hook_takes_over_the_weight_without_ever_giving_any_back(stiffness, EA_N):
    steps = hoist(
        bridled_load(slack_m=0.01, stiffness=stiffness, EA_N=EA_N), even_steps({"h": (0.0, 0.0, 0.06)}, 15)
    )
    for before, after in pairwise(steps):
        lifted = [step.equilibrium.hook_load_N["h"] for step in (before, after)]
        stands = [sum(step.equilibrium.support_forces_N.values()) for step in (before, after)]
        assert lifted[1] >= lifted[0] - 1e-7 * WEIGHT_N
        assert stands[1] <= stands[0] + 1e-7 * WEIGHT_N
        assert set(after.standing_on) <= set(before.standing_on)
        assert set(before.taut) <= set(after.taut)


def column(length_m=10.0, below_m=0.5, share=0.4, sling_m=5.0):
    """A column that lies level, lifted at both ends by two cranes, its CoG below the line of its lugs."""
    points = (NamedPoint("head", (length_m, 0.0, 0.0)), NamedPoint("foot", (0.0, 0.0, 0.0)))
    cog = (share * length_m, 0.0, -below_m)
    return RigGraph(
        name="column",
        gravity_m_s2=G,
        hooks_m=(
            NamedPoint("main", (length_m, 0.0, sling_m)),
            NamedPoint("tail", (0.0, 0.0, sling_m)),
        ),
        bodies=(Body("column", 30e3, cog, points, Pose((0.0, 0.0, 0.0))),),
        elements=(
            sling("main sling", "hook.main", "column.head", sling_m, 1e10),
            sling("tail sling", "hook.tail", "column.foot", sling_m, 1e10),
        ),
    )


def test_upending_with_plumb_falls_keeps_the_share_of_the_cranes_to_the_closed_form():
    """Main crane carries W (s L cos t + b sin t) / (L cos t) with the CoG b below the line of the lugs."""
    length, below, share = 10.0, 0.5, 0.4
    angles = [math.radians(2.5 * n) for n in range(29)]
    ways = [
        {
            "main": (
                length * (math.cos(after) - math.cos(before)),
                0.0,
                length * (math.sin(after) - math.sin(before)),
            )
        }
        for before, after in pairwise(angles)
    ]
    steps = hoist(column(length, below, share), ways)
    weight = 30e3 * G
    assert len(steps) == len(angles)
    for angle, step in zip(angles, steps, strict=True):
        main = (
            weight * (share * length * math.cos(angle) + below * math.sin(angle)) / (length * math.cos(angle))
        )
        assert step.is_stable
        assert step.equilibrium.tilt_rad["column"] == pytest.approx(angle, abs=1e-4)
        assert step.equilibrium.hook_load_N["main"] == pytest.approx(main, rel=2e-4)
        assert step.equilibrium.hook_load_N["tail"] == pytest.approx(weight - main, rel=2e-4)


def test_two_hooks_at_different_speeds_tilt_the_load_and_shift_its_share():
    """The faster hook gets ahead by 0.3 m on 10 m; the CoG below the lugs moves under it and loads it more."""
    rig = column(sling_m=20.0)
    steps = hoist(rig, even_steps({"main": (0.0, 0.0, 1.5), "tail": (0.0, 0.0, 1.2)}, 12))
    assert len(steps) == 13
    ahead = steps[-1].equilibrium
    heights = ahead.attachment_heights_m["column"]
    assert ahead.tilt_rad["column"] == pytest.approx(math.asin(0.3 / 10.0), rel=1e-3)
    assert heights["head"] - heights["foot"] == pytest.approx(0.3, rel=2e-3)
    main = [step.equilibrium.hook_forces_N["main"][2] for step in steps]
    assert all(after < before for before, after in pairwise(main))
    for step in steps:
        down = sum(force[2] for force in step.equilibrium.hook_forces_N.values())
        assert down == pytest.approx(-30e3 * G, rel=1e-7)


def test_the_faster_hook_of_a_tandem_lift_lifts_its_end_first():
    rig = column()
    (body,) = rig.bodies
    feet = {
        "m1": (10.0, -0.5, -1.0),
        "m2": (10.0, 0.5, -1.0),
        "t1": (0.0, -0.5, -1.0),
        "t2": (0.0, 0.5, -1.0),
    }
    rig = replace(
        rig,
        hooks_m=tuple(NamedPoint(h.name, (*h.position_m[:2], 4.95)) for h in rig.hooks_m),
        bodies=(replace(body, points_m=body.points_m + tuple(NamedPoint(n, at) for n, at in feet.items())),),
        elements=rig.elements + tuple(support(f"under {n}", f"column.{n}", -1.0, 1e8) for n in feet),
    )
    fast_main = lift_off(rig, "main", 0.2, ratios={"tail": 0.5})
    fast_tail = lift_off(rig, "tail", 0.2, ratios={"main": 0.5})
    assert fast_main.is_lifted
    assert fast_tail.is_lifted
    assert list(fast_main.first_load_m) == ["main sling", "tail sling"]
    assert list(fast_tail.first_load_m) == ["tail sling", "main sling"]
    assert set(list(fast_main.let_go_m)[:2]) == {"under m1", "under m2"}
    assert set(list(fast_tail.let_go_m)[:2]) == {"under t1", "under t2"}
    assert fast_main.first_load_m["tail sling"] == pytest.approx(0.1, abs=2e-3)


def test_hoisting_ends_where_the_rig_is_not_stable_any_more():
    steps = hoist(stood_on_two_ends(0.5), even_steps({"h": (0.0, 0.0, 0.3)}, 10))
    assert len(steps) < 11
    assert [step.is_stable for step in steps] == [True] * (len(steps) - 1) + [False]
    assert [step.number for step in steps] == list(range(len(steps)))


def test_steps_tell_where_the_hooks_are():
    steps = hoist(bridled_load(slack_m=0.1), [{"h": (0.0, 0.0, 0.02)}, {}, {"h": (0.1, 0.0, 0.0)}])
    assert [step.hooks_m["h"] for step in steps] == [
        pytest.approx((0.0, 0.0, -0.1)),
        pytest.approx((0.0, 0.0, -0.08)),
        pytest.approx((0.0, 0.0, -0.08)),
        pytest.approx((0.1, 0.0, -0.08)),
    ]


def test_changes_are_told_in_order_and_within_the_tolerance():
    rig = bridled_load((0.4, 0.2, -1.0), slack_m=0.05)
    coarse, fine = (lift_off(rig, "h", 0.5, tolerance_m=tolerance) for tolerance in (1e-3, 1e-6))
    for found in (coarse, fine):
        travels = [change.travel_m for change in found.changes]
        assert travels == sorted(travels)
        assert {c.element for c in found.changes if c.change is Change.LETS_GO} == set(found.let_go_m)
    for name, at in fine.let_go_m.items():
        assert at - 1e-6 <= coarse.let_go_m[name] <= at + 1e-3


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda rig: hoist(rig, [{"hook": (0.0, 0.0, 1.0)}]),
            "steps[0]: 'hook' is no hook of the rig; use one of h.",
        ),
        (lambda rig: hoist(rig, [{}, {"h": (0.0, 0.0, math.nan)}]), "steps[1]: the way of 'h'"),
        (lambda rig: lift_off(rig, "x", 1.0), "'x' is no hook"),
        (lambda rig: lift_off(rig, "h", 0.0), "above zero"),
        (lambda rig: lift_off(rig, "h", math.inf), "above zero"),
        (lambda rig: lift_off(rig, "h", 1.0, ratios={"y": 1.0}), "'y' is no hook"),
        (lambda rig: lift_off(rig, "h", 1.0, load="ship"), "'ship' is no body"),
        (lambda rig: lift_off(rig, "h", 1.0, tolerance_m=0.0), "tolerance_m"),
        (lambda rig: land(rig, "h", 1.0, steps=0), "at least one step"),
        (lambda rig: even_steps({"h": (0.0, 0.0, 1.0)}, 0), "at least one step"),
    ],
)
def test_wrong_ways_are_refused_in_a_sentence(call, words):
    with pytest.raises(InputError) as caught:
        call(bridled_load())
    assert words in str(caught.value)


def test_a_rig_that_contradicts_itself_is_invalid_at_once():
    rig = bridled_load()
    broken = replace(rig, elements=(replace(rig.elements[0], EA_N=-1.0), *rig.elements[1:]))
    assert [step.status for step in hoist(broken, [{"h": (0.0, 0.0, 1.0)}])] == [EquilibriumStatus.INVALID]
    assert "EA_N" in lift_off(broken, "h", 1.0).message


def test_a_body_that_only_stands_can_be_asked_for_no_hook():
    with pytest.raises(InputError, match="no hook"):
        lift_off(standing_body({"a": (0.0, 0.0, 0.0)}, (0.0, 0.0, -1.0)), "h", 1.0)
