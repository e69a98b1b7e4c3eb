"""The rests of both solvers against general engines that are given the rig graph and share no code with Plumbhook.

Foreign sources (dependency group `peers`): MuJoCo, a multi-body engine that swings in time until nothing moves, and
OpenSees, a structural engine with corotational trusses, which takes pins of a given stiffness too.
"""

import numpy as np
import pytest
from tests.statics.rigs import KINDS, random_rig
from tests.statics_kernel.sampling import tensions

from plumbhook.statics import solve
from plumbhook.statics.kernel.drive import solve_single
from plumbhook.statics.kernel.problem import Problem


@pytest.mark.slow
@pytest.mark.parametrize("kind", "abcdefg")
def test_four_rigs_of_each_kind_hang_as_in_a_foreign_engine(kind, compiled):
    pytest.importorskip("mujoco", reason="MuJoCo is not installed (dependency group 'peers')")
    from bench.peer_mujoco import model_of, settled

    for seed in range(4):
        rig = random_rig(kind, 300 + seed)
        foreign = settled(model_of(rig))
        problem = Problem(rig)
        by_kernel = solve_single(compiled, problem, problem.nominal).tension[0]
        by_reference = tensions(rig, solve(rig))
        assert np.abs(by_kernel - foreign).max() <= 1e-6 * foreign.max(), rig.name
        assert np.abs(by_reference - foreign).max() <= 1e-6 * foreign.max(), rig.name


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_four_rigs_of_each_kind_hang_as_in_a_structural_engine(kind, compiled):
    from bench.peer_opensees import missing, prepared

    if missing():
        pytest.skip(missing())
    for seed in range(4):
        rig = random_rig(kind, 300 + seed)
        foreign = prepared(rig).rest()
        assert foreign is not None, rig.name
        problem = Problem(rig)
        by_kernel = np.abs(solve_single(compiled, problem, problem.nominal).tension[0])
        by_reference = np.abs(tensions(rig, solve(rig)))
        assert np.abs(by_kernel - foreign).max() <= 1e-6 * foreign.max(), rig.name
        assert np.abs(by_reference - foreign).max() <= 1e-6 * foreign.max(), rig.name
