"""Checks over samples: the printed steps of a check compiled into one function of the quantities of the rig.

A check is data. Its demand and capacity follow from its steps; where a value carries the key of a quantity that the
study knows for every sample, the sample's number takes its place, and what the hand and rigid answers say of the same
quantity is left out. Nothing is assumed of a check that this does not reach: the builders themselves are run for some
samples, and where they disagree the check counts as not evaluated.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from plumbhook.core.check import Check, Status, Step, Value
from plumbhook.core.expression_arrays import Numbers, evaluate_arrays
from plumbhook.model.lift import Lift
from plumbhook.model.rig_graph import Pose
from plumbhook.planning.assess import lift_checks
from plumbhook.planning.assessment import Basis, Method
from plumbhook.planning.cases import EXPECTED_CASE, RigProblem, solve_case
from plumbhook.planning.solutions import Solutions

Floats = npt.NDArray[np.float64]
Bools = npt.NDArray[np.bool_]

NOT_APPLICABLE, PASS, NOT_EVALUATED, FAIL = 0, 1, 2, 3
CODES: Mapping[Status, int] = {
    Status.NOT_APPLICABLE: NOT_APPLICABLE,
    Status.PASS: PASS,
    Status.NOT_EVALUATED: NOT_EVALUATED,
    Status.FAIL: FAIL,
}
LARGEST_TENSION = "largest_tension:"
SLACK = "least_tension"
NOT_STABLE = "not_stable"
# Quantities of which one bad sample breaks the rule outright, whatever the numbers.
_OUTRIGHT = (SLACK, NOT_STABLE)


@dataclass(frozen=True, slots=True)
class SampleAnswers:
    """What is known of a block of samples.

    Attributes:
        quantities: by key, (N,) SI.
        refused: by key of an outright quantity, (N,) True where the rule is broken.
    """

    quantities: Mapping[str, Floats]
    refused: Mapping[str, Bools]

    def __len__(self) -> int:
        return len(next(iter(self.quantities.values())))

    def get(self, key: str) -> Floats | None:
        """Numbers of a quantity, None where the study does not know it."""
        if key.startswith(LARGEST_TENSION):
            names = key.removeprefix(LARGEST_TENSION).split(",")
            own = [self.quantities.get(f"tension:{name}") for name in names]
            known = [array for array in own if array is not None]
            return np.max(np.stack(known), axis=0) if len(known) == len(own) else None
        return self.quantities.get(key)


@dataclass(frozen=True, slots=True)
class Verdicts:
    """One check over samples: utilisation (N,), and status codes (N,)."""

    utilisation: Floats
    status: npt.NDArray[np.int8]


@dataclass(frozen=True, slots=True)
class CompiledCheck:
    """One working of a check as a function of quantities.

    Attributes:
        check: the check it was compiled from.
        keys: quantities it depends on; empty for a check that does not vary.
    """

    check: Check
    keys: frozenset[str]
    _steps: Mapping[str, Step]

    @classmethod
    def of(cls, check: Check, known: SampleAnswers) -> CompiledCheck:
        """Compile a check for the quantities that some samples know."""
        steps = {step.result.symbol: step for step in check.steps}
        keys: set[str] = set()

        def visit(value: Value) -> None:
            if value.quantity and known.get(value.quantity) is not None:
                keys.add(value.quantity)
            elif value.symbol in steps:
                for given in steps[value.symbol].inputs:
                    visit(given)

        visit(check.demand)
        visit(check.capacity)
        return cls(check, frozenset(keys), steps)

    @property
    def shape(self) -> tuple[object, ...]:
        """What must be equal for two workings to be the same function."""
        return (
            tuple((step.result.symbol, step.formula, step.holds_while) for step in self.check.steps),
            bool(self.check.refused_because),
            bool(self.check.not_evaluated_because),
            bool(self.check.not_applicable_because),
        )

    def over(self, answers: SampleAnswers) -> tuple[Verdicts, Bools]:
        """Verdicts of samples, and where this working holds (N,)."""
        done: dict[str, Numbers] = {}
        holds = np.ones(len(answers), dtype=np.bool_)

        def number(value: Value) -> Numbers:
            own = answers.get(value.quantity) if value.quantity in self.keys else None
            if own is not None:
                return own
            if value.symbol not in self._steps:
                return value.value
            if value.symbol not in done:
                step = self._steps[value.symbol]
                given = {each.symbol: number(each) for each in step.inputs}
                if step.holds_while:
                    room = evaluate_arrays(step.holds_while, given)
                    np.logical_and(holds, np.asarray(room) >= 0.0, out=holds)
                done[value.symbol] = evaluate_arrays(step.formula, given)
            return done[value.symbol]

        shape = (len(answers),)
        demand = np.broadcast_to(np.asarray(number(self.check.demand), dtype=np.float64), shape)
        capacity = np.broadcast_to(np.asarray(number(self.check.capacity), dtype=np.float64), shape)
        return self._verdicts(demand, capacity, answers), holds

    def _verdicts(self, demand: Floats, capacity: Floats, answers: SampleAnswers) -> Verdicts:
        """As :class:`plumbhook.core.check.Check` derives them."""
        check = self.check
        missing = np.isnan(demand) | np.isnan(capacity)
        with np.errstate(divide="ignore", invalid="ignore"):
            use = np.where(capacity > 0.0, demand / capacity, math.inf)
        use = np.where(missing, math.nan, use)
        status = np.where((capacity <= 0.0) | (demand > capacity), FAIL, PASS)
        unknown = ~(np.isfinite(demand) & np.isfinite(capacity)) | (demand < 0.0)
        status = np.where(unknown, NOT_EVALUATED, status)
        outright = [key for key in _OUTRIGHT if key in self.keys]
        if check.not_applicable_because:
            status = np.full_like(status, NOT_APPLICABLE)
        elif outright:
            for key in outright:
                status = np.where(answers.refused[key], FAIL, status)
        elif check.refused_because:
            status = np.full_like(status, FAIL)
        elif check.not_evaluated_because or check.demand.unit != check.capacity.unit:
            status = np.full_like(status, NOT_EVALUATED)
        return Verdicts(use, status.astype(np.int8))


@dataclass(frozen=True, slots=True)
class VaryingCheck:
    """A check with all its workings: one formula may be one branch of several."""

    check_id: str
    station: str
    title: str
    workings: tuple[CompiledCheck, ...]

    @property
    def keys(self) -> frozenset[str]:
        """Quantities it depends on."""
        return frozenset(key for working in self.workings for key in working.keys)

    def over(self, answers: SampleAnswers) -> Verdicts:
        """Verdicts of samples: each by the working that holds for it, NaN and not evaluated where none does."""
        use = np.full(len(answers), math.nan)
        status = np.full(len(answers), NOT_EVALUATED, dtype=np.int8)
        open_ = np.ones(len(answers), dtype=np.bool_)
        for working in self.workings:
            found, holds = working.over(answers)
            mine = open_ & holds
            use = np.where(mine, found.utilisation, use)
            status = np.where(mine, found.status, status).astype(np.int8)
            open_ &= ~holds
            if not open_.any():
                break
        return Verdicts(use, status)


def checks_of_sample(
    lift: Lift, problem: RigProblem, *, mass_kg: float, cog_m: Sequence[float], lengths_m: Sequence[float],
    stiffness_factors: Sequence[float], start: Mapping[str, Pose] | None = None,
) -> tuple[Check, ...]:  # fmt: skip
    """Checks of one sample by the builders themselves, with the equilibrium solved again for it alone.

    Args:
        lift: the lift.
        problem: its rig as drawn; the drawing stays.
        mass_kg: mass of the load in this sample; the weight factor is left out, since the mass is the true one.
        cog_m: centre of gravity, load coordinates; it has no box.
        lengths_m: unstretched lengths of the lines, in the order of the rig.
        stiffness_factors: factors on their EA.
        start: rest of the sample where it is known, so that it is judged as it is and not only to the solver's
            tolerance; None to find the rest independently from the drawing.

    Raises:
        NotEvaluatedError: the sample has no equilibrium at all.
    """
    x, y, z = (float(value) for value in cog_m)
    lines = {
        name: replace(line, length_m=float(length), EA_N=line.EA_N * float(factor))
        for (name, line), length, factor in zip(
            problem.rig.lines.items(), lengths_m, stiffness_factors, strict=True
        )
    }
    own = replace(
        problem,
        rig=replace(problem.rig, lines=lines),
        expected_mass_kg=mass_kg,
        design_mass_kg=mass_kg,
    )
    load = lift.file.load
    point = load.cog_box.model_copy(update={"x_m": 0.0, "y_m": 0.0, "z_m": 0.0})
    weight = load.weight.model_copy(update={"mass_kg": mass_kg, "declared_tolerance": 0.0})
    load = load.model_copy(update={"declared_cog_m": (x, y, z), "declared_cog_box": point, "weight": weight})
    sampled = replace(lift, file=lift.file.model_copy(update={"load": load}))
    hanging = solve_case(own, Method.ELASTIC, Basis.EXPECTED, EXPECTED_CASE, (x, y, z), start)
    design = solve_case(own, Method.ELASTIC, Basis.DESIGN, EXPECTED_CASE, (x, y, z), start)
    solutions = Solutions(own, hanging, (design.result,), (hanging.result,), (), {})
    return lift_checks(sampled, solutions)
