"""Batches of samples: the same digits in any company, nothing unverified, bad input refused."""

import math
import tracemalloc

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.statics.rigs import KINDS, four_leg_bridle, random_rig, strut_rig, two_point_load
from tests.statics_kernel.sampling import graph_of, rows_of, same_digits, scattered, tensions

from plumbhook.core.errors import InputError
from plumbhook.statics import solve
from plumbhook.statics.kernel import BatchSamples, solve_batch
from plumbhook.statics.kernel.batch import _CHUNK


@pytest.mark.parametrize("kind", KINDS)
def test_a_batch_is_a_loop_of_single_solves_digit_for_digit(kind, compiled):
    rig = random_rig(kind, 6)
    samples = scattered(rig, 21)
    batch = solve_batch(rig, samples, poses=True, form=compiled)
    for row in range(21):
        one = slice(row, row + 1)
        alone = solve_batch(rig, rows_of(samples, one), poses=True, form=compiled)
        assert np.array_equal(alone.tensions_N, batch.tensions_N[one])
        assert np.array_equal(alone.rotation, batch.rotation[one])
        assert np.array_equal(alone.smallest_pivot, batch.smallest_pivot[one])
        assert alone.iterations[0] == batch.iterations[row]


def test_an_easy_sample_is_not_touched_by_hard_neighbours(compiled):
    """A lane that has ended stays as it is while the others of its block go on."""
    rig = random_rig("b", 6)
    easy = scattered(rig, 8, size=0.01)
    hard = scattered(rig, 8, size=4.0)
    mixed = BatchSamples(
        **{
            name: np.concatenate([getattr(easy, name)[:1], getattr(hard, name)[1:]])
            for name in ("mass_kg", "cog_shift_m", "unstretched_length_m", "stiffness_factor")
        }
    )
    among_hard = solve_batch(rig, mixed, form=compiled)
    among_easy = solve_batch(rig, easy, form=compiled)
    assert among_hard.iterations.max() > among_easy.iterations.max()
    assert np.array_equal(among_hard.tensions_N[0], among_easy.tensions_N[0])


def test_threads_and_chunks_change_no_digit(compiled):
    rig = random_rig("d", 2)
    samples = scattered(rig, _CHUNK + 100)
    done = []
    one = solve_batch(rig, samples, form=compiled, progress=lambda now, total: done.append((now, total)))
    two = solve_batch(rig, samples, form=compiled, threads=2)
    assert same_digits(one, two) == []
    assert done == [(_CHUNK, _CHUNK + 100), (_CHUNK + 100, _CHUNK + 100)]


def test_a_long_leg_goes_slack_and_the_others_carry(compiled):
    rig = four_leg_bridle()
    lengths = np.full((9, 4), math.hypot(math.sqrt(8.0), 4.0))
    lengths[:, 0] *= np.linspace(1.0, 1.04, 9)
    samples = BatchSamples(unstretched_length_m=lengths)
    batch = solve_batch(rig, samples, form=compiled)
    assert batch.all_stable
    assert not batch.slack[0].any()
    assert batch.slack[-1].tolist() == [True, False, False, False]
    assert batch.tensions_N[-1, 0] == 0.0
    for row in (4, 8):
        own = graph_of(rig, samples, row)
        expected = tensions(own, solve(own))
        assert batch.tensions_N[row] == pytest.approx(expected, abs=1e-8 * expected.max())


def test_a_sample_with_its_weight_above_the_lift_points_is_not_stable(compiled):
    rig = two_point_load(-1.0)
    shifts = np.zeros((6, 1, 3))
    shifts[3, 0, 2] = 2.0
    batch = solve_batch(rig, BatchSamples(cog_shift_m=shifts), form=compiled)
    assert batch.stable.tolist() == [True, True, True, False, True, True]
    assert batch.converged.all()
    assert batch.resolved == 1
    assert not batch.all_stable


def test_a_sample_whose_forces_rounding_would_hide_is_reported(compiled):
    rig = four_leg_bridle()
    factors = np.ones((5, 4))
    factors[2] = 1e13
    batch = solve_batch(rig, BatchSamples(stiffness_factor=factors), form=compiled)
    assert batch.converged.tolist() == [True, True, False, True, True]
    assert not batch.stable[2]
    assert np.isnan(batch.tensions_N[2]).all()
    assert np.isnan(batch.tilt_rad[2]).all()
    assert batch.resolved == 1


def test_a_lift_on_one_line_turns_freely_and_is_stable(compiled):
    """A leg so long that it hangs loose leaves the load on one line: a neutral motion more, found on the way."""
    rig = two_point_load(-1.0)
    samples = BatchSamples(unstretched_length_m=np.array([[math.sqrt(8.0), 30.0]]))
    batch = solve_batch(rig, samples, form=compiled)
    own = graph_of(rig, samples, 0)
    reference = solve(own)
    assert batch.slack[0].tolist() == [False, True]
    assert batch.converged[0]
    assert batch.tensions_N[0] == pytest.approx([12e3 * 9.80665, 0.0], rel=1e-9)
    assert batch.tensions_N[0] == pytest.approx(tensions(own, reference), rel=1e-8)


def test_a_strut_whose_weight_leaves_its_axis_no_longer_spins_freely(compiled):
    """Its own weight then turns it until the centre of gravity hangs below the axis."""
    rig = strut_rig((0.2, 0.0, -1.0))
    shifts = np.zeros((3, 2, 3))
    shifts[1, 0] = (0.0, 0.05, -0.05)
    samples = BatchSamples(cog_shift_m=shifts)
    batch = solve_batch(rig, samples, poses=True, form=compiled)
    assert batch.all_stable
    # The place of the centre of gravity across the strut, in world axes: straight below.
    across = batch.rotation[1, 0] @ np.array([0.0, 0.05, -0.05])
    assert across[2] < -0.9 * math.hypot(0.05, 0.05)
    own = graph_of(rig, samples, 1)
    expected = tensions(own, solve(own))
    assert batch.tensions_N[1] == pytest.approx(expected, abs=1e-7 * expected.max())


def test_hooks_that_move_apart_or_up_are_followed(compiled):
    rig = random_rig("g", 3)
    hooks = np.array([[hook.position_m for hook in rig.hooks_m]] * 4)
    hooks[1, 0, 2] += 0.5
    hooks[2, 1, 0] += 0.2
    hooks[3, :, :] += (100.0, -50.0, 20.0)
    samples = BatchSamples(hook_position_m=hooks)
    batch = solve_batch(rig, samples, form=compiled)
    assert batch.all_stable
    for row in range(4):
        own = graph_of(rig, samples, row)
        expected = tensions(own, solve(own))
        assert batch.tensions_N[row] == pytest.approx(expected, abs=1e-7 * expected.max())
    assert batch.tensions_N[3] == pytest.approx(batch.tensions_N[0], rel=1e-7)


def test_poses_are_those_of_single_solves(compiled):
    rig = random_rig("c", 8)
    samples = scattered(rig, 3)
    batch = solve_batch(rig, samples, poses=True, form=compiled)
    for row in range(3):
        reference = solve(graph_of(rig, samples, row))
        for number, body in enumerate(rig.bodies):
            height = reference.poses[body.name].origin_m[2]
            assert batch.origin_m[row, number, 2] == pytest.approx(height, abs=1e-6)


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 10**6), kind=st.sampled_from(KINDS), factor=st.sampled_from([0.25, 4.0, 16.0]))
def test_weight_and_stiffness_times_a_power_of_four_is_exact_and_order_does_not_matter(
    compiled, seed, kind, factor
):
    rig = random_rig(kind, seed % 1000)
    samples = scattered(rig, 5, seed)
    batch = solve_batch(rig, samples, form=compiled)
    order = np.random.default_rng(seed).permutation(5)
    shuffled = solve_batch(rig, rows_of(samples, order), form=compiled)
    assert np.array_equal(shuffled.tensions_N, batch.tensions_N[order])
    heavier = BatchSamples(
        mass_kg=samples.mass_kg * factor,
        cog_shift_m=samples.cog_shift_m,
        unstretched_length_m=samples.unstretched_length_m,
        stiffness_factor=samples.stiffness_factor * factor,
    )
    assert np.array_equal(
        solve_batch(rig, heavier, form=compiled).tensions_N[batch.stable],
        factor * batch.tensions_N[batch.stable],
    )


@pytest.mark.slow
def test_two_hundred_thousand_samples_stay_within_a_fifth_of_a_gibibyte(compiled):
    rig = random_rig("c", 1)
    count = 200_000
    factors = np.ones((count, len(rig.elements)))
    tracemalloc.start()
    solve_batch(rig, BatchSamples(stiffness_factor=factors), form=compiled)
    peak = tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert peak < 0.2 * 2**30


REFUSED = [
    ({}, "at least one array"),
    ({"mass_kg": np.zeros((0, 1))}, "at least one array"),
    ({"mass_kg": np.ones((2, 3))}, "must have the shape (2, 1)"),
    ({"mass_kg": np.array([[1.0], [math.nan]])}, "mass_kg[1]"),
    ({"mass_kg": np.array([[1.0], [-1.0]])}, "the mass of 'load' must be above zero"),
    ({"stiffness_factor": np.array([[1.0, 1.0, 0.0, 1.0]])}, "of 'leg p3' must be above zero"),
    ({"unstretched_length_m": np.full((3, 4), -1.0)}, "of 'leg p1' must be above zero"),
    ({"cog_shift_m": np.full((2, 1, 3), math.inf)}, "cog_shift_m[0]"),
    ({"hook_position_m": np.zeros((2, 2, 3))}, "must have the shape (2, 1, 3)"),
    ({"mass_kg": np.ones((2, 1)), "stiffness_factor": np.ones((3, 4))}, "must have the shape (2, 4)"),
]


@pytest.mark.parametrize(("arrays", "words"), REFUSED)
def test_bad_samples_are_refused_in_a_sentence(arrays, words):
    with pytest.raises(InputError) as caught:
        solve_batch(four_leg_bridle(), BatchSamples(**arrays))
    assert words in str(caught.value)


def test_all_problems_come_at_once():
    bad = BatchSamples(mass_kg=np.array([[-1.0]]), stiffness_factor=np.zeros((1, 4)))
    with pytest.raises(InputError) as caught:
        solve_batch(four_leg_bridle(), bad, threads=0)
    assert len(caught.value.problems) == 6
