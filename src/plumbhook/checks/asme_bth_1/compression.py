"""ASME BTH-1, chapter 3: a tube in compression with bending from self-weight and eccentric pins.

Allowable stresses with the nominal design factor Nd (2 for category A, 3 for category B). The interaction of
compression and bending, set to 1, is a quadratic equation in the axial force, so the allowable force has a
closed form. Functions work on numbers and on arrays.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from plumbhook.checks.sections import CircularHollowSection
from plumbhook.core.check import Clause, SourceQuality
from plumbhook.core.errors import InputError, Problem

FloatOrArray = float | npt.NDArray[np.float64]

_DOCUMENT = "ASME BTH-1"
COLUMN_SLENDERNESS_LIMIT = Clause(_DOCUMENT, "2014", "3-2.2, eq. (3-4)")
ALLOWABLE_COMPRESSION = Clause(_DOCUMENT, "2014", "3-2.2, eq. (3-3)")
ALLOWABLE_COMPRESSION_ELASTIC = Clause(_DOCUMENT, "2014", "3-2.2, eq. (3-5)")
ALLOWABLE_BENDING = Clause(_DOCUMENT, "2014", "3-2.3, eq. (3-6)")
COMBINED_STRESS = Clause(_DOCUMENT, "2014", "3-2.4, eq. (3-29)", SourceQuality.FROM_MEMORY)
COMPACT_TUBE = Clause(_DOCUMENT, "2014", "Table 3-1, round tube in bending", SourceQuality.FROM_MEMORY)


def column_slenderness_limit(elastic_modulus_Pa: float, yield_Pa: float) -> float:
    """Slenderness ``Cc = sqrt(2 pi2 E / Fy)`` between inelastic and elastic buckling, dimensionless.

    Source: ASME BTH-1 eq. (3-4).
    """
    return math.sqrt(2.0 * math.pi**2 * elastic_modulus_Pa / yield_Pa)


def allowable_compression_Pa(
    slenderness: FloatOrArray, elastic_modulus_Pa: float, yield_Pa: float, design_factor: float
) -> FloatOrArray:
    """Allowable compressive stress Fa on the gross section.

    Args:
        slenderness: ``K L / r``, not negative; number or array.
        elastic_modulus_Pa: modulus of elasticity, Pa.
        yield_Pa: yield strength, Pa.
        design_factor: nominal design factor Nd.

    Returns:
        Stress, Pa, shape of the slenderness; NaN for NaN.

    Source: ASME BTH-1 eq. (3-3) up to Cc, eq. (3-5) above it. The two meet at Cc.
    """
    limit = column_slenderness_limit(elastic_modulus_Pa, yield_Pa)
    slenderness = np.asarray(slenderness, dtype=np.float64)
    ratio = slenderness / limit
    inelastic = (
        (1.0 - ratio**2 / 2.0)
        * yield_Pa
        / (design_factor * (1.0 + 9.0 * ratio / 40.0 - 3.0 * ratio**3 / 40.0))
    )
    with np.errstate(divide="ignore"):
        elastic = euler_allowable_Pa(slenderness, elastic_modulus_Pa, design_factor)
    stress = np.where(ratio <= 1.0, inelastic, elastic)
    return float(stress) if stress.ndim == 0 else stress


def euler_allowable_Pa(
    slenderness: FloatOrArray, elastic_modulus_Pa: float, design_factor: float
) -> FloatOrArray:
    """Euler stress divided by ``1.15 Nd``: Fa above Cc, and Fe' of the amplification of bending, Pa.

    Source: ASME BTH-1 eq. (3-5); Fe' of 3-2.4 has the same form.
    """
    return math.pi**2 * elastic_modulus_Pa / (1.15 * design_factor * slenderness**2)


def allowable_bending_compact_Pa(yield_Pa: float, design_factor: float) -> float:
    """Allowable bending stress ``1.10 Fy / Nd`` of a compact, laterally braced section or a closed tube, Pa.

    Source: ASME BTH-1 eq. (3-6).
    """
    return 1.10 * yield_Pa / design_factor


def compact_tube(
    outside_diameter_m: float, wall_m: float, elastic_modulus_Pa: float, yield_Pa: float
) -> bool:
    """Whether a round tube is compact in bending: ``D/t <= 0.07 E/Fy``.

    Source: ASME BTH-1 Table 3-1, from memory.
    """
    return outside_diameter_m / wall_m <= 0.07 * elastic_modulus_Pa / yield_Pa


def interaction(
    compression_N: FloatOrArray,
    *,
    area_m2: float,
    section_modulus_m3: float,
    self_weight_moment_Nm: float,
    eccentricity_m: float,
    allowable_compression_Pa: float,
    euler_allowable_Pa: float,
    allowable_bending_Pa: float,
) -> FloatOrArray:
    """Left side of the interaction ``fa/Fa + fb/((1 - fa/Fe') Fb) <= 1``.

    Args:
        compression_N: axial force, N, compression positive; number or array.
        area_m2: area, m2.
        section_modulus_m3: elastic section modulus, m3.
        self_weight_moment_Nm: moment of the self-weight at mid-span, Nm.
        eccentricity_m: pin offset, bow and joint slack together, m.
        allowable_compression_Pa: Fa, Pa.
        euler_allowable_Pa: Fe', Pa.
        allowable_bending_Pa: Fb, Pa.

    Returns:
        Dimensionless; infinite where the compression reaches Fe'.

    Source: ASME BTH-1 3-2.4, eq. (3-29), with Cm = 1; from memory.
    """
    axial = np.asarray(compression_N, dtype=np.float64) / area_m2
    bending = (self_weight_moment_Nm + np.asarray(compression_N) * eccentricity_m) / section_modulus_m3
    room = 1.0 - axial / euler_allowable_Pa
    with np.errstate(divide="ignore", invalid="ignore"):
        total = axial / allowable_compression_Pa + bending / (room * allowable_bending_Pa)
    total = np.where(room > 0.0, total, np.where(np.isnan(room), np.nan, np.inf))
    return float(total) if total.ndim == 0 else total


def allowable_force_N(
    *,
    area_m2: FloatOrArray,
    section_modulus_m3: FloatOrArray,
    self_weight_moment_Nm: FloatOrArray,
    eccentricity_m: FloatOrArray,
    allowable_compression_Pa: FloatOrArray,
    euler_allowable_Pa: FloatOrArray,
    allowable_bending_Pa: FloatOrArray,
) -> FloatOrArray:
    """Axial force at which :func:`interaction` is 1: the smaller root of a quadratic, closed form.

    With ``a = 1/(A Fa)``, ``b = 1/(A Fe')``, ``c = e/(Z Fb)`` and ``m = Mw/(Z Fb)`` the interaction is
    ``a b N2 - (a + b + c) N + (1 - m) = 0``.

    Args:
        area_m2: area, m2.
        section_modulus_m3: elastic section modulus, m3.
        self_weight_moment_Nm: moment of the self-weight at mid-span, Nm.
        eccentricity_m: pin offset, bow and joint slack together, m.
        allowable_compression_Pa: Fa, Pa.
        euler_allowable_Pa: Fe', Pa.
        allowable_bending_Pa: Fb, Pa.

    Returns:
        Allowable compression, N, not negative; 0 where the self-weight alone uses up the section.

    Source: own derivation from the interaction.
    """
    a = 1.0 / (area_m2 * allowable_compression_Pa)
    b = 1.0 / (area_m2 * euler_allowable_Pa)
    c = eccentricity_m / (section_modulus_m3 * allowable_bending_Pa)
    m = self_weight_moment_Nm / (section_modulus_m3 * allowable_bending_Pa)
    force = np.maximum(
        0.0, 2.0 * (1.0 - m) / (a + b + c + np.sqrt((a + b + c) ** 2 - 4.0 * a * b * (1.0 - m)))
    )
    return float(force) if np.ndim(force) == 0 else force


@dataclass(frozen=True, slots=True)
class StrutBasis:
    """What the allowable compression of a strut family rests on, whatever its span.

    Attributes:
        section: the tube.
        line_mass_kg_per_m: mass per length of the assembled strut, kg/m.
        gravity_m_s2: acceleration of gravity, m/s2.
        dynamic_factor: dynamic factor on the self-weight.
        pin_offset_m: distance of the pin from the axis of the tube, m.
        bow_divisor: the bow is the span divided by this number.
        joint_slack_m: offset of the axis by the slack of the joints, m.
        yield_Pa: yield strength, Pa.
        elastic_modulus_Pa: modulus of elasticity, Pa.
        design_factor: nominal design factor Nd.
        effective_length_factor: K, 1 for a strut that is pinned and held at both ends.

    Raises:
        InputError: a number is missing or makes no sense; all of them at once.
    """

    section: CircularHollowSection
    line_mass_kg_per_m: float
    gravity_m_s2: float
    dynamic_factor: float
    pin_offset_m: float
    yield_Pa: float
    elastic_modulus_Pa: float
    design_factor: float
    bow_divisor: float = 500.0
    joint_slack_m: float = 0.0
    effective_length_factor: float = 1.0

    def __post_init__(self) -> None:
        positive = {
            "gravity_m_s2": "acceleration of gravity",
            "yield_Pa": "yield strength",
            "elastic_modulus_Pa": "modulus of elasticity",
            "design_factor": "design factor",
            "bow_divisor": "divisor of the bow",
            "effective_length_factor": "effective length factor",
        }
        not_negative = {
            "line_mass_kg_per_m": "mass per length",
            "pin_offset_m": "pin offset",
            "joint_slack_m": "slack of the joints",
        }
        problems = [
            Problem(name, f"the {words} of a strut must be a positive number")
            for name, words in positive.items()
            if not (math.isfinite(getattr(self, name)) and getattr(self, name) > 0.0)
        ]
        problems += [
            Problem(name, f"the {words} of a strut must be a number, zero or more")
            for name, words in not_negative.items()
            if not (math.isfinite(getattr(self, name)) and getattr(self, name) >= 0.0)
        ]
        if not (math.isfinite(self.dynamic_factor) and self.dynamic_factor >= 1.0):
            problems.append(Problem("dynamic_factor", "the dynamic factor must be a number, 1 or more"))
        if problems:
            raise InputError(tuple(problems))


def strut_allowable_force_N(span_m: FloatOrArray, basis: StrutBasis) -> FloatOrArray:
    """Allowable compression of a strut by its span.

    Args:
        span_m: span pin to pin, m, positive; number or array.
        basis: the strut family and the rules.

    Returns:
        Force, N, not negative, shape of the span. The slenderness limit is a check of its own.

    Source: ASME BTH-1 3-2.2 to 3-2.4; closed form by own derivation (:func:`allowable_force_N`).
    """
    span = np.asarray(span_m, dtype=np.float64)
    section = basis.section
    slenderness = basis.effective_length_factor * span / section.radius_of_gyration_m
    self_weight_N_per_m = basis.line_mass_kg_per_m * basis.gravity_m_s2 * basis.dynamic_factor
    return allowable_force_N(
        area_m2=section.area_m2,
        section_modulus_m3=section.elastic_modulus_m3,
        self_weight_moment_Nm=self_weight_N_per_m * span**2 / 8.0,
        eccentricity_m=basis.pin_offset_m + span / basis.bow_divisor + basis.joint_slack_m,
        allowable_compression_Pa=allowable_compression_Pa(
            slenderness, basis.elastic_modulus_Pa, basis.yield_Pa, basis.design_factor
        ),
        euler_allowable_Pa=euler_allowable_Pa(slenderness, basis.elastic_modulus_Pa, basis.design_factor),
        allowable_bending_Pa=allowable_bending_compact_Pa(basis.yield_Pa, basis.design_factor),
    )
