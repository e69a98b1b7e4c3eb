"""The stations of the load path, crane to ground: what each carries, worst, may carry, used."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from plumbhook.core.check import Check, Status, worst_status
from plumbhook.planning.assessment import FIT, Station
from plumbhook.planning.check_rig import ASSEMBLY, line_station
from plumbhook.planning.check_strut import strut_station
from plumbhook.planning.check_whole import ATTITUDE, FACTORS, ITEMS, METHODS, STABILITY
from plumbhook.planning.items import ItemList
from plumbhook.planning.rig import ResolvedLine, ResolvedRig
from plumbhook.planning.weighing import WEIGHING

_ROLES = {
    "top": "top slings",
    "middle": "between the struts",
    "lower": "lower slings",
    "bridle": "legs of the bridle",
}


@dataclass(frozen=True, slots=True)
class Place:
    """Where checks are shown: station id, its name, what it is held to, balloons."""

    station_id: str
    name: str
    detail: str
    balloons: tuple[int, ...] = ()


def rig_places(rig: ResolvedRig, items: ItemList) -> list[Place]:
    """Stations of the rig from the hook items to the load, in load-path order."""
    places = [
        Place(
            f"hook_item.{item.serial}",
            f"{item.description}",
            f"{item.serial}: everything below it, × dynamic factor",
            (items.balloon_of_serial[item.serial],),
        )
        for item in rig.hook_chain
    ]
    for role in ("top", "middle", "lower", "bridle"):
        lines = [line for line in rig.lines.values() if line.role == role]
        places.extend(_line_places(lines, items))
        if role == "top":
            places.extend(_strut_places(rig, items, {line.lower for line in lines}))
        if role == "middle":
            places.extend(_strut_places(rig, items, {line.lower for line in lines}))
    places.extend(
        [
            Place("angle.top", "Top slings: angle from the vertical", "as drawn"),
            Place("angle.middle", "Slings between the struts: angle from the vertical", "as drawn"),
            Place(
                "angle.spread",
                "Lower slings that spread to several lift points: angle from the vertical",
                "as drawn",
            ),
            Place("angle.bridle", "Legs of the bridle: angle from the vertical", "as drawn"),
            Place("lean.lower", "Lower slings: lean from plumb", "as it hangs"),
            Place("lift_point.load", "Lift points", "force against the rated load"),
            Place("lift_point.angle", "Lift points: angle off the axis", "as it hangs"),
            Place(FIT, "Connections, hook to lift points", "pins, holes, jaws, bows, links"),
            Place(WEIGHING, "Weighing", "readings against each other"),
            Place(ATTITUDE, "Load: tilt and centre of gravity", "expected weight, worst corner of the box"),
            Place(STABILITY, "Overturning in the slings, slack", "restoring height by plane, and by energy"),
            Place(
                ASSEMBLY,
                "Assembly: pieces, joints, shackles",
                "family, mid-span, torque; smaller shackle below",
            ),
            Place(ITEMS, "Items: in order and in date", "on the day of the lift"),
            Place(FACTORS, "Factors, rule packs, people", "stated with their source, kept, in date"),
            Place(METHODS, "Second method", "hand in the same pose against the solver"),
        ]
    )
    return places


def _line_places(lines: Sequence[ResolvedLine], items: ItemList) -> list[Place]:
    places: dict[str, Place] = {}
    deepest = max((len(line.groups) for line in lines), default=0)
    for position in range(deepest):
        for line in lines:
            if position >= len(line.groups):
                continue
            group = line.groups[position]
            each = ", each of a pair" if group.side_by_side == 2 else ""
            place = f", {_ROLES[line.role]}{_end(line, position)}"
            station = line_station(line, position)
            places.setdefault(
                station,
                Place(
                    station,
                    f"{group.items[0].description}{each}{place}",
                    "leg tension",
                    (items.balloon_of_serial[group.items[0].serial],),
                ),
            )
    return list(places.values())


def _end(line: ResolvedLine, position: int) -> str:
    """Which end of the line an item sits at, where the same item sits at both."""
    same = [
        at
        for at, group in enumerate(line.groups)
        if group.items[0].description == line.groups[position].items[0].description
    ]
    if len(same) < 2:
        return ""
    return ", upper end" if position == same[0] else ", lower end"


def _strut_places(rig: ResolvedRig, items: ItemList, ends: Iterable[str]) -> list[Place]:
    places: dict[str, Place] = {}
    held = set(ends)
    for strut in rig.struts.values():
        own = set(strut.corners) if strut.corners else {f"{strut.name}.a", f"{strut.name}.b"}
        if not own & held:
            continue
        alike = [s.name for s in rig.struts.values() if strut_station(s, "") == strut_station(strut, "")]
        name = f"{'Strut' if len(alike) == 1 else 'Struts'} {', '.join(alike)}, {strut.family.name}"
        balloon = (items.balloon_of_strut[strut.name],)
        kind = "corner" if strut.corners else "end"
        for what, title, detail in (
            ("fitting", f"{name}: {kind} fittings", "leg tension"),
            ("compression", f"{name}: compression, bending", f"{strut.span_m:.2f} m pin to pin"),
            ("joints", f"{name}: bolted joints", "at the joint that is worst"),
        ):
            station = strut_station(strut, what)
            places.setdefault(station, Place(station, title, detail, balloon))
    return list(places.values())


def stations_of(places: Sequence[Place], checks: Sequence[Check]) -> tuple[Station, ...]:
    """One row per station that has checks; the row shows the check that governs it.

    Raises:
        KeyError: a check belongs to no station, which would hide it.
    """
    known = {place.station_id for place in places}
    homeless = [check.check_id for check in checks if check.station not in known]
    if homeless:
        raise KeyError(f"checks without a station: {', '.join(homeless)}")
    found = []
    for place in places:
        own = [check for check in checks if check.station == place.station_id]
        if not own:
            continue
        governs = governing_check(own)
        found.append(
            Station(
                station_id=place.station_id,
                name=place.name,
                detail=place.detail,
                balloons=place.balloons,
                carries=governs.nominal or governs.demand,
                worst=governs.demand,
                may_carry=governs.capacity,
                utilisation=governs.utilisation,
                status=_status(own),
                check_ids=tuple(check.check_id for check in own),
                note=governs.attention,
            )
        )
    return tuple(found)


def _status(checks: list[Check]) -> Status:
    """Of a station: not applicable only where all of it is."""
    if all(check.status is Status.NOT_APPLICABLE for check in checks):
        return Status.NOT_APPLICABLE
    return worst_status(checks)


def governing_check(checks: Sequence[Check]) -> Check:
    """The worst of some checks: failures first, then what was not evaluated, then the highest utilisation."""
    rank = {Status.FAIL: 3, Status.NOT_EVALUATED: 2, Status.PASS: 1, Status.NOT_APPLICABLE: 0}

    def order(check: Check) -> tuple[int, float]:
        use = check.utilisation
        return rank[check.status], -1.0 if math.isnan(use) else use

    return max(checks, key=order)
