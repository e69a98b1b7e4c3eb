"""A strut of pieces as a beam-column in one plane: pieces, splices between them, and what bends it.

Every array may carry leading axes (loads, spans, samples) that broadcast with each other; the last axis runs over
the pieces, or over the joints between them. The line of the two end pins is the axis that offsets count from; a
moment, an offset and a transverse load are positive where they make the strut sag, that is, where a downward load
between the pins makes them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from plumbhook.core.errors import InputError, Problem

Array = npt.NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class BeamColumn:
    """One plane of a pin-ended strut of n pieces.

    Attributes:
        length_m: length of each piece, shape (..., n), m.
        stiffness_Nm2: bending stiffness EI of each piece, (..., n), N m2.
        line_load_N_per_m: transverse load on each piece (self-weight, wind), (..., n), N/m.
        splice_Nm_per_rad: rotational stiffness of each joint, (..., n - 1), N m/rad; infinite for a rigid one.
        joint_load_N: transverse point load at each joint, (..., n - 1), N.
        joint_offset_m: initial offset of each joint from the line of the pins, (..., n - 1), m.
        piece_rise_m: initial parabolic rise of each piece over its own chord, (..., n), m.
        sine_bow_m: amplitude of an initial half sine wave from pin to pin, (...), m.
        end_eccentricity_m: offset of the compression from the axis at each end, (..., 2), m.
        end_moment_Nm: moment at each end that does not grow with the compression, (..., 2), N m.

    Raises:
        InputError: a number is missing, or a length or stiffness is not positive; all of them at once.
    """

    length_m: Array
    stiffness_Nm2: Array
    line_load_N_per_m: Array
    splice_Nm_per_rad: Array
    joint_load_N: Array
    joint_offset_m: Array
    piece_rise_m: Array
    sine_bow_m: Array
    end_eccentricity_m: Array
    end_moment_Nm: Array

    @classmethod
    def of(
        cls,
        length_m: npt.ArrayLike,
        stiffness_Nm2: npt.ArrayLike,
        *,
        line_load_N_per_m: npt.ArrayLike = 0.0,
        splice_Nm_per_rad: npt.ArrayLike = np.inf,
        joint_load_N: npt.ArrayLike = 0.0,
        joint_offset_m: npt.ArrayLike = 0.0,
        piece_rise_m: npt.ArrayLike = 0.0,
        sine_bow_m: npt.ArrayLike = 0.0,
        end_eccentricity_m: npt.ArrayLike = 0.0,
        end_moment_Nm: npt.ArrayLike = 0.0,
    ) -> BeamColumn:
        """A strut from plain numbers, lists or arrays; what is left out is zero, and joints are rigid.

        Args:
            length_m: length of each piece, (..., n), m.
            stiffness_Nm2: bending stiffness of each piece, or one for all, N m2.
            line_load_N_per_m: transverse load on each piece, or one for all, N/m.
            splice_Nm_per_rad: rotational stiffness of each joint, or one for all, N m/rad.
            joint_load_N: transverse load at each joint, N.
            joint_offset_m: initial offset of each joint, m.
            piece_rise_m: initial rise of each piece over its chord, m.
            sine_bow_m: amplitude of a half sine wave from pin to pin, m.
            end_eccentricity_m: offset of the compression at each end, or one for both, m.
            end_moment_Nm: moment at each end, or one for both, N m.

        Raises:
            InputError: as the class says, or shapes that do not fit.
        """
        length = np.atleast_1d(np.asarray(length_m, dtype=np.float64))
        pieces = length.shape[-1]
        widths = {
            "stiffness_Nm2": (stiffness_Nm2, pieces),
            "line_load_N_per_m": (line_load_N_per_m, pieces),
            "splice_Nm_per_rad": (splice_Nm_per_rad, pieces - 1),
            "joint_load_N": (joint_load_N, pieces - 1),
            "joint_offset_m": (joint_offset_m, pieces - 1),
            "piece_rise_m": (piece_rise_m, pieces),
            "end_eccentricity_m": (end_eccentricity_m, 2),
            "end_moment_Nm": (end_moment_Nm, 2),
        }
        arrays = {name: _widened(name, value, width) for name, (value, width) in widths.items()}
        return cls(length_m=length, sine_bow_m=np.asarray(sine_bow_m, dtype=np.float64), **arrays)

    def __post_init__(self) -> None:
        problems = [
            Problem(name, f"the {words} of a strut must be a positive number for every piece")
            for name, words in (("length_m", "length"), ("stiffness_Nm2", "bending stiffness"))
            if not _all(getattr(self, name), lambda a: np.isfinite(a) & (a > 0.0))
        ]
        if not _all(self.splice_Nm_per_rad, lambda a: a > 0.0):
            problems.append(
                Problem(
                    "splice_Nm_per_rad", "the rotational stiffness of every joint must be a positive number"
                )
            )
        problems += [
            Problem(name, f"every {words} of a strut must be a number")
            for name, words in _FREE.items()
            if not _all(getattr(self, name), np.isfinite)
        ]
        if problems:
            raise InputError(tuple(problems))

    @property
    def pieces(self) -> int:
        """Number of pieces."""
        return int(self.length_m.shape[-1])

    @property
    def span_m(self) -> Array:
        """Length from pin to pin, (...), m."""
        return np.asarray(self.length_m.sum(axis=-1))

    @property
    def batch_shape(self) -> tuple[int, ...]:
        """Shape of the leading axes of all arrays together."""
        lasting = (
            getattr(self, name).shape[:-1]
            for name in (*_FREE, "length_m", "stiffness_Nm2")
            if name != "sine_bow_m"
        )
        return tuple(np.broadcast_shapes(self.sine_bow_m.shape, self.splice_Nm_per_rad.shape[:-1], *lasting))

    def with_loads_times(self, factor: float) -> BeamColumn:
        """The same strut with every transverse load and end moment times a factor; shape and offsets stay."""
        return BeamColumn(
            length_m=self.length_m,
            stiffness_Nm2=self.stiffness_Nm2,
            line_load_N_per_m=self.line_load_N_per_m * factor,
            splice_Nm_per_rad=self.splice_Nm_per_rad,
            joint_load_N=self.joint_load_N * factor,
            joint_offset_m=self.joint_offset_m,
            piece_rise_m=self.piece_rise_m,
            sine_bow_m=self.sine_bow_m,
            end_eccentricity_m=self.end_eccentricity_m,
            end_moment_Nm=self.end_moment_Nm * factor,
        )


_FREE = {
    "line_load_N_per_m": "transverse load",
    "joint_load_N": "load at a joint",
    "joint_offset_m": "offset of a joint",
    "piece_rise_m": "rise of a piece",
    "sine_bow_m": "bow",
    "end_eccentricity_m": "eccentricity at an end",
    "end_moment_Nm": "moment at an end",
}


def _all(values: Array, holds: Callable[[Array], npt.NDArray[np.bool_]]) -> bool:
    return bool(np.all(holds(values)))


def _widened(name: str, value: npt.ArrayLike, width: int) -> Array:
    array = np.asarray(value, dtype=np.float64)
    if array.ndim == 0:
        return np.full(width, float(array))
    if array.shape[-1] == width:
        return array
    if array.shape[-1] == 1:
        return np.broadcast_to(array, (*array.shape[:-1], width))
    raise InputError.one(
        f"{width} values are needed along the strut and {array.shape[-1]} are given; give one for each",
        field=name,
    )


def stations_m(length_m: Array) -> Array:
    """Distance of each node from the first pin, (..., n + 1), m: the pins and the joints between them."""
    first = np.zeros((*length_m.shape[:-1], 1))
    return np.concatenate([first, np.cumsum(length_m, axis=-1)], axis=-1)


def parabolic_bow(length_m: npt.ArrayLike, amplitude_m: npt.ArrayLike) -> tuple[Array, Array]:
    """A parabola from pin to pin as offsets of the joints and rises of the pieces.

    A parabola of amplitude a is what a uniform load 8 N a / L2 stands for (EN 1993-1-1:2005 5.3.2, Figure 5.4).

    Args:
        length_m: length of each piece, (..., n), m.
        amplitude_m: offset at mid-span, (...), m.

    Returns:
        Offsets of the joints, (..., n - 1), and rises of the pieces, (..., n), m.
    """
    length = np.asarray(length_m, dtype=np.float64)
    amplitude = np.asarray(amplitude_m, dtype=np.float64)[..., None]
    share = stations_m(length)[..., 1:-1] / length.sum(axis=-1)[..., None]
    rise = amplitude * (length / length.sum(axis=-1)[..., None]) ** 2
    return 4.0 * amplitude * share * (1.0 - share), rise


def kinked_offsets_m(length_m: npt.ArrayLike, kink_rad: npt.ArrayLike) -> Array:
    """Offsets of the joints of a strut that is straight between joints, each opened by its slack.

    All joints open the same way, which is the worst; offset and kink relate as moment and point load of a beam.

    Args:
        length_m: length of each piece, (..., n), m.
        kink_rad: angle by which each joint opens before it carries, (..., n - 1), rad, positive sagging.

    Returns:
        Offsets of the joints, (..., n - 1), m.
    """
    length = np.asarray(length_m, dtype=np.float64)
    kink = np.asarray(kink_rad, dtype=np.float64)
    at = stations_m(length)[..., 1:-1]
    span = length.sum(axis=-1)[..., None, None]
    one, other = at[..., :, None], at[..., None, :]
    lever = np.minimum(one, other) * (span - np.maximum(one, other)) / span
    return np.asarray((lever * kink[..., None, :]).sum(axis=-1))
