"""Restoring height of many samples against the margin of each by itself."""

import math
from dataclasses import replace

import numpy as np
import pytest
from tests.statics.rigs import random_rig
from tests.statics_kernel.sampling import graph_of, scattered

from plumbhook.statics import solve
from plumbhook.statics.kernel import solve_batch
from plumbhook.statics.margin import margins
from plumbhook.statics.margin_batch import restoring_heights_m


@pytest.mark.parametrize("kind", ["a", "b", "c", "d", "e", "F"])
def test_every_sample_has_the_restoring_height_of_its_rig_alone(kind):
    rig = random_rig(kind, 5)
    samples = scattered(rig, 6, seed=2, size=0.5)
    result = solve_batch(rig, samples, poses=True)
    found = restoring_heights_m(rig, samples, result, "load")
    assert result.all_stable
    for row in range(6):
        graph = graph_of(rig, samples, row)
        alone = margins(graph, solve(graph), "load")[0].restoring_height_m
        assert found[row] == pytest.approx(alone, rel=1e-6) or math.isnan(found[row])
    assert np.isfinite(found).any()


def test_a_sample_without_rest_has_no_restoring_height():
    rig = random_rig("b", 1)
    samples = scattered(rig, 4, seed=1)
    result = solve_batch(rig, samples, poses=True)
    lost = replace(result, converged=np.array([True, False, True, True]))
    assert np.isnan(restoring_heights_m(rig, samples, lost, "load")).tolist() == [False, True, False, False]


def test_it_needs_poses_and_a_load_of_that_name():
    rig = random_rig("b", 1)
    samples = scattered(rig, 2)
    with pytest.raises(ValueError, match="poses"):
        restoring_heights_m(rig, samples, solve_batch(rig, samples), "load")
    with pytest.raises(KeyError, match="crate"):
        restoring_heights_m(rig, samples, solve_batch(rig, samples, poses=True), "crate")
