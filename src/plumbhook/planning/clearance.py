"""Clearances of a lift: its boom, rig and load as solids, at the stations and along the way."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache, partial

import numpy as np

from plumbhook.core.check import Check, Clause
from plumbhook.crane.clearance.check import (
    CLEARANCE,
    POWER_LINES,
    clearance_check,
    power_line_clearance_m,
)
from plumbhook.crane.clearance.scene import (
    LoadBox,
    Pair,
    Part,
    Prism,
    Rod,
    Scene,
    Stance,
    clearances_m,
    convex,
)
from plumbhook.crane.way import CurveFound, CurveLaw, FloatArray, Poses, Way, follow
from plumbhook.model.lift import Lift
from plumbhook.model.place import Place as PlaceSection
from plumbhook.model.place import PlaceStation
from plumbhook.model.rules import Rules
from plumbhook.model.surroundings import Obstacle, PowerLineRoute
from plumbhook.planning.cases import RigProblem
from plumbhook.planning.hook_limit import boom_of
from plumbhook.planning.path import Place
from plumbhook.planning.way import CurveQuestion, load_bottom_m

STATION = "clearance"
OWN = "boom"
# A sling whose thickness nobody states is taken as thick as a large one, common practice.
_SLING_RADIUS_M = 0.05
_THIN_M = 0.005
_REMEMBERED = 64
_SKY_M = 1000.0
_OWN_SOURCE = "load and rig from the boom, as stated for the crane"


@dataclass(frozen=True, slots=True)
class Kept:
    """What is kept clear of what: key and name of the other body, distance kept, who asks for it, and the rule."""

    key: str
    name: str
    required_m: float
    source: str
    clause: Clause
    missing: str = ""


class Clearances:
    """The clearances of a lift; none where neither boom nor surroundings are given."""

    def __init__(self, lift: Lift, problem: RigProblem) -> None:
        self._problem = problem
        self._rules = lift.file.rules
        self._place = lift.file.place

    @cached_property
    def kept(self) -> tuple[Kept, ...]:
        """Every body that something is kept clear of: the own boom, obstacles, power lines."""
        place = self._place
        if place is None:
            return ()
        boom = place.crane.boom
        found = (
            *(() if boom is None else (Kept(OWN, "the boom", boom.clearance_m, _OWN_SOURCE, CLEARANCE),)),
            *(_kept_obstacle(number, each) for number, each in enumerate(place.obstacles)),
            *(_kept_line(number, each) for number, each in enumerate(place.power_lines)),
        )
        return tuple(self._with_missing(place, each) for each in found)

    def _with_missing(self, place: PlaceSection, kept: Kept) -> Kept:
        """What is not told of the solids themselves, so that nothing can be said of their distances."""
        boom = place.crane.boom
        gone = [kept.missing] if kept.missing else []
        if boom is None:
            gone.append("place.crane.boom")
        elif boom.tail_radius_m is None and kept.key != OWN:
            gone.append("tail_radius of the boom")
        if self._problem.envelope is None:
            gone.append("load.envelope")
        if self._problem.rig.is_free:
            gone.append("clearances of a free rig, whose bodies have no shape here, from a drawing")
        return replace(kept, missing=", ".join(gone))

    @cached_property
    def scene(self) -> Scene | None:
        """The solids; None without a place.

        Raises:
            InputError: an outline is not convex.
        """
        place = self._place
        return None if place is None else _scene(place, self._problem, self._rules)

    def places(self) -> list[Place]:
        """Stations of the load path, one for each body that is kept clear of."""
        return [
            Place(f"{STATION}.{each.key}", f"Clearance of {each.name}", each.source) for each in self.kept
        ]

    def question(self, kept: Kept) -> CurveQuestion:
        """Distance of whatever is nearest to a body along the way."""
        scene, required = self._only(kept), math.nan if kept.missing else kept.required_m
        return CurveQuestion(
            f"{STATION}.{kept.key}",
            f"distance of {kept.name}",
            "m",
            "m",
            _law(scene, kept.name, required),
            partial(_followed, scene, kept.name, required),
        )

    def checks(self) -> Iterator[Check]:
        """One check for each body at each station that tells its slew."""
        place = self._place
        if place is None:
            return
        for each in self.kept:
            for station in place.stations:
                yield self._check(place, each, station)

    def _check(self, place: PlaceSection, kept: Kept, station: PlaceStation) -> Check:
        missing = kept.missing or _missing(station)
        distance, pair = math.nan, Pair(Part.LOAD, "load", kept.name)
        if not missing:
            pair, distance = _nearest_at(self._only(kept), kept.name, self._at(place, station))
            if math.isnan(distance):
                missing = _untold(place, station)
        return clearance_check(
            f"{STATION}.{kept.key}.{station.name}",
            f"{STATION}.{kept.key}",
            f"{station.name}: {pair.name} and {pair.other}",
            distance_m=distance,
            required_m=kept.required_m,
            between=f"{pair.name} and {pair.other}",
            source=kept.source,
            missing=missing,
            clause=kept.clause,
        )

    def _only(self, kept: Kept) -> Scene:
        """The solids that matter to one body."""
        assert self.scene is not None
        mine = () if kept.key == OWN else tuple(p for p in self.scene.prisms if p.name == kept.name)
        return replace(self.scene, prisms=mine)

    def _at(self, place: PlaceSection, station: PlaceStation) -> tuple[float, ...]:
        """Crane and load at a station, in the order of a stance."""
        assert self.scene is not None
        x, y = station.crane_position_m or place.crane.position_m
        return (
            x,
            y,
            station.slew_rad if station.slew_rad is not None else math.nan,
            station.radius_m,
            load_bottom_m(station, self.scene.hook_over_bottom_m),
            station.load_bearing_rad if station.load_bearing_rad is not None else math.nan,
        )


def _pairs(scene: Scene, name: str, stance: Stance) -> Mapping[Pair, FloatArray]:
    """Distances from the body of that name; from the boom those of load and rig."""
    found = clearances_m(scene, stance)
    if not scene.prisms:
        return found
    return {pair: distance for pair, distance in found.items() if pair.other == name}


@lru_cache(maxsize=_REMEMBERED)
def _nearest_at(scene: Scene, name: str, at: tuple[float, ...]) -> tuple[Pair, float]:
    """What is nearest at one place; a distance that is not told is nearer than any."""
    found = _pairs(scene, name, Stance(*(np.array([value]) for value in at)))
    pair = min(found, key=lambda one: -1.0 if math.isnan(found[one][0]) else float(found[one][0]))
    return pair, float(found[pair][0])


@lru_cache(maxsize=_REMEMBERED)
def _followed(scene: Scene, name: str, required_m: float, way: Way) -> CurveFound:
    return follow(way, _law(scene, name, required_m), way.sample())


def _law(scene: Scene, name: str, required_m: float) -> CurveLaw:
    def nearest(poses: Poses) -> FloatArray:
        found = np.min(np.stack(list(_pairs(scene, name, _stance(poses)).values())), axis=0)
        return np.asarray(found.reshape(poses.u.shape))

    return CurveLaw(nearest, lambda poses: np.full_like(poses.u, required_m), at_least=True)


def _stance(poses: Poses) -> Stance:
    return Stance(
        *(
            np.ravel(array)
            for array in (
                poses.crane_x_m,
                poses.crane_y_m,
                poses.slew_rad,
                poses.radius_m,
                poses.load_bottom_m,
                poses.load_bearing_rad,
            )
        )
    )


def _missing(station: PlaceStation) -> str:
    gone = [
        name
        for name, value in (("slew", station.slew_rad), ("load_bearing", station.load_bearing_rad))
        if value is None
    ]
    return f"{', '.join(gone)} at {station.name}" if gone else ""


def _untold(place: PlaceSection, station: PlaceStation) -> str:
    boom = place.crane.boom
    if boom is not None and station.radius_m - boom.pivot_ahead_m > boom.length_m:
        return f"a boom long enough for {station.name}"
    return f"how high the load is at {station.name} (load_bottom, hook_height or support_level)"


def _kept_obstacle(number: int, obstacle: Obstacle) -> Kept:
    return Kept(f"obstacle.{number + 1}", obstacle.name, obstacle.clearance_m, obstacle.source, CLEARANCE)


def _kept_line(number: int, line: PowerLineRoute) -> Kept:
    by_rule = math.nan if line.voltage_kV is None else power_line_clearance_m(line.voltage_kV)
    stated = math.nan if line.clearance_m is None else line.clearance_m
    missing = ""
    if line.voltage_kV is None:
        missing = f"voltage of {line.name}, from its owner"
    elif math.isnan(by_rule) and math.isnan(stated):
        missing = f"distance from {line.name} that its owner demands: its voltage is beyond the table"
    required = float(np.fmax(by_rule, stated))
    source = line.source if stated >= required else f"by its voltage; {line.source}"
    return Kept(f"power_line.{number + 1}", line.name, required, source, POWER_LINES, missing)


def _scene(place: PlaceSection, problem: RigProblem, rules: Rules) -> Scene:
    nodes = problem.layout.nodes_m
    hook = next(iter(problem.layout.hooks))
    top = nodes[hook]
    chain = problem.rig.hook_chain_length_m

    def below(node: str) -> tuple[float, float, float]:
        x, y, z = nodes[node]
        return (x - top[0], y - top[1], z - top[2] - chain)

    rods = [
        Rod(name, Part.STRUT, below(ends[0]), below(ends[1]), 0.5 * strut.family.outside_diameter_m)
        for name, strut in problem.rig.struts.items()
        for ends in (strut.corners or (f"{name}.a", f"{name}.b"),)
    ]
    rods += [
        Rod(name, Part.SLING, below(line.upper), below(line.lower), _SLING_RADIUS_M)
        for name, line in problem.rig.lines.items()
    ]
    rods.append(Rod("items below the hook", Part.HOOK, (0.0, 0.0, 0.0), (0.0, 0.0, -chain), _SLING_RADIUS_M))
    height = top[2] + chain - _lowest_m(problem)
    reach = 0.0
    load = None
    if problem.envelope is not None:
        low, high = problem.envelope.low_m, problem.envelope.high_m
        a, b, h = (0.5 * (upper - lower) for lower, upper in zip(low, high, strict=True))
        reach = max(math.hypot(x - top[0], y - top[1]) for x in (low[0], high[0]) for y in (low[1], high[1]))
        load = LoadBox((0.5 * (low[0] + high[0]) - top[0], 0.5 * (low[1] + high[1]) - top[1]), (a, b, h))
    return Scene(
        boom=boom_of(place.crane),
        rods=tuple(rods),
        load=load,
        hook_over_bottom_m=height,
        prisms=(*_obstacles(place), *_conductors(place)),
        # A load that tilts about its hook as far as the rules let it moves its corners by no more than this.
        spread_m=rules.tilt_limit_rad * math.hypot(height, reach),
    )


def _lowest_m(problem: RigProblem) -> float:
    if problem.envelope is not None:
        return problem.envelope.low_m[2]
    return min(at[2] for at in problem.lift_points_m.values())


def _obstacles(place: PlaceSection) -> Iterator[Prism]:
    for number, each in enumerate(place.obstacles):
        yield Prism(
            each.name,
            convex(each.corners_m(), f"place.obstacles[{number + 1}].outline"),
            each.bottom_m,
            each.top_m,
            each.clearance_m,
            each.source,
            each.carries_load,
        )


def _conductors(place: PlaceSection) -> Iterator[Prism]:
    """A power line as a wall from its lowest conductor up: what hangs above that is not told, and nothing goes over."""
    for line in place.power_lines:
        for (x, y), (u, v) in itertools.pairwise(line.points_m):
            length = math.hypot(u - x, v - y)
            aside = (_THIN_M * (v - y) / length, _THIN_M * (x - u) / length)
            outline = (
                (x - aside[0], y - aside[1]),
                (x + aside[0], y + aside[1]),
                (u + aside[0], v + aside[1]),
                (u - aside[0], v - aside[1]),
            )
            yield Prism(
                line.name, convex(outline, "place.power_lines"), line.lowest_m, _SKY_M, math.nan, line.source
            )
