"""The JSON form of a result."""

import json
import math

import jsonschema
import pytest
from rigs import KINDS, four_leg_bridle, mast_crane, random_rig, two_point_load
from standing import bridled_load, rectangle, standing_body

from plumbhook.model.rig_graph import parse_rig_graphs
from plumbhook.statics import equilibrium_json, solve

NUMBER = {"type": "number"}
VECTOR = {"type": "array", "items": NUMBER, "minItems": 3, "maxItems": 3}
BY_NAME = {"type": "object", "additionalProperties": NUMBER}
POSE = {
    "type": "object",
    "additionalProperties": {
        "type": "object",
        "required": ["origin", "rotation"],
        "additionalProperties": False,
        "properties": {
            "origin": VECTOR,
            "rotation": {"type": "array", "items": VECTOR, "minItems": 3, "maxItems": 3},
        },
    },
}
NAMES = {"type": "array", "items": {"type": "string"}}
COUNT = {"type": "integer", "minimum": 0}
SCHEMA = {
    "type": "object",
    "required": [
        "status",
        "neutral_modes",
        "tensions_N",
        "slack",
        "tilt_deg",
        "pose",
        "attachment_heights_m",
        "angle_from_vertical_deg",
        "hook_load_N",
        "residual_force_N",
        "residual_moment_Nm",
        "iterations",
        "assembled_posture",
        "support_forces_N",
        "margins",
    ],
    "properties": {
        "status": {"enum": ["stable", "unstable", "no_equilibrium", "invalid"]},
        "neutral_modes": COUNT,
        "tensions_N": BY_NAME,
        "support_forces_N": BY_NAME,
        "clear_m": BY_NAME,
        "margins": {
            "type": "object",
            "maxProperties": 1,
            "additionalProperties": {
                "type": "array",
                "minItems": 2,
                "maxItems": 2,
                "items": {
                    "type": "object",
                    "required": ["direction", "restoring_height_m", "slack_tilt_deg", "first_slack"],
                    "additionalProperties": False,
                    "properties": {
                        "direction": {"type": "array", "items": NUMBER, "minItems": 2, "maxItems": 2},
                        "restoring_height_m": NUMBER,
                        "slack_tilt_deg": {"type": ["number", "null"]},
                        "first_slack": {"type": "string"},
                    },
                },
            },
        },
        "slack": NAMES,
        "tilt_deg": BY_NAME,
        "pose": POSE,
        "attachment_heights_m": {"type": "object", "additionalProperties": BY_NAME},
        "angle_from_vertical_deg": BY_NAME,
        "hook_load_N": BY_NAME,
        "residual_force_N": {"type": ["number", "null"]},
        "residual_moment_Nm": {"type": ["number", "null"]},
        "iterations": COUNT,
        "assembled_posture": {
            "type": "object",
            "required": ["in_equilibrium", "stable"],
            "properties": {"in_equilibrium": {"type": "boolean"}, "stable": {"type": "boolean"}},
            "additionalProperties": False,
        },
    },
}

RIGS = [
    *(random_rig(kind, 7) for kind in KINDS),
    two_point_load(0.5),
    mast_crane(500.0),
    four_leg_bridle(EA_N=1e20),
    bridled_load(slack_m=0.1),
    bridled_load(slack_m=-0.005),
]


@pytest.mark.parametrize("rig", RIGS, ids=lambda rig: rig.name)
def test_every_result_keeps_to_the_form_and_to_json(rig):
    answer = equilibrium_json(rig, solve(rig))
    jsonschema.validate(json.loads(json.dumps(answer, allow_nan=False)), SCHEMA)


def test_every_element_body_point_and_hook_has_its_entry():
    rig = random_rig("F", 3)
    answer = equilibrium_json(rig, solve(rig))
    elements, bodies = {e.name for e in rig.elements}, {b.name for b in rig.bodies}
    assert answer["tensions_N"].keys() == answer["angle_from_vertical_deg"].keys() == elements
    assert (
        answer["tilt_deg"].keys() == answer["pose"].keys() == answer["attachment_heights_m"].keys() == bodies
    )
    assert answer["hook_load_N"].keys() == {"h"}
    for body in rig.bodies:
        assert answer["attachment_heights_m"][body.name].keys() == {p.name for p in body.points_m}


def test_numbers_mean_what_their_names_say():
    """The example of the format: two slings of 3 m to a load of 12 t whose CoG is 0.2 m off."""
    data = {
        "name": "two slings",
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
                "name": "sp",
                "type": "sling",
                "from": "hook.h",
                "to": "load.p",
                "unstretched_length_m": 3.0,
                "EA_N": 2e7,
            },
            {
                "name": "sq",
                "type": "sling",
                "from": "hook.h",
                "to": "load.q",
                "unstretched_length_m": 3.0,
                "EA_N": 2e7,
            },
        ],
    }
    (rig,) = parse_rig_graphs(data)
    answer = equilibrium_json(rig, solve(rig))
    origin, rows = answer["pose"]["load"]["origin"], answer["pose"]["load"]["rotation"]

    def world(point):
        return [
            o + sum(r * p for r, p in zip(row, point, strict=True))
            for o, row in zip(origin, rows, strict=True)
        ]

    p, cog = world([-1, 0, 0]), world([0.2, 0, -1])
    length = math.hypot(*p)
    assert answer["status"] == "stable"
    assert answer["neutral_modes"] == 1
    assert answer["tensions_N"]["sp"] == pytest.approx(2e7 / 3.0 * (length - 3.0), rel=1e-6)
    assert answer["angle_from_vertical_deg"]["sp"] == pytest.approx(math.degrees(math.acos(-p[2] / length)))
    assert answer["attachment_heights_m"]["load"]["p"] == pytest.approx(p[2])
    assert answer["tilt_deg"]["load"] == pytest.approx(math.degrees(math.acos(rows[2][2])))
    assert answer["hook_load_N"]["h"] == pytest.approx(12000 * 9.80665)
    assert answer["hook_force_N"]["h"][2] == pytest.approx(-12000 * 9.80665)
    assert cog[:2] == pytest.approx([0.0, 0.0], abs=1e-6)
    assert answer["assembled_posture"] == {"in_equilibrium": False, "stable": True}


def test_an_unstable_rig_says_where_it_goes():
    rig = two_point_load(0.5)
    answer = equilibrium_json(rig, solve(rig))
    assert answer["status"] == "unstable"
    assert answer["rest_after_kick"]["stable"]
    assert answer["rest_after_kick"]["tilt_deg"]["load"] == pytest.approx(180.0, abs=0.01)
    assert answer["assembled_posture"] == {"in_equilibrium": True, "stable": False}


def test_the_heaviest_body_has_its_margins():
    """A load below one hook on equal legs hangs as a pendulum as long as its CoG is below the hook."""
    rig = four_leg_bridle(cog_m=(0.0, 0.0, 1.0), EA_N=1e11)
    answer = equilibrium_json(rig, solve(rig))
    weak, strong = answer["margins"]["load"]
    assert weak["restoring_height_m"] == pytest.approx(3.0, rel=1e-3)
    assert strong["restoring_height_m"] == pytest.approx(3.0, rel=1e-3)
    assert weak["first_slack"] in answer["tensions_N"]
    rig = random_rig("c", 1)
    assert equilibrium_json(rig, solve(rig))["margins"].keys() == {"load"}


def test_a_load_that_can_turn_over_has_a_restoring_height_below_zero():
    rig = two_point_load(0.5)
    answer = equilibrium_json(rig, solve(rig))
    weak, strong = answer["margins"]["load"]
    assert weak["restoring_height_m"] == pytest.approx(-0.5, rel=1e-6)
    assert abs(weak["direction"][1]) == pytest.approx(1.0)
    assert strong["restoring_height_m"] > 0.0


def test_a_standing_load_has_the_margins_of_its_springs():
    """Springs k at +-s resist tilting by k sum s^2 - W h; the first support lets go at W/(4 k s)."""
    k, weight, height = 1e8, 12e3 * 9.80665, 1.5
    rig = standing_body(rectangle(4.0, 2.0), (0.0, 0.0, height), stiffness=k)
    weak, strong = equilibrium_json(rig, solve(rig))["margins"]["load"]
    for plane, half in ((weak, 1.0), (strong, 2.0)):
        assert plane["restoring_height_m"] == pytest.approx(4.0 * k * half**2 / weight - height, rel=1e-6)
        assert math.radians(plane["slack_tilt_deg"]) == pytest.approx(weight / (4.0 * k * half), rel=1e-3)
        assert plane["first_slack"].startswith("under")


def test_margins_are_left_out_where_there_is_no_equilibrium():
    rig = four_leg_bridle(EA_N=1e20)
    assert equilibrium_json(rig, solve(rig))["margins"] == {}


def test_what_could_not_be_computed_is_null():
    rig = four_leg_bridle(EA_N=1e20)
    answer = equilibrium_json(rig, solve(rig))
    assert (answer["status"], answer["residual_force_N"], answer["tensions_N"]) == ("invalid", None, {})


def test_a_result_of_another_rig_is_refused():
    with pytest.raises(ValueError, match="belongs to rig"):
        equilibrium_json(random_rig("a", 1), solve(random_rig("a", 2)))


def test_every_stable_answer_says_how_it_depends_on_its_inputs() -> None:
    (graph,) = parse_rig_graphs(
        {
            "name": "one line",
            "hooks_m": {"h": [0, 0, 0]},
            "bodies": [
                {
                    "name": "load",
                    "mass_kg": 1000.0,
                    "cog_m": [0, 0, -1],
                    "points_m": {"p": [0, 0, 0]},
                    "start": {"origin_m": [0, 0, -3], "rotation_rows": [[1, 0, 0], [0, 1, 0], [0, 0, 1]]},
                }
            ],
            "elements": [
                {
                    "name": "s",
                    "type": "sling",
                    "from": "hook.h",
                    "to": "load.p",
                    "unstretched_length_m": 3,
                    "EA_N": 2e7,
                }
            ],
        }
    )
    found = equilibrium_json(graph, solve(graph))["sensitivities"]
    mass = found["parameters"].index({"kind": "mass", "name": "load", "axis": -1})
    length = found["parameters"].index({"kind": "unstretched_length", "name": "s", "axis": -1})
    assert found["tensions_N"]["s"][mass] == pytest.approx(9.80665)
    assert found["tensions_N"]["s"][length] == pytest.approx(0.0, abs=1e-6)
