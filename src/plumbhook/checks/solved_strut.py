"""What a second-order analysis of a strut hands to the checks, and the closed form that stands beside it.

The moments of a strut of pieces are the solution of a boundary problem, not of a formula that could be printed: they
enter the working as numbers with their origin, next to the customary amplification ``1/(1 - N/Ncr)`` of the first-order
moment, from which a reader sees whether they can be right.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from plumbhook.checks.demand import Demand
from plumbhook.core.check import Clause, SourceQuality, Step, Value
from plumbhook.core.errors import InputError

ANALYSIS = "second-order strut analysis"
AMPLIFICATION = Clause(
    "Amplification of a first-order moment by 1/(1 - N/Ncr), for comparison",
    quality=SourceQuality.COMMON_PRACTICE,
)
LEVEL_OF_LOAD = Clause("Factor on compression and self-weight together", quality=SourceQuality.OWN_DERIVATION)


@dataclass(frozen=True, slots=True)
class SolvedStrut:
    """A strut bent at one level of load.

    Attributes:
        compression_N: compression at that level, N.
        critical_force_N: elastic critical load of the strut with its joints, N.
        moment_Nm: largest second-order moment along the strut, N m; NaN where the compression reaches the critical
            load.
        station_m: where that is, from the first pin, m.
        first_order_moment_Nm: largest moment of loads and offsets without further bending, N m.
        bow_m: initial bow that is in both moments, m.
        splice_Nm_per_rad: rotational stiffness of each joint, N m/rad; of a strut without joints, any.
        splice_origin: where that stiffness comes from.
        quantity: key of the second-order moment as a quantity of the rig, for programs.
    """

    compression_N: float
    critical_force_N: float
    moment_Nm: float
    station_m: float
    first_order_moment_Nm: float
    bow_m: float
    splice_Nm_per_rad: float
    splice_origin: str
    quantity: str = ""

    @property
    def beyond_critical(self) -> str:
        """Why the strut is refused outright: the compression reaches its critical load; "" if not."""
        if self.compression_N >= self.critical_force_N:
            return "the compression reaches the elastic critical load of the strut: it buckles"
        return ""

    @property
    def missing(self) -> str:
        """Which number of the analysis is missing, in words; "" if none."""
        words = {
            "compression": self.compression_N,
            "critical load": self.critical_force_N,
            "second-order moment": self.moment_Nm,
            "place of the largest moment": self.station_m,
            "first-order moment": self.first_order_moment_Nm,
            "bow": self.bow_m,
            "stiffness of the joints": self.splice_Nm_per_rad,
        }
        gone = [name for name, number in words.items() if not (math.isfinite(number) and number >= 0.0)]
        return f"the strut analysis has no {', no '.join(gone)}" if gone else ""

    def values(self) -> dict[str, Value]:
        """The numbers as inputs of steps, by symbol: ``N_cr``, ``M_II``, ``M_I``, ``x_M``, ``e_0``, ``K_j``."""
        return {
            "N_cr": Value(
                "N_cr", self.critical_force_N, "N", "elastic critical load with the joints", ANALYSIS, "kN"
            ),
            "M_II": Value(
                "M_II", self.moment_Nm, "Nm", f"largest moment, {self.station_m:.3g} m from the first pin", ANALYSIS,
                "kN.m",
                self.quantity,
            ),
            "M_I": Value(
                "M_I", self.first_order_moment_Nm, "Nm", "the same without further bending", ANALYSIS, "kN.m"
            ),
        }  # fmt: skip

    def assumptions(self) -> tuple[str, ...]:
        """What the analysis rests on, in sentences."""
        return (
            "Each piece with its own mass; end fittings are as stiff as the tube; self-weight, pin offset, bow and "
            "slack of the joints bend the strut the same way.",
            f"Rotational stiffness of each joint {self.splice_Nm_per_rad / 1e6:.3g} MN·m/rad, {self.splice_origin}; "
            "the joints stay closed.",
        )

    def plausibility_steps(self, force: Value) -> tuple[Step, ...]:
        """Amplification of the first-order moment by closed form; none where there is no such number."""
        values = self.values()
        if self.missing or force.value >= self.critical_force_N:
            return ()
        factor = 1.0 / (1.0 - force.value / self.critical_force_N)
        amplified = Value(
            "M_amp", self.first_order_moment_Nm * factor, "Nm", "moment by the closed form, to compare", display="kN.m"
        )  # fmt: skip
        return (
            Step(
                amplified,
                f"M_I/(1 - {force.symbol}/N_cr)",
                (values["M_I"], force, values["N_cr"]),
                AMPLIFICATION,
                f"the analysis gives {_percent(self.moment_Nm, amplified.value)} of it",
            ),
        )


def _percent(moment: float, other: float) -> str:
    return f"{100.0 * moment / other:.0f} %" if other > 0.0 else "more than nothing"


def level_steps(
    demand: Demand,
    solved: SolvedStrut,
    factor: Value,
    symbol: str,
    meaning: str,
    *,
    divided_by: Value | None = None,
) -> tuple[Step, ...]:
    """Steps from the demand to the compression that the strut was solved with.

    Args:
        demand: compression in the strut, N.
        solved: the analysis at that level.
        factor: factor on the compression, with its symbol.
        symbol: symbol of the compression at that level.
        meaning: what it is.
        divided_by: a factor taken out of the demand first, with its symbol; None for none.

    Returns:
        The largest demand, and the compression at the level of the analysis.

    Raises:
        InputError: the analysis was made at another compression.
    """
    worst = demand.worst_step("N", "largest compression in the strut")
    force = factor.value * worst.result.value
    inputs: tuple[Value, ...] = (factor, worst.result)
    formula = f"{factor.symbol}*N"
    if divided_by is not None:
        force, formula, inputs = (
            force / divided_by.value,
            f"{formula}/{divided_by.symbol}",
            (*inputs, divided_by),
        )
    known = math.isfinite(force) and math.isfinite(solved.compression_N)
    if known and not math.isclose(force, solved.compression_N, rel_tol=1e-9, abs_tol=1e-6):
        raise InputError.one(
            f"the strut was analysed at {solved.compression_N:.6g} N but carries {force:.6g} N here; "
            "analyse it at the level of this check",
            field=symbol,
        )
    level = Value(symbol, force, "N", meaning, display="kN")
    return worst, Step(level, formula, inputs, LEVEL_OF_LOAD)


def use_value(value: float, meaning: str) -> Value:
    """Use of a rule that sums to at most 1, printed in percent."""
    return Value("U", value, "1", meaning, display="%")


def limit_value(origin: str) -> Value:
    """The limit 1 of such a rule."""
    return Value("U_max", 1.0, "1", "largest use allowed", origin, "%")
