"""Yield and tensile strength of structural steels by grade and thickness."""

from __future__ import annotations

import difflib
from dataclasses import dataclass

from plumbhook.core.check import Clause
from plumbhook.core.errors import InputError
from plumbhook.core.tables import Column, packaged_table
from plumbhook.core.units import Kind, format_quantity

_COLUMNS = (
    Column("standard", "text", required=True),
    Column("grade", "text", required=True),
    Column("up_to_thickness", Kind.LENGTH, required=True),
    Column("yield", Kind.STRESS, required=True),
    Column("ultimate", Kind.STRESS, required=True),
)


@dataclass(frozen=True, slots=True)
class SteelStrength:
    """Least strengths of a grade at a thickness, Pa, with their clause."""

    grade: str
    yield_Pa: float
    ultimate_Pa: float
    clause: Clause


def steel_grades() -> tuple[str, ...]:
    """Grades that the table of steels holds."""
    table = packaged_table("structural_steels", _COLUMNS)
    return tuple(dict.fromkeys(row.text("grade") for row in table.rows))


def steel_strength(grade: str, thickness_m: float, *, field: str = "steel") -> SteelStrength:
    """Least yield and tensile strength of a grade at a nominal thickness.

    Args:
        grade: name of the grade without its quality for plates (``S355``), with it for hollow sections
            (``S355J2H``); a plate grade may carry its quality (``S355J2+N``).
        thickness_m: nominal thickness, m.
        field: field of the grade as the user knows it, for the message.

    Returns:
        The strengths of the thinnest band that holds the thickness.

    Raises:
        InputError: the grade is not known, the thickness is not positive, or thicker than the table goes.

    Source: EN 10025-2:2004 Table 7 and EN 10210-1:2006 Table A.3, from memory.
    """
    table = packaged_table("structural_steels", _COLUMNS)
    name = _known_grade(grade, field)
    if not thickness_m > 0.0:
        shown = format_quantity(thickness_m, "m", "mm")
        raise InputError.one(
            f"the thickness of a plate must be more than zero, not {shown}; enter it as on the drawing",
            field=field,
        )
    rows = [row for row in table.rows if row.text("grade") == name]
    for row in rows:
        most, strength, ultimate = (row.number(key) for key in ("up_to_thickness", "yield", "ultimate"))
        assert most is not None and strength is not None and ultimate is not None  # required columns  # noqa: PT018
        if thickness_m <= most:
            origin = table.provenance
            clause = Clause(row.text("standard"), "", f"{name}, {origin.table}", origin.quality)
            return SteelStrength(name, strength, ultimate, clause)
    largest = format_quantity(rows[-1].number("up_to_thickness") or 0.0, "m", "mm")
    shown = format_quantity(thickness_m, "m", "mm")
    raise InputError.one(
        f"the strength of {name} is tabled up to {largest}, not at {shown}; "
        "enter yield and tensile strength from the certificate of the plate",
        field=field,
    )


def _known_grade(grade: str, field: str) -> str:
    known = steel_grades()
    written = grade.strip()
    if written in known:
        return written
    plate = written[:4]
    if plate in known and not written.upper().endswith("H"):
        return plate
    near = difflib.get_close_matches(written, known, n=1, cutoff=0.5)
    hint = f"did you mean {near[0]}? " if near else ""
    raise InputError.one(
        f'the steel grade "{grade}" is not in the table; {hint}Known are {", ".join(known)}; '
        "for another one enter yield and tensile strength from the certificate",
        field=field,
    )
