"""Small helpers shared by the sheets."""

from __future__ import annotations

import hashlib
import math


def check_key(check_id: str) -> str:
    """A label name for a check in the template: letters and digits only, whatever the id holds."""
    return hashlib.sha256(check_id.encode()).hexdigest()[:16]


def finite_or_none(value: float | None) -> float | None:
    """``value`` where it can be drawn, None otherwise (JSON has no infinity)."""
    return value if value is not None and math.isfinite(value) else None
