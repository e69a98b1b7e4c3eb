"""Record of one verification case: a number that others published beside the number this package computes.

Layers that compute hand out tuples of these records; one command lists them all, and the page of verification
cases is generated from the same records.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from plumbhook.core.check import SourceQuality

ToleranceKind = Literal["absolute", "relative"]


@dataclass(frozen=True, slots=True)
class VerificationCase:
    """One published value beside the computed one.

    Attributes:
        case_id: stable identifier, ``<subject>.<case>.<quantity>``, unique over the whole package.
        title: what is compared, in the words of the trade.
        source: document, edition and table, clause, example or page of the published value.
        quality: how the published value was obtained; an own derivation is not a publication and says so.
        published: the value as the source gives it, in ``unit``.
        computed: the value as this package computes it, in ``unit``.
        unit: the unit of the source, as printed there, e.g. ``kN``, ``mm``, ``psi``, ``1``.
        tolerance: largest accepted difference; usually half a unit of the last printed digit.
        tolerance_kind: ``absolute`` in ``unit``, or ``relative`` to the published value.
        note: why the tolerance is what it is, a misprint, a trap; "" where there is nothing to say.
    """

    case_id: str
    title: str
    source: str
    quality: SourceQuality
    published: float
    computed: float
    unit: str
    tolerance: float
    tolerance_kind: ToleranceKind
    note: str = ""

    def __post_init__(self) -> None:
        if not self.case_id or not self.title or not self.source:
            raise ValueError("a verification case needs an id, a title and a source")
        if self.tolerance_kind not in ("absolute", "relative"):
            raise ValueError(f"{self.case_id}: tolerance_kind must be 'absolute' or 'relative'")
        if not (math.isfinite(self.published) and math.isfinite(self.tolerance) and self.tolerance >= 0.0):
            raise ValueError(f"{self.case_id}: published value and tolerance must be numbers")
        if self.tolerance_kind == "relative" and self.published == 0.0:
            raise ValueError(f"{self.case_id}: a published zero needs an absolute tolerance")

    @property
    def difference(self) -> float:
        """Computed minus published, in ``unit``; divided by the published value for a relative tolerance."""
        difference = self.computed - self.published
        return difference if self.tolerance_kind == "absolute" else difference / abs(self.published)

    @property
    def ok(self) -> bool:
        """Whether the difference is within the tolerance; a computed NaN or infinity never is."""
        return math.isfinite(self.computed) and abs(self.difference) <= self.tolerance
