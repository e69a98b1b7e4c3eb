"""The type face of every document: its files, what a text measures in it, and which characters it lacks.

The face is Source Sans Pro (SIL Open Font License 1.1) from an installed package. Text is measured from the very
files that the PDF embeds, so that a label placed in a drawing stays where it was placed.
"""

from __future__ import annotations

import importlib.resources
import unicodedata
from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum
from functools import cache
from pathlib import Path

from fontTools.ttLib import TTFont

FAMILY = "Source Sans Pro"
"""Family name as written into SVG and typst."""

SUBSTITUTE = "◊"
"""Printed for a character that the face lacks; such characters are named in the plan."""


class Face(Enum):
    """The four cuts that documents use. The value is the stem of the file name."""

    REGULAR = "Regular"
    SEMIBOLD = "Semibold"
    BOLD = "Bold"
    ITALIC = "It"

    @property
    def weight(self) -> int:
        """Weight class as in CSS."""
        return {Face.SEMIBOLD: 600, Face.BOLD: 700}.get(self, 400)

    @property
    def italic(self) -> bool:
        """True for the sloped cut."""
        return self is Face.ITALIC


@dataclass(frozen=True, slots=True)
class TextExtent:
    """What a line of text covers at a given size, mm, from the start of its baseline.

    ``top`` is above the baseline (positive), ``bottom`` below it (positive downwards, may be negative or zero).
    """

    width: float
    top: float
    bottom: float


@dataclass(frozen=True, slots=True)
class _Metrics:
    units_per_em: int
    cap_height: int
    advance: dict[int, int]
    low_high: dict[int, tuple[int, int]]


def font_file(face: Face) -> Path:
    """Path of the TrueType file of ``face`` in the installed font package.

    Raises:
        FileNotFoundError: the font package lacks that file.
    """
    path = Path(
        str(importlib.resources.files("font_source_sans_pro") / "files" / f"SourceSansPro-{face.value}.ttf")
    )
    if not path.is_file():
        raise FileNotFoundError(path)
    return path


def font_files() -> tuple[Path, ...]:
    """The files of all four cuts, in a fixed order."""
    return tuple(font_file(face) for face in Face)


@cache
def _metrics(face: Face) -> _Metrics:
    with TTFont(str(font_file(face)), lazy=True) as font:
        widths, glyphs = font["hmtx"], font["glyf"]
        advance: dict[int, int] = {}
        low_high: dict[int, tuple[int, int]] = {}
        for code, name in font.getBestCmap().items():
            advance[code] = widths[name][0]
            glyph = glyphs[name]
            if glyph.numberOfContours:
                low_high[code] = (glyph.yMin, glyph.yMax)
        return _Metrics(font["head"].unitsPerEm, font["OS/2"].sCapHeight, advance, low_high)


def em_mm(face: Face, cap_height_mm: float) -> float:
    """Font size (em, mm) at which capitals of ``face`` are ``cap_height_mm`` high (ISO 3098 names lettering by it)."""
    metrics = _metrics(face)
    return cap_height_mm * metrics.units_per_em / metrics.cap_height


def text_extent(text: str, face: Face, cap_height_mm: float) -> TextExtent:
    """Measure ``text`` in mm: sum of advance widths (kerning ignored, so never too short) and the ink's height.

    Raises:
        ValueError: the face lacks a character of ``text``; call :func:`printable` first.
    """
    metrics = _metrics(face)
    scale = cap_height_mm / metrics.cap_height
    width, low, high = 0, 0, 0
    for letter in text:
        code = ord(letter)
        if code not in metrics.advance:
            raise ValueError(f"the type face has no character U+{code:04X}")
        width += metrics.advance[code]
        bottom, top = metrics.low_high.get(code, (0, 0))
        low, high = min(low, bottom), max(high, top)
    return TextExtent(width * scale, high * scale, -low * scale)


def printable(text: str, face: Face | None = None) -> str:
    """``text`` in characters that can be set: composed, without control and direction marks, missing ones replaced.

    Without ``face`` the characters must exist in all upright cuts, in which all text of users is set.
    """
    out: list[str] = []
    for letter in unicodedata.normalize("NFC", text):
        category = unicodedata.category(letter)
        if letter in "\n\r\t" or category in {"Zs", "Zl", "Zp"}:
            out.append(" ")
        elif (category in {"Cc", "Cf", "Mn", "Me"} and not _has(letter, face)) or category in {"Cc", "Cf"}:
            continue
        else:
            out.append(letter if _has(letter, face) else SUBSTITUTE)
    return "".join(out)


def missing_characters(texts: Iterable[str]) -> tuple[str, ...]:
    """The characters of ``texts`` that :func:`printable` replaces, sorted by code point."""
    found: set[str] = set()
    for text in texts:
        for letter in unicodedata.normalize("NFC", text):
            category = unicodedata.category(letter)
            if category[0] not in "CZ" and category not in {"Mn", "Me"} and not _has(letter, None):
                found.add(letter)
    return tuple(sorted(found))


@cache
def _codes(face: Face | None) -> frozenset[int]:
    if face is not None:
        return frozenset(_metrics(face).advance)
    return frozenset.intersection(*(_codes(each) for each in Face if not each.italic))


def _has(letter: str, face: Face | None) -> bool:
    return ord(letter) in _codes(face)
