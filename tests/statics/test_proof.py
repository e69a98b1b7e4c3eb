"""The independent proof: it passes what is in balance and nothing else; a second method agrees."""

import math
from dataclasses import replace

import numpy as np
import pytest
from rigs import KINDS, random_rig
from scipy.optimize import least_squares
from scipy.spatial.transform import Rotation

from plumbhook.model.rig_graph import ElementType, Pose
from plumbhook.statics import EquilibriumStatus, _measure, prove, solve


@pytest.fixture(params=KINDS)
def solved(request):
    rig = random_rig(request.param, 11)
    return rig, solve(rig)


def test_the_proof_holds_for_every_kind_of_rig(solved):
    rig, result = solved
    assert result.proof.holds
    weight = sum(body.mass_kg for body in rig.bodies) * rig.gravity_m_s2
    assert result.residual_force_N == result.proof.force_N <= 1e-8 * weight
    assert result.residual_moment_Nm == result.proof.moment_Nm


def test_a_tension_off_by_a_millionth_of_the_weight_fails(solved):
    rig, result = solved
    weight = sum(body.mass_kg for body in rig.bodies) * rig.gravity_m_s2
    for name, tension in result.tensions_N.items():
        if tension <= 0.0 or name in result.pin_forces_N:
            continue
        wrong = {**result.tensions_N, name: tension + 1e-6 * weight}
        proof = prove(rig, result.poses, wrong, result.pin_forces_N)
        assert not proof.holds
        assert proof.worst


def test_a_body_moved_or_turned_a_little_fails(solved):
    rig, result = solved
    pose = result.poses["load"]
    x, y, z = pose.origin_m
    raised = {**result.poses, "load": replace(pose, origin_m=(x, y, z + 1e-5))}
    assert not prove(rig, raised, result.tensions_N, result.pin_forces_N).holds
    turned = (Rotation.from_rotvec([1e-5, 0.0, 0.0]).as_matrix() @ np.array(pose.rotation_rows)).tolist()
    tilted = {**result.poses, "load": Pose(pose.origin_m, tuple(map(tuple, turned)))}
    assert not prove(rig, tilted, result.tensions_N, result.pin_forces_N).holds


def test_a_loose_sling_that_is_said_to_carry_fails():
    rig = next(rig for rig in (random_rig("f", n) for n in range(50)) if solve(rig).slack_m)
    result = solve(rig)
    name = next(iter(result.slack_m))
    weight = sum(body.mass_kg for body in rig.bodies) * rig.gravity_m_s2
    proof = prove(rig, result.poses, {**result.tensions_N, name: 1e-3 * weight}, result.pin_forces_N)
    assert not proof.holds


def test_a_sling_that_pushes_fails():
    rig = random_rig("d", 1)
    result = solve(rig)
    name = max(result.tensions_N, key=result.tensions_N.get)
    wrong = {**result.tensions_N, name: -result.tensions_N[name]}
    assert not prove(rig, result.poses, wrong, result.pin_forces_N).holds


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_a_number_that_is_none_fails(solved, value):
    rig, result = solved
    name = next(name for name in result.tensions_N if name not in result.pin_forces_N)
    assert not prove(rig, result.poses, {**result.tensions_N, name: value}, result.pin_forces_N).holds
    nowhere = {**result.poses, "load": replace(result.poses["load"], origin_m=(0.0, 0.0, value))}
    assert not prove(rig, nowhere, result.tensions_N, result.pin_forces_N).holds


def test_a_wrong_pin_force_fails():
    rig = random_rig("F", 2)
    result = solve(rig)
    name, force = next(iter(result.pin_forces_N.items()))
    wrong = {**result.pin_forces_N, name: tuple(1.001 * part + 1.0 for part in force)}
    assert not prove(rig, result.poses, result.tensions_N, wrong).holds


def test_a_result_whose_proof_fails_is_not_stable(monkeypatch):
    def cheated(graph, poses, tensions_N, *others, table):
        name = max(tensions_N, key=tensions_N.get)
        return prove(graph, poses, {**tensions_N, name: 1.01 * tensions_N[name]}, *others, table=table)

    monkeypatch.setattr(_measure, "prove", cheated)
    result = solve(random_rig("b", 1))
    assert result.status is EquilibriumStatus.NO_EQUILIBRIUM
    assert "proof does not hold" in result.message
    assert not result.is_stable
    assert not result.assembled_posture.stable


# --- A second method ---------------------------------------------------------------------------------------


class Forces:
    """Net forces and moments of a rig about its body origins, written from the rig graph alone."""

    def __init__(self, rig, poses):
        self.rig = rig
        self.poses = poses
        self.weight = sum(body.mass_kg for body in rig.bodies) * rig.gravity_m_s2
        lengths = [e.unstretched_length_m for e in rig.elements if e.unstretched_length_m]
        self.size = sum(lengths) / len(lengths)

    def placed(self, unknowns):
        """World rotation and origin of every body for displacements and rotation vectors from the poses."""
        out = {}
        for body, q in zip(self.rig.bodies, unknowns.reshape(-1, 6), strict=True):
            pose = self.poses[body.name]
            turn = Rotation.from_rotvec(q[3:]).as_matrix() @ np.array(pose.rotation_rows)
            out[body.name] = (turn, np.array(pose.origin_m) + self.size * q[:3])
        return out

    def tensions(self, unknowns):
        placed = self.placed(unknowns)
        return {e.name: np.linalg.norm(self.pull(e, placed)[2]) for e in self.rig.elements}

    def pull(self, element, placed):
        ends = []
        for ref in (element.from_ref, element.to_ref):
            owner, _, point = ref.partition(".")
            if owner == "hook":
                ends.append(np.array(next(h.position_m for h in self.rig.hooks_m if h.name == point)))
            else:
                body = next(b for b in self.rig.bodies if b.name == owner)
                turn, origin = placed[owner]
                ends.append(
                    origin + turn @ np.array(next(p.position_m for p in body.points_m if p.name == point))
                )
        span = ends[1] - ends[0]
        if element.type is ElementType.PIN:
            return ends[0], ends[1], element.stiffness_N_per_m * span
        length = np.linalg.norm(span)
        stretch = length - element.unstretched_length_m
        if element.type is ElementType.SLING:
            stretch = max(stretch, 0.0)
        return ends[0], ends[1], element.EA_N / element.unstretched_length_m * stretch * span / length

    def residual(self, unknowns):
        placed = self.placed(unknowns)
        net = {body.name: np.zeros(6) for body in self.rig.bodies}
        for body in self.rig.bodies:
            turn, _ = placed[body.name]
            force = np.array([0.0, 0.0, -body.mass_kg * self.rig.gravity_m_s2])
            net[body.name] += np.concatenate([force, np.cross(turn @ np.array(body.cog_m), force)])
        for element in self.rig.elements:
            start, end, force = self.pull(element, placed)
            for ref, at, sign in ((element.from_ref, start, 1.0), (element.to_ref, end, -1.0)):
                owner = ref.partition(".")[0]
                if owner != "hook":
                    arm = at - placed[owner][1]
                    net[owner] += np.concatenate([sign * force, np.cross(arm, sign * force)])
        return np.concatenate(
            [net[b.name] / ([self.weight] * 3 + [self.weight * self.size] * 3) for b in self.rig.bodies]
        )


def second_method(kind, seed):
    """Largest difference of the tensions from a root of the net forces found by another library."""
    rig = random_rig(kind, seed)
    result = solve(rig)
    forces = Forces(rig, result.poses)
    start = 0.01 * np.random.default_rng(seed).standard_normal(6 * len(rig.bodies))
    found = least_squares(forces.residual, start, xtol=1e-14, ftol=1e-14, gtol=1e-14)
    assert np.abs(found.fun).max() < 1e-9
    largest = max(result.tensions_N.values())
    tensions = forces.tensions(found.x)
    return max(abs(tensions[name] - tension) for name, tension in result.tensions_N.items()) / largest


@pytest.mark.parametrize("kind", "adeg")
def test_a_root_of_the_net_forces_by_another_library_agrees(kind):
    assert second_method(kind, 5) < 1e-6


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("seed", range(20, 25))
def test_roots_of_the_net_forces_by_another_library_agree(kind, seed):
    assert second_method(kind, seed) < 1e-6
