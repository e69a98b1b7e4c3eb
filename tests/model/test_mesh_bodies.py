"""What is a solid and what is refused, with the reason that the list of what was left out prints."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tests.model import meshes

from plumbhook.model.box_tree import overlapping_boxes
from plumbhook.model.mesh_bodies import MeshPiece, bodies_of
from plumbhook.model.mesh_surface import crossings, edges_of, turned_one_way, welded, winding_number


def bodies(*named, whole=False):
    pieces = [MeshPiece(name, *mesh) for name, mesh in named]
    return bodies_of(pieces, whole_pieces=whole)


def only_refusal(found) -> str:
    assert found.bodies == ()
    assert len(found.left_out) == 1
    return found.left_out[0].reason


def soup(mesh):
    """Every triangle with corners of its own, as in an STL file."""
    corners, triangles = mesh
    return corners[triangles].reshape(-1, 3), np.arange(3 * len(triangles)).reshape(-1, 3)


def test_a_box_of_loose_triangles_is_welded_to_a_solid() -> None:
    found = bodies(("box", soup(meshes.box(size=(2.0, 3.0, 4.0)))))
    assert found.left_out == ()
    assert found.bodies[0].shape.volume_m3 == pytest.approx(24.0)
    assert found.bodies[0].remarks == ()


def test_corners_that_miss_one_another_by_a_hair_are_welded() -> None:
    corners, triangles = soup(meshes.box())
    shaken = corners + np.random.default_rng(7).uniform(-2e-7, 2e-7, corners.shape)
    assert bodies(("box", (shaken, triangles))).bodies[0].shape.volume_m3 == pytest.approx(1.0, rel=1e-5)


def test_an_open_mesh_is_refused_with_the_number_and_place_of_its_open_edges() -> None:
    corners, triangles = meshes.box(size=(2.0, 1.0, 1.0))
    reason = only_refusal(bodies(("tray", (corners, triangles[[k for k in range(12) if k not in (2, 3)]]))))
    assert reason.startswith(
        "the surface is open: 4 open edges between (0.000, 0.000, 1.000) m and (2.000, 1.000, 1.000) m"
    )
    assert "close it" in reason


def test_a_mesh_that_is_inside_out_is_turned_and_says_so() -> None:
    body = bodies(("box", meshes.turned_over(meshes.box()))).bodies[0]
    assert body.shape.volume_m3 == pytest.approx(1.0)
    assert body.remarks == ("the surface was inside out and was turned round",)


@given(flipped=st.sets(st.integers(0, 11), max_size=11))
@settings(max_examples=25)
def test_facets_turned_any_way_give_the_same_solid(flipped) -> None:
    corners, triangles = meshes.box()
    triangles = triangles.copy()
    for k in flipped:
        triangles[k] = triangles[k][::-1]
    found = bodies(("box", (corners, triangles)))
    assert found.bodies[0].shape.volume_m3 == pytest.approx(1.0)
    assert bool(found.bodies[0].remarks) == bool(flipped)


def test_a_closed_hollow_is_a_cavity() -> None:
    hollow = meshes.turned_over(meshes.box((1.0, 1.0, 1.0), (1.0, 1.0, 1.0)))
    found = bodies(("casting", meshes.together(meshes.box(size=(3.0, 3.0, 3.0)), hollow)))
    assert found.bodies[0].shape.volume_m3 == pytest.approx(26.0)
    assert found.bodies[0].remarks == ("1 closed cavity inside",)


def test_a_ball_in_a_hollow_is_a_solid_of_its_own() -> None:
    hollow = meshes.turned_over(meshes.box((1.0, 1.0, 1.0), (1.0, 1.0, 1.0)))
    ball = meshes.box((1.4, 1.4, 1.4), (0.2, 0.2, 0.2))
    found = bodies(("valve", meshes.together(meshes.box(size=(3.0, 3.0, 3.0)), hollow, ball)))
    assert sorted(body.shape.volume_m3 for body in found.bodies) == pytest.approx([0.008, 26.0])
    assert [body.name for body in found.bodies] == ["valve 1", "valve 2"]


def test_a_solid_inside_a_solid_is_not_counted_twice_in_silence() -> None:
    inner = meshes.box((1.0, 1.0, 1.0), (1.0, 1.0, 1.0))
    mesh = meshes.together(meshes.box(size=(3.0, 3.0, 3.0)), inner)
    assert "counted twice" in only_refusal(bodies(("lump", mesh)))
    apart = bodies(("lump", meshes.box(size=(3.0, 3.0, 3.0))), ("core", inner))
    assert [(one.first, one.second, one.inside) for one in apart.overlaps] == [(0, 1, True)]


def test_two_boxes_in_one_mesh_are_two_solids() -> None:
    found = bodies(("pair", meshes.together(meshes.box(), meshes.box((5.0, 0.0, 0.0), (2.0, 2.0, 2.0)))))
    assert [body.shape.volume_m3 for body in found.bodies] == pytest.approx([1.0, 8.0])
    joined = bodies(
        ("pair", meshes.together(meshes.box(), meshes.box((5.0, 0.0, 0.0), (2.0, 2.0, 2.0)))), whole=True
    )
    assert joined.bodies[0].shape.volume_m3 == pytest.approx(9.0)
    assert joined.bodies[0].remarks == ("made of 2 separate bodies",)


def test_groups_of_faces_that_close_only_together_are_one_solid() -> None:
    corners, triangles = meshes.box()
    found = bodies(("sides", soup((corners, triangles[:7]))), ("lid", soup((corners, triangles[7:]))))
    assert [body.name for body in found.bodies] == ["sides + lid"]
    assert found.bodies[0].shape.volume_m3 == pytest.approx(1.0)


@pytest.mark.parametrize("shift", [(0.5, 0.3, 0.2), (0.5, 0.0, 0.0), (0.0, 0.0, 0.9)])
def test_a_surface_that_crosses_itself_is_refused_with_the_place(shift) -> None:
    mesh = meshes.together(meshes.box(), meshes.box(shift))
    reason = only_refusal(bodies(("overlapping shells", mesh), whole=True))
    assert reason.startswith("its surface crosses itself, for instance near (")
    assert "join its bodies" in reason


def test_a_bow_tie_prism_is_refused() -> None:
    corners, triangles = meshes.frustum(6, 1.0, 1.0, 2.0)
    corners[[1, 4, 7, 10]] = corners[[4, 1, 10, 7]]
    assert "crosses itself" in only_refusal(bodies(("twisted", (corners, triangles))))


@pytest.mark.parametrize(
    "shift", [(1.0, 0.0, 0.0), (1.0, 0.4, 0.3), (1.0, 1.0, 0.0), (1.0, 1.0, 1.0), (0.3, 0.4, 1.0)]
)
def test_bodies_that_only_touch_do_not_overlap(shift) -> None:
    apart = bodies(("one", meshes.box()), ("other", meshes.box(shift)))
    assert apart.overlaps == ()
    assert len(apart.bodies) == 2
    stacked = bodies(("stack", meshes.together(meshes.box(), meshes.box(np.add(shift, 0.0)))), whole=True)
    assert stacked.bodies[0].shape.volume_m3 == pytest.approx(2.0)


@pytest.mark.parametrize("shift", [(0.5, 0.3, 0.2), (0.5, 0.0, 0.0), (0.9, 0.9, 0.9), (0.0, 0.0, 0.99)])
def test_bodies_that_overlap_are_named_with_the_place(shift) -> None:
    found = bodies(("one", meshes.box()), ("other", meshes.box(shift)))
    assert [(one.first, one.second, one.inside) for one in found.overlaps] == [(0, 1, False)]
    at = np.array(found.overlaps[0].at_m)
    assert ((at >= np.array(shift) - 1e-9) & (at <= 1.0 + 1e-9)).all()


@given(at=st.tuples(*[st.floats(-1.4, 1.4)] * 3), turn=st.tuples(*[st.floats(-3.0, 3.0)] * 3))
@settings(max_examples=25)
def test_crossing_is_found_wherever_two_balls_share_space(at, turn) -> None:
    corners, triangles = meshes.sphere(1.0, 8)
    other = corners @ meshes.rotation(*turn).T * 0.5 + np.array(at)
    found = bodies(("ball", (corners, triangles)), ("small ball", (other, triangles)))
    distance = float(np.linalg.norm(at))
    if distance < 1.35:
        assert len(found.overlaps) == 1
    elif distance > 1.5:
        assert found.overlaps == ()


def test_the_same_body_twice_in_one_mesh_is_refused_as_a_copy() -> None:
    assert "occur twice at the same place" in only_refusal(
        bodies(("twice", meshes.together(meshes.box(), meshes.box())))
    )


def test_a_one_sided_surface_has_no_inside() -> None:
    # A band with half a twist, its rim closed by a disc of facets to one point: the projective plane.
    count = 9
    angles = 2 * np.pi * np.arange(count) / count
    rim = [
        [(2 + w * np.cos(a / 2)) * np.cos(a), (2 + w * np.cos(a / 2)) * np.sin(a), w * np.sin(a / 2)]
        for w in (-0.5, 0.5)
        for a in angles
    ]
    corners = np.array([*rim, [0.0, 0.0, 3.0]])
    triangles = []
    for k in range(count):
        a, b = k, count + k
        c, d = (k + 1, count + k + 1) if k + 1 < count else (count, 0)
        triangles += [(a, c, b), (b, c, d), (a, c, 2 * count), (b, d, 2 * count)]
    assert "one side only" in only_refusal(bodies(("band", (corners, np.array(triangles)))))


def test_a_sheet_folded_on_itself_encloses_nothing() -> None:
    corners = np.array([[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [1.0, 1.0, 0.0]])
    both_sides = np.array([[0, 1, 2], [1, 3, 2], [0, 2, 1], [1, 2, 3]])
    assert "encloses no volume" in only_refusal(bodies(("sheet", (corners, both_sides))))


def test_more_than_two_facets_at_an_edge_that_do_not_agree_are_refused() -> None:
    corners, triangles = meshes.together(meshes.box(), meshes.box((1.0, 1.0, 0.0)))
    corners, triangles = welded(corners, triangles)
    triangles = triangles.copy()
    triangles[0] = triangles[0][::-1]
    assert "more than two facets meet" in only_refusal(bodies(("edge to edge", (corners, triangles))))


@pytest.mark.parametrize(
    ("corners", "triangles", "reason"),
    [
        (np.zeros((0, 3)), np.zeros((0, 3), dtype=np.int64), "it has no facets"),
        (
            np.array([[0.0, 0.0, 0.0], [1.0, 0.0, 0.0], [np.nan, 1.0, 0.0]]),
            np.array([[0, 1, 2]]),
            "not a finite number",
        ),
        (np.zeros((3, 3)), np.array([[0, 1, 2]]), "points or lines"),
    ],
)
def test_empty_and_senseless_meshes_are_refused(corners, triangles, reason) -> None:
    assert reason in only_refusal(bodies(("x", (corners, triangles))))


def test_a_ball_and_its_winding_number() -> None:
    corners, triangles = meshes.sphere(2.0, 10)
    assert winding_number((0.1, -0.3, 1.5), corners, triangles) == pytest.approx(1.0)
    assert winding_number((0.1, -0.3, 2.5), corners, triangles) == pytest.approx(0.0, abs=1e-12)
    assert edges_of(triangles).is_closed
    assert len(crossings(corners, triangles, tolerance_m=1e-9).depth_m) == 0


@given(seed=st.integers(0, 10_000), count=st.integers(2, 60))
@settings(max_examples=25)
def test_the_tree_finds_exactly_the_boxes_that_overlap(seed, count) -> None:
    random = np.random.default_rng(seed)
    low = random.uniform(-1.0, 1.0, (count, 3))
    high = low + random.uniform(0.0, 0.8, (count, 3))
    pairs = {
        tuple(sorted((int(a), int(b))))
        for first, second in overlapping_boxes(low, high)
        for a, b in zip(first, second, strict=True)
    }
    every = {
        (i, j)
        for i in range(count)
        for j in range(i + 1, count)
        if (low[i] <= high[j]).all() and (low[j] <= high[i]).all()
    }
    assert pairs == every


def test_turning_facets_counts_the_fewer() -> None:
    _, triangles = meshes.box()
    triangles = triangles.copy()
    triangles[:9] = triangles[:9, ::-1]
    turned, count = turned_one_way(triangles, edges_of(triangles))
    assert count == 3
    assert edges_of(turned).is_closed
