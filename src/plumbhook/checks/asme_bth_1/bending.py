"""ASME BTH-1, chapter 3: bending of a lifting beam, for I-sections that are compact and braced.

A beam that is picked in the middle and carries the load at its ends is not a strut; these functions serve the
published example, the check of a beam that hangs in a rig of another kind, and the warning of what the beam's own
weight does.
"""

from __future__ import annotations

import math


def centre_pick_moment_Nm(load_N: float, span_m: float) -> float:
    """Largest moment ``W L/4`` of a beam picked in the middle with half the load at each end, Nm.

    Args:
        load_N: load, N.
        span_m: distance of the two ends, m.

    Source: statics.
    """
    return load_N * span_m / 4.0


def self_weight_moment_Nm(weight_N_per_m: float, span_m: float) -> float:
    """Moment ``w L2/8`` at the middle from the beam's own weight, Nm.

    Args:
        weight_N_per_m: weight per length, N/m.
        span_m: length of the beam, m.

    Source: statics; the same for a beam held in the middle or at its ends.
    """
    return weight_N_per_m * span_m**2 / 8.0


def bending_stress_Pa(moment_Nm: float, edge_distance_m: float, second_moment_m4: float) -> float:
    """Stress ``M c/I`` at the edge of a section, Pa.

    Args:
        moment_Nm: bending moment, Nm.
        edge_distance_m: distance c of the edge from the neutral axis, m.
        second_moment_m4: second moment of area, m4.

    Source: theory of beams.
    """
    return moment_Nm * edge_distance_m / second_moment_m4


def largest_centre_pick_load_N(
    allowable_Pa: float, second_moment_m4: float, edge_distance_m: float, span_m: float
) -> float:
    """Load ``4 Fb I/(c L)`` at which a beam picked in the middle reaches its allowable stress, own weight left out, N.

    Args:
        allowable_Pa: allowable bending stress Fb, Pa.
        second_moment_m4: second moment of area, m4.
        edge_distance_m: distance c of the edge from the neutral axis, m.
        span_m: distance of the two ends, m.

    Source: statics with :func:`bending_stress_Pa`.
    """
    return 4.0 * allowable_Pa * second_moment_m4 / (edge_distance_m * span_m)


def brace_spacing_by_flange_m(
    elastic_modulus_Pa: float, yield_Pa: float, depth_m: float, flange_area_m2: float
) -> float:
    """First limit of the unbraced length of a compact section, ``0.67 E/(Fy d/Af)``, m.

    Args:
        elastic_modulus_Pa: modulus of elasticity, Pa.
        yield_Pa: yield strength, Pa.
        depth_m: depth d of the section, m.
        flange_area_m2: area Af of the compression flange, m2.

    Source: ASME BTH-1 eq. (3-7), first form.
    """
    return 0.67 * elastic_modulus_Pa * flange_area_m2 / (yield_Pa * depth_m)


def brace_spacing_by_gyration_m(
    elastic_modulus_Pa: float, yield_Pa: float, radius_of_gyration_m: float
) -> float:
    """Second limit of the unbraced length of a compact section, ``1.76 ry sqrt(E/Fy)``, m.

    Args:
        elastic_modulus_Pa: modulus of elasticity, Pa.
        yield_Pa: yield strength, Pa.
        radius_of_gyration_m: radius of gyration about the weak axis, m.

    Source: ASME BTH-1 eq. (3-7), second form; the smaller of the two limits governs.
    """
    return 1.76 * radius_of_gyration_m * math.sqrt(elastic_modulus_Pa / yield_Pa)


def compact_flange_limit(elastic_modulus_Pa: float, yield_Pa: float) -> float:
    """Largest ratio of half flange to its thickness of a compact section, ``0.38 sqrt(E/Fy)``, dimensionless.

    Source: ASME BTH-1 Table 3-1.
    """
    return 0.38 * math.sqrt(elastic_modulus_Pa / yield_Pa)
