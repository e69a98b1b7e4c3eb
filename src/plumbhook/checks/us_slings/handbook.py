"""Rules of United States handbooks on slings that hold no hitch: proof loads, clips, thimbles, design factors."""

from __future__ import annotations

from plumbhook.checks.inputs import FloatOrArray
from plumbhook.checks.leg_factors import row_of
from plumbhook.core.check import Clause
from plumbhook.core.errors import InputError
from plumbhook.core.tables import Column, packaged_table
from plumbhook.core.units import Kind

DESIGN_FACTOR = Clause("DOE-STD-1090", "1996", "11.3.1.3: design factor of slings")
CRITICAL_THIMBLE = Clause("DOE-STD-1090", "1996", "11.3.2.3.b: thimbles of critical lifts")
CLIPS = Clause("29 CFR 1918 Appendix II", "", "Table 1: wire rope clips")

SLING_DESIGN_FACTOR = 5.0
"""General design factor of slings, DOE-STD-1090-96 11.3.1.3."""

LEAST_THIMBLE_RATIO = 3.0
"""Least diameter of a thimble of a critical lift, in rope diameters, DOE-STD-1090-96 11.3.2.3.b."""

CHAIN_INSPECTION_MONTHS = 12
"""Longest interval between thorough inspections of alloy chain slings in months, 29 CFR 1926.251(b)."""

_CLIP_COLUMNS = (
    Column("rope", Kind.LENGTH, required=True),
    Column("drop_forged", "whole", required=True),
    Column("other", "whole", required=True),
)


def web_sling_proof_kg(rated_kg: FloatOrArray) -> FloatOrArray:
    """Proof load of a synthetic web sling, twice its vertical rated load, kg; test load within -5 % and +0 %.

    Source: DOE-STD-1090-96 11.3.5.
    """
    return 2.0 * rated_kg


def clip_count(rope_m: float, kind: str) -> int:
    """Wire rope clips at each end.

    Args:
        rope_m: nominal diameter of the rope, m.
        kind: ``drop forged`` or ``other``.

    Raises:
        InputError: the rope is not in the table, or another kind.

    Source: 29 CFR 1918 Appendix II, Table 1.
    """
    if kind not in ("drop forged", "other"):
        raise InputError.one(f'"{kind}" is not a kind of clip; write drop forged or other', field="kind")
    table = packaged_table("wire_rope_clips_1918", _CLIP_COLUMNS, "rope")
    row = row_of(table, "rope", rope_m, what="a rope", unit="m", display="in", field="rope")
    count = row.whole(kind.replace(" ", "_"))
    if count is None:
        raise InputError.one("the table has no number of clips for this rope", field="rope")
    return count
