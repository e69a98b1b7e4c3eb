"""Rigs whose lines and struts do not make the arrangement they claim, or whose items do not fit."""

from collections.abc import Callable

import pytest
from lift_texts import (
    ARRANGEMENTS,
    bridle,
    frame,
    free,
    line,
    one_strut,
    problems,
    read,
    sling,
    strut_over_two,
)

from plumbhook.model.load import cog_m, mass_kg


@pytest.mark.parametrize("build", ARRANGEMENTS.values(), ids=ARRANGEMENTS)
def test_a_sound_rig_has_no_problem(build: Callable[[], dict]) -> None:
    assert problems(build()) == []


def expect(lift: dict, *sentences: str) -> None:
    found = problems(lift)
    for sentence in sentences:
        assert any(sentence in problem for problem in found), found
    assert len(found) == len(sentences), found


def test_a_point_that_does_not_exist_suggests_the_nearest() -> None:
    lift = one_strut()
    lift["rig"]["lines"]["V1"]["to"] = "load.a"
    expect(
        lift,
        'rig.lines.V1.to: there is no point "load.a"; did you mean "load.A"?',
        "load.lift_points.A: no line holds this lift point",
    )
    lift["rig"]["lines"]["V1"]["to"] = "zzz"
    assert "the points of this rig are load.A, load.B, hook, U1.a, U1.b" in problems(lift)[1]


def test_every_lift_point_is_held_by_exactly_one_line() -> None:
    lift = one_strut()
    lift["load"]["lift_points"]["C"] = {"at": ["0 m", "0 m", "0.4 m"]}
    expect(lift, "load.lift_points.C: no line holds this lift point; add a line to load.C, or take")
    lift["rig"]["lines"]["V3"] = line("U1.a", "load.C", "R5")
    expect(lift)
    lift["rig"]["lines"]["V4"] = line("U1.b", "load.C", "R6")
    expect(lift, "rig.lines.V4.to: load.C is already held by line V3; a lift point takes one line")


def test_two_lift_points_in_one_place_are_one_written_twice() -> None:
    lift = one_strut()
    lift["load"]["lift_points"]["B"]["at"] = lift["load"]["lift_points"]["A"]["at"]
    expect(lift, "load.lift_points.B: this lift point is at the place of A")


def test_lines_are_written_from_the_top_down() -> None:
    lift = one_strut()
    top = lift["rig"]["lines"]["T1"]
    top["from"], top["to"] = top["to"], top["from"]
    found = problems(lift)
    assert any("rig.lines.T1.to: a line is written from the top down; the hook" in one for one in found)
    lower = one_strut()
    lower["rig"]["lines"]["V1"] = line("load.A", "U1.a", "R3")
    assert any("rig.lines.V1.from: a line is written from the top down" in one for one in problems(lower))
    itself = one_strut()
    itself["rig"]["lines"]["V1"]["from"] = "load.A"
    assert any('the line runs from "load.A" to itself' in one for one in problems(itself))


def test_a_strut_end_hangs_from_one_line_and_carries_something() -> None:
    lift = one_strut()
    lift["rig"]["lines"]["T2"]["to"] = "U1.a"
    expect(
        lift,
        "rig.struts.U1: U1.b hangs from nothing",
        "rig.lines.T2.to: U1.a already hangs from line T1",
    )
    bare = one_strut()
    bare["rig"]["lines"]["V2"]["from"] = "U1.a"
    expect(bare, "rig.struts.U1: U1.b carries nothing; add the line below it")


def test_the_number_of_struts_and_top_lines_is_that_of_the_arrangement() -> None:
    lift = one_strut()
    lift["rig"]["arrangement"] = "direct bridle"
    found = problems(lift)
    assert any('the arrangement "direct bridle" has no struts, this rig has 1' in one for one in found)
    assert any(
        "has no line from U1.a to load.A; its lines run from the hook to a lift point" in one for one in found
    )
    lonely = bridle()
    for name in ("L2", "L3"):
        del lonely["rig"]["lines"][name]
        del lonely["load"]["lift_points"]["B" if name == "L2" else "C"]
    expect(lonely, 'a "direct bridle" hangs from the hook by 2 to 4 lines, this one by 1')


def test_keys_of_another_arrangement_are_refused() -> None:
    lift = one_strut()
    lift["rig"]["frame_joints"] = "stiff"
    lift["rig"]["corners"] = {"A": "E3"}
    lift["rig"]["hooks"] = {"h": ["0 m", "0 m", "0 m"]}
    found = problems(lift)
    for section in (
        "frame_joints: only a four-strut",
        "corners: only a four-strut",
        "hooks: only a free rig",
    ):
        assert any(f"rig.{section}" in one for one in found)
    bare = one_strut()
    bare["rig"]["struts"]["U1"] = {"pieces": ["P1"], "between": ["A", "B"]}
    found = problems(bare)
    assert any("rig.struts.U1.fittings: name the two end fittings" in one for one in found)
    assert any("rig.struts.U1.between: only a strut of a frame" in one for one in found)


def test_names_the_program_needs_are_taken() -> None:
    lift = one_strut()
    lift["rig"]["struts"]["hook"] = lift["rig"]["struts"].pop("U1")
    assert any('"hook" is taken by the program' in one for one in problems(lift))


def test_upper_and_lower_struts_hang_in_order() -> None:
    lift = strut_over_two()
    lift["rig"]["lines"]["M2"]["from"] = "U1.b"
    found = problems(lift)
    assert "both ends of a lower strut hang from one end of U1; this one hangs from U1.a, U1.b" in found[0]
    same = strut_over_two()
    for name in ("M3", "M4"):
        same["rig"]["lines"][name]["from"] = "U1.a"
    found = problems(same)
    assert any("rig.struts.S2: S1 already hangs from U1.a; use the other end" in one for one in found)
    mixed = strut_over_two()
    mixed["rig"]["lines"]["T2"]["to"] = "S1.a"
    assert any("one strut hangs from the hook, here 2" in one for one in problems(mixed))


def test_a_frame_says_how_its_corners_hold() -> None:
    lift = frame()
    del lift["rig"]["frame_joints"]
    expect(lift, "rig.frame_joints: say pinned or stiff")
    lift["rig"]["frame_joints"] = "loose"
    expect(lift, '"loose" is not accepted here; Write one of: pinned, stiff')


def test_the_struts_of_a_frame_close_a_ring() -> None:
    lift = frame()
    lift["rig"]["struts"]["F4"]["between"] = ["D", "B"]
    expect(
        lift,
        "rig.corners.A: two struts meet at a corner, at this one 1",
        "rig.corners.B: two struts meet at a corner, at this one 3",
    )
    lift["rig"]["struts"]["F4"]["between"] = ["D", "D"]
    assert any("runs between two different corners" in one for one in problems(lift))
    lift["rig"]["struts"]["F4"]["between"] = ["D", "E"]
    assert any('there is no corner "E"; name it under corners' in one for one in problems(lift))
    lift["rig"]["struts"]["F4"]["between"] = ["B", "A"]
    assert any("another strut already runs between these corners" in one for one in problems(lift))
    lift["rig"]["struts"]["F4"] = {"pieces": ["P4"], "fittings": ["C1", "C2"]}
    found = problems(lift)
    assert any("say between which two corners" in one for one in found)
    assert any("a strut of a frame ends in corner fittings" in one for one in found)


def test_a_frame_has_four_corners_with_corner_fittings() -> None:
    lift = frame()
    lift["equipment"].append({"serial": "E9", "kind": "end fitting", "family": "D140", "mass": "38 kg"})
    lift["rig"]["corners"]["A"] = "E9"
    expect(lift, "rig.corners.A: E9 is listed as end fitting; what goes here is corner fitting")
    lift["rig"]["corners"]["X"] = "C1"
    assert any("a four-strut frame has 4 corners, this one has 5" in one for one in problems(lift))


def test_legs_of_a_sling_hang_below_its_head_and_each_is_used_once() -> None:
    lift = frame()
    lift["rig"]["lines"]["T2"]["items"][0]["leg"] = 1
    expect(lift, "leg 1 of CH is used twice, first in line T1")
    lift["rig"]["lines"]["T2"]["items"] = ["CH"]
    expect(lift, "rig.lines.T2.items[1]: CH has 4 legs; write which one, as in {item: CH, leg: 1}")
    lift["rig"]["lines"]["T2"]["items"] = [{"item": "CH", "leg": 5, "length": "7.1 m"}]
    expect(
        lift,
        "CH has no leg 5; it has 4",
        "a leg of CH is at most 7.000 m long and cannot be set to 7.100 m",
    )
    headless = frame()
    headless["rig"]["hook_chain"] = ["LC"]
    expect(headless, "rig.hook_chain: the head of CH hangs above its legs; name it last in the hook chain")
    order = frame()
    order["rig"]["hook_chain"] = ["CH", "LC"]
    assert any("CH is listed as chain sling; what goes here is load cell" in one for one in problems(order))
    unknown = frame()
    del unknown["equipment"][-1]["head_length"]
    expect(unknown, "rig.hook_chain[2]: CH has no head_length")


def test_a_sling_with_one_leg_is_simply_a_sling_and_is_still_used_once() -> None:
    lift = one_strut()
    lift["equipment"][0]["legs"] = 1
    lift["rig"]["lines"]["T1"]["items"] = [{"item": "R1", "leg": 1}]
    expect(lift)
    lift["rig"]["lines"]["T2"]["items"] = ["R1"]
    expect(lift, "R1 is used twice, first in line T1")


def test_a_sling_with_several_legs_hangs_from_the_hook_only() -> None:
    lift = one_strut()
    lift["equipment"][2] |= {"legs": 2, "kind": "chain sling", "head_length": "0.3 m"}
    lift["rig"]["lines"]["V1"]["items"] = [{"item": "R3", "leg": 1}]
    expect(lift, "rig.lines.V1.items[1]: R3 has 2 legs; such a sling can only hang from the hook")


@pytest.mark.parametrize("leg", [0, -1, 1.5, "one"])
def test_a_leg_is_counted_from_one(leg: object) -> None:
    lift = frame()
    lift["rig"]["lines"]["T1"]["items"][0]["leg"] = leg
    assert any("this must be a whole number, 1 or more" in one for one in problems(lift))


def test_a_free_rig_is_made_of_bodies_that_lines_hold() -> None:
    lift = free()
    lift["rig"]["bodies"]["idle"] = {**lift["rig"]["bodies"]["beam"]}
    lift["rig"]["hooks"]["west"] = ["0 m", "1 m", "6 m"]
    expect(
        lift,
        "rig.bodies.idle: no line holds this body",
        "rig.hooks.west: no line hangs from this hook",
    )
    strutted = free()
    strutted["rig"]["struts"] = {"U1": {"pieces": ["R5"]}}
    assert any("write each strut as a body" in one for one in problems(strutted))
    chained = free()
    chained["rig"]["hook_chain"] = ["R5"]
    assert any("the items below a hook belong into the lines" in one for one in problems(chained))
    hookless = free()
    hookless["rig"]["hooks"] = {}
    assert any("no line hangs from the hook" in one for one in problems(hookless))


def test_slings_of_a_bridle_reach_across_the_lift_points() -> None:
    """Two legs of 0.9 m cannot meet above lift points 2.0 m apart."""
    lift = bridle()
    for item in lift["equipment"][:2]:
        item["length"] = "0.9 m"
    expect(
        lift,
        "rig.lines.L1: L1 (0.900 m) and L2 (0.900 m) together do not reach across load.A and load.B (2.000 m)",
    )


def test_neighbouring_legs_reach_across_the_side_of_a_frame() -> None:
    lift = frame()
    for number in range(1, 5):
        lift["rig"]["lines"][f"T{number}"]["items"][0]["length"] = "1.0 m"
    found = problems(lift)
    assert len(found) == 4
    assert all("together do not reach across F" in one for one in found)


def test_a_family_or_length_that_is_not_known_is_named() -> None:
    lift = one_strut()
    lift["equipment"][-1]["family"] = "D149"
    expect(lift, "the strut family D149 of P1 is not known; did you mean D140? Add it to the strut families")
    del lift["equipment"][-1]["family"]
    expect(lift, "rig.struts.U1.pieces[1]: P1 does not say its strut family")
    longless = one_strut()
    del longless["equipment"][-1]["length"]
    expect(longless, "P1 has no length; add it to the stock")


def test_an_item_is_listed_once() -> None:
    lift = one_strut()
    lift["equipment"].append(sling("R1"))
    expect(lift, "R1 is already in the stock file or above; keep one of the two")


def test_mass_and_centre_of_gravity_come_from_somewhere() -> None:
    lift = one_strut()
    del lift["load"]["weight"]["mass"]
    del lift["load"]["cog"]
    expect(
        lift,
        "load.weight.mass: the load has no mass; give it here, or list its parts",
        "load.cog: the load has no centre of gravity; give it here, or list its parts",
    )
    lift["load"]["parts"] = [{"name": "all", "mass": "4 t", "at": ["0 m", "0 m", "0.2 m"]}]
    expect(lift)


def test_a_declared_weight_agrees_with_its_parts() -> None:
    """Tolerance 3 % of 4000 kg, box 50 mm: 4119 kg at 49 mm agrees, 4200 kg at 100 mm does not."""
    lift = one_strut()
    lift["load"]["parts"] = [{"name": "all", "mass": "4119 kg", "at": ["49 mm", "0 m", "0.2 m"]}]
    expect(lift)
    assert mass_kg(read(lift).file.load) == 4000.0
    assert cog_m(read(lift).file.load) == (0.0, 0.0, 0.2)
    lift["load"]["parts"] = [{"name": "all", "mass": "4.2 t", "at": ["0.1 m", "0 m", "0.2 m"]}]
    expect(
        lift,
        "load.weight.mass: the parts sum to 4200 kg, further from 4000 kg than the tolerance allows",
        "load.cog: along x the parts give 0.100 m, which is outside the box around 0.000 m",
    )


def test_limits_that_contradict_each_other_are_refused() -> None:
    lift = one_strut()
    lift["rules"] = {"top_sling_angle_min": "50 deg", "lower_sling_lean_attention": "7 deg"}
    expect(
        lift,
        "rules.top_sling_angle_min: this must be less than top_sling_angle_max",
        "rules.lower_sling_lean_attention: this must not be more than lower_sling_lean_limit",
    )


def test_a_tube_with_more_wall_than_room_does_not_exist() -> None:
    lift = one_strut()
    lift["strut_families"]["D140"] = {**lift["strut_families"]["D140"], "wall": "80 mm"}
    expect(lift, "strut_families.D140.wall: the wall is thicker than half the diameter")


def test_a_crane_has_one_chart() -> None:
    lift = one_strut()
    lift["place"] = {
        "crane": {
            "machine": "crawler",
            "configuration": "boom 30 m",
            "chart_page": "1",
            "hook_block": "1 t",
            "hoist_rope": "0 t",
        },
        "stations": [{"name": "pick", "radius": "12 m"}],
    }
    expect(lift, "place.crane.chart: the crane has no chart")
    lift["place"]["crane"] |= {"chart": [["10 m", "20 t"]], "chart_file": "chart.csv"}
    found = problems(lift)
    assert any("the chart is given twice" in one for one in found)
    assert any('there is no file "chart.csv" beside the lift file' in one for one in found)
