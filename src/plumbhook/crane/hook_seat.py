"""Whether the top item of the rig fits the seat of the crane hook."""

from __future__ import annotations

import math

from plumbhook.core.check import Check, Clause, SourceQuality, Value

HOOK_SEAT = Clause(
    "Stock of the top link no thicker than the hook takes", quality=SourceQuality.COMMON_PRACTICE
)


def hook_seat_check(
    check_id: str,
    station: str,
    title: str,
    *,
    item: str,
    link_stock_m: float | None,
    seat_limit_m: float | None,
    clause: Clause = HOOK_SEAT,
) -> Check:
    """Thickness of the link in the hook against the largest that lies in the seat with the latch closed.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        item: the item in the hook.
        link_stock_m: thickness of its link stock, m; None where it is not known.
        seat_limit_m: largest stock that the hook takes, m; None where it is not known.
        clause: the rule that sets the limit.

    Returns:
        The check, in m. ``NOT_EVALUATED`` where either is missing.
    """
    missing = [
        name
        for name, number in (("link stock", link_stock_m), ("hook seat limit", seat_limit_m))
        if number is None
    ]
    stock = Value(
        "d_link",
        math.nan if link_stock_m is None else link_stock_m,
        "m",
        f"link stock of {item}",
        "item record" if link_stock_m is not None else "missing",
        display="mm",
    )
    seat = Value(
        "d_seat",
        math.nan if seat_limit_m is None else seat_limit_m,
        "m",
        "largest stock in the hook seat",
        "crane" if seat_limit_m is not None else "missing",
        display="mm",
    )
    return Check(
        check_id,
        station,
        title,
        stock,
        seat,
        clause,
        not_evaluated_because=f"{' and '.join(missing)} missing" if missing else "",
        cure=f"enter the {' and the '.join(missing)}"
        if missing
        else "use a link that lies in the seat of the hook",
    )
