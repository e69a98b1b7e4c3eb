"""Direction of the pull on a lug against the direction that the lug is made for."""

from __future__ import annotations

import math

from plumbhook.core.check import Check, Clause, SourceQuality, Value

LUG_DIRECTION = Clause(
    "Pull on a lug within the directions it is made for", quality=SourceQuality.COMMON_PRACTICE
)


def lug_direction_check(
    check_id: str,
    station: str,
    title: str,
    *,
    off_axis_rad: float,
    attitude_rad: float,
    largest_off_axis_rad: float | None,
) -> Check:
    """Largest angle between pull and lug on the way from lying to upright against the largest permitted.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: which lug.
        off_axis_rad: largest angle over all attitudes, rad.
        attitude_rad: attitude at which it is, rad.
        largest_off_axis_rad: largest that the lug is made for, rad; None where nobody has stated it.

    Returns:
        The check, in rad; ``NOT_EVALUATED`` where a number is missing.
    """
    limit = math.nan if largest_off_axis_rad is None else largest_off_axis_rad
    known = math.isfinite(off_axis_rad) and math.isfinite(attitude_rad)
    missing = [
        words
        for words, there in (("largest angle of the lug", largest_off_axis_rad is not None), ("pull", known))
        if not there
    ]
    at = f", at {math.degrees(attitude_rad):.1f} degrees" if known else ""
    return Check(
        check_id,
        station,
        title,
        Value(
            "a",
            off_axis_rad,
            "rad",
            f"largest angle of the pull to the lug{at}",
            "all attitudes",
            display="deg",
        ),
        Value("a_max", limit, "rad", "largest angle that the lug is made for", "file", display="deg"),
        LUG_DIRECTION,
        not_evaluated_because=f"{' and '.join(missing)} missing" if missing else "",
        cure="have the designer of the lug state and check the angle, or use a lug that turns with the pull",
    )
