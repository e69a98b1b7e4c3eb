"""A strut of the lift as a beam-column of its own pieces: what bends it, and what that does at every joint.

Self-weight piece by piece, joint sets at their joints, offset of the pins, bow, slack of the joints and wind on the
tube. Lines that take hold of the body instead of the end pins make point loads and overhangs of it.
"""

from __future__ import annotations

import functools
import itertools
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from plumbhook.checks.en_1993_1_1_2005.strut import FirstOrderMoments
from plumbhook.checks.sections import CircularHollowSection
from plumbhook.checks.solved_strut import SolvedStrut
from plumbhook.core.units import format_quantity
from plumbhook.model.equipment import StrutFamily
from plumbhook.planning.rig import ResolvedStrut
from plumbhook.statics.beam_column import (
    BeamColumn,
    critical_load_N,
    kinked_offsets_m,
    parabolic_bow,
    solve,
)

Array = npt.NDArray[np.float64]

# The least stiffness at which a joint counts as rigid, in EI/L: EN 1993-1-8:2005 5.2.2.5 for frames that sway, from
# memory. It stands in for a stiffness that nobody has stated; a rigid joint would be the kinder guess.
UNSTATED_STIFFNESS = 25.0
# Wind on a round tube: drag factor of a long cylinder and half the density of air, common practice.
TUBE_DRAG = 1.2
HALF_AIR_DENSITY_KG_M3 = 0.613
_GRACE_M = 1e-9
_REMEMBERED = 64


@dataclass(frozen=True, slots=True)
class JointForces:
    """What one bolted joint of a strut has to carry.

    Attributes:
        station_m: distance from the pin of end a, m.
        compression_N: compression, N.
        shear_N: shear across the bent axis, the larger of both sides of the joint, N.
        moment_Nm: second-order bending moment, N m.
    """

    station_m: float
    compression_N: float
    shear_N: float
    moment_Nm: float


@dataclass(frozen=True, slots=True)
class BodyLoad:
    """A vertical force that hangs from the body of a strut: place from the pin of end a (m), force downward (N)."""

    station_m: float
    force_N: float


class StrutAnalysis:
    """One strut, ready to be bent under any compression and level of load.

    Args:
        strut: the strut with its pieces at their stations.
        families: strut families by name; a piece of another family bends with its own tube.
        gravity_m_s2: acceleration of gravity, m/s2.
        dynamic_factor: dynamic factor on the self-weight.
        wind_m_s: wind speed at which the lift is stopped at the latest, m/s; 0 where none is stated.
        held_at_m: stations where the lines above hold the strut, from the pin of end a, m; its pins by default.
        body_loads: what hangs from its body instead of its pins.
    """

    def __init__(
        self,
        strut: ResolvedStrut,
        families: Mapping[str, StrutFamily],
        *,
        gravity_m_s2: float,
        dynamic_factor: float,
        wind_m_s: float = 0.0,
        held_at_m: tuple[float, float] | None = None,
        body_loads: Sequence[BodyLoad] = (),
    ) -> None:
        family = strut.family
        self.family = family
        self.span_m = strut.span_m
        self.section = CircularHollowSection.of_dimensions(family.outside_diameter_m, family.wall_m)
        self._held = (0.0, strut.span_m) if held_at_m is None else held_at_m
        weight = gravity_m_s2 * dynamic_factor
        stiffness = family.elastic_modulus_Pa * self.section.second_moment_m4
        self.splice_Nm_per_rad = (
            family.joint_stiffness_Nm_per_rad or UNSTATED_STIFFNESS * stiffness / strut.span_m
        )
        self.splice_origin = (
            "as stated for the family"
            if family.joint_stiffness_Nm_per_rad
            else "not stated: the least of a joint called rigid, 25 EI/L (EN 1993-1-8 5.2.2.5, from memory)"
        )
        spreads = [
            _Spread(
                part.start_m,
                part.end_m,
                part.mass_kg * weight / (part.end_m - part.start_m),
                _stiffness(families.get(_family_of(strut, part.serial), family)),
            )
            for part in strut.placements
            if part.end_m - part.start_m > _GRACE_M
        ]
        points = [BodyLoad(at, family.joint_mass_kg * weight) for at in strut.joints_m]
        self._cut = _Cut.of(
            spreads,
            joints=strut.joints_m,
            points=(*points, *body_loads),
            held=self._held,
            splice=self.splice_Nm_per_rad,
            slack_rad=family.joint_slack_rad or 0.0,
        )
        self._wind_N_per_m = HALF_AIR_DENSITY_KG_M3 * wind_m_s**2 * TUBE_DRAG * family.outside_diameter_m

    @property
    def held_span_m(self) -> float:
        """Distance between the two places where the lines above hold the strut, m."""
        return self._held[1] - self._held[0]

    @functools.cached_property
    def critical_force_N(self) -> float:
        """Elastic critical load with the joints, N."""
        cut = self._cut
        return _critical_force_N(
            tuple(cut.length_m.tolist()),
            tuple(cut.stiffness_Nm2.tolist()),
            tuple(cut.splice_Nm_per_rad.tolist()),
        )

    def moments_Nm(self, compression_N: npt.ArrayLike, *, factor: float, bow_divisor: float) -> Array:
        """Largest second-order moment under a factor on compression and loads, for many compressions at once.

        Wind bends across the vertical plane; the largest moments of both planes are added as vectors wherever they
        are, which is on the safe side.

        Args:
            compression_N: compression, any shape, N.
            factor: factor on compression, self-weight, wind and what hangs from the body.
            bow_divisor: span over bow.

        Returns:
            Moment, shape of the compression, N m; NaN where the compression reaches the critical load.
        """
        force = factor * np.asarray(compression_N, dtype=np.float64)
        moment = solve(self._member(factor, self.held_span_m / bow_divisor), force).largest_moment_Nm()
        return self._with_wind(moment, factor, force)

    def solved(
        self, compression_N: float, *, factor: float, bow_divisor: float, quantity: str = ""
    ) -> SolvedStrut:
        """Bend the strut under a factor on compression and loads.

        Args:
            compression_N: compression, N.
            factor: factor on compression, self-weight, wind and what hangs from the body.
            bow_divisor: span over bow.
            quantity: key of the moment as a quantity of the rig.

        Returns:
            The record that the checks take; its moment is NaN where the compression reaches the critical load.
        """
        force, bow = factor * compression_N, self.held_span_m / bow_divisor
        moment, place = solve(self._member(factor, bow), force).largest_moment()
        first = solve(self._first_order(factor, force, bow), 0.0).largest_moment_Nm()
        return SolvedStrut(
            compression_N=force,
            critical_force_N=self.critical_force_N,
            moment_Nm=float(self._with_wind(moment, factor, force)),
            station_m=self._held[0] + float(place),
            first_order_moment_Nm=math.hypot(float(first), factor * self._still_wind_Nm),
            bow_m=bow,
            splice_Nm_per_rad=self.splice_Nm_per_rad,
            splice_origin=self.splice_origin,
            quantity=quantity,
        )

    def first_order_Nm(self, compression_N: npt.ArrayLike, *, factor: float) -> dict[str, Array]:
        """Moments from loads and offset of the pins, no bow and no further bending, for many compressions at once.

        Args:
            compression_N: compression, any shape, N.
            factor: factor on compression and loads.

        Returns:
            Moments at the ``first`` and ``second`` pin, at mid-span (``middle``), the ``end`` that is larger by
            amount, and the ``largest`` amount, each of the shape of the compression, N m.
        """
        force = factor * np.asarray(compression_N, dtype=np.float64)
        bent = solve(self._first_order(factor, force, 0.0), np.zeros_like(force))
        first, second = bent.start_moment_Nm[0], bent.end_moment_Nm[-1]
        stations = np.concatenate([[0.0], np.cumsum(self._cut.length_m)])
        middle = 0.5 * stations[-1]
        piece = min(int(np.searchsorted(stations[1:], middle)), len(stations) - 2)
        share = (middle - stations[piece]) / self._cut.length_m[piece]
        return {
            "first": first,
            "second": second,
            "middle": bent.moment_Nm(np.asarray(share))[piece],
            "end": np.where(np.abs(first) >= np.abs(second), first, second),
            "largest": self._with_wind(bent.largest_moment_Nm(), factor, np.zeros_like(force)),
        }

    def first_order(self, compression_N: float, *, factor: float, quantity: str = "") -> FirstOrderMoments:
        """Moments from loads and offset of the pins as the checks take them.

        Args:
            compression_N: compression, N.
            factor: factor on compression and loads.
            quantity: key of the moments as quantities of the rig.
        """
        found = {
            name: float(value) for name, value in self.first_order_Nm(compression_N, factor=factor).items()
        }
        return FirstOrderMoments(found["first"], found["second"], found["middle"], found["largest"], quantity)

    def joints(self, compression_N: float, *, factor: float, bow_divisor: float) -> tuple[JointForces, ...]:
        """Compression, shear and moment at every joint, in order from end a.

        Args:
            compression_N: compression, N.
            factor: factor on compression and loads; 1 for the level of service.
            bow_divisor: span over bow.

        Returns:
            One record for each joint between the places where the strut is held; NaN where the compression
            reaches the critical load.
        """
        found = self.joint_arrays(np.float64(compression_N), factor=factor, bow_divisor=bow_divisor)
        return tuple(
            JointForces(at, factor * compression_N, float(shear), float(moment))
            for at, (shear, moment) in found.items()
        )

    def joint_arrays(
        self, compression_N: npt.ArrayLike, *, factor: float, bow_divisor: float
    ) -> dict[float, tuple[Array, Array]]:
        """Shear and moment at every joint for many compressions at once.

        Args:
            compression_N: compression, any shape, N.
            factor: factor on compression and loads.
            bow_divisor: span over bow.

        Returns:
            By station of the joint from the pin of end a (m): shear, N, the larger of both sides of the joint, and
            moment, N m, each of the shape of the compression; NaN where it reaches the critical load.
        """
        force = factor * np.asarray(compression_N, dtype=np.float64)
        bent = solve(self._member(factor, self.held_span_m / bow_divisor), force)
        lateral = solve(self._lateral(factor), force)
        planes = [(bent.node_moment_Nm, *bent.shear_N()), (lateral.node_moment_Nm, *lateral.shear_N())]
        found = {}
        for node, at in enumerate(self._cut.joint_at_node_m, start=1):
            if at is None:
                continue
            moment, before, after = (
                np.hypot(*(plane[part][place] for plane in planes))
                for part, place in ((0, node), (2, node - 1), (1, node))
            )
            found[at] = (np.maximum(before, after), moment)
        return found

    def describe_splice(self) -> str:
        """Stiffness of the joints in words."""
        return format_quantity(self.splice_Nm_per_rad, "Nm_per_rad", "kN.m/rad", decimals=0)

    def _member(self, factor: float, bow_m: float) -> BeamColumn:
        cut = self._cut
        offsets, rises = parabolic_bow(cut.length_m, bow_m)
        return BeamColumn.of(
            cut.length_m,
            cut.stiffness_Nm2,
            line_load_N_per_m=factor * cut.load_N_per_m,
            splice_Nm_per_rad=cut.splice_Nm_per_rad,
            joint_load_N=factor * cut.point_N,
            joint_offset_m=offsets + kinked_offsets_m(cut.length_m, cut.kink_rad),
            piece_rise_m=rises,
            end_eccentricity_m=self.family.pin_offset_m,
            end_moment_Nm=factor * cut.end_moment_Nm,
        )

    def _first_order(self, factor: float, force_N: npt.ArrayLike, bow_m: float) -> BeamColumn:
        """The strut as a beam on which compression times offset is a load: a bow a uniform one, a kink a point load."""
        cut, span, force = self._cut, self.held_span_m, np.asarray(force_N)[..., None]
        return BeamColumn.of(
            cut.length_m,
            cut.stiffness_Nm2,
            line_load_N_per_m=factor * cut.load_N_per_m + 8.0 * force * bow_m / span**2,
            joint_load_N=factor * cut.point_N + force * cut.kink_rad,
            end_moment_Nm=factor * cut.end_moment_Nm + force * self.family.pin_offset_m,
        )

    def _lateral(self, factor: float) -> BeamColumn:
        cut = self._cut
        return BeamColumn.of(
            cut.length_m,
            cut.stiffness_Nm2,
            line_load_N_per_m=factor * self._wind_N_per_m,
            splice_Nm_per_rad=cut.splice_Nm_per_rad,
        )

    @functools.cached_property
    def _still_wind_Nm(self) -> float:
        """Largest moment of the wind alone without compression, at factor 1, N m."""
        return float(self._with_wind(np.zeros(()), 1.0, 0.0))

    def _with_wind(self, moment_Nm: Array, factor: float, force_N: npt.ArrayLike) -> Array:
        if self._wind_N_per_m == 0.0:
            return moment_Nm
        return np.hypot(moment_Nm, solve(self._lateral(factor), force_N).largest_moment_Nm())


@functools.lru_cache(maxsize=_REMEMBERED)
def _critical_force_N(
    length_m: tuple[float, ...], stiffness_Nm2: tuple[float, ...], splice_Nm_per_rad: tuple[float, ...]
) -> float:
    """Elastic critical load of a strut of pieces, N; asked for again with every case of the same strut."""
    return float(critical_load_N(BeamColumn.of(length_m, stiffness_Nm2, splice_Nm_per_rad=splice_Nm_per_rad)))


def _family_of(strut: ResolvedStrut, serial: str) -> str:
    return next((item.family for item in (*strut.pieces, *strut.fittings) if item.serial == serial), "")


def _stiffness(family: StrutFamily) -> float:
    tube = CircularHollowSection.of_dimensions(family.outside_diameter_m, family.wall_m)
    return family.elastic_modulus_Pa * tube.second_moment_m4


@dataclass(frozen=True, slots=True)
class _Spread:
    """A piece between two stations with its weight per length (dynamic factor included) and its stiffness."""

    start_m: float
    end_m: float
    load_N_per_m: float
    stiffness_Nm2: float


@dataclass(frozen=True, slots=True, eq=False)
class _Cut:
    """The strut between its two holds, cut wherever something changes; what overhangs bends its ends."""

    length_m: Array
    stiffness_Nm2: Array
    load_N_per_m: Array
    splice_Nm_per_rad: Array
    kink_rad: Array
    point_N: Array
    end_moment_Nm: Array
    joint_at_node_m: tuple[float | None, ...]

    @classmethod
    def of(
        cls,
        spreads: Sequence[_Spread],
        *,
        joints: Sequence[float],
        points: Sequence[BodyLoad],
        held: tuple[float, float],
        splice: float,
        slack_rad: float,
    ) -> _Cut:
        low, high = held
        wanted = [*(s.start_m for s in spreads), *(s.end_m for s in spreads), *(p.station_m for p in points)]
        inner = _distinct(at for at in wanted if low + _GRACE_M < at < high - _GRACE_M)
        edges = [low, *inner, high]
        middles = [0.5 * (a + b) for a, b in itertools.pairwise(edges)]
        own = [next(s for s in spreads if s.start_m <= at <= s.end_m) for at in middles]
        is_joint = [_is_any(at, joints) for at in inner]
        return cls(
            length_m=np.diff(np.array(edges)),
            stiffness_Nm2=np.array([s.stiffness_Nm2 for s in own]),
            load_N_per_m=np.array([s.load_N_per_m for s in own]),
            splice_Nm_per_rad=np.array([splice if joint else math.inf for joint in is_joint]),
            kink_rad=np.array([slack_rad if joint else 0.0 for joint in is_joint]),
            point_N=np.array(
                [sum(p.force_N for p in points if abs(p.station_m - at) <= _GRACE_M) for at in inner]
            ),
            end_moment_Nm=np.array(
                [
                    _overhang(spreads, points, low, side=-1.0),
                    _overhang(spreads, points, high, side=1.0),
                ]
            ),
            joint_at_node_m=tuple(at if joint else None for at, joint in zip(inner, is_joint, strict=True)),
        )


def _overhang(spreads: Sequence[_Spread], points: Sequence[BodyLoad], hold_m: float, *, side: float) -> float:
    """Moment at a hold of all that hangs beyond it, N m; not positive, for it makes the strut hog."""
    total = sum(p.force_N * max(0.0, side * (p.station_m - hold_m)) for p in points)
    for piece in spreads:
        near, far = sorted((side * (piece.start_m - hold_m), side * (piece.end_m - hold_m)))
        near, far = max(near, 0.0), max(far, 0.0)
        total += piece.load_N_per_m * 0.5 * (far**2 - near**2)
    return -total


def _distinct(stations: Iterable[float]) -> list[float]:
    found: list[float] = []
    for at in sorted(stations):
        if not found or at - found[-1] > _GRACE_M:
            found.append(at)
    return found


def _is_any(at: float, stations: Sequence[float]) -> bool:
    return any(abs(at - other) <= _GRACE_M for other in stations)
