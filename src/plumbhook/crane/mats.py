"""Mats below pads: how much of a mat carries, from its own strength in bending and shear."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from plumbhook.core.errors import InputError, Problem

FloatArray = NDArray[np.float64]

_HALVINGS = 60


@dataclass(frozen=True, slots=True)
class PadOnMat:
    """A pad on its mat, both rectangles with parallel sides.

    Attributes:
        pad_length_m: length of the pad (the plate of the outrigger), m.
        pad_width_m: its width, m.
        mat_length_m: length of the mat, along its fibres where it spans one way, m.
        mat_width_m: its width, m.
        thickness_m: thickness that bends, m: of one layer where layers cross.
        bending_strength_Pa: allowable bending stress, Pa.
        shear_strength_Pa: allowable shear stress, Pa.
        both_ways: whether it spreads across its length too: a plate, or crossed layers; beams side by side do not.
        offset_length_m: middle of the pad from the middle of the mat along the length, m, either sign.
        offset_width_m: the same along the width, m.

    Raises:
        InputError: a number makes no sense, or the pad does not lie on the mat; all of them at once.
    """

    pad_length_m: float
    pad_width_m: float
    mat_length_m: float
    mat_width_m: float
    thickness_m: float
    bending_strength_Pa: float
    shear_strength_Pa: float
    both_ways: bool
    offset_length_m: float = 0.0
    offset_width_m: float = 0.0

    def __post_init__(self) -> None:
        problems = [
            Problem(f"mat.{name}", f"the {words} must be a positive number")
            for name, words in (
                ("pad_length_m", "length of the pad"),
                ("pad_width_m", "width of the pad"),
                ("mat_length_m", "length of the mat"),
                ("mat_width_m", "width of the mat"),
                ("thickness_m", "thickness of the mat"),
                ("bending_strength_Pa", "bending strength of the mat"),
                ("shear_strength_Pa", "shear strength of the mat"),
            )
            if not (math.isfinite(getattr(self, name)) and getattr(self, name) > 0.0)
        ]
        for pad, mat, offset, words in (
            (self.pad_length_m, self.mat_length_m, self.offset_length_m, "length"),
            (self.pad_width_m, self.mat_width_m, self.offset_width_m, "width"),
        ):
            if not math.fabs(offset) + pad / 2.0 <= mat / 2.0 * (1.0 + 1e-12):
                problems.append(
                    Problem(
                        f"mat.{words}",
                        f"the pad stands out over the {words} of the mat; move it onto the mat or use a larger mat",
                    )
                )
        if problems:
            raise InputError(tuple(problems))

    @property
    def centred_sides_m(self) -> tuple[float, float]:
        """Sides of the largest rectangle of the mat that is centred under the pad, m.

        Source: EN 1997-1:2004, D.2 (effective area); the same rule goes back to Meyerhof.
        """
        return (
            self.mat_length_m - 2.0 * math.fabs(self.offset_length_m),
            self.mat_width_m - 2.0 * math.fabs(self.offset_width_m),
        )


def effective_sides_m(pad: PadOnMat, force_N: ArrayLike) -> FloatArray:
    """Sides of the area below a mat that carries, as far as its strength lets it spread the force, m.

    Args:
        pad: pad and mat.
        force_N: force of the pad, N, zero or more; ``(N,)`` or one number.

    Returns:
        Array ``(N, 2)``: along the length and along the width; never below the pad, never beyond the rectangle of the
        mat that is centred under the pad. The pressure over it is even; the mat cantilevers from the edge of the pad
        with stresses ``3 p c2/t2`` in bending and ``1.5 p c/t`` in shear, neither above its strength. NaN for a force
        that is no number.

    Source: common practice, no source (rigid strip beyond the edge of the pad, EN 1997-1 D.2 for the area).
    """
    force = np.atleast_1d(np.asarray(force_N, dtype=float))
    sides = pad.centred_sides_m
    most = max((sides[0] - pad.pad_length_m) / 2.0, (sides[1] - pad.pad_width_m) / 2.0, 0.0)
    low, high = np.zeros_like(force), np.full_like(force, most)
    full = holds_ratio(pad, force, _sides(pad, high)) <= 1.0
    for _ in range(0 if full.all() else _HALVINGS):
        middle = (low + high) / 2.0
        holds = holds_ratio(pad, force, _sides(pad, middle)) <= 1.0
        low, high = np.where(holds, middle, low), np.where(holds, high, middle)
    found = _sides(pad, np.where(full, most, low))
    found[~np.isfinite(force) | (force < 0.0)] = np.nan
    return found


def holds_ratio(pad: PadOnMat, force_N: FloatArray, sides_m: FloatArray) -> FloatArray:
    """Larger of the stresses in bending and shear over their strengths, ratio, ``(N,)``.

    Args:
        pad: pad and mat.
        force_N: force of the pad, N, ``(N,)``.
        sides_m: sides of the area that carries, m, ``(N, 2)``.

    Source: as :func:`effective_sides_m`.
    """
    pressure = force_N / (sides_m[:, 0] * sides_m[:, 1])
    arm = cantilever_m(pad, sides_m)
    bending = 3.0 * pressure * arm**2 / pad.thickness_m**2
    shear = 1.5 * pressure * arm / pad.thickness_m
    return np.maximum(bending / pad.bending_strength_Pa, shear / pad.shear_strength_Pa)


def cantilever_m(pad: PadOnMat, sides_m: FloatArray) -> FloatArray:
    """Longer part of the area that carries beyond the edge of the pad, m, ``(N,)``."""
    over = (sides_m - np.array([pad.pad_length_m, pad.pad_width_m])) / 2.0
    longest: FloatArray = np.maximum(over.max(axis=1), 0.0)
    return longest


def _sides(pad: PadOnMat, arm: FloatArray) -> FloatArray:
    length, width = pad.centred_sides_m
    across = arm if pad.both_ways else np.zeros_like(arm)
    return np.column_stack(
        [
            np.minimum(pad.pad_length_m + 2.0 * arm, length),
            np.minimum(pad.pad_width_m + 2.0 * across, width),
        ]
    )
