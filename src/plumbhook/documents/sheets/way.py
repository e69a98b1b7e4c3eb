"""Texts of the way: its moves and the worst place of every curve."""

from __future__ import annotations

import math
from typing import Any

from plumbhook.core.units import format_quantity
from plumbhook.documents.numbers import DASH
from plumbhook.planning.assessment import Assessment
from plumbhook.planning.way_records import WayCurve


def way(assessment: Assessment) -> dict[str, Any] | None:
    """Texts below the load path; None where there is no way."""
    found = assessment.way
    if found is None:
        return None
    return {
        "alt": "Curves along the way of the hook with their limits and worst places",
        "legs": [
            [str(number), leg.words, f"{leg.to_m - leg.from_m:.2f} m"]
            for number, leg in enumerate(found.legs, start=1)
        ],
        "worst": [_worst(curve) for curve in found.curves],
        "note": f"{found.note} Black dot: the worst place. Dashed: the limit. Hatched: beyond it, or not known.",
    }


def _worst(curve: WayCurve) -> list[str]:
    def text(value: float) -> str:
        return format_quantity(value, curve.unit, curve.display) if math.isfinite(value) else DASH

    name = curve.name[:1].upper() + curve.name[1:]
    return [name, curve.worst.words, text(curve.worst_value), text(curve.worst_limit)]
