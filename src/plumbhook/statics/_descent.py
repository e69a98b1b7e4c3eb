"""Ways down to a rest: from a posture nearby, from a drawn posture, and back in plan for what stands free."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from plumbhook.statics._arrays import Bools, RigArrays, State
from plumbhook.statics._energy import lines
from plumbhook.statics._neutral import NeutralFinder
from plumbhook.statics._newton import Descent, descend
from plumbhook.statics._postures import lowered, slid_to

TOLERANCE = 1e-9
LIMIT = 300
_STAGE_TOLERANCE = 1e-3


def warm(arrays: RigArrays, neutral: NeutralFinder, state: State, *, follow: bool = False) -> Descent:
    """Straight down from a posture that is near the rest; ``follow`` as in :func:`descend`, with supports only."""
    return descend(
        arrays,
        arrays.stiffness_N_m,
        state,
        neutral,
        tolerance=TOLERANCE,
        limit=LIMIT,
        follow=follow and arrays.structure.has_supports,
    )


def cold(arrays: RigArrays, neutral: NeutralFinder, state: State) -> Descent:
    """Down from a drawn posture: lowered until the lines are taut, with soft lines first.

    Very stiff lines make the energy a narrow curved valley in which Newton's method creeps; soft ones do not.
    """
    state = lowered(arrays, state)
    soft = 0.3 * arrays.total_weight_N / (0.01 * np.maximum(arrays.length_m, 0.1 * arrays.size_m))
    ratio = float((arrays.stiffness_N_m / soft).max())
    stage, done = ratio, 0
    while stage > 1.0:
        stiffness = np.minimum(arrays.stiffness_N_m, soft * (ratio / stage))
        descent = descend(arrays, stiffness, state, neutral, tolerance=_STAGE_TOLERANCE, limit=LIMIT)
        state, done = descent.state, done + descent.iterations
        stage /= 10.0
    descent = warm(arrays, neutral, state)
    return replace(descent, iterations=done + descent.iterations)


def put_back(arrays: RigArrays, neutral: NeutralFinder, drawn: State, descent: Descent) -> Descent:
    """What stands free on supports, put back in plan to where it was drawn; how it got away has no meaning."""
    if not (descent.converged and arrays.structure.has_supports):
        return descent
    groups = neutral.loose(carrying_at(arrays, descent.state)).standing
    if not groups:
        return descent
    state = descent.state
    for group in groups:
        state = slid_to(arrays, state, drawn, group)
    again = warm(arrays, neutral, state)
    return replace(again, iterations=descent.iterations + again.iterations) if again.converged else descent


def carrying_at(arrays: RigArrays, state: State) -> Bools:
    """(ne,) True for the elements that are not loose in a posture."""
    return np.asarray(lines(arrays, arrays.stiffness_N_m, state).active > 0.0)
