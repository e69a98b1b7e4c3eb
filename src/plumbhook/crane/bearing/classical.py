"""Ultimate bearing pressure by Terzaghi, Meyerhof, Brinch Hansen and Vesic, for a vertical or inclined force.

Each function gives the pressure at which the ground fails, without any factor of safety. What may be allowed of it
is a matter of the rules of the lift and of those responsible for the ground.
"""

from __future__ import annotations

import math

from plumbhook.core.errors import InputError
from plumbhook.crane.bearing import factors
from plumbhook.crane.bearing.ground_model import Pad, Soil


def terzaghi_Pa(pad: Pad, soil: Soil, *, local_shear: bool = False) -> float:
    """Ultimate bearing pressure of a strip or a square pad by Terzaghi 1943, Pa.

    Args:
        pad: a strip or a square pad; its depth counts as surcharge only.
        soil: the soil below and beside it.
        local_shear: loose or soft ground that fails piecemeal: two thirds of cohesion and of tan phi.

    Returns:
        ``s_c c N_c + q N_q + s_gamma gamma B N_gamma`` with 1 and 0.5 for a strip, 1.3 and 0.4 for a square.

    Raises:
        InputError: the pad is neither a strip nor a square, for which Terzaghi gives no factor.

    Source: Terzaghi, Theoretical Soil Mechanics, 1943.
    """
    width, length = pad.effective_sides_m
    if math.isinf(length):
        shape_c, shape_gamma = 1.0, 0.5
    elif math.isclose(width, length, rel_tol=1e-9):
        shape_c, shape_gamma = 1.3, 0.4
    else:
        raise InputError.one(
            "Terzaghi's factors are for a strip or a square; use EN 1997-1, Meyerhof, Brinch Hansen or Vesic",
            field="pad.length",
        )
    phi, cohesion = soil.friction_angle_rad, soil.cohesion_Pa
    if local_shear:
        phi, cohesion = math.atan(2.0 / 3.0 * math.tan(phi)), 2.0 / 3.0 * cohesion
    return (
        shape_c * cohesion * factors.N_c_terzaghi(phi)
        + _surcharge_Pa(pad, soil) * factors.N_q_terzaghi(phi)
        + shape_gamma * _weight_N_per_m3(pad, soil) * width * factors.N_gamma_terzaghi(phi)
    )


def meyerhof_Pa(pad: Pad, soil: Soil, *, inclination_rad: float = 0.0) -> float:
    """Ultimate bearing pressure by Meyerhof 1963, Pa.

    Args:
        pad: strip or rectangle.
        soil: the soil below and beside it.
        inclination_rad: angle of the force from the vertical, rad, zero or more.

    Returns:
        ``c N_c s_c d_c i_c + q N_q s_q d_q i_q + 0.5 gamma B' N_gamma s_gamma d_gamma i_gamma``; zero where the force
        leans more than the angle of shearing resistance of a soil without cohesion.

    Raises:
        InputError: the inclination is negative or not below a right angle.

    Source: Meyerhof, Some recent research on the bearing capacity of foundations, 1963.
    """
    if not 0.0 <= inclination_rad < math.pi / 2.0:
        raise InputError.one(
            "the inclination of the force must lie from 0 to below 90 deg", field="inclination"
        )
    phi = soil.friction_angle_rad
    width, length = pad.effective_sides_m
    ratio, k_p = width / length, factors.passive_ratio(phi)
    depth = pad.depth_m / pad.width_m * math.sqrt(k_p)
    s_c, d_c = 1.0 + 0.2 * k_p * ratio, 1.0 + 0.2 * depth
    # Shape and depth raise friction only above 10 degrees.
    frictional = phi > math.radians(10.0)
    s_q = 1.0 + 0.1 * k_p * ratio if frictional else 1.0
    d_q = 1.0 + 0.1 * depth if frictional else 1.0
    i_c = (1.0 - inclination_rad / (math.pi / 2.0)) ** 2
    # Without friction the term of the weight is zero anyhow.
    i_gamma = max(0.0, 1.0 - inclination_rad / phi) ** 2 if phi > 0.0 else 0.0
    return (
        soil.cohesion_Pa * factors.N_c(phi) * s_c * d_c * i_c
        + _surcharge_Pa(pad, soil) * factors.N_q(phi) * s_q * d_q * i_c
        + 0.5 * _weight_N_per_m3(pad, soil) * width * factors.N_gamma_meyerhof(phi) * s_q * d_q * i_gamma
    )


def vesic_Pa(pad: Pad, soil: Soil, *, vertical_N: float = 1.0, horizontal_N: float = 0.0) -> float:
    """Ultimate bearing pressure by Vesic 1973, Pa.

    Args:
        pad: strip or rectangle; an inclined force on a strip is refused, for its area is not known.
        soil: the soil below and beside it.
        vertical_N: vertical force, N; it matters only together with a horizontal one.
        horizontal_N: horizontal force along the width, N, zero or more.

    Returns:
        The pressure; zero where the horizontal force alone makes the pad slide.

    Raises:
        InputError: a force is not positive, or inclined on a strip.

    Source: Vesic, Analysis of ultimate loads of shallow foundations, 1973; the inclination factors from memory.
    """
    phi = soil.friction_angle_rad
    width, length = pad.effective_sides_m
    ratio, depth = width / length, _depth_ratio(pad)
    i_c, i_q, i_gamma = _vesic_inclination(pad, soil, vertical_N, horizontal_N)
    if soil.drained:
        s_c = 1.0 + ratio * factors.N_q(phi) / factors.N_c(phi)
        s_q = 1.0 + ratio * math.tan(phi)
        d_q = 1.0 + 2.0 * math.tan(phi) * (1.0 - math.sin(phi)) ** 2 * depth
    else:
        s_c, s_q, d_q = 1.0 + ratio / factors.N_C_UNDRAINED, 1.0, 1.0
    s_gamma = 1.0 - 0.4 * ratio
    d_c = 1.0 + 0.4 * depth
    return (
        soil.cohesion_Pa * factors.N_c(phi) * s_c * d_c * i_c
        + _surcharge_Pa(pad, soil) * factors.N_q(phi) * s_q * d_q * i_q
        + 0.5 * _weight_N_per_m3(pad, soil) * width * factors.N_gamma_vesic(phi) * s_gamma * i_gamma
    )


def _vesic_inclination(
    pad: Pad, soil: Soil, vertical_N: float, horizontal_N: float
) -> tuple[float, float, float]:
    _refuse_forces(vertical_N, horizontal_N)
    if horizontal_N == 0.0:
        return (1.0, 1.0, 1.0)
    area = pad.effective_area_m2
    if math.isinf(area):
        raise InputError.one("an inclined force needs a pad of finite length", field="pad.length")
    width, length = pad.effective_sides_m
    m = (2.0 + width / length) / (1.0 + width / length)
    phi = soil.friction_angle_rad
    if not soil.drained:
        held = m * horizontal_N / (area * soil.cohesion_Pa * factors.N_C_UNDRAINED)
        return (max(0.0, 1.0 - held), 1.0, 1.0)
    rest = max(0.0, 1.0 - horizontal_N / (vertical_N + area * soil.cohesion_Pa / math.tan(phi)))
    i_q = rest**m
    i_c = i_q - (1.0 - i_q) / (factors.N_c(phi) * math.tan(phi))
    return (max(0.0, i_c), i_q, rest ** (m + 1.0))


def brinch_hansen_factors(
    pad: Pad, soil: Soil, *, vertical_N: float, horizontal_N: float = 0.0
) -> dict[str, float]:
    """Shape, depth and inclination factors of Brinch Hansen 1961, with De Beer's shapes.

    Args:
        pad: a rectangle of finite length.
        soil: the soil below and beside it.
        vertical_N: vertical force, N.
        horizontal_N: horizontal force along the width, N, zero or more.

    Returns:
        ``s_c s_q s_gamma d_c d_q i_c i_q i_gamma`` by name; inclination factors are zero where the pad slides.

    Raises:
        InputError: a force is not positive, or the pad is a strip.

    Source: Brinch Hansen, A general formula for bearing capacity, Danish Geotechnical Institute, bulletin 11, 1961;
    ``s_q = 1 + B/L tan phi`` from memory.
    """
    _refuse_forces(vertical_N, horizontal_N)
    area = pad.effective_area_m2
    if math.isinf(area):
        raise InputError.one("this method needs a pad of finite length", field="pad.length")
    width, length = pad.effective_sides_m
    ratio = width / length
    phi, cohesion = soil.friction_angle_rad, soil.cohesion_Pa
    if not soil.drained:
        held = min(1.0, horizontal_N / (area * cohesion))
        return {
            "s_c": 1.0 + 0.2 * ratio, "s_q": 1.0, "s_gamma": 1.0 - 0.3 * ratio,
            "d_c": 1.0 + 0.35 * pad.depth_m / pad.width_m, "d_q": 1.0,
            "i_c": 0.5 * (1.0 + math.sqrt(1.0 - held)), "i_q": 1.0, "i_gamma": 1.0,
        }  # fmt: skip
    n_q, n_c = factors.N_q(phi), factors.N_c(phi)
    rest = max(0.0, 1.0 - horizontal_N / (vertical_N + area * cohesion / math.tan(phi)))
    i_q = rest**2
    d_c = 1.0
    if pad.depth_m > 0.0:
        d_c += 0.35 / (pad.width_m / pad.depth_m + 0.6 / (1.0 + 7.0 * math.tan(phi) ** 4))
    return {
        "s_c": 1.0 + ratio * n_q / n_c,
        "s_q": 1.0 + ratio * math.tan(phi),
        "s_gamma": 1.0 - 0.3 * ratio,
        "d_c": d_c,
        "d_q": d_c - (d_c - 1.0) / n_q,
        "i_c": max(0.0, i_q - (1.0 - i_q) / (n_q - 1.0)),
        "i_q": i_q,
        "i_gamma": i_q**1.5,
    }


def brinch_hansen_Pa(pad: Pad, soil: Soil, *, vertical_N: float, horizontal_N: float = 0.0) -> float:
    """Ultimate bearing pressure by Brinch Hansen 1961, Pa.

    Args:
        pad: a rectangle of finite length.
        soil: the soil below and beside it.
        vertical_N: vertical force, N.
        horizontal_N: horizontal force along the width, N, zero or more.

    Raises:
        InputError: as :func:`brinch_hansen_factors`.

    Source: as :func:`brinch_hansen_factors`.
    """
    k = brinch_hansen_factors(pad, soil, vertical_N=vertical_N, horizontal_N=horizontal_N)
    phi = soil.friction_angle_rad
    width, _ = pad.effective_sides_m
    return (
        soil.cohesion_Pa * factors.N_c(phi) * k["s_c"] * k["d_c"] * k["i_c"]
        + _surcharge_Pa(pad, soil) * factors.N_q(phi) * k["s_q"] * k["d_q"] * k["i_q"]
        + 0.5
        * _weight_N_per_m3(pad, soil)
        * width
        * factors.N_gamma_brinch_hansen(phi)
        * k["s_gamma"]
        * k["i_gamma"]
    )


def _surcharge_Pa(pad: Pad, soil: Soil) -> float:
    # Undrained clay feels the total stress, a soil that resists by friction the effective one.
    return soil.overburden_Pa(pad.depth_m, effective=soil.drained)


def _weight_N_per_m3(pad: Pad, soil: Soil) -> float:
    return soil.unit_weight_below_N_per_m3(pad.depth_m, pad.effective_sides_m[0])


def _depth_ratio(pad: Pad) -> float:
    ratio = pad.depth_m / pad.width_m
    return ratio if ratio <= 1.0 else math.atan(ratio)


def _refuse_forces(vertical_N: float, horizontal_N: float) -> None:
    if not (math.isfinite(vertical_N) and vertical_N > 0.0):
        raise InputError.one("the vertical force must be a positive number", field="vertical")
    if not (math.isfinite(horizontal_N) and horizontal_N >= 0.0):
        raise InputError.one("the horizontal force must be a number, zero or more", field="horizontal")
