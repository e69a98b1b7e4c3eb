"""Checks of the place: crane duty at each station, headroom, hook seat, ground; wind limit and trial-lift reading."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from functools import cached_property

from plumbhook.core.check import Check, Value
from plumbhook.core.units import format_quantity
from plumbhook.crane.chart import CHART, HookPart, gross_load_check, largest_radius_m
from plumbhook.crane.ground import ALLOWABLE_PRESSURE, track_pressure_check
from plumbhook.crane.headroom import headroom_check
from plumbhook.crane.hook_seat import hook_seat_check
from plumbhook.crane.outriggers import OutriggerCrane, outrigger_pressure_check
from plumbhook.crane.wind import WindLimit, wind_limit
from plumbhook.model.lift import Lift
from plumbhook.model.load import mass_tolerance_ratio
from plumbhook.model.place import Crane, PlaceStation, Tracks
from plumbhook.planning.check_ground import ALONE, NEAR, ground_checks, with_attention
from plumbhook.planning.check_way import WayChecks
from plumbhook.planning.clearance import Clearances
from plumbhook.planning.crane_duty import (
    HOIST,
    duty_station,
    hoist_checks,
    holds_for,
    hook_parts,
)
from plumbhook.planning.crane_records import ChartRow, CraneStatement, HeadroomRow, TrialLift
from plumbhook.planning.ground_basis import BearingBasis, bearing_basis, crawler_of, sides_below_m
from plumbhook.planning.ground_statement import GroundStatement, ground_statement
from plumbhook.planning.hook_limit import hook_limit_m
from plumbhook.planning.loaded_radius import duty_chart, loaded_radius_m, loaded_radius_steps
from plumbhook.planning.path import Place
from plumbhook.planning.solutions import Solutions
from plumbhook.planning.trial_lift_channels import hook_cell_reading

HOOK_SEAT = "crane.hook_seat"
MISSING = "place.missing"


class PlaceChecks:
    """Builds the checks of crane, headroom and ground for every station of the path."""

    def __init__(self, lift: Lift, solutions: Solutions) -> None:
        self._lift = lift
        self._solutions = solutions
        self._problem = solutions.problem
        self._place = lift.file.place
        self._rules = lift.file.rules
        self._clearances = Clearances(lift, solutions.problem)

    def places(self) -> list[Place]:
        """Stations of the load path that belong to the place, crane first."""
        if self._place is None:
            return [Place(MISSING, "Crane, headroom, ground", "no place is given")]
        stations = self._stations()
        height = "lowest point of the load to the hook, as it hangs"
        return [
            *(
                Place(_duty(s), f"Crane, {s.name}: gross load at {s.radius_m:g} m", self._use(s))
                for s in stations
            ),
            *(Place(_headroom(s), f"Hook height, {s.name}", height) for s in stations),
            Place(HOIST, "Hoist rope and hook block", "line pull, rated load of the block"),
            Place(HOOK_SEAT, "Crane hook: seat", "link stock of the topmost item"),
            *(Place(_ground(s), f"Ground, {s.name}", self._ground_source()) for s in stations),
            Place(ALONE, "Ground, crane alone", "no load on the hook: the counterweight presses most"),
            *([Place(NEAR, "Ground, what lies near", self._ground_source())] if self._hazards() else ()),
            *self._clearances.places(),
        ]

    def checks(self) -> Iterator[Check]:
        """All checks of the place; without a place one check that says so and is not evaluated."""
        if self._place is None:
            yield _place_unknown()
            return
        if self._place.crane.tracks is not None:
            yield with_attention(self._track_check(self._place.crane.tracks, None), self._basis())
        for station in self._stations():
            yield self._duty_check(station)
            if station.support_level_m is not None:
                yield self._headroom_check(station)
            yield with_attention(self._ground_check(station), self._basis())
        gross = sum(part.mass_kg for part in self._parts())
        yield from ground_checks(self._place, gross, self._problem.gravity_m_s2)
        yield from hoist_checks(self._problem, self._place.crane)
        yield from self._clearances.checks()
        if self._problem.rig.hook_chain and self._place.crane.hook_seat_limit_m is not None:
            top = self._problem.rig.hook_chain[0]
            yield hook_seat_check(
                "hook_seat",
                HOOK_SEAT,
                f"Hook seat against the link stock of {top.serial}",
                item=f"{top.description} ({top.serial})",
                link_stock_m=top.link_stock_m,
                seat_limit_m=self._place.crane.hook_seat_limit_m,
            )

    def crane_statement(self) -> CraneStatement | None:
        """The chart with what this lift makes of each row, deductions and the stack of heights."""
        if self._place is None:
            return None
        crane, limit = self._place.crane, self._rules.crane_use_limit
        chart, parts = duty_chart(crane), self._parts()
        gross = sum(part.mass_kg for part in parts)
        return CraneStatement(
            machine=crane.machine,
            configuration=crane.configuration,
            chart_page=crane.chart_page,
            rows=tuple(_chart_row(radius, capacity, gross, limit) for radius, capacity in crane.chart),
            gross_load_kg=gross,
            deductions=tuple((part.name, part.mass_kg) for part in parts),
            policy_limit_ratio=limit,
            largest_radius_m=largest_radius_m(chart, gross, limit),
            headroom=self._stack(),
            deduction_sources=tuple(part.origin for part in parts),
            stations=tuple(duty_station(crane, station, gross) for station in self._stations()),
            holds_for=holds_for(crane),
            smallest_radius_m=chart.smallest_radius_m,
        )

    def ground_statement(self) -> GroundStatement | None:
        """The ground through the slew, where pads or gauge of the tracks are given."""
        if self._place is None:
            return None
        gross = sum(part.mass_kg for part in self._parts())
        return ground_statement(self._place, gross, self._problem.gravity_m_s2)

    def trial_lift(self) -> TrialLift | None:
        """Reading to expect on the load cell of the hook chain, with its bands; None without a cell."""
        found = hook_cell_reading(self._problem, mass_tolerance_ratio(self._lift.file.load))
        if found is None:
            return None
        cell, reading = found
        return TrialLift(cell.serial, reading.expected_kg, reading.green_kg, reading.red_kg)

    def way(self) -> WayChecks:
        """The way between the stations and what is checked along it."""
        return self._way

    @cached_property
    def _way(self) -> WayChecks:
        return WayChecks(self._lift, self._solutions, self._parts() if self._place is not None else ())

    def wind(self) -> WindLimit | None:
        """The largest wind for this load, where the file gives what is needed."""
        wind = self._place.wind if self._place is not None else None
        if wind is None or wind.chart_limit_m_s is None or wind.area_m2 is None or wind.shape_factor is None:
            return None
        mass = self._problem.expected_mass_kg * (1.0 - mass_tolerance_ratio(self._lift.file.load))
        return wind_limit(
            chart_wind_m_s=wind.chart_limit_m_s,
            load_mass_kg=mass,
            shape_factor=wind.shape_factor,
            area_m2=wind.area_m2,
            area_source=wind.source or "place.wind",
        )

    def _stations(self) -> Sequence[PlaceStation]:
        return self._place.stations if self._place is not None else ()

    def _crane(self) -> Crane:
        if self._place is None:  # pragma: no cover - callers ask only where there is a place
            raise KeyError("place")
        return self._place.crane

    def _parts(self) -> tuple[HookPart, ...]:
        return hook_parts(self._problem, self._crane())

    def _use(self, station: PlaceStation) -> str:
        duty = duty_station(self._crane(), station, sum(part.mass_kg for part in self._parts()))
        if duty.reason:
            return duty.reason
        use = format_quantity(duty.utilisation, "1", "%", rounding="up")
        capacity = format_quantity(duty.capacity_kg, "kg", "t", rounding="down")
        limit = format_quantity(self._rules.crane_use_limit, "1", "%", decimals=0)
        return f"{use} of the chart's {capacity} at {duty.row_radius_m:g} m; policy {limit}"

    def _duty_check(self, station: PlaceStation) -> Check:
        crane = self._crane()
        return gross_load_check(
            f"crane.{station.name}",
            _duty(station),
            f"Crane, {station.name} at {station.radius_m:g} m: gross load against the chart",
            chart=duty_chart(crane),
            radius_m=loaded_radius_m(crane, station),
            parts=self._parts(),
            use_limit_ratio=self._rules.crane_use_limit,
            radius_steps=loaded_radius_steps(crane, station),
        )

    def _headroom_check(self, station: PlaceStation) -> Check:
        height = self._solutions.height_demand()
        return headroom_check(
            f"headroom.{station.name}",
            _headroom(station),
            f"Hook height, {station.name}",
            support_level_m=station.support_level_m or 0.0,
            clearance_m=station.clearance_m or 0.0,
            worst_rig_height_m=height.worst if self._problem.envelope is not None else math.nan,
            worst_case=height.governing.origin,
            nominal_rig_height_m=height.nominal.value,
            hook_height_limit_m=hook_limit_m(self._crane(), station),
        )

    def _ground_check(self, station: PlaceStation) -> Check:
        crane = self._crane()
        check_id, where = f"ground.{station.name}", _ground(station)
        title = f"Ground, {station.name} at {station.radius_m:g} m"
        basis = self._basis()
        if crane.tracks is not None:
            return self._track_check(crane.tracks, station)
        if crane.outriggers is not None:
            return outrigger_pressure_check(
                check_id,
                where,
                f"{title}: pressure below the worst outrigger, bound",
                crane=OutriggerCrane(
                    machine_mass_kg=crane.outriggers.machine_mass_kg,
                    larger_share=crane.outriggers.larger_share,
                    mat_length_m=self._sides()[0],
                    mat_width_m=self._sides()[1],
                ),
                hook_mass_kg=sum(part.mass_kg for part in self._parts()),
                gravity_m_s2=self._problem.gravity_m_s2,
                allowable_Pa=basis.allowable_Pa,
                allowable_source=basis.source,
            )
        return _ground_unknown(check_id, where, f"{title}: pressure", basis.allowable_Pa)

    def _track_check(self, tracks: Tracks, station: PlaceStation | None) -> Check:
        """Pressure under the tracks at a station, or of the crane alone, which may be the worse one."""
        ground = self._place.ground if self._place is not None else None
        basis = self._basis()
        if station is None:
            check_id, where, title = "ground.alone", ALONE, "Ground, crane alone, no load on the hook"
        else:
            check_id, where = f"ground.{station.name}", _ground(station)
            title = f"Ground, {station.name} at {station.radius_m:g} m"
        return track_pressure_check(
            check_id,
            where,
            f"{title}: pressure under the tracks",
            crawler=crawler_of(tracks),
            hook_mass_kg=0.0 if station is None else sum(part.mass_kg for part in self._parts()),
            radius_m=loaded_radius_m(self._crane(), self._stations()[0] if station is None else station),
            gravity_m_s2=self._problem.gravity_m_s2,
            mat_width_m=None if ground is None else ground.mat_width_m,
            allowable_Pa=basis.allowable_Pa,
            allowable_source=basis.source,
        )

    def _basis(self) -> BearingBasis:
        """What the ground may carry and who says so."""
        return bearing_basis(self._place.ground if self._place is not None else None, self._sides())

    def _sides(self) -> tuple[float, float]:
        """Sides of the area that carries below one pad or track, as far as the mat's own strength lets it."""
        ground = self._place.ground if self._place is not None else None
        gross = sum(part.mass_kg for part in self._parts())
        return sides_below_m(self._crane(), ground, gross, self._problem.gravity_m_s2)

    def _ground_source(self) -> str:
        return self._basis().source or "no source of the allowable pressure"

    def _hazards(self) -> bool:
        ground = self._place.ground if self._place is not None else None
        return ground is not None and bool(ground.hazards)

    def _stack(self) -> tuple[HeadroomRow, ...]:
        station = next((s for s in self._stations() if s.support_level_m is not None), None)
        nominal = self._solutions.height_demand().nominal.value
        drawn = self._problem.layout.nodes_m
        rows = []
        if station is not None:
            rows.append(HeadroomRow(f"support, {station.name}", station.support_level_m or 0.0))
            rows.append(HeadroomRow("clearance", station.clearance_m or 0.0))
        if self._problem.envelope is not None and not self._problem.rig.is_free:
            points = [at[2] for at in self._problem.lift_points_m.values()]
            bottom = self._problem.envelope.low_m[2]
            rows.append(HeadroomRow("load, lowest point to lift points", min(points) - bottom))
            rows.append(
                HeadroomRow(
                    "rig, lift points to top of the top slings, as drawn", drawn["hook"][2] - min(points)
                )
            )
            rows.append(HeadroomRow("hook items", self._problem.rig.hook_chain_length_m))
            listed = sum(row.height_m for row in rows[-3:])
            rows.append(HeadroomRow("stretch and tilt", nominal - listed))
        return tuple(rows)


def _chart_row(radius_m: float, capacity_kg: float | None, gross_kg: float, limit_ratio: float) -> ChartRow:
    """A row of the chart with what this lift makes of it; a hole carries nothing."""
    if capacity_kg is None:
        return ChartRow(radius_m, math.nan, math.inf, within_policy=False)
    return ChartRow(radius_m, capacity_kg, gross_kg / capacity_kg, gross_kg <= limit_ratio * capacity_kg)


def _place_unknown() -> Check:
    """No crane, no ground: nothing about them can be said, and that is never a pass."""
    return Check(
        check_id="place",
        station=MISSING,
        title="Crane duty, headroom and ground",
        demand=Value("m_gross", math.nan, "kg", "gross load on the crane", "missing", "t"),
        capacity=Value("m_all", math.nan, "kg", "allowed gross load", "missing", "t"),
        clause=CHART,
        not_evaluated_because="no place is given",
        cure="enter place with the crane, its chart, the stations and the ground",
    )


def _ground_unknown(check_id: str, station: str, title: str, allowable_Pa: float | None) -> Check:
    """Neither tracks nor outriggers: the ground cannot be checked, and that is never a pass."""
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=Value("p", math.nan, "Pa", "pressure on the ground", "missing", "kPa"),
        capacity=Value(
            "p_all",
            math.nan if allowable_Pa is None else allowable_Pa,
            "Pa",
            "allowable ground pressure",
            "ground",
            "kPa",
        ),
        clause=ALLOWABLE_PRESSURE,
        not_evaluated_because="neither tracks nor outriggers of the crane are given",
        cure="enter place.crane.tracks or place.crane.outriggers",
    )


def _duty(station: PlaceStation) -> str:
    return f"crane.{station.name}"


def _headroom(station: PlaceStation) -> str:
    return f"headroom.{station.name}"


def _ground(station: PlaceStation) -> str:
    return f"ground.{station.name}"
