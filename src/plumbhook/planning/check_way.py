"""Checks along the way between the stations: crane, hook height and ground at the worst place of each."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from functools import cached_property

from plumbhook.core.check import Check, Value
from plumbhook.crane.chart import CHART, HookPart, gross_load_check
from plumbhook.crane.clearance.check import clearance_check
from plumbhook.crane.ground import track_pressure_check
from plumbhook.crane.headroom import headroom_check
from plumbhook.crane.pad_checks import pad_pressure_check
from plumbhook.crane.radius_growth import radius_steps, radius_under_load_m
from plumbhook.crane.track_checks import track_slew_check
from plumbhook.crane.way import Way
from plumbhook.model.lift import Lift
from plumbhook.model.place import Place as PlaceSection
from plumbhook.planning.check_ground import with_attention
from plumbhook.planning.clearance import STATION as CLEARANCE_STATION
from plumbhook.planning.clearance import Clearances
from plumbhook.planning.ground_basis import bearing_basis, crawler_of, pads_of, sides_below_m
from plumbhook.planning.loaded_radius import duty_chart, radius_growth
from plumbhook.planning.path import Place
from plumbhook.planning.solutions import Solutions
from plumbhook.planning.way import (
    CRANE,
    GROUND,
    HOOK,
    CurveQuestion,
    crane_curve,
    ground_curve,
    hook_curve,
    in_sector,
    sector_of,
    state_way,
    way_of,
    why_no_way,
)
from plumbhook.planning.way_records import WayCurve, WayStatement

STATION = "way"
_A_HAIR = 1e-9
_NAMES = {
    CRANE: "Along the way: crane",
    HOOK: "Along the way: hook height",
    GROUND: "Along the way: ground",
}


class WayChecks:
    """Follows the load from station to station and checks the worst place of every curve."""

    def __init__(self, lift: Lift, solutions: Solutions, parts: tuple[HookPart, ...]) -> None:
        self._lift = lift
        self._solutions = solutions
        self._place = lift.file.place
        self._parts = parts
        self._clearances = Clearances(lift, solutions.problem)

    def places(self) -> list[Place]:
        """Stations of the load path for the curves, the worst place of each in words."""
        if self._place is None or len(self._place.stations) < 2:
            return []
        if self.statement is None:
            return [Place(STATION, "Along the way", self._why() or "nothing moves between the stations")]
        return [
            Place(_station(curve.key), _name(curve), f"worst while {curve.worst.words}")
            for curve in self.statement.curves
        ]

    def checks(self) -> Iterator[Check]:
        """One check for each curve; one that is not evaluated where the way cannot be told."""
        if self._place is None:
            return
        if self._why():
            yield _not_told(self._why())
        elif self.statement is not None:
            for curve in self.statement.curves:
                yield self._check(self._place, curve)

    @cached_property
    def statement(self) -> WayStatement | None:
        """The way with its curves; None where there is none or it cannot be told."""
        place, way = self._place, self._way
        if place is None or way is None:
            return None
        return state_way(way, tuple(self._questions(place)))

    @cached_property
    def _way(self) -> Way | None:
        if self._place is None:
            return None
        return way_of(self._place, self._solutions.height_demand().nominal.value)

    def _why(self) -> str:
        return why_no_way(self._place.stations) if self._place is not None else ""

    def _questions(self, place: PlaceSection) -> Iterator[CurveQuestion]:
        gross = math.fsum(part.mass_kg for part in self._parts)
        yield crane_curve(place.crane, gross, self._lift.file.rules.crane_use_limit)
        yield hook_curve(place.crane, place.stations, self._worst_height_m())
        ground = ground_curve(place, gross, self._solutions.problem.gravity_m_s2)
        if ground is not None:
            yield ground
        yield from self._clearance_questions()

    def _clearance_questions(self) -> Iterator[CurveQuestion]:
        for kept in self._clearances.kept:
            yield self._clearances.question(kept)

    def _worst_height_m(self) -> float:
        known = self._solutions.problem.envelope is not None
        return self._solutions.height_demand().worst if known else math.nan

    def _check(self, place: PlaceSection, curve: WayCurve) -> Check:
        where, title = _station(curve.key), _name(curve)
        builders = {CRANE: self._crane_check, HOOK: self._hook_check, GROUND: self._ground_check}
        found = builders.get(curve.key, self._clearance_check)(place, curve, where, title)
        worst = f"Worst place: {curve.worst.words}."
        return replace(found, assumptions=(worst, *found.assumptions, *_stretches(curve)))

    def _crane_check(self, place: PlaceSection, curve: WayCurve, where: str, title: str) -> Check:
        growth = radius_growth(place.crane)
        return gross_load_check(
            where,
            where,
            f"{title}, worst at {curve.worst.radius_m:.2f} m: gross load against the chart",
            chart=duty_chart(place.crane),
            radius_m=radius_under_load_m(curve.worst.radius_m, growth),
            parts=self._parts,
            use_limit_ratio=self._lift.file.rules.crane_use_limit,
            radius_steps=() if growth is None else radius_steps(curve.worst.radius_m, growth),
        )

    def _hook_check(self, _place: PlaceSection, curve: WayCurve, where: str, title: str) -> Check:
        height = self._solutions.height_demand()
        level, limit = curve.worst.z_m, curve.worst_limit
        check = headroom_check(
            where,
            where,
            f"{title}, worst at {curve.worst.radius_m:.2f} m",
            support_level_m=level,
            clearance_m=0.0,
            worst_rig_height_m=self._worst_height_m() if math.isfinite(level) else math.nan,
            worst_case=height.governing.origin,
            nominal_rig_height_m=height.nominal.value,
            hook_height_limit_m=limit if math.isfinite(limit) else None,
        )
        if math.isfinite(level):
            return check
        return replace(
            check,
            not_evaluated_because="how high the load is carried is not stated at every station",
            cure="enter load_bottom, hook_height or support_level at every station",
        )

    def _clearance_check(self, _place: PlaceSection, curve: WayCurve, where: str, title: str) -> Check:
        kept = next(each for each in self._clearances.kept if curve.key == f"{CLEARANCE_STATION}.{each.key}")
        missing = kept.missing
        if not missing and math.isnan(curve.worst_value):
            missing = (
                "load_bearing, slew and height of the load at every station, and a boom that reaches them"
            )
        return clearance_check(
            where,
            where,
            f"{title}, worst at {curve.worst.radius_m:.2f} m",
            distance_m=curve.worst_value,
            required_m=kept.required_m,
            between=f"boom, rig or load and {kept.name}",
            source=kept.source,
            missing=missing,
            clause=kept.clause,
        )

    def _ground_check(self, place: PlaceSection, curve: WayCurve, where: str, title: str) -> Check:
        """The check of the worst place by itself: the boom stands there, and nowhere else in the slew."""
        ground, tracks, worst = place.ground, place.crane.tracks, curve.worst
        gross, gravity = math.fsum(part.mass_kg for part in self._parts), self._solutions.problem.gravity_m_s2
        basis = bearing_basis(ground, sides_below_m(place.crane, ground, gross, gravity))
        bearing = (worst.slew_rad - place.crane.heading_rad) % (2.0 * math.pi)
        mats = None if ground is None else ground.mat_width_m
        title = f"{title}, worst at {worst.radius_m:.2f} m"
        radius_m = radius_under_load_m(worst.radius_m, radius_growth(place.crane))
        pads = None
        if place.crane.outriggers is not None:
            pads = pads_of(place.crane.outriggers, ground.mat if ground else None)
        if tracks is not None and tracks.gauge_m is not None:
            check = track_slew_check(
                where,
                where,
                f"{title}: pressure under the tracks",
                crawler=crawler_of(tracks),
                gauge_m=tracks.gauge_m,
                sector_rad=(bearing, bearing + _A_HAIR),
                hook_mass_kg=gross,
                radius_m=radius_m,
                gravity_m_s2=gravity,
                mat_width_m=mats,
                allowable_Pa=basis.allowable_Pa,
                allowable_source=basis.source,
            )
        elif tracks is None and pads is not None:
            check = pad_pressure_check(
                where,
                where,
                f"{title}: pressure below the worst pad",
                pads=replace(pads, sector_rad=(bearing, bearing + _A_HAIR)),
                hook_mass_kg=gross,
                radius_m=radius_m,
                gravity_m_s2=gravity,
                allowable_Pa=basis.allowable_Pa,
                allowable_source=basis.source,
            )
        elif tracks is not None:
            return track_pressure_check(
                where,
                where,
                f"{title}: pressure under the tracks",
                crawler=crawler_of(tracks),
                hook_mass_kg=gross,
                radius_m=radius_m,
                gravity_m_s2=gravity,
                mat_width_m=mats,
                allowable_Pa=basis.allowable_Pa,
                allowable_source=basis.source,
            )
        else:  # pragma: no cover - there is a curve of the ground only with tracks or pads
            raise KeyError("ground")
        check = with_attention(replace(check, assumptions=check.assumptions[1:]), basis)
        if in_sector(bearing, sector_of(place)):
            return check
        return replace(
            check,
            refused_because=f"the boom slews to {math.degrees(bearing):.1f} deg from the front, outside the "
            "slew_sector that the ground is checked for",
            cure="keep the way within slew_sector, or have the ground checked for a wider one",
        )


def _stretches(curve: WayCurve) -> Iterator[str]:
    for start, end in curve.beyond_m:
        yield f"Beyond the limit, or not known, from {start:.2f} m to {end:.2f} m of the hook's way."


def _name(curve: WayCurve) -> str:
    return _NAMES.get(curve.key, f"Along the way: {curve.name}")


def _station(key: str) -> str:
    return f"{STATION}.{key}"


def _not_told(why: str) -> Check:
    """Stations without the way between them: nothing can be said of it, and that is never a pass."""
    return Check(
        check_id=STATION,
        station=STATION,
        title="Along the way between the stations",
        demand=Value("m_gross", math.nan, "kg", "gross load on the crane", "missing", "t"),
        capacity=Value("m_all", math.nan, "kg", "allowed gross load", "missing", "t"),
        clause=CHART,
        not_evaluated_because=why,
        cure="enter slew, the bearing of the boom, at every station",
    )
