"""A rig at rest along the way of its hooks, and where on it lines and supports begin and cease to carry."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from enum import Enum

from plumbhook.core.errors import InputError
from plumbhook.model.rig_graph import ElementType, NamedPoint, Pose, RigGraph, Vector
from plumbhook.statics._solve import solve
from plumbhook.statics._stability import BARELY_CARRYING
from plumbhook.statics.result import Equilibrium, EquilibriumStatus


@dataclass(frozen=True, slots=True)
class HoistStep:
    """A rig at rest with its hooks at one place of their way.

    Attributes:
        number: 0 for the hooks as drawn, then counting the steps.
        hooks_m: where the hooks are, world axes (m).
        equilibrium: tensions and support forces (N), tilt (rad), poses and verdict there.
        taut: slings that carry, in the order of the rig.
        standing_on: supports that carry, in the order of the rig.
    """

    number: int
    hooks_m: Mapping[str, Vector]
    equilibrium: Equilibrium
    taut: tuple[str, ...]
    standing_on: tuple[str, ...]

    @property
    def status(self) -> EquilibriumStatus:
        """Verdict on the rig at this place."""
        return self.equilibrium.status

    @property
    def is_stable(self) -> bool:
        """True only for a proved, stable rest."""
        return self.equilibrium.is_stable


class Change(Enum):
    """What happens to a line or support on the way."""

    TAKES_LOAD = "takes load"
    LETS_GO = "lets go"


@dataclass(frozen=True, slots=True)
class LoadChange:
    """A line or support that begins or ceases to carry.

    Attributes:
        element: name of the sling or support.
        change: whether it takes load or lets go.
        travel_m: travel of the hook when it does (m), up for a lift-off and down for a landing; never too small,
            and too large by no more than the tolerance asked for.
    """

    element: str
    change: Change
    travel_m: float


@dataclass(slots=True)
class Way:
    """A hook on its vertical way, others beside it, and what is found along it."""

    graph: RigGraph
    hook: str
    sign: float
    ratios: Mapping[str, float]
    length_m: float
    count: int
    tolerance_m: float
    reached_m: float = 0.0
    _found: list[tuple[float, HoistStep]] = field(default_factory=list)
    _changes: list[LoadChange] = field(default_factory=list)

    def __post_init__(self) -> None:
        for name, value in (("way of the hook", self.length_m), ("tolerance_m", self.tolerance_m)):
            if not (math.isfinite(value) and value > 0.0):
                raise InputError.one(f"is {value}; give a finite length above zero (m).", field=name)
        if self.count < 1:
            raise InputError.one(f"is {self.count}; give at least one step.", field="steps")
        rates = {self.hook: (0.0, 0.0, self.sign)}
        rates |= {
            name: (0.0, 0.0, self.sign * ratio) for name, ratio in self.ratios.items() if name != self.hook
        }
        check_displacements(self.graph, rates, "hooks")
        self._travel(rates)

    @property
    def changes(self) -> tuple[LoadChange, ...]:
        """What takes load and lets go, in order."""
        return tuple(self._changes)

    def steps(self) -> tuple[HoistStep, ...]:
        """All places looked at, in the order of the way."""
        return tuple(replace(step, number=number) for number, (_, step) in enumerate(self._found))

    def first_at(self, travel_m: float) -> HoistStep:
        """The rig at the first place looked at that is no nearer to the start than that."""
        return next(step for at, step in self._found if at >= travel_m)

    def _travel(self, rates: Mapping[str, Vector]) -> None:
        before = self._at(rates, 0.0, None)
        self._found.append((0.0, before))
        for number in range(1, self.count + 1):
            if not before.is_stable:
                return
            low, high = (self.length_m * n / self.count for n in (number - 1, number))
            after = self._at(rates, high, before)
            self._narrow(rates, low, before, high, after)
            _, before = self._found[-1]

    def _narrow(
        self, rates: Mapping[str, Vector], low: float, before: HoistStep, high: float, after: HoistStep
    ) -> None:
        """Note the changes between two places, the later place, and all places looked at between them."""
        same = _carrying(before) == _carrying(after)
        if after.is_stable and same:
            self._note(high, after)
            return
        if high - low <= self.tolerance_m:
            if after.is_stable:
                self._changes.extend(_differences(self.graph, before, after, high))
            self._note(high, after)
            return
        middle = 0.5 * (low + high)
        between = self._at(rates, middle, before)
        self._narrow(rates, low, before, middle, between)
        _, reached = self._found[-1]
        if reached.is_stable:
            # From the nearer rest, so that the rig follows its way and is not dropped on it.
            self._narrow(rates, middle, reached, high, self._at(rates, high, reached))

    def _note(self, travel_m: float, step: HoistStep) -> None:
        self._found.append((travel_m, step))
        self.reached_m = travel_m

    def _at(self, rates: Mapping[str, Vector], travel_m: float, before: HoistStep | None) -> HoistStep:
        places = {
            hook.name: moved(hook.position_m, rates.get(hook.name, (0.0, 0.0, 0.0)), travel_m)
            for hook in self.graph.hooks_m
        }
        return rest(self.graph, places, 0, before.equilibrium.poses if before else None)


def rest(
    graph: RigGraph, places: Mapping[str, Vector], number: int, start: Mapping[str, Pose] | None
) -> HoistStep:
    """The rig at rest with its hooks at these places, sought from the given poses or from the drawn ones."""
    placed = replace(graph, hooks_m=tuple(NamedPoint(name, at) for name, at in places.items()))
    result = solve(placed, start=start)
    least = BARELY_CARRYING * graph.gravity_m_s2 * sum(body.mass_kg for body in graph.bodies)
    forces = {**result.tensions_N, **result.support_forces_N}
    taut, standing = (
        tuple(name for name in names_of(graph, kind) if forces.get(name, 0.0) > least)
        for kind in (ElementType.SLING, ElementType.SUPPORT)
    )
    return HoistStep(number, dict(places), result, taut, standing)


def names_of(graph: RigGraph, kind: ElementType) -> tuple[str, ...]:
    """Names of the elements of a type, in the order of the rig."""
    return tuple(element.name for element in graph.elements if element.type is kind)


def _carrying(step: HoistStep) -> tuple[str, ...]:
    return (*step.taut, *step.standing_on)


def _differences(
    graph: RigGraph, before: HoistStep, after: HoistStep, travel_m: float
) -> Iterator[LoadChange]:
    was, now = set(_carrying(before)), set(_carrying(after))
    for element in graph.elements:
        if (element.name in was) != (element.name in now):
            change = Change.TAKES_LOAD if element.name in now else Change.LETS_GO
            yield LoadChange(element.name, change, travel_m)


def moved(at: Vector, by: Vector, factor: float) -> Vector:
    """A place moved by a vector times a factor (m)."""
    return (at[0] + factor * by[0], at[1] + factor * by[1], at[2] + factor * by[2])


def check_displacements(graph: RigGraph, step: Mapping[str, Vector], where: str) -> None:
    """Refuse ways of hooks that the rig does not have, or that are no numbers.

    Raises:
        InputError: with the field given.
    """
    known = [hook.name for hook in graph.hooks_m]
    for hook, by in step.items():
        if hook not in known:
            raise InputError.one(
                f"'{hook}' is no hook of the rig; use one of {', '.join(known)}.", field=where
            )
        if not all(math.isfinite(part) for part in by):
            raise InputError.one(f"the way of '{hook}' is {by}; give finite numbers (m).", field=where)
