"""Whether the items a rig names exist, fit their place, hang only once, and are long enough."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping

from plumbhook.core.units import format_quantity
from plumbhook.model._problems import nearest
from plumbhook.model.equipment import Item, ItemKind, StrutFamily
from plumbhook.model.finding import Finding
from plumbhook.model.load import Load
from plumbhook.model.rig import LineEntry, Rig
from plumbhook.model.rig_geometry import line_length_m, strut_span_m
from plumbhook.model.yaml_source import Path

Items = Mapping[str, Item]
Families = Mapping[str, StrutFamily]

_IN_LINES = frozenset(kind for kind in ItemKind if not kind.is_strut_part)
_IN_HOOK_CHAIN = frozenset({ItemKind.MASTER_LINK, ItemKind.LOAD_CELL, ItemKind.SHACKLE})


def item_findings(rig: Rig, items: Items, families: Families) -> Iterator[Finding]:
    """Serials that are not known, of the wrong kind, used twice, or of an unknown strut family."""
    yield from _known_and_once(rig, items)
    yield from _weightless(rig, items)
    for path, serial, wanted in _places(rig):
        item = items.get(serial)
        if item is not None and item.kind not in wanted and not _is_head(path, item, rig):
            named = len(wanted) < len(_IN_LINES)
            words = " or ".join(sorted(kind.value for kind in wanted)) if named else "an item of a line"
            yield Finding(path, f"{serial} is listed as {item.kind.value}; what goes here is {words}")
    for name, strut in rig.struts.items():
        for position, serial in enumerate(strut.pieces):
            yield from _piece_findings(
                ("rig", "struts", name, "pieces", position), items.get(serial), families
            )
    yield from _leg_findings(rig, items)
    yield from _use_findings(rig, items)


def _places(rig: Rig) -> Iterator[tuple[Path, str, frozenset[ItemKind]]]:
    """Every serial the rig names, where it is named, and which kinds of item may be there."""
    for position, serial in enumerate(rig.hook_chain):
        yield ("rig", "hook_chain", position), serial, _IN_HOOK_CHAIN
    for name, strut in rig.struts.items():
        for position, serial in enumerate(strut.fittings or ()):
            yield ("rig", "struts", name, "fittings", position), serial, frozenset({ItemKind.END_FITTING})
        for position, serial in enumerate(strut.pieces):
            yield ("rig", "struts", name, "pieces", position), serial, frozenset({ItemKind.STRUT_PIECE})
    for name, serial in rig.corners.items():
        yield ("rig", "corners", name), serial, frozenset({ItemKind.CORNER_FITTING})
    for path, entry in _entries(rig):
        for position, serial in enumerate(entry.serials):
            yield (*path, position) if len(entry.serials) > 1 else path, serial, _IN_LINES


def _entries(rig: Rig) -> Iterator[tuple[Path, LineEntry]]:
    for name, line in rig.lines.items():
        for position, entry in enumerate(line.items):
            yield ("rig", "lines", name, "items", position), entry


def _is_head(path: Path, item: Item, rig: Rig) -> bool:
    """A sling with several legs may end the hook chain: its head hangs there."""
    return path == ("rig", "hook_chain", len(rig.hook_chain) - 1) and (item.legs or 1) > 1


def _known_and_once(rig: Rig, items: Items) -> Iterator[Finding]:
    first: dict[tuple[str, int | None], Path] = {}
    legs = {path: entry.leg for path, entry in _entries(rig) if entry.leg is not None}
    for path, serial, _ in _places(rig):
        item = items.get(serial)
        if item is None:
            near = nearest(serial, list(items))
            hint = f"did you mean {near}? " if near else ""
            yield Finding(
                path, f"{serial} is not in the stock; {hint}Add it to the stock file or under equipment"
            )
            continue
        leg = legs.get(path, 0 if _is_head(path, item, rig) else None) if item.legs else None
        before = first.setdefault((serial, leg), path)
        if before != path:
            what = f"leg {leg} of {serial}" if leg else serial
            where = " ".join(str(step) for step in before[1:3] if isinstance(step, str)).replace(
                "lines", "line"
            )
            yield Finding(
                path, f"{what} is used twice, first in {where}; one item can hang in one place only"
            )


def _weightless(rig: Rig, items: Items) -> Iterator[Finding]:
    """A mass of zero would drop the item from the hook load; a mass that is left out is asked for elsewhere."""
    for path, serial, _ in _places(rig):
        item = items.get(serial)
        if item is not None and item.mass_kg == 0.0:
            yield Finding(
                path,
                f"{serial} is listed with a mass of 0; everything under the hook weighs something, so weigh it and "
                "enter its mass in the stock",
            )


def _piece_findings(path: Path, item: Item | None, families: Families) -> Iterator[Finding]:
    if item is None or item.kind is not ItemKind.STRUT_PIECE:
        return
    if not item.family:
        yield Finding(path, f"{item.serial} does not say its strut family; add it to the stock")
    elif item.family not in families:
        near = nearest(item.family, list(families))
        hint = f"did you mean {near}? " if near else ""
        yield Finding(
            path,
            f"the strut family {item.family} of {item.serial} is not known; {hint}"
            "Add it to the strut families",
        )
    if item.length_m is None:
        yield Finding(path, f"{item.serial} has no length; add it to the stock")


def _leg_findings(rig: Rig, items: Items) -> Iterator[Finding]:
    heads_missing: set[str] = set()
    for path, entry in _entries(rig):
        for serial in entry.serials:
            item = items.get(serial)
            if item is None:
                continue
            legs = item.legs or 1
            if entry.leg is None and legs > 1:
                yield Finding(
                    path,
                    f"{serial} has {legs} legs; write which one, as in {{item: {serial}, leg: 1}}",
                )
            if entry.leg is not None and not 1 <= entry.leg <= legs:
                yield Finding(path, f"{serial} has no leg {entry.leg}; it has {legs}")
            if entry.length_m is not None and item.length_m is not None and entry.length_m > item.length_m:
                yield Finding(
                    path,
                    f"a leg of {serial} is at most {_length(item.length_m)} long and cannot be set to "
                    f"{_length(entry.length_m)}",
                )
            if legs > 1 and rig.lines[str(path[2])].from_ != "hook":
                yield Finding(path, f"{serial} has {legs} legs; such a sling can only hang from the hook")
            elif legs > 1 and serial not in rig.hook_chain and serial not in heads_missing:
                heads_missing.add(serial)
                yield Finding(
                    ("rig", "hook_chain"),
                    f"the head of {serial} hangs above its legs; name it last in the hook chain, "
                    "so that its height counts",
                )
    for position, serial in enumerate(rig.hook_chain):
        item = items.get(serial)
        if item is not None and (item.legs or 1) > 1 and item.head_length_m is None:
            yield Finding(
                ("rig", "hook_chain", position),
                f"{serial} has no head_length; add the height of its head, bearing to bearing, to the stock",
            )


def _use_findings(rig: Rig, items: Items) -> Iterator[Finding]:
    """What is said of the use of items that are not on the line."""
    for name, line in rig.lines.items():
        if line.use is None:
            continue
        kinds = {items[serial].kind for entry in line.items for serial in entry.serials if serial in items}
        slings, shackles = any(kind.is_sling for kind in kinds), ItemKind.SHACKLE in kinds
        for field, told, there, what in (
            ("hitch", line.use.hitch != "straight", slings, "sling"),
            (
                "bent_over",
                line.use.bent_over_m is not None,
                ItemKind.WIRE_ROPE_SLING in kinds,
                "wire rope sling",
            ),
            ("side_load", line.use.side_load_rad is not None, shackles, "shackle"),
            ("round_pin", line.use.round_pin, shackles, "shackle"),
            ("angle_in_bow", line.use.angle_in_bow_rad is not None, shackles, "shackle"),
        ):
            if told and not there:
                yield Finding(
                    ("rig", "lines", name, "use", field), f"there is no {what} in {name}; leave {field} out"
                )


def length_findings(rig: Rig, load: Load | None, items: Items, families: Families) -> Iterator[Finding]:
    """Lines without length, and pairs of lines that cannot reach across what hangs between them."""
    lengths = {name: line_length_m(line, items) for name, line in rig.lines.items()}
    for name, length in lengths.items():
        if length is not None and length <= 0.0:
            yield Finding(
                ("rig", "lines", name),
                "the items of this line have no length together; add a sling, or give length",
            )
    for first, second, between, span in _spans(rig, load, items, families):
        one, other = lengths[first], lengths[second]
        if one is None or other is None or span is None or min(one, other) <= 0.0:
            continue
        if one + other <= span:
            yield Finding(
                ("rig", "lines", first),
                f"{first} ({_length(one)}) and {second} ({_length(other)}) together do not reach across "
                f"{between} ({_length(span)}); use longer slings",
            )


def _spans(
    rig: Rig, load: Load | None, items: Items, families: Families
) -> Iterator[tuple[str, str, str, float | None]]:
    """Pairs of lines from one point to two points at a fixed distance: lines, what is between, distance m."""
    ends: dict[tuple[str, str], tuple[str, float | None]] = {}
    for name, strut in rig.struts.items():
        span = strut_span_m(strut, items, families)
        pair = strut.between or (f"{name}.a", f"{name}.b")
        ends[pair] = ends[(pair[1], pair[0])] = (name, span)
    for (first, one), (second, other) in itertools.combinations(rig.lines.items(), 2):
        if one.from_ != other.from_:
            continue
        if (one.to, other.to) in ends:
            between, span = ends[(one.to, other.to)]
            yield first, second, between, span
        elif load is not None and one.to.startswith("load.") and other.to.startswith("load."):
            points = [load.lift_points.get(line.to.removeprefix("load.")) for line in (one, other)]
            if points[0] is not None and points[1] is not None and one.to != other.to:
                distance = math.dist(points[0].at_m, points[1].at_m)
                yield first, second, f"{one.to} and {other.to}", distance


def _length(value_m: float) -> str:
    return format_quantity(value_m, "m", "m", decimals=3)
