"""Single solves and rows of samples by the kernel: fills its arrays, starts it cold or warm, judges what it says."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from plumbhook.statics._arrays import Bools, Floats, Ints, State
from plumbhook.statics._postures import lowered
from plumbhook.statics._stability import BARELY_CARRYING, BARELY_TAUT
from plumbhook.statics.kernel.forms import Form
from plumbhook.statics.kernel.newton import NOT_STABLE, STABLE
from plumbhook.statics.kernel.problem import Modes, Problem, Rows, Solved
from plumbhook.statics.kernel.signature import INTEGERS, written_sizes

TOLERANCE = 1e-9
STAGE_TOLERANCE = 1e-3
COLD_LIMIT = 300
NOBODY = -1
LARGEST_FLOOR = 1e-4
_TRIES = 3


class Session:
    """Room for the kernel to solve samples of one rig, again and again without any preparation."""

    def __init__(self, form: Form, lanes: int, problem: Problem, modes: Modes, n_rows: int) -> None:
        """Allocate everything.

        Args:
            form: which form of the kernel.
            lanes: how many samples side by side.
            problem: the rig.
            modes: neutral motions to hold.
            n_rows: most samples in one call.
        """
        self.problem, self.modes, self.lanes, self.n_rows = problem, modes, lanes, n_rows
        self._counts = n_bodies, n_elements, n_hooks, n_modes = self.counts_of(problem, modes)
        rows = {
            "start_position": (n_bodies, 3),
            "start_rotation": (n_bodies, 3, 3),
            "row_weight": (n_rows, n_bodies),
            "row_shift": (n_rows, n_bodies, 3),
            "row_length": (n_rows, n_elements),
            "row_stiffness": (n_rows, n_elements),
            "row_hook": (n_rows, n_hooks, 3),
            "row_mode_on": (n_rows, n_modes),
        }
        self._given = {name: np.zeros(shape) for name, shape in rows.items()}
        sizes = written_sizes(lanes, n_rows, n_bodies, n_elements, n_hooks, n_modes)
        room = {name: _flat(name, np.zeros(size)) for name, size in sizes.items()}
        self._energy, self._gradient = _real(room["energy"]), _real(room["gradient"])
        self._found = Solved(
            tension=_real(room["out_tension"]).reshape(n_rows, n_elements),
            position=_real(room["out_position"]).reshape(n_rows, n_bodies, 3),
            rotation=_real(room["out_rotation"]).reshape(n_rows, n_bodies, 3, 3),
            force=_real(room["out_force"]),
            moment=_real(room["out_moment"]),
            pivot=_real(room["out_pivot"]),
            compliance=_real(room["out_compliance"]).reshape(n_rows, 3),
            status=np.asarray(room["out_status"], dtype=np.int64),
            iterations=np.asarray(room["out_iterations"], dtype=np.int64),
        )
        self._last = _rig_arrays(problem, modes)
        self._rig = {name: _flat(name, array) for name, array in self._last.items()}
        flat_rows = {name: array.reshape(-1) for name, array in self._given.items()}
        self._call = form.bound(self._rig | flat_rows | room)

    @staticmethod
    def counts_of(problem: Problem, modes: Modes) -> tuple[int, int, int, int]:
        """Bodies, elements, hooks and neutral motions: rigs of the same numbers fit into the same room."""
        return problem.arrays.n_bodies, len(problem.law), problem.n_hooks, len(modes.end)

    def take(self, problem: Problem, modes: Modes) -> None:
        """Turn to another rig of the same numbers.

        Raises:
            ValueError: if its numbers differ.
        """
        counts = self.counts_of(problem, modes)
        if counts != self._counts:
            raise ValueError(f"room for {self._counts}, not for {counts}")
        before, self._last = self._last, _rig_arrays(problem, modes)
        self.problem, self.modes = problem, modes
        for name, array in self._last.items():
            if array is not before[name]:
                self._rig[name][:] = array.reshape(-1)

    def solve(
        self,
        rows: Rows,
        start: State,
        *,
        tolerance: float = TOLERANCE,
        limit: int = COLD_LIMIT,
        modes_on: Floats | None = None,
        watched: int = NOBODY,
        keep: bool = True,
    ) -> Solved:
        """Solve samples from one start posture.

        Args:
            rows: the samples, no more than there is room for.
            start: posture to start from, by the reference points of the graph.
            tolerance: largest net force in weights, largest net moment in weight times size.
            limit: most Newton steps.
            modes_on: ``Problem.modes_on`` of these rows, if that is known.
            watched: body whose tilt under a moment is wanted as well.
            keep: whether to return memory of its own; else the room itself, which the next call overwrites.

        Raises:
            ValueError: if there are more samples than room.
        """
        count = len(rows)
        if count > self.n_rows:
            raise ValueError(f"{count} samples, but room for {self.n_rows}")
        given = self._given
        given["start_position"][:] = start.position_m
        given["start_rotation"][:] = start.rotation
        for name in ("weight", "shift", "length", "stiffness", "hook"):
            given[f"row_{name}"][:count] = getattr(rows, name)
        given["row_mode_on"][:count] = (
            self.problem.modes_on(self.modes, rows) if modes_on is None else modes_on
        )
        self._call((self.lanes, count, *self._counts, limit, watched), tolerance)
        return self._found.part(count, keep=keep)

    def solve_in_stages(
        self, row: Rows, stiffnesses: Sequence[Sequence[float]], start: State, modes_on: Floats, limit: int
    ) -> tuple[Solved, int]:
        """Solve one sample, softened first, each stage from where the one before ended.

        Args:
            row: the sample.
            stiffnesses: (ne,) of every stage before the last, which has that of the sample (N/m).
            start: posture to start from, by the reference points of the graph.
            modes_on: ``Problem.modes_on`` of the row.
            limit: most Newton steps of a stage.

        Returns:
            What the last stage has found, in the room itself, which the next call overwrites; steps of all stages.

        Raises:
            ValueError: if the centres of gravity of the sample are not those of the graph.
        """
        if row.shift.any():
            raise ValueError("stages are for a rig as it is, with its centres of gravity where they are")
        given, found = self._given, self._found
        position, rotation, stiffness = (
            given["start_position"],
            given["start_rotation"],
            given["row_stiffness"],
        )
        position[:], rotation[:] = start.position_m, start.rotation
        given["row_weight"][:1], given["row_shift"][:1] = row.weight, 0.0
        given["row_length"][:1], given["row_hook"][:1] = row.length, row.hook
        given["row_mode_on"][:1] = modes_on
        scalars, steps = (self.lanes, 1, *self._counts, limit, NOBODY), 0
        for softened in stiffnesses:
            stiffness[0] = softened
            self._call(scalars, STAGE_TOLERANCE)
            position[:], rotation[:] = found.position[0], found.rotation[0]
            steps += int(found.iterations[0])
        stiffness[0] = row.stiffness[0]
        self._call(scalars, TOLERANCE)
        return found, steps + int(found.iterations[0])

    def evaluate(self, row: Rows, state: State, *, modes_on: Floats | None = None) -> tuple[float, Floats]:
        """Energy (N m) of one sample in a posture, and its gradient (6 nb,): minus net force and moment by body."""
        self.solve(row, state, limit=0, modes_on=modes_on)
        return float(self._energy[0]), self._gradient[:: self.lanes].copy()


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
    """One call of a :class:`Session` with just enough room."""
    session = Session(form, lanes, problem, modes, len(rows))
    return session.solve(rows, start, tolerance=tolerance, limit=limit)


def _rig_arrays(problem: Problem, modes: Modes) -> dict[str, Floats | Ints]:
    """What the kernel takes of a rig itself, by name."""
    return {
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
    }


def _flat(name: str, array: Floats | Ints) -> Floats | Ints:
    """A flat array of the type the kernel takes, its own memory."""
    if name in INTEGERS:
        return np.array(array, dtype=np.int64).reshape(-1)
    return np.array(array, dtype=np.float64).reshape(-1)


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
    arrays, session = problem.arrays, Session(form, 1, problem, modes, 1)
    state = lowered(arrays, problem.drawn if start is None else start)
    soft = 0.3 * row.weight.sum() / (0.01 * np.maximum(row.length, 0.1 * arrays.size_m))
    ratio = float((row.stiffness / soft).max())
    stage, done = ratio, 0
    while stage > 1.0:
        softened = Rows(
            row.weight, row.shift, row.length, np.minimum(row.stiffness, soft * (ratio / stage)), row.hook
        )
        found = session.solve(softened, state, tolerance=STAGE_TOLERANCE)
        state = rest_state(row, found)
        done += int(found.iterations[0])
        stage /= 10.0
    found = session.solve(row, state, tolerance=tolerance)
    if not converged(found, row)[0]:
        found = session.solve(row, lowered(arrays, problem.drawn), tolerance=tolerance)
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
    """(N, ne) True for slings and supports that carry nothing."""
    structure = problem.arrays.structure
    share = BARELY_CARRYING if structure.has_supports else BARELY_TAUT
    barely = share * rows.weight.sum(axis=1)
    return np.asarray(structure.is_one_way & (found.tension <= barely[:, None]))


def converged(found: Solved, rows: Rows) -> Bools:
    """(N,) True where the forces balance; not where only rounding lets them."""
    balanced = (found.status == STABLE) | (found.status == NOT_STABLE)
    return np.asarray(balanced & (found.force <= LARGEST_FLOOR * rows.weight.sum(axis=1)))
