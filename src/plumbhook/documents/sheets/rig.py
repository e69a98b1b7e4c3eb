"""The rig: its list of items with masses and serial numbers, and its struts piece by piece."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from plumbhook.core.units import format_quantity
from plumbhook.documents.numbers import DASH, kilograms, millimetres
from plumbhook.planning.assessment import Assessment, FitRow, ItemRow, StrutDrawing


def rig(assessment: Assessment) -> dict[str, Any]:
    """Texts of the list of items and of the struts; the drawings are added by the plan."""
    statement = assessment.rig
    return {
        "items": [_item(item) for item in statement.items],
        "items_total": ["", "", "Rig, all items", "", "", kilograms(statement.rig_mass_kg), "", ""],
        "struts": [_strut(strut) for strut in statement.struts],
        "fit": _fit(assessment.fit_chain),
    }


_FIT_STATES = {"fits": "PASS", "does not fit": "FAIL"}


def _fit(rows: Sequence[FitRow]) -> list[dict[str, str]]:
    """Connections from the hook down; those at like places, of the same sizes and verdict, share a row."""
    alike: dict[tuple[str, tuple[str, ...], tuple[str, ...], str], list[FitRow]] = {}
    for row in rows:
        last = row.check_id.rpartition(".")[2]
        place = last if last.isdecimal() or last in ("above", "below") else ""
        alike.setdefault((row.verdict, row.sizes, row.unknown, place), []).append(row)
    return [
        {
            "where": _each(row.where.removeprefix("load.") for row in own),
            "upper": _each(row.upper for row in own),
            "lower": _each(row.lower for row in own),
            "sizes": "; ".join((*sizes, *(f"not known: {what}" for what in unknown))),
            "state": _FIT_STATES.get(verdict, "NOT_EVALUATED"),
        }
        for (verdict, sizes, unknown, _), own in alike.items()
    ]


def _each(texts: Iterable[str]) -> str:
    return ", ".join(dict.fromkeys(texts))


def _item(item: ItemRow) -> list[str]:
    text = f"{item.description}, {item.note}" if item.note else item.description
    return [
        str(item.balloon),
        str(item.quantity),
        text,
        DASH if item.length_m is None else millimetres(item.length_m),
        kilograms(item.mass_each_kg),
        kilograms(item.mass_kg),
        DASH if item.wll_kg is None else _tonnes_down(item.wll_kg),
        serials_text(item.serials),
    ]


def _tonnes_down(mass_kg: float) -> str:
    decimals = 0 if mass_kg % 1000.0 == 0.0 else 2
    return format_quantity(mass_kg, "kg", "t", rounding="down", decimals=decimals).removesuffix("t").strip()


def serials_text(serials: tuple[str, ...]) -> str:
    """Serial numbers as one text; a run of three or more that count up is written with its first and last."""
    groups: list[list[str]] = []
    for serial in serials:
        if groups and _follows(groups[-1][-1], serial):
            groups[-1].append(serial)
        else:
            groups.append([serial])
    parts = []
    for group in groups:
        if len(group) >= 3:
            stem, digits = _split(group[-1])
            parts.append(f"{group[0]} … {digits}" if stem else f"{group[0]} … {group[-1]}")
        else:
            parts.extend(group)
    return ", ".join(parts)


def _split(serial: str) -> tuple[str, str]:
    stem = serial.rstrip("0123456789")
    return stem, serial[len(stem) :]


def _follows(first: str, second: str) -> bool:
    (stem_a, digits_a), (stem_b, digits_b) = _split(first), _split(second)
    same = stem_a == stem_b and bool(digits_a) and len(digits_a) == len(digits_b)
    return same and digits_a.isascii() and digits_b.isascii() and int(digits_b) == int(digits_a) + 1


def _strut(strut: StrutDrawing) -> list[str]:
    pieces = ", ".join(
        f"{piece.label or ('fitting' if piece.is_fitting else piece.serial)} to {millimetres(piece.end_m)}"
        for piece in strut.pieces
    )
    return [
        strut.name,
        strut.family,
        millimetres(strut.span_m),
        pieces,
        kilograms(strut.mass_kg),
        _kilonewtons(strut.compression_N),
        _kilonewtons(strut.worst_compression_N),
    ]


def _kilonewtons(force_N: float) -> str:
    return format_quantity(force_N, "N", "kN", rounding="up").removesuffix("kN").strip()
