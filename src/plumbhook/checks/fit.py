"""Whether two neighbours of the load path can be put together: sizes that must go into one another.

A pair of sizes fits, does not fit, or is not known; nothing is assumed for a size that is missing. The rules for
each pair of forms (pin in hole, sling in bow ...) are in :mod:`plumbhook.checks.fit_rules`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

from plumbhook.core.check import Check, Clause, SourceQuality, Step, Value
from plumbhook.core.units import format_quantity

GOES_IN = Clause(
    "A pin goes through its hole, a plate between the jaws, a sling into the bow",
    quality=SourceQuality.COMMON_PRACTICE,
)
_GRACE = 1e-9


class Fit(Enum):
    """What is known of a connection."""

    FITS = "fits"
    DOES_NOT_FIT = "does not fit"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Pair:
    """Sizes that together must not exceed a room: pins in a hole, slings in a bow, an angle in its limit.

    Attributes:
        what: what goes in, e.g. "pin".
        into: what it goes into, e.g. "hole".
        sizes: the sizes of what goes in, added up; all of one unit.
        room: the size of what it goes into, same unit.
        clause: the rule.
        times: how often each size is counted, e.g. 3 for an eye three pins long.
        joint: the word between the two.
    """

    what: str
    into: str
    sizes: tuple[Value, ...]
    room: Value
    clause: Clause = GOES_IN
    times: float = 1.0
    joint: str = "in"

    @property
    def words(self) -> str:
        """What goes into what, without numbers."""
        return f"{self.what} {self.joint} {self.into}"

    @property
    def size(self) -> float:
        """What has to go in, SI; NaN where a part of it is not known."""
        return self.times * math.fsum(value.value for value in self.sizes)

    @property
    def fit(self) -> Fit:
        """Whether it goes in; unknown where a number is missing or makes no sense."""
        numbers = (*(value.value for value in self.sizes), self.room.value)
        if not self.sizes or not all(math.isfinite(number) for number in numbers):
            return Fit.UNKNOWN
        if min(numbers) < 0.0 or not self.times > 0.0:
            return Fit.UNKNOWN
        return Fit.FITS if self.size <= self.room.value * (1.0 + _GRACE) else Fit.DOES_NOT_FIT

    @property
    def sentence(self) -> str:
        """The pair with its numbers, e.g. "pin 42 mm in hole 44 mm"."""
        sizes = " + ".join(length_text(value) for value in self.sizes)
        often = "" if self.times == 1.0 else f"{self.times:g} × "
        return f"{self.what} {often}{sizes} {self.joint} {self.into} {length_text(self.room)}"

    @property
    def unknown(self) -> tuple[str, ...]:
        """Meanings of the sizes that are missing."""
        return tuple(value.meaning for value in (*self.sizes, self.room) if not math.isfinite(value.value))


@dataclass(frozen=True, slots=True)
class Connection:
    """All rules of one connection.

    Attributes:
        pairs: sizes that must go into one another.
        refused: rules that are broken outright, whatever the sizes.
        attention: sentences for somebody who must look although it fits.
        unknown: what is not known besides the sizes of the pairs.
    """

    pairs: tuple[Pair, ...] = ()
    refused: tuple[str, ...] = ()
    attention: tuple[str, ...] = ()
    unknown: tuple[str, ...] = ()

    @property
    def missing(self) -> tuple[str, ...]:
        """Everything that is not known, each once."""
        return tuple(dict.fromkeys((*self.unknown, *(name for pair in self.pairs for name in pair.unknown))))

    @property
    def fit(self) -> Fit:
        """The worst of the pairs: one that does not fit outweighs what is not known."""
        verdicts = {pair.fit for pair in self.pairs}
        if self.refused or Fit.DOES_NOT_FIT in verdicts:
            return Fit.DOES_NOT_FIT
        if self.unknown or Fit.UNKNOWN in verdicts or not self.pairs:
            return Fit.UNKNOWN
        return Fit.FITS


def merged(parts: Iterable[Connection]) -> Connection:
    """Several connections that are one: all pairs, and each sentence once."""
    parts = tuple(parts)
    return Connection(
        pairs=tuple(pair for part in parts for pair in part.pairs),
        refused=tuple(dict.fromkeys(text for part in parts for text in part.refused)),
        attention=tuple(dict.fromkeys(text for part in parts for text in part.attention)),
        unknown=tuple(dict.fromkeys(text for part in parts for text in part.unknown)),
    )


def fit_check(check_id: str, station: str, title: str, *, connection: Connection) -> Check:
    """One connection of the load path as a check.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is connected to what.
        connection: its rules with the sizes put in.

    Returns:
        The check: the tightest pair as demand and capacity, the clearance of every known pair as its working. It
        fails where a pair does not fit or a rule is broken, and is ``NOT_EVALUATED`` where a size is missing.
    """
    known = [pair for pair in connection.pairs if pair.fit is not Fit.UNKNOWN]
    fit = connection.fit
    shown = max(known, key=_tightness, default=None)
    if fit is Fit.UNKNOWN:
        shown = next((pair for pair in connection.pairs if pair.fit is Fit.UNKNOWN), None)
    steps = [step for number, pair in enumerate(known, start=1) for step in _steps(number, pair)]
    demand = Value("d", math.nan, "m", "size that goes in", "missing", "mm")
    capacity = Value("D", math.nan, "m", "room that it goes into", "missing", "mm")
    clause = GOES_IN
    if shown is not None:
        clause, capacity = shown.clause, shown.room
        demand = shown.sizes[0] if shown.sizes else demand
        if shown in known:
            demand = _size_value(known.index(shown) + 1, shown)
    misfits = [f"{pair.sentence} does not go" for pair in known if pair.fit is Fit.DOES_NOT_FIT]
    missing = "; ".join(connection.missing) or ("nothing is known of this connection" if not known else "")
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=demand,
        capacity=capacity,
        clause=clause,
        steps=tuple(steps),
        attention=" ".join(connection.attention) if fit is Fit.FITS else "",
        refused_because="; ".join((*connection.refused, *misfits)),
        not_evaluated_because=f"not known: {missing}" if fit is Fit.UNKNOWN else "",
        cure=(
            "measure what is not known and enter it in the stock"
            if fit is Fit.UNKNOWN
            else "choose items whose sizes go together; never open a hole, grind a pin or put a bolt in its place"
        ),
    )


def _tightness(pair: Pair) -> float:
    return pair.size / pair.room.value if pair.room.value > 0.0 else math.inf


def _size_value(number: int, pair: Pair) -> Value:
    first = pair.sizes[0]
    if len(pair.sizes) == 1 and pair.times == 1.0:
        return first
    return Value(f"s_{number}", pair.size, first.unit, f"{pair.words}: all that goes in", "", first.display)


def _steps(number: int, pair: Pair) -> list[Step]:
    size, steps = _size_value(number, pair), []
    if size is not pair.sizes[0]:
        total = " + ".join(value.symbol for value in pair.sizes)
        formula = total if pair.times == 1.0 else f"{pair.times:g}*({total})"
        steps.append(Step(size, formula, pair.sizes, pair.clause))
    clearance = Value(
        f"c_{number}",
        pair.room.value - size.value,
        pair.room.unit,
        f"clearance, {pair.words}",
        "",
        pair.room.display,
    )
    steps.append(Step(clearance, f"{pair.room.symbol} - {size.symbol}", (pair.room, size), pair.clause))
    return steps


def length_text(value: Value) -> str:
    """A size as a reader sees it, e.g. "44 mm"; "?" where it is not known."""
    if not math.isfinite(value.value):
        return "?"
    word = value.display or value.unit
    decimals = 0 if math.isclose(value.value * 1e3, round(value.value * 1e3), abs_tol=1e-6) else 1
    return format_quantity(value.value, value.unit, word, decimals=decimals if word == "mm" else 1)
