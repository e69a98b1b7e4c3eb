"""Hooks that move: lift-off from supports, landing on them, two hooks at different speeds.

The motion is slow: at every place of the hooks the rig is at rest, and each rest is sought from the one before.
Supports only push and do not rub, so a load slides freely on them as soon as a line pulls it aside. Real supports rub:
there the load stays until it is lifted and then swings by as much; :attr:`LiftOff.swing_m` says how far.

An element *carries* while its force is more than a millionth of the weight of the rig.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from plumbhook.core.errors import InputError
from plumbhook.model.rig_graph import ElementType, RigGraph, Vector
from plumbhook.statics._hook_way import (
    Change,
    HoistStep,
    LoadChange,
    Way,
    check_displacements,
    moved,
    names_of,
    rest,
)

__all__ = [
    "Change",
    "HoistStep",
    "Landing",
    "LiftOff",
    "LoadChange",
    "even_steps",
    "hoist",
    "land",
    "lift_off",
]

_STEPS = 20
_TOLERANCE_M = 1e-5


@dataclass(frozen=True, slots=True)
class LiftOff:
    """How a load comes off its supports while a hook rises.

    Attributes:
        first_load_m: by sling that is loose at the start, rise of the hook at which it first takes load (m), in
            that order.
        let_go_m: by support, rise at which it lets go for the last time (m), in that order.
        changes: everything that takes load or lets go, in order.
        lift_off_m: rise at which the last support lets go (m); NaN if the load is not lifted off.
        offset_m: where the centre of gravity of the load is from the vertical through the hook while the load still
            stands: x and y in world axes (m).
        swing_m: how far the centre of gravity moves in plan from where the load stands to where it hangs as the last
            support lets go (m); what the load swings by if friction has held it until then. NaN if it is not lifted.
        steps: the rig along the way; the last one is not stable where the load falls.
        message: one sentence with the outcome.
    """

    first_load_m: Mapping[str, float]
    let_go_m: Mapping[str, float]
    changes: tuple[LoadChange, ...]
    lift_off_m: float
    offset_m: tuple[float, float]
    swing_m: float
    steps: tuple[HoistStep, ...]
    message: str

    @property
    def is_lifted(self) -> bool:
        """True if every support lets go and the rig is stable all the way."""
        return math.isfinite(self.lift_off_m)


@dataclass(frozen=True, slots=True)
class Landing:
    """How a load comes down on supports while a hook goes down.

    Attributes:
        touch_m: by support that is clear at the start, way down of the hook at which it first takes load (m), in that
            order.
        slack_m: by sling, way down at which it goes slack for the last time (m), in that order.
        changes: everything that takes load or lets go, in order.
        set_down_m: way down at which no line holds the load any more (m); NaN if it is not set down.
        steps: the rig along the way; the last one is not stable where the load falls.
        message: one sentence with the outcome.
    """

    touch_m: Mapping[str, float]
    slack_m: Mapping[str, float]
    changes: tuple[LoadChange, ...]
    set_down_m: float
    steps: tuple[HoistStep, ...]
    message: str

    @property
    def is_set_down(self) -> bool:
        """True if the load stands on its supports alone and the rig is stable all the way."""
        return math.isfinite(self.set_down_m)


def even_steps(displacements_m: Mapping[str, Vector], count: int) -> tuple[Mapping[str, Vector], ...]:
    """A motion of hooks cut into equal steps; hooks with longer ways are faster.

    Args:
        displacements_m: by hook, its whole way in world axes (m).
        count: number of steps, at least one.

    Raises:
        InputError: the count is below one.
    """
    if count < 1:
        raise InputError.one(f"is {count}; give at least one step.", field="count")
    part = {hook: (x / count, y / count, z / count) for hook, (x, y, z) in displacements_m.items()}
    return (part,) * count


def hoist(graph: RigGraph, steps: Iterable[Mapping[str, Vector]]) -> tuple[HoistStep, ...]:
    """Rests of a rig while its hooks move step by step, each sought from the one before.

    Args:
        graph: the rig, its hooks where the motion starts.
        steps: for every step the displacement of each hook that moves, world axes (m), z up. Steps should be small
            enough that no body turns by more than 20 degrees in one.

    Returns:
        The rig as drawn and after every step. It ends with the first one that is not stable: where the rig goes from
        there depends on how it falls.

    Raises:
        InputError: a step names no hook of the rig or holds a number that is not finite.
    """
    wanted = list(steps)
    for number, step in enumerate(wanted):
        check_displacements(graph, step, f"steps[{number}]")
    places = {hook.name: hook.position_m for hook in graph.hooks_m}
    out = [rest(graph, places, 0, None)]
    for number, step in enumerate(wanted, start=1):
        if not out[-1].is_stable:
            break
        places = {hook: moved(at, step.get(hook, (0.0, 0.0, 0.0)), 1.0) for hook, at in places.items()}
        out.append(rest(graph, places, number, out[-1].equilibrium.poses))
    return tuple(out)


def lift_off(
    graph: RigGraph,
    hook: str,
    rise_m: float,
    *,
    ratios: Mapping[str, float] | None = None,
    load: str = "",
    steps: int = _STEPS,
    tolerance_m: float = _TOLERANCE_M,
) -> LiftOff:
    """Raise a hook until a load hangs clear of its supports; find when each line takes load and each support lets go.

    Args:
        graph: the rig with the load standing, the hook low enough for the lines to be loose, or not yet lifting.
        hook: the hook that rises.
        rise_m: how far it rises at most (m).
        ratios: for further hooks that move, their rise per metre of this one; hooks left out stay.
        load: the body whose swing is looked for; the heaviest where it is left out.
        steps: number of places looked at before the changes between them are narrowed down. A line that takes load
            and lets go again between two places goes unseen.
        tolerance_m: to what travel of the hook each change is narrowed down (m).

    Returns:
        The order of events. Not lifted off if supports still carry at the end, if none carries at the start, or if
        the rig is not stable on the way.

    Raises:
        InputError: a name is unknown, or a number is not finite or not above zero.
    """
    body = _load_number(graph, load)
    way = Way(graph, hook, 1.0, ratios or {}, rise_m, steps, tolerance_m)
    start, *_ = seen = way.steps()
    name = graph.bodies[body].name
    supports, slings = names_of(graph, ElementType.SUPPORT), names_of(graph, ElementType.SLING)
    changes = way.changes
    let_go = _last(changes, supports, Change.LETS_GO)
    here = start.hooks_m[hook]
    stands = _cog(graph, start, body)
    ends = seen[-1]
    lifted = ends.is_stable and bool(start.standing_on) and not ends.standing_on
    off = max(let_go.values(), default=math.nan) if lifted else math.nan
    hangs = _cog(graph, way.first_at(off), body) if lifted else (math.nan,) * 3
    message = f"'{name}' is lifted off after a rise of {off:.3f} m."
    if not ends.is_stable:
        message = f"The rig is not stable after a rise of {way.reached_m:.3f} m: {ends.equilibrium.message}"
    elif not start.standing_on:
        message = f"'{name}' does not stand on any support: there is nothing to lift it off."
    elif not lifted:
        still = ", ".join(f"'{name}'" for name in ends.standing_on)
        message = f"After a rise of {rise_m:.3f} m {still} still carry: raise the hook further."
    return LiftOff(
        first_load_m=_first(changes, slings, Change.TAKES_LOAD),
        let_go_m=let_go,
        changes=changes,
        lift_off_m=off,
        offset_m=(stands[0] - here[0], stands[1] - here[1]),
        swing_m=math.hypot(hangs[0] - stands[0], hangs[1] - stands[1]),
        steps=seen,
        message=message,
    )


def land(
    graph: RigGraph,
    hook: str,
    lower_m: float,
    *,
    ratios: Mapping[str, float] | None = None,
    load: str = "",
    steps: int = _STEPS,
    tolerance_m: float = _TOLERANCE_M,
) -> Landing:
    """Lower a hook until a load stands on supports; find when each support takes load and each line goes slack.

    Args:
        graph: the rig with the load hanging above its supports.
        hook: the hook that goes down.
        lower_m: how far it goes down at most (m).
        ratios: for further hooks that move, their way down per metre of this one; hooks left out stay.
        load: the body to set down; the heaviest where it is left out.
        steps: number of places looked at before the changes between them are narrowed down.
        tolerance_m: to what travel of the hook each change is narrowed down (m).

    Returns:
        The order of events. Not set down if a line still holds the load at the end, or if the rig is not stable on
        the way.

    Raises:
        InputError: a name is unknown, or a number is not finite or not above zero.
    """
    body = _load_number(graph, load)
    way = Way(graph, hook, -1.0, ratios or {}, lower_m, steps, tolerance_m)
    seen = way.steps()
    name = graph.bodies[body].name
    supports, slings = names_of(graph, ElementType.SUPPORT), names_of(graph, ElementType.SLING)
    changes = way.changes
    own = {
        e.name
        for e in graph.elements
        if e.type is ElementType.SLING and name in {ref.split(".", 1)[0] for ref in e.end_refs}
    }
    slack = _last(changes, slings, Change.LETS_GO)
    ends = seen[-1]
    down = ends.is_stable and bool(ends.standing_on) and not own.intersection(ends.taut)
    set_down = max((at for line, at in slack.items() if line in own), default=0.0) if down else math.nan
    message = f"'{name}' stands on its supports after {set_down:.3f} m."
    if not ends.is_stable:
        message = f"The rig is not stable after {way.reached_m:.3f} m down: {ends.equilibrium.message}"
    elif not ends.standing_on:
        message = f"After {lower_m:.3f} m down '{name}' has touched no support: lower the hook further."
    elif not down:
        still = ", ".join(f"'{line}'" for line in ends.taut if line in own)
        message = f"After {lower_m:.3f} m down {still} still hold '{name}': lower the hook further."
    return Landing(
        touch_m=_first(changes, supports, Change.TAKES_LOAD),
        slack_m=slack,
        changes=changes,
        set_down_m=set_down,
        steps=seen,
        message=message,
    )


def _first(changes: tuple[LoadChange, ...], among: tuple[str, ...], kind: Change) -> dict[str, float]:
    """Travel of the first change of a kind of each element, in order."""
    out: dict[str, float] = {}
    for change in changes:
        if change.change is kind and change.element in among:
            out.setdefault(change.element, change.travel_m)
    return out


def _last(changes: tuple[LoadChange, ...], among: tuple[str, ...], kind: Change) -> dict[str, float]:
    """Travel of the change of each element that is never taken back, if it is of the kind; in order."""
    final = {change.element: change for change in changes if change.element in among}
    kept = (change for change in changes if final.get(change.element) is change and change.change is kind)
    return {change.element: change.travel_m for change in kept}


def _cog(graph: RigGraph, step: HoistStep, body: int) -> Vector:
    """World position of a body's centre of gravity; NaN where there is no rest."""
    own = graph.bodies[body]
    pose = step.equilibrium.poses.get(own.name)
    return pose.world(own.cog_m) if pose else (math.nan, math.nan, math.nan)


def _load_number(graph: RigGraph, load: str) -> int:
    names = [body.name for body in graph.bodies]
    if load and load not in names:
        raise InputError.one(f"'{load}' is no body of the rig; use one of {', '.join(names)}.", field="load")
    masses = [body.mass_kg for body in graph.bodies]
    if not masses:
        raise InputError.one("holds no body; give at least the load.", field="bodies")
    return names.index(load) if load else masses.index(max(masses))
