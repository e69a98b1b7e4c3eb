"""Whether what a line is said to be adjustable to makes sense."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from plumbhook.core.units import format_quantity
from plumbhook.model.equipment import Item
from plumbhook.model.finding import Finding
from plumbhook.model.rig import Adjustment, Rig
from plumbhook.model.rig_geometry import line_length_m
from plumbhook.model.stock import setting_faults

_SLACK_M = 1e-9


def adjustment_findings(rig: Rig, items: Mapping[str, Item]) -> Iterator[Finding]:
    """Ranges that are empty or that the present length is outside of; legs set shorter than they can be."""
    for name, line in rig.lines.items():
        path = ("rig", "lines", name)
        if line.adjustment is not None:
            found = list(_faults(line.adjustment))
            yield from (Finding((*path, "adjustment", key), message) for key, message in found)
            length = line_length_m(line, items)
            if not found and length is not None:
                yield from _outside(line.adjustment, length, (*path, "adjustment"))
        for position, entry in enumerate(line.items):
            item = items.get(entry.serials[0])
            shortest = None if item is None else item.shortest_m
            if shortest is not None and entry.length_m is not None and entry.length_m < shortest - _SLACK_M:
                yield Finding(
                    (*path, "items", position),
                    f"{entry.serials[0]} can be set to {_length(shortest)} at the shortest and not to "
                    f"{_length(entry.length_m)}",
                )


def _faults(adjustment: Adjustment) -> Iterator[tuple[str, str]]:
    if adjustment.lengths_m:
        if adjustment.shortest_m or adjustment.longest_m or adjustment.pitch_m:
            yield "lengths", "give either a list of lengths or a range with shortest and longest, not both"
        return
    if adjustment.shortest_m is None or adjustment.longest_m is None:
        missing = "shortest" if adjustment.shortest_m is None else "longest"
        yield missing, "an adjustment needs a shortest and a longest length, or a list of lengths"
        return
    if adjustment.pitch_m is None:
        if adjustment.shortest_m >= adjustment.longest_m:
            yield "shortest", "the shortest length must be less than the longest; check the two"
        return
    yield from setting_faults(adjustment.pitch_m, adjustment.shortest_m, adjustment.longest_m)


def _outside(adjustment: Adjustment, length_m: float, path: tuple[str, ...]) -> Iterator[Finding]:
    low = min(adjustment.lengths_m) if adjustment.lengths_m else adjustment.shortest_m
    high = max(adjustment.lengths_m) if adjustment.lengths_m else adjustment.longest_m
    if low is None or high is None:  # pragma: no cover - such an adjustment is refused before
        return
    if not low - _SLACK_M <= length_m <= high + _SLACK_M:
        yield Finding(
            path,
            f"the line is {_length(length_m)} long, outside of the {_length(low)} to {_length(high)} that it can "
            "be set to; check the two",
        )


def _length(value_m: float) -> str:
    return format_quantity(value_m, "m", "m", decimals=3)
