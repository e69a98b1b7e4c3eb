"""Shackles by their tables: EN 13889, RR-C-271 and the dee shackles of a marine code."""

from __future__ import annotations

from dataclasses import dataclass

from plumbhook.checks.leg_factors import row_of
from plumbhook.core.check import Clause, SourceQuality
from plumbhook.core.errors import InputError
from plumbhook.core.tables import Column, packaged_table
from plumbhook.core.units import Kind

EN_13889 = Clause("EN 13889", "2003+A1:2008", "grade 6", SourceQuality.FROM_MEMORY)
EN_13889_SCOPE = Clause("EN 13889", "2003+A1:2008", "scope: rated loads of 0.5 t to 25 t")
RR_C_271 = Clause("RR-C-271", "", "type IVA, class 2, grade A", SourceQuality.FROM_MEMORY)
DEE_SHACKLES = Clause("Code for Lifting Appliances in a Marine Environment", "", "Table 8.5.1")

EN_13889_LEAST_KG = 500.0
EN_13889_MOST_KG = 25_000.0
_EN_COLUMNS = (
    Column("wll", Kind.MASS, required=True),
    Column("body", Kind.LENGTH, required=True),
    Column("pin", Kind.LENGTH, required=True),
)
_RRC_COLUMNS = (
    Column("size", Kind.LENGTH, required=True),
    Column("wll", Kind.MASS, required=True),
    Column("pin", Kind.LENGTH, required=True),
    Column("inside_width", Kind.LENGTH, required=True),
)
_DEE_COLUMNS = (
    Column("swl", Kind.MASS, required=True),
    Column("jaw", Kind.LENGTH, required=True),
    Column("inside_length", Kind.LENGTH, required=True),
    Column("mild_body", Kind.LENGTH, required=True),
    Column("mild_pin", Kind.LENGTH, required=True),
    Column("high_tensile_body", Kind.LENGTH, required=True),
    Column("high_tensile_pin", Kind.LENGTH, required=True),
)


@dataclass(frozen=True, slots=True)
class ShackleSize:
    """One row of a table of shackles; None where the table does not say.

    Attributes:
        rated_kg: rated load, kg.
        body_m: diameter of the body, m.
        pin_m: diameter of the pin, m.
        jaw_m: width between the jaws, m.
        inside_length_m: inside length, m.
    """

    rated_kg: float | None
    body_m: float | None
    pin_m: float | None
    jaw_m: float | None = None
    inside_length_m: float | None = None


def within_en_13889(rated_kg: float) -> bool:
    """Whether a shackle of this rated load can be one of EN 13889, whose scope ends at 25 t.

    Source: EN 13889, scope.
    """
    return EN_13889_LEAST_KG <= rated_kg <= EN_13889_MOST_KG


def en_13889_shackle(rated_kg: float) -> ShackleSize:
    """Body and pin of a shackle of grade 6 by its rated load.

    Raises:
        InputError: no such rated load in the table.

    Source: EN 13889, from memory.
    """
    table = packaged_table("en_13889_grade_6", _EN_COLUMNS, "wll")
    row = row_of(table, "wll", rated_kg, what="a shackle", unit="kg", display="t", field="wll")
    return ShackleSize(row.number("wll"), row.number("body"), row.number("pin"))


def rr_c_271_shackle(size_m: float) -> ShackleSize:
    """Rated load, pin and width of a carbon anchor shackle by the nominal size of its body.

    Raises:
        InputError: no such size in the table.

    Source: RR-C-271 as copied by the trade.
    """
    table = packaged_table("rr_c_271_grade_a", _RRC_COLUMNS, "size")
    row = row_of(table, "size", size_m, what="a shackle", unit="m", display="in", field="size")
    return ShackleSize(row.number("wll"), row.number("size"), row.number("pin"), row.number("inside_width"))


def dee_shackle(rated_kg: float, steel: str) -> ShackleSize:
    """Dimensions of a dee shackle by its safe working load.

    Args:
        rated_kg: safe working load, kg.
        steel: ``mild`` or ``high tensile`` (at least 540 MPa).

    Raises:
        InputError: no such safe working load in the table, or another steel.

    Source: Code for Lifting Appliances in a Marine Environment, Table 8.5.1.
    """
    if steel not in ("mild", "high tensile"):
        raise InputError.one(
            f'"{steel}" is no steel of this table; write mild or high tensile', field="steel"
        )
    table = packaged_table("lame_dee_shackles", _DEE_COLUMNS, "swl")
    row = row_of(table, "swl", rated_kg, what="a dee shackle", unit="kg", display="t", field="swl")
    prefix = steel.replace(" ", "_")
    return ShackleSize(
        row.number("swl"),
        row.number(f"{prefix}_body"),
        row.number(f"{prefix}_pin"),
        row.number("jaw"),
        row.number("inside_length"),
    )
