"""Batches of rigs with supports: partly lifted by the kernel, standing by the reference, all as single solves say."""

from dataclasses import replace

import numpy as np
import pytest
from tests.statics.rigs import NamedPoint, random_rig
from tests.statics.standing import bridled_load, rectangle, standing_body
from tests.statics_kernel.sampling import graph_of, same_digits, scattered

from plumbhook.model.rig_graph import support
from plumbhook.statics import solve
from plumbhook.statics.kernel import BatchSamples, forms, solve_batch
from plumbhook.statics.kernel.drive import all_modes, run
from plumbhook.statics.kernel.problem import Problem, Rows


def forces(rig, result):
    """Tensions and pushes of a single solve in the order of the elements."""
    found = {**result.tensions_N, **result.support_forces_N}
    return np.array([found[element.name] for element in rig.elements])


def check_rows(rig, samples, batch, rows, limit=1e-8):
    for row in rows:
        own = graph_of(rig, samples, row)
        single = solve(own)
        assert batch.stable[row] == single.is_stable
        expected = forces(own, single)
        assert np.abs(batch.tensions_N[row] - expected).max() <= limit * expected.max()
        gone = {e.name for e, loose in zip(rig.elements, batch.slack[row], strict=True) if loose}
        assert gone == {*single.slack_m, *single.clear_m}
        assert batch.tilt_rad[row, -1] == pytest.approx(single.tilt_rad[rig.bodies[-1].name], abs=1e-7)


def off_centre(count, size=0.05):
    draw = np.random.default_rng(5)
    return BatchSamples(
        mass_kg=12e3 * (1.0 + 0.05 * draw.uniform(-1, 1, (count, 1))),
        cog_shift_m=size * draw.uniform(-1, 1, (count, 1, 3)),
        stiffness_factor=1.0 + 0.2 * draw.uniform(-1, 1, (count, 8)),
    )


@pytest.mark.parametrize("above_taut_m", [0.004, 0.01, 0.2], ids=["shared", "light end up", "lifted"])
def test_a_load_below_a_hook_that_has_begun_to_lift_it(above_taut_m, compiled):
    rig = bridled_load((0.3, 0.1, -1.0), slack_m=-above_taut_m, stiffness=1e7)
    samples = off_centre(12)
    batch = solve_batch(rig, samples, form=compiled)
    assert batch.all_stable
    assert batch.proved.all()
    check_rows(rig, samples, batch, range(12))


def test_a_load_that_stands_below_loose_lines_is_judged_by_the_reference(compiled):
    rig = bridled_load((0.3, 0.1, -1.0), slack_m=0.1)
    samples = off_centre(6)
    batch = solve_batch(rig, samples, form=compiled, poses=True)
    assert batch.resolved == 6
    assert batch.all_stable
    assert np.isnan(batch.smallest_pivot).all()
    check_rows(rig, samples, batch, range(6))
    # What stands free is where it was drawn in plan.
    moved = np.einsum("nbij,nbj->nbi", batch.rotation, np.array([[0.3, 0.1, -1.0]]) + samples.cog_shift_m)
    there = batch.origin_m + moved
    drawn = np.array(rig.bodies[0].start.origin_m) + np.array([0.3, 0.1, -1.0]) + samples.cog_shift_m
    assert there[:, :, :2] == pytest.approx(drawn[:, :, :2], abs=1e-3)


def test_samples_on_either_side_of_lift_off_are_told_apart(compiled):
    rig = bridled_load(slack_m=0.0, stiffness=1e7)
    hooks = np.zeros((9, 1, 3))
    hooks[:, 0, 2] = np.linspace(-0.05, 0.05, 9)
    samples = BatchSamples(hook_position_m=hooks)
    batch = solve_batch(rig, samples, form=compiled)
    standing, lifted = batch.slack[0], batch.slack[-1]
    assert standing[:4].all()
    assert lifted[4:].all()
    assert batch.all_stable
    check_rows(rig, samples, batch, (0, 3, 5, 8), limit=1e-7)


def test_a_tall_load_on_soft_supports_tips(compiled):
    """Four springs at the corners of a square hold a weight up to a height of k sum(x^2)/W above them."""
    stiffness, mass, gravity, half = 1e5, 12e3, 9.80665, 1.0
    highest = stiffness * 4 * half**2 / (mass * gravity)
    rig = standing_body(rectangle(2 * half, 2 * half), (0.0, 0.0, 1.0), mass_kg=mass, stiffness=stiffness)
    shifts = np.zeros((4, 1, 3))
    shifts[:, 0, 2] = np.array([0.5, 0.97, 1.03, 1.5]) * highest - 1.0
    batch = solve_batch(rig, BatchSamples(cog_shift_m=shifts), form=compiled)
    assert batch.stable.tolist() == [True, True, False, False]


@pytest.mark.parametrize("kind", "acF")
def test_supports_under_every_kind_of_rig_are_digit_for_digit_the_same_in_all_forms(kind, compiled):
    rig = random_rig(kind, 14)
    load = rig.bodies[-1]
    rest = solve(rig)
    heights = rest.attachment_heights_m[load.name]
    supports = tuple(
        support(f"under {point.name}", f"{load.name}.{point.name}", heights[point.name] + 0.001, 1e6)
        for point in load.points_m
    )
    held = replace(rig, elements=(*rig.elements, *supports))
    problem = Problem(held)
    samples = scattered(held, 9, size=0.2)
    one = problem.nominal
    rows = Rows(
        one.weight * (1.0 + 0.02 * np.arange(9))[:, None],
        *(np.repeat(array, 9, axis=0) for array in (one.shift, one.length, one.stiffness, one.hook)),
    )
    modes = all_modes(problem)
    found = [
        run(form, lanes, problem, rows, problem.drawn, modes)
        for form, lanes in ((forms.Interpreted(), 1), (compiled, 1), (compiled, 8))
    ]
    for other in found[1:]:
        assert same_digits(found[0], other) == []
    batch = solve_batch(held, samples, form=compiled)
    assert batch.converged.all()
    check_rows(held, samples, batch, range(0, 9, 4), limit=1e-7)


def test_moved_hooks_leave_the_supports_where_they_are(compiled):
    rig = bridled_load((0.3, 0.1, -1.0), slack_m=-0.004, stiffness=1e7)
    up = replace(rig, hooks_m=(NamedPoint("h", (0.0, 0.0, 0.006)),))
    samples = BatchSamples(hook_position_m=np.array([[[0.0, 0.0, 0.006]], [[0.0, 0.0, 0.004]]]))
    batch = solve_batch(rig, samples, form=compiled)
    assert batch.tensions_N[0] == pytest.approx(forces(up, solve(up)), abs=1e-3)
    assert batch.tensions_N[1] == pytest.approx(forces(rig, solve(rig)), abs=1e-3)
