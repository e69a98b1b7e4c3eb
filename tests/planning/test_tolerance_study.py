"""The tolerance study: what it must agree with, where it must differ, and that it is the same however it is run."""

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats
from tests.planning import small_lifts
from tests.scenarios.variants import assessed, example

from plumbhook.core.check import Status
from plumbhook.core.errors import InputError, NotEvaluatedError
from plumbhook.model.load import cog_m
from plumbhook.planning import tolerance
from plumbhook.planning.assemble import assemble
from plumbhook.planning.assess import state_problem
from plumbhook.planning.tolerance import tolerance_study
from plumbhook.planning.tolerance_json import study_from_json, study_to_json
from plumbhook.planning.tolerance_linear import LinearRig
from plumbhook.planning.tolerance_rig import StudyRig
from plumbhook.planning.tolerance_run import BLOCK, StudyCancelledError, draw, kernel_form, solve_inputs
from plumbhook.planning.tolerance_skew import FourLines, four_lines
from plumbhook.planning.tolerance_study import Share
from plumbhook.statics import solve

G, FACTOR = 9.81, 1.1
ONLY_MASS = """
tolerances:
  mass: {shape: normal, half_width: 4 %, source: weighed}
  sling_lengths: {roundsling: {half_width: 0 %, source: measured}}
  stiffness: {roundsling: {together: 0 %, each: 0 %, source: tested}}
"""
EXACT_COG = (
    "cog_box: {x: 20 mm, y: 20 mm, z: 20 mm, source: weighed}",
    "cog_box: {x: 0 mm, y: 0 mm, z: 0 mm, source: weighed}",
)


def quantity(study, key):
    return next(row for row in study.quantities if row.key == key)


@pytest.fixture(scope="module")
def strut():
    """A strut on a load of two points: determinate, nothing goes slack."""
    return tolerance_study(small_lifts.read(small_lifts.ONE_STRUT), samples=1200, seed=5)


@pytest.fixture(scope="module")
def bridle():
    """Four legs from one hook to a stiff load: what the lengths do, statics does not decide."""
    return tolerance_study(small_lifts.read(small_lifts.BRIDLE_OF_FOUR), samples=2000, seed=5)


def test_a_force_in_proportion_to_the_mass_has_the_quantiles_of_the_normal_distribution():
    """Quantiles of the normal distribution by scipy; deviation of a linear function by JCGM 100:2008 5.1.2."""
    lift = small_lifts.read(small_lifts.ONE_STRUT + ONLY_MASS, EXACT_COG)
    study = tolerance_study(lift, samples=4000)
    row = quantity(study, "hook_load")
    deviation = 0.02 * 6000.0 * G * FACTOR
    assert [one.name for one in study.inputs] == ["mass of the load"]
    assert row.deviation_first_order == pytest.approx(row.deviation, rel=1e-5)
    assert row.deviation == pytest.approx(deviation, rel=4.0 / math.sqrt(2.0 * 4000.0))
    for level, found in zip((0.05, 0.5, 0.95, 0.999), row.sampled, strict=True):
        density = stats.norm.pdf(stats.norm.ppf(level))
        error = math.sqrt(level * (1.0 - level) / 4000.0) / density
        assert abs((found - row.middle) / deviation - stats.norm.ppf(level)) < 4.0 * error
    assert [(one.group, round(one.first_order, 9)) for one in row.contributions] == [("mass", 1.0)]


def test_where_nothing_goes_slack_the_samples_have_the_bands_of_first_order(strut):
    assert strut.slack.counted == 0
    for row in strut.quantities:
        if row.key.startswith(("tension", "hook_load")):
            assert row.deviation == pytest.approx(row.deviation_first_order, rel=0.01), row.key
            assert row.sampled == pytest.approx(row.first_order, rel=0.01), row.key


def test_of_the_demo_lift_too():
    study = tolerance_study(example("hallowmere-viaduct"), samples=1000)
    for row in study.quantities:
        if row.key.startswith(("tension", "compression", "hook_load", "rig_height")):
            assert row.deviation == pytest.approx(row.deviation_first_order, rel=0.03), row.key
            assert row.sampled == pytest.approx(row.first_order, rel=0.01), row.key
    tilt = quantity(study, "tilt")
    for one in tilt.contributions:
        assert one.sampled == pytest.approx(one.first_order, abs=0.05), one.group
    assert sum(one.first_order for one in tilt.contributions) == pytest.approx(1.0)


def test_where_lines_go_slack_first_order_is_wrong_and_the_study_says_so(bridle):
    assert bridle.slack.counted > 50
    row = quantity(bridle, "tension:T1")
    assert row.deviation_first_order > 1.05 * row.deviation
    assert row.first_order[3] > 1.2 * row.sampled[3]
    assert "slack" in row.remark
    assert any(
        check.check_id == "slack.lines" and check.fails.counted == bridle.slack.counted
        for check in bridle.checks
    )


def test_slopes_of_first_order_are_those_of_neighbouring_rests():
    lift = example("hallowmere-viaduct")
    rig = StudyRig.of(lift, state_problem(lift))
    linear = LinearRig.of(rig, solve(rig.graph)).slopes()
    step = 0.02 * np.diag(rig.inputs.deviations)
    both = solve_inputs(
        rig, rig.inputs.middles + np.concatenate([step, -step]), kernel_form(100)
    ).answers.quantities
    count = len(step)
    for key in (
        "tension:T1",
        "tension:M3",
        "compression:U1",
        "compression:S2",
        "tilt_x",
        "tilt_y",
        "hook_load",
        "off_axis:L1",
    ):
        found = (both[key][:count] - both[key][count:]) / 0.04
        assert found == pytest.approx(linear[key], rel=2e-3, abs=2e-3 * np.abs(found).max()), key


def test_the_middle_of_every_band_is_the_plan_without_its_weight_factor(strut):
    assert quantity(strut, "hook_load").planned > 1.04 * quantity(strut, "hook_load").middle
    assert quantity(strut, "tension:V1").corner >= quantity(strut, "tension:V1").middle


def test_the_worst_corner_of_a_force_is_that_of_the_rig_hung_with_its_load_there(strut):
    """Each corner of the box assembled and solved by itself, outside of the study and of the assessment."""
    lift = small_lifts.read(small_lifts.ONE_STRUT)
    problem, box = state_problem(lift), lift.file.load.cog_box
    middle, half = cog_m(lift.file.load), (box.x_m, box.y_m, box.z_m)
    assert all(half)
    tensions = {}
    for signs in itertools.product((1.0, -1.0), repeat=3):
        at = tuple(c + sign * h for c, sign, h in zip(middle, signs, half, strict=True))
        rig = assemble(
            problem.rig,
            problem.layout,
            problem.lift_points_m,
            load_mass_kg=problem.expected_mass_kg,
            cog_m=at,
            gravity_m_s2=problem.gravity_m_s2,
        )
        tensions[signs] = solve(rig.graph).tensions_N
    for line in ("T1", "T2", "V1", "V2"):
        worst = FACTOR * max(found[line] for found in tensions.values())
        assert quantity(strut, f"tension:{line}").corner == pytest.approx(worst, rel=1e-7), line


def test_threads_do_not_change_a_digit():
    lift = small_lifts.read(small_lifts.BRIDLE_OF_TWO)
    one, two = (tolerance_study(lift, samples=BLOCK + 700, seed=3, threads=n) for n in (1, 2))
    assert study_to_json(one) == study_to_json(two)


def test_another_seed_draws_other_samples_and_the_same_seed_the_same(strut):
    lift = small_lifts.read(small_lifts.ONE_STRUT)
    assert study_to_json(tolerance_study(lift, samples=1200, seed=5)) == study_to_json(strut)
    other = tolerance_study(lift, samples=100, seed=6)
    assert quantity(other, "tilt").sampled != quantity(strut, "tilt").sampled


def test_the_first_samples_of_a_long_study_are_those_of_a_short_one():
    lift = small_lifts.read(small_lifts.ONE_STRUT)
    inputs = StudyRig.of(lift, state_problem(lift)).inputs
    assert np.array_equal(draw(inputs, 1, 0), draw(inputs, 1, 0))
    assert not np.array_equal(draw(inputs, 1, 0), draw(inputs, 1, 1))


def test_a_study_survives_json(bridle):
    text = study_to_json(bridle)
    assert study_to_json(study_from_json(text)) == text
    assert study_from_json(text).stations == bridle.stations


def test_progress_counts_every_sample():
    seen = []
    tolerance_study(
        small_lifts.read(small_lifts.BRIDLE_OF_TWO),
        samples=BLOCK + 10,
        progress=lambda done, of: seen.append((done, of)),
    )
    assert seen == [(BLOCK, BLOCK + 10), (BLOCK + 10, BLOCK + 10)]


def test_a_study_that_is_stopped_ends_at_once():
    seen = []
    with pytest.raises(StudyCancelledError):
        tolerance_study(
            small_lifts.read(small_lifts.BRIDLE_OF_TWO),
            samples=1_000_000,
            progress=lambda done, _: seen.append(done),
            cancelled=lambda: True,
        )
    assert len(seen) == 1


@pytest.mark.parametrize(
    ("given", "field"),
    [
        ({"samples": 10}, "samples"),
        ({"samples": 10**8}, "samples"),
        ({"seed": -1}, "seed"),
        ({"threads": 0}, "threads"),
    ],
)
def test_numbers_that_make_no_sense_are_refused(given, field):
    with pytest.raises(InputError) as raised:
        tolerance_study(small_lifts.read(small_lifts.BRIDLE_OF_TWO), **given)
    assert raised.value.problems[0].field == field


def test_a_load_that_turns_over_in_the_middle_of_its_bands_has_no_study():
    lift = small_lifts.read(
        small_lifts.ONE_STRUT,
        ("cog: [0 m, 0 m, 0.5 m]", "cog: [0 m, 0 m, 1.05 m]"),
        ("[2 m, 1 m, 1.0 m]", "[2 m, 1 m, 2 m]"),
    )
    with pytest.raises(NotEvaluatedError, match="middle of its band"):
        tolerance_study(lift, samples=100)


def test_the_demo_lift_leaves_no_check_of_its_assessment_out():
    study = tolerance_study(example("hallowmere-viaduct"), samples=100)
    assert [check.check_id for check in study.checks if check.how == "not evaluated"] == []
    assert len(study.checks) == len(assessed("hallowmere-viaduct").checks)


def test_every_check_of_the_assessment_is_in_the_study_and_says_how(strut):
    ids = [check.check_id for check in strut.checks]
    assert len(ids) == len(set(ids))
    assert {check.how for check in strut.checks} <= {"sampled", "constant", "not evaluated"}
    for check in strut.checks:
        assert (check.fails is not None) == (check.how == "sampled")
        assert check.how != "not evaluated" or check.reason


def test_a_study_with_something_not_evaluated_does_not_pass(strut):
    # The small lift has no place: nobody knows the crane.
    assert next(check for check in strut.checks if check.check_id == "place").how == "not evaluated"
    assert strut.status is not Status.PASS


def test_accepted_failures_are_held_against_the_upper_end_of_their_interval():
    share = Share(counted=1, unknown=0, of=10_000, low=2e-6, high=6e-4)
    assert tolerance._status((), share, 0.0) is Status.FAIL
    assert tolerance._status((), share, 5e-4) is Status.FAIL
    assert tolerance._status((), share, 1e-3) is Status.NOT_EVALUATED  # without a check nothing passes
    unknown = replace(share, counted=0, unknown=3)
    assert tolerance._status((), unknown, 1.0) is Status.NOT_EVALUATED


def test_samples_without_a_rest_never_count_as_passing(monkeypatch):
    solved = tolerance_study.__globals__["run_samples"].__globals__["solve_batch"]

    def one_is_lost(graph, samples, **options):
        result = solved(graph, samples, **options)
        if len(samples) < 100:
            return result
        lost = np.zeros(len(samples), dtype=bool)
        lost[7] = True
        nan = {
            name: np.where(
                lost.reshape(-1, *[1] * (getattr(result, name).ndim - 1)), np.nan, getattr(result, name)
            )
            for name in ("tensions_N", "tilt_rad", "origin_m", "rotation")
        }
        return replace(
            result, converged=~lost, stable=result.stable & ~lost, slack=result.slack & ~lost[:, None], **nan
        )

    monkeypatch.setitem(tolerance_study.__globals__["run_samples"].__globals__, "solve_batch", one_is_lost)
    study = tolerance_study(small_lifts.read(small_lifts.BRIDLE_OF_TWO), samples=200)
    assert study.not_at_rest == 1
    energy = next(check for check in study.checks if check.check_id == "stability.energy")
    assert (energy.fails.counted, energy.fails.unknown) == (0, 1)
    assert energy.fails.high > 1.0 / 200.0
    assert any("stable rest" in sentence for sentence in study.remarks)


def unequal(leg_m):
    """A bridle of four with one leg longer, everything else in the middle; its answers."""
    lift = small_lifts.read(small_lifts.BRIDLE_OF_FOUR)
    rig = StudyRig.of(lift, state_problem(lift))
    x = rig.inputs.middles.copy()
    x[[row.name for row in rig.inputs.rows].index("length of RS-1")] = leg_m
    return rig, solve_inputs(rig, x[None], kernel_form(100)).answers


def test_equal_legs_have_no_skew():
    rig, answers = unequal(0.0)
    columns = four_lines(rig).columns(rig, answers)
    assert columns["over_equal"][0] == pytest.approx(1.0, abs=1e-9)
    # Against the share of the drawing: stretch turns the legs a little.
    assert columns["over_place"][0] == pytest.approx(1.0, abs=0.02)


def test_one_long_leg_skews_by_a_quarter_of_its_stretch():
    """Closed form: a leg longer by d moves X = EA d/(4 L) from its diagonal to the other (own derivation)."""
    rig, answers = unequal(0.002)
    line = rig.problem.rig.lines["T1"]
    level = unequal(0.0)[1].quantities["tension:T1"][0]
    moved = FACTOR * line.EA_N * 0.002 / (4.0 * line.length_m)
    found = four_lines(rig).columns(rig, answers)["over_equal"][0]
    assert found == pytest.approx(1.0 + moved / level, rel=0.01)


def test_the_guideline_factor_stands_beside_the_computed_one(bridle, strut):
    (row,) = bridle.skew
    assert row.guideline == 1.25
    assert "0027/ND" in row.guideline_source
    assert row.over_equal[0] >= 1.0
    assert row.over_equal[3] == pytest.approx(2.0, abs=0.05)  # two legs carry everything
    assert row.beyond_guideline.counted > 0
    assert strut.skew == ()


def test_matched_slings_skew_less():
    matched = """
tolerances:
  matched_sets: [{items: [RS-1, RS-2, RS-3, RS-4], difference: 10 mm, source: certificate}]
"""
    study = tolerance_study(small_lifts.read(small_lifts.BRIDLE_OF_FOUR + matched), samples=500)
    assert study.skew[0].over_equal[3] < 1.25


def test_four_lines_of_a_frame_that_turns_freely_are_decided_by_statics():
    lift = example("marrow-lane")
    assert four_lines(StudyRig.of(lift, state_problem(lift))) is None
    stiff = replace(
        lift,
        file=lift.file.model_copy(update={"rig": lift.file.rig.model_copy(update={"frame_joints": "stiff"})}),
    )
    found = four_lines(StudyRig.of(stiff, state_problem(stiff)))
    assert isinstance(found, FourLines)
    assert found.lines == ("V1", "V2", "V3", "V4")


@pytest.mark.slow
def test_a_hundred_thousand_samples_agree_with_first_order_within_one_per_cent():
    study = tolerance_study(example("hallowmere-viaduct"), samples=100_000)
    for row in study.quantities:
        if row.key.startswith(("tension", "hook_load")):
            assert row.deviation == pytest.approx(row.deviation_first_order, rel=0.01), row.key
    assert study.not_at_rest == 0
    assert study.any_check_fails.unknown == 0
