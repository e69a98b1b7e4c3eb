"""Checks of the fillet welds of a lug: two fillets along its base, force through its hole at any angle in its plane."""

from __future__ import annotations

import math
from dataclasses import dataclass

from plumbhook.checks.en_1993_1_8_2005 import welds
from plumbhook.checks.inputs import input_problems, refuse
from plumbhook.core.check import Check, Clause, SourceQuality, Step, Value
from plumbhook.core.errors import Problem

ELASTIC_WELDS = Clause(
    "Elastic stresses on two fillet welds along a base", quality=SourceQuality.OWN_DERIVATION
)
LUG_ASSUMPTIONS = (
    "Two equal fillet welds with faces at 45 degrees run along both sides of the base over the effective length.",
    "What the lug is welded to is stiff enough to feed the whole length of the welds.",
)


@dataclass(frozen=True, slots=True)
class LugWeld:
    """The welds of a lug.

    Attributes:
        throat_m: throat a of each fillet, m.
        length_m: effective length of each fillet, m.
        plate_m: thickness of the lug, m.
        hole_height_m: height of the centre of the hole above the base, m.
        ultimate_Pa: tensile strength of the weaker part joined, Pa.
        correlation: correlation factor beta_w.
        gamma_M2: partial factor.
    """

    throat_m: float
    length_m: float
    plate_m: float
    hole_height_m: float
    ultimate_Pa: float
    correlation: float
    gamma_M2: float = 1.25

    def values(self) -> dict[str, Value]:
        """The numbers as values by their symbols."""
        data = "lug data"
        return {
            "a": Value("a", self.throat_m, "m", "throat of each weld", data, "mm"),
            "L": Value("L", self.length_m, "m", "effective length of each weld", data, "mm"),
            "t": Value("t", self.plate_m, "m", "thickness of the lug", data, "mm"),
            "h": Value("h", self.hole_height_m, "m", "height of the hole above the base", data, "mm"),
            "f_u": Value(
                "f_u", self.ultimate_Pa, "Pa", "tensile strength of the weaker part", "material", "MPa"
            ),
            "beta_w": Value("beta_w", self.correlation, "1", "correlation factor", "Table 4.1, from memory"),
            "gamma_M2": Value("gamma_M2", self.gamma_M2, "1", "partial factor", "rules of the lift"),
        }


@dataclass(frozen=True, slots=True)
class LugPull:
    """The pull on a lug.

    Attributes:
        force_N: design force, load factor included, N.
        angle_rad: angle from the normal of the base, in the plane of the lug, rad; 0 pulls straight off.
        side_N: force across the plane of the lug at its hole, N.
        origin: case it comes from.
    """

    force_N: float
    angle_rad: float
    side_N: float
    origin: str

    def values(self) -> dict[str, Value]:
        """The numbers as values ``F``, ``theta`` and ``S``."""
        return {
            "F": Value("F", self.force_N, "N", "design force on the lug", self.origin, "kN"),
            "theta": Value(
                "theta", self.angle_rad, "rad", "angle from the normal of the base", self.origin, "deg"
            ),
            "S": Value("S", self.side_N, "N", "side force on the lug", self.origin, "kN"),
        }


def lug_weld_check(check_id: str, station: str, title: str, *, pull: LugPull, weld: LugWeld) -> Check:
    """Welds of a lug by the directional method.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        pull: force on the lug.
        weld: its welds.

    Returns:
        The check: the worse of the two ratios of eq. (4.1) against 1.

    Raises:
        InputError: a number is missing or cannot be.
    """
    refuse(_problems(check_id, pull, weld))
    given, force = weld.values(), pull.values()
    across, along, side = _stress_steps(pull, weld)
    normal_Pa = (across.result.value + side.result.value) / math.sqrt(2.0)
    normal = Value("sigma_n", normal_Pa, "Pa", "stress normal to the throat", display="MPa")
    shear = Value("tau_a", normal_Pa, "Pa", "shear across the axis of the weld", display="MPa")
    equivalent = Value(
        "sigma_eq",
        float(welds.equivalent_stress_Pa(normal_Pa, normal_Pa, along.result.value)),
        "Pa",
        "equivalent stress",
        display="MPa",
    )
    limit = Value(
        "sigma_Rd",
        float(welds.equivalent_limit_Pa(weld.ultimate_Pa, weld.correlation, weld.gamma_M2)),
        "Pa",
        "largest equivalent stress",
        display="MPa",
    )
    normal_limit = Value(
        "sigma_n_Rd",
        float(welds.normal_limit_Pa(weld.ultimate_Pa, weld.gamma_M2)),
        "Pa",
        "largest normal stress",
        display="MPa",
    )
    demand = Value(
        "u", max(equivalent.value / limit.value, normal_Pa / normal_limit.value), "1", "use of the welds"
    )
    sum_over_root = "(s_b + s_s)/sqrt(2)"
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=demand,
        capacity=Value("u_max", 1.0, "1", "largest use", "eq. (4.1)"),
        clause=welds.DIRECTIONAL,
        steps=(
            across,
            along,
            side,
            Step(normal, sum_over_root, (across.result, side.result), ELASTIC_WELDS),
            Step(shear, sum_over_root, (across.result, side.result), ELASTIC_WELDS),
            Step(
                equivalent,
                "sqrt(sigma_n**2 + 3*(tau_a**2 + tau_l**2))",
                (normal, shear, along.result),
                welds.DIRECTIONAL,
            ),
            Step(
                limit,
                "f_u/(beta_w*gamma_M2)",
                (given["f_u"], given["beta_w"], given["gamma_M2"]),
                welds.DIRECTIONAL,
            ),
            Step(normal_limit, "0.9*f_u/gamma_M2", (given["f_u"], given["gamma_M2"]), welds.DIRECTIONAL),
            Step(
                demand,
                "max(sigma_eq/sigma_Rd, sigma_n/sigma_n_Rd)",
                (equivalent, limit, normal, normal_limit),
                welds.DIRECTIONAL,
            ),
        ),
        assumptions=LUG_ASSUMPTIONS,
        cure="use thicker or longer welds, a longer base, or a lower hole",
        attention=(
            "The lug is pulled across its plane: see that what it is welded to and the lug itself stand that too."
            if force["S"].value > 0.0
            else ""
        ),
    )


def lug_weld_simplified_check(
    check_id: str, station: str, title: str, *, pull: LugPull, weld: LugWeld
) -> Check:
    """Welds of a lug by the simplified method: resultant force per length against one resistance.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        pull: force on the lug.
        weld: its welds.

    Returns:
        The check, in N/m of one weld. Never kinder than :func:`lug_weld_check`.

    Raises:
        InputError: a number is missing or cannot be.
    """
    refuse(_problems(check_id, pull, weld))
    given = weld.values()
    across, along, side = _stress_steps(pull, weld)
    stress = math.hypot(across.result.value + side.result.value, along.result.value)
    demand = Value(
        "F_w", weld.throat_m * stress, "N_per_m", "force per length of the most loaded weld", display="kN/m"
    )
    capacity = Value(
        "F_w_Rd",
        float(
            welds.simplified_resistance_N_per_m(
                weld.throat_m, weld.ultimate_Pa, weld.correlation, weld.gamma_M2
            )
        ),
        "N_per_m",
        "resistance of a weld per length",
        display="kN/m",
    )
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=demand,
        capacity=capacity,
        clause=welds.SIMPLIFIED,
        steps=(
            across,
            along,
            side,
            Step(
                demand,
                "a*sqrt((s_b + s_s)**2 + tau_l**2)",
                (given["a"], across.result, side.result, along.result),
                ELASTIC_WELDS,
            ),
            Step(
                capacity,
                "a*f_u/(sqrt(3)*beta_w*gamma_M2)",
                (given["a"], given["f_u"], given["beta_w"], given["gamma_M2"]),
                welds.SIMPLIFIED,
            ),
        ),
        assumptions=LUG_ASSUMPTIONS,
        cure="use thicker or longer welds, a longer base, or a lower hole",
    )


def _problems(check_id: str, pull: LugPull, weld: LugWeld) -> tuple[Problem, ...]:
    force = pull.values()
    found = input_problems(
        check_id,
        positive=weld.values().values(),
        not_negative=(force["F"], force["S"], force["theta"]),
    )
    if not found and pull.angle_rad > math.pi / 2.0:
        sentence = "a lug is pulled at up to 90 degrees from the normal of its base; beyond, it is pushed"
        found = (Problem(check_id, sentence),)
    return found


def _stress_steps(pull: LugPull, weld: LugWeld) -> tuple[Step, Step, Step]:
    """Stress normal to the base from pull and moment, shear along the welds, stress from the side force."""
    given, force = weld.values(), pull.values()
    throats = 2.0 * weld.throat_m * weld.length_m
    normal_N, shear_N = pull.force_N * math.cos(pull.angle_rad), pull.force_N * math.sin(pull.angle_rad)
    bending = 6.0 * shear_N * weld.hole_height_m / (throats * weld.length_m)
    across = Value(
        "s_b", normal_N / throats + bending, "Pa", "stress off the base from pull and moment", display="MPa"
    )
    along = Value("tau_l", shear_N / throats, "Pa", "shear along the welds", display="MPa")
    couple = (
        pull.side_N * weld.hole_height_m / ((weld.plate_m + weld.throat_m) * weld.throat_m * weld.length_m)
    )
    side = Value(
        "s_s",
        couple + pull.side_N / throats,
        "Pa",
        "stress from the side force, its moment included",
        display="MPa",
    )
    pulled = (force["F"], force["theta"], given["a"], given["L"])
    return (
        Step(
            across,
            "F*cos(theta)/(2*a*L) + 6*F*sin(theta)*h/(2*a*L**2)",
            (*pulled, given["h"]),
            ELASTIC_WELDS,
        ),
        Step(along, "F*sin(theta)/(2*a*L)", pulled, ELASTIC_WELDS),
        Step(
            side,
            "S*h/((t + a)*a*L) + S/(2*a*L)",
            (force["S"], given["h"], given["t"], given["a"], given["L"]),
            ELASTIC_WELDS,
        ),
    )
