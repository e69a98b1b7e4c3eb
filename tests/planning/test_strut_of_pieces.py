"""Struts of a lift as bolted pieces: the faults that are found, the joints, the maker's table, what is not stated."""

from __future__ import annotations

import functools
import math

import numpy as np
import pytest
from tests.planning import small_lifts as small

from plumbhook.core.check import Check, Status
from plumbhook.core.errors import InputError
from plumbhook.model.lift import Lift
from plumbhook.planning import Assessment, assess
from plumbhook.planning.assess import state_problem
from plumbhook.planning.check_strut import StrutMoments, joint_forces
from plumbhook.planning.solutions import Solutions, solve_all
from plumbhook.planning.strut_analysis import UNSTATED_STIFFNESS, BodyLoad, StrutAnalysis
from plumbhook.statics.beam_column import closed_forms as exact

# The box of the centre of gravity as a point: one case, and what is left to fail is the fault.
POINT = "cog_box: {x: 0 mm, y: 0 mm, z: 0 mm"
STIFF = ("joint_mass: 3 kg", "joint_mass: 3 kg, joint_stiffness: 15000 kN.m/rad")


def lift(*changes: tuple[str, str]) -> Lift:
    text = small.ONE_STRUT.replace("cog_box: {x: 20 mm, y: 20 mm, z: 20 mm", POINT)
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return small.read(text)


def solved(given: Lift) -> Solutions:
    return solve_all(state_problem(given), (0.0, 0.0, 0.5), (0.0, 0.0, 0.0))


@functools.cache
def assessed(*changes: tuple[str, str]) -> Assessment:
    return assess(lift(*changes))


def failing(assessment: Assessment) -> set[str]:
    return {check.check_id for check in assessment.checks if check.status is Status.FAIL}


def checked(check_id: str, *changes: tuple[str, str]) -> Check:
    return assessed(*changes).check(check_id)


def analysis(given: Lift, **changes: object) -> StrutAnalysis:
    strut = next(iter(state_problem(given).rig.struts.values()))
    return StrutAnalysis(
        strut,
        given.families,
        **{"gravity_m_s2": 9.81, "dynamic_factor": 1.1, **changes},  # type: ignore[arg-type]
    )


# Seeded faults: each must be found as what it is.


def test_a_joint_at_mid_span() -> None:
    halves = ("mass: 55 kg, length: 1.8 m", "mass: 39 kg, length: 1.2 m")
    points = [(f"[{sign}1.65 m, 0 m", f"[{sign}1.35 m, 0 m") for sign in ("-", "")]
    assessment = assessed(halves, *points)
    assert failing(assessment) == {"mid_span.U1"}
    assert joint_forces(*with_solutions(lift(halves, *points)), factor=1.0)[1].station_m == pytest.approx(
        1.35
    )


def with_solutions(given: Lift) -> tuple:
    solutions = solved(given)
    return given, solutions, solutions.problem.rig.struts["U1"]


def test_two_families_in_one_strut() -> None:
    second = small.FAMILY.replace("strut_families:\n  F140", "  F168").replace("139.7 mm", "168.3 mm")
    other = ("serial: F140-P2, kind: strut piece, description: strut piece F140, last_examination: 2027-02-01, "
             "status: ok, family: F140")  # fmt: skip
    mixed = lift(
        (small.FAMILY, small.FAMILY + second), (other, other.replace("family: F140", "family: F168"))
    )
    assert "family.U1" in failing(assess(mixed))
    assert failing(assess(mixed)) == {"family.U1"}
    # The stiffer piece bends with its own tube all the same.
    assert analysis(mixed).solved(1e4, factor=1.0, bow_divisor=500.0).critical_force_N > (
        analysis(lift()).solved(1e4, factor=1.0, bow_divisor=500.0).critical_force_N
    )


INBOARD = [
    ("V1: {from: U1.a,", "V1: {from_inboard: 0.5 m, from: U1.a,"),
    ("V2: {from: U1.b,", "V2: {from_inboard: 0.5 m, from: U1.b,"),
]


def test_slings_hung_half_a_metre_inboard_are_refused_and_checked_as_a_beam() -> None:
    assessment = assessed(*INBOARD)
    check = assessment.check("end_pins.U1")
    assert check.status is Status.FAIL
    assert check.refused_because == (
        "hung from the body of the strut: V1, 500 mm from the end pin; V2, 500 mm from the end pin"
    )
    at_pins, inboard = (
        checked("compression.U1.allowable_stress"),
        assessment.check("compression.U1.allowable_stress"),
    )
    moments = [next(s for s in c.steps if s.result.symbol == "M").result.value for c in (at_pins, inboard)]
    lever = 0.5 * max(case.tensions_N["V1"] for case in solved(lift(*INBOARD)).design)
    # A little more than force times lever: the compression amplifies it.
    assert lever < moments[1] - moments[0] < 1.15 * lever
    assert inboard.status is Status.FAIL


def test_a_strut_held_inboard_hogs_over_its_holds() -> None:
    held = [
        ("to: U1.a,", "to: U1.a, to_inboard: 0.4 m,"),
        ("to: U1.b,", "to: U1.b, to_inboard: 0.4 m,"),
    ]
    given = lift(*held)
    moments = assess(given).check("compression.U1.interaction")
    end = next(s for s in moments.steps if s.result.symbol == "C_my").inputs[0].value
    force = max(case.tensions_N["V1"] for case in solved(given).design)
    compression = solved(given).compression_demand("U1").worst
    assert end == pytest.approx(1.35 * (compression * 0.006 - 0.4 * force), rel=0.03)
    assert "end_pins.U1" in failing(assess(given))


@pytest.mark.parametrize("way", ["from", "to"])
def test_a_sling_choked_round_the_tube(way: str) -> None:
    line = "V1: {from: U1.a," if way == "from" else "T1: {from: hook,"
    name = line[:2]
    assessment = assess(lift((line, line.replace("{", f"{{choked_round: {way}, "))))
    assert failing(assessment) == {"end_pins.U1"}
    assert assessment.check("end_pins.U1").refused_because == f"choked round the tube of the strut: {name}"


def test_lines_at_the_pins_are_no_row_of_the_register() -> None:
    assert not [check for check in assessed().checks if check.check_id.startswith("end_pins")]


# What bends the strut.


def test_a_uniform_strut_with_stiff_joints_is_the_closed_form() -> None:
    given = lift(("joint_mass: 3 kg", "joint_mass: 0 kg, joint_stiffness: 1e9 kN.m/rad"),
                 ("mass: 38 kg", "mass: 1e-6 kg"),
                 ("mass: 55 kg, length: 1.8 m", "mass: 54 kg, length: 1.8 m"),
                 ("mass: 39 kg, length: 1.2 m", "mass: 36 kg, length: 1.2 m"), ("pin_offset: 6 mm", "pin_offset: 0 mm"),
                 ("end_offset: 0.15 m", "end_offset: 0 m"))  # fmt: skip
    found = analysis(given).solved(50e3, factor=2.0, bow_divisor=500.0)
    stiffness, span = 210e9 * analysis(given).section.second_moment_m4, 3.0
    load = 2.0 * 30.0 * 9.81 * 1.1 + 8.0 * 100e3 * 0.006 / span**2
    expected = exact.uniform_load_moment_Nm(load, 100e3, stiffness, span)
    assert found.moment_Nm == pytest.approx(expected, rel=1e-6)
    assert found.first_order_moment_Nm == pytest.approx(load * span**2 / 8.0, rel=1e-9)
    assert found.critical_force_N == pytest.approx(exact.euler_load_N(stiffness, span), rel=1e-6)


def test_slack_offset_and_wind_each_bend_it_more() -> None:
    plain = analysis(lift(STIFF)).solved(50e3, factor=1.0, bow_divisor=500.0).moment_Nm
    slack = analysis(lift(("joint_mass: 3 kg", STIFF[1] + ", joint_slack: 4 mrad")))
    windy = analysis(lift(STIFF), wind_m_s=20.0)
    offset = analysis(lift(STIFF, ("pin_offset: 6 mm", "pin_offset: 20 mm")))
    for other in (slack, windy, offset):
        assert other.solved(50e3, factor=1.0, bow_divisor=500.0).moment_Nm > plain


def test_slack_of_one_joint_adds_compression_times_its_offset() -> None:
    kinked = analysis(lift(("joint_mass: 3 kg", "joint_mass: 3 kg, joint_slack: 4 mrad"))).solved(
        1.0, factor=1.0, bow_divisor=500.0
    )
    straight = analysis(lift()).solved(1.0, factor=1.0, bow_divisor=500.0)
    grown = kinked.first_order_moment_Nm - straight.first_order_moment_Nm
    # Three joints of 3.3 m; the middle one alone offsets by a quarter of 4 mrad times 1.95 m times 1.35 m over 3.3 m.
    assert 0.004 * 1.95 * 1.35 / 3.3 < grown < 0.004 * 3.3 / 2.0


def test_at_its_critical_load_it_is_refused() -> None:
    strut = analysis(lift())
    beyond = strut.solved(5e6, factor=1.0, bow_divisor=500.0)
    assert math.isnan(beyond.moment_Nm)
    assert beyond.beyond_critical
    assert all(math.isnan(joint.moment_Nm) for joint in strut.joints(5e6, factor=1.0, bow_divisor=500.0))


def test_joints_carry_moments_and_shears_in_equilibrium() -> None:
    given = lift(STIFF)
    strut = analysis(given)
    joints = strut.joints(60e3, factor=1.0, bow_divisor=500.0)
    assert [joint.station_m for joint in joints] == pytest.approx([0.15, 1.95, 3.15])
    assert {joint.compression_N for joint in joints} == {60e3}
    largest = strut.solved(60e3, factor=1.0, bow_divisor=500.0).moment_Nm
    assert joints[1].moment_Nm == max(joint.moment_Nm for joint in joints)
    assert joints[1].moment_Nm <= largest
    assert joints[1].moment_Nm > 60e3 * 0.006
    assert joints[0].shear_N > joints[1].shear_N
    doubled = strut.joints(60e3, factor=2.0, bow_divisor=500.0)
    assert doubled[1].moment_Nm > 2.0 * joints[1].moment_Nm


def test_a_load_hung_from_the_body_bends_as_a_point_load() -> None:
    bare = analysis(lift(STIFF), gravity_m_s2=1e-9)
    loaded = analysis(lift(STIFF), gravity_m_s2=1e-9, body_loads=(BodyLoad(1.65, 10e3),))
    assert loaded.first_order(1e-6, factor=1.0).largest_Nm == pytest.approx(10e3 * 3.3 / 4.0, rel=1e-6)
    assert bare.first_order(1e-6, factor=1.0).largest_Nm < 1.0


# What is not stated, and what the maker says.


def test_an_unstated_stiffness_is_taken_low_and_said() -> None:
    unstated = assessed()
    assert any("stiffness of the joints of F140 is not stated" in gap.text for gap in unstated.gaps)
    check = unstated.check("compression.U1.second_order")
    assert any("not stated: the least of a joint called rigid, 25 EI/L" in text for text in check.assumptions)
    stated = assessed(STIFF)
    assert not any("stiffness of the joints" in gap.text for gap in stated.gaps)
    assert any(
        "15 MN·m/rad, as stated" in text for text in stated.check("compression.U1.second_order").assumptions
    )
    strut = analysis(lift())
    expected = UNSTATED_STIFFNESS * 210e9 * strut.section.second_moment_m4 / 3.3
    assert strut.splice_Nm_per_rad == pytest.approx(expected)


RATING = (
    "joint_mass: 3 kg",
    "joint_mass: 3 kg, rating_source: sheet 4, rating: ["
    "{span: 3.0 m, top_angle_from_vertical: 30 deg, rated_load: 22 t}, "
    "{span: 3.0 m, top_angle_from_vertical: 45 deg, rated_load: 14 t}, "
    "{span: 4.0 m, top_angle_from_vertical: 30 deg, rated_load: 16 t}, "
    "{span: 4.0 m, top_angle_from_vertical: 45 deg, rated_load: RATED}]",
)


def rated(words: str) -> tuple[str, str]:
    return RATING[0], RATING[1].replace("RATED", words)


def test_the_maker_limits_at_the_next_worse_row() -> None:
    check = checked("compression.U1.rating", rated("9 t"))
    # Strut of 3.3 m, top slings at 36 degrees as drawn: the row of 4 m and 45 degrees.
    assert check.capacity.value == pytest.approx(9e3 * 9.81)
    assert check.status is Status.PASS
    load = max(case.tensions_N[line] for case in solved(lift()).design for line in ("V1", "V2"))
    assert check.demand.value == pytest.approx(2.0 * load, rel=0.01)
    assert not any("No rating table" in gap.text for gap in assessed(rated("9 t")).gaps)


def test_the_maker_limits_although_every_calculation_passes() -> None:
    assessment = assessed(rated("6 t"))
    assert failing(assessment) == {"compression.U1.rating"}


def test_what_the_maker_does_not_rate_is_refused() -> None:
    check = checked("compression.U1.rating", rated("null"))
    assert check.status is Status.FAIL
    assert "rates F140 for nothing" in check.refused_because


def test_a_hole_in_the_table_of_the_lift_file_is_said() -> None:
    last = ", {span: 4.0 m, top_angle_from_vertical: 45 deg, rated_load: 9 t}"
    with pytest.raises(InputError, match=r"strut_families\.F140\.rating: .*the table has a hole"):
        lift((rated("9 t")[0], rated("9 t")[1].replace(last, "")))


def test_a_family_without_a_table_is_a_gap() -> None:
    assert any("No rating table of the maker of F140 is entered" in gap.text for gap in assessed().gaps)


def test_many_compressions_at_once_are_those_one_by_one() -> None:
    given = lift(STIFF)
    strut, forces = analysis(given, wind_m_s=10.0), [10e3, 90e3, 5e6]
    together = strut.moments_Nm(forces, factor=1.35, bow_divisor=300.0)
    alone = [strut.solved(force, factor=1.35, bow_divisor=300.0).moment_Nm for force in forces]
    assert together[:2] == pytest.approx(alone[:2], rel=1e-14)
    assert math.isnan(together[2])
    assert math.isnan(alone[2])
    first = strut.first_order_Nm(forces, factor=1.35)
    assert first["largest"][1] == pytest.approx(strut.first_order(90e3, factor=1.35).largest_Nm, rel=1e-14)


def test_a_tolerance_study_follows_the_moments_of_every_strut() -> None:
    given = lift(STIFF)
    problem = state_problem(given)
    found = StrutMoments(given, problem).quantities({"U1": np.array([20e3, 30e3])})
    level = analysis(given).solved(30e3, factor=3.45, bow_divisor=500.0).moment_Nm
    assert found["strut_moment:U1:allowable_stress"][1] == pytest.approx(level)
    assert {"strut_first_order:U1:largest", "strut_first_order:U1:end", "strut_first_order:U1:middle"} <= set(
        found
    )
    off_its_pins = lift(*INBOARD)
    assert StrutMoments(off_its_pins, state_problem(off_its_pins)).quantities({"U1": np.array([20e3])}) == {}
