"""Single samples of a rig with supports by the reference solver, where the kernel does not come to a stable rest.

What stands free slides in plan at no cost. Which bodies do depends on which lines are loose, so the kernel cannot hold
these motions for a block of samples: a stiffness held against a motion that is not neutral would hide a fall.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from plumbhook.statics._arrays import RigArrays
from plumbhook.statics._descent import cold, put_back
from plumbhook.statics._energy import lines
from plumbhook.statics._neutral import NeutralFinder
from plumbhook.statics._stability import judge
from plumbhook.statics.kernel.newton import NOT_STABLE, STABLE, STALLED
from plumbhook.statics.kernel.problem import Problem, Rows, Solved


def sample_arrays(problem: Problem, row: Rows) -> RigArrays:
    """Arrays of the rig that the first row stands for."""
    arrays, structure = problem.arrays, problem.arrays.structure
    places = np.concatenate([np.zeros((arrays.n_bodies, 3)), row.hook[0]])
    shifts = np.concatenate([row.shift[0], np.zeros((1, 3))])[structure.body_ends]
    ends = np.concatenate([problem.end_a, problem.end_b])
    lever = np.where(structure.on_body > 0.0, arrays.lever_m - shifts, places[ends])
    some = row.length[0][structure.is_line]
    size = float(some.mean()) if len(some) else arrays.size_m
    return replace(
        arrays,
        weight_N=row.weight[0],
        lever_m=lever,
        length_m=row.length[0],
        stiffness_N_m=row.stiffness[0],
        reference_m=arrays.reference_m + row.shift[0],
        size_m=size,
        total_weight_N=float(row.weight[0].sum()),
        scale=np.where(structure.is_turn, size, 1.0),
    )


def by_reference(problem: Problem, row: Rows) -> Solved:
    """Rest and verdict of one sample from the drawn posture; its pivot is not known."""
    arrays = sample_arrays(problem, row)
    neutral, drawn = NeutralFinder(arrays), problem.drawn.with_reference_moved(row.shift[0])
    with np.errstate(all="ignore"):
        descent = put_back(arrays, neutral, drawn, cold(arrays, neutral, drawn))
        state, status = descent.state, STALLED
        now = lines(arrays, arrays.stiffness_N_m, state)
        if descent.converged:
            modes = judge(arrays, state, neutral, now).modes
            status = STABLE if modes.negative == 0 and modes.indifferent == 0 else NOT_STABLE
    return Solved(
        tension=now.tension[None],
        position=state.position_m[None],
        rotation=state.rotation[None],
        force=np.array([descent.force_N]),
        moment=np.array([descent.moment_Nm]),
        compliance=np.full((1, 3), np.nan),
        pivot=np.array([np.nan]),
        status=np.array([status]),
        iterations=np.array([descent.iterations]),
    )
