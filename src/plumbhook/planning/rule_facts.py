"""What the conditions and contents of rule packs are decided by: facts of the lift, conditions, answers."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from plumbhook.core.units import format_quantity
from plumbhook.model.lift import Lift
from plumbhook.model.rule_pack import Trigger
from plumbhook.planning.crane_records import CraneStatement


@dataclass(frozen=True, slots=True)
class LiftFacts:
    """What the conditions of the packs are decided by.

    Attributes:
        lift: the lift.
        crane_use: share of the chart at each station, by station; empty without a crane.
        far_use: the same for stations beyond half the largest radius of the chart.
        hook_mass_kg: everything below the boom head, kg; NaN without a crane.
    """

    lift: Lift
    crane_use: Mapping[str, float]
    far_use: Mapping[str, float]
    hook_mass_kg: float


def facts_of(lift: Lift, crane: CraneStatement | None) -> LiftFacts:
    """Facts of a lift from its file and its crane duty."""
    place = lift.file.place
    if place is None or crane is None:
        return LiftFacts(lift, MappingProxyType({}), MappingProxyType({}), math.nan)
    use = {station.name: station.utilisation for station in crane.stations}
    half = crane.rows[-1].radius_m / 2.0
    far = {station.name: station.utilisation for station in crane.stations if station.radius_m > half}
    return LiftFacts(lift, MappingProxyType(use), MappingProxyType(far), crane.gross_load_kg)


# Conditions of triggers: True, False, or None where the file does not say.


def _stated(name: str) -> Callable[[LiftFacts, float | None], bool | None]:
    def decide(facts: LiftFacts, _value: float | None) -> bool | None:
        stated: bool | None = getattr(facts.lift.file.circumstances, name)
        return stated

    return decide


def _cranes_above(count: int) -> Callable[[LiftFacts, float | None], bool | None]:
    def decide(facts: LiftFacts, _value: float | None) -> bool | None:
        cranes = facts.lift.file.circumstances.cranes
        return None if cranes is None else cranes > count

    return decide


def _use_above(uses: Mapping[str, float], value: float | None) -> bool | None:
    if value is None:
        raise ValueError("this condition needs a value")
    return max(uses.values()) > value if uses else None


def _crane_use(facts: LiftFacts, value: float | None) -> bool | None:
    return _use_above(facts.crane_use, value)


def _far_use(facts: LiftFacts, value: float | None) -> bool | None:
    if not facts.crane_use:
        return None
    return _use_above(facts.far_use, value) if facts.far_use else False


def _both(first: bool | None, second: bool | None) -> bool | None:
    if first is False or second is False:
        return False
    return None if first is None or second is None else True


def _several_and_use(facts: LiftFacts, value: float | None) -> bool | None:
    return _both(_cranes_above(1)(facts, None), _crane_use(facts, value))


def _afloat_and_use(facts: LiftFacts, value: float | None) -> bool | None:
    return _both(facts.lift.file.circumstances.floating_base, _crane_use(facts, value))


_FLAGS = {
    "people_lifted": "people are lifted",
    "out_of_sight": "the load leaves the operator's view",
    "cog_changes": "the centre of gravity moves during the lift",
    "leg_lengths_change": "the length of a sling leg is changed during the lift",
    "floating_base": "the crane stands on something afloat",
    "over_live_lines": "the load passes over or between live high-voltage lines",
    "near_power_lines": "crane, rig or load can come near power lines",
    "submerged": "the load is under water",
    "hazards_near": "there are hazards in the area",
    "exceptional_site": "the site is one of exceptional hazard",
    "unusual_rigging": "the rigging is out of the ordinary or difficult",
    "operator_asks": "the crane operator wants it so",
    "precast_panel": "a precast or tilt-up panel is lifted",
    "bridge_beam": "a bridge beam is lifted",
    "irreplaceable_load": "the load cannot be replaced, or only at great cost",
    "weight_or_cog_unsure": "weight or centre of gravity is not readily known",
}
CONDITIONS: Mapping[str, tuple[str, Callable[[LiftFacts, float | None], bool | None]]] = MappingProxyType(
    {
        **{name: (words, _stated(name)) for name, words in _FLAGS.items()},
        "several_cranes": ("more than one crane holds the load", _cranes_above(1)),
        "more_than_two_cranes": ("more than two cranes hold the load", _cranes_above(2)),
        "crane_use_above": ("the crane is used above {value} of its chart", _crane_use),
        "crane_use_beyond_half_radius_above": (
            "the crane is used above {value} of its chart beyond half its largest radius",
            _far_use,
        ),
        "several_cranes_and_use_above": (
            "more than one crane, and one used above {value}",
            _several_and_use,
        ),
        "floating_base_and_use_above": ("the crane is afloat and used above {value}", _afloat_and_use),
    }
)


def condition_words(trigger: Trigger) -> str:
    """A condition as a reader would say it."""
    words, _ = CONDITIONS[trigger.when]
    value = "" if trigger.value is None else format_quantity(trigger.value, "1", "%", decimals=0)
    return words.format(value=value)


def holds(when: str, value: float | None, facts: LiftFacts) -> bool | None:
    """Whether a condition holds; None where the lift file does not say.

    Raises:
        KeyError: there is no condition of that name.
    """
    _, decide = CONDITIONS[when]
    return decide(facts, value)


# What answers a content of the plan: where it stands, or "" where it is missing.


def _named(role: str) -> Callable[[LiftFacts], str]:
    def answer(facts: LiftFacts) -> str:
        return ", ".join(person.name for person in facts.lift.file.people if person.role == role)

    return answer


def _method(name: str) -> Callable[[LiftFacts], str]:
    def answer(facts: LiftFacts) -> str:
        return f"method.{name}" if getattr(facts.lift.file.method, name) else ""

    return answer


def _ground(facts: LiftFacts) -> str:
    place = facts.lift.file.place
    ground = place.ground if place is not None else None
    stated = ground is not None and (ground.allowable_pressure_Pa is not None or ground.soil is not None)
    known = ground is not None and stated and ground.source is not None
    return "ground sheet" if known else ""


def _wind(facts: LiftFacts) -> str:
    place = facts.lift.file.place
    wind = place.wind if place is not None else None
    return "wind limit" if wind is not None and wind.chart_limit_m_s is not None else ""


def _wind_and_signals(facts: LiftFacts) -> str:
    return "wind limit, method.communication" if _wind(facts) and _method("communication")(facts) else ""


def _rated_points(facts: LiftFacts) -> str:
    points = facts.lift.file.load.lift_points.values()
    return "lift point table" if all(point.rated_load_kg is not None for point in points) else ""


def _stations(facts: LiftFacts) -> str:
    return "crane duty by station" if facts.crane_use else ""


def _path(facts: LiftFacts) -> str:
    place = facts.lift.file.place
    return "stations of the path" if place is not None and len(place.stations) > 1 else ""


def _roles(facts: LiftFacts) -> str:
    return "people" if facts.lift.file.people else ""


def _several(facts: LiftFacts) -> str:
    return "method.briefing, people" if _method("briefing")(facts) and _roles(facts) else ""


ANSWERS: Mapping[str, Callable[[LiftFacts], str]] = MappingProxyType(
    {
        "planner": lambda facts: facts.lift.file.lift.planned_by,
        "supervisor": _named("lifting supervisor"),
        "checker": _named("checking engineer"),
        "load_data": lambda facts: facts.lift.file.load.weight.source,
        "moving_parts": lambda facts: facts.lift.file.load.can_move or "",
        "lift_points": _rated_points,
        "release": _method("release"),
        "crane": _stations,
        "stations": _stations,
        "drawing": lambda _facts: "this plan",
        "wind_and_signals": _wind_and_signals,
        "ground": _ground,
        "power_lines": lambda facts: (
            "" if facts.lift.file.circumstances.near_power_lines is None else "circumstances"
        ),
        "wind": _wind,
        "path": _path,
        "roles": _roles,
        "communication": _method("communication"),
        "exclusion_zone": _method("exclusion_zone"),
        "contingencies": _method("contingencies"),
        "emergency": _method("emergency"),
        "sequence": _method("sequence"),
        "several_cranes": _several,
        "briefing": _method("briefing"),
        "item_state": lambda _facts: "register: items in date",
        "trial_lift": lambda _facts: "trial lift card",
    }
)
