"""Modes of a rig at rest."""

from __future__ import annotations

import math
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class StiffnessModes:
    """Eigenvalues of the stiffness at the rest, neutral motions left out, in units of weight over size.

    Rotations are scaled by the size (mean line length), so an eigenvalue of 1 is a pendulum of that length.

    Attributes:
        lowest: the smallest; its distance from zero is the margin against overturning. NaN if there is none.
        highest: the largest.
        negative: number of unstable modes.
        indifferent: number of further modes that nothing holds.
    """

    lowest: float = math.nan
    highest: float = math.nan
    negative: int = 0
    indifferent: int = 0
