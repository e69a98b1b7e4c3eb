"""Clearance that is kept against clearance that there is, and how far to stay from power lines."""

from __future__ import annotations

import math

from plumbhook.core.check import Check, Clause, SourceQuality, Value
from plumbhook.core.units import format_quantity

CLEARANCE = Clause("Clearance of what moves from what stands", quality=SourceQuality.COMMON_PRACTICE)
POWER_LINES = Clause("29 CFR 1926.1408", "", "Table A: minimum clearance distances")

_FOOT_M = 0.3048
_TABLE_A_FT = ((50.0, 10.0), (200.0, 15.0), (350.0, 20.0), (1000.0, 50.0))


def power_line_clearance_m(voltage_kV: float) -> float:
    """Least distance from a power line by its voltage in kilovolts, m; NaN above 1000 kV, where its owner says it.

    Above 350 kV the distance that is presumed until its owner or an engineer sets one.

    Source: 29 CFR 1926.1408, Table A (10 ft up to 50 kV, 15 to 200, 20 to 350) and 1926.1409 (50 ft to 1000 kV).
    """
    if not voltage_kV >= 0.0:
        return math.nan
    return next((feet * _FOOT_M for most, feet in _TABLE_A_FT if voltage_kV <= most), math.nan)


def clearance_check(
    check_id: str,
    station: str,
    title: str,
    *,
    distance_m: float,
    required_m: float,
    between: str,
    source: str,
    missing: str = "",
    clause: Clause = CLEARANCE,
) -> Check:
    """Distance of two bodies against the one that is kept.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        distance_m: distance found, m; NaN where it is not known.
        required_m: distance that is kept, m; NaN where it is not known.
        between: the two bodies, e.g. ``boom and load``.
        source: who asks for the distance.
        missing: what has to be given; "" where nothing is missing.
        clause: the rule.

    Returns:
        The check, in m; fails outright where the bodies touch.
    """
    required = Value("d_req", required_m, "m", f"distance kept between {between}", source)
    found = Value("d", distance_m, "m", f"distance of {between}", "geometry of boom, rig and load")
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=required,
        capacity=found,
        clause=clause,
        assumptions=(
            "Boom, struts and slings are straight with their thickness, the load is the upright box of its envelope.",
        ),
        refused_because=f"{between} touch" if distance_m <= 0.0 else "",
        not_evaluated_because=f"missing: {missing}" if missing else "",
        cure=_cure(missing, required_m),
    )


def _cure(missing: str, required_m: float) -> str:
    if missing:
        return f"enter {missing}"
    return f"keep {format_quantity(required_m, 'm')} by another radius, height, bearing or way"
