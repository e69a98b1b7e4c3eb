"""All cases of a lift by all methods, and the demand that each part draws from them."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from plumbhook.checks.demand import Demand
from plumbhook.core.check import Value
from plumbhook.planning.assessment import Basis, CaseResult, Method, Vector
from plumbhook.planning.cases import (
    EXPECTED_CASE,
    RigProblem,
    SolvedCase,
    cases_of,
    hand_bounds,
    hand_case,
    solve_case,
)
from plumbhook.planning.hand import DIAGONAL_BOUND

_ORIGIN = {
    Method.HAND: "hand, level and without stretch",
    Method.RIGID: "solver, lines 10,000 times stiffer",
    Method.ELASTIC: "solver, lines with their stretch",
}


@dataclass(frozen=True, slots=True)
class Solutions:
    """Results by basis; ``hanging`` is the elastic answer for the expected weight and centre of gravity."""

    problem: RigProblem
    hanging: SolvedCase
    design: tuple[CaseResult, ...]
    expected: tuple[CaseResult, ...]
    same_pose: tuple[CaseResult, ...]
    bounds_N: dict[str, dict[str, float]]

    def of(self, method: Method, basis: Basis, case: str = EXPECTED_CASE) -> CaseResult | None:
        """One result, or None where that method has none for that case."""
        results = self.design if basis is Basis.DESIGN else self.expected
        return next((r for r in results if r.method is method and r.case == case), None)

    @property
    def nominal(self) -> CaseResult:
        """Elastic, design weight, expected centre of gravity."""
        result = self.of(Method.ELASTIC, Basis.DESIGN)
        if result is None:  # pragma: no cover - solve_all always makes it
            raise KeyError("nominal")
        return result

    def line_demand(self, line: str) -> Demand:
        """Force at the lower end of a line, N, dynamic factor included."""
        return self._demand(
            "F", "N", "force in the line", lambda case: case.tensions_N[line], self.design,
            display="kN", quantity=f"tension:{line}",
        )  # fmt: skip

    def hook_demand(self) -> Demand:
        """Weight of everything below the hook items, N, dynamic factor included."""
        return self._demand(
            "F", "N", "force under the hook items", lambda case: case.hook_load_N, self.design,
            display="kN", quantity="hook_load",
        )  # fmt: skip

    def compression_demand(self, strut: str) -> Demand:
        """Compression of a strut, N, dynamic factor included; the customary bound stands beside the methods."""
        demand = self._demand(
            "N",
            "N",
            "compression in the strut",
            lambda case: case.compressions_N[strut],
            self.design,
            display="kN",
            quantity=f"compression:{strut}",
        )
        bounds = {case: found[strut] for case, found in self.bounds_N.items() if strut in found}
        if not bounds:
            return demand
        worst = max(bounds, key=lambda case: bounds[case])
        bound = Value(
            "N_bound",
            bounds[worst],
            "N",
            "customary bound: heavier end times the tangent of its leg angle, plus lean",
            f"hand, {case_words(worst)}",
            "kN",
            f"compression:{strut}",
        )
        return Demand(nominal=demand.nominal, candidates=(*demand.candidates, bound))

    def hung_demand(self, strut: str, first: Sequence[str], second: Sequence[str]) -> Demand:
        """Load on a strut: twice the vertical force of the lines below its more loaded end, N, dynamic factor included.

        Args:
            strut: name of the strut.
            first: lines below one end.
            second: lines below the other end.
        """

        def end(case: CaseResult, lines: Sequence[str]) -> float:
            return sum(case.tensions_N[n] * math.cos(case.angles_from_vertical_rad[n]) for n in lines)

        return self._demand(
            "F", "N", "load on the strut, the heavier end twice",
            lambda case: 2.0 * max(end(case, first), end(case, second)), self.design,
            display="kN", quantity=f"hung:{strut}",
        )  # fmt: skip

    def off_axis_demand(self, lift_point: str) -> Demand:
        """Angle between the sling and the lift point's own axis, rad."""
        solved = tuple(case for case in self.design if case.method is not Method.HAND)
        return self._demand(
            "delta", "rad", "angle of the sling off the axis of the lift point",
            lambda case: case.off_axis_rad[lift_point], solved,
            display="deg", quantity=f"off_axis:{lift_point}",
        )  # fmt: skip

    def largest_angle_rad(self, line: str) -> float:
        """Largest angle of a line from the vertical in any case with stretch, rad."""
        return max(
            case.angles_from_vertical_rad[line] for case in self.expected if case.method is Method.ELASTIC
        )

    def tilt_demand(self) -> Demand:
        """Total tilt of the load, rad, with the expected weight."""
        return self._demand(
            "theta", "rad", "tilt of the load", lambda case: case.tilt_rad, self.expected,
            display="deg", quantity="tilt",
        )  # fmt: skip

    def height_demand(self) -> Demand:
        """Height from the lowest point of the load to the crane hook, m."""
        return self._demand(
            "h", "m", "height from the lowest point of the load to the hook",
            lambda case: case.rig_height_m, self.design, display="m", quantity="rig_height",
        )  # fmt: skip

    def _demand(
        self,
        symbol: str,
        unit: str,
        meaning: str,
        pick: Callable[[CaseResult], float],
        cases: Iterable[CaseResult],
        display: str,
        quantity: str,
    ) -> Demand:
        cases = tuple(cases)
        candidates = []
        for method in Method:
            found = [case for case in cases if case.method is method]
            if not found:
                continue
            missing = next((case for case in found if math.isnan(pick(case))), None)
            worst = missing or max(found, key=pick)
            origin = f"{_ORIGIN[method]}; {case_words(worst.case)}"
            candidates.append(
                Value(f"{symbol}_{method.value}", pick(worst), unit, meaning, origin, display, quantity)
            )
        nominal = next(c for c in cases if c.method is Method.ELASTIC and c.case == EXPECTED_CASE)
        return Demand(
            nominal=Value(
                f"{symbol}_nom",
                pick(nominal),
                unit,
                meaning,
                f"{_ORIGIN[Method.ELASTIC]}; {case_words(EXPECTED_CASE)}",
                display,
                quantity,
            ),
            candidates=tuple(candidates),
        )


def case_words(case: str) -> str:
    """A case in words."""
    return (
        "expected centre of gravity" if case == EXPECTED_CASE else f"centre of gravity in box corner {case}"
    )


def solve_all(problem: RigProblem, cog_m: Vector, box_m: Vector) -> Solutions:
    """Solve every case by every method.

    Raises:
        NotEvaluatedError: a case has no equilibrium at all.
    """
    design: list[CaseResult] = []
    expected: list[CaseResult] = []
    same_pose: list[CaseResult] = []
    bounds: dict[str, dict[str, float]] = {}
    hanging: SolvedCase | None = None
    for case, cog in cases_of(cog_m, box_m):
        for basis, results in ((Basis.DESIGN, design), (Basis.EXPECTED, expected)):
            hand = hand_case(problem, basis, case, cog, same_pose=False)
            if hand is not None:
                results.append(hand)
            for method in (Method.RIGID, Method.ELASTIC):
                solved = solve_case(problem, method, basis, case, cog)
                results.append(solved.result)
                if hanging is None and method is Method.ELASTIC and basis is Basis.EXPECTED:
                    hanging = solved
        moved = hand_case(problem, Basis.DESIGN, case, cog, same_pose=True)
        if moved is not None and moved.status != DIAGONAL_BOUND:
            same_pose.append(moved)
        bounds[case] = hand_bounds(problem, cog)
    if hanging is None:  # pragma: no cover - cases_of always yields the expected case
        raise KeyError(EXPECTED_CASE)
    return Solutions(problem, hanging, tuple(design), tuple(expected), tuple(same_pose), bounds)
