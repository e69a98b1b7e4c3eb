"""The type face is measured from its own file, and what it lacks is never left to luck."""

import json

import pypdfium2 as pdfium
import pytest
from factory import scenario_a
from hypothesis import given
from hypothesis import strategies as st

from plumbhook.documents.fonts import SUBSTITUTE, Face, em_mm, missing_characters, printable, text_extent
from plumbhook.documents.lift_plan import _compile
from plumbhook.documents.scene import Layer, Scene, Text
from plumbhook.documents.svg import scene_to_svg

POINT_MM = 25.4 / 72.0


def drawn_width_mm(words: str, face: Face, cap_height_mm: float) -> float:
    """Width of a text as an independent PDF engine finds it in the set page."""
    text = Text((10.0, 20.0), words, face, cap_height_mm, layer=Layer.LABEL)
    svg = scene_to_svg(Scene(180.0, 40.0, "one text", (text,)))
    source = "#set page(width: 180mm, height: 40mm, margin: 0mm)\n"
    source += "#set document(date: datetime(year: 2027, month: 1, day: 1))\n"
    pdf = pdfium.PdfDocument(
        _compile({"main.typ": (source + '#image("a.svg")').encode(), "a.svg": svg.encode()})
    )
    page = pdf[0].get_textpage()
    boxes = [page.get_charbox(i, loose=True) for i in range(page.count_chars())]
    return (max(b[2] for b in boxes) - min(b[0] for b in boxes)) * POINT_MM


@pytest.mark.parametrize("face", list(Face))
@pytest.mark.parametrize("words", ["1234567890", "SH-35-01 … 04", "N = 159.3 kN"])
def test_measured_width_is_the_width_that_is_set(face: Face, words: str) -> None:
    # Kerning is left out of the measure, so what is set may be a little narrower, never wider.
    measured = text_extent(words, face, 3.5).width
    assert drawn_width_mm(words, face, 3.5) == pytest.approx(measured, rel=0.03)


def test_capitals_are_as_high_as_asked_for() -> None:
    # ISO 3098-1 names a lettering by the height of its capitals.
    extent = text_extent("HN", Face.REGULAR, 2.5)
    assert extent.top == pytest.approx(2.5, rel=0.02)
    assert extent.bottom == pytest.approx(0.0, abs=0.01)
    assert em_mm(Face.REGULAR, 2.5) == pytest.approx(2.5 / 0.660, rel=1e-9)


def test_figures_stand_in_columns() -> None:
    widths = {text_extent(digit, Face.SEMIBOLD, 2.5).width for digit in "0123456789"}
    assert len(widths) == 1


def test_a_character_that_the_face_lacks_is_replaced_and_named() -> None:
    text = "crane 🏗 שלום"
    assert printable(text) == f"crane {SUBSTITUTE} {SUBSTITUTE * 4}"
    assert missing_characters([text]) == tuple(sorted("🏗שלום"))


def test_control_and_direction_marks_disappear() -> None:
    assert printable("a\u202eb\x00c\u200bd\te") == "abcd e"


def test_what_is_printable_stays_as_it_is() -> None:
    text = "Weight × 1.05 = 50.24 t, tilt 0.74°, y− low, ≤ 5 %, naïve Größe Ψ"
    assert printable(text) == text


@given(st.text(max_size=60))
def test_every_text_can_be_set_and_measured_after_printable(text: str) -> None:
    safe = printable(text)
    assert printable(safe) == safe
    for face in (Face.REGULAR, Face.SEMIBOLD, Face.BOLD):
        assert text_extent(safe, face, 2.5).width >= 0.0


def test_the_fixture_needs_no_substitute() -> None:
    who = scenario_a().identity
    assert missing_characters([json.dumps(who.title), who.site, who.planned_by]) == ()
