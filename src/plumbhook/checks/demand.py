"""What a station is asked to carry: as the rig hangs, and the worst of each method over all cases."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from plumbhook.core.check import Clause, SourceQuality, Step, Value

LARGEST_OF_METHODS = Clause(
    "Largest of the hand, rigid and elastic answers over the box of the centre of gravity",
    quality=SourceQuality.POLICY,
)
"""Why the demand is a maximum: no answer is left out because another one is kinder."""


@dataclass(frozen=True, slots=True)
class Demand:
    """A demand with its nominal value and the candidates for the worst one.

    Attributes:
        nominal: the elastic answer for the expected centre of gravity, with its own symbol, e.g. ``F_nom``.
        candidates: the worst answer of each method over the expected centre of gravity and the corners of
            its box, each with a symbol of its own, e.g. ``F_hand``, ``F_rigid``, ``F_elastic``, and an origin
            that names the method and the case.

    Raises:
        ValueError: no candidate, a symbol used twice, units that differ, or an origin missing.
    """

    nominal: Value
    candidates: tuple[Value, ...]

    def __post_init__(self) -> None:
        if not self.candidates:
            raise ValueError("a demand needs at least one candidate; without one there is nothing to check")
        symbols = [self.nominal.symbol, *(candidate.symbol for candidate in self.candidates)]
        if len(set(symbols)) != len(symbols):
            raise ValueError(f"the symbols of a demand must differ: {', '.join(symbols)}")
        if any(candidate.unit != self.nominal.unit for candidate in self.candidates):
            raise ValueError("nominal value and candidates of a demand must share one unit")
        if not self.nominal.origin or any(not candidate.origin for candidate in self.candidates):
            raise ValueError("each value of a demand must say its method and case in its origin")

    @property
    def unit(self) -> str:
        """SI unit of the demand."""
        return self.nominal.unit

    @property
    def quantity(self) -> str:
        """Key of the quantity that nominal value and candidates are answers for; "" where they differ."""
        keys = {value.quantity for value in (self.nominal, *self.candidates)}
        return keys.pop() if len(keys) == 1 else ""

    def named(self, quantity: str) -> Demand:
        """The same demand as an answer for another quantity, such as the largest of several lines."""
        return Demand(
            replace(self.nominal, quantity=quantity),
            tuple(replace(candidate, quantity=quantity) for candidate in self.candidates),
        )

    @property
    def worst(self) -> float:
        """Largest candidate, SI; NaN if any is NaN, so that a case without an answer never passes."""
        values = [candidate.value for candidate in self.candidates]
        return math.nan if any(math.isnan(value) for value in values) else max(values)

    @property
    def governing(self) -> Value:
        """The candidate that is the worst one; the first NaN where there is one."""
        for candidate in self.candidates:
            if math.isnan(candidate.value):
                return candidate
        return max(self.candidates, key=lambda candidate: candidate.value)

    @property
    def missing(self) -> str:
        """Which answers are no finite numbers, in words; "" where all are there."""
        gone = [value.origin for value in (self.nominal, *self.candidates) if not math.isfinite(value.value)]
        return f"no answer for: {'; '.join(gone)}" if gone else ""

    def worst_step(self, symbol: str, meaning: str = "") -> Step:
        """The step ``symbol = max(candidates)``, or ``symbol = candidate`` where there is only one.

        Args:
            symbol: symbol of the worst value, e.g. ``F``; none of the demand's own.
            meaning: what it is; by default the meaning of the nominal value, called the worst.

        Returns:
            The step; its note and the origin of its result name the governing case.
        """
        names = [candidate.symbol for candidate in self.candidates]
        formula = names[0] if len(names) == 1 else f"max({', '.join(names)})"
        result = Value(
            symbol,
            self.worst,
            self.unit,
            meaning or f"{self.nominal.meaning}, worst case",
            origin=self.governing.origin,
            display=self.nominal.display,
            quantity=self.quantity,
        )
        return Step(
            result, formula, self.candidates, LARGEST_OF_METHODS, note=f"governed by {self.governing.origin}"
        )
