"""The way of the load from station to station: its moves, and the curves of the crane along it."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from plumbhook.core.units import format_quantity
from plumbhook.crane.chart_way import duty_along_way
from plumbhook.crane.radius_growth import radius_under_load_m
from plumbhook.crane.way import (
    STEP_M,
    STEP_RAD,
    CurveFound,
    CurveLaw,
    FloatArray,
    HookState,
    Poses,
    Way,
    WayMove,
    follow,
)
from plumbhook.model.place import Crane, PlaceStation
from plumbhook.model.place import Place as PlaceSection
from plumbhook.model.way import Move, MoveKind, Turn
from plumbhook.planning.ground_along import GroundAlong, ground_along
from plumbhook.planning.hook_limit import below_the_head_m
from plumbhook.planning.loaded_radius import duty_chart, radius_growth
from plumbhook.planning.way_records import WayCurve, WayLeg, WayPlace, WayStatement

CRANE, HOOK, GROUND = "crane", "hook", "ground"
_MOST_SHOWN = 240


@dataclass(frozen=True, slots=True)
class CurveQuestion:
    """A quantity to follow along the way, with how it is named and printed.

    ``found`` follows it where that is remembered from one case of a lift to the next.
    """

    key: str
    name: str
    unit: str
    display: str
    law: CurveLaw
    found: Callable[[Way], CurveFound] | None = None


def why_no_way(stations: Sequence[PlaceStation]) -> str:
    """Why the way between the stations cannot be told; "" where it can, or where there is but one station."""
    if len(stations) < 2:
        return ""
    missing = [station.name for station in stations if station.slew_rad is None]
    return f"slew of the boom missing at {', '.join(missing)}" if missing else ""


def way_of(place: PlaceSection, rig_height_m: float) -> Way | None:
    """The way of a place; None with a single station, without the slew of one, or where nothing moves.

    Args:
        place: crane and stations.
        rig_height_m: lowest point of the load to the hook as it hangs, m, for stations that give the hook's height.
    """
    stations = place.stations
    if len(stations) < 2 or why_no_way(stations):
        return None
    state = _state(stations[0], rig_height_m, place.crane.position_m)
    start, moves = state, list[WayMove]()
    for station in stations[1:]:
        target = _state(station, rig_height_m, (state.crane_x_m, state.crane_y_m))
        own = list(_moves(state, target, station))
        moves.extend(own)
        state = own[-1].to if own else state
    return Way(start, tuple(moves)) if moves else None


def load_bottom_m(station: PlaceStation, rig_height_m: float) -> float:
    """Lowest point of the load at a station, m over the crane's ground; NaN where nothing tells it."""
    if station.load_bottom_m is not None:
        return station.load_bottom_m
    if station.hook_height_m is not None:
        return station.hook_height_m - rig_height_m
    if station.support_level_m is not None:
        return station.support_level_m + (station.clearance_m or 0.0)
    return math.nan


def _state(station: PlaceStation, rig_height_m: float, before_m: tuple[float, float]) -> HookState:
    x, y = station.crane_position_m or before_m
    bearing = math.nan if station.load_bearing_rad is None else station.load_bearing_rad
    slew = math.nan if station.slew_rad is None else station.slew_rad
    return HookState(x, y, slew, station.radius_m, load_bottom_m(station, rig_height_m), bearing)


def _moves(state: HookState, target: HookState, station: PlaceStation) -> Iterator[WayMove]:
    """Moves from a state to a station, those of no length left out.

    The load turns with the first slew, as tag lines bring it round with the boom; without a slew with the first move.
    """
    stated = station.moves or _default_moves(state, target)
    slews = any(
        move.move is MoveKind.SLEW and _differs(state, _after(state, target, move)) for move in stated
    )
    for move in stated:
        after = _after(state, target, move)
        if move.move is MoveKind.SLEW or not slews:
            after = replace(after, load_bearing_rad=target.load_bearing_rad)
        if _differs(state, after):
            yield WayMove(move.move.value, after, station.name)
            state = after


def _default_moves(state: HookState, target: HookState) -> tuple[Move, ...]:
    """Hoist up, luff in, travel, slew, luff out, lower: the load is high and close while it goes round."""
    up, inward = target.load_bottom_m > state.load_bottom_m, target.radius_m < state.radius_m
    kinds = [
        *((MoveKind.HOIST,) if up else ()),
        *((MoveKind.LUFF,) if inward else ()),
        MoveKind.TRAVEL,
        MoveKind.SLEW,
        *(() if inward else (MoveKind.LUFF,)),
        *(() if up else (MoveKind.HOIST,)),
    ]
    return tuple(Move(move=kind) for kind in kinds)


def _after(state: HookState, target: HookState, move: Move) -> HookState:
    match move.move:
        case MoveKind.HOIST:
            height = target.load_bottom_m if move.load_bottom_m is None else move.load_bottom_m
            return replace(state, load_bottom_m=height)
        case MoveKind.LUFF:
            return replace(state, radius_m=target.radius_m if move.radius_m is None else move.radius_m)
        case MoveKind.SLEW:
            wanted = target.slew_rad if move.slew_rad is None else move.slew_rad
            return replace(state, slew_rad=state.slew_rad + _turn(wanted - state.slew_rad, move.turn))
        case MoveKind.TRAVEL:
            x, y = move.crane_position_m or (target.crane_x_m, target.crane_y_m)
            return replace(state, crane_x_m=x, crane_y_m=y)


def _turn(difference_rad: float, turn: Turn) -> float:
    """The slew to make, clockwise positive; of two equal ways the clockwise one."""
    full = 2.0 * math.pi
    clockwise = difference_rad % full
    if min(clockwise, full - clockwise) < 1e-12:
        return 0.0
    if turn is Turn.CLOCKWISE or (turn is Turn.SHORTER and clockwise <= math.pi + 1e-12):
        return clockwise
    return clockwise - full


def _differs(a: HookState, b: HookState) -> bool:
    heights = a.load_bottom_m != b.load_bottom_m and not math.isnan(a.load_bottom_m + b.load_bottom_m)
    learnt = math.isnan(a.load_bottom_m) != math.isnan(b.load_bottom_m)
    moved = (a.crane_x_m, a.crane_y_m, a.slew_rad, a.radius_m) != (
        b.crane_x_m,
        b.crane_y_m,
        b.slew_rad,
        b.radius_m,
    )
    return moved or heights or learnt


def crane_curve(crane: Crane, gross_load_kg: float, use_limit_ratio: float) -> CurveQuestion:
    """Use of the chart along the way, at the radius under load, against the largest use that is allowed."""
    chart, growth = duty_chart(crane), radius_growth(crane)

    def use(poses: Poses) -> FloatArray:
        return duty_along_way(chart, radius_under_load_m(poses.radius_m, growth), gross_load_kg).utilisation

    return CurveQuestion(
        CRANE, "use of the crane chart", "1", "%", CurveLaw(use, lambda p: np.full_like(p.u, use_limit_ratio))
    )


def hook_curve(crane: Crane, stations: Sequence[PlaceStation], rig_height_m: float) -> CurveQuestion:
    """Height of the hook against what the crane gives: as its boom leaves, and as is stated at the radii of stations.

    Between two stated radii the height of the larger one counts, as a boom gives less the farther out it reaches.
    """
    limits: dict[float, float] = {}
    for station in stations:
        if station.hook_height_limit_m is not None:
            given = limits.get(station.radius_m, math.inf)
            limits[station.radius_m] = min(given, station.hook_height_limit_m)
    radii = np.array(sorted(limits))
    heights = np.array([limits[radius] for radius in radii] + [math.nan])

    def available(poses: Poses) -> FloatArray:
        stated = heights[np.searchsorted(radii + 1e-9, poses.radius_m, side="left")]
        return np.asarray(np.fmin(stated, below_the_head_m(crane, poses.radius_m)))

    return CurveQuestion(
        HOOK, "height of the hook", "m", "m", CurveLaw(lambda p: p.load_bottom_m + rig_height_m, available)
    )


def ground_curve(place: PlaceSection, hook_mass_kg: float, gravity_m_s2: float) -> CurveQuestion | None:
    """Pressure on the ground below the worst pad or track along the way; endless where the boom leaves its sector.

    Args:
        place: crane and ground.
        hook_mass_kg: everything below the boom head, kg.
        gravity_m_s2: acceleration of gravity, m/s2.

    Returns:
        The curve; None where only the customary bound on a pad can be told, which is the same all the way.
    """
    crane, ground = place.crane, place.ground
    boom_along = crane.tracks is not None and crane.tracks.gauge_m is None
    if boom_along and crane.tracks is not None:
        # Without the gauge only the boom along the tracks is known: the same pressure whichever gauge is put in.
        crane = crane.model_copy(update={"tracks": crane.tracks.model_copy(update={"gauge_m": 1.0})})

    def along(radius_m: FloatArray, slew_rad: FloatArray | float) -> GroundAlong | None:
        return ground_along(
            crane,
            ground,
            slew_rad=slew_rad,
            radius_m=radius_m,
            hook_mass_kg=hook_mass_kg,
            gravity_m_s2=gravity_m_s2,
        )

    first = along(np.array([place.stations[0].radius_m]), 0.0)
    if first is None:
        return None
    growth = radius_growth(crane)
    sector = sector_of(place)

    def pressure(poses: Poses) -> FloatArray:
        slew = poses.slew_rad.ravel() - place.crane.heading_rad
        found = along(radius_under_load_m(poses.radius_m.ravel(), growth), 0.0 if boom_along else slew)
        if found is None:  # pragma: no cover - told by the first place
            return np.full(poses.u.shape, np.nan)
        worst = np.where(in_sector(slew, sector), found.pressure_Pa.max(axis=1), np.inf)
        return worst.reshape(poses.u.shape)

    law = CurveLaw(pressure, lambda p: np.full_like(p.u, first.allowable_Pa))
    return CurveQuestion(GROUND, "pressure on the ground", "Pa", "kPa", law)


def sector_of(place: PlaceSection) -> tuple[float, float] | None:
    """Sector of the slew that the ground section of the crane states, from the front, rad; None all the way round."""
    tracks, outriggers = place.crane.tracks, place.crane.outriggers
    if tracks is not None:
        return tracks.slew_sector
    geometry = None if outriggers is None else outriggers.geometry
    return None if geometry is None else geometry.slew_sector


def in_sector(slew_rad: ArrayLike, sector_rad: tuple[float, float] | None) -> NDArray[np.bool_]:
    """Whether bearings from the front lie in a sector, whatever full turns they count."""
    slew = np.asarray(slew_rad, dtype=float)
    if sector_rad is None:
        return np.ones(slew.shape, dtype=bool)
    full, grace = 2.0 * math.pi, 1e-9
    start, end = sector_rad
    inside: NDArray[np.bool_] = (slew - start + grace) % full <= end - start + 2.0 * grace
    return inside


def state_way(way: Way, questions: Sequence[CurveQuestion]) -> WayStatement:
    """The way with its curves, each refined round its worst place."""
    u = way.sample()
    legs = tuple(_legs(way))
    curves = tuple(
        _curve(way, question, question.found(way) if question.found else follow(way, question.law, u))
        for question in questions
    )
    return WayStatement(
        legs=legs,
        curves=curves,
        steps=len(u),
        longest_step_m=float(np.diff(way.distance_m(u)).max()),
        note=(
            f"Looked at in {len(u)} places, no more than {format_quantity(STEP_M, 'm')} of the hook's way and "
            f"{format_quantity(STEP_RAD, 'rad', 'deg')} of slew apart, closer round the worst ones. "
            "One move at a time; the crane does not turn while it travels."
        ),
    )


def _legs(way: Way) -> Iterator[WayLeg]:
    ends = way.distance_m(np.arange(len(way.moves) + 1.0))
    state = way.start
    for number, move in enumerate(way.moves):
        yield WayLeg(_move_words(state, move), float(ends[number]), float(ends[number + 1]))
        state = move.to


def _move_words(state: HookState, move: WayMove) -> str:
    to = move.to
    if move.kind == MoveKind.HOIST.value:
        word = "lower" if to.load_bottom_m < state.load_bottom_m else "hoist"
        return f'{word} to {_m(to.load_bottom_m)} below the load, towards "{move.station}"'
    if move.kind == MoveKind.LUFF.value:
        word = "luff in" if to.radius_m < state.radius_m else "luff out"
        return f'{word} from {_m(state.radius_m)} to {_m(to.radius_m)}, towards "{move.station}"'
    if move.kind == MoveKind.SLEW.value:
        turn = to.slew_rad - state.slew_rad
        way_round = "clockwise" if turn > 0.0 else "anticlockwise"
        return f'slew {_deg(abs(turn))} {way_round} to bearing {bearing_text(to.slew_rad)}, towards "{move.station}"'
    far = math.hypot(to.crane_x_m - state.crane_x_m, to.crane_y_m - state.crane_y_m)
    return f'travel {_m(far)}, towards "{move.station}"'


def place_at(way: Way, u: float) -> WayPlace:
    """A place of the way with its words."""
    poses = way.poses(u)
    leg = min(int(u), len(way.moves) - 1)
    distance = float(way.distance_m(u))
    along = distance - float(way.distance_m(float(leg)))
    x, y, z = float(poses.hook_x_m), float(poses.hook_y_m), float(poses.load_bottom_m)
    radius, slew = float(poses.radius_m), float(poses.slew_rad)
    move = way.moves[leg]
    height = "" if math.isnan(z) else f", lowest point of the load at {_m(z)}"
    words = (
        f'{_VERBS[move.kind]} to "{move.station}" (move {leg + 1} of {len(way.moves)}), {_m(along)} into it: '
        f"radius {_m(radius)}, boom at {bearing_text(slew)}, hook {_m(x)} east and {_m(y)} north{height}"
    )
    return WayPlace(leg + 1, along, distance, x, y, z, radius, slew, words)


_VERBS: Mapping[str, str] = {
    "hoist": "hoisting",
    "luff": "luffing",
    "slew": "slewing",
    "travel": "travelling",
}


def bearing_text(slew_rad: float) -> str:
    """A bearing of 0 to 360 degrees."""
    return _deg(slew_rad % (2.0 * math.pi))


def _m(value: float) -> str:
    return format_quantity(value + 0.0, "m", "m", decimals=2)


def _deg(value: float) -> str:
    return format_quantity(value, "rad", "deg", decimals=1)


def _curve(way: Way, question: CurveQuestion, found: CurveFound) -> WayCurve:
    keep = _shown(found, len(way.moves))
    at = int(np.searchsorted(found.u, found.worst_u))
    distance = way.distance_m(found.u)
    return WayCurve(
        key=question.key,
        name=question.name,
        unit=question.unit,
        display=question.display,
        at_least=question.law.at_least,
        distance_m=tuple(distance[keep].tolist()),
        value=tuple(found.value[keep].tolist()),
        limit=tuple(found.limit[keep].tolist()),
        worst=place_at(way, found.worst_u),
        worst_value=float(found.value[at]),
        worst_limit=float(found.limit[at]),
        beyond_m=tuple(
            (float(way.distance_m(start)), float(way.distance_m(end))) for start, end in found.beyond_u
        ),
    )


def _shown(found: CurveFound, moves: int) -> np.ndarray[tuple[int], np.dtype[np.intp]]:
    """Places that are stored: an even choice, the worst one, the ends of moves, of stretches beyond and of steps."""
    n = len(found.u)
    even = np.linspace(0, n - 1, min(n, _MOST_SHOWN)).round().astype(np.intp)
    fixed = np.concatenate(
        [np.arange(moves + 1.0), [found.worst_u], *(list(pair) for pair in found.beyond_u)]
    )
    exact = np.clip(np.searchsorted(found.u, fixed), 0, n - 1)
    use = np.where(np.isfinite(found.use), found.use, 0.0)
    jumps = np.flatnonzero(np.abs(np.diff(use, prepend=use[0])) > 0.02)
    if len(jumps) > _MOST_SHOWN:
        jumps = jumps[:0]
    near = np.concatenate([exact, jumps, np.maximum(jumps - 1, 0)])
    return np.unique(np.concatenate([even, near]))
