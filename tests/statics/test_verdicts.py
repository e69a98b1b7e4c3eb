"""Verdicts: stable, unstable, indifferent, no equilibrium; which motions are free; what hangs slack."""

import math
from dataclasses import replace

import pytest
from rigs import (
    KINDS,
    G,
    four_leg_bridle,
    four_strut_frame,
    framed_load,
    mast_crane,
    random_rig,
    strut_rig,
    two_point_load,
)

from plumbhook.model.rig_graph import (
    Body,
    NamedPoint,
    Pose,
    RigGraph,
    link,
    pin,
    sling,
    with_stiffness_factor,
)
from plumbhook.statics import EquilibriumStatus, _descent, _solve, solve
from plumbhook.statics.closed_forms import (
    largest_cog_height_m,
    product_shares,
    sling_tension_N,
    strut_force_N,
    tilt_rad,
)

LOAD_N = 12e3 * G


def one_body(name, mass_kg, points, at, cog=(0.0, 0.0, 0.0)):
    return Body(name, mass_kg, cog, tuple(NamedPoint(p, v) for p, v in points.items()), Pose(at))


def hung(bodies, elements, hooks=None):
    hooks = hooks or {"h": (0.0, 0.0, 0.0)}
    named = tuple(NamedPoint(name, at) for name, at in hooks.items())
    return RigGraph(name="rig", hooks_m=named, bodies=tuple(bodies), elements=tuple(elements))


# --- Balance and overturning -------------------------------------------------------------------------------


def test_a_two_point_load_with_its_cog_above_the_points_is_refused_with_the_reason():
    result = solve(two_point_load(+0.8))
    assert result.status is EquilibriumStatus.UNSTABLE
    assert "'load' can turn over because the weight is too high" in result.message
    assert result.assembled_posture.in_equilibrium
    assert not result.assembled_posture.stable
    assert result.modes.negative == 1
    assert result.tilt_rad["load"] == pytest.approx(0.0, abs=1e-6)
    # Upside down it hangs at rest, the legs as loaded as before: T = W/2 L/h.
    rest = result.rest_after_kick
    assert rest is not None
    assert rest.stable
    assert math.degrees(rest.turn_rad) == pytest.approx(180.0, abs=0.01)
    assert math.degrees(rest.tilt_rad["load"]) == pytest.approx(180.0, abs=0.01)
    assert rest.tensions_N["leg p1"] == pytest.approx(LOAD_N / math.sqrt(2.0), rel=0.01)


def test_the_same_load_with_its_cog_below_the_points_is_stable():
    result = solve(two_point_load(-0.8))
    assert result.is_stable
    assert result.assembled_posture.in_equilibrium
    assert result.assembled_posture.stable
    assert result.rest_after_kick is None


@pytest.mark.parametrize("across_m", [1e-9, 1e-6, 1e-3, 0.01, 0.05])
def test_a_little_off_centre_hides_no_unstable_balance(across_m):
    """The drawn posture is then no equilibrium, and the rig rolls over by itself: still refused."""
    result = solve(two_point_load(+0.8, across_m=across_m))
    assert result.status is EquilibriumStatus.UNSTABLE
    assert result.tilt_rad["load"] == pytest.approx(math.atan(across_m / 0.8), abs=1e-6)
    assert result.rest_after_kick is not None
    assert result.rest_after_kick.stable


@pytest.mark.parametrize("across_m", [0.3, 0.6])
def test_a_load_that_rolls_over_at_once_is_refused(across_m):
    result = solve(two_point_load(+0.3, across_m=across_m))
    assert result.status is EquilibriumStatus.UNSTABLE
    assert "turns over" in result.message
    assert not result.assembled_posture.stable


def test_a_four_leg_bridle_with_its_cog_above_the_lift_points_but_below_the_hook_is_accepted():
    low, high = solve(four_leg_bridle((0.0, 0.0, -1.0))), solve(four_leg_bridle((0.0, 0.0, +2.0)))
    assert low.is_stable
    assert high.is_stable
    assert high.assembled_posture.in_equilibrium
    # One pendulum about the hook: its margin shrinks with the distance of the CoG below the hook.
    assert 0.0 < high.modes.lowest < low.modes.lowest


def test_a_four_leg_bridle_with_its_cog_above_the_hook_is_refused():
    result = solve(four_leg_bridle((0.0, 0.0, +4.3)))
    assert result.status is EquilibriumStatus.UNSTABLE
    assert result.modes.negative == 2


@pytest.mark.parametrize("margin", [-0.01, 0.01])
def test_a_load_below_a_frame_turns_over_just_where_the_closed_form_says(margin):
    """Largest height v (1 + m_T/m_C): 5.27 m in Table 1 of s42452-021-04259-3, SN Applied Sciences (2021)."""
    limit = largest_cog_height_m(4.44, 0.1875)
    result = solve(framed_load(limit + margin, EA_N=1e13))
    assert result.is_stable == (margin < 0.0), result.message


def test_elastic_lines_turn_over_a_little_earlier_than_rigid_ones():
    limit = largest_cog_height_m(4.44, 0.1875)
    assert solve(framed_load(limit - 0.01, EA_N=1e13)).is_stable
    assert not solve(framed_load(limit - 0.01, EA_N=5e8)).is_stable


def test_an_unfinished_iteration_is_no_equilibrium(monkeypatch):
    for module in (_solve, _descent):
        monkeypatch.setattr(module, "LIMIT", 1)
    result = solve(random_rig("c", 1))
    assert result.status is EquilibriumStatus.NO_EQUILIBRIUM
    assert "unbalanced" in result.message
    assert not result.tensions_N


def test_lines_too_stiff_for_the_weight_are_refused_rather_than_guessed():
    result = solve(four_leg_bridle(EA_N=1e20))
    assert result.status is EquilibriumStatus.INVALID
    assert "lower EA_N" in result.message


@pytest.mark.parametrize(
    ("start", "words"),
    [
        ({"lod": Pose((0.0, 0.0, 0.0))}, "no body"),
        ({"load": Pose((0.0, 0.0, math.nan))}, "finite"),
        (
            {"load": Pose((0.0, 0.0, -4.0), ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, -1.0)))},
            "reflection",
        ),
    ],
)
def test_a_start_that_does_not_fit_is_invalid(start, words):
    result = solve(four_leg_bridle(), start=start)
    assert result.status is EquilibriumStatus.INVALID
    assert words in result.message


def test_a_part_that_nothing_holds_is_indifferent_not_stable():
    """A shackle left dangling without weight may lie anywhere within its slack line."""
    rig = two_point_load(-1.0)
    loose = one_body("loose", 0.0, {"p": (0.0, 0.0, 0.0)}, (0.0, 0.0, -2.5))
    line = sling("lanyard", "load.p1", "loose.p", 1.0, 1e5)
    result = solve(replace(rig, bodies=(*rig.bodies, loose), elements=(*rig.elements, line)))
    assert result.status is EquilibriumStatus.UNSTABLE
    assert "indifferent" in result.message
    assert "'loose'" in result.message


# --- Motions that cost nothing -----------------------------------------------------------------------------


def test_a_load_below_one_hook_may_turn():
    result = solve(four_leg_bridle())
    assert result.neutral_modes == 1
    assert result.neutral_motions == ("'load' may turn about the vertical through the hook",)


def test_a_load_between_two_hooks_may_not_turn():
    assert solve(random_rig("g", 2)).neutral_modes == 0


def test_two_hooks_on_one_vertical_count_as_one():
    hooks = {"h": (0.0, 0.0, 0.0), "k": (0.0, 0.0, 1.0)}
    load = one_body(
        "load", 100.0, {"p": (-1.0, 0.0, 0.0), "q": (1.0, 0.0, 0.0)}, (0.0, 0.0, -2.0), (0.0, 0.0, -1.0)
    )
    lines = [
        sling("a", "hook.h", "load.p", math.sqrt(5.0), 1e6),
        sling("b", "hook.k", "load.q", math.sqrt(10.0), 1e6),
    ]
    result = solve(hung([load], lines, hooks))
    assert result.is_stable
    assert result.neutral_modes == 1


def test_a_strut_loaded_on_its_axis_may_spin():
    result = solve(strut_rig((0.0, 0.0, -1.0)))
    assert result.is_stable
    assert result.neutral_modes == 2
    assert "'strut' may spin about the line through its points" in result.neutral_motions


def test_each_part_below_a_swivel_may_turn_by_itself():
    """A beam with a load on a single line at either end: the whole turns, each load turns, the beam spins."""
    beam = one_body(
        "beam", 50.0, {"m": (0.0, 0.0, 0.0), "a": (-1.0, 0.0, 0.0), "b": (1.0, 0.0, 0.0)}, (0.0, 0.0, -2.0)
    )
    loads = [
        one_body(
            f"load {end}",
            80.0,
            {"p": (0.0, 0.0, 0.0), "q": (0.3, 0.0, 0.0)},
            (x, 0.0, -4.0),
            (0.0, 0.0, -0.5),
        )
        for end, x in (("a", -1.0), ("b", 1.0))
    ]
    lines = [
        sling("top a", "hook.h", "beam.a", math.sqrt(5.0), 1e6),
        sling("top b", "hook.h", "beam.b", math.sqrt(5.0), 1e6),
        sling("low a", "beam.a", "load a.p", 2.0, 1e6),
        sling("low b", "beam.b", "load b.p", 2.0, 1e6),
    ]
    result = solve(hung([beam, *loads], lines))
    assert result.is_stable
    assert result.neutral_modes == 4
    assert "'load a' may turn about the vertical through a point of 'beam'" in result.neutral_motions


def test_turns_of_a_plumb_chain_are_counted_once():
    """Hook, line, link, line, load: the link's spin is the turn of all less the turn of the load."""
    chain = one_body("link", 5.0, {"top": (0.0, 0.0, 0.1), "low": (0.0, 0.0, -0.1)}, (0.0, 0.0, -1.1))
    load = one_body("load", 80.0, {"p": (0.0, 0.0, 0.0)}, (0.0, 0.0, -2.2), (0.0, 0.0, -0.5))
    lines = [sling("a", "hook.h", "link.top", 1.0, 1e6), sling("b", "link.low", "load.p", 1.0, 1e6)]
    for shift in (0.0, 0.3):
        start = {"link": Pose((shift, 0.1 * shift, -1.1)), "load": Pose((shift, shift, -2.2))}
        result = solve(hung([chain, load], lines), start=start)
        assert result.is_stable, result.message
        assert result.neutral_modes == 2
        assert result.tilt_rad["load"] == pytest.approx(0.0, abs=1e-7)


def test_a_chain_drawn_crooked_hangs_plumb_and_each_link_may_turn():
    """Twenty links of 2 kg on lines of 0.5 m, drawn along a bow; tensions fall by a link's weight each."""
    links, lines, above = [], [], "hook.h"
    for number in range(20):
        ends = {"top": (0.0, 0.0, 0.05), "low": (0.0, 0.0, -0.05)}
        at = (0.1 * number, 0.0015 * number**3, -0.6 * number - 0.55)
        links.append(one_body(f"link {number}", 2.0, ends, at))
        lines.append(sling(f"line {number}", above, f"link {number}.top", 0.5, 1e6))
        above = f"link {number}.low"
    result = solve(hung(links, lines))
    assert result.is_stable, result.message
    assert result.neutral_modes == 20
    for number in range(20):
        assert result.tensions_N[f"line {number}"] == pytest.approx((20 - number) * 2.0 * G, rel=1e-6)
        assert result.tilt_rad[f"link {number}"] == pytest.approx(0.0, abs=1e-6)


def test_a_four_leg_bridle_below_a_single_line_turns_as_one():
    plate = one_body("plate", 3.0, {"top": (0.0, 0.0, 0.1), "low": (0.0, 0.0, -0.1)}, (0.0, 0.0, -1.1))
    rig = four_leg_bridle()
    load = replace(rig.bodies[0], start=Pose((0.0, 0.0, -5.2)))
    legs = [replace(e, from_ref="plate.low") for e in rig.elements]
    result = solve(hung([plate, load], [sling("pendant", "hook.h", "plate.top", 1.0, 2e7), *legs]))
    assert result.is_stable
    assert result.neutral_modes == 2


def test_a_mast_crane_slews_for_nothing():
    result = solve(mast_crane(1000.0))
    assert result.is_stable
    # Heel, head and mast head form a 3-4-5 triangle.
    assert result.tensions_N["boom"] == pytest.approx(-1250.0, rel=1e-5)
    assert result.tensions_N["lift"] == pytest.approx(750.0, rel=1e-5)
    assert "'head' may turn about the vertical through the hook" in result.neutral_motions


# --- Slack, share, tilt ------------------------------------------------------------------------------------


def test_a_leg_that_is_too_long_hangs_loose_by_the_difference():
    rig = four_leg_bridle(EA_N=1e10)
    longer = replace(rig.elements[0], unstretched_length_m=rig.elements[0].unstretched_length_m + 0.2)
    result = solve(replace(rig, elements=(longer, *rig.elements[1:])))
    assert result.is_stable
    assert result.tensions_N["leg p1"] == 0.0
    load = result.poses["load"]
    reach = math.dist((0.0, 0.0, 0.0), load.world((-2.0, -2.0, 0.0)))
    assert result.slack_m["leg p1"] == pytest.approx(longer.unstretched_length_m - reach, abs=1e-9)
    assert 0.0 < result.slack_m["leg p1"] <= 0.2 + 1e-6


def test_two_legs_share_by_half_over_the_sine():
    """Two legs at a degrees from the horizontal: T = W / (2 sin a); here 45 degrees."""
    result = solve(two_point_load(-1.0, EA_N=1e13))
    assert result.tensions_N["leg p1"] == pytest.approx(LOAD_N / (2.0 * math.sin(math.pi / 4)), rel=1e-6)
    assert result.angle_from_vertical_rad["leg p1"] == pytest.approx(math.pi / 4, abs=1e-6)


def test_direct_slings_tilt_until_the_cog_is_below_the_hook():
    result = solve(four_leg_bridle((0.3, 0.0, -1.0), EA_N=1e13))
    assert result.tilt_rad["load"] == pytest.approx(tilt_rad(0.3, 4.0, -1.0, 0.0), rel=1e-5)
    cog = result.poses["load"].world((0.3, 0.0, -1.0))
    assert math.hypot(cog[0], cog[1]) == pytest.approx(0.0, abs=1e-5)


def test_a_strut_with_the_cog_off_the_hook_tilts_as_the_closed_form_says():
    """On one vertical sling per end, which stays plumb at any tilt, the closed form is exact."""
    rig = strut_rig((0.2, 0.0, -0.5), EA_N=1e13)
    plumb = [
        replace(e, to_ref=e.to_ref[:-1] + "m", unstretched_length_m=2.0) if e.name.startswith("low") else e
        for e in rig.elements
        if not e.name.endswith("r")
    ]
    load = rig.bodies[1]
    middle = tuple(NamedPoint(f"e{n}m", (x, 0.0, 0.0)) for n, x in ((1, -2.0), (2, 2.0)))
    result = solve(
        replace(rig, bodies=(rig.bodies[0], replace(load, points_m=middle)), elements=tuple(plumb))
    )
    assert result.is_stable
    assert result.tilt_rad["load"] == pytest.approx(tilt_rad(0.2, 3.0, -0.5, 0.1), rel=1e-4)


def test_a_centred_strut_is_pressed_by_the_horizontal_part_of_its_top_slings():
    rig = strut_rig((0.0, 0.0, -0.5), EA_N=1e13)
    result = solve(rig)
    below, strut = 10e3 * G, 1e3 * G
    force = strut_force_N(0.5 * below, 0.5 * below, 4.0, 3.0, strut_weight_N=strut)
    top = result.tensions_N["top e1"]
    assert top * math.sin(result.angle_from_vertical_rad["top e1"]) == pytest.approx(force, rel=1e-5)
    assert top == pytest.approx(sling_tension_N(0.5 * (below + strut), math.hypot(2.0, 3.0), 3.0), rel=1e-5)


def test_a_pin_jointed_frame_keeps_its_share_where_a_stiff_one_slackens():
    """With one top leg 100 mm long the stiff frame hangs on one diagonal; the jointed one racks and shares on."""
    stiff = solve(four_strut_frame(jointed=False, longer_leg_m=0.1))
    jointed = solve(four_strut_frame(jointed=True, longer_leg_m=0.1))
    assert stiff.is_stable
    assert jointed.is_stable
    assert stiff.slack_m
    assert not jointed.slack_m
    assert (stiff.neutral_modes, jointed.neutral_modes) == (1, 5)


def test_a_pin_jointed_frame_can_only_carry_the_product_share():
    """Level and nearly rigid, the vertical slings carry W a b, whatever the stiffness of each."""
    rig = four_strut_frame(jointed=True)
    rig = replace(
        rig, bodies=tuple(replace(b, cog_m=(0.03, 0.02, -1.0)) if b.name == "load" else b for b in rig.bodies)
    )
    stiffnesses = {"low p1": 3.0, "low p2": 0.5, "leg p3": 4.0}
    elements = tuple(
        e if e.EA_N is None else replace(e, EA_N=e.EA_N * stiffnesses.get(e.name, 1.0)) for e in rig.elements
    )
    result = solve(with_stiffness_factor(replace(rig, elements=elements), 1e4))
    assert result.is_stable, result.message
    weight = 20e3 * G
    pose = result.poses["load"]
    shares = product_shares(6.0, 4.0, *pose_offset(pose))
    for name, share in zip(("p1", "p2", "p3", "p4"), shares, strict=True):
        assert result.tensions_N[f"low {name}"] == pytest.approx(share * weight, rel=2e-3)


def pose_offset(pose):
    """Plan offset of the CoG from the middle of the four lift points, as the load hangs."""
    cog, middle = pose.world((0.03, 0.02, -1.0)), pose.world((0.0, 0.0, 0.0))
    across = pose.rotation_rows[0][0], pose.rotation_rows[1][0]
    along = [(cog[0] - middle[0], cog[1] - middle[1])]
    x = along[0][0] * across[0] + along[0][1] * across[1]
    y = -along[0][0] * across[1] + along[0][1] * across[0]
    return x, y


def test_pins_pass_on_force_in_every_direction():
    """A bracket of a pin and a link: the pin carries what the link does not."""
    arm = one_body(
        "arm", 100.0, {"root": (0.0, 0.0, 0.0), "tip": (2.0, 0.0, 0.0)}, (0.0, 0.0, 0.0), (2.0, 0.0, 0.0)
    )
    hooks = {"root": (0.0, 0.0, 0.0), "low": (0.0, 0.0, -2.0)}
    rig = hung(
        [arm],
        [pin("hinge", "hook.root", "arm.root", 1e9), link("brace", "hook.low", "arm.tip", 8**0.5, 1e9)],
        hooks,
    )
    result = solve(rig)
    weight = 100.0 * G
    assert result.tensions_N["brace"] == pytest.approx(-weight * math.sqrt(2.0), rel=1e-4)
    assert result.pin_forces_N["hinge"] == pytest.approx((weight, 0.0, 0.0), abs=1e-3 * weight)
    assert result.hook_forces_N["root"] == pytest.approx((weight, 0.0, 0.0), abs=1e-3 * weight)


def test_a_rig_a_thousand_kilometres_from_the_origin_hangs_as_at_the_origin():
    rig = random_rig("c", 4)
    far = (7e5, -7e5, 120.0)

    def there(v):
        return tuple(a + b for a, b in zip(v, far, strict=True))

    moved = replace(
        rig,
        hooks_m=tuple(NamedPoint(h.name, there(h.position_m)) for h in rig.hooks_m),
        bodies=tuple(
            replace(b, start=Pose(there(b.start.origin_m), b.start.rotation_rows)) for b in rig.bodies
        ),
    )
    near, distant = solve(rig), solve(moved)
    assert distant.is_stable, distant.message
    largest = max(near.tensions_N.values())
    for name, tension in near.tensions_N.items():
        assert distant.tensions_N[name] == pytest.approx(tension, abs=1e-7 * largest)
    assert distant.attachment_heights_m["load"]["p1"] - near.attachment_heights_m["load"][
        "p1"
    ] == pytest.approx(120.0)


def test_a_load_of_a_kilogram_and_one_of_a_thousand_tonnes_hang_alike():
    rig = four_leg_bridle((0.2, 0.1, -1.0))
    for factor in (1.0 / 12e3, 1e6 / 12e3):
        bodies = tuple(replace(b, mass_kg=factor * b.mass_kg) for b in rig.bodies)
        elements = tuple(replace(e, EA_N=factor * e.EA_N) for e in rig.elements)
        result = solve(replace(rig, bodies=bodies, elements=elements))
        assert result.is_stable
        assert result.tilt_rad["load"] == pytest.approx(solve(rig).tilt_rad["load"], abs=1e-8)


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("drawn", ["all in one place", "upside above the hook", "a kilometre off"])
def test_a_rig_that_is_badly_drawn_still_comes_to_its_rest(kind, drawn):
    """Lines of no length, slack heaps and lines a hundred times too long are only bad starts."""
    rig = random_rig(kind, 6)
    places = {
        "all in one place": lambda at: (0.0, 0.0, 0.0),
        "upside above the hook": lambda at: (at[0], at[1], -at[2]),
        "a kilometre off": lambda at: (at[0] + 1000.0, at[1], at[2]),
    }
    start = {
        body.name: Pose(places[drawn](body.start.origin_m), body.start.rotation_rows) for body in rig.bodies
    }
    expected, found = solve(rig), solve(rig, start=start)
    assert found.is_stable, found.message
    largest = max(expected.tensions_N.values())
    for name, tension in expected.tensions_N.items():
        assert found.tensions_N[name] == pytest.approx(tension, abs=1e-6 * largest)


def test_a_line_that_carries_nothing_is_slack_even_if_just_taut():
    """A third line, exactly as long as the distance it spans, hangs beside the two that carry."""
    rig = two_point_load(-1.0)
    rest = solve(rig)
    middle = NamedPoint("m", (0.0, 0.0, 0.0))
    load = replace(rig.bodies[0], points_m=(*rig.bodies[0].points_m, middle))
    depth = math.dist((0.0, 0.0, 0.0), rest.poses["load"].world((0.0, 0.0, 0.0)))
    spare = sling("spare", "hook.h", "load.m", depth, 1e6)
    result = solve(replace(rig, bodies=(load,), elements=(*rig.elements, spare)))
    assert result.is_stable
    assert "spare" in result.slack_m
    assert result.slack_m["spare"] == pytest.approx(0.0, abs=1e-6)
