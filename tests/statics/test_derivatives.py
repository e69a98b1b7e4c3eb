"""Gradient and stiffness of the energy against differences, at loaded postures away from the rest."""

import numpy as np
import pytest
from rigs import KINDS, random_rig

from plumbhook.statics import solve
from plumbhook.statics._arrays import assemble, state_of
from plumbhook.statics._energy import energy, gradient, hessian, lines, moved
from plumbhook.statics._neutral import NeutralFinder


def posture(kind, seed):
    """A rig with a posture some degrees and per cent off its rest, no line near the edge of going slack."""
    rig = random_rig(kind, seed)
    arrays = assemble(rig)
    rest = solve(rig)
    random = np.random.default_rng(seed)
    scale = np.tile([0.01 * arrays.size_m] * 3 + [0.05] * 3, arrays.n_bodies)
    for _ in range(100):
        state = moved(
            state_of(arrays, list(rest.poses.values())), scale * random.standard_normal(arrays.n_dof)
        )
        now = lines(arrays, arrays.stiffness_N_m, state)
        if np.abs(now.stretch[arrays.is_sling]).min() > 2e-3 * arrays.size_m:
            return arrays, state, scale, random
    raise AssertionError("no posture found")


@pytest.mark.parametrize("kind", KINDS)
def test_gradient_and_hessian_agree_with_differences(kind):
    arrays, state, scale, random = posture(kind, 1)
    stiffness = arrays.stiffness_N_m
    now = lines(arrays, stiffness, state)
    slope, matrix = gradient(arrays, now), hessian(arrays, stiffness, now)
    assert np.allclose(matrix, matrix.T, rtol=0.0, atol=1e-12 * np.abs(matrix).max())

    def at(step):
        return energy(arrays, stiffness, moved(state, step))

    for _ in range(6):
        p, q = (scale * random.standard_normal(arrays.n_dof) for _ in range(2))
        h = 1e-3
        first = (at(h * p) - at(-h * p)) / (2 * h)
        assert np.isclose(first, slope @ p, rtol=1e-6, atol=1e-6 * np.linalg.norm(slope * scale))
        mixed = (at(h * (p + q)) - at(h * (p - q)) - at(h * (q - p)) + at(-h * (p + q))) / (4 * h * h)
        assert np.isclose(
            mixed, p @ matrix @ q, rtol=1e-4, atol=1e-4 * np.sqrt((p @ matrix @ p) * (q @ matrix @ q))
        )


@pytest.mark.parametrize("kind", KINDS)
def test_taylor_remainders_fall_with_slopes_two_and_three(kind):
    """What the gradient leaves falls with the square of the step, what the Hessian leaves with the cube."""
    arrays, state, scale, random = posture(kind, 2)
    stiffness = arrays.stiffness_N_m
    now = lines(arrays, stiffness, state)
    slope, matrix = gradient(arrays, now), hessian(arrays, stiffness, now)
    start = energy(arrays, stiffness, state)
    p = scale * random.standard_normal(arrays.n_dof)
    steps = 2.0 ** -np.arange(4, 8)
    change = np.array([energy(arrays, stiffness, moved(state, t * p)) - start for t in steps])
    first = np.abs(change - steps * (slope @ p))
    second = np.abs(change - steps * (slope @ p) - 0.5 * steps**2 * (p @ matrix @ p))
    for remainder, expected in ((first, 2.0), (second, 3.0)):
        found = np.polyfit(np.log(steps), np.log(remainder), 1)[0]
        assert found == pytest.approx(expected, abs=0.15)


@pytest.mark.parametrize("kind", KINDS)
def test_the_gradient_is_minus_the_net_force_and_moment(kind):
    arrays, state, _, _ = posture(kind, 3)
    now = lines(arrays, arrays.stiffness_N_m, state)
    slope = gradient(arrays, now).reshape(-1, 6)
    for body in range(arrays.n_bodies):
        force, moment = np.array([0.0, 0.0, -arrays.weight_N[body]]), np.zeros(3)
        for number in range(len(now.tension)):
            pull = now.tension[number] * now.span[number] / now.distance[number]
            for end, arm, sign in ((arrays.body_i, now.arm_i, 1.0), (arrays.body_j, now.arm_j, -1.0)):
                if end[number] == body:
                    force = force + sign * pull
                    moment = moment + np.cross(arm[number], sign * pull)
        scale = arrays.total_weight_N
        assert np.allclose(slope[body, :3], -force, atol=1e-9 * scale)
        assert np.allclose(slope[body, 3:], -moment, atol=1e-9 * scale * arrays.size_m)


@pytest.mark.parametrize("kind", KINDS)
def test_neutral_motions_cost_no_energy_even_away_from_the_rest(kind):
    arrays, state, _, _ = posture(kind, 4)
    now = lines(arrays, arrays.stiffness_N_m, state)
    basis = NeutralFinder(arrays).basis(now.active > 0.0, state, np.ones(arrays.n_dof))
    slope = gradient(arrays, now)
    assert np.abs(basis.T @ slope).max(initial=0.0) <= 1e-11 * np.linalg.norm(slope)


def test_rotations_stay_orthonormal():
    arrays, state, scale, random = posture("c", 5)
    for _ in range(200):
        state = moved(state, 10.0 * scale * random.standard_normal(arrays.n_dof))
    excess = state.rotation @ state.rotation.transpose(0, 2, 1) - np.eye(3)
    assert np.abs(excess).max() < 1e-13
