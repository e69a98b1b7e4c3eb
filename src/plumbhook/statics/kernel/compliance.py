"""Kernel, part 6: how far a body tilts under a moment, at rest."""

from __future__ import annotations

from plumbhook.statics.kernel.factor import solve_down
from plumbhook.statics.kernel.newton import BARELY_TAUT
from plumbhook.statics.kernel.posture import Given, Numbers


def taut_only(lanes: int, total: Given, cut: Numbers) -> None:
    """Tension up to which a sling counts as loose."""
    for v in range(lanes):
        cut[v] = BARELY_TAUT * total[v]


def tilt_compliance(
    lanes: int,
    n_bodies: int,
    body: int,
    lower: Given,
    inverse: Given,
    gradient: Numbers,
    rest: Numbers,
    found: Numbers,
    compliance: Numbers,
) -> None:
    """Turn of a body about x by a moment about x, about y by one about y, and the mean of the two mixed ones.

    In rad/(N m), with the factor of the stiffness; ``gradient`` and ``found`` are used up.
    """
    for n in range(3):
        for v in range(lanes):
            compliance[n * lanes + v] = 0.0
    for axis in range(2):
        for n in range(6 * n_bodies):
            for v in range(lanes):
                gradient[n * lanes + v] = 0.0
        own = 6 * body + 3 + axis
        for v in range(lanes):
            gradient[own * lanes + v] = -1.0
        solve_down(lanes, n_bodies, gradient, lower, inverse, rest, found)
        other = 6 * body + 4 - axis
        for v in range(lanes):
            compliance[axis * lanes + v] = found[own * lanes + v]
            compliance[2 * lanes + v] += 0.5 * found[other * lanes + v]
