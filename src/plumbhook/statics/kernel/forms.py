"""The forms that the kernel runs in, and the call that feeds it.

All forms run the same functions on the same numbers and give the same digits: ``interpreted`` by Python itself,
``jit`` compiled on this machine at first use and kept in a cache, ``ahead-of-time`` from a library that was built
before.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Protocol

import numpy as np

from plumbhook.statics._arrays import Floats, Ints, State
from plumbhook.statics.kernel import newton
from plumbhook.statics.kernel.problem import (
    ARRAYS,
    INTEGERS,
    Modes,
    Problem,
    Rows,
    Solved,
    written_sizes,
)

Array = Floats | Ints


class Form(Protocol):
    """A form of the kernel.

    Attributes:
        name: ``interpreted``, ``jit`` or ``ahead-of-time``.
        widths: numbers of lanes it can run.
    """

    name: str
    widths: tuple[int, ...]

    def run(self, scalars: tuple[int, ...], tolerance: float, arrays: Mapping[str, Array]) -> None:
        """Call ``solve_rows``; results are left in the arrays."""


class Interpreted:
    """The kernel as plain Python."""

    name = "interpreted"
    widths = (1, 2, 3, 4, 8, 16)

    def run(self, scalars: tuple[int, ...], tolerance: float, arrays: Mapping[str, Array]) -> None:
        """Lists are faster than arrays to a plain loop; results are copied back."""
        lists = {name: array.tolist() for name, array in arrays.items()}
        newton.solve_rows(*scalars, tolerance, *(lists[name] for name in ARRAYS))
        for name, array in arrays.items():
            if name.startswith("out_"):
                array[:] = lists[name]


def run(
    form: Form,
    lanes: int,
    problem: Problem,
    rows: Rows,
    start: State,
    modes: Modes,
    *,
    tolerance: float,
    limit: int,
) -> Solved:
    """Solve rows of samples of one rig from one start posture.

    Args:
        form: which form of the kernel.
        lanes: how many samples side by side.
        problem: the rig.
        rows: the samples.
        start: posture to start from, for reference points as the graph has them.
        modes: neutral motions to hold.
        tolerance: largest net force in weights, largest net moment in weight times size.
        limit: most Newton steps.
    """
    arrays, n_rows = problem.arrays, len(rows)
    n_bodies, n_elements = arrays.n_bodies, len(arrays.length_m)
    n_hooks, n_modes = len(problem.graph.hooks_m), len(modes.end)
    given: dict[str, Floats | Ints] = {
        "end_a": problem.end_a,
        "end_b": problem.end_b,
        "law": problem.law,
        "mode_end": modes.end,
        "mode_spins": modes.spins,
        "mode_members": modes.members,
        "lever_a": problem.lever_a,
        "lever_b": problem.lever_b,
        "mode_lever": modes.lever_m,
        "mode_axis": modes.axis,
        "start_position": start.position_m,
        "start_rotation": start.rotation,
        "row_weight": rows.weight,
        "row_shift": rows.shift,
        "row_length": rows.length,
        "row_stiffness": rows.stiffness,
        "row_hook": rows.hook,
        "row_mode_on": problem.modes_on(modes, rows),
    }
    sizes = written_sizes(lanes, n_rows, n_bodies, n_elements, n_hooks, n_modes)
    room: dict[str, Floats | Ints] = {
        name: np.zeros(size, dtype=np.int64 if name in INTEGERS else np.float64)
        for name, size in sizes.items()
    }
    kept = {
        name: np.ascontiguousarray(array, dtype=np.int64 if name in INTEGERS else np.float64).ravel()
        for name, array in given.items()
    }
    scalars = (lanes, n_rows, n_bodies, n_elements, n_hooks, n_modes, limit)
    form.run(scalars, tolerance, kept | room)
    return Solved(
        tension=room["out_tension"].reshape(n_rows, n_elements),
        position=room["out_position"].reshape(n_rows, n_bodies, 3),
        rotation=room["out_rotation"].reshape(n_rows, n_bodies, 3, 3),
        force=room["out_force"],
        moment=room["out_moment"],
        pivot=room["out_pivot"],
        status=room["out_status"],
        iterations=room["out_iterations"],
    )
