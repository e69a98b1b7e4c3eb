"""The test of the drawing itself must find what it is for: one planted clash of each sort."""

import dataclasses

import pytest

from plumbhook.documents.fonts import Face
from plumbhook.documents.overlap import find_overlaps, shape, touches
from plumbhook.documents.scene import (
    BALLOON_PEN,
    HIDDEN_PEN,
    LEADER_PEN,
    LOAD_PEN,
    NO_PEN,
    THIN_PEN,
    Arrowhead,
    Circle,
    Fill,
    Item,
    Layer,
    ObliqueStroke,
    Polyline,
    Scene,
    Text,
    line,
    rectangle,
)
from plumbhook.documents.svg import DrawingError, scene_to_svg

WORDS = Text((20.0, 20.0), "4300", Face.REGULAR, 2.5)


def clashes(*items: Item) -> int:
    return len(find_overlaps(Scene(100.0, 50.0, "test", items)))


@pytest.mark.parametrize(
    "other",
    [
        Text((22.0, 21.0), "1400", Face.REGULAR, 2.5),
        line((10.0, 19.0), (60.0, 19.0), LOAD_PEN, Layer.LOAD),
        line((15.0, 10.0), (30.0, 30.0), LOAD_PEN, Layer.GEAR),
        Circle((22.0, 19.0), 3.3, BALLOON_PEN, Layer.BALLOON, Fill.WHITE),
        line((0.0, 0.0), (22.0, 19.0), LEADER_PEN, Layer.LEADER),
        Arrowhead((22.0, 19.0), 0.0),
        ObliqueStroke((22.0, 19.0), 0.0),
        rectangle(15.0, 15.0, 20.0, 10.0, NO_PEN, Layer.CHART, Fill.BLACK),
    ],
)
def test_a_text_that_touches_something_is_found(other: Item) -> None:
    assert clashes(WORDS, other) >= 1


@pytest.mark.parametrize(
    "other",
    [
        line((10.0, 19.0), (60.0, 19.0), THIN_PEN, Layer.DIMENSION),
        line((10.0, 19.0), (60.0, 19.0), HIDDEN_PEN, Layer.LOAD),
        line((10.0, 25.0), (60.0, 25.0), LOAD_PEN, Layer.LOAD),
        Circle((22.0, 19.0), 10.0, LOAD_PEN, Layer.LOAD),
    ],
)
def test_thin_dashed_and_distant_lines_may_stay(other: Item) -> None:
    assert clashes(WORDS, other) == 0


def test_a_text_over_the_edge_of_the_sheet_is_found() -> None:
    assert clashes(Text((97.0, 20.0), "4300", Face.REGULAR, 2.5)) == 1
    assert clashes(Text((2.0, 1.0), "4300", Face.REGULAR, 2.5)) == 1


def test_a_number_in_its_own_balloon_is_no_clash() -> None:
    balloon = Circle((20.0, 20.0), 3.3, BALLOON_PEN, Layer.BALLOON, Fill.WHITE, "balloon 3")
    number = Text((20.0, 21.2), "3", Face.SEMIBOLD, 2.5, "middle", owner="balloon 3")
    assert clashes(balloon, number) == 0
    assert clashes(balloon, dataclasses.replace(number, owner="balloon 4")) == 1


def test_leaders_may_not_cross() -> None:
    first = line((10.0, 10.0), (40.0, 40.0), LEADER_PEN, Layer.LEADER)
    second = line((40.0, 10.0), (10.0, 40.0), LEADER_PEN, Layer.LEADER)
    assert clashes(first, second) == 1
    assert clashes(first, line((50.0, 10.0), (45.0, 40.0), LEADER_PEN, Layer.LEADER)) == 0


def test_a_line_that_is_painted_over_does_not_count() -> None:
    edge = line((16.0, 19.0), (30.0, 19.0), LOAD_PEN, Layer.LOAD)
    deck = rectangle(10.0, 5.0, 60.0, 40.0, LOAD_PEN, Layer.LOAD, Fill.GREY)
    assert clashes(edge, deck, WORDS) == 0
    assert clashes(deck, edge, WORDS) == 1


def test_turned_texts_are_tested_by_their_turned_box() -> None:
    upright = Text((20.0, 40.0), "a long text", Face.REGULAR, 2.5, angle_deg=90.0)
    beside = Text((25.0, 34.0), "x", Face.REGULAR, 2.5)
    assert clashes(upright, beside) == 0
    assert clashes(dataclasses.replace(upright, angle_deg=45.0), beside) == 1


def test_separating_axis_sees_corners_that_bounding_boxes_do_not() -> None:
    slanting = shape(((0.0, 10.0), (10.0, 0.0), (11.0, 1.0), (1.0, 11.0)), "slanting")
    corner = shape(((0.0, 0.0), (4.0, 0.0), (4.0, 4.0), (0.0, 4.0)), "corner")
    assert not touches(slanting, corner)
    assert touches(slanting, shape(((3.0, 3.0), (6.0, 3.0), (6.0, 6.0), (3.0, 6.0)), "middle"))


def test_a_drawing_with_a_clash_is_refused_by_the_writer() -> None:
    scene = Scene(100.0, 50.0, "test", (WORDS, dataclasses.replace(WORDS, at=(21.0, 20.5))))
    with pytest.raises(DrawingError, match="not legible"):
        scene_to_svg(scene)
    outline = Polyline(((0.0, 0.0), (5.0, 5.0)), THIN_PEN, Layer.LOAD)
    assert scene_to_svg(dataclasses.replace(scene, items=(WORDS, outline))).startswith("<svg")
