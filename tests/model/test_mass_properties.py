"""Volume, centroid and inertia of meshes: closed forms of the handbooks, laws, and another library."""

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.model import meshes

from plumbhook.model.mass_properties import (
    centre_of_all,
    inertia_about,
    inertia_of_all,
    matrix,
    mesh_mass_properties,
    moved,
    vector,
)
from plumbhook.model.solids_verification import solids_cases

lengths = st.floats(0.05, 50.0)
places = st.tuples(*[st.floats(-200.0, 200.0)] * 3)
angles = st.tuples(*[st.floats(-math.pi, math.pi)] * 3)


def close(found, expected, scale=1.0) -> bool:
    return bool(np.allclose(found, expected, rtol=1e-9, atol=1e-9 * scale))


@pytest.mark.parametrize("case", solids_cases(), ids=lambda case: case.case_id)
def test_published_tetrahedron(case) -> None:
    assert case.ok, f"{case.computed} against {case.published} {case.unit}"


@given(low=places, size=st.tuples(lengths, lengths, lengths))
def test_a_block_weighs_and_turns_as_in_the_handbook(low, size) -> None:
    # Volume abc, inertia V (b² + c²) / 12: any handbook of mechanics, e.g. table of homogeneous solids.
    found = mesh_mass_properties(*meshes.box(low, size))
    a, b, c = size
    volume = a * b * c
    assert found.volume_m3 == pytest.approx(volume, rel=1e-9)
    assert close(found.centroid_m, np.array(low) + np.array(size) / 2, scale=max(size))
    expected = np.diag([b * b + c * c, a * a + c * c, a * a + b * b]) * volume / 12
    assert close(found.inertia_m5, expected, scale=expected.max())
    assert close(found.low_m, low, 1e3)
    assert close(found.high_m, np.add(low, size), 1e3)


@given(sides=st.integers(3, 40), radius=lengths, height=lengths)
def test_a_prism_on_a_regular_polygon(sides, radius, height) -> None:
    # Area n/2 r² sin(2π/n); polar second moment of the polygon A r² (2 + cos(2π/n)) / 6; tends to the cylinder.
    found = mesh_mass_properties(*meshes.frustum(sides, radius, radius, height))
    step = 2 * math.pi / sides
    area = 0.5 * sides * radius**2 * math.sin(step)
    polar = area * radius**2 * (2 + math.cos(step)) / 6
    assert found.volume_m3 == pytest.approx(area * height, rel=1e-9)
    across = polar / 2 * height + area * height**3 / 12
    assert close(np.diag(found.inertia_m5), (across, across, polar * height), scale=across)
    assert found.centroid_m[2] == pytest.approx(height / 2, rel=1e-9)


@given(foot=lengths, top=lengths, height=lengths)
def test_a_frustum_of_a_square_pyramid(foot, top, height) -> None:
    # V = h/3 (A1 + A2 + √(A1 A2)); centroid h/4 (A1 + 2√(A1 A2) + 3 A2) / (A1 + √(A1 A2) + A2).
    found = mesh_mass_properties(*meshes.frustum(4, foot, top, height))
    a, b = 2 * foot**2, 2 * top**2
    mean = math.sqrt(a * b)
    assert found.volume_m3 == pytest.approx(height / 3 * (a + b + mean), rel=1e-9)
    assert found.centroid_m[2] == pytest.approx(
        height / 4 * (a + 2 * mean + 3 * b) / (a + mean + b), rel=1e-9
    )


@given(corners=st.tuples(places, places, places, places))
def test_the_centroid_of_a_tetrahedron_is_the_mean_of_its_corners(corners) -> None:
    points = np.array(corners)
    volume = np.linalg.det(points[1:] - points[0]) / 6
    span = np.ptp(points, axis=0).max()
    if abs(volume) < 1e-3 * span**3 or span < 1e-3:
        return
    found = mesh_mass_properties(points, np.array([[0, 2, 1], [0, 1, 3], [0, 3, 2], [1, 2, 3]]))
    assert found.volume_m3 == pytest.approx(volume, rel=1e-9)
    assert close(found.centroid_m, points.mean(axis=0), span)


@given(at=places, turn=angles)
def test_moving_and_turning_the_mesh_or_its_properties_is_the_same(at, turn) -> None:
    corners, triangles = meshes.together(meshes.frustum(5, 1.0, 0.3, 2.0), meshes.box((2.0, 0.0, 0.0)))
    way = meshes.rotation(*turn)
    at_home = mesh_mass_properties(corners, triangles)
    away = mesh_mass_properties(corners @ way.T + np.array(at), triangles)
    law = moved(at_home, matrix(way), vector(at))
    assert away.volume_m3 == pytest.approx(at_home.volume_m3, rel=1e-9)
    assert close(away.centroid_m, law.centroid_m, 1e2)
    assert close(away.inertia_m5, law.inertia_m5, 1e2)


@given(factor=st.floats(1e-3, 1e3))
def test_the_unit_goes_in_with_its_third_and_fifth_power(factor) -> None:
    corners, triangles = meshes.frustum(7, 1.2, 0.4, 3.0)
    one, other = mesh_mass_properties(corners, triangles), mesh_mass_properties(factor * corners, triangles)
    assert other.volume_m3 == pytest.approx(factor**3 * one.volume_m3, rel=1e-9)
    assert close(np.array(other.inertia_m5) / factor**5, one.inertia_m5, 10.0)


@given(at=places)
def test_two_bodies_are_their_sum(at) -> None:
    one, other = meshes.frustum(6, 1.0, 0.5, 2.0), meshes.box(at, (0.5, 2.0, 1.0))
    both = mesh_mass_properties(*meshes.together(one, other))
    parts = [mesh_mass_properties(*mesh) for mesh in (one, other)]
    volumes, centres = [p.volume_m3 for p in parts], [p.centroid_m for p in parts]
    assert both.volume_m3 == pytest.approx(sum(volumes), rel=1e-9)
    assert close(both.centroid_m, centre_of_all(volumes, centres), 1e2)
    assert close(both.inertia_m5, inertia_of_all(volumes, centres, [p.inertia_m5 for p in parts]), 1e5)


def test_far_from_the_origin_nothing_is_lost() -> None:
    found = mesh_mass_properties(*meshes.box((500_000.0, 4_000_000.0, 100.0), (2.0, 1.0, 0.5)))
    assert found.volume_m3 == pytest.approx(1.0, rel=1e-9)
    assert found.inertia_m5[2][2] == pytest.approx(5.0 / 12.0, rel=1e-8)


def test_inertia_about_another_point_is_larger_by_mass_times_distance_squared() -> None:
    rod = matrix(np.diag([0.0, 10 * 3.0**2 / 12, 10 * 3.0**2 / 12]))
    about_its_end = inertia_about(rod, 10.0, (1.5, 0.0, 0.0))
    assert np.diag(about_its_end) == pytest.approx((0.0, 30.0, 30.0))  # m l² / 3


@pytest.mark.parametrize(
    ("corners", "triangles"),
    [(np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64)), (np.full((3, 3), np.nan), np.array([[0, 1, 2]]))],
)
def test_nothing_and_no_number_have_no_properties(corners, triangles) -> None:
    with pytest.raises(ValueError, match=r"no mass properties|finite"):
        mesh_mass_properties(corners, triangles)


@pytest.mark.slow
@settings(max_examples=5)
@given(turn=angles, at=places)
def test_another_library_finds_the_same(turn, at) -> None:
    trimesh = pytest.importorskip("trimesh", reason="the library to compare with is not installed")
    corners, triangles = meshes.together(meshes.sphere(1.3), meshes.frustum(9, 2.0, 0.2, 1.0))
    placed = corners @ meshes.rotation(*turn).T + np.array(at)
    found = mesh_mass_properties(placed, triangles)
    foreign = trimesh.Trimesh(placed, triangles, process=False)
    assert found.volume_m3 == pytest.approx(foreign.volume, rel=1e-6)
    assert np.allclose(found.centroid_m, foreign.center_mass, atol=1e-6)
    assert np.allclose(
        found.inertia_m5, foreign.moment_inertia, atol=1e-2 * abs(foreign.moment_inertia).max()
    )
