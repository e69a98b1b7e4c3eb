"""What each line of a rig can be set to: steps of a shortener, a range of a screw, or lengths to choose from."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

from plumbhook.model.equipment import Item
from plumbhook.model.lift import Lift
from plumbhook.model.rig import used_serials
from plumbhook.planning.levelling_rest import varied_group
from plumbhook.planning.rig import ResolvedLine, ResolvedRig

_SAME_M = 1e-6


@dataclass(frozen=True, slots=True)
class Adjuster:
    """The lengths, bearing to bearing, that a line can be set to.

    Attributes:
        line: its name.
        shortest_m: shortest length.
        longest_m: longest length.
        pitch_m: step from one setting to the next, counted from the shortest; None where any length of the range can
            be set or ``lengths_m`` lists them.
        lengths_m: the only lengths there are, ascending; empty where a range holds.
        how: what is done to change it, in words.
        spare: by length, how many slings lie in the stock that could be exchanged for it; empty where none are needed.
        needs: how many slings hang side by side in the line.
    """

    line: str
    shortest_m: float
    longest_m: float
    pitch_m: float | None
    lengths_m: tuple[float, ...]
    how: str
    spare: tuple[tuple[float, int], ...] = ()
    needs: int = 1

    @property
    def is_continuous(self) -> bool:
        """Whether every length of the range can be set."""
        return self.pitch_m is None and not self.lengths_m

    def reaches(self, length_m: float) -> bool:
        """Whether a length lies in the range, between settings or not."""
        return self.shortest_m - _SAME_M <= length_m <= self.longest_m + _SAME_M

    def choices_m(self, near_m: float, each_side: int = 1) -> tuple[float, ...]:
        """The settings nearest to a length, so many on each side; the length itself, held in the range, of a screw."""
        if self.is_continuous:
            return (min(max(near_m, self.shortest_m), self.longest_m),)
        if self.pitch_m is None:
            lengths = self.lengths_m
        else:
            base = math.floor((near_m - self.shortest_m) / self.pitch_m + _SAME_M)
            steps = range(base - each_side, base + each_side + 2)
            last = math.floor((self.longest_m - self.shortest_m) / self.pitch_m + _SAME_M)
            counts = sorted({min(max(step, 0), last) for step in steps})
            # With the shorteners off the leg has its full length, whatever the steps come to.
            lengths = tuple(
                sorted({*(self.shortest_m + count * self.pitch_m for count in counts), self.longest_m})
            )
        below = [length for length in lengths if length <= near_m + _SAME_M][-each_side:]
        above = [length for length in lengths if length > near_m + _SAME_M][:each_side]
        return tuple(below + above)

    def steps_between(self, from_m: float, to_m: float) -> int | None:
        """Whole steps of the pitch from one length to another; None where that is no whole number of steps."""
        if self.pitch_m is None:
            return None
        steps = (to_m - from_m) / self.pitch_m
        return round(steps) if abs(steps - round(steps)) < 1e-6 else None


def adjusters_of(lift: Lift, rig: ResolvedRig) -> Mapping[str, Adjuster]:
    """The lines that can be set, by name: as the line itself says, else by an item of it with a pitch.

    Where no line of the rig can be set, its top lines can have slings of another length in their place: those of the
    stock of the same kind, rated load and stretch, usable, not in the rig already.
    """
    found = {name: _written(lift, name) or _by_pitch(line) for name, line in rig.lines.items()}
    if not any(found.values()):
        tops = {name: line for name, line in rig.lines.items() if line.role in {"top", "bridle"}}
        found = {name: _by_exchange(lift, line) for name, line in tops.items()}
    return {name: adjuster for name, adjuster in found.items() if adjuster is not None}


def can_be_had(
    adjusters: Mapping[str, Adjuster], present_m: Mapping[str, float], chosen_m: Mapping[str, float]
) -> bool:
    """Whether the stock holds enough slings for all exchanges of a set of lengths together."""
    wanted: dict[float, int] = {}
    spare: dict[float, int] = {}
    for name, length in chosen_m.items():
        adjuster = adjusters[name]
        if adjuster.spare and abs(length - present_m[name]) > _SAME_M:
            wanted[length] = wanted.get(length, 0) + adjuster.needs
            spare[length] = dict(adjuster.spare).get(length, 0)
    return all(count <= spare[length] for length, count in wanted.items())


def _written(lift: Lift, name: str) -> Adjuster | None:
    written = lift.file.rig.lines[name].adjustment
    if written is None:
        return None
    if written.lengths_m:
        lengths = tuple(sorted(written.lengths_m))
        return Adjuster(name, lengths[0], lengths[-1], None, lengths, "exchange")
    if (
        written.shortest_m is None or written.longest_m is None
    ):  # pragma: no cover - refused when the file is read
        return None
    how = "turn the screw" if written.pitch_m is None else "move the shortener"
    return Adjuster(name, written.shortest_m, written.longest_m, written.pitch_m, (), how)


def _by_pitch(line: ResolvedLine) -> Adjuster | None:
    group = varied_group(line)
    item = group.items[0]
    if item.pitch_m is None or item.shortest_m is None or item.length_m is None:
        return None
    rest = line.length_m - group.length_m
    return Adjuster(
        line.name, rest + item.shortest_m, rest + item.length_m, item.pitch_m, (), "move the shortener"
    )


def _by_exchange(lift: Lift, line: ResolvedLine) -> Adjuster | None:
    group = varied_group(line)
    item = group.items[0]
    if not item.kind.is_sling or item.legs or item.wll_kg is None:
        return None
    hung = set(used_serials(lift.file.rig))
    spare: dict[float, int] = {}
    for other in lift.items.values():
        if other.serial not in hung and _could_replace(other, item) and other.length_m:
            spare[other.length_m] = spare.get(other.length_m, 0) + 1
    rest = line.length_m - group.length_m
    enough = {rest + length: count for length, count in spare.items() if count >= group.side_by_side}
    if not enough:
        return None
    choices = tuple(sorted({*enough, line.length_m}))
    counts = tuple(sorted(enough.items()))
    return Adjuster(
        line.name, choices[0], choices[-1], None, choices, "exchange the sling", counts, group.side_by_side
    )


def _could_replace(other: Item, item: Item) -> bool:
    return (
        other.kind is item.kind
        and other.legs is None
        and other.status.startswith("ok")
        and other.wll_kg == item.wll_kg
        and other.elongation_at_wll_ratio == item.elongation_at_wll_ratio
    )
