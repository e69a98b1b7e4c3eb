"""The way of the load in an assessment: its moves, the curves along it and the worst place of each."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class WayLeg:
    """One move of the way, in words, from how far along the hook's way to how far, m."""

    words: str
    from_m: float
    to_m: float


@dataclass(frozen=True, slots=True)
class WayPlace:
    """One place of the way.

    Attributes:
        leg: number of the move, from 1.
        along_m: how far into the move, m.
        distance_m: how far along the whole way, m.
        x_m: hook, east, m.
        y_m: hook, north, m.
        z_m: lowest point of the load over the crane's ground, m; NaN where not known.
        radius_m: radius of the hook, m.
        slew_rad: bearing of the boom, rad.
        words: the place in words.
    """

    leg: int
    along_m: float
    distance_m: float
    x_m: float
    y_m: float
    z_m: float
    radius_m: float
    slew_rad: float
    words: str


@dataclass(frozen=True, slots=True)
class WayCurve:
    """One quantity along the way.

    Attributes:
        key: identifier.
        name: what it is.
        unit: SI unit.
        display: unit to print.
        at_least: True where it must not fall below the limit.
        distance_m: places along the hook's way, m.
        value: the quantity there.
        limit: its limit there.
        worst: its worst place.
        worst_value: the quantity there.
        worst_limit: the limit there.
        beyond_m: stretches that lie beyond the limit or cannot be told, from and to, m.
    """

    key: str
    name: str
    unit: str
    display: str
    at_least: bool
    distance_m: tuple[float, ...]
    value: tuple[float, ...]
    limit: tuple[float, ...]
    worst: WayPlace
    worst_value: float
    worst_limit: float
    beyond_m: tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class WayStatement:
    """The way from the first station to the last.

    Attributes:
        legs: its moves.
        curves: quantities along it.
        steps: number of places looked at.
        longest_step_m: longest way of the hook between two of them, m.
        note: how it was looked at, in words.
    """

    legs: tuple[WayLeg, ...]
    curves: tuple[WayCurve, ...]
    steps: int
    longest_step_m: float
    note: str
