"""EN 1993-1-8:2005, 3.5 to 3.9: single bolts in shear, tension, bearing and slip, and their distances.

The functions work on numbers and on arrays. Partial factors are arguments: gamma_M2 1.25, gamma_M3 1.25 (1.10 at
serviceability) and gamma_M7 1.10 are the recommended values, from memory.
"""

from __future__ import annotations

import difflib
import math
from dataclasses import dataclass

import numpy as np

from plumbhook.checks.inputs import FloatOrArray, as_given
from plumbhook.core.check import Clause, SourceQuality, Value
from plumbhook.core.errors import InputError
from plumbhook.core.tables import Column, packaged_table
from plumbhook.core.units import Kind

DOCUMENT, EDITION = "EN 1993-1-8", "2005"
BOLT_SHEAR = Clause(DOCUMENT, EDITION, "Table 3.4, shear")
BOLT_TENSION = Clause(DOCUMENT, EDITION, "Table 3.4, tension")
BOLT_BEARING = Clause(DOCUMENT, EDITION, "Table 3.4, bearing", SourceQuality.FROM_MEMORY)
BOLT_PUNCHING = Clause(DOCUMENT, EDITION, "Table 3.4, punching shear", SourceQuality.FROM_MEMORY)
BOLT_COMBINED = Clause(DOCUMENT, EDITION, "Table 3.4, shear and tension", SourceQuality.FROM_MEMORY)
BOLT_DISTANCES = Clause(DOCUMENT, EDITION, "Table 3.3", SourceQuality.FROM_MEMORY)
PRELOAD = Clause(DOCUMENT, EDITION, "3.6.1(2), eq. (3.1)", SourceQuality.FROM_MEMORY)
SLIP = Clause(DOCUMENT, EDITION, "3.9.1, eq. (3.6)", SourceQuality.FROM_MEMORY)
SLIP_WITH_TENSION = Clause(DOCUMENT, EDITION, "3.9.2, eq. (3.8)", SourceQuality.FROM_MEMORY)
TORQUE = Clause("EN 1090-2", "2018", "8.5, torque M = k d F", SourceQuality.FROM_MEMORY)

TENSION_FACTOR = 0.9
"""k2 of Table 3.4 for bolts that are not countersunk."""

_SIZE_COLUMNS = (
    Column("size", "text", required=True),
    Column("diameter", Kind.LENGTH, required=True),
    Column("pitch", Kind.LENGTH, required=True),
    Column("stress_area", Kind.AREA, required=True),
    Column("clearance_hole", Kind.LENGTH, required=True),
)
_CLASS_COLUMNS = (
    Column("bolt_class", "text", required=True),
    Column("yield", Kind.STRESS, required=True),
    Column("ultimate", Kind.STRESS, required=True),
    Column("shear_factor", Kind.RATIO, required=True),
)


@dataclass(frozen=True, slots=True)
class Bolt:
    """A metric bolt of coarse pitch.

    Attributes:
        size: metric size, e.g. ``M20``.
        bolt_class: property class, e.g. ``8.8``.
        diameter_m: nominal diameter d, m.
        stress_area_m2: tensile stress area As, m2.
        hole_m: normal clearance hole d0, m.
        yield_Pa: nominal yield strength fyb, Pa.
        ultimate_Pa: nominal tensile strength fub, Pa.
        shear_factor: alpha_v where the shear plane passes through the thread.
    """

    size: str
    bolt_class: str
    diameter_m: float
    stress_area_m2: float
    hole_m: float
    yield_Pa: float
    ultimate_Pa: float
    shear_factor: float

    @classmethod
    def of(cls, size: str, bolt_class: str, *, field: str = "joint_bolts") -> Bolt:
        """A bolt by its size and property class.

        Args:
            size: metric size as in the table of bolts, e.g. ``M20``.
            bolt_class: property class as in EN 1993-1-8 Table 3.1, e.g. ``8.8``.
            field: field as the user knows it, for the message.

        Raises:
            InputError: size or class are not in the tables.
        """
        sizes = packaged_table("metric_bolts", _SIZE_COLUMNS, "diameter")
        classes = packaged_table("bolt_classes", _CLASS_COLUMNS)
        dimension = {row.text("size"): row for row in sizes.rows}
        strength = {row.text("bolt_class"): row for row in classes.rows}
        if size not in dimension:
            raise InputError.one(_unknown("bolt size", size, list(dimension), nearest=False), field=field)
        if bolt_class not in strength:
            raise InputError.one(_unknown("bolt class", bolt_class, list(strength)), field=field)
        numbers = [dimension[size].number(n) for n in ("diameter", "stress_area", "clearance_hole")]
        numbers += [strength[bolt_class].number(n) for n in ("yield", "ultimate", "shear_factor")]
        return cls(size, bolt_class, *(math.nan if n is None else n for n in numbers))

    def values(self) -> dict[str, Value]:
        """The numbers as values ``d``, ``A_s``, ``d_0``, ``f_ub`` and ``alpha_v``."""
        bolt, table = f"{self.size} {self.bolt_class}", "tables of bolts, from memory"
        return {
            "d": Value("d", self.diameter_m, "m", f"diameter of the bolt {bolt}", table, "mm"),
            "A_s": Value(
                "A_s", self.stress_area_m2, "m2", f"tensile stress area of the bolt {bolt}", table, "mm2"
            ),
            "d_0": Value("d_0", self.hole_m, "m", f"hole of the bolt {bolt}", table, "mm"),
            "f_ub": Value(
                "f_ub", self.ultimate_Pa, "Pa", f"tensile strength of the bolt {bolt}", table, "MPa"
            ),
            "alpha_v": Value("alpha_v", self.shear_factor, "1", "factor of shear through the thread", table),
        }


def _unknown(what: str, written: str, known: list[str], *, nearest: bool = True) -> str:
    # Letters of a size that look alike are no sizes that are alike.
    near = difflib.get_close_matches(written, known, n=1, cutoff=0.6) if nearest else []
    hint = f"did you mean {near[0]}? " if near else ""
    return f'the {what} "{written}" is not in the table; {hint}Known are {", ".join(known)}'


def tensile_stress_area_m2(diameter_m: FloatOrArray, pitch_m: FloatOrArray) -> FloatOrArray:
    """Tensile stress area ``pi/4 (d - 0.9382 P)2`` of a metric thread, m2.

    Source: ISO 898-1.
    """
    return math.pi / 4.0 * (diameter_m - 0.9382 * pitch_m) ** 2


def shear_resistance_N(
    area_m2: FloatOrArray, ultimate_Pa: FloatOrArray, shear_factor: FloatOrArray, gamma_M2: float = 1.25
) -> FloatOrArray:
    """Shear resistance of one bolt in one plane, ``alpha_v fub A / gamma_M2``, N.

    Args:
        area_m2: As where the plane passes through the thread, else the area of the shank, m2.
        ultimate_Pa: tensile strength of the bolt fub, Pa.
        shear_factor: alpha_v: 0.6 through the shank and for 4.6, 5.6 and 8.8 through the thread, 0.5 for 4.8,
            5.8, 6.8 and 10.9 through the thread.
        gamma_M2: partial factor.

    Source: EN 1993-1-8:2005 Table 3.4.
    """
    return shear_factor * ultimate_Pa * area_m2 / gamma_M2


def tension_resistance_N(
    stress_area_m2: FloatOrArray, ultimate_Pa: FloatOrArray, gamma_M2: float = 1.25
) -> FloatOrArray:
    """Tension resistance of one bolt, ``0.9 fub As / gamma_M2``, N; not for countersunk heads.

    Source: EN 1993-1-8:2005 Table 3.4.
    """
    return TENSION_FACTOR * ultimate_Pa * stress_area_m2 / gamma_M2


def bearing_alpha_b(
    end_distance_m: FloatOrArray,
    hole_m: FloatOrArray,
    bolt_ultimate_Pa: FloatOrArray,
    plate_ultimate_Pa: FloatOrArray,
    pitch_m: FloatOrArray | None = None,
) -> FloatOrArray:
    """Factor alpha_b of bearing: least of ``e1/(3 d0)``, ``p1/(3 d0) - 1/4``, ``fub/fu`` and 1.

    Args:
        end_distance_m: end distance e1 in the direction of the force, m.
        hole_m: hole d0, m.
        bolt_ultimate_Pa: tensile strength of the bolt, Pa.
        plate_ultimate_Pa: tensile strength of the plate, Pa.
        pitch_m: pitch p1 in the direction of the force, m; None where there is no second bolt in that line.

    Source: EN 1993-1-8:2005 Table 3.4, from memory.
    """
    least = np.minimum(end_distance_m / (3.0 * hole_m), bolt_ultimate_Pa / plate_ultimate_Pa)
    if pitch_m is not None:
        least = np.minimum(least, pitch_m / (3.0 * hole_m) - 0.25)
    return as_given(np.minimum(least, 1.0))


def bearing_k1(
    edge_distance_m: FloatOrArray, hole_m: FloatOrArray, gauge_m: FloatOrArray | None = None
) -> FloatOrArray:
    """Factor k1 of bearing: least of ``2.8 e2/d0 - 1.7``, ``1.4 p2/d0 - 1.7`` and 2.5.

    Args:
        edge_distance_m: edge distance e2 across the force, m.
        hole_m: hole d0, m.
        gauge_m: pitch p2 across the force, m; None where there is no bolt beside it.

    Source: EN 1993-1-8:2005 Table 3.4, from memory.
    """
    least = np.minimum(2.8 * edge_distance_m / hole_m - 1.7, 2.5)
    if gauge_m is not None:
        least = np.minimum(least, 1.4 * gauge_m / hole_m - 1.7)
    return as_given(least)


def bearing_resistance_N(
    k1: FloatOrArray,
    alpha_b: FloatOrArray,
    plate_ultimate_Pa: FloatOrArray,
    diameter_m: FloatOrArray,
    thickness_m: FloatOrArray,
    gamma_M2: float = 1.25,
) -> FloatOrArray:
    """Bearing resistance of one bolt in one plate, ``k1 alpha_b fu d t / gamma_M2``, N.

    Source: EN 1993-1-8:2005 Table 3.4, from memory.
    """
    return k1 * alpha_b * plate_ultimate_Pa * diameter_m * thickness_m / gamma_M2


def punching_resistance_N(
    head_mean_diameter_m: FloatOrArray,
    thickness_m: FloatOrArray,
    plate_ultimate_Pa: FloatOrArray,
    gamma_M2: float = 1.25,
) -> FloatOrArray:
    """Punching shear of head or nut through the plate, ``0.6 pi dm tp fu / gamma_M2``, N.

    Args:
        head_mean_diameter_m: mean of the widths across points and across flats, m.
        thickness_m: thickness of the plate below head or nut, m.
        plate_ultimate_Pa: tensile strength of the plate, Pa.
        gamma_M2: partial factor.

    Source: EN 1993-1-8:2005 Table 3.4, from memory.
    """
    return 0.6 * math.pi * head_mean_diameter_m * thickness_m * plate_ultimate_Pa / gamma_M2


def shear_and_tension_utilisation(
    shear_N: FloatOrArray,
    tension_N: FloatOrArray,
    shear_resistance_N: FloatOrArray,
    tension_resistance_N: FloatOrArray,
) -> FloatOrArray:
    """Left side of ``Fv/Fv,Rd + Ft/(1.4 Ft,Rd) <= 1``; the tension alone must also be within Ft,Rd.

    Source: EN 1993-1-8:2005 Table 3.4, from memory.
    """
    return shear_N / shear_resistance_N + tension_N / (1.4 * tension_resistance_N)


def preload_N(stress_area_m2: FloatOrArray, ultimate_Pa: FloatOrArray, gamma_M7: float = 1.0) -> FloatOrArray:
    """Preload ``0.7 fub As`` of a bolt of class 8.8 or 10.9; divided by gamma_M7 as a design value, N.

    Source: EN 1993-1-8:2005 eq. (3.1) (gamma_M7 1.1) and (3.7), from memory.
    """
    return 0.7 * ultimate_Pa * stress_area_m2 / gamma_M7


def slip_resistance_N(
    friction_faces: int,
    slip_factor: FloatOrArray,
    preload_N: FloatOrArray,
    gamma_M3: float = 1.25,
    hole_factor: float = 1.0,
    tension_N: FloatOrArray = 0.0,
) -> FloatOrArray:
    """Slip resistance of one preloaded bolt, ``ks n mu (Fp - 0.8 Ft) / gamma_M3``, N; zero where nothing is left.

    Args:
        friction_faces: number n of friction faces.
        slip_factor: mu of the treatment of the faces (0.2, 0.3, 0.4, 0.5 for classes D, C, B, A).
        preload_N: preload of the bolt, N.
        gamma_M3: partial factor.
        hole_factor: ks, 1 for normal holes.
        tension_N: tension on the bolt from outside, N.

    Source: EN 1993-1-8:2005 eq. (3.6) and (3.8), from memory.
    """
    left = np.maximum(preload_N - 0.8 * np.asarray(tension_N, dtype=np.float64), 0.0)
    return as_given(hole_factor * friction_faces * slip_factor * left / gamma_M3)


def preload_from_torque_N(
    torque_Nm: FloatOrArray, diameter_m: FloatOrArray, torque_factor: FloatOrArray
) -> FloatOrArray:
    """Preload ``M/(k d)`` that a tightening torque gives, N.

    Args:
        torque_Nm: tightening torque, N m.
        diameter_m: nominal diameter of the bolt, m.
        torque_factor: k of the bolts as delivered and greased (k-class K1 or K2: on their box, 0.10 to 0.16;
            black or dry bolts 0.18 to 0.20).

    Source: EN 1090-2 8.5, from memory.
    """
    return torque_Nm / (torque_factor * diameter_m)


def torque_for_preload_Nm(
    preload_N: FloatOrArray, diameter_m: FloatOrArray, torque_factor: FloatOrArray
) -> FloatOrArray:
    """Torque ``k d F`` that gives a preload, N m; arguments as in :func:`preload_from_torque_N`.

    Source: EN 1090-2 8.5, from memory.
    """
    return torque_factor * diameter_m * preload_N


def least_end_distance_m(hole_m: FloatOrArray) -> FloatOrArray:
    """Least end and edge distance e1, e2: ``1.2 d0``, m.

    Source: EN 1993-1-8:2005 Table 3.3.
    """
    return 1.2 * hole_m


def least_pitch_along_m(hole_m: FloatOrArray) -> FloatOrArray:
    """Least pitch p1 along the force: ``2.2 d0``, m.

    Source: EN 1993-1-8:2005 Table 3.3, from memory.
    """
    return 2.2 * hole_m


def least_pitch_across_m(hole_m: FloatOrArray) -> FloatOrArray:
    """Least pitch p2 across the force: ``2.4 d0``, m.

    Source: EN 1993-1-8:2005 Table 3.3.
    """
    return 2.4 * hole_m


def largest_end_distance_m(thickness_m: FloatOrArray) -> FloatOrArray:
    """Largest end and edge distance of steel in the weather: ``4 t + 40 mm``, m.

    Source: EN 1993-1-8:2005 Table 3.3, from memory.
    """
    return 4.0 * thickness_m + 0.040


def largest_pitch_m(thickness_m: FloatOrArray) -> FloatOrArray:
    """Largest pitch: the smaller of ``14 t`` and 200 mm, t of the thinner outer plate, m.

    Source: EN 1993-1-8:2005 Table 3.3, from memory.
    """
    return as_given(np.minimum(14.0 * np.asarray(thickness_m), 0.200))
