"""The same rests found by a general physics engine and by a minimiser of another library.

A rest is taken as found only where forces are balanced to a millionth of the agreement that is asked for. Tensions must
then agree to 1e-6 of the largest one and tilts to 1e-5 degrees.
"""

import math

import numpy as np
import pytest
from engine import rest_by_minimiser, rest_in_engine, tilts
from rigs import KINDS, four_leg_bridle, four_strut_frame, framed_load, mast_crane, random_rig, strut_rig
from standing import bridled_load, rectangle, standing_body
from tests.planning import small_lifts as small
from tests.scenarios.variants import example

from plumbhook.planning.assemble import assemble
from plumbhook.planning.assess import state_problem
from plumbhook.statics import solve

pytestmark = pytest.mark.slow

BALANCED = 1e-9
OF_LARGEST_TENSION = 1e-6
TILT_RAD = math.radians(1e-5)


def planned(lift, cog):
    """The rig of a lift as the planning has it solved."""
    problem = state_problem(lift)
    assembled = assemble(
        problem.rig,
        problem.layout,
        problem.lift_points_m,
        load_mass_kg=problem.design_mass_kg,
        cog_m=cog,
        gravity_m_s2=9.81,
    )
    return assembled.graph


PLANNED = {
    "viaduct girder": lambda: planned(example("hallowmere-viaduct"), (0.1, 0.05, 1.545)),
    "marrow lane": lambda: planned(example("marrow-lane"), (0.0, 0.0, 0.0)),
    "one strut": lambda: planned(small.read(small.ONE_STRUT), (0.1, 0.0, 0.5)),
    "one strut, four points": lambda: planned(small.read(small.ONE_STRUT_FOUR_POINTS), (0.1, 0.1, 0.5)),
    "bridle of two": lambda: planned(small.read(small.BRIDLE_OF_TWO), (0.05, 0.0, 0.5)),
    "bridle of four": lambda: planned(small.read(small.BRIDLE_OF_FOUR), (0.1, 0.05, 0.5)),
}
HANGING = {
    **{
        f"{kind}{seed}": (lambda kind=kind, seed=seed: random_rig(kind, seed))
        for kind in KINDS
        for seed in range(3)
    },
    "rigid frame, a long leg": lambda: four_strut_frame(jointed=False, longer_leg_m=0.02),
    "jointed frame, a long leg": lambda: four_strut_frame(jointed=True, longer_leg_m=0.02),
    "top-heavy bridle": lambda: four_leg_bridle((0.1, 0.2, 1.0)),
    "framed load": lambda: framed_load(1.0),
    "strut": lambda: strut_rig((0.2, 0.1, -0.5)),
    **PLANNED,
}
STANDING = {
    "on its feet": lambda: standing_body(rectangle(4.0, 3.0), (0.4, 0.2, 1.0), stiffness=1e7),
    "on three feet": lambda: standing_body(
        {"a": (0.0, 0.0, 0.0), "b": (5.0, 0.0, 0.0), "c": (1.0, 4.0, 0.0)}, (1.5, 1.2, 0.7), stiffness=1e7
    ),
    "slack legs": lambda: bridled_load((0.3, 0.2, -0.5), slack_m=0.05, stiffness=1e7),
    "half lifted": lambda: bridled_load((0.3, 0.2, -0.5), slack_m=-0.004, stiffness=1e7),
    "one end up": lambda: bridled_load((0.5, 0.2, -0.5), slack_m=-0.1, stiffness=1e7),
    "uneven ground": lambda: bridled_load(
        (0.3, 0.2, -0.5), slack_m=-0.004, stiffness=1e7, levels_m=(-6.0, -6.01, -5.99, -6.02)
    ),
}


def assert_agrees(rig, other):
    ours = solve(rig)
    assert ours.is_stable
    assert other.unbalanced <= BALANCED
    forces = {**ours.tensions_N, **ours.support_forces_N}
    largest = max(abs(force) for force in forces.values())
    for name, force in other.forces_N.items():
        assert forces[name] == pytest.approx(force, abs=OF_LARGEST_TENSION * largest, rel=0.0)
    mine = tilts(rig, {name: np.array(pose.rotation_rows) for name, pose in ours.poses.items()})
    for name, tilt in other.tilt_rad.items():
        assert abs(mine[name]) == pytest.approx(abs(tilt), abs=TILT_RAD, rel=0.0)


@pytest.mark.parametrize("name", HANGING)
def test_a_physics_engine_comes_to_the_same_rest(name, monkeypatch, tmp_path):
    pytest.importorskip("mujoco", reason="the physics engine is not installed: install the group peers")
    monkeypatch.chdir(tmp_path)  # it writes its log where it runs
    rig = HANGING[name]()
    assert_agrees(rig, rest_in_engine(rig))


@pytest.mark.parametrize("name", [*HANGING, "mast", *STANDING])
def test_a_minimiser_of_another_library_finds_the_same_rest(name):
    rig = {**HANGING, "mast": lambda: mast_crane(5e4), **STANDING}[name]()
    assert_agrees(rig, rest_by_minimiser(rig))
