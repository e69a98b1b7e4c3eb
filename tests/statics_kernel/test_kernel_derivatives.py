"""Gradient and matrix of the kernel against differences of its energy and against the reference solver's."""

from dataclasses import replace

import numpy as np
import pytest
from tests.statics.rigs import KINDS, random_rig

from plumbhook.model.rig_graph import support
from plumbhook.statics._energy import gradient, hessian, lines
from plumbhook.statics._energy import moved as moved_reference
from plumbhook.statics.kernel import newton, posture, stiffness
from plumbhook.statics.kernel.problem import Problem
from plumbhook.statics.kernel.signature import written_sizes

LANES = 2


class Posture:
    """The interpreted kernel at one posture, the same in every lane."""

    def __init__(self, kind, change=lambda rig: rig):
        self.problem = Problem(change(random_rig(kind, 7)))
        arrays = self.problem.arrays
        self.nb, self.ne = arrays.n_bodies, len(arrays.length_m)
        draw = np.random.default_rng(7)
        self.scale = np.tile([0.01 * arrays.size_m] * 3 + [0.05] * 3, self.nb)
        down = moved_reference(self.problem.drawn, self.scale * draw.standard_normal(arrays.n_dof))
        down.position_m[:, 2] -= 0.03 * arrays.size_m * (1.0 + np.arange(self.nb))
        self.state, self.draw = down, draw
        sizes = written_sizes(LANES, 0, self.nb, self.ne, self.problem.n_hooks, 0)
        self.room = {name: [0.0] * size for name, size in sizes.items()}
        row = self.problem.nominal
        for name in ("weight", "shift", "length", "stiffness", "hook"):
            self.room[name] = np.repeat(getattr(row, name)[0].ravel(), LANES).tolist()
        self.room["position"] = np.repeat(down.position_m.ravel(), LANES).tolist()
        self.room["rotation"] = np.repeat(down.rotation.ravel(), LANES).tolist()

    def evaluate(self, step):
        """Energy and gradient after a step, and what the elements do there."""
        room, problem = self.room, self.problem
        room["step"] = np.repeat(step, LANES).tolist()
        posture.move(
            LANES,
            self.nb,
            *(room[name] for name in ("position", "rotation", "step")),
            [1.0] * LANES,
            *(room[name] for name in ("trial_position", "trial_rotation")),
        )
        given = (problem.end_a, problem.end_b, problem.law, problem.lever_a.ravel(), problem.lever_b.ravel())
        names = (
            "weight shift length stiffness hook trial_position trial_rotation place_a place_b arm_a arm_b span "
            "tension across along elongation energy gradient"
        )
        posture.forces(
            LANES, self.nb, self.ne, *(array.tolist() for array in given), *(room[n] for n in names.split())
        )
        return room["energy"][1], np.array(room["gradient"][1::LANES])

    def matrix(self):
        room, problem, nb = self.room, self.problem, self.nb
        names = "arm_a arm_b span across along matrix"
        ends = (problem.end_a.tolist(), problem.end_b.tolist(), problem.law.tolist())
        stiffness.assemble(LANES, nb, self.ne, *ends, *(room[n] for n in names.split()))
        flat = np.array(room["matrix"][1::LANES])
        out = np.zeros((6 * nb, 6 * nb))
        for i in range(nb):
            for j in range(i + 1):
                at = stiffness.block_at(i, j)
                out[6 * i : 6 * i + 6, 6 * j : 6 * j + 6] = flat[at : at + 36].reshape(6, 6)
        return np.tril(out) + np.tril(out, -1).T


def supported(rig):
    """The rig with a support that is pressed and one that is clear below points of its load."""
    load = rig.bodies[-1]
    first, last = load.points_m[0].name, load.points_m[-1].name
    elements = (
        support("pressed", f"{load.name}.{first}", 50.0, 2e6),
        support("clear", f"{load.name}.{last}", -500.0, 2e6),
    )
    return replace(rig, elements=(*rig.elements, *elements))


CHANGES = pytest.mark.parametrize("change", [lambda rig: rig, supported], ids=["hung", "supported"])


@CHANGES
@pytest.mark.parametrize("kind", KINDS)
def test_gradient_and_matrix_agree_with_differences(kind, change):
    at = Posture(kind, change)
    zero = np.zeros(6 * at.nb)
    _, slope = at.evaluate(zero)
    matrix = at.matrix()
    for _ in range(4):
        p, q = (at.scale * at.draw.standard_normal(6 * at.nb) for _ in range(2))
        h = 1e-3
        first = (at.evaluate(h * p)[0] - at.evaluate(-h * p)[0]) / (2 * h)
        assert first == pytest.approx(slope @ p, rel=1e-5, abs=1e-6 * np.linalg.norm(slope * at.scale))
        corners = [at.evaluate(h * (a * p + b * q))[0] for a, b in ((1, 1), (1, -1), (-1, 1), (-1, -1))]
        mixed = (corners[0] - corners[1] - corners[2] + corners[3]) / (4 * h * h)
        size = np.sqrt(abs(p @ matrix @ p) * abs(q @ matrix @ q))
        assert mixed == pytest.approx(p @ matrix @ q, rel=1e-4, abs=1e-4 * size)


@CHANGES
@pytest.mark.parametrize("kind", KINDS)
def test_gradient_and_matrix_are_those_of_the_reference_solver(kind, change):
    at = Posture(kind, change)
    arrays = at.problem.arrays
    _, slope = at.evaluate(np.zeros(6 * at.nb))
    matrix = at.matrix()
    now = lines(arrays, arrays.stiffness_N_m, at.state)
    expected = gradient(arrays, now)
    assert np.abs(slope - expected).max() <= 1e-12 * np.abs(now.tension).max() * arrays.size_m
    reference = hessian(arrays, arrays.stiffness_N_m, now)
    assert np.abs(matrix - reference).max() <= 1e-12 * np.abs(reference).max()


def test_residuals_keep_an_undefined_number():
    force, moment = [0.0] * 2, [0.0] * 2
    gradient_of_two = [3.0, 0.0, float("nan"), 0.0, 4.0, 1.0, *[0.0] * 6]
    newton.residuals(2, 1, gradient_of_two, force, moment)
    assert force[1] == 1.0
    assert np.isnan(force[0])
