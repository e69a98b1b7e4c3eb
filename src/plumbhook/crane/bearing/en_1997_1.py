"""Bearing resistance by EN 1997-1:2004, Annex D, with the partial factors of its design approaches."""

from __future__ import annotations

import math
from dataclasses import dataclass

from plumbhook.core.check import Check, Clause, Step, Value
from plumbhook.core.errors import InputError, Problem
from plumbhook.crane.bearing import factors
from plumbhook.crane.bearing.ground_model import Pad, Soil

_DOCUMENT = ("EN 1997-1", "2004")
ANNEX_D3 = Clause(*_DOCUMENT, "D.3, undrained conditions")
ANNEX_D4 = Clause(*_DOCUMENT, "D.4, drained conditions")
EFFECTIVE_AREA = Clause(*_DOCUMENT, "D.2, effective foundation area")
PARTIAL_FACTORS = Clause(*_DOCUMENT, "Annex A, Tables A.3 to A.5")
RESISTANCE = Clause(*_DOCUMENT, "6.5.2.1(1), inequality 6.1")


@dataclass(frozen=True, slots=True)
class Combination:
    """One set of partial factors.

    Attributes:
        name: design approach and combination.
        gamma_G: on unfavourable permanent actions.
        gamma_Q: on unfavourable variable actions.
        gamma_phi: on the tangent of the angle of shearing resistance.
        gamma_c: on effective cohesion.
        gamma_cu: on undrained shear strength.
        gamma_R: on the bearing resistance.

    Raises:
        InputError: a factor is below 1 or no number.
    """

    name: str
    gamma_G: float
    gamma_Q: float
    gamma_phi: float = 1.0
    gamma_c: float = 1.0
    gamma_cu: float = 1.0
    gamma_R: float = 1.0

    def __post_init__(self) -> None:
        problems = [
            Problem(f"ground.{name}", "a partial factor is a number of 1 or more")
            for name in ("gamma_G", "gamma_Q", "gamma_phi", "gamma_c", "gamma_cu", "gamma_R")
            if not 1.0 <= getattr(self, name) < math.inf
        ]
        if problems:
            raise InputError(tuple(problems))


DA1_1 = Combination("design approach 1, combination 1", 1.35, 1.5)
DA1_2 = Combination("design approach 1, combination 2", 1.0, 1.3, 1.25, 1.25, 1.4)
DA2 = Combination("design approach 2", 1.35, 1.5, gamma_R=1.4)
DA3 = Combination("design approach 3", 1.35, 1.5, 1.25, 1.25, 1.4)

DESIGN_APPROACHES: dict[str, tuple[Combination, ...]] = {"1": (DA1_1, DA1_2), "2": (DA2,), "3": (DA3,)}


def combinations_of(design_approach: str) -> tuple[Combination, ...]:
    """Combinations that a design approach asks for; every one must hold.

    Args:
        design_approach: ``1``, ``2`` or ``3``; the national annex says which.

    Raises:
        InputError: it is none of them.
    """
    if design_approach not in DESIGN_APPROACHES:
        raise InputError.one(
            f"there is no design approach {design_approach!r}; the national annex names 1, 2 or 3",
            field="ground.design_approach",
        )
    return DESIGN_APPROACHES[design_approach]


def design_soil(soil: Soil, combination: Combination) -> Soil:
    """The soil with its strength divided by the partial factors of a combination."""
    phi = math.atan(math.tan(soil.friction_angle_rad) / combination.gamma_phi)
    gamma = combination.gamma_c if soil.drained else combination.gamma_cu
    return Soil(
        friction_angle_rad=phi,
        cohesion_Pa=soil.cohesion_Pa / gamma,
        unit_weight_N_per_m3=soil.unit_weight_N_per_m3,
        saturated_unit_weight_N_per_m3=soil.saturated_unit_weight_N_per_m3,
        water_depth_m=soil.water_depth_m,
    )


def bearing_resistance_Pa(
    pad: Pad, soil: Soil, *, vertical_N: float = 1.0, horizontal_N: float = 0.0
) -> float:
    """Bearing resistance R/A' of a level base by Annex D, Pa, with the strength of the soil as it is given.

    Args:
        pad: rectangle, or a strip under a vertical force.
        soil: design values for a design resistance, characteristic ones for a characteristic one.
        vertical_N: vertical force, N; it matters only together with a horizontal one.
        horizontal_N: horizontal force along the width, N, zero or more.

    Returns:
        The resistance; zero where the horizontal force is more than the base can hold.

    Raises:
        InputError: a force makes no sense, or is inclined on a strip.

    Source: EN 1997-1:2004, D.3 and D.4.
    """
    return _steps_of_resistance(pad, soil, vertical_N, horizontal_N)[-1].result.value


def bearing_resistance_check(
    check_id: str,
    station: str,
    title: str,
    *,
    pad: Pad,
    soil: Soil,
    permanent_N: float,
    variable_N: float,
    combination: Combination,
    soil_source: str,
    horizontal_N: float = 0.0,
) -> Check:
    """Design pressure below a pad against the design bearing resistance of the ground.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        pad: pad or mat.
        soil: characteristic values of the soil.
        permanent_N: characteristic permanent force with the pad's own weight, N, zero or more.
        variable_N: characteristic variable force, N, zero or more.
        combination: partial factors.
        soil_source: report and date that state the soil; "" leaves the check not evaluated.
        horizontal_N: design horizontal force along the width, N.

    Returns:
        The check, in Pa.

    Raises:
        InputError: a force is negative, both are zero, or the pad has no length.
    """
    if not (permanent_N >= 0.0 and variable_N >= 0.0 and 0.0 < permanent_N + variable_N < math.inf):
        raise InputError.one("the forces on the pad must be zero or more, and one above zero", field=check_id)
    if math.isinf(pad.length_m):
        raise InputError.one("the pad must have a length", field=check_id)
    force_steps, design = _steps_of_demand(pad, permanent_N, variable_N, combination)
    strength_steps, reduced = _steps_of_strength(soil, combination)
    resistance_steps = _steps_of_resistance(pad, reduced, design, horizontal_N)
    gamma_R = Value("gamma_R", combination.gamma_R, "1", "partial factor of the resistance", combination.name)
    resistance = resistance_steps[-1].result
    capacity = Value(
        "q_Rd", resistance.value / gamma_R.value, "Pa", "design bearing resistance", display="kPa"
    )
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=force_steps[-1].result,
        capacity=capacity,
        clause=RESISTANCE,
        steps=(
            *force_steps,
            *strength_steps,
            *resistance_steps,
            Step(capacity, "q_R/gamma_R", (resistance, gamma_R), PARTIAL_FACTORS),
        ),
        assumptions=(
            f"{combination.name}; the national annex may set other partial factors.",
            "One uniform soil to a depth of about twice the width, level ground, level base, no edge or slope near.",
        ),
        not_evaluated_because="" if soil_source.strip() else "nobody has stated the soil and its strength",
        cure="use a larger pad, a smaller radius, or have the ground investigated or improved",
    )


def _steps_of_demand(
    pad: Pad, permanent_N: float, variable_N: float, combination: Combination
) -> tuple[list[Step], float]:
    g_k = Value("G_k", permanent_N, "N", "permanent force on the ground", "crane and pad", "kN")
    q_k = Value("Q_k", variable_N, "N", "variable force on the ground", "load and rig", "kN")
    gamma_G = Value("gamma_G", combination.gamma_G, "1", "partial factor, permanent", combination.name)
    gamma_Q = Value("gamma_Q", combination.gamma_Q, "1", "partial factor, variable", combination.name)
    width, length = pad.effective_sides_m
    b_eff = Value("B_eff", width, "m", "effective width B' of the pad", "pad and eccentricity")
    l_eff = Value("L_eff", length, "m", "effective length L' of the pad", "pad and eccentricity")
    design = Value(
        "V_d",
        permanent_N * combination.gamma_G + variable_N * combination.gamma_Q,
        "N",
        "design vertical force",
        display="kN",
    )
    pressure = Value("q_Ed", design.value / (width * length), "Pa", "design pressure", display="kPa")
    return [
        Step(design, "G_k*gamma_G + Q_k*gamma_Q", (g_k, gamma_G, q_k, gamma_Q), PARTIAL_FACTORS),
        Step(pressure, "V_d/(B_eff*L_eff)", (design, b_eff, l_eff), EFFECTIVE_AREA),
    ], design.value


def _steps_of_strength(soil: Soil, combination: Combination) -> tuple[list[Step], Soil]:
    reduced = design_soil(soil, combination)
    symbol, factor, words = (
        ("c", combination.gamma_c, "effective cohesion")
        if soil.drained
        else ("c_u", combination.gamma_cu, "undrained shear strength")
    )
    c_k = Value(f"{symbol}_k", soil.cohesion_Pa, "Pa", f"{words}, characteristic", "soil", "kPa")
    gamma_c = Value(f"gamma_{symbol}", factor, "1", f"partial factor, {words}", combination.name)
    c_d = Value("c_d", reduced.cohesion_Pa, "Pa", f"{words}, design", display="kPa")
    steps = [Step(c_d, f"{symbol}_k/gamma_{symbol}", (c_k, gamma_c), PARTIAL_FACTORS)]
    if soil.drained:
        phi_k = Value(
            "phi_k",
            soil.friction_angle_rad,
            "rad",
            "angle of shearing resistance, characteristic",
            "soil",
            "deg",
        )
        gamma_phi = Value(
            "gamma_phi", combination.gamma_phi, "1", "partial factor, tan phi", combination.name
        )
        phi_d = Value(
            "phi_d",
            reduced.friction_angle_rad,
            "rad",
            "angle of shearing resistance, design",
            display="deg",
        )
        steps.append(Step(phi_d, "atan(tan(phi_k)/gamma_phi)", (phi_k, gamma_phi), PARTIAL_FACTORS))
    return steps, reduced


def _steps_of_resistance(pad: Pad, soil: Soil, vertical_N: float, horizontal_N: float) -> list[Step]:
    if not (math.isfinite(horizontal_N) and horizontal_N >= 0.0):
        raise InputError.one("the horizontal force must be a number, zero or more", field="horizontal")
    if not (math.isfinite(vertical_N) and vertical_N > 0.0):
        raise InputError.one("the vertical force must be a positive number", field="vertical")
    if horizontal_N > 0.0 and math.isinf(pad.effective_area_m2):
        raise InputError.one("an inclined force needs a pad of finite length", field="pad.length")
    if soil.drained:
        return _drained(pad, soil, vertical_N, horizontal_N)
    return _undrained(pad, soil, horizontal_N)


def _number(symbol: str, value: float, meaning: str) -> Value:
    return Value(symbol, value, "1", meaning)


def _ratio(pad: Pad) -> Value:
    width, length = pad.effective_sides_m
    return Value("beta", width / length, "1", "ratio B'/L' of the sides", "pad and eccentricity")


def _undrained(pad: Pad, soil: Soil, horizontal_N: float) -> list[Step]:
    c_d = Value("c_d", soil.cohesion_Pa, "Pa", "undrained shear strength, design", "soil", "kPa")
    q = Value(
        "q", soil.overburden_Pa(pad.depth_m, effective=False), "Pa", "stress beside the base", "soil", "kPa"
    )
    ratio = _ratio(pad)
    s_c = _number("s_c", 1.0 + 0.2 * ratio.value, "shape factor")
    steps = [Step(s_c, "1 + 0.2*beta", (ratio,), ANNEX_D3)]
    i_c = _number("i_c", 1.0, "inclination factor, vertical force")
    if horizontal_N > 0.0:
        area = Value("A_eff", pad.effective_area_m2, "m2", "effective area", "pad and eccentricity")
        h = Value("H_d", horizontal_N, "N", "design horizontal force", "crane", "kN")
        if horizontal_N > area.value * soil.cohesion_Pa:
            zero = Value("q_R", 0.0, "Pa", "bearing resistance: the pad slides", display="kPa")
            return [*steps, Step(zero, "0*c_d", (c_d,), ANNEX_D3, "H is more than A' c_u")]
        i_c = _number(
            "i_c",
            0.5 * (1.0 + math.sqrt(1.0 - horizontal_N / (area.value * soil.cohesion_Pa))),
            "inclination factor",
        )
        steps.append(Step(i_c, "0.5*(1 + sqrt(1 - H_d/(A_eff*c_d)))", (h, area, c_d), ANNEX_D3))
    resistance = Value(
        "q_R",
        factors.N_C_UNDRAINED * soil.cohesion_Pa * s_c.value * i_c.value + q.value,
        "Pa",
        "bearing resistance R/A'",
        display="kPa",
    )
    steps.append(Step(resistance, "(pi + 2)*c_d*s_c*i_c + q", (c_d, s_c, i_c, q), ANNEX_D3))
    return steps


def _drained(pad: Pad, soil: Soil, vertical_N: float, horizontal_N: float) -> list[Step]:
    phi = Value(
        "phi_d", soil.friction_angle_rad, "rad", "angle of shearing resistance, design", "soil", "deg"
    )
    c_d = Value("c_d", soil.cohesion_Pa, "Pa", "effective cohesion, design", "soil", "kPa")
    ratio = _ratio(pad)
    n_q = _number("N_q", factors.N_q(phi.value), "bearing factor, surcharge")
    n_c = _number("N_c", factors.N_c(phi.value), "bearing factor, cohesion")
    n_gamma = _number("N_gamma", factors.N_gamma_en_1997(phi.value), "bearing factor, weight")
    s_q = _number("s_q", 1.0 + ratio.value * math.sin(phi.value), "shape factor, surcharge")
    s_gamma = _number("s_gamma", 1.0 - 0.3 * ratio.value, "shape factor, weight")
    s_c = _number("s_c", (s_q.value * n_q.value - 1.0) / (n_q.value - 1.0), "shape factor, cohesion")
    steps = [
        Step(n_q, "exp(pi*tan(phi_d))*tan(pi/4 + phi_d/2)**2", (phi,), ANNEX_D4),
        Step(n_c, "(N_q - 1)/tan(phi_d)", (n_q, phi), ANNEX_D4),
        Step(n_gamma, "2*(N_q - 1)*tan(phi_d)", (n_q, phi), ANNEX_D4),
        Step(s_q, "1 + beta*sin(phi_d)", (ratio, phi), ANNEX_D4),
        Step(s_gamma, "1 - 0.3*beta", (ratio,), ANNEX_D4),
        Step(s_c, "(s_q*N_q - 1)/(N_q - 1)", (s_q, n_q), ANNEX_D4),
    ]
    inclined = _inclination(pad, vertical_N, horizontal_N, (phi, c_d, ratio, n_c))
    steps.extend(inclined)
    i_q, i_gamma, i_c = _inclination_values(inclined)
    width = Value(
        "B_eff", pad.effective_sides_m[0], "m", "effective width B' of the pad", "pad and eccentricity"
    )
    q = Value("q", soil.overburden_Pa(pad.depth_m), "Pa", "effective stress beside the base", "soil", "kPa")
    weight = Value(
        "gamma",
        soil.unit_weight_below_N_per_m3(pad.depth_m, width.value),
        "N_per_m3",
        "effective unit weight below the base",
        "soil",
    )
    resistance = Value(
        "q_R",
        c_d.value * n_c.value * s_c.value * i_c.value
        + q.value * n_q.value * s_q.value * i_q.value
        + 0.5 * weight.value * width.value * n_gamma.value * s_gamma.value * i_gamma.value,
        "Pa",
        "bearing resistance R/A'",
        display="kPa",
    )
    steps.append(
        Step(
            resistance,
            "c_d*N_c*s_c*i_c + q*N_q*s_q*i_q + 0.5*gamma*B_eff*N_gamma*s_gamma*i_gamma",
            (c_d, n_c, s_c, i_c, q, n_q, s_q, i_q, weight, width, n_gamma, s_gamma, i_gamma),
            ANNEX_D4,
        )
    )
    return steps


def _inclination(
    pad: Pad, vertical_N: float, horizontal_N: float, known: tuple[Value, Value, Value, Value]
) -> list[Step]:
    """Steps of m, i_q, i_gamma and i_c for a force inclined along the width; none for a vertical force."""
    if horizontal_N == 0.0:
        return []
    phi, c_d, ratio, n_c = known
    area = Value("A_eff", pad.effective_area_m2, "m2", "effective area", "pad and eccentricity")
    h = Value("H_d", horizontal_N, "N", "design horizontal force", "crane", "kN")
    v = Value("V_d", vertical_N, "N", "design vertical force", "above", "kN")
    m = _number("m", (2.0 + ratio.value) / (1.0 + ratio.value), "exponent, force along the width")
    rest = max(0.0, 1.0 - horizontal_N / (vertical_N + area.value * c_d.value / math.tan(phi.value)))
    i_q = _number("i_q", rest**m.value, "inclination factor, surcharge")
    i_gamma = _number("i_gamma", rest ** (m.value + 1.0), "inclination factor, weight")
    i_c = _number(
        "i_c",
        max(0.0, i_q.value - (1.0 - i_q.value) / (n_c.value * math.tan(phi.value))),
        "inclination factor, cohesion",
    )
    inputs = (h, v, area, c_d, phi, m)
    left = "max(0, 1 - H_d/(V_d + A_eff*c_d/tan(phi_d)))"
    return [
        Step(m, "(2 + beta)/(1 + beta)", (ratio,), ANNEX_D4),
        Step(i_q, f"{left}**m", inputs, ANNEX_D4),
        Step(i_gamma, f"{left}**(m + 1)", inputs, ANNEX_D4),
        Step(i_c, "max(0, i_q - (1 - i_q)/(N_c*tan(phi_d)))", (i_q, n_c, phi), ANNEX_D4),
    ]


def _inclination_values(steps: list[Step]) -> tuple[Value, Value, Value]:
    if not steps:
        words = "inclination factor, vertical force"
        return (_number("i_q", 1.0, words), _number("i_gamma", 1.0, words), _number("i_c", 1.0, words))
    _, i_q, i_gamma, i_c = (step.result for step in steps)
    return (i_q, i_gamma, i_c)
