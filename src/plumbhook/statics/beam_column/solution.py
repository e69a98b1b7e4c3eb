"""Second-order answer of a strut of pieces in one plane: exact moments, deflections and their largest values."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from plumbhook.statics.beam_column import _sine
from plumbhook.statics.beam_column._sine import SineTerm

Array = npt.NDArray[np.float64]

# Twelve points integrate a sine of half a wave to the last digit of a float.
_POINTS, _WEIGHTS = np.polynomial.legendre.leggauss(12)
_SAMPLES = np.linspace(0.0, 1.0, 33)


@dataclass(frozen=True, slots=True, eq=False)
class Bent:
    """A strut in its bent shape. Arrays have the piece or node axis first, then the axes of the batch.

    Every number is NaN where the compression reaches the elastic critical load: there is no answer there.

    Attributes:
        compression_N: compression, batch shape, N.
        length_m: length of each piece, (n, ...), m.
        stiffness_Nm2: EI of each piece, (n, ...), N m2.
        k_per_m: sqrt(N/EI) of each piece, 1/m.
        half_sine: sin(kl/2) of each piece.
        half_cosine: cos(kl/2) of each piece.
        start_moment_Nm: moment at the start of each piece, (n, ...), N m.
        end_moment_Nm: moment at the end of each piece, (n, ...), N m.
        load_N_per_m: transverse load with that of the initial rise, 8 N rise/l2, (n, ...), N/m.
        rotation_rad: rotation of each splice, M/K, (n - 1, ...), rad.
        sine: the term of a sine bow; None where there is none.
    """

    compression_N: Array
    length_m: Array
    stiffness_Nm2: Array
    k_per_m: Array
    half_sine: Array
    half_cosine: Array
    start_moment_Nm: Array
    end_moment_Nm: Array
    load_N_per_m: Array
    rotation_rad: Array
    sine: SineTerm | None

    @property
    def node_moment_Nm(self) -> Array:
        """Moment at pins and joints, (n + 1, ...), N m."""
        return np.concatenate([self.start_moment_Nm, self.end_moment_Nm[-1:]])

    @property
    def station_m(self) -> Array:
        """Distance of pins and joints from the first pin, (n + 1, ...), m."""
        return np.concatenate([np.zeros_like(self.length_m[:1]), np.cumsum(self.length_m, axis=0)])

    def moment_Nm(self, share: Array) -> Array:
        """Moment within the pieces, N m.

        Args:
            share: place in the piece, 0 at its start and 1 at its end, broadcast with (n, ...).

        Returns:
            Moment, shape of the broadcast, N m.
        """
        v = self.k_per_m * self.length_m
        sine_v = np.sin(v)
        ends = (
            self.start_moment_Nm * np.sin(v * (1.0 - share)) + self.end_moment_Nm * np.sin(v * share)
        ) / sine_v
        # (cos(v (1/2 - s)) / cos(v/2) - 1) / k2 as a product, which does not lose digits at small v.
        product = np.sin(0.5 * v * share) * np.sin(0.5 * v * (1.0 - share))
        bent = ends + self.load_N_per_m * 2.0 * product / (self.k_per_m**2 * np.cos(0.5 * v))
        if self.sine is not None:
            bent = bent + _sine.value(self.sine, share * self.length_m)
        return np.asarray(bent)

    def shear_N(self) -> tuple[Array, Array]:
        """Slope of the moment at start and end of each piece, (n, ...) each, N: the shear across the bent axis."""
        return _end_slopes(self)

    def largest_moment_Nm(self) -> Array:
        """The largest moment by amount along the strut, batch shape, N m: ends, joints, and within the pieces."""
        return np.asarray(self._amounts()[0].max(axis=0))

    def largest_moment(self) -> tuple[Array, Array]:
        """The largest moment by amount along the strut, and where it is.

        Returns:
            Its amount, N m, and its distance from the first pin, m, each of batch shape; exact within each
            piece, not only at its ends.
        """
        amount, share = self.largest_in_pieces()
        worst = np.expand_dims(np.argmax(amount, axis=0), 0)
        place = self.station_m[:-1] + share * self.length_m
        return np.take_along_axis(amount, worst, 0)[0], np.take_along_axis(place, worst, 0)[0]

    def largest_in_pieces(self) -> tuple[Array, Array]:
        """The largest moment by amount in each piece, N m, and its place 0 to 1 in the piece, (n, ...) each."""
        amount, inside, place = self._amounts()
        at_end = np.abs(self.end_moment_Nm) > np.abs(self.start_moment_Nm)
        if place is None:
            place = 0.5 + _interior_place_m(self) / self.length_m
        return amount, np.where(inside, place, np.where(at_end, 1.0, 0.0))

    def _amounts(self) -> tuple[Array, npt.NDArray[np.bool_], Array | None]:
        """Largest amount in each piece, whether it is within the piece, and where if that came with it."""
        ends = np.maximum(np.abs(self.start_moment_Nm), np.abs(self.end_moment_Nm))
        if self.sine is None:
            inner, place = _interior_extreme(self), None
        else:
            inner, place = self._searched_extreme()
        inner = np.abs(inner)
        # A comparison with NaN is false: where there is no extreme within the piece its ends decide.
        inside = inner > ends
        return np.where(inside, inner, ends), inside, place

    def _searched_extreme(self) -> tuple[Array, Array]:
        """With a sine bow no closed form holds: samples, then parabolas through three points that close in."""
        width = 1.0 / (_SAMPLES.size - 1)
        samples = _SAMPLES.reshape((-1, *(1,) * self.length_m.ndim))
        values = np.abs(self.moment_Nm(samples))
        best = np.argmax(np.nan_to_num(values, nan=-1.0), axis=0)
        place = _SAMPLES[best]
        for _ in range(4):
            place = np.clip(place, width, 1.0 - width)
            left, middle, right = (np.abs(self.moment_Nm(place + shift)) for shift in (-width, 0.0, width))
            bend = left - 2.0 * middle + right
            with np.errstate(divide="ignore", invalid="ignore"):
                shift = np.where(bend < 0.0, 0.5 * (left - right) / bend, 0.0)
            place = np.clip(place + width * np.clip(shift, -1.0, 1.0), 0.0, 1.0)
            width *= 0.125
        return self.moment_Nm(place), place

    def end_rotation_rad(self) -> tuple[Array, Array]:
        """Rotation of the strut at its first and last pin from elastic bending, rad, positive where it sags."""
        starts, ends, chords = self._slopes()
        return chords[0] + starts[0], -(chords[-1] + ends[-1])

    def joint_deflection_m(self) -> Array:
        """Elastic deflection at pins and joints, (n + 1, ...), m, from bending and splices."""
        _, _, chords = self._slopes()
        moved = np.cumsum(chords * self.length_m, axis=0)
        return np.concatenate([np.zeros_like(moved[:1]), moved])

    def deflection_m(self, share: float) -> Array:
        """Elastic deflection at one place of each piece, (n, ...), m.

        Args:
            share: place in the piece, 0 to 1.
        """
        _, _, chords = self._slopes()
        nodes = self.joint_deflection_m()
        own = self._moment_over_stiffness(0.0, share, weight="start") * (1.0 - share)
        own = own + self._moment_over_stiffness(share, 1.0, weight="end") * share
        return np.asarray(nodes[:-1] + chords * share * self.length_m + own * self.length_m**2)

    def largest_deflection_m(self) -> Array:
        """Largest elastic deflection by amount of 33 places in each piece and the joints, batch shape, m."""
        return np.asarray(np.max([np.abs(self.deflection_m(float(at))) for at in _SAMPLES], axis=(0, 1)))

    def _slopes(self) -> tuple[Array, Array, Array]:
        """Slope of each piece against its own chord at start and end, and slope of the chord, rad."""
        starts = self._moment_over_stiffness(0.0, 1.0, weight="end") * self.length_m
        ends = -self._moment_over_stiffness(0.0, 1.0, weight="start") * self.length_m
        turn = ends[:-1] - starts[1:] - self.rotation_rad
        rising = np.concatenate([np.zeros_like(starts[:1]), np.cumsum(turn, axis=0)])
        span = self.length_m.sum(axis=0)
        return starts, ends, rising - (rising * self.length_m).sum(axis=0) / span

    def _moment_over_stiffness(self, low: float, high: float, *, weight: str) -> Array:
        """Integral of M/EI over part of each piece, weighed by the distance from its start or end, all over l."""
        half = 0.5 * (high - low)
        total = np.zeros_like(self.start_moment_Nm)
        for point, part in zip(_POINTS, _WEIGHTS, strict=True):
            share = low + half * (1.0 + point)
            lever = share if weight == "start" else 1.0 - share
            total = total + half * part * lever * self.moment_Nm(np.asarray(share))
        return np.asarray(total / self.stiffness_Nm2)


def _end_slopes(bent: Bent) -> tuple[Array, Array]:
    v = bent.k_per_m * bent.length_m
    s, c = bent.k_per_m / np.sin(v), bent.k_per_m / np.tan(v)
    load = bent.load_N_per_m * np.tan(0.5 * v) / bent.k_per_m
    start = -bent.start_moment_Nm * c + bent.end_moment_Nm * s + load
    end = -bent.start_moment_Nm * s + bent.end_moment_Nm * c - load
    if bent.sine is not None:
        start, end = start + _sine.slope_at_start(bent.sine), end + _sine.slope_at_end(bent.sine)
    return start, end


def _interior_extreme(bent: Bent) -> Array:
    """The one stationary moment that a piece can have, NaN where it has none within its ends.

    With the middle of the piece as origin, ``M = a cos kt + b sin kt - q/k2``; the extreme is
    ``sqrt(a2 + b2) - q/k2``, written so that nothing is lost as k goes to zero.
    """
    k, load, rise, top = bent.k_per_m, bent.load_N_per_m, *_middle(bent)
    mean = 0.5 * (bent.start_moment_Nm + bent.end_moment_Nm)
    sine, cosine = bent.half_sine, bent.half_cosine
    k2 = k * k
    with np.errstate(divide="ignore", invalid="ignore"):
        turned = np.where(top < 0.0, -load, load)
        steep = k * rise
        peak = top / cosine
        root = np.sqrt(peak * peak + steep * steep)
        squares = mean * (mean * k2 + 2.0 * load) + (load * sine / k) ** 2
        value = np.where(
            turned >= 0.0, (squares / (cosine * cosine) + rise * rise) / (root + turned), (root - turned) / k2
        )
        # |tan kt| of the stationary place against that of the ends.
        inside = np.abs(steep) * cosine * cosine <= np.abs(top) * sine
        return np.where(inside, np.where(top < 0.0, -value, value), np.nan)


def _interior_place_m(bent: Bent) -> Array:
    """Distance of the stationary moment from the middle of each piece, m."""
    rise, top = _middle(bent)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(np.arctan(bent.k_per_m * rise * bent.half_cosine / top) / bent.k_per_m)


def _middle(bent: Bent) -> tuple[Array, Array]:
    """Slope term ``k (M_b - M_a)/(2 sin(kl/2))`` and ``k2 (M_a + M_b)/2 + q`` of each piece."""
    rise = 0.5 * bent.k_per_m * (bent.end_moment_Nm - bent.start_moment_Nm) / bent.half_sine
    return rise, 0.5 * (bent.start_moment_Nm + bent.end_moment_Nm) * bent.k_per_m**2 + bent.load_N_per_m
