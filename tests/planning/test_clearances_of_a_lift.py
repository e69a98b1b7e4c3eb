"""Clearances of a lift: what its boom, rig and load come near, at the stations and between them."""

import math

import pytest
from tests.scenarios.variants import assessed, example

from plumbhook.core.check import Status
from plumbhook.core.errors import InputError
from plumbhook.core.resources import examples_dir
from plumbhook.crane.clearance.check import power_line_clearance_m
from plumbhook.planning import assess

SEGMENT, SKID = "hallowmere-viaduct", "marrow-lane"
OFFICE = "    - {name: site office, "
DECK = "centre: [0 m, 21.8 m]"


def clear(assessment):
    return {c.check_id: c for c in assessment.checks if "clearance." in c.check_id}


def with_obstacle(words: str, folder: str = SEGMENT):
    return example(folder, (OFFICE, f"    - {{{words}}}\n{OFFICE}"))


@pytest.fixture(scope="module")
def segment():
    return assessed(SEGMENT)


def test_boom_obstacles_and_the_way_between_are_checked_at_every_station(segment):
    found = clear(segment)
    bodies = ("boom", "obstacle.1", "obstacle.2")
    assert set(found) == {
        *(f"clearance.{body}.{station}" for body in bodies for station in ("pick", "set down")),
        *(f"way.clearance.{body}" for body in bodies),
    }
    assert all(check.status is Status.PASS for check in found.values())


def test_along_the_way_nothing_is_farther_than_at_its_ends(segment):
    found = clear(segment)
    for body in ("boom", "obstacle.1", "obstacle.2"):
        ends = [found[f"clearance.{body}.{station}"].capacity.value for station in ("pick", "set down")]
        assert found[f"way.clearance.{body}"].capacity.value <= min(ends) + 1e-6


def test_a_mast_between_two_stations_that_are_clear_is_found_with_its_place():
    # Halfway through the slew the corner of the load sweeps over it; at both ends it stands clear.
    mast = "name: mast, centre: [0 m, 8.2 m], length: 0.3 m, width: 0.3 m, top: 16 m, clearance: 1.2 m, source: survey"
    assessment = assess(with_obstacle(mast))
    found = clear(assessment)
    along = found["way.clearance.obstacle.2"]
    assert along.status is Status.FAIL
    assert along.capacity.value < found["clearance.obstacle.2.pick"].capacity.value
    assert "Worst place: " in along.assumptions[0]
    assert "into it" in along.assumptions[0]


def test_an_obstacle_round_the_hook_touches():
    hut = "name: hut, centre: [-1.05 m, 11.95 m], length: 3 m, width: 3 m, top: 9 m, clearance: 0.5 m, source: survey"
    check = assess(with_obstacle(hut)).check("clearance.obstacle.2.pick")
    assert check.status is Status.FAIL
    assert check.refused_because.endswith("touch")


def test_a_slab_round_the_falls_touches_though_the_load_is_far_below():
    slab = "name: slab, centre: [-1.05 m, 11.95 m], length: 3 m, width: 3 m, bottom: 20 m, top: 22 m, clearance: 0.5 m"
    check = assess(with_obstacle(f"{slab}, source: survey")).check("clearance.obstacle.2.pick")
    assert check.refused_because == "hook and falls and slab touch"


def test_a_load_a_hand_over_a_wall_is_too_near():
    wanted = ("clearance: 0.10 m", "clearance: 0.30 m")
    assert assess(example(SKID, wanted)).check("clearance.obstacle.1.over the parapet").status is Status.FAIL


def test_a_load_lifted_past_the_edge_of_the_deck_that_takes_it_must_keep_clear_of_its_side():
    nearer = assess(example(SEGMENT, (DECK, "centre: [0 m, 19.0 m]")))
    assert clear(nearer)["way.clearance.obstacle.1"].status is Status.FAIL


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        (", load_bearing: 355 deg, load_bottom", ", load_bottom", "load_bearing at pick"),
        ("slew: 355 deg, ", "", "slew"),
    ],
)
def test_what_is_not_told_is_not_evaluated(old, new, told):
    check = assess(example(SEGMENT, (old, new))).check("clearance.boom.pick")
    assert check.status is Status.NOT_EVALUATED
    assert told in check.not_evaluated_because


def test_a_boom_that_does_not_reach_is_told():
    short = assess(example(SEGMENT, ("      length: 36.6 m", "      length: 12.0 m")))
    check = short.check("clearance.boom.set down")
    assert check.status is Status.NOT_EVALUATED
    assert "a boom long enough for set down" in check.not_evaluated_because
    assert check.cure == "enter a boom long enough for set down"


@pytest.mark.parametrize(
    ("old", "told"),
    [("      tail_radius: 5.5 m\n", "tail_radius of the boom"), ("  envelope:", "load.envelope")],
)
def test_solids_that_are_not_told_leave_no_clearance_to_pass(old, told):
    if old.startswith("  envelope"):
        text = (examples_dir() / SEGMENT / "lift.yaml").read_text(encoding="utf-8")
        old = text[text.index(old) : text.index("  parts:")]
    assessment = assess(example(SEGMENT, (old, "")))
    for check_id in ("clearance.obstacle.2.pick", "way.clearance.obstacle.2"):
        check = assessment.check(check_id)
        assert check.status is Status.NOT_EVALUATED
        assert told in check.not_evaluated_because


def test_without_its_boom_nothing_is_said_of_obstacles_and_that_is_no_pass():
    text = (examples_dir() / SEGMENT / "lift.yaml").read_text(encoding="utf-8")
    start = text.index("    boom:\n      length")
    boom = text[start : text.index("    chart:\n")]
    assessment = assess(example(SEGMENT, (boom, "")))
    assert assessment.status is Status.NOT_EVALUATED
    for check_id in ("clearance.obstacle.1.pick", "way.clearance.obstacle.1"):
        assert "place.crane.boom" in assessment.check(check_id).not_evaluated_because


def test_two_obstacles_of_one_name_are_refused():
    twin = "name: site office, centre: [30 m, 4 m], length: 6 m, width: 2 m, top: 2 m, clearance: 1 m"
    with pytest.raises(InputError, match="given twice"):
        with_obstacle(f"{twin}, source: survey")


def test_the_boom_limits_the_hook_by_its_head_and_the_two_block_distance():
    # 36.6 m from a pivot 1.2 m ahead and 2.1 m up: head at 36.39 m for 14 m, less 2.5 m.
    head = 2.1 + math.sqrt(36.6**2 - 12.8**2)
    stated = "hook_height_limit: 33.9 m, slew: 5 deg"
    check = assess(example(SEGMENT)).check("headroom.set down")
    assert check.capacity.value == pytest.approx(head - 2.5)
    unstated = assess(example(SEGMENT, (stated, "slew: 5 deg")))
    assert unstated.check("headroom.set down").capacity.value == pytest.approx(head - 2.5)
    assert unstated.check("way.hook").status is Status.PASS
    lower = assess(example(SEGMENT, (stated, stated.replace("33.9", "30.0"))))
    assert lower.check("headroom.set down").capacity.value == 30.0


LINE = "  ground:\n"


def power_line(words: str):
    return assess(
        example(SEGMENT, (LINE, f"  power_lines:\n    - {{name: line 7, {words}, source: owner}}\n{LINE}"))
    )


def test_a_power_line_is_kept_off_by_its_voltage():
    # 110 kV: 15 ft by 29 CFR 1926.1408 Table A.
    far = power_line("points: [[-40 m, 60 m], [40 m, 60 m]], lowest: 9 m, voltage_kV: 110")
    check = far.check("clearance.power_line.1.set down")
    assert check.demand.value == pytest.approx(15 * 0.3048)
    assert check.status is Status.PASS
    near = power_line("points: [[-40 m, 20 m], [40 m, 20 m]], lowest: 9 m, voltage_kV: 110")
    assert near.check("clearance.power_line.1.set down").status is Status.FAIL


def test_a_power_line_of_voltage_not_told_is_not_evaluated():
    check = power_line("points: [[-40 m, 60 m], [40 m, 60 m]], lowest: 9 m").check(
        "clearance.power_line.1.pick"
    )
    assert check.status is Status.NOT_EVALUATED
    assert "voltage of line 7" in check.not_evaluated_because


@pytest.mark.parametrize(
    ("voltage", "feet"),
    [(0.4, 10), (50, 10), (50.1, 15), (200, 15), (350, 20), (350.1, 50), (500, 50), (1000, 50)],
)
def test_table_a_of_the_rule(voltage, feet):
    # 29 CFR 1926.1408, Table A; above 350 kV the 50 ft of 1926.1409.
    assert power_line_clearance_m(voltage) == pytest.approx(feet * 0.3048)


def test_beyond_the_table_its_owner_says_it():
    assert math.isnan(power_line_clearance_m(1200.0))
    assert math.isnan(power_line_clearance_m(-1.0))


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("name: x, top: 3 m, clearance: 1 m, source: s", "needs centre, length and width, or an outline"),
        ("name: x, outline: [[0 m, 0 m], [1 m, 1 m]], top: 3 m, clearance: 1 m, source: s", "three corners"),
        (
            "name: x, outline: [[0 m, 0 m], [4 m, 0 m], [1 m, 1 m], [0 m, 4 m]], top: 3 m, clearance: 1 m, source: s",
            "not convex",
        ),
        (
            "name: x, centre: [0 m, 0 m], length: 1 m, width: 1 m, bottom: 4 m, top: 3 m, clearance: 1 m, source: s",
            "above its bottom",
        ),
    ],
)
def test_an_obstacle_that_cannot_be_is_refused_with_its_field(words, told):
    with pytest.raises(InputError, match=told) as caught:
        assess(with_obstacle(words))
    assert caught.value.problems[0].field.startswith("place.obstacles[2]")
