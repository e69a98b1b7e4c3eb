"""The rest of one rig by the compiled kernel, in memory that is used again and again."""

from __future__ import annotations

import threading
from collections import OrderedDict
from dataclasses import dataclass

from plumbhook.statics._arrays import Floats, State
from plumbhook.statics._seen import Seen
from plumbhook.statics.kernel.drive import COLD_LIMIT, Session, all_modes
from plumbhook.statics.kernel.forms import Form
from plumbhook.statics.kernel.newton import STABLE
from plumbhook.statics.kernel.problem import Modes, Problem, Rows
from plumbhook.statics.kernel.reading import read_posture

_ROOMS = 16
_local = threading.local()


@dataclass(frozen=True, slots=True)
class Balance:
    """How a rest was found: Newton steps, and the largest net force (N) and moment (N m) left on a body."""

    iterations: int
    force_N: float
    moment_Nm: float


@dataclass(frozen=True, slots=True)
class Single:
    """One rig, with what the kernel needs to know of it.

    Attributes:
        problem: the rig.
        modes: its neutral motions while every element carries.
        modes_on: (1, nm) which of them are neutral in the rig as it is.
        row: the rig as the only sample.
        stages: (ne,) stiffnesses to go through on the way down from a drawn posture, the softest first, without the
            last (N/m).
    """

    problem: Problem
    modes: Modes
    modes_on: Floats
    row: Rows
    stages: tuple[list[float], ...]

    @classmethod
    def of(cls, problem: Problem) -> Single:
        """Prepare a rig: the stages are those of the reference solver."""
        arrays, row = problem.arrays, problem.nominal
        least_m, share = 0.1 * arrays.size_m, 0.3 * arrays.total_weight_N / 0.01
        stiffness = arrays.stiffness_N_m.tolist()
        soft = [share / max(length, least_m) for length in arrays.length_m.tolist()]
        ratio = max([k / own for k, own in zip(stiffness, soft, strict=True)])
        stage, stages = ratio, []
        while stage > 1.0:
            harder = ratio / stage
            stages.append([min(k, own * harder) for k, own in zip(stiffness, soft, strict=True)])
            stage /= 10.0
        modes = all_modes(problem)
        return cls(problem, modes, problem.modes_on(modes, row), row, tuple(stages))

    def rest(
        self, form: Form, start: State, *, staged: bool, limit: int = COLD_LIMIT
    ) -> tuple[State, Balance] | None:
        """Straight down from a posture to a rest that resists every small push; None where it is not that simple.

        Args:
            form: a compiled form of the kernel.
            start: posture to start from.
            staged: go through the softer stages first, as from a drawn posture.
            limit: most Newton steps of a stage.
        """
        session = _session(form, self.problem, self.modes)
        found, steps = session.solve_in_stages(
            self.row, self.stages if staged else (), start, self.modes_on, limit
        )
        if found.status[0] != STABLE:
            return None
        state = State(found.position[0].copy(), found.rotation[0].copy())
        return state, Balance(steps, float(found.force[0]), float(found.moment[0]))

    def read(self, form: Form, state: State) -> Seen:
        """What the rig does in a posture."""
        return read_posture(form, self.problem.arrays, state)


def _session(form: Form, problem: Problem, modes: Modes) -> Session:
    """Room of this thread for a rig of that many bodies, elements, hooks and neutral motions."""
    rooms: OrderedDict[tuple[Form, tuple[int, ...]], Session] | None = getattr(_local, "rooms", None)
    if rooms is None:
        rooms = _local.rooms = OrderedDict()
    key = (form, Session.counts_of(problem, modes))
    session = rooms.get(key)
    if session is None:
        session = rooms[key] = Session(form, 1, problem, modes, 1)
        if len(rooms) > _ROOMS:
            rooms.popitem(last=False)
    elif session.problem is not problem or session.modes is not modes:
        rooms.move_to_end(key)
        session.take(problem, modes)
    return session
