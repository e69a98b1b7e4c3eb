"""What cannot be in the way between stations: a target of another move, moves that end elsewhere."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from plumbhook.model.finding import Finding
from plumbhook.model.place import PlaceStation
from plumbhook.model.way import Move, MoveKind, Turn

TARGETS = {
    MoveKind.HOIST: "load_bottom_m",
    MoveKind.LUFF: "radius_m",
    MoveKind.SLEW: "slew_rad",
    MoveKind.TRAVEL: "crane_position_m",
}
"""Field of the move, and of the station, that a kind of move changes."""

_SAME = 1e-9


def way_findings(stations: Sequence[PlaceStation]) -> Iterator[Finding]:
    """Findings of the way between stations, each with its field and the cure."""
    for position, station in enumerate(stations):
        at: tuple[str | int, ...] = ("place", "stations", position)
        if station.load_bottom_m is not None and station.hook_height_m is not None:
            yield Finding((*at, "hook_height"), "give load_bottom or hook_height, not both; leave one out")
        if station.moves and position == 0:
            yield Finding(
                (*at, "moves"),
                "the way starts at the first station; put the moves at the station they lead to",
            )
        for number, move in enumerate(station.moves):
            yield from _wrong_targets((*at, "moves", number), move)
        if position and station.moves:
            yield from _wrong_end((*at, "moves"), stations[position - 1], station)


def _wrong_targets(at: tuple[str | int, ...], move: Move) -> Iterator[Finding]:
    for kind, field in TARGETS.items():
        if kind is not move.move and getattr(move, field) is not None:
            key = _key(field)
            yield Finding(
                (*at, key),
                f'{key} belongs to the move "{kind.value}", not to "{move.move.value}"; change the move or leave it '
                "out",
            )
    if move.move is not MoveKind.SLEW and move.turn is not Turn.SHORTER:
        yield Finding(
            (*at, "turn"), f'turn belongs to the move "slew", not to "{move.move.value}"; leave it out'
        )


def _wrong_end(at: tuple[str | int, ...], before: PlaceStation, station: PlaceStation) -> Iterator[Finding]:
    """Moves must end where the station is, so that no stretch of the way is left out."""
    for kind, field in TARGETS.items():
        own = [move for move in station.moves if move.move is kind]
        wanted, started = _of(station, field), _of(before, field)
        ends = getattr(own[-1], field) if own else started
        if own and ends is None:
            continue
        if kind is MoveKind.TRAVEL and wanted is None:
            wanted = started if not own else ends
        if ends is None or wanted is None or _same(kind, ends, wanted):
            continue
        yield Finding(
            at,
            f'the moves to "{station.name}" end with another {_key(field)} than the station has; add a last move '
            f'"{kind.value}" without a target',
        )


def _of(station: PlaceStation, field: str) -> object:
    value: object = getattr(station, field)
    if field != "load_bottom_m" or value is not None or station.hook_height_m is not None:
        return value
    return None if station.support_level_m is None else station.support_level_m + (station.clearance_m or 0.0)


def _same(kind: MoveKind, a: object, b: object) -> bool:
    if isinstance(a, float) and isinstance(b, float):
        difference = abs(a - b)
        if kind is MoveKind.SLEW:
            difference = abs(math.remainder(a - b, 2.0 * math.pi))
        return difference <= _SAME
    return a == b


def _key(field: str) -> str:
    return field.removesuffix("_m").removesuffix("_rad")
