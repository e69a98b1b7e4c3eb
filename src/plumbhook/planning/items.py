"""The list of items in the order of the load path, and the balloon that names each everywhere."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from plumbhook.model.equipment import Item
from plumbhook.planning.assessment import ItemRow
from plumbhook.planning.layout import strut_ends
from plumbhook.planning.rig import Group, ResolvedLine, ResolvedRig, ResolvedStrut, is_hook


@dataclass
class _Row:
    description: str
    serials: list[str] = field(default_factory=list)
    quantity: int = 0
    mass_kg: float = 0.0
    length_m: float | None = None
    wll_kg: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class ItemList:
    """Rows in load-path order, and which balloon belongs to what."""

    rows: tuple[ItemRow, ...]
    balloon_of_serial: dict[str, int]
    balloon_of_strut: dict[str, int]


def list_items(rig: ResolvedRig) -> ItemList:
    """Group equal items, number them from the hook down."""
    rows: dict[str, _Row] = {}
    strut_keys: dict[str, str] = {}
    for entry in _downward(rig):
        if isinstance(entry, ResolvedStrut):
            key = _strut_key(entry)
            strut_keys[entry.name] = key
            row = rows.setdefault(key, _Row(_strut_description(entry, rig), length_m=entry.span_m))
            row.quantity += 1
            row.mass_kg += entry.mass_kg
            row.serials.extend(p.serial for p in entry.placements if not (p.is_fitting and entry.corners))
            ratings = [item.wll_kg for item in entry.fittings if item.wll_kg is not None]
            row.wll_kg = min(ratings) if ratings else None
            row.note = (
                "rated load per end fitting" if not entry.corners else "rated load of the corner fitting"
            )
        else:
            item, length = entry
            row = rows.setdefault(
                f"{item.description}|{length}", _Row(item.description, length_m=length or None)
            )
            if item.serial not in row.serials:
                row.serials.append(item.serial)
                row.quantity += 1
                row.mass_kg += item.mass_kg or 0.0
            row.wll_kg = item.wll_kg
            row.note = item.note
    if rig.corners:
        ratings = [item.wll_kg for item in rig.corners.values() if item.wll_kg is not None]
        rows["corners"] = _Row(
            "Corner fitting",
            serials=[item.serial for item in rig.corners.values()],
            quantity=len(rig.corners),
            wll_kg=min(ratings, default=None),
            note="mass counted in the struts",
        )
    numbers = {key: number for number, key in enumerate(rows, start=1)}
    item_rows = tuple(
        ItemRow(
            balloon=numbers[key],
            quantity=row.quantity,
            description=row.description,
            serials=tuple(row.serials),
            length_m=row.length_m,
            mass_each_kg=row.mass_kg / row.quantity,
            mass_kg=row.mass_kg,
            wll_kg=row.wll_kg,
            note=row.note,
        )
        for key, row in rows.items()
    )
    by_serial = {serial: row.balloon for row in item_rows for serial in row.serials}
    return ItemList(item_rows, by_serial, {name: numbers[key] for name, key in strut_keys.items()})


def _strut_key(strut: ResolvedStrut) -> str:
    labels = " | ".join(p.label for p in strut.placements if not p.is_fitting)
    return f"strut {strut.family.name} {labels} {bool(strut.corners)}"


def _strut_description(strut: ResolvedStrut, rig: ResolvedRig) -> str:
    alike = [other.name for other in rig.struts.values() if _strut_key(other) == _strut_key(strut)]
    labels = " | ".join(p.label for p in strut.placements if not p.is_fitting)
    word = "Strut" if len(alike) == 1 else "Struts"
    kind = "corner" if strut.corners else "end"
    return f"{word} {', '.join(alike)}, {strut.family.name}: {labels} between {kind} fittings"


def _downward(rig: ResolvedRig) -> Iterator[ResolvedStrut | tuple[Item, float]]:
    """Items and struts in the order in which the force meets them, from the hook down."""
    for item in rig.hook_chain:
        yield item, item.length_m or 0.0
    seen: set[str] = set()
    done: set[str] = set()
    level = [line for line in rig.lines.values() if is_hook(line.upper)]
    while level:
        yield from _items_of(level)
        struts = [
            strut
            for strut in rig.struts.values()
            if strut.name not in seen and any(line.lower in strut_ends(strut) for line in level)
        ]
        seen.update(strut.name for strut in struts)
        yield from struts
        ends = {end for strut in struts for end in strut_ends(strut)}
        bodies = {_body(line.lower) for line in level} & set(rig.bodies)
        done.update(line.name for line in level)
        level = [
            line
            for line in rig.lines.values()
            if line.name not in done and (line.upper in ends or _body(line.upper) in bodies)
        ]


def _body(reference: str) -> str:
    return reference.partition(".")[0]


def _items_of(lines: list[ResolvedLine]) -> Iterator[tuple[Item, float]]:
    for position in range(max(len(line.groups) for line in lines)):
        for line in lines:
            if position < len(line.groups):
                group: Group = line.groups[position]
                for item in group.items:
                    yield item, group.length_m
