"""What a strut may carry by its span and the angle of its top slings, with the working point of a lift.

A label with one number is wrong at every other angle. The chart is data: arrays over spans and angles; nothing is drawn
here. Pieces keep their proportions as the span changes, end fittings keep their length.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
import numpy.typing as npt

from plumbhook.checks.asme_bth_1.compression import (
    StrutBasis,
    allowable_bending_compact_Pa,
    allowable_compression_Pa,
)
from plumbhook.checks.asme_bth_1.segmented import amplification_level, combined_use, equivalent_slenderness
from plumbhook.checks.en_1993_1_1_2005.second_order import bow_divisor, section_use
from plumbhook.checks.strut_rating import next_worse
from plumbhook.core.errors import InputError, Problem
from plumbhook.model.strut_rating import RatingTable
from plumbhook.planning.check_strut import ALLOWABLE, SECOND_ORDER
from plumbhook.statics.beam_column import BeamColumn, critical_load_N, parabolic_bow, solve
from plumbhook.statics.beam_column.capacity import largest_compression_N

Array = npt.NDArray[np.float64]

TOO_SLENDER, RATED, NOT_RATED = "slenderness", "rating of the maker", "not rated by the maker"
# So many spans are reckoned together: their arrays stay near the processor.
_BLOCK = 20


@dataclass(frozen=True, slots=True)
class StrutPattern:
    """How a strut of a family is put together, whatever its span.

    Attributes:
        basis: section, steel, weight, offsets and rules of the family.
        buckling_curve: of EN 1993-1-1 Table 6.2.
        piece_shares: length of each piece in proportion to all pieces together, in order from end a.
        end_offset_m: from each pin to the face of its end fitting, m.
        splice_Nm_per_rad: rotational stiffness of every joint, N m/rad; infinite for rigid ones.
        pins_apart_m: how far inboard of the top slings' pin the lower slings hang, along the axis, m; it adds the
            vertical force times itself to the moment at each end.
        load_factor: load factor of the second-order route.
        gamma_M1: partial factor of that route.
        max_slenderness: slenderness beyond which a strut is not used.

    Raises:
        InputError: shares that are not positive or do not sum to 1, or another number that makes no sense.
    """

    basis: StrutBasis
    buckling_curve: str
    piece_shares: tuple[float, ...]
    end_offset_m: float
    splice_Nm_per_rad: float
    pins_apart_m: float = 0.0
    load_factor: float = 1.35
    gamma_M1: float = 1.0
    max_slenderness: float = 200.0

    def __post_init__(self) -> None:
        shares = np.array(self.piece_shares, dtype=np.float64)
        problems = []
        if shares.size == 0 or not np.all(shares > 0.0) or abs(float(shares.sum()) - 1.0) > 1e-9:
            problems.append(Problem("piece_shares", "the shares of the pieces must be positive and sum to 1"))
        for name, words in (("end_offset_m", "end offset"), ("pins_apart_m", "distance of the pins")):
            if not 0.0 <= getattr(self, name) < np.inf:
                problems.append(Problem(name, f"the {words} must be a number, zero or more"))
        positive = ("splice_Nm_per_rad", "load_factor", "gamma_M1", "max_slenderness")
        problems.extend(
            Problem(name, "this must be a positive number")
            for name in positive
            if not getattr(self, name) > 0.0
        )
        if problems:
            raise InputError(tuple(problems))


@dataclass(frozen=True, slots=True, eq=False)
class CapacityChart:
    """A chart over spans (S,) and angles of the top slings from the vertical (A,).

    Attributes:
        spans_m: spans pin to pin, m.
        angles_from_vertical_rad: angles of the top slings from the vertical, rad.
        compression_N: largest compression, dynamic factor included, (S, A), N.
        load_kg: largest load below the strut, hung at both ends alike, (S, A), kg; zero where there is none.
        governing: the rule that sets it, (S, A).
    """

    spans_m: Array
    angles_from_vertical_rad: Array
    compression_N: Array
    load_kg: Array
    governing: npt.NDArray[np.str_]


@dataclass(frozen=True, slots=True)
class WorkingPoint:
    """Where a lift stands in a chart: span, flattest top sling, load, and the use of what may be carried there."""

    span_m: float
    angle_from_vertical_rad: float
    load_kg: float
    capacity_kg: float
    governing: str

    @property
    def use(self) -> float:
        """Load over capacity; infinite where nothing may be carried, NaN where a number is missing."""
        if np.isnan(self.load_kg) or np.isnan(self.capacity_kg):
            return float("nan")
        return self.load_kg / self.capacity_kg if self.capacity_kg > 0.0 else float("inf")


def capacity_chart(
    pattern: StrutPattern,
    spans_m: npt.ArrayLike,
    angles_from_vertical_rad: npt.ArrayLike,
    *,
    routes: Sequence[str] = (ALLOWABLE, SECOND_ORDER),
    rating: RatingTable | None = None,
) -> CapacityChart:
    """Largest load of a strut by span and angle: the least of the routes and of the maker's rating.

    Args:
        pattern: the strut.
        spans_m: spans pin to pin, (S,), m, each longer than both end offsets.
        angles_from_vertical_rad: angles of the top slings from the vertical, (A,), above zero and below 90 degrees.
        routes: rules of strength, ``allowable_stress`` and ``second_order``.
        rating: the maker's table; it limits where it is given, and nothing is carried beyond it.

    Raises:
        InputError: a span or angle is out of its range, or a route is not known.
    """
    spans = np.atleast_1d(np.asarray(spans_m, dtype=np.float64))
    angles = np.atleast_1d(np.asarray(angles_from_vertical_rad, dtype=np.float64))
    _refuse_nonsense(pattern, spans, angles, routes)
    shape = (spans.size, angles.size)
    force = np.full(shape, np.inf)
    governing = np.full(shape, "", dtype="<U24")
    critical = critical_load_N(_bare(pattern, spans))
    for first in range(0, spans.size, _BLOCK):
        rows = slice(first, first + _BLOCK)
        struts = _Struts(pattern, spans[rows], angles, critical[rows])
        for route in routes:
            found = np.nan_to_num(_ROUTES[route](struts), nan=0.0)
            lower = found < force[rows]
            force[rows] = np.where(lower, found, force[rows])
            governing[rows] = np.where(lower, route, governing[rows])
    slender = spans * pattern.basis.effective_length_factor > (
        pattern.max_slenderness * pattern.basis.section.radius_of_gyration_m
    )
    force[slender], governing[slender] = 0.0, TOO_SLENDER
    load = _load_kg(pattern, spans, angles, force)
    if rating is not None:
        load, governing = _rated(rating, spans, angles, load, governing)
    return CapacityChart(spans, angles, force, load, governing)


def working_point(
    pattern: StrutPattern,
    span_m: float,
    angle_from_vertical_rad: float,
    load_kg: float,
    *,
    rating: RatingTable | None = None,
) -> WorkingPoint:
    """The point of a lift in the chart of its strut, reckoned at its own span and angle and not read from the grid.

    Args:
        pattern: the strut.
        span_m: its span, m.
        angle_from_vertical_rad: its flattest top sling, from the vertical, rad.
        load_kg: load below it, kg.
        rating: the maker's table.

    Raises:
        InputError: as :func:`capacity_chart`.
    """
    chart = capacity_chart(pattern, [span_m], [angle_from_vertical_rad], rating=rating)
    return WorkingPoint(
        span_m, angle_from_vertical_rad, load_kg, float(chart.load_kg[0, 0]), str(chart.governing[0, 0])
    )


def _bare(pattern: StrutPattern, spans: Array) -> BeamColumn:
    """The strut at every span without anything that bends it: fittings, pieces and joints, (S, n)."""
    inner = (spans - 2.0 * pattern.end_offset_m)[:, None] * np.array(pattern.piece_shares)
    ends = np.full((spans.size, 1), pattern.end_offset_m)
    length = np.concatenate([ends, inner, ends], axis=1) if pattern.end_offset_m else inner
    stiffness = pattern.basis.elastic_modulus_Pa * pattern.basis.section.second_moment_m4
    return BeamColumn.of(length, stiffness, splice_Nm_per_rad=pattern.splice_Nm_per_rad)


class _Struts:
    """A block of struts by span and angle, ready to be bent."""

    def __init__(self, pattern: StrutPattern, spans: Array, angles: Array, critical_N: Array) -> None:
        basis, section = pattern.basis, pattern.basis.section
        self.pattern, self.basis, self.section = pattern, basis, section
        self.length = _bare(pattern, spans).length_m[:, None, :]
        self.span = spans[:, None]
        eccentricity = basis.pin_offset_m + basis.joint_slack_m + pattern.pins_apart_m / np.tan(angles)
        self.eccentricity = np.broadcast_to(eccentricity[None, :, None], (1, angles.size, 2))
        self.shape = (spans.size, angles.size)
        self.critical = np.broadcast_to(critical_N[:, None], self.shape)

    def moments(self, factor: float, divisor: float) -> Callable[[Array], Array]:
        """Second-order moment by compression, under a factor on compression and self-weight."""
        basis = self.basis
        offsets, rises = parabolic_bow(self.length, self.span / divisor)
        weight = basis.line_mass_kg_per_m * basis.gravity_m_s2 * basis.dynamic_factor
        strut = BeamColumn.of(
            self.length,
            basis.elastic_modulus_Pa * self.section.second_moment_m4,
            line_load_N_per_m=factor * weight,
            splice_Nm_per_rad=self.pattern.splice_Nm_per_rad,
            joint_offset_m=offsets,
            piece_rise_m=rises,
            end_eccentricity_m=self.eccentricity,
        )
        return lambda force: solve(strut, factor * force).largest_moment_Nm()


def _allowable_stress(struts: _Struts) -> Array:
    basis, section = struts.basis, struts.section
    level = amplification_level(basis.design_factor)
    moment = struts.moments(level, basis.bow_divisor)
    slenderness = equivalent_slenderness(struts.critical, section.area_m2, basis.elastic_modulus_Pa)
    allowable = allowable_compression_Pa(
        slenderness, basis.elastic_modulus_Pa, basis.yield_Pa, basis.design_factor
    )
    return largest_compression_N(
        lambda force: np.asarray(
            combined_use(
                force,
                moment(force) / level,
                area_m2=section.area_m2,
                section_modulus_m3=section.elastic_modulus_m3,
                allowable_compression_Pa=allowable,
                allowable_bending_Pa=allowable_bending_compact_Pa(basis.yield_Pa, basis.design_factor),
            )
        ),
        struts.critical / level,
    )


def _second_order(struts: _Struts) -> Array:
    basis, section, pattern = struts.basis, struts.section, struts.pattern
    moment = struts.moments(pattern.load_factor, bow_divisor(pattern.buckling_curve))
    return largest_compression_N(
        lambda force: np.asarray(
            section_use(
                pattern.load_factor * force,
                moment(force),
                area_m2=section.area_m2,
                section_modulus_m3=section.elastic_modulus_m3,
                yield_Pa=basis.yield_Pa,
                gamma_M=pattern.gamma_M1,
            )
        ),
        struts.critical / pattern.load_factor,
    )


_ROUTES: Mapping[str, Callable[[_Struts], Array]] = MappingProxyType(
    {ALLOWABLE: _allowable_stress, SECOND_ORDER: _second_order}
)


def _load_kg(pattern: StrutPattern, spans: Array, angles: Array, force: Array) -> Array:
    """Load that presses the strut so: ``2 N/(tan beta k_d g)`` less the strut's own mass."""
    basis = pattern.basis
    vertical = 2.0 * force / np.tan(angles) / (basis.dynamic_factor * basis.gravity_m_s2)
    return np.maximum(0.0, vertical - basis.line_mass_kg_per_m * spans[:, None])


def _rated(
    rating: RatingTable, spans: Array, angles: Array, load: Array, governing: npt.NDArray[np.str_]
) -> tuple[Array, npt.NDArray[np.str_]]:
    rows = [next_worse(rating.spans_m, float(span), 1e-6) for span in spans]
    columns = [next_worse(rating.angles_from_vertical_rad, float(angle), 1e-6) for angle in angles]
    table = np.array(
        [
            [
                np.nan
                if row is None or column is None
                else _number(
                    rating.rated_kg[rating.spans_m.index(row)][rating.angles_from_vertical_rad.index(column)]
                )
                for column in columns
            ]
            for row in rows
        ]
    )
    absent = np.isnan(table)
    limits = absent | (table < load)
    words = np.where(absent, NOT_RATED, RATED)
    return np.where(absent, 0.0, np.fmin(table, load)), np.where(limits, words, governing)


def _number(rated: float | None) -> float:
    return np.nan if rated is None else rated


def _refuse_nonsense(pattern: StrutPattern, spans: Array, angles: Array, routes: Sequence[str]) -> None:
    problems = []
    if not np.all(np.isfinite(spans) & (spans > 2.0 * pattern.end_offset_m)):
        problems.append(Problem("spans_m", "every span must be longer than its two end fittings"))
    if not np.all((angles > 0.0) & (angles < 0.5 * np.pi)):
        problems.append(
            Problem(
                "angles_from_vertical_rad", "every angle must be between 0 and 90 degrees from the vertical"
            )
        )
    unknown = [route for route in routes if route not in _ROUTES]
    if unknown or not routes:
        problems.append(Problem("routes", f"name at least one of {', '.join(_ROUTES)}"))
    if problems:
        raise InputError(tuple(problems))
