"""Laws that hold for every rig: symmetries, scaling, and equivalent ways to build the same thing."""

import math
from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from rigs import KINDS, random_rig

from plumbhook.model.rig_graph import Body, ElementType, NamedPoint, Pose, RigGraph, sling
from plumbhook.statics import solve

RIGS = st.builds(random_rig, st.sampled_from(KINDS), st.integers(0, 10_000))
FEW = settings(max_examples=20, deadline=None)


def with_vectors(rig, world, own, rows):
    """The rig with its world vectors, vectors in body axes and rotations mapped."""

    def named(points, change):
        return tuple(NamedPoint(point.name, change(point.position_m)) for point in points)

    bodies = tuple(
        replace(
            body,
            cog_m=own(body.cog_m),
            points_m=named(body.points_m, own),
            start=Pose(world(body.start.origin_m), rows(body.start.rotation_rows)),
        )
        for body in rig.bodies
    )
    return replace(rig, hooks_m=named(rig.hooks_m, world), bodies=bodies)


def same_forces(first, second, factor=1.0):
    assert first.is_stable, first.message
    assert second.is_stable, second.message
    largest = max(first.tensions_N.values())
    assert second.tensions_N.keys() == first.tensions_N.keys()
    for name, tension in first.tensions_N.items():
        assert second.tensions_N[name] / factor == pytest.approx(tension, abs=1e-6 * largest)
    assert second.tilt_rad["load"] == pytest.approx(first.tilt_rad["load"], abs=2e-7)
    assert second.neutral_modes == first.neutral_modes


@FEW
@given(RIGS, st.floats(-math.pi, math.pi))
def test_turning_the_whole_rig_about_the_vertical_changes_no_force(rig, angle):
    c, s = math.cos(angle), math.sin(angle)

    def world(v):
        return (c * v[0] - s * v[1], s * v[0] + c * v[1], v[2])

    def rows(m):
        columns = [world((m[0][k], m[1][k], m[2][k])) for k in range(3)]
        return tuple(tuple(columns[k][i] for k in range(3)) for i in range(3))

    same_forces(solve(rig), solve(with_vectors(rig, world, lambda v: v, rows)))


@FEW
@given(RIGS)
def test_the_mirror_image_carries_the_mirrored_forces(rig):
    def flip(v):
        return (-v[0], v[1], v[2])

    def rows(m):
        return tuple(tuple(m[i][k] * (-1 if (i == 0) != (k == 0) else 1) for k in range(3)) for i in range(3))

    same_forces(solve(rig), solve(with_vectors(rig, flip, flip, rows)))


@FEW
@given(RIGS, st.floats(0.1, 10.0))
def test_a_rig_of_another_size_with_the_same_strains_carries_the_same_forces(rig, factor):
    def grown(v):
        return (factor * v[0], factor * v[1], factor * v[2])

    bigger = with_vectors(rig, grown, grown, lambda m: m)
    elements = tuple(
        replace(e, stiffness_N_per_m=e.stiffness_N_per_m / factor)
        if e.type is ElementType.PIN
        else replace(e, unstretched_length_m=e.unstretched_length_m * factor)
        for e in rig.elements
    )
    same_forces(solve(rig), solve(replace(bigger, elements=elements)))


@FEW
@given(RIGS, st.floats(0.01, 100.0))
def test_a_heavier_rig_on_stiffer_lines_carries_forces_in_proportion(rig, factor):
    bodies = tuple(replace(body, mass_kg=factor * body.mass_kg) for body in rig.bodies)
    elements = tuple(
        replace(e, stiffness_N_per_m=factor * e.stiffness_N_per_m)
        if e.type is ElementType.PIN
        else replace(e, EA_N=factor * e.EA_N)
        for e in rig.elements
    )
    same_forces(solve(rig), solve(replace(rig, bodies=bodies, elements=elements)), factor)


@FEW
@given(RIGS)
def test_the_direction_of_a_line_has_no_meaning(rig):
    elements = tuple(replace(e, from_ref=e.to_ref, to_ref=e.from_ref) for e in rig.elements)
    same_forces(solve(rig), solve(replace(rig, elements=elements)))


@FEW
@given(RIGS, st.randoms(use_true_random=False))
def test_names_and_their_order_have_no_meaning(rig, random):
    names = {body.name: f"body {number}" for number, body in enumerate(rig.bodies)}

    def renamed(ref):
        owner, _, point = ref.partition(".")
        return f"{names.get(owner, owner)}.{point}"

    bodies = [replace(body, name=names[body.name]) for body in rig.bodies]
    elements = [replace(e, from_ref=renamed(e.from_ref), to_ref=renamed(e.to_ref)) for e in rig.elements]
    random.shuffle(bodies)
    random.shuffle(elements)
    before = solve(rig)
    after = solve(replace(rig, bodies=tuple(bodies), elements=tuple(elements)))
    same_forces(before, replace(after, tilt_rad={"load": after.tilt_rad[names["load"]]}))


@FEW
@given(RIGS, st.floats(0.2, 0.8), st.integers(0, 100))
def test_a_line_cut_in_two_with_a_link_between_carries_the_same(rig, part, choice):
    before = solve(rig)
    taut = [e for e in rig.elements if e.type is ElementType.SLING and before.tensions_N[e.name] > 0.0]
    line = taut[choice % len(taut)]
    # A barely taut line is held sideways by next to nothing.
    assume(before.tensions_N[line.name] > 0.02 * max(before.tensions_N.values()))
    ends = [world_point(rig, ref) for ref in (line.from_ref, line.to_ref)]
    middle = tuple(a + part * (b - a) for a, b in zip(*ends, strict=True))
    knot = Body("knot", 0.0, (0.0, 0.0, 0.0), (NamedPoint("p", (0.0, 0.0, 0.0)),), Pose(middle))
    length, EA = line.unstretched_length_m, line.EA_N
    halves = (
        sling(line.name, line.from_ref, "knot.p", part * length, EA),
        sling("other half", "knot.p", line.to_ref, (1.0 - part) * length, EA),
    )
    elements = tuple(e for e in rig.elements if e is not line) + halves
    after = solve(replace(rig, bodies=(*rig.bodies, knot), elements=elements))
    assert after.is_stable, after.message
    largest = max(before.tensions_N.values())
    assert after.tensions_N["other half"] == pytest.approx(before.tensions_N[line.name], abs=1e-6 * largest)
    for name, tension in before.tensions_N.items():
        assert after.tensions_N[name] == pytest.approx(tension, abs=1e-6 * largest)
    # The knot may turn about all three axes for nothing.
    assert after.neutral_modes == before.neutral_modes + 3


def world_point(rig: RigGraph, ref: str):
    owner, _, point = ref.partition(".")
    if owner == "hook":
        return next(hook.position_m for hook in rig.hooks_m if hook.name == point)
    body = next(body for body in rig.bodies if body.name == owner)
    return body.start.world(next(p.position_m for p in body.points_m if p.name == point))


@FEW
@given(RIGS)
def test_hooks_carry_the_whole_weight_and_nothing_sideways(rig):
    result = solve(rig)
    weight = sum(body.mass_kg for body in rig.bodies) * rig.gravity_m_s2
    total = [sum(force[axis] for force in result.hook_forces_N.values()) for axis in range(3)]
    assert total == pytest.approx([0.0, 0.0, -weight], abs=1e-7 * weight)
    assert result.residual_force_N <= 1e-7 * weight
