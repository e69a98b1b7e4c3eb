"""Claims: a value with its tolerance, its source and the state it was said for. Missing is not zero."""

from __future__ import annotations

import datetime
import math
from dataclasses import dataclass
from enum import Enum

from plumbhook.core.units import kind_of


class ClaimQuality(Enum):
    """How far a claim can be leaned on."""

    MISSING = "missing"
    ASSUMED = "assumed, no source"
    SOURCED = "sourced"


@dataclass(frozen=True, slots=True)
class Claim:
    """What somebody says of a quantity.

    Attributes:
        value: best estimate in the SI unit; None where nobody has said anything.
        unit: SI unit word, as in :class:`plumbhook.core.check.Value`.
        tolerance: half width of the band around the value in the same unit; None where it is not known.
        source: weighing, drawing, report ... "" makes the claim an assumption.
        state: state of the thing that the value is for.
        said_by: who says so.
        date: when it was said.

    Raises:
        ValueError: a number is NaN or infinite, a tolerance is negative, or the unit is not known.
    """

    value: float | None
    unit: str
    tolerance: float | None = None
    source: str = ""
    state: str = ""
    said_by: str = ""
    date: datetime.date | None = None

    def __post_init__(self) -> None:
        kind_of(self.unit)
        for number in (self.value, self.tolerance):
            if number is not None and not math.isfinite(number):
                raise ValueError("a claim is made of finite numbers; use None for what is not known")
        if self.tolerance is not None and self.tolerance < 0.0:
            raise ValueError("the tolerance of a claim cannot be negative")

    @property
    def is_missing(self) -> bool:
        """Whether there is no value at all."""
        return self.value is None

    @property
    def quality(self) -> ClaimQuality:
        """Missing, assumed (no source) or sourced."""
        if self.value is None:
            return ClaimQuality.MISSING
        return ClaimQuality.SOURCED if self.source.strip() else ClaimQuality.ASSUMED

    @property
    def best(self) -> float:
        """The value; NaN where it is missing, so that no check of it can pass."""
        return math.nan if self.value is None else self.value

    @property
    def low(self) -> float:
        """Lower end of the band; NaN where value or tolerance is missing."""
        return self.best - (math.nan if self.tolerance is None else self.tolerance)

    @property
    def high(self) -> float:
        """Upper end of the band; NaN where value or tolerance is missing."""
        return self.best + (math.nan if self.tolerance is None else self.tolerance)
