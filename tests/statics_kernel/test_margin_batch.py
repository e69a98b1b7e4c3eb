"""Restoring height of many samples against the margin of each by itself."""

import math
from dataclasses import replace

import numpy as np
import pytest
from tests.statics.rigs import random_rig
from tests.statics_kernel.sampling import graph_of, scattered

from plumbhook.statics import solve
from plumbhook.statics.kernel import solve_batch
from plumbhook.statics.kernel.forms import Interpreted
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


@pytest.mark.parametrize("kind", ["a", "b", "c", "d", "e", "f", "F", "g"])
@pytest.mark.parametrize("form", [None, Interpreted()], ids=["fastest", "interpreted"])
def test_the_kernel_finds_the_restoring_height_of_the_stiffness_formed_anew(kind, form):
    rig = random_rig(kind, 3)
    samples = scattered(rig, 12, seed=4, size=0.5)
    load = [body.name for body in rig.bodies].index("load")
    plain = solve_batch(rig, samples, poses=True, form=form)
    asked = solve_batch(rig, samples, poses=True, restoring=load, form=form)
    assert np.array_equal(asked.tensions_N, plain.tensions_N)
    formed = restoring_heights_m(rig, samples, plain, "load")
    assert restoring_heights_m(rig, samples, asked, "load") == pytest.approx(formed, rel=1e-8, nan_ok=True)
    known = np.isfinite(asked.restoring_height_m) & np.isfinite(formed)
    assert known.any()


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
