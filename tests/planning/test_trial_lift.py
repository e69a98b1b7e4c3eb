"""The trial lift: expected readings, the way back to weight and centre of gravity, verdict and cure."""

from __future__ import annotations

import math
import random
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from scipy import stats
from tests.planning import small_lifts as small
from tests.planning.test_levelling import as_found
from tests.scenarios.variants import example

from plumbhook.core.errors import InputError
from plumbhook.crane.load_cell import rounded_inward
from plumbhook.model.load import cog_m
from plumbhook.model.trial_lift_file import (
    HookReading,
    MayBeAboard,
    Readings,
    RigAccuracy,
    TiltReading,
    parse_readings,
)
from plumbhook.planning import assess
from plumbhook.planning.assess import state_problem
from plumbhook.planning.levelling_rest import LoadState, with_lengths
from plumbhook.planning.tolerance_inputs import scattered_inputs
from plumbhook.planning.trial_lift import back_solve, expected_readings
from plumbhook.planning.trial_lift_back_solve import Inverse, chi_square_exceeded, fit
from plumbhook.planning.trial_lift_back_solve import inverse_of as inverse_for
from plumbhook.planning.trial_lift_channels import predict, rig_channels
from plumbhook.planning.trial_lift_hypotheses import weigh_hypotheses
from plumbhook.planning.trial_lift_records import Band, TrialVerdict

WATER = MayBeAboard.model_validate(
    {"what": "water in the exchanger", "at": ["3.40 m", "0.10 m", "0.90 m"], "most": "1000 kg"}
)


def readings(values: dict[str, float], *, height_m: float = 3.05, **more) -> Readings:
    """Readings by channel name."""
    head = parse_readings("trial_lift: {taken: 2027-03-24 07:40, by: S, cells: {X: 1 t}}")
    tilt = {"x_plus_low_rad": values.get("tilt x"), "y_plus_low_rad": values.get("tilt y")}
    hook = {"x_m": values.get("hook x"), "y_m": values.get("hook y")}
    fields = {
        "cells_kg": {name: value for name, value in values.items() if " " not in name},
        "tilt": TiltReading.model_construct(**tilt, accuracy_rad=math.radians(0.1))
        if any(value is not None for value in tilt.values())
        else None,
        "hook_over": HookReading.model_construct(**hook, height_m=height_m, accuracy_m=0.02)
        if any(value is not None for value in hook.values())
        else None,
        **more,
    }
    return head.model_copy(update=fields)


def true_readings(lift, load: LoadState, only: tuple[str, ...] = ()) -> dict[str, float]:
    """What exact instruments would read, by the real equilibrium."""
    problem = state_problem(lift)
    channels = rig_channels(problem)
    values = predict(problem, load, channels).values
    found = {channel.name: float(value) for channel, value in zip(channels, values, strict=True)}
    return {name: value for name, value in found.items() if not only or name in only}


READ = np.array([False, False, False, True])
"""Mass, x and y are told by the readings, z is held by the claim."""


def inverse_of(lift, values) -> Inverse:
    """All channels of a rig to be solved back."""
    problem = state_problem(lift)
    return inverse_for(problem, lift, rig_channels(problem), values, RigAccuracy())


CELL_AND_LEVEL = ("LC-30-01", "tilt x", "tilt y")


@pytest.fixture(scope="module")
def skid():
    return example("marrow-lane")


@pytest.fixture(scope="module")
def card(skid):
    return expected_readings(skid)


class TestTheCardBeforeTheLift:
    def test_cell_below_the_hook_of_the_skid(self, card) -> None:
        """Stated: 19.00 t, green 0.32 t, stop beyond 0.63 t; the edges are rounded inward."""
        cell = card.channel("LC-30-01")
        assert cell.expected == pytest.approx(19_000.0, abs=5.0)
        assert cell.half_width == pytest.approx(320.0, abs=5.0)
        assert cell.green == (18_680.0, 19_310.0)
        assert cell.red == (18_370.0, 19_620.0)
        assert (cell.band(19_310.0), cell.band(19_320.0)) == (Band.GREEN, Band.AMBER)
        assert (cell.band(19_620.0), cell.band(19_630.0)) == (Band.AMBER, Band.RED)
        assert cell.band(math.nan) is Band.RED

    def test_the_plan_and_the_card_say_the_same_of_the_cell(self, card, skid) -> None:
        planned = assess(skid).trial_lift
        assert planned is not None
        cell = card.channel(planned.serial)
        assert (cell.expected, cell.half_width) == (planned.expected_kg, planned.green_kg)
        assert (cell.green, cell.red) == (planned.green_edges_kg, planned.red_edges_kg)

    def test_the_working_of_the_cell_is_the_root_sum_of_squares_of_its_parts(self, card) -> None:
        cell = card.channel("LC-30-01")
        assert cell.parts["mass of the load"] == pytest.approx(0.015 * 16_850.0)
        assert cell.parts["instrument"] == pytest.approx(0.01 * cell.expected)
        for channel in card.channels:
            assert channel.half_width == pytest.approx(math.hypot(*channel.parts.values()), rel=1e-9)

    def test_corners_of_the_claim_lie_where_the_first_order_parts_say(self, card) -> None:
        words = ("mass of the load", "centre of gravity x", "centre of gravity y", "centre of gravity z")
        for channel in card.channels:
            reach = sum(channel.parts.get(word, 0.0) for word in words)
            assert channel.corners[1] - channel.expected == pytest.approx(reach, rel=0.05, abs=1e-4)
            assert channel.expected - channel.corners[0] == pytest.approx(reach, rel=0.05, abs=1e-4)

    def test_the_level_of_the_skid_is_that_of_the_assessment(self, card, skid) -> None:
        hanging = next(
            c for c in assess(skid).cases if c.method.value == "elastic" and c.basis.name == "EXPECTED"
        )
        assert card.channel("tilt x").expected == pytest.approx(hanging.tilt_x_rad, abs=1e-9)
        assert card.channel("tilt y").expected == pytest.approx(hanging.tilt_y_rad, abs=1e-9)

    def test_a_rig_without_a_cell_says_that_no_reading_tells_the_weight(self) -> None:
        assert any("no load cell" in note for note in expected_readings(small.read(small.ONE_STRUT)).notes)


@given(low=st.floats(-1e5, 1e5), width=st.floats(25.0, 1e4), step=st.sampled_from([10.0, 1.0, 0.001]))
def test_bands_are_rounded_inward_by_less_than_a_step(low: float, width: float, step: float) -> None:
    lower, upper = rounded_inward(low, low + width, step)
    grace = 1e-6 * step + 1e-9 * (abs(low) + width)
    assert low - grace <= lower < low + step + grace
    assert low + width - step - grace < upper <= low + width + grace


def test_channels_change_as_their_sensitivities_say(skid) -> None:
    problem = state_problem(skid)
    channels = rig_channels(problem)
    load = LoadState(17_300.0, (4.0, 0.05, 1.2))
    at = predict(problem, load, channels)
    for unknown, step in enumerate((1.0, 1e-4, 1e-4, 1e-4)):
        moved = []
        for sign in (1.0, -1.0):
            off = [0.0, 0.0, 0.0, 0.0]
            off[unknown] = sign * step
            x, y, z = (c + d for c, d in zip(load.cog_m, off[1:], strict=True))
            moved.append(predict(problem, LoadState(load.mass_kg + off[0], (x, y, z)), channels).values)
        change = (moved[0] - moved[1]) / (2.0 * step)
        assert at.by_load[:, unknown] == pytest.approx(change, rel=1e-5, abs=1e-8)
    step = 1e-5
    for number, (name, line) in enumerate(problem.rig.lines.items()):
        changed = [
            predict(with_lengths(problem, {name: line.length_m + sign * step}), load, channels).values
            for sign in (1.0, -1.0)
        ]
        change = (changed[0] - changed[1]) / (2.0 * step)
        # A hook drawn elsewhere moves nothing seen from the load.
        assert at.by_length[:, number] == pytest.approx(change, rel=1e-4, abs=1e-6)


class TestTheWaterLeftInTheExchanger:
    """Stated: 450 kg of water; the cell reads 19.45 t, amber; the level, 0.24 deg more west low, says where."""

    @pytest.fixture(scope="class")
    @staticmethod
    def found(skid):
        values = true_readings(skid, as_found(skid), CELL_AND_LEVEL)
        return back_solve(skid, readings(values, may_be_aboard=(WATER,)))

    def test_the_readings(self, found, card) -> None:
        reading = {one.name: one.reading for one in found.readings}
        assert reading["LC-30-01"] == pytest.approx(19_450.0, abs=5.0)
        more = math.degrees(card.channel("tilt x").expected - reading["tilt x"])
        assert more == pytest.approx(0.24, abs=0.01)

    def test_450_kg_more_and_west_of_where_it_was_claimed(self, found) -> None:
        assert found.estimate is not None
        assert found.estimate.mass_kg - 16_850.0 == pytest.approx(450.0, abs=0.01)
        x, y, _ = found.estimate.cog_m
        assert (x, y) == pytest.approx((4.059, 0.022), abs=5e-4)

    def test_amber_and_why(self, found) -> None:
        assert found.verdict is TrialVerdict.AMBER
        assert any("0.45 t more than claimed" in reason for reason in found.reasons)

    def test_water_in_the_exchanger_explains_it_best(self, found) -> None:
        first = found.hypotheses[0]
        assert first.what == "water in the exchanger"
        assert first.mass_kg == pytest.approx(450.0, abs=5.0)
        assert first.low_kg < 300.0
        assert first.high_kg > 600.0
        assert sum(one.probability for one in found.hypotheses) == pytest.approx(1.0)

    def test_of_the_parts_those_to_the_west_are_more_probable_than_those_to_the_east(self, found) -> None:
        probability = {one.what.split(" heavier")[0]: one.probability for one in found.hypotheses}
        assert probability["Plate heat exchanger"] > 3.0 * probability["Buffer vessel (drained)"]

    def test_the_cure_sets_lines_by_whole_steps_and_hangs_it_more_level(self, found) -> None:
        cure = found.cure
        assert cure is not None
        assert cure.changes
        assert cure.after is not None
        assert cure.after.tilt_rad < 0.6 * cure.before.tilt_rad
        for change in cure.changes:
            assert change.steps is not None
            assert change.to_m - change.from_m == pytest.approx(0.06 * change.steps)

    def test_what_the_readings_do_not_tell_is_said(self, found) -> None:
        assert found.estimate is not None
        assert found.estimate.told == (True, True, True, False)
        assert any("Z of the centre of gravity stays as claimed" in one for one in found.observability)
        assert "no spare reading" in found.consistency.why

    @pytest.mark.parametrize("seed", range(6))
    def test_it_is_found_through_the_errors_of_the_instruments(self, skid, seed: int) -> None:
        draw = random.Random(seed)
        values = true_readings(skid, as_found(skid))
        for name in values:
            width = (
                0.01 * values[name] if name == "LC-30-01" else math.radians(0.1) if "tilt" in name else 0.02
            )
            values[name] += draw.uniform(-width, width)
        inverse = inverse_of(skid, np.array(list(values.values())))
        found = fit(inverse, READ)
        sd = np.sqrt(np.diag(found.covariance))
        assert abs(found.load.mass_kg - 17_300.0) <= 2.0 * sd[0]
        for axis in (0, 1):
            assert abs(found.load.cog_m[axis] - as_found(skid).cog_m[axis]) <= 2.5 * sd[axis + 1]
        causes = weigh_hypotheses(inverse, found, skid.file.load, (WATER,))
        water = next(one for one in causes if one.what == "water in the exchanger")
        assert water.low_kg <= 450.0 <= water.high_kg


@settings(max_examples=4, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(mass=st.floats(14_000.0, 18_500.0), x=st.floats(3.7, 4.7), y=st.floats(-0.3, 0.3))
def test_exact_readings_give_back_the_exact_load(skid, mass: float, x: float, y: float) -> None:
    problem, load = state_problem(skid), skid.file.load
    true = LoadState(mass, (x, y, cog_m(load)[2]))
    found = fit(inverse_of(skid, predict(problem, true, rig_channels(problem)).values), READ)
    assert found.load.mass_kg == pytest.approx(mass, rel=1e-9)
    assert found.load.cog_m == pytest.approx(true.cog_m, abs=1e-7)
    assert found.chi_square < 1e-9


def test_a_wrong_height_moves_only_along_the_plumb_line(skid) -> None:
    """In one attitude z cannot be told: the centre of gravity is found on its plumb line, at the claimed height."""
    x, y, z = cog_m(skid.file.load)
    true = LoadState(16_850.0, (x, y, z + 0.3))
    found = back_solve(skid, readings(true_readings(skid, true)), with_cure=False)
    assert found.estimate is not None
    assert found.estimate.mass_kg == pytest.approx(16_850.0, rel=1e-6)
    values = true_readings(skid, true)
    for axis, at in enumerate((x, y)):
        slope = math.tan(values[f"tilt {'xy'[axis]}"])
        assert found.estimate.cog_m[axis] == pytest.approx(at + 0.3 * slope, abs=2e-4)


class TestWhatCellsTell:
    def test_a_cell_below_the_hook_alone_tells_the_weight_only(self, skid) -> None:
        found = back_solve(skid, readings({"LC-30-01": 19_446.0}), with_cure=False)
        assert found.estimate is not None
        assert found.estimate.mass_kg == pytest.approx(17_300.0, abs=0.01)
        assert found.estimate.told == (True, False, False, False)
        assert found.estimate.cog_m == pytest.approx(cog_m(skid.file.load), abs=1e-9)
        assert any("alone says nothing" in one for one in found.observability)

    def test_level_alone_does_not_tell_the_weight(self, skid) -> None:
        values = true_readings(skid, as_found(skid), ("tilt x", "tilt y"))
        found = back_solve(skid, readings(values), with_cure=False)
        assert found.estimate is not None
        assert found.estimate.told == (False, True, True, False)
        assert found.estimate.mass_kg == pytest.approx(16_850.0, rel=1e-3)

    def test_weighing_on_two_cells(self) -> None:
        """Wheelbase 2.5 m, 52 % at the front: centre of gravity 1.3 m from the rear (published worked example)."""
        lift = small.read(TWO_CELLS)
        found = back_solve(
            lift, readings({"LC-A": 0.48 * 4_000.0 + 10.0, "LC-B": 0.52 * 4_000.0 + 10.0}), with_cure=False
        )
        assert found.estimate is not None
        assert found.estimate.mass_kg == pytest.approx(4_000.0, rel=1e-4)
        assert found.estimate.cog_m[0] == pytest.approx(1.3, abs=2e-3)
        assert found.estimate.told == (True, True, False, False)

    @pytest.mark.parametrize(("e_m", "drop_m", "tilt_deg"), [(0.3, 6.0, 2.862), (0.1, 4.0, 1.432)])
    def test_a_load_on_one_hook_hangs_with_its_centre_of_gravity_plumb_below(
        self, e_m, drop_m, tilt_deg
    ) -> None:
        """``tan(tilt) = e / h`` (closed form); the reading gives back the offset."""
        z = 0.5
        leg = math.sqrt(1.0 + (drop_m + z - 1.0) ** 2)
        points = {
            f"L{i}": f"[{x} m, {y} m, 1.0 m]"
            for i, (x, y) in enumerate(((1, 0), (-0.5, 0.8660254), (-0.5, -0.8660254)))
        }
        text = small.bridle(points, length=f"{leg!r} m").replace(
            "elongation_at_wll: 5 %", "elongation_at_wll: 0.0001 %"
        )
        measured = RigAccuracy.model_validate({"length": "1 mm", "stiffness": "1 %"})
        level_reading = readings({"tilt x": math.radians(tilt_deg), "tilt y": 0.0}, rig_accuracy=measured)
        found = back_solve(small.read(text), level_reading, with_cure=False)
        assert found.estimate is not None
        assert found.estimate.cog_m[0] == pytest.approx(e_m, abs=1e-4)


TWO_CELLS = (
    small.HEAD
    + small.equipment(
        *(small.sling(f"RV-{i}", "3.0 m") for i in (1, 2)),
        *(
            small.item(f"LC-{end}", "load cell", wll="5 t", mass="10 kg", length="0.3 m", accuracy="0.2 %")
            for end in "AB"
        ),
    )
    + small.load(
        {"L1": "[0 m, 0 m, 1.0 m]", "L2": "[2.5 m, 0 m, 1.0 m]"}, cog="[1.2 m, 0 m, 0.5 m]", mass="4.05 t"
    ).replace("low: [-2 m, -1 m, 0 m], high: [2 m, 1 m", "low: [-1 m, -1 m, 0 m], high: [3.5 m, 1 m")
    + """
rig:
  arrangement: free
  hooks: {g: [0 m, 0 m, 4.3 m], h: [2.5 m, 0 m, 4.3 m]}
  lines:
    V1: {from: hook.g, to: load.L1, items: [LC-A, RV-1]}
    V2: {from: hook.h, to: load.L2, items: [LC-B, RV-2]}
"""
)


class TestReadingsThatNoWeightExplains:
    def test_hook_and_level_that_disagree_name_a_channel(self, skid) -> None:
        values = true_readings(skid, as_found(skid))
        values["hook x"] += 0.4
        found = back_solve(skid, readings(values), with_cure=False)
        assert not found.consistency.explained
        assert found.consistency.out == "hook x"
        assert found.verdict is TrialVerdict.STOP
        assert (found.estimate, found.cure, found.hypotheses) == (None, None, ())
        assert "No weight explains" in found.consistency.why

    def test_one_of_two_cells_that_is_out_is_stopped_by_the_place_it_implies(self) -> None:
        lift = small.read(TWO_CELLS)
        found = back_solve(lift, readings({"LC-A": 2_000.0, "LC-B": 1.0}), with_cure=False)
        assert found.verdict is TrialVerdict.STOP

    def test_a_load_that_would_have_its_centre_of_gravity_beside_itself(self, skid) -> None:
        values = true_readings(skid, as_found(skid), CELL_AND_LEVEL)
        values["tilt y"] = math.radians(40.0)
        found = back_solve(skid, readings(values), with_cure=False)
        assert found.verdict is TrialVerdict.STOP
        assert not found.consistency.explained
        assert found.consistency.out == "tilt y"

    def test_a_cell_that_reads_less_than_the_rig_itself(self, skid) -> None:
        found = back_solve(skid, readings({"LC-30-01": 500.0}), with_cure=False)
        assert not found.consistency.explained
        assert found.verdict is TrialVerdict.STOP


class TestStop:
    def test_heavier_than_strength_was_checked_with(self, skid) -> None:
        load = replace(as_found(skid), mass_kg=17_900.0)
        found = back_solve(skid, readings(true_readings(skid, load, CELL_AND_LEVEL)), with_cure=False)
        assert found.verdict is TrialVerdict.STOP
        assert any("more than the 17.69 t" in reason for reason in found.reasons)

    def test_more_tilt_than_the_limit(self, skid) -> None:
        values = true_readings(skid, as_found(skid), CELL_AND_LEVEL)
        values["tilt x"] = math.radians(-2.1)
        found = back_solve(skid, readings(values), with_cure=False)
        assert found.verdict is TrialVerdict.STOP
        assert any("over the limit of 2.00°" in reason for reason in found.reasons)


def test_inside_where_everything_is_as_claimed(skid) -> None:
    claim = LoadState(16_850.0, cog_m(skid.file.load))
    found = back_solve(skid, readings(true_readings(skid, claim)), with_cure=False)
    assert found.verdict is TrialVerdict.INSIDE
    assert found.hypotheses[0].what.startswith("nothing")
    assert all(one.band is Band.GREEN for one in found.readings)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"cells_kg": {"LC-30-09": 19_000.0}}, "trial_lift.cells.LC-30-09"),
        ({"lift_id": "HV-0317"}, "trial_lift.lift"),
    ],
)
def test_readings_of_another_rig_are_refused(skid, change, field) -> None:
    with pytest.raises(InputError) as wrong:
        back_solve(skid, readings({"tilt x": 0.0}).model_copy(update=change), with_cure=False)
    assert [problem.field for problem in wrong.value.problems] == [field]


@given(value=st.floats(0.0, 200.0), freedom=st.integers(1, 12))
def test_chi_square_against_a_reference_library(value: float, freedom: int) -> None:
    assert chi_square_exceeded(value, freedom) == pytest.approx(
        stats.chi2.sf(value, freedom), rel=1e-9, abs=1e-300
    )


@pytest.mark.parametrize(("value", "freedom"), [(math.nan, 2), (-1.0, 2), (math.inf, 1), (1.0, 0)])
def test_chi_square_of_nonsense_is_refused(value: float, freedom: int) -> None:
    with pytest.raises(ValueError, match="chi-square"):
        chi_square_exceeded(value, freedom)


@pytest.mark.slow
def test_the_covariance_is_honest(skid) -> None:
    """In 300 trial lifts with instruments and rig off at random the truth is within two sd about as often as said."""
    problem, load = state_problem(skid), skid.file.load
    claim = LoadState(problem.expected_mass_kg, cog_m(load))
    channels, inputs = rig_channels(problem), scattered_inputs(skid, problem.rig)
    width = np.array([row.half_width for row in inputs.rows])
    middle = inputs.middles
    draw = np.random.default_rng(20270324)
    off = []
    for _ in range(300):
        x, y, z = claim.cog_m
        moved = draw.uniform(-1.0, 1.0, 4) * np.array([600.0, 0.1, 0.05, 0.05])
        true = LoadState(claim.mass_kg + moved[0], (x + moved[1], y + moved[2], z + moved[3]))
        cause = middle + draw.uniform(-1.0, 1.0, len(width)) * width
        longer = dict(zip(inputs.lines, inputs.length @ cause, strict=True))
        stiffer = dict(zip(inputs.lines, inputs.stiffness_factors(cause[None, :])[0], strict=True))
        rig = with_lengths(
            problem, {name: line.length_m + longer[name] for name, line in problem.rig.lines.items()}
        )
        lines = {name: replace(line, EA_N=line.EA_N * stiffer[name]) for name, line in rig.rig.lines.items()}
        values = predict(replace(rig, rig=replace(rig.rig, lines=lines)), true, channels).values
        values = values + [
            draw.uniform(-1.0, 1.0) * c.half_width(v) for c, v in zip(channels, values, strict=True)
        ]
        found = fit(inverse_of(skid, values), READ)
        error = np.array([found.load.mass_kg, *found.load.cog_m]) - np.array([true.mass_kg, *true.cog_m])
        off.append(error / np.sqrt(np.diag(found.covariance)))
    spread = np.array(off)
    assert np.abs(spread.mean(axis=0)) == pytest.approx(np.zeros(4), abs=0.2)
    assert spread.std(axis=0) == pytest.approx(np.ones(4), abs=0.13)
    assert ((np.abs(spread) < 2.0).mean(axis=0) > 0.93).all()
