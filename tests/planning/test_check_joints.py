"""Joints of a strut family: all of their data or none, the worst joint counts, and nothing passes unknown."""

import math
from dataclasses import replace

import pytest
import yaml
from small_lifts import FAMILY, ONE_STRUT, read

from plumbhook.checks.en_1993_1_8_2005.flange_joint import JointForces
from plumbhook.core.audit import require_audit
from plumbhook.core.check import Status
from plumbhook.core.errors import InputError
from plumbhook.model.equipment import StrutFamily
from plumbhook.model.equipment_file import InlineStrutFamily, family_of
from plumbhook.model.joint import REQUIRED, FlangeJoint, bolts_of, flange_joint
from plumbhook.model.stock import read_strut_families
from plumbhook.planning.assess import assess
from plumbhook.planning.check_joints import JointBasis, joint_checks

JOINT = FlangeJoint(
    bolt_circle_m=0.185,
    flange_diameter_m=0.240,
    flange_thickness_m=0.025,
    flange_steel="S355",
    weld_leg_m=0.006,
    least_torque_factor=0.14,
    largest_torque_factor=0.20,
    slip_factor=0.2,
)
F140 = StrutFamily(
    name="F140",
    outside_diameter_m=0.1397,
    wall_m=0.008,
    steel="S355",
    yield_strength_Pa=355e6,
    elastic_modulus_Pa=210e9,
    buckling_curve="a",
    end_offset_m=0.15,
    pin_offset_m=0.006,
    line_mass_kg_per_m=33.0,
    joint_bolts="6 x M20 8.8",
    joint_torque_Nm=280.0,
    joint_mass_kg=3.0,
    joint=JOINT,
)
SERVICE = (
    JointForces(60e3, 0.4e3, 1.2e3, "joint 1"),
    JointForces(60e3, 0.2e3, 2.5e3, "joint 2"),
    JointForces(60e3, 0.4e3, 1.3e3, "joint 3"),
)
DESIGN = tuple(
    JointForces(1.35 * f.compression_N, 1.35 * f.shear_N, 1.5 * f.moment_Nm, f.origin) for f in SERVICE
)


def checks(family=F140, service=SERVICE, design=DESIGN):
    basis = JointBasis.of(family, family.joint)
    return {
        check.check_id.rpartition(".")[2]: check
        for check in joint_checks("S1", "strut.joints", basis, service=service, design=design)
    }


def test_a_sound_joint_passes_every_question_and_its_working_is_audited():
    found = checks()
    assert set(found) == {
        "closed",
        "torque",
        "preload",
        "tension",
        "combined",
        "bearing",
        "distances",
        "slip",
    }
    assert {name: check.status for name, check in found.items() if check.status is not Status.PASS} == {}
    require_audit(found.values())


def test_the_joint_that_is_worst_is_the_one_shown():
    found = checks()
    assert found["closed"].demand.origin == "joint 2"
    assert found["closed"].demand.value == pytest.approx(2.5e3)


def test_a_slack_torque_lets_the_joint_open():
    found = checks(replace(F140, joint_torque_Nm=20.0), service=(replace(SERVICE[1], moment_Nm=6e3),))
    assert found["closed"].status is Status.FAIL
    assert found["torque"].status is Status.FAIL


def test_a_strut_without_an_answer_leaves_its_joints_not_evaluated():
    found = checks(service=(*SERVICE, replace(SERVICE[0], moment_Nm=math.nan)))
    assert set(found) == {"forces"}
    assert found["forces"].status is Status.NOT_EVALUATED
    assert "not known" in found["forces"].not_evaluated_because


def test_a_strut_of_one_piece_without_joints_has_no_joints_to_check():
    assert checks(service=(), design=()) == {}


def test_a_joint_without_friction_has_no_slip_check():
    assert "slip" not in checks(replace(F140, joint=replace(JOINT, slip_factor=None)))


@pytest.mark.parametrize(
    ("family", "words"),
    [
        (replace(F140, joint_bolts="six M20"), 'write the bolts of one joint like "6 x M20 8.8"'),
        (replace(F140, joint_bolts="6 x M21 8.8"), 'the bolt size "M21" is not in the table'),
        (replace(F140, joint_bolts="6 x M20 7.7"), 'the bolt class "7.7" is not in the table'),
        (replace(F140, joint_torque_Nm=None), "the tightening torque is missing"),
        (
            replace(F140, joint=replace(JOINT, flange_steel="S335")),
            'the steel grade "S335" is not in the table',
        ),
        (replace(F140, joint=replace(JOINT, flange_thickness_m=-0.02)), "more than zero, not"),
        (replace(F140, joint=replace(JOINT, bolt_circle_m=0.15)), "in the wall of the tube"),
    ],
)
def test_data_of_a_joint_that_cannot_be_is_refused_with_field_and_cure(family, words):
    with pytest.raises(InputError) as refused:
        checks(family)
    assert words in str(refused.value)


def test_bolts_in_words():
    assert bolts_of("6 x M20 8.8") == (6, "M20", "8.8")
    assert bolts_of("12×M27 10.9") == (12, "M27", "10.9")
    assert bolts_of("M20 8.8") is None
    assert bolts_of("6 x M20 8.8, 2 x M24 8.8") is None


def test_a_joint_is_given_whole_or_not_at_all():
    given = {name: getattr(JOINT, attribute) for name, attribute in REQUIRED.items()}
    assert flange_joint(given, 0.2) == (JOINT, "")
    assert flange_joint(dict.fromkeys(REQUIRED), None) == (None, "")
    part, message = flange_joint({**given, "joint_weld_leg": None}, None)
    assert part is None
    assert "give joint_weld_leg as well" in message
    alone, message = flange_joint(dict.fromkeys(REQUIRED), 0.2)
    assert alone is None
    assert "says nothing" in message


FAMILIES = (
    "family,outside_diameter [mm],wall [mm],steel,yield_strength [MPa],elastic_modulus [GPa],buckling_curve,"
    "end_offset [m],pin_offset [mm],line_mass [kg/m],joint_bolts,joint_torque [N.m],joint_mass [kg],"
    "joint_bolt_circle [mm],joint_flange_diameter [mm],joint_flange_thickness [mm],joint_flange_steel,"
    "joint_weld_leg [mm],joint_torque_factor_least,joint_torque_factor_largest,joint_slip_factor\n"
    "F140,139.7,8,S355,355,210,a,0.15,6,33,6 x M20 8.8,280,3,{circle},240,{thickness},S355,{leg},0.14,0.20,0.2\n"
)


def test_a_store_gives_the_joints_in_columns_of_its_strut_families():
    families = read_strut_families(FAMILIES.format(circle=185, thickness=25, leg=6), "families.csv")
    assert families["F140"].joint == JOINT


@pytest.mark.parametrize(
    ("cells", "words"),
    [
        (
            {"circle": ""},
            "line 2: joint: the data of the joint are not complete; give joint_bolt_circle as well",
        ),
        ({"thickness": -12}, "line 2: joint_flange_thickness: this must be more than zero"),
        ({"leg": -1}, "line 2: joint_weld_leg: this must not be negative"),
    ],
)
def test_a_store_with_a_joint_that_cannot_be_is_refused_with_its_line(cells, words):
    text = FAMILIES.format(**{"circle": 185, "thickness": 25, "leg": 6, **cells})
    with pytest.raises(InputError) as refused:
        read_strut_families(text, "families.csv")
    assert words in str(refused.value)


JOINT_TEXT = """
joint: {bolt_circle: 185 mm, flange_diameter: 240 mm, flange_thickness: 25 mm, flange_steel: S355, weld_leg: 6 mm,
        torque_factor_least: 0.14, torque_factor_largest: 0.20, slip_factor: 0.2}"""


def test_a_lift_file_gives_the_joint_as_a_section_of_its_family():
    family = InlineStrutFamily.model_validate(
        {
            "outside_diameter": "139.7 mm",
            "wall": "8 mm",
            "steel": "S355",
            "yield_strength": "355 MPa",
            "elastic_modulus": "210 GPa",
            "buckling_curve": "a",
            "end_offset": "0.15 m",
            "pin_offset": "6 mm",
            "line_mass": "33 kg/m",
            "joint_bolts": "6 x M20 8.8",
            "joint_torque": "280 N.m",
            "joint_mass": "3 kg",
            **yaml.safe_load(JOINT_TEXT),
        }
    )
    assert family_of("F140", family) == F140


WITH_JOINT = ONE_STRUT.replace(
    FAMILY, FAMILY.rstrip().removesuffix("}") + "," + JOINT_TEXT.strip().replace("\n", " ") + "}\n"
)


def plan(text):
    return assess(read(text))


def test_the_plan_checks_the_joints_of_a_strut_whose_data_it_has():
    assessment = plan(WITH_JOINT)
    found = {c.check_id: c for c in assessment.checks if c.check_id.startswith("joint.U1.")}
    assert len(found) == 8
    assert all(check.status is Status.PASS for check in found.values())
    station = next(s for s in assessment.stations if s.station_id.endswith(".joints"))
    assert set(station.check_ids) == set(found)
    assert all("Bolted joints of the struts" not in gap.text for gap in assessment.gaps)
    # Moment by hand, first order, at the joint 2.1 m from a: w x (L - x)/2 + N (offset + bow) within the growth of a
    # stiff strut. The compression is that of the check of the strut.
    closed = found["joint.U1.closed"]
    compression = next(v.value for s in closed.steps for v in s.inputs if v.symbol == "N")
    span, weight = 3.3, 33.0 * 9.81 * 1.1
    x = float(closed.demand.origin.rpartition(" at ")[2].removesuffix(" m"))
    bow = 4.0 * 0.002 * span * x / span * (1.0 - x / span)
    first_order = weight * x * (span - x) / 2.0 + compression * (0.006 + bow)
    assert first_order < closed.demand.value < 1.2 * first_order


def test_the_plan_says_which_joints_it_does_not_check():
    assert any("Bolted joints of the struts (F140)" in gap.text for gap in plan(ONE_STRUT).gaps)
    assert all(not c.check_id.startswith("joint.") for c in plan(ONE_STRUT).checks)
    asked = ONE_STRUT.replace("rules: {", "rules: {joint_data_required: true, ")
    check = next(c for c in plan(asked).checks if c.check_id == "joint.U1.data")
    assert check.status is Status.NOT_EVALUATED
    assert "F140 are not given" in check.not_evaluated_because


def test_an_unknown_steel_of_the_flanges_stops_the_plan_with_field_and_cure():
    with pytest.raises(InputError) as refused:
        plan(WITH_JOINT.replace("flange_steel: S355", "flange_steel: S335"))
    assert "strut family F140, joint_flange_steel: the steel grade" in str(refused.value)
