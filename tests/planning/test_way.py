"""The way between the stations: what neither pick nor set-down shows is found, with its place; gaps do not pass."""

from __future__ import annotations

import math

import pytest
from tests.scenarios.variants import assessed, example

from plumbhook.core.check import Status
from plumbhook.core.errors import InputError
from plumbhook.documents import render_lift_plan
from plumbhook.planning import assess
from plumbhook.planning.serialise import from_json, to_json

SET = "{name: over the parapet, radius: 14 m, support_level: 13.60 m, clearance: 0.50 m, hook_height_limit: 23.40 m, "
ROOF = "{name: on the roof, radius: 12 m, support_level: 12.00 m, clearance: 0.30 m, hook_height_limit: 23.40 m, "

FLOW = (
    ROOF + "slew: 10 deg, load_bearing: -80 deg, "
    "moves: [{move: hoist, load_bottom: 14.1 m}, {move: luff, radius: 16 m}, "
    "{move: slew}, {move: luff}, {move: hoist}]}"
)


def of_example(station: str, *more: tuple[str, str]):
    return example("marrow-lane", (f"    - {SET}slew: 10 deg, load_bearing: -80 deg}}", station), *more)


@pytest.fixture(scope="module")
def parapet():
    """Pick and set-down at 12 m; between them the load goes over a parapet at 16 m."""
    return assess(of_example(f"    - {FLOW}"))


def test_pick_and_set_down_pass_and_the_middle_fails_with_its_place(parapet):
    """20.78 t at 16 m is 95.8 % of 21.7 t, over the policy of 85 %; at both stations 71.2 % of 29.2 t."""
    assert parapet.check("crane.pick").status is Status.PASS
    assert parapet.check("crane.on the roof").status is Status.PASS
    found = parapet.check("way.crane")
    assert found.status is Status.FAIL
    assert found.demand.value / found.capacity.value * 0.85 == pytest.approx(0.958, abs=1e-3)
    curve = next(curve for curve in parapet.way.curves if curve.key == "crane")
    assert curve.worst.radius_m == 16.0
    assert "luffing" in curve.worst.words or "slewing" in curve.worst.words
    assert curve.worst.words in found.assumptions[0]
    ((start, end),) = curve.beyond_m
    lift, reach = 14.1 - 0.2, 16.0 - 12.0
    assert start == pytest.approx(lift + 2.0, abs=1e-3), "beyond the row of 14 m"
    assert end == pytest.approx(lift + reach + 16.0 * math.pi / 2.0 + 2.0, abs=1e-3), "back within 14 m"


def test_farther_out_than_any_stated_hook_height_the_boom_limits_it(parapet):
    """Enough at 12 m, but at 16 m the head of a boom of 26.9 m leaves 21.95 m below it for a hook at 23.3 m."""
    assert parapet.check("headroom.on the roof").status is Status.PASS
    found = parapet.check("way.hook")
    assert found.status is Status.FAIL
    assert found.capacity.value == pytest.approx(2.6 + math.sqrt(26.9**2 - 17.5**2) - 1.2)


def test_a_hook_height_that_is_known_nearer_only_is_not_evaluated_farther_out():
    """Where neither a station at that radius or beyond nor the boom tells the hook height, nothing is said of it."""
    found = assess(of_example(f"    - {FLOW}", ("      two_block: 1.2 m\n", "")))
    assert found.check("headroom.on the roof").status is Status.PASS
    assert found.check("way.hook").status is Status.NOT_EVALUATED


def test_the_way_survives_the_round_trip_and_is_printed(parapet):
    assert from_json(to_json(parapet)).way.curves[0].worst == parapet.way.curves[0].worst
    assert render_lift_plan(parapet).startswith(b"%PDF")


@pytest.mark.parametrize("name", ["hallowmere-viaduct", "marrow-lane"])
def test_the_examples_are_no_worse_on_the_way_than_at_their_stations(name):
    """Their farthest station is the last: along the default way nothing exceeds it."""
    found = assessed(name)
    stations = [c.utilisation for c in found.checks if c.check_id.startswith("crane.")]
    assert found.check("way.crane").utilisation == pytest.approx(max(stations))
    assert found.check("way.hook").status is Status.PASS
    assert [leg.words.split()[0] for leg in found.way.legs] == ["hoist", "slew", "luff"]


def test_without_a_slew_the_way_is_a_gap_and_no_pass():
    found = assess(of_example(f"    - {SET.removesuffix(', ')}}}"))
    check = found.check("way")
    assert check.status is Status.NOT_EVALUATED
    assert "over the parapet" in check.not_evaluated_because
    assert any("Along the way" in gap.text for gap in found.gaps)


def test_without_a_level_of_the_load_only_the_hook_height_is_open():
    found = assess(example("marrow-lane", (", load_bottom: 0.20 m", "")))
    assert found.check("way.hook").status is Status.NOT_EVALUATED
    assert found.check("way.crane").status is Status.PASS


def test_a_crawler_that_travels_with_its_load_moves_its_own_place():
    old = "hook_height_limit: 33.9 m, slew: 5 deg, load_bearing: 355 deg}"
    new = "hook_height_limit: 33.9 m, slew: 5 deg, load_bearing: 355 deg, crane_position: [0 m, 6 m]}"
    found = assess(example("hallowmere-viaduct", (old, new)))
    assert [leg.words.split()[0] for leg in found.way.legs] == ["hoist", "travel", "slew", "luff"]
    crane = next(curve for curve in found.way.curves if curve.key == "crane")
    assert (crane.worst.x_m, crane.worst.y_m) == pytest.approx(
        (14.0 * math.sin(math.radians(5.0)), 6.0 + 14.0 * math.cos(math.radians(5.0)))
    )


@pytest.mark.parametrize(
    ("moves", "says"),
    [
        ("{move: hoist, radius: 16 m}, {move: luff}, {move: slew}", 'radius belongs to the move "luff"'),
        ("{move: hoist}, {move: slew}, {move: luff, radius: 16 m}", 'add a last move "luff"'),
        ("{move: hoist}, {move: luff}", "another slew"),
        ("{move: hoist, turn: clockwise}, {move: luff}, {move: slew}", "turn belongs"),
    ],
)
def test_moves_that_lead_elsewhere_are_refused_with_the_cure(moves, says):
    with pytest.raises(InputError, match=says):
        of_example(f"    - {SET}slew: 10 deg, load_bearing: -80 deg, moves: [{moves}]}}")


def test_load_and_hook_height_together_are_refused():
    with pytest.raises(InputError, match="not both"):
        example("marrow-lane", ("load_bottom: 0.20 m", "load_bottom: 0.20 m, hook_height: 10 m"))


def test_a_way_outside_the_sector_of_the_ground_is_refused_where_it_leaves_it():
    """Tracks checked for 5 degrees either side of the front; the load is fetched 90 degrees aside."""
    found = assess(example("hallowmere-viaduct", ("slew: 355 deg", "slew: 270 deg")))
    check = found.check("way.ground")
    assert check.status is Status.FAIL
    assert "outside the slew_sector" in check.refused_because


def test_the_ground_is_worst_where_the_boom_passes_over_a_pad():
    """Neither at the pick nor at the set-down: pads at (3.7, 3.5) m lie 43.4 degrees off the front."""
    found = assessed("marrow-lane")
    ground = next(curve for curve in found.way.curves if curve.key == "ground")
    assert ground.worst.leg == 2
    assert 40.0 < math.degrees(ground.worst.slew_rad) < 50.0
    assert ground.worst_value > max(ground.value[0], ground.value[-1])
    assert found.check("way.ground").demand.value == pytest.approx(ground.worst_value, rel=1e-6)


def test_a_plan_with_a_place_says_that_lift_off_and_landing_are_open():
    assert any(gap.text.startswith("Lift-off from the supports") for gap in assessed("marrow-lane").gaps)


def test_along_the_way_too_the_chart_is_entered_with_the_radius_under_load():
    """Planned 14 m plus 2.5 m of deflection enters the row of 18 m: 20.78 t of 18.9 t, at the station and along it."""
    grown = assess(example("marrow-lane", ("boom_deflection: 0 m", "boom_deflection: 2.5 m")))
    station, along = grown.check("crane.over the parapet"), grown.check("way.crane")
    assert station.status is along.status is Status.FAIL
    assert along.capacity.value == pytest.approx(0.85 * 18_900.0)
    assert along.capacity.value == station.capacity.value
    assert "r_plan + dr_boom + dr_level + dr_wind" in [step.formula for step in along.steps]
    curve = next(curve for curve in grown.way.curves if curve.key == "crane")
    assert max(curve.value) == pytest.approx(along.demand.value / 18_900.0)
    # From the row of 14.5 m (12 m planned) on it is the row of 16 m.
    assert curve.value[0] == pytest.approx(along.demand.value / 21_700.0)
