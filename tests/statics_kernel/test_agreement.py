"""The kernel against the reference solver: the same rests of the same rigs."""

import numpy as np
import pytest
from tests.statics.rigs import KINDS, random_rig, random_rigs
from tests.statics_kernel.sampling import graph_of, scattered, tensions

from plumbhook.model.rig_graph import with_stiffness_factor
from plumbhook.statics import solve
from plumbhook.statics.kernel import BatchSamples, forms, solve_batch
from plumbhook.statics.kernel.drive import solve_single
from plumbhook.statics.kernel.problem import Problem


def check_cold(form, rig, limit=1e-9):
    reference = solve(rig)
    problem = Problem(rig)
    found = solve_single(form, problem, problem.nominal)
    assert reference.is_stable, rig.name
    assert found.status[0] == 0, rig.name
    expected = tensions(rig, reference)
    assert np.abs(found.tension[0] - expected).max() <= limit * expected.max(), rig.name
    return int(found.iterations[0])


@pytest.mark.parametrize("kind", KINDS)
def test_random_rigs_from_cold(kind, compiled):
    for rig in random_rigs(kind, 10):
        check_cold(compiled, rig)


def test_the_interpreted_form_alone_agrees_as_well(interpreted):
    for kind in KINDS:
        check_cold(interpreted, random_rig(kind, 50))


@pytest.mark.parametrize("kind", KINDS)
def test_lines_a_hundred_times_stiffer(kind, compiled):
    """Rounding alone moves a tension by more where the lines are stiffer."""
    for rig in random_rigs(kind, 3, first=200):
        check_cold(compiled, with_stiffness_factor(rig, 100.0), limit=1e-7)


@pytest.mark.parametrize("kind", KINDS)
def test_every_sample_of_a_batch_is_the_rest_of_its_own_rig(kind, compiled):
    rig = random_rig(kind, 5)
    samples = scattered(rig, 8)
    batch = solve_batch(rig, samples, form=compiled)
    assert batch.all_stable
    for row in range(8):
        own = graph_of(rig, samples, row)
        reference = solve(own)
        expected = tensions(own, reference)
        assert np.abs(batch.tensions_N[row] - expected).max() <= 1e-8 * expected.max()
        assert batch.tilt_rad[row, -1] == pytest.approx(reference.tilt_rad[rig.bodies[-1].name], abs=1e-7)
        slack = {e.name for e, loose in zip(rig.elements, batch.slack[row], strict=True) if loose}
        assert slack == set(reference.slack_m)


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_a_thousand_random_rigs_from_cold(kind, compiled):
    steps = sorted(check_cold(compiled, rig, limit=1e-8) for rig in random_rigs(kind, 1000))
    assert steps[989] <= {"f": 30, "F": 40}.get(kind, 25)


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_batches_of_many_rigs_are_verified_throughout(kind, compiled):
    for seed in range(20):
        rig = random_rig(kind, 1000 + seed)
        batch = solve_batch(rig, scattered(rig, 2000, seed), form=compiled)
        assert batch.converged.all()
        weight = max(body.mass_kg for body in rig.bodies) * rig.gravity_m_s2
        assert batch.residual_force_N.max() <= 2e-9 * weight


def test_the_form_in_use_is_named():
    rig = random_rig("d", 1)
    result = solve_batch(rig, BatchSamples(stiffness_factor=np.ones((1, 4))))
    assert result.form == forms.kernel_form()
