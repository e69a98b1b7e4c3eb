"""Checks over samples against the builders of the checks, run for each sample by itself."""

import math
from dataclasses import replace

import numpy as np
import pytest
from tests.planning import small_lifts
from tests.scenarios.variants import example

from plumbhook.core.check import Check, Clause, Status, Step, Value
from plumbhook.planning import tolerance_checks, tolerance_proof
from plumbhook.planning.assess import state_problem
from plumbhook.planning.tolerance_checks import (
    CODES,
    FAIL,
    NOT_EVALUATED,
    PASS,
    CompiledCheck,
    SampleAnswers,
    VaryingCheck,
)
from plumbhook.planning.tolerance_proof import checks_by_builders, sort_checks
from plumbhook.planning.tolerance_rig import StudyRig
from plumbhook.planning.tolerance_run import draw, kernel_form, solve_inputs

LIFTS = {
    **{name: lambda text=text: small_lifts.read(text) for name, text in small_lifts.ALL.items()},
    "Hallowmere": lambda: example("hallowmere-viaduct"),
    "Marrow Lane": lambda: example("marrow-lane"),
}


def rig_of(lift):
    return StudyRig.of(lift, state_problem(lift))


@pytest.mark.parametrize("name", LIFTS)
def test_every_check_of_every_sample_is_what_its_builder_says(name):
    rig = rig_of(LIFTS[name]())
    form = kernel_form(100)
    sorted_ = sort_checks(rig, 1, form)
    solved = solve_inputs(rig, draw(rig.inputs, 42, 3)[:6], form)
    found = {check.check_id: check.over(solved.answers) for check in sorted_.varying}
    assert len(found) > 10
    for row in range(6):
        built = checks_by_builders(rig, solved, row)
        for check in built:
            how, _ = sorted_.how[check.check_id]
            if how == "sampled":
                verdict = found[check.check_id]
                assert verdict.status[row] == CODES[check.status], check.check_id
                assert verdict.utilisation[row] == pytest.approx(check.utilisation, rel=1e-9, abs=1e-9), (
                    check.check_id
                )
            elif how == "constant" and check.station != "second_method":
                base = sorted_.base[check.check_id]
                assert (check.status, check.utilisation) == (
                    base.status,
                    pytest.approx(base.utilisation, nan_ok=True),
                )
    assert sorted_.proof.largest_difference < 1e-9


@pytest.mark.parametrize("name", ["Hallowmere", "bridle of four"])
def test_the_rest_of_a_sample_is_found_again_from_the_drawing(name):
    rig = rig_of(LIFTS[name]())
    x = draw(rig.inputs, 5, 0)[:3]
    solved = solve_inputs(rig, x, kernel_form(100))
    sorted_ = sort_checks(rig, 1, kernel_form(100))
    found = {check.check_id: check.over(solved.answers) for check in sorted_.varying}
    for row in range(3):
        alone = tolerance_checks.checks_of_sample(
            rig.lift,
            rig.problem,
            mass_kg=float(rig.masses_kg(x)[row]),
            cog_m=rig.cogs_m(x)[row],
            lengths_m=rig.lengths_m(x)[row],
            stiffness_factors=rig.inputs.stiffness_factors(x)[row],
        )
        for check in alone:
            if check.check_id in found and math.isfinite(check.utilisation):
                assert found[check.check_id].utilisation[row] == pytest.approx(
                    check.utilisation, rel=1e-5, abs=1e-5
                )


def test_nothing_of_the_demo_lift_is_left_out():
    sorted_ = sort_checks(rig_of(example("hallowmere-viaduct")), 1, kernel_form(100))
    left_out = {check_id: reason for check_id, (how, reason) in sorted_.how.items() if how == "not evaluated"}
    assert left_out == {}
    assert {how for how, _ in sorted_.how.values()} == {"sampled", "constant"}
    assert sorted_.how["ground.alone"][0] == "constant"
    assert sorted_.how["angle.T1"][0] == "constant"


def test_a_check_that_varies_with_something_unknown_is_not_passed(monkeypatch):
    """A builder that reads a number of the sample without saying which quantity it is."""
    built = tolerance_proof.checks_of_sample

    def with_a_stranger(lift, problem, **sample):
        checks = built(lift, problem, **sample)
        heavy = Value("m", sample["mass_kg"], "kg", "mass, but nobody says so", "somewhere")
        limit = Value("m_max", 1e6, "kg", "limit", "policy")
        return (*checks, Check("stranger", "factors", "Stranger", heavy, limit, Clause("rule")))

    monkeypatch.setattr(tolerance_proof, "checks_of_sample", with_a_stranger)
    sorted_ = sort_checks(rig_of(small_lifts.read(small_lifts.ONE_STRUT)), 1, kernel_form(100))
    assert sorted_.how["stranger"] == (
        "not evaluated",
        "it varies with something that the study does not follow",
    )
    assert "stranger" not in {check.check_id for check in sorted_.varying}


def test_a_check_whose_number_is_missing_is_not_evaluated_and_says_why():
    text = small_lifts.ONE_STRUT.replace("rated_load: 8 t, ", "")
    sorted_ = sort_checks(rig_of(small_lifts.read(text)), 1, kernel_form(100))
    assert sorted_.how["lift_point.L1"] == ("not evaluated", "rated load missing")


def answers(**quantities):
    known = {key.replace("__", ":"): np.array(value, dtype=float) for key, value in quantities.items()}
    return SampleAnswers(known, {})


def branch(formula, holds, eccentricity):
    e = Value("e", eccentricity, "m", "eccentricity", "x", quantity="e")
    result = Value("p", 0.0, "Pa", "pressure")
    step = Step(result, formula, (e,), holds_while=holds)
    return Check(
        "ground", "g", "Ground", result, Value("p_all", 10.0, "Pa", "allowed", "y"), Clause("rule"), (step,)
    )


def test_each_sample_takes_the_branch_that_holds_for_it():
    known = answers(e=[0.5, 1.5, 5.0])
    workings = (
        CompiledCheck.of(branch("1 + e", "1 - e", 0.5), known),
        CompiledCheck.of(branch("8*e", "min(e - 1, 2 - e)", 1.5), known),
    )
    verdict = VaryingCheck("ground", "g", "Ground", workings).over(known)
    assert verdict.utilisation[:2] == pytest.approx([0.15, 1.2])
    assert verdict.status.tolist() == [PASS, FAIL, NOT_EVALUATED]
    assert math.isnan(verdict.utilisation[2])


def test_both_branches_of_the_ground_pressure_are_followed():
    """At a radius where the resultant crosses the middle third within the band of the mass."""
    lift = example("hallowmere-viaduct")
    crane = lift.file.place.crane
    tracks = crane.tracks
    problem = state_problem(lift)
    gear = problem.rig.mass_kg + crane.hook_block_kg + crane.hoist_rope_kg
    gross = problem.expected_mass_kg + gear
    radius = (tracks.length_m / 6.0 * (tracks.machine_mass_kg + gross) + tracks.machine_mass_kg
              * tracks.machine_cog_behind_slew_axis_m) / gross  # fmt: skip
    stations = tuple(
        station.model_copy(update={"radius_m": radius}) if station.name == "pick" else station
        for station in lift.file.place.stations
    )
    place = lift.file.place.model_copy(update={"stations": stations})
    moved = replace(lift, file=lift.file.model_copy(update={"place": place}))
    rig = rig_of(moved)
    sorted_ = sort_checks(rig, 1, kernel_form(100))
    ground = next(check for check in sorted_.varying if check.check_id == "ground.pick")
    assert len({working.shape for working in ground.workings}) == 2
    solved = solve_inputs(rig, draw(rig.inputs, 9, 0)[:8], kernel_form(100))
    verdict = ground.over(solved.answers)
    formulas = set()
    for row in range(8):
        check = next(c for c in checks_by_builders(rig, solved, row) if c.check_id == "ground.pick")
        formulas.add(next(step.formula for step in check.steps if step.result.symbol == "p_max"))
        assert verdict.utilisation[row] == pytest.approx(check.utilisation, rel=1e-12)
    assert len(formulas) == 2


@pytest.mark.parametrize(
    ("demand", "capacity"),
    [(1.0, 2.0), (2.0, 2.0), (3.0, 2.0), (1.0, 0.0), (1.0, -1.0), (-1.0, 2.0), (math.nan, 2.0), (1.0, math.nan),
     (math.inf, 2.0), (1.0, math.inf)],
)  # fmt: skip
def test_verdicts_over_samples_are_those_of_one_check(demand, capacity):
    asked = Value("D", demand, "N", "demand", "x", quantity="D")
    check = Check("c", "s", "t", asked, Value("C", capacity, "N", "limit", "y", quantity="C"), Clause("rule"))
    known = answers(D=[demand], C=[capacity])
    verdict, _ = CompiledCheck.of(check, known).over(known)
    assert verdict.status[0] == CODES[check.status]
    assert verdict.utilisation[0] == pytest.approx(check.utilisation, nan_ok=True)


def test_the_largest_of_several_lines_is_a_quantity_of_its_own():
    known = answers(tension__T1=[1.0, 5.0], tension__T2=[3.0, 2.0])
    assert known.get("largest_tension:T1,T2").tolist() == [3.0, 5.0]
    assert known.get("largest_tension:T1,T9") is None


def test_a_refusal_that_stands_for_every_sample_stays():
    refused = replace(branch("1 + e", "", 0.5), refused_because="broken outright")
    known = answers(e=[0.1])
    verdict, _ = CompiledCheck.of(refused, known).over(known)
    assert verdict.status[0] == FAIL
    assert refused.status is Status.FAIL
