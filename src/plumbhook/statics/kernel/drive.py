"""Single solves and rows of samples by the kernel: fills its arrays, starts it cold or warm, judges what it says."""

from __future__ import annotations

import numpy as np

from plumbhook.statics._arrays import Bools, Floats, Ints, State
from plumbhook.statics._postures import lowered
from plumbhook.statics._stability import BARELY_TAUT
from plumbhook.statics.kernel.forms import Form
from plumbhook.statics.kernel.newton import NOT_STABLE, STABLE
from plumbhook.statics.kernel.posture import SLING
from plumbhook.statics.kernel.problem import INTEGERS, Modes, Problem, Rows, Solved, written_sizes

TOLERANCE = 1e-9
STAGE_TOLERANCE = 1e-3
COLD_LIMIT = 300
LARGEST_FLOOR = 1e-4
_TRIES = 3


def run(
    form: Form,
    lanes: int,
    problem: Problem,
    rows: Rows,
    start: State,
    modes: Modes,
    *,
    tolerance: float = TOLERANCE,
    limit: int = COLD_LIMIT,
) -> Solved:
    """Solve rows of samples of one rig from one start posture.

    Args:
        form: which form of the kernel.
        lanes: how many samples side by side.
        problem: the rig.
        rows: the samples.
        start: posture to start from, by the reference points of the graph.
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
    room = {name: _flat(name, np.zeros(size)) for name, size in sizes.items()}
    kept = {name: _flat(name, array) for name, array in given.items()}
    form.run((lanes, n_rows, n_bodies, n_elements, n_hooks, n_modes, limit), tolerance, kept | room)
    return Solved(
        tension=_real(room["out_tension"]).reshape(n_rows, n_elements),
        position=_real(room["out_position"]).reshape(n_rows, n_bodies, 3),
        rotation=_real(room["out_rotation"]).reshape(n_rows, n_bodies, 3, 3),
        force=_real(room["out_force"]),
        moment=_real(room["out_moment"]),
        pivot=_real(room["out_pivot"]),
        status=np.asarray(room["out_status"], dtype=np.int64),
        iterations=np.asarray(room["out_iterations"], dtype=np.int64),
    )


def _flat(name: str, array: Floats | Ints) -> Floats | Ints:
    if name in INTEGERS:
        return np.ascontiguousarray(array, dtype=np.int64).ravel()
    return np.ascontiguousarray(array, dtype=np.float64).ravel()


def _real(array: Floats | Ints) -> Floats:
    return np.asarray(array, dtype=np.float64)


def all_modes(problem: Problem) -> Modes:
    """Neutral motions while every element carries; they stay neutral when some do not."""
    return problem.modes(np.ones(len(problem.law), dtype=np.bool_))


def rest_state(rows: Rows, found: Solved) -> State:
    """Posture of the first row, by the reference points of the graph."""
    back = np.einsum("bij,bj->bi", found.rotation[0], rows.shift[0])
    return State(found.position[0] - back, found.rotation[0])


def cold(
    form: Form,
    problem: Problem,
    row: Rows,
    modes: Modes,
    start: State | None = None,
    *,
    tolerance: float = TOLERANCE,
) -> Solved:
    """One sample from the drawn posture, lowered until its lines are taut, with soft lines first.

    Very stiff lines make the energy a narrow curved valley in which Newton's method creeps; soft ones do not.

    Args:
        form: which form of the kernel.
        problem: the rig.
        row: the one sample.
        modes: neutral motions to hold.
        start: drawn posture; None for that of the graph.
        tolerance: of the last stage.
    """
    arrays = problem.arrays
    state = lowered(arrays, problem.drawn if start is None else start)
    soft = 0.3 * row.weight.sum() / (0.01 * np.maximum(row.length, 0.1 * arrays.size_m))
    ratio = float((row.stiffness / soft).max())
    stage, done = ratio, 0
    while stage > 1.0:
        softened = Rows(
            row.weight, row.shift, row.length, np.minimum(row.stiffness, soft * (ratio / stage)), row.hook
        )
        found = run(form, 1, problem, softened, state, modes, tolerance=STAGE_TOLERANCE)
        state = rest_state(row, found)
        done += int(found.iterations[0])
        stage /= 10.0
    found = run(form, 1, problem, row, state, modes, tolerance=tolerance)
    if not converged(found, row)[0]:
        found = run(form, 1, problem, row, lowered(arrays, problem.drawn), modes, tolerance=tolerance)
    found.iterations[0] += done
    return found


def solve_single(
    form: Form, problem: Problem, row: Rows, *, tolerance: float = TOLERANCE, start: State | None = None
) -> Solved:
    """One sample from cold, its neutral motions as they are once it has found which lines carry.

    Args:
        form: which form of the kernel.
        problem: the rig.
        row: the one sample.
        tolerance: largest net force in weights, largest net moment in weight times size.
        start: posture to begin with; None for the drawn one.
    """
    modes = all_modes(problem)
    found = cold(form, problem, row, modes, start, tolerance=tolerance)
    for _ in range(_TRIES):
        if found.status[0] != NOT_STABLE:
            break
        own = problem.modes(~loose(problem, row, found)[0])
        if len(own.end) == len(modes.end):
            break
        modes = own
        steps = found.iterations[0]
        found = run(form, 1, problem, row, rest_state(row, found), modes, tolerance=tolerance)
        found.iterations[0] += steps
    return found


def loose(problem: Problem, rows: Rows, found: Solved) -> Bools:
    """(N, ne) True for slings that carry nothing."""
    barely = BARELY_TAUT * rows.weight.sum(axis=1)
    return np.asarray((problem.law == SLING) & (found.tension <= barely[:, None]))


def converged(found: Solved, rows: Rows) -> Bools:
    """(N,) True where the forces balance; not where only rounding lets them."""
    balanced = (found.status == STABLE) | (found.status == NOT_STABLE)
    return np.asarray(balanced & (found.force <= LARGEST_FLOOR * rows.weight.sum(axis=1)))
