"""The load statement: claims with tolerance, source and state; parts; lift points."""

from __future__ import annotations

import math
from typing import Any

from plumbhook.core.units import format_quantity
from plumbhook.documents.numbers import DASH, degrees, kilograms, metres, signed_millimetres
from plumbhook.planning.assessment import Assessment, BandRow, LiftPointRow, LoadStatement, PartRow


def load(assessment: Assessment) -> dict[str, Any]:
    """Texts of the load statement."""
    statement = assessment.load
    return {
        "numbers": _numbers(statement),
        "fields": _fields(statement),
        "drawing_alt": "The load with its parts, lift points and the box of its centre of gravity",
        "parts": [_part(part) for part in statement.parts],
        "bands": [_band(band) for band in statement.bands],
        "remarks": list(statement.remarks),
        "total": _total(statement),
        "lift_points": [_lift_point(point) for point in statement.lift_points],
        "lift_point_note": (
            f"carries: share of the design weight × dynamic factor {assessment.dynamic_factor:.2f}, as it "
            f"hangs. worst: largest of all "
            "corners of the CoG box and of the three methods. off axis: worst angle between pull and axis "
            "of the point."
        ),
    }


def _part(part: PartRow) -> list[str]:
    name = f"{part.name} ({part.note})" if part.note else part.name
    mass = kilograms(part.mass_kg)
    if part.tolerance_kg is not None:
        mass = f"{mass} ± {kilograms(part.tolerance_kg)}"
    return [part.letter, name, mass, *(metres(x) for x in part.at_m), part.source]


def _band(band: BandRow) -> list[str]:
    """One rule: least and most mass, and the range of the centre of gravity along each axis in mm."""
    name = f"{band.errors}, rules" if band.rules else band.errors
    ranges = (
        f"{signed_millimetres(low)} to {signed_millimetres(high)}"
        for low, high in zip(band.cog_low_m, band.cog_high_m, strict=True)
    )
    return [name, kilograms(band.mass_low_kg), kilograms(band.mass_high_kg), *ranges]


def _numbers(statement: LoadStatement) -> list[dict[str, str]]:
    tolerance = format_quantity(statement.tolerance_ratio, "1", "%")
    rows = [
        {
            "label": "Weight W",
            "value": format_quantity(statement.mass_kg, "kg", "t").removesuffix("t").strip(),
            "unit": "t",
            "note": f"{metres_free(statement.mass_low_kg)} to {metres_free(statement.mass_high_kg)} t (± "
            f"{tolerance})",
        }
    ]
    for axis, position, half in zip("xyz", statement.cog_m, statement.cog_box_m, strict=True):
        rows.append(
            {
                "label": f"Centre of gravity {axis}",
                "value": signed_millimetres(position),
                "unit": "mm",
                "note": f"± {signed_millimetres(half).lstrip('+')} mm",
            }
        )
    return rows


def metres_free(mass_kg: float) -> str:
    """A mass in tonnes, two decimals, without unit."""
    return format_quantity(mass_kg, "kg", "t").removesuffix("t").strip()


def _fields(statement: LoadStatement) -> list[list[str]]:
    weight = f"{metres_free(statement.design_mass_kg)} t for strength: W × {statement.weight_factor:.2f}"
    rows = [
        ["Load", statement.name],
        ["Design weight", weight],
        ["Source of weight", statement.source],
        ["State", statement.state],
        ["What can move", statement.can_move],
        ["Source of CoG box", statement.cog_box_source],
        ["Said by", statement.said_by],
        ["Axes", statement.axes],
    ]
    return [[name, text if text.strip() else "not stated"] for name, text in rows]


def _total(statement: LoadStatement) -> list[str] | None:
    if not statement.parts:
        return None
    position = [format_quantity(x, "m", "m", decimals=3).removesuffix("m").strip() for x in statement.cog_m]
    parts_kg = math.fsum(part.mass_kg for part in statement.parts)
    summed = abs(parts_kg - statement.mass_kg) < 0.5
    label = (
        "Expected, summed by moments" if summed else f"Expected; the parts sum to {kilograms(parts_kg)} kg"
    )
    return ["", label, kilograms(statement.mass_kg), *position, ""]


def _lift_point(point: LiftPointRow) -> list[str]:
    rated = (
        DASH
        if point.rated_kg is None
        else format_quantity(point.rated_kg, "kg", "t", rounding="down").removesuffix("t").strip()
    )
    limit = DASH if point.angle_limit_rad is None else degrees(point.angle_limit_rad)
    return [
        point.name,
        *(metres(x) for x in point.at_m),
        _tonnes_up(point.carries_kg),
        _tonnes_up(point.worst_kg),
        rated,
        degrees(point.worst_angle_off_axis_rad, 2),
        limit,
        point.detail,
    ]


def _tonnes_up(mass_kg: float) -> str:
    if math.isnan(mass_kg):
        return "missing"
    return format_quantity(mass_kg, "kg", "t", rounding="up").removesuffix("t").strip()
