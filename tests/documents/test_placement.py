"""Placing labels, dimension chains and balloons."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbhook.documents.balloons import BALLOON_PITCH_MM, BalloonAnchor, place_balloons, pushed_apart
from plumbhook.documents.dimensions import Stop, angle_of, chain
from plumbhook.documents.fonts import Face
from plumbhook.documents.overlap import find_overlaps
from plumbhook.documents.placement import Label, place_labels, text_block
from plumbhook.documents.scene import Circle, Layer, ObliqueStroke, Polyline, Scene, Text
from plumbhook.documents.sheet import PlacementError, Sheet


def finished(sheet: Sheet) -> Scene:
    return Scene(sheet.width_mm, sheet.height_mm, "test", tuple(sheet.items))


def texts(sheet: Sheet) -> list[str]:
    return [item.text for item in sheet.items if isinstance(item, Text)]


def test_the_first_free_option_is_taken() -> None:
    sheet = Sheet(100.0, 50.0)
    sheet.add(Text((20.0, 20.0), "taken", Face.REGULAR, 2.5, "middle"))
    options = (
        text_block(("here",), (20.0, 19.0), Face.REGULAR, 2.5),
        text_block(("here",), (60.0, 30.0), Face.REGULAR, 2.5),
    )
    place_labels(sheet, [Label(("here",), options, ())])
    assert sheet.items[-1].at == pytest.approx((60.0, 31.25))


def test_the_most_constrained_label_goes_first() -> None:
    sheet = Sheet(100.0, 50.0)
    shared = text_block(("one",), (30.0, 20.0), Face.REGULAR, 2.5)
    easy = Label(("one",), (shared, text_block(("one",), (70.0, 20.0), Face.REGULAR, 2.5)), ())
    hard = Label(("two",), (text_block(("two",), (30.0, 20.0), Face.REGULAR, 2.5),), ())
    place_labels(sheet, [easy, hard])
    assert sorted(texts(sheet)) == ["one", "two"]
    assert not find_overlaps(finished(sheet))


def test_without_a_free_option_a_leader_is_drawn() -> None:
    sheet = Sheet(100.0, 50.0)
    place_labels(sheet, [Label(("CoG",), (), ((50.0, 25.0),))])
    leaders = [item for item in sheet.items if isinstance(item, Polyline) and item.layer is Layer.LEADER]
    assert len(leaders) == 1
    assert leaders[0].points[0] == (50.0, 25.0)
    assert not find_overlaps(finished(sheet))


def test_a_label_without_room_is_an_error_or_is_named() -> None:
    label = Label(("much too long a text for so small a sheet",), (), ((5.0, 5.0),))
    with pytest.raises(PlacementError):
        place_labels(Sheet(20.0, 10.0), [label])
    left_out: list[str] = []
    place_labels(Sheet(20.0, 10.0), [label], left_out)
    assert left_out == ["much too long a text for so small a sheet"]


def test_a_chain_has_a_stroke_at_every_stop_and_no_arrowhead() -> None:
    items, labels = chain(
        [Stop(x, 40.0) for x in (10.0, 38.0, 86.0, 96.0)], ["1400", "2400", "500"], 30.0, vertical=False
    )
    strokes = [item for item in items if isinstance(item, ObliqueStroke)]
    assert [stroke.at[0] for stroke in strokes] == [10.0, 38.0, 86.0, 96.0]
    assert [label.lines for label in labels] == [("1400",), ("2400",), ("500",)]


def test_extension_lines_leave_a_gap_and_overrun() -> None:
    items, _ = chain([Stop(10.0, 40.0), Stop(60.0, 40.0)], ["2500"], 30.0, vertical=False)
    extensions = [
        item for item in items if isinstance(item, Polyline) and item.points[0][0] == item.points[1][0]
    ]
    assert [sorted(y for _, y in item.points) for item in extensions] == [pytest.approx([28.2, 39.0])] * 2


@pytest.mark.parametrize("vertical", [False, True])
def test_a_segment_too_short_for_its_text_is_not_shrunk_but_moved(vertical: bool) -> None:
    sheet = Sheet(120.0, 120.0)
    items, labels = chain(
        [Stop(x, 60.0) for x in (30.0, 33.0, 36.0, 80.0)], ["150", "150", "2200"], 50.0, vertical=vertical
    )
    sheet.add(*items)
    place_labels(sheet, labels)
    found = [item for item in sheet.items if isinstance(item, Text)]
    assert sorted(item.text for item in found) == ["150", "150", "2200"]
    assert {item.cap_height_mm for item in found} == {2.5}
    assert not find_overlaps(finished(sheet))


@given(
    st.lists(st.floats(0.0, 200.0), min_size=1, max_size=12),
)
def test_slots_keep_order_pitch_and_bounds(wanted: list[float]) -> None:
    wanted.sort()
    slots = pushed_apart(wanted, 9.0, 5.0, 195.0)
    assert all(b - a >= 9.0 - 1e-9 for a, b in itertools.pairwise(slots))
    assert slots[0] >= 5.0 - 1e-9
    assert slots[-1] <= 195.0 + 1e-9


@given(
    st.lists(st.tuples(st.floats(20.0, 80.0), st.floats(20.0, 130.0)), min_size=1, max_size=9, unique=True)
)
def test_balloons_stand_apart_and_their_leaders_do_not_cross(points: list[tuple[float, float]]) -> None:
    sheet = Sheet(120.0, 150.0)
    anchors = [BalloonAnchor(str(i), (point,)) for i, point in enumerate(points, 1)]
    left_out: list[str] = []
    place_balloons(sheet, anchors, 110.0, 5.0, 145.0, left_out)
    circles = [item for item in sheet.items if isinstance(item, Circle) and item.layer is Layer.BALLOON]
    assert len(circles) + len(left_out) == len(points)
    column = sorted(c.centre[1] for c in circles if c.centre[0] == 110.0)
    assert all(b - a >= BALLOON_PITCH_MM - 1e-6 for a, b in itertools.pairwise(column))
    assert not find_overlaps(finished(sheet))


@pytest.mark.parametrize(
    ("a", "b", "expected"),
    [
        ((0, 0), (10, 0), 0.0),
        ((0, 10), (0, 0), 90.0),
        ((0, 0), (0, 10), 90.0),
        ((10, 0), (0, 10), 45.0),
        ((0, 0), (10, 10), -45.0),
    ],
)
def test_text_on_a_line_is_never_upside_down(a, b, expected: float) -> None:
    assert angle_of(a, b) == pytest.approx(expected)
