"""The rig graph: what is read, what is refused and with which words."""

import contextlib
import copy
import json
import math

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from rigs import KINDS, four_leg_bridle, random_rig

from plumbhook.core.errors import InputError
from plumbhook.model.rig_graph import (
    Body,
    NamedPoint,
    Pose,
    parse_rig_graphs,
    problems_of,
    sling,
    split_reference,
    to_json_dict,
    with_stiffness_factor,
)
from plumbhook.statics import EquilibriumStatus, solve

GOOD = {
    "name": "bridle",
    "gravity_m_s2": 9.80665,
    "hooks_m": {"h": [0, 0, 0]},
    "bodies": [
        {
            "name": "load",
            "mass_kg": 12000,
            "cog_m": [0.2, 0, -1],
            "points_m": {"p": [-1, 0, 0], "q": [1, 0, 0]},
            "start": {"origin_m": [0, 0, -3], "rotation_rows": [[1, 0, 0], [0, 1, 0], [0, 0, 1]]},
        }
    ],
    "elements": [
        {
            "name": "s1",
            "type": "sling",
            "from": "hook.h",
            "to": "load.p",
            "unstretched_length_m": 3.0,
            "EA_N": 2e7,
        },
        {
            "name": "s2",
            "type": "sling",
            "from": "hook.h",
            "to": "load.q",
            "unstretched_length_m": 3.0,
            "EA_N": 2e7,
        },
    ],
}


def changed(path, value):
    """The good rig with one value set (or, for a value of ..., taken away)."""
    data = copy.deepcopy(GOOD)
    place = data
    for key in path[:-1]:
        place = place[key]
    if value is ...:
        del place[path[-1]]
    else:
        place[path[-1]] = value
    return data


def problems(data):
    with pytest.raises(InputError) as caught:
        parse_rig_graphs(data)
    return caught.value.problems


def test_a_rig_and_a_list_of_rigs_are_read():
    (rig,) = parse_rig_graphs(GOOD)
    assert rig.bodies[0].points_m[1] == NamedPoint("q", (1.0, 0.0, 0.0))
    assert parse_rig_graphs([GOOD, GOOD]) == (rig, rig)


@pytest.mark.parametrize("kind", KINDS)
def test_a_rig_survives_the_way_through_json(kind):
    rig = random_rig(kind, 1)
    (back,) = parse_rig_graphs(json.loads(json.dumps(to_json_dict(rig))))
    assert back == rig


def test_gravity_rotation_and_name_have_defaults():
    data = changed(["gravity_m_s2"], ...)
    del data["name"], data["bodies"][0]["start"]["rotation_rows"]
    (rig,) = parse_rig_graphs(data)
    assert (rig.gravity_m_s2, rig.name, rig.bodies[0].start.rotation_rows[0]) == (
        9.80665,
        "",
        (1.0, 0.0, 0.0),
    )


def test_a_reference_splits_at_the_first_dot_so_that_points_may_hold_dots():
    assert split_reference("load.p.1") == ("load", "p.1")
    data = changed(["bodies", 0, "points_m"], {"p.1": [-1, 0, 0], "q": [1, 0, 0]})
    data["elements"][0]["to"] = "load.p.1"
    assert parse_rig_graphs(data)[0].elements[0].to_ref == "load.p.1"


def test_a_rotation_printed_with_seven_digits_is_made_exact():
    c, s = round(math.cos(0.3), 7), round(math.sin(0.3), 7)
    data = changed(["bodies", 0, "start", "rotation_rows"], [[c, -s, 0], [s, c, 0], [0, 0, 1]])
    rows = parse_rig_graphs(data)[0].bodies[0].start.rotation_rows
    for i in range(3):
        for j in range(3):
            assert math.isclose(sum(rows[i][k] * rows[j][k] for k in range(3)), float(i == j), abs_tol=1e-15)


BAD = [
    (["bodies", 0, "mass_kg"], -1, "bodies[0].mass_kg", "cannot be negative"),
    (["bodies", 0, "mass_kg"], math.nan, "bodies[0].mass_kg", "finite"),
    (["bodies", 0, "mass_kg"], math.inf, "bodies[0].mass_kg", "finite"),
    (["bodies", 0, "mass_kg"], 10**400, "bodies[0].mass_kg", "finite"),
    (["bodies", 0, "mass_kg"], 1e13, "bodies[0].mass_kg", "at most"),
    (["bodies", 0, "mass_kg"], True, "bodies[0].mass_kg", "must be a number, not True"),
    (["bodies", 0, "mass_kg"], "12 t", "bodies[0].mass_kg", "must be a number, not '12 t'"),
    (["bodies", 0, "mass_kg"], ..., "bodies[0].mass_kg", "is missing"),
    (["bodies", 0, "mass_kg"], 0, "bodies", "no mass at all"),
    (["bodies", 0, "cog_m"], ..., "bodies[0].cog_m", "is missing"),
    (["bodies", 0, "cog_m"], [1, 2], "bodies[0].cog_m", "three numbers"),
    (["bodies", 0, "cog_m"], [1, 2, None], "bodies[0].cog_m[2]", "not nothing"),
    (["bodies", 0, "cog_m"], [1, 2, 1e9], "bodies[0].cog_m", "metres"),
    (["bodies", 0, "name"], "lo.ad", "bodies[0].name", "holds a dot"),
    (["bodies", 0, "name"], "hook", "bodies[0].name", "another name"),
    (["bodies", 0, "name"], 7, "bodies[0].name", "must be text"),
    (["bodies", 0, "name"], "", "bodies[0].name", "is empty"),
    (["bodies", 0, "points_m"], [1], "bodies[0].points_m", "table of names"),
    (["bodies", 0, "points_m"], {7: [0, 0, 0]}, "bodies[0].points_m", "must be text"),
    (["bodies", 0, "start"], ..., "bodies[0].start", "is missing"),
    (["bodies", 0, "start"], "level", "bodies[0].start", "table of fields"),
    (["bodies", 0, "start", "origin_m"], ..., "bodies[0].start.origin_m", "is missing"),
    (["bodies", 0, "start", "rotation_rows"], [[1, 0, 0]], "bodies[0].start.rotation_rows", "three rows"),
    (
        ["bodies", 0, "start", "rotation_rows"],
        [[1, 0, 0], [0, 1, 0.01], [0, 0, 1]],
        "bodies[0].start.rotation_rows",
        "right angles",
    ),
    (
        ["bodies", 0, "start", "rotation_rows"],
        [[1, 0, 0], [0, 1, 0], [0, 0, -1]],
        "bodies[0].start.rotation_rows",
        "reflection",
    ),
    (["bodies", 0, "weight"], 5, "bodies[0].weight", "is no known field"),
    (["bodies", 0], None, "bodies[0]", "must be a body"),
    (["bodies"], [], "bodies", "holds no body"),
    (["bodies"], {}, "bodies", "must be a list"),
    (["hooks_m"], {}, "hooks_m", "names no hook"),
    (["hooks_m"], ..., "hooks_m", "is missing"),
    (["hooks_m", "h"], [0, 0, "up"], "hooks_m.h[2]", "must be a number"),
    (["gravity_m_s2"], 0, "gravity_m_s2", "above 0"),
    (["gravity_m_s2"], -9.8, "gravity_m_s2", "above 0"),
    (["elements"], [], "bodies[0]", "hangs from nothing"),
    (["elements", 0, "unstretched_length_m"], 0, "elements[0].unstretched_length_m", "above zero"),
    (["elements", 0, "unstretched_length_m"], -3, "elements[0].unstretched_length_m", "above zero"),
    (["elements", 0, "unstretched_length_m"], 1e-300, "elements[0].unstretched_length_m", "between"),
    (["elements", 0, "EA_N"], 0, "elements[0].EA_N", "above zero"),
    (["elements", 0, "EA_N"], ..., "elements[0].EA_N", "a sling needs it"),
    (["elements", 0, "stiffness_N_per_m"], 1e6, "elements[0].stiffness_N_per_m", "does not belong"),
    (["elements", 0, "EA"], 1e6, "elements[0].EA", "did you mean 'EA_N'"),
    (["elements", 0, "type"], "slings", "elements[0].type", "did you mean 'sling'"),
    (["elements", 0, "type"], "rope", "elements[0].type", "use one of 'sling', 'link', 'pin'"),
    (["elements", 0, "type"], "pin", "elements[0].stiffness_N_per_m", "a pin needs it"),
    (["elements", 0, "to"], "load.pp", "elements[0].to", "did you mean 'load.p'"),
    (["elements", 0, "to"], "nowhere", "elements[0].to", "no known point"),
    (["elements", 0, "from"], "load.q", "elements[0]", "two points of the same body"),
    (["elements", 0, "to"], "hook.h", "elements[0]", "from hook to hook"),
    (["elements", 1, "name"], "s1", "elements[1].name", "used twice"),
]


@pytest.mark.parametrize(("path", "value", "field", "words"), BAD)
def test_bad_input_is_named_with_its_field_and_cure(path, value, field, words):
    found = problems(changed(path, value))
    assert [p for p in found if p.field == field and words in p.message], found
    assert all(p.message.endswith((".", "?")) for p in found)


def test_all_problems_are_told_at_once():
    data = changed(["bodies", 0, "mass_kg"], -1)
    data["elements"][0]["EA_N"] = 0
    data["elements"][1]["unstretched_length_m"] = math.nan
    assert {p.field for p in problems(data)} == {
        "bodies[0].mass_kg",
        "elements[0].EA_N",
        "elements[1].unstretched_length_m",
    }


def test_in_a_list_the_field_says_which_rig():
    bad = changed(["elements", 0, "EA_N"], 0)
    assert [p.field for p in problems([GOOD, bad])] == ["[1].elements[0].EA_N"]


def test_the_source_is_repeated():
    with pytest.raises(InputError, match=r"^rig\.json: bodies\[0\]\.mass_kg: "):
        parse_rig_graphs(changed(["bodies", 0, "mass_kg"], -1), source="rig.json")


def test_of_a_heap_of_nonsense_only_the_first_problems_are_told():
    found = problems([0] * 10_000)
    assert len(found) == 201
    assert found[-1].message == "and 9800 more problems; mend these first."


def test_a_rig_of_unreasonable_size_is_refused():
    data = changed(["bodies"], [{**GOOD["bodies"][0], "name": f"b{number}"} for number in range(101)])
    assert "holds 101 entries; one rig may have at most 100." in [p.message for p in problems(data)]


def test_an_empty_list_is_refused():
    assert "no rig" in problems([])[0].message


def body(name, *points):
    named = {point: [0, 0, 0] for point in points}
    start = {"origin_m": [0, 0, -1]}
    return {"name": name, "mass_kg": 1, "cog_m": [0, 0, -1], "points_m": named, "start": start}


def line(name, start, end):
    return {"name": name, "type": "sling", "from": start, "to": end, "unstretched_length_m": 1, "EA_N": 1e5}


def test_bodies_that_hang_from_no_hook_are_named():
    data = {
        "hooks_m": {"h": [0, 0, 0]},
        "bodies": [body("load", "p"), body("lost", "p"), body("too", "p")],
        "elements": [line("s", "hook.h", "load.p"), line("t", "lost.p", "too.p")],
    }
    assert [p.message for p in problems(data)] == [
        "'lost', 'too' hang from no hook; lead a line up from one of them, or set them on supports."
    ]


def test_two_rigs_in_one_are_refused():
    data = {
        "hooks_m": {"h": [0, 0, 0], "k": [5, 0, 0]},
        "bodies": [body("load", "p"), body("other", "p")],
        "elements": [line("s", "hook.h", "load.p"), line("t", "hook.k", "other.p")],
    }
    assert "hang apart" in problems(data)[0].message


@pytest.mark.parametrize("key", ["mass_kg", "cog_m"])
def test_records_built_by_a_program_are_held_to_the_same_rules(key):
    bad = {"mass_kg": math.nan, "cog_m": (0.0, math.inf, 0.0)}[key]
    rig = four_leg_bridle()
    values = {"name": "load", "mass_kg": 1.0, "cog_m": (0.0, 0.0, 0.0), key: bad}
    wrong = Body(points_m=rig.bodies[0].points_m, start=Pose((0.0, 0.0, 0.0)), **values)
    changed_rig = type(rig)(name="x", hooks_m=rig.hooks_m, bodies=(wrong,), elements=rig.elements)
    assert [p.field for p in problems_of(changed_rig)] == [f"bodies[0].{key}"]
    result = solve(changed_rig)
    assert result.status is EquilibriumStatus.INVALID
    assert "finite" in result.message


def test_stiffness_factor_scales_every_stiffness_and_nothing_else():
    rig = random_rig("F", 3)
    stiff = with_stiffness_factor(rig, 10.0)
    for before, after in zip(rig.elements, stiff.elements, strict=True):
        assert after.unstretched_length_m == before.unstretched_length_m
        if before.EA_N is None:
            assert after.stiffness_N_per_m == 10.0 * before.stiffness_N_per_m
        else:
            assert after.EA_N == 10.0 * before.EA_N


@pytest.mark.parametrize("factor", [0.0, -1.0, math.nan, math.inf])
def test_stiffness_factor_must_be_above_zero(factor):
    with pytest.raises(ValueError, match="stiffness factor"):
        with_stiffness_factor(four_leg_bridle(), factor)


def test_a_sling_written_by_a_program_equals_one_that_is_read():
    assert parse_rig_graphs(GOOD)[0].elements[0] == sling("s1", "hook.h", "load.p", 3.0, 2e7)


ANYTHING = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=8), inner, max_size=4),
    max_leaves=12,
)


@settings(deadline=None)
@given(ANYTHING)
def test_nonsense_is_refused_in_words(data):
    assert problems(data)


def leaves(value, path=()):
    if isinstance(value, dict):
        return [leaf for key, inner in value.items() for leaf in [(*path, key), *leaves(inner, (*path, key))]]
    if isinstance(value, list):
        return [
            leaf for key, inner in enumerate(value) for leaf in [(*path, key), *leaves(inner, (*path, key))]
        ]
    return []


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.sampled_from(leaves(GOOD)), ANYTHING)
def test_one_spoilt_value_is_read_or_refused_but_never_breaks(path, value):
    data = changed(list(path), value)
    with contextlib.suppress(InputError):  # an InputError always has words; anything else fails the test
        rigs = parse_rig_graphs(data)
        assert not problems_of(rigs[0])
        assert solve(rigs[0]).status in EquilibriumStatus
