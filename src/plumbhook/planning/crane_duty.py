"""The crane of a lift as the crane layer wants it: chart, everything below the boom head, radius under load."""

from __future__ import annotations

from collections.abc import Iterator

from plumbhook.core.check import Check
from plumbhook.core.units import format_quantity
from plumbhook.crane.chart import HookPart, read_chart
from plumbhook.crane.hoist import block_check, line_pull_check
from plumbhook.model.crane_chart import unanswered
from plumbhook.model.equipment import ItemKind
from plumbhook.model.lift import Lift
from plumbhook.model.place import Crane, PlaceStation
from plumbhook.planning.cases import RigProblem
from plumbhook.planning.chart_answer import rigging_of
from plumbhook.planning.crane_records import DutyStation
from plumbhook.planning.loaded_radius import duty_chart, loaded_radius_m

HOIST = "crane.hoist"


def hook_parts(problem: RigProblem, crane: Crane) -> tuple[HookPart, ...]:
    """Everything below the boom head, each with where its mass comes from; the load first, at its greatest."""
    return (
        *load_and_rig(problem),
        HookPart("m_block", "hook block", crane.hook_block_kg, "place.crane.hook_block"),
        HookPart("m_rope", "hoist rope", rope_mass_kg(crane), _rope_origin(crane)),
        *_further(crane),
    )


def load_and_rig(problem: RigProblem) -> tuple[HookPart, ...]:
    """What hangs on the hook itself: load, rig, and load cells where there are any."""
    rig = problem.rig
    cells = [item for item in rig.hook_chain if item.kind is ItemKind.LOAD_CELL]
    on_cells = sum(rig.hook_item_mass_kg(item) for item in cells)
    parts = [
        HookPart(
            "m_load", "load, with its weight factor", problem.design_mass_kg, "load statement", "load_mass"
        ),
        HookPart(
            "m_rig",
            "rig, all items but load cells" if cells else "rig, all items",
            rig.mass_kg - on_cells,
            "list of items",
        ),
    ]
    if cells:
        serials = ", ".join(item.serial for item in cells)
        parts.append(HookPart("m_cell", f"load cell {serials}", on_cells, "list of items"))
    return tuple(parts)


def gear_mass_kg(problem: RigProblem, crane: Crane) -> float:
    """Everything below the boom head but the load, kg."""
    return sum(part.mass_kg for part in hook_parts(problem, crane)[1:])


def rope_mass_kg(crane: Crane) -> float:
    """Mass of the hoist rope that hangs, kg: as stated, or falls times length times mass per metre."""
    rope, falls = crane.rope, None if crane.rigged_as is None else crane.rigged_as.falls
    if crane.hoist_rope_kg is not None:
        return crane.hoist_rope_kg
    if rope is None or rope.line_mass_kg_per_m is None or rope.hanging_length_m is None or falls is None:
        return float("nan")  # refused while the file is read; a lift built otherwise must not pass
    return falls * rope.hanging_length_m * rope.line_mass_kg_per_m


def _rope_origin(crane: Crane) -> str:
    rope, rigged = crane.rope, crane.rigged_as
    if crane.hoist_rope_kg is not None or rope is None or rigged is None:
        return "place.crane.hoist_rope"
    length = format_quantity(rope.hanging_length_m or 0.0, "m")
    each = format_quantity(rope.line_mass_kg_per_m or 0.0, "kg_per_m", "kg/m")
    return f"{rigged.falls} falls of {length} at {each}"


def _further(crane: Crane) -> Iterator[HookPart]:
    if crane.stowed_jib_kg is not None:
        yield HookPart("m_jib", "jib stowed on the boom", crane.stowed_jib_kg, "place.crane.stowed_jib")
    for number, deduction in enumerate(crane.deductions, start=1):
        yield HookPart(f"m_d{number}", deduction.name, deduction.mass_kg, deduction.source)


def duty_station(crane: Crane, station: PlaceStation, gross_load_kg: float) -> DutyStation:
    """What the chart gives at a station; no capacity and an infinite use where it gives nothing."""
    radius = loaded_radius_m(crane, station)
    reading = read_chart(duty_chart(crane), radius)
    if reading.row is None:
        return DutyStation(
            station.name, station.radius_m, radius, float("nan"), 0.0, float("inf"), reading.reason
        )
    use = gross_load_kg / reading.capacity_kg
    return DutyStation(
        station.name, station.radius_m, radius, reading.row.radius_m, reading.capacity_kg, use, ""
    )


def hoist_checks(problem: RigProblem, crane: Crane) -> Iterator[Check]:
    """Rope and block against their ratings, where anything is said of them."""
    rope, falls = crane.rope, None if crane.rigged_as is None else crane.rigged_as.falls
    if rope is not None or falls is not None:
        yield line_pull_check(
            "crane.line_pull",
            HOIST,
            "Hoist rope: pull on the lead line",
            parts=hook_parts(problem, crane),
            falls=falls,
            line_pull_N=None if rope is None else rope.line_pull_N,
            reeving_efficiency=None if rope is None else rope.reeving_efficiency,
            sheave_factor=None if rope is None else rope.sheave_factor,
            lead_sheaves=0 if rope is None else rope.lead_sheaves or 0,
            gravity_m_s2=problem.gravity_m_s2,
        )
    if crane.hook_block_rating_kg is not None:
        yield block_check(
            "crane.hook_block",
            HOIST,
            "Hook block: load and rig against its rated load",
            parts=load_and_rig(problem),
            rating_kg=crane.hook_block_rating_kg,
        )


def holds_for(crane: Crane) -> tuple[tuple[str, str], ...]:
    """What the chart says it holds for, by the words of the trade."""
    return () if crane.chart_for is None else rigging_of(crane.chart_for)


def crane_gaps(lift: Lift) -> Iterator[tuple[str, str]]:
    """What nobody has said of the crane, and who must."""
    if lift.file.place is None:
        return
    crane = lift.file.place.crane
    by = "crane firm"
    if crane.chart_for is None and crane.set_up is None:
        yield (
            "What the chart holds for is given in words alone (place.crane.chart_for, rigged_as): that it is the chart "
            "of the crane as rigged was not compared.",
            by,
        )
    elif crane.chart_for is not None:
        names = unanswered(crane.chart_for, crane.rigged_as)
        if names:
            yield (
                f"The chart holds for one {', '.join(names)}; how the crane is rigged in that is not stated "
                "(place.crane.rigged_as).",
                by,
            )
    if crane.rope is None and (crane.rigged_as is None or crane.rigged_as.falls is None):
        yield "Falls and line pull of the hoist are not given (place.crane.rope): not checked.", by
    if crane.hook_block_rating_kg is None:
        yield (
            "The rated load of the hook block is not given (place.crane.hook_block_rating): not checked.",
            by,
        )
    if crane.radius_growth is None:
        yield (
            "Growth of the radius under load is not stated (place.crane.radius_growth): the chart is entered with the "
            "planned radii, which must be radii under load.",
            by,
        )
