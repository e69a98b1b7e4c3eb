"""The general arrangement: to scale, true lengths, nothing on top of anything, for every arrangement of rig."""

import itertools
import math
import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import factory
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from plumbhook.documents import arrangement_svg, draw_arrangement, find_overlaps, scene_to_svg
from plumbhook.documents.arrangement import SHEET_HEIGHT_MM, SHEET_WIDTH_MM
from plumbhook.documents.drawable import ArrangementError
from plumbhook.documents.load_drawing import load_scene
from plumbhook.documents.overlap import inside, obstacles
from plumbhook.documents.scene import Arrowhead, Layer, ObliqueStroke, Polyline, Scene, Text
from plumbhook.documents.views import SCALES, leading_direction, standard_views
from plumbhook.planning.assessment import Assessment, Box, HookItem

SVG = "{http://www.w3.org/2000/svg}"


def paths(svg: str, owner: str) -> list[list[tuple[float, float]]]:
    """Corner points (mm) of every outline that belongs to ``owner``, read back from the file."""
    root = ET.fromstring(svg)
    found = []
    for path in root.iter(f"{SVG}path"):
        if path.get("data-owner") == owner:
            numbers = [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", path.get("d", ""))]
            found.append(list(zip(numbers[::2], numbers[1::2], strict=True)))
    return found


def longest_side(points: list[tuple[float, float]]) -> float:
    return max(math.dist(a, b) for a, b in itertools.pairwise([*points, points[0]]))


def texts(scene: Scene) -> list[str]:
    return [item.text for item in scene.items if isinstance(item, Text)]


@pytest.fixture(scope="module")
def scenario_a() -> Assessment:
    return factory.scenario_a()


@pytest.fixture(scope="module")
def sheets(scenario_a: Assessment):
    return draw_arrangement(scenario_a)


def test_the_scale_is_one_of_the_standard_scales(sheets) -> None:
    # ISO 5455:1979, reduction scales.
    iso_5455 = {scale * power for scale in (1, 2, 5) for power in (10, 100, 1000)} | {2, 5}
    assert set(SCALES) <= iso_5455
    assert sheets.scale == 50


def test_lengths_measured_back_from_the_file_are_true_to_a_tenth_of_a_millimetre(sheets) -> None:
    elevation = scene_to_svg(sheets.sheets[0])
    top_sling, lower_sling = paths(elevation, "T1")[0], paths(elevation, "V2")[0]
    assert longest_side(top_sling) == pytest.approx(4300.0 / 50.0, abs=0.1)
    assert longest_side(lower_sling) == pytest.approx(900.0 / 50.0, abs=0.1)
    tube = max((longest_side(p) for p in paths(elevation, "U1")), default=0.0)
    assert tube == pytest.approx((4300.0 - 2 * 200.0) / 50.0, abs=0.1)


def test_angle_measured_back_from_the_file_is_thirty_degrees_from_the_vertical(sheets) -> None:
    # Equilateral triangles: 4.30 m strut between slings of 4.30 m.
    corners = paths(scene_to_svg(sheets.sheets[0]), "T1")[0]
    a, b = max(itertools.pairwise([*corners, corners[0]]), key=lambda side: math.dist(*side))
    assert math.degrees(math.atan2(abs(b[0] - a[0]), abs(b[1] - a[1]))) == pytest.approx(30.0, abs=0.1)


def test_joints_stand_where_the_pieces_end(sheets) -> None:
    scene = sheets.sheets[0]
    tube = max(
        (i for i in scene.items if isinstance(i, Polyline) and i.owner == "U1" and i.closed),
        key=lambda i: longest_side(list(i.points)),
    )
    pin = min(x for x, _ in tube.points) - 200.0 / 50.0
    flanges = {
        round((i.points[0][0] - pin) * 50.0 / 100.0)
        for i in scene.items
        if isinstance(i, Polyline) and i.owner == "U1" and not i.closed
    }
    assert {2, 14, 38, 41} == flanges  # 0.2, 1.4, 3.8 and 4.1 m from pin a


def test_dimensions_angles_forces_and_names_are_written(sheets) -> None:
    elevation_a = texts(sheets.sheets[0])
    for expected in (
        "7793",
        "950",
        "3724",
        "1819",
        "900",
        "1400",
        "2400",
        "500",
        "4300",
        "30.0°",
        "1.2",
        "2.4",
        "0.3",
    ):
        assert expected in elevation_a, expected
    assert any("32.70 t" in text for text in elevation_a)
    assert any("N = 159.3 kN" in text for text in elevation_a)
    both = [text for scene in sheets.sheets for text in texts(scene)]
    for expected in ("2100", "L1", "L2", "L3", "L4", "14.36 t", "A", "B", "C"):
        assert expected in both, expected
    assert any(text.startswith("CoG") for text in both)
    assert any("drawn × 10" in text for text in both)


def test_balloons_number_what_can_be_seen(sheets) -> None:
    numbers = {
        item.text
        for item in sheets.sheets[0].items
        if isinstance(item, Text) and item.owner.startswith("balloon")
    }
    assert numbers == {"1", "2", "4", "5", "6", "7", "8"}


def test_lengths_have_strokes_and_forces_have_heads(sheets) -> None:
    for scene in sheets.sheets:
        for item in scene.items:
            if isinstance(item, ObliqueStroke):
                assert item.layer is Layer.DIMENSION
            if isinstance(item, Arrowhead):
                assert item.layer is Layer.FORCE


def test_the_leading_elevation_shows_the_longest_strut_in_true_length(scenario_a: Assessment) -> None:
    a, b, plan = standard_views(scenario_a)
    nodes = scenario_a.rig.drawn.nodes_m
    assert a.true_ratio(nodes["U1.a"], nodes["U1.b"]) == pytest.approx(1.0)
    assert b.true_ratio(nodes["S1.a"], nodes["S1.b"]) == pytest.approx(1.0)
    assert plan.true_ratio(nodes["U1.a"], nodes["U1.b"]) == pytest.approx(1.0)


def test_views_are_right_handed_and_named_by_where_they_look(scenario_a: Assessment) -> None:
    a, b, _ = standard_views(scenario_a)
    assert (a.name, a.left_word, a.right_word) == ("Elevation towards −x", "y−", "y+")
    assert (b.name, b.left_word, b.right_word) == ("Elevation towards +y", "x−", "x+")


def test_a_strut_along_neither_axis_is_still_seen_in_true_length() -> None:
    rig = factory.one_strut_geometry(6.0)
    turn = math.radians(33.0)
    rig.nodes = {
        name: (x * math.cos(turn) - y * math.sin(turn), x * math.sin(turn) + y * math.cos(turn), z)
        for name, (x, y, z) in rig.nodes.items()
    }
    assessment = factory.synthetic("one strut", rig)
    assert leading_direction(assessment) == pytest.approx((math.cos(turn), math.sin(turn), 0.0))
    drawn = draw_arrangement(assessment)
    assert all(not find_overlaps(scene) for scene in drawn.sheets)


def legible(assessment: Assessment) -> None:
    drawn = draw_arrangement(assessment)
    for scene in (*drawn.sheets, load_scene(assessment, SHEET_WIDTH_MM, 104.0)):
        assert not find_overlaps(scene), [str(hit) for hit in find_overlaps(scene)]
        for item in scene.items:
            for part in obstacles(item):
                assert inside(part, 0.0, 0.0, scene.width_mm, scene.height_mm)


def hook_items(lengths: list[float]) -> tuple[HookItem, ...]:
    return tuple(
        HookItem(f"H{i}", "Load cell" if i else "Master link", x, i + 1) for i, x in enumerate(lengths)
    )


tilts = st.tuples(st.floats(-0.1, 0.1), st.floats(-0.1, 0.1))
chains = st.lists(st.floats(0.15, 1.0), max_size=3)


def legible_strut(span, rise, drop, top, tilt, chain) -> None:
    geometry = factory.one_strut_geometry(span, rise, drop, top)
    legible(factory.synthetic("one strut", geometry, tilt, hook_items(chain)))


def legible_frame(length, width, rise, drop, off, tilt, chain) -> None:
    geometry = factory.frame_geometry(length, width, rise, drop, off=off)
    legible(factory.synthetic("four-strut frame", geometry, tilt, hook_items(chain)))


def legible_bridle(length, width, rise, top, tilt, chain) -> None:
    geometry = factory.bridle_geometry(length, width, rise, top)
    legible(factory.synthetic("direct bridle", geometry, tilt, hook_items(chain)))


strut_rigs = given(st.floats(1, 15), st.floats(0.5, 12), st.floats(0.1, 8), st.floats(0.3, 5), tilts, chains)
frame_rigs = given(
    st.floats(2, 14),
    st.floats(1, 8),
    st.floats(1, 10),
    st.floats(0.2, 6),
    st.floats(-0.5, 0.5),
    tilts,
    chains,
)
bridle_rigs = given(
    st.floats(0.5, 12), st.floats(0.3, 8), st.floats(0.5, 10), st.floats(0.2, 5), tilts, chains
)


@settings(max_examples=8)
@strut_rigs
def test_one_strut_is_legible_whatever_its_size(span, rise, drop, top, tilt, chain) -> None:
    legible_strut(span, rise, drop, top, tilt, chain)


@settings(max_examples=3)
@frame_rigs
def test_four_strut_frame_is_legible_whatever_its_size(length, width, rise, drop, off, tilt, chain) -> None:
    legible_frame(length, width, rise, drop, off, tilt, chain)


@settings(max_examples=8)
@bridle_rigs
def test_direct_bridle_is_legible_whatever_its_size(length, width, rise, top, tilt, chain) -> None:
    legible_bridle(length, width, rise, top, tilt, chain)


@pytest.mark.slow
@settings(max_examples=150)
@strut_rigs
def test_one_strut_is_legible_in_many_sizes(span, rise, drop, top, tilt, chain) -> None:
    legible_strut(span, rise, drop, top, tilt, chain)


@pytest.mark.slow
@settings(max_examples=150)
@frame_rigs
def test_four_strut_frame_is_legible_in_many_sizes(length, width, rise, drop, off, tilt, chain) -> None:
    legible_frame(length, width, rise, drop, off, tilt, chain)


@pytest.mark.slow
@settings(max_examples=150)
@bridle_rigs
def test_direct_bridle_is_legible_in_many_sizes(length, width, rise, top, tilt, chain) -> None:
    legible_bridle(length, width, rise, top, tilt, chain)


def test_a_load_that_overhangs_the_rig_is_broken_off_and_not_drawn_smaller(scenario_a: Assessment) -> None:
    long_load = replace(scenario_a.load, envelope=Box((-1.6, -20.0, 0.0), (1.6, 20.0, 2.5)))
    drawn = draw_arrangement(replace(scenario_a, load=long_load))
    assert drawn.scale == 50
    assert "40000" not in [text for scene in drawn.sheets for text in texts(scene)]


def test_a_level_rig_has_no_ghost_and_a_large_tilt_is_enlarged_less(scenario_a: Assessment) -> None:
    geometry = factory.one_strut_geometry()
    level = draw_arrangement(factory.synthetic("one strut", geometry, (0.0, 0.0)))
    assert not any(item.layer is Layer.GHOST for scene in level.sheets for item in scene.items)
    steep = draw_arrangement(factory.synthetic("one strut", geometry, (0.0, 0.2)))
    assert any("drawn × 2" in text for scene in steep.sheets for text in texts(scene))


def test_a_posture_that_was_not_found_gives_no_ghost(scenario_a: Assessment) -> None:
    lost = replace(scenario_a.rig.hanging, load_origin_m=(math.nan, math.nan, math.nan))
    drawn = draw_arrangement(replace(scenario_a, rig=replace(scenario_a.rig, hanging=lost)))
    assert not any(item.layer is Layer.GHOST for scene in drawn.sheets for item in scene.items)


def test_the_stand_alone_drawing_holds_its_fonts_and_keeps_text_as_text(scenario_a: Assessment) -> None:
    svg = arrangement_svg(scenario_a)
    root = ET.fromstring(svg)
    words = [element.text for element in root.iter(f"{SVG}text")]
    assert "7793" in words
    assert "@font-face" in svg
    assert "base64," in svg
    assert svg == arrangement_svg(scenario_a)
    assert len(arrangement_svg(scenario_a, embed_fonts=False)) < len(svg) / 4


def test_a_sheet_of_the_plan_is_as_large_as_the_page_allows(sheets) -> None:
    assert all((s.width_mm, s.height_mm) == (SHEET_WIDTH_MM, SHEET_HEIGHT_MM) for s in sheets.sheets)
    assert all(f"1:{sheets.scale}" in texts(s) for s in sheets.sheets)


def test_names_with_markup_stay_names_in_the_file(scenario_a: Assessment) -> None:
    struts = tuple(replace(s, name='<b>&"') for s in scenario_a.rig.struts)
    svg = arrangement_svg(replace(scenario_a, rig=replace(scenario_a.rig, struts=struts)))
    assert any('<b>&"' in (element.text or "") for element in ET.fromstring(svg).iter(f"{SVG}text"))


def test_a_hook_of_another_name_is_found(scenario_a: Assessment) -> None:
    def renamed(posture):
        nodes = {("hook.main" if name == "hook" else name): at for name, at in posture.nodes_m.items()}
        return replace(posture, nodes_m=nodes)

    rig = replace(
        scenario_a.rig, drawn=renamed(scenario_a.rig.drawn), hanging=renamed(scenario_a.rig.hanging)
    )
    drawn = draw_arrangement(replace(scenario_a, rig=rig))
    assert "7793" in texts(drawn.sheets[0])


def test_a_line_that_ends_nowhere_is_named(scenario_a: Assessment) -> None:
    lines = (replace(scenario_a.rig.lines[0], lower_node="U9.a"), *scenario_a.rig.lines[1:])
    with pytest.raises(ArrangementError, match=r"U9\.a"):
        draw_arrangement(replace(scenario_a, rig=replace(scenario_a.rig, lines=lines)))
