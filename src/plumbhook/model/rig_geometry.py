"""Lengths and masses of struts and lines as they follow from their items. None where an item does not say."""

from __future__ import annotations

import math
from collections.abc import Mapping

from plumbhook.model.equipment import Item, StrutFamily
from plumbhook.model.rig import Line, LineEntry, Rig, Strut, strut_serials


def strut_span_m(
    strut: Strut, items: Mapping[str, Item], families: Mapping[str, StrutFamily]
) -> float | None:
    """Pin-to-pin length of a strut: pieces, and the end offset of its family at both ends.

    The family is that of the first piece; a strut of mixed families is for the checks to refuse.
    """
    lengths = [items[serial].length_m if serial in items else None for serial in strut.pieces]
    first = items.get(strut.pieces[0])
    family = None if first is None else families.get(first.family)
    if family is None:
        return None
    known = [length for length in lengths if length is not None]
    if len(known) < len(lengths):
        return None
    return math.fsum(known) + 2.0 * family.end_offset_m


def strut_mass_kg(
    rig: Rig, name: str, items: Mapping[str, Item], families: Mapping[str, StrutFamily]
) -> float | None:
    """Mass of an assembled strut: pieces, fittings and a set of bolts at every joint, also piece to fitting.

    A corner fitting is shared by two struts of a frame and counts half in each.
    """
    strut = rig.struts[name]
    serials = strut_serials(rig, name)
    first = items.get(strut.pieces[0])
    family = None if first is None else families.get(first.family)
    if family is None or any(serial not in items for serial in serials):
        return None
    total = family.joint_mass_kg * (len(strut.pieces) + 1)
    for serial in serials:
        mass = items[serial].mass_kg
        if mass is None:
            return None
        total += 0.5 * mass if serial in rig.corners.values() else mass
    return total


def entry_length_m(entry: LineEntry, items: Mapping[str, Item]) -> float | None:
    """Length that an entry adds to its line: as set for a leg, else effective; the shortest of several."""
    if entry.length_m is not None:
        return entry.length_m
    lengths = [items[serial].length_m if serial in items else None for serial in entry.serials]
    known = [length for length in lengths if length is not None]
    return min(known) if len(known) == len(lengths) else None


def line_length_m(line: Line, items: Mapping[str, Item]) -> float | None:
    """Length of a line bearing to bearing, unloaded: the measured one, else the sum over its entries."""
    if line.length_m is not None:
        return line.length_m
    lengths = [entry_length_m(entry, items) for entry in line.items]
    known = [length for length in lengths if length is not None]
    return math.fsum(known) if len(known) == len(lengths) else None


def hook_chain_length_m(rig: Rig, items: Mapping[str, Item]) -> float | None:
    """Height of the items between crane hook and top slings; of a sling with several legs, its head."""
    total = 0.0
    for serial in rig.hook_chain:
        item = items.get(serial)
        length = None if item is None else (item.head_length_m if (item.legs or 1) > 1 else item.length_m)
        if length is None:
            return None
        total += length
    return total
