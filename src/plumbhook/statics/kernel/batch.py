"""Many samples of one rig at once: masses, centres of gravity, lengths, stiffnesses and hook positions that vary.

Every sample is verified: its forces balance, and every small push is resisted (or it is counted as not stable).
A sample has the same digits alone, among others, and in any form of the kernel. See ``docs/theory/batch.md``.
"""

from __future__ import annotations

import math
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field, fields

import numpy as np

from plumbhook.core.errors import InputError
from plumbhook.core.errors import Problem as Mistake
from plumbhook.model.rig_graph import RigGraph, problems_of
from plumbhook.statics._arrays import Bools, Floats, Ints, State
from plumbhook.statics.kernel.drive import (
    NOBODY,
    Session,
    all_modes,
    converged,
    loose,
    rest_state,
    solve_single,
)
from plumbhook.statics.kernel.forms import Form, chosen_form
from plumbhook.statics.kernel.newton import STABLE
from plumbhook.statics.kernel.problem import Modes, Problem, Rows, Solved
from plumbhook.statics.kernel.standing import by_reference
from plumbhook.statics.proof_batch import BatchProof, Given

_CHUNK = 4096
_SMALL = 512
_ROUNDS = 4
_LOCKSTEP_LIMIT = 40
# From here on interpreting takes longer than to compile.
_WORTH_COMPILING = 5000


@dataclass(frozen=True, slots=True)
class BatchSamples:
    """What varies, one sample per row; what is None stays as in the graph. SI units.

    Attributes:
        mass_kg: (N, nb) by body in the order of the graph; zero exactly where the graph has zero.
        cog_shift_m: (N, nb, 3) move of the centre of gravity from the graph's, in body axes.
        unstretched_length_m: (N, ne) by element; the column of a pin or support is not looked at.
        stiffness_factor: (N, ne) on EA of slings and links and on the stiffness of pins and supports, above zero.
        hook_position_m: (N, nh, 3) world positions of the hooks.
    """

    mass_kg: Floats | None = None
    cog_shift_m: Floats | None = None
    unstretched_length_m: Floats | None = None
    stiffness_factor: Floats | None = None
    hook_position_m: Floats | None = None

    def __len__(self) -> int:
        for own in fields(self):
            array = getattr(self, own.name)
            if array is not None:
                return len(array)
        return 0


@dataclass(frozen=True, slots=True)
class BatchResult:
    """Equilibrium of every sample, by row. SI units; NaN in every number of a sample that found no rest.

    Attributes:
        tensions_N: (N, ne); zero for a loose sling, negative for a link in compression, for a pin the magnitude, for a
            support its push.
        tilt_rad: (N, nb) angle between each body's own z axis and the vertical (0 to pi).
        slack: (N, ne) True for slings that hang loose and for supports that are clear.
        converged: (N,) True where forces and moments balance and, if asked for, the independent proof holds.
        stable: (N,) True where they do and every small push is resisted. Only this is an answer to plan with.
        residual_force_N: (N,) largest net force on a body; ``residual_moment_Nm`` (N,) net moment.
        smallest_pivot: (N,) of the stiffness, in units of the stiffness of a coordinate by itself; NaN where a sample
            that stands on supports was judged by its eigenvalues.
        iterations: (N,) Newton steps.
        resolved: number of samples solved again from cold because the first way did not end in a stable rest.
        form: form of the kernel that computed it.
        origin_m: (N, nb, 3) world position of each body's origin, None unless asked for.
        rotation: (N, nb, 3, 3) from body to world axes, None unless asked for.
        proved: (N,) True where the independent sums of forces and moments hold, by code that shares nothing with the
            kernel; None where that was not asked for.
        restoring_height_m: (N,) effective restoring height of one body in its weaker vertical plane; NaN in a sample
            that is not stable or was solved again by itself; None where that was not asked for.
    """

    tensions_N: Floats
    tilt_rad: Floats
    slack: Bools
    converged: Bools
    stable: Bools
    residual_force_N: Floats
    residual_moment_Nm: Floats
    smallest_pivot: Floats
    iterations: Ints
    resolved: int
    form: str
    origin_m: Floats | None = field(default=None, repr=False)
    rotation: Floats | None = field(default=None, repr=False)
    proved: Bools | None = field(default=None, repr=False)
    restoring_height_m: Floats | None = field(default=None, repr=False)

    @property
    def all_stable(self) -> bool:
        """True only if there are samples and every one of them came to a stable rest."""
        return len(self.stable) > 0 and bool(self.stable.all())


def solve_batch(
    graph: RigGraph,
    samples: BatchSamples,
    *,
    threads: int = 1,
    poses: bool = False,
    proof: bool = True,
    restoring: int | None = None,
    progress: Callable[[int, int], None] | None = None,
    form: Form | None = None,
) -> BatchResult:
    """Equilibrium of every sample of a rig.

    The rig of the graph is solved first; every sample starts from its rest. Samples that do not come to a stable
    rest that way are solved again by themselves from the drawn posture.

    Args:
        graph: the rig; its bodies, elements and hooks set the order of the columns.
        samples: what varies, with at least one array.
        threads: how many blocks of samples to work on at once.
        poses: whether to return the poses of all bodies, nine times as much memory as the tensions or more.
        proof: whether to prove every sample by independent sums of forces and moments, for about a tenth more time.
        restoring: number of the body whose restoring height is wanted, for about a fifth more time.
        progress: called with the number of samples done and of all, from the calling thread.
        form: form of the kernel; None for the fastest at hand. With numba installed a large batch may compile
            the kernel first, which takes half a minute once and is told in the log.

    Raises:
        InputError: with every problem of the graph and of the samples.
    """
    found = list(_problems(graph, samples, threads))
    if found:
        raise InputError(tuple(found))
    total = len(samples)
    used = form or chosen_form(worth_compiling=total >= _WORTH_COMPILING)
    work = _Work(
        Problem(graph),
        samples,
        used,
        poses=poses,
        proof=proof,
        restoring=restoring,
        chunk=_chunk(total, threads),
    )
    done = 0
    starts = range(0, total, work.size)
    if threads == 1:
        for first in starts:
            done += work.chunk(first)
            if progress is not None:
                progress(done, total)
    else:
        with ThreadPoolExecutor(threads) as pool:
            for count in pool.map(work.chunk, starts):
                done += count
                if progress is not None:
                    progress(done, total)
    return work.result()


class _Work:
    """A batch under way: each chunk of rows writes its own part of the result."""

    def __init__(
        self,
        problem: Problem,
        samples: BatchSamples,
        form: Form,
        *,
        poses: bool = False,
        proof: bool = True,
        restoring: int | None = None,
        chunk: int = _CHUNK,
    ) -> None:
        self.problem, self.samples, self.form, self.size = problem, samples, form, chunk
        self.proof = BatchProof(problem.graph, problem.arrays.reference_m) if proof else None
        self.given = Given(*(getattr(samples, own.name) for own in fields(Given)))
        rows, bodies, elements = len(samples), problem.arrays.n_bodies, len(problem.law)
        self._local = threading.local()
        self.modes: Modes = all_modes(problem)
        self.start: State = self._nominal_rest()
        self.tensions = np.full((rows, elements), math.nan)
        self.tilt = np.full((rows, bodies), math.nan)
        self.slack = np.zeros((rows, elements), dtype=np.bool_)
        self.converged = np.zeros(rows, dtype=np.bool_)
        self.stable = np.zeros(rows, dtype=np.bool_)
        self.force, self.moment, self.pivot = (np.full(rows, math.nan) for _ in range(3))
        self.iterations = np.zeros(rows, dtype=np.int64)
        self.again = np.zeros(rows, dtype=np.bool_)
        self.proved = np.zeros(rows, dtype=np.bool_)
        self.watched = NOBODY if restoring is None else restoring
        self.height = np.full(rows if restoring is not None else 0, math.nan)
        self.origin = np.full((rows, bodies, 3), math.nan) if poses else None
        self.rotation = np.full((rows, bodies, 3, 3), math.nan) if poses else None

    def _nominal_rest(self) -> State:
        row = self.problem.nominal
        found = self._alone(row)
        return rest_state(row, found) if converged(found, row)[0] else self.problem.drawn

    def _alone(self, row: Rows) -> Solved:
        """One sample by itself, from the drawn posture."""
        found = solve_single(self.form, self.problem, row)
        standing = found.status[0] != STABLE and self.problem.arrays.structure.has_supports
        return by_reference(self.problem, row) if standing else found

    def chunk(self, first: int) -> int:
        """Solve the rows from one on; returns how many."""
        rows = self._rows(first)
        lanes = 8 if len(rows) >= 4 and self.form.name != "interpreted" else 1
        found = self._session(lanes).solve(
            rows, self.start, limit=_LOCKSTEP_LIMIT, watched=self.watched, keep=False
        )
        good = (found.status == STABLE) & converged(found, rows)
        for number in np.flatnonzero(~good):
            one = slice(int(number), int(number) + 1)
            self._put(one, self._alone(rows.part(one)), found)
        self.again[first : first + len(rows)] = ~good
        self._store(first, rows, found)
        return len(rows)

    def _session(self, lanes: int) -> Session:
        """The session of this thread; the last chunk may want another number of lanes."""
        session: Session | None = getattr(self._local, "session", None)
        if session is None or session.lanes != lanes:
            room = min(self.size, len(self.samples))
            session = Session(self.form, lanes, self.problem, self.modes, room)
            self._local.session = session
        return session

    @staticmethod
    def _put(one: slice, single: Solved, found: Solved) -> None:
        for own in fields(Solved):
            getattr(found, own.name)[one] = getattr(single, own.name)

    def _rows(self, first: int) -> Rows:
        nominal, arrays, given = self.problem.nominal, self.problem.arrays, self.samples
        given_stiffness = ~arrays.structure.is_line
        part = slice(first, first + self.size)
        count = len(range(*part.indices(len(given))))

        def repeated(array: Floats) -> Floats:
            return np.repeat(array, count, axis=0)

        gravity = self.problem.graph.gravity_m_s2
        length = repeated(nominal.length)
        if given.unstretched_length_m is not None:
            length = np.where(given_stiffness, 0.0, given.unstretched_length_m[part])
        # EA stays the same when a length varies.
        EA = np.where(given_stiffness, nominal.stiffness, nominal.stiffness * nominal.length)
        stiffness = EA / np.where(given_stiffness, 1.0, length)
        if given.stiffness_factor is not None:
            stiffness = stiffness * given.stiffness_factor[part]
        hook = repeated(nominal.hook)
        if given.hook_position_m is not None:
            hook[:, : len(arrays.structure.hooks)] = given.hook_position_m[part] - arrays.datum_m
        return Rows(
            weight=repeated(nominal.weight) if given.mass_kg is None else given.mass_kg[part] * gravity,
            shift=repeated(nominal.shift) if given.cog_shift_m is None else given.cog_shift_m[part],
            length=length,
            stiffness=stiffness,
            hook=hook,
        )

    def _store(self, first: int, rows: Rows, found: Solved) -> None:
        part = slice(first, first + len(rows))
        balanced = converged(found, rows)
        arrays = self.problem.arrays
        if self.proof is not None:
            given = self.given.part(part)
            proved = self.proof.holds(
                given, found.position, found.rotation, found.tension, datum_m=arrays.datum_m
            )
            balanced &= proved
            self.proved[part] = balanced
        x, y, z = (found.rotation[:, :, axis, 2] for axis in range(3))
        self.tensions[part] = found.tension
        np.arctan2(np.sqrt(x * x + y * y), z, out=self.tilt[part])
        self.slack[part] = balanced[:, None] & loose(self.problem, rows, found)
        self.converged[part] = balanced
        self.stable[part] = balanced & (found.status == STABLE)
        self.force[part], self.moment[part] = found.force, found.moment
        self.pivot[part] = found.pivot
        self.iterations[part] = found.iterations
        if self.watched != NOBODY:
            known = self.stable[part] & ~self.again[part] & (rows.weight[:, self.watched] > 0.0)
            weight = np.where(known, rows.weight[:, self.watched], math.nan)
            self.height[part] = _weaker(found.compliance) / weight
        if self.origin is not None and self.rotation is not None:
            reference = np.einsum("nbij,nbj->nbi", found.rotation, arrays.reference_m + rows.shift)
            place = found.position - reference + arrays.datum_m
            self.origin[part], self.rotation[part] = place, found.rotation
        if not balanced.all():
            unknown = first + np.flatnonzero(~balanced)
            for array in (self.tensions, self.tilt, self.pivot, self.origin, self.rotation):
                if array is not None:
                    array[unknown] = math.nan

    def result(self) -> BatchResult:
        return BatchResult(
            tensions_N=self.tensions,
            tilt_rad=self.tilt,
            slack=self.slack,
            converged=self.converged,
            stable=self.stable,
            residual_force_N=self.force,
            residual_moment_Nm=self.moment,
            smallest_pivot=self.pivot,
            iterations=self.iterations,
            resolved=int(self.again.sum()),
            form=self.form.name,
            origin_m=self.origin,
            rotation=self.rotation,
            proved=None if self.proof is None else self.proved,
            restoring_height_m=None if self.watched == NOBODY else self.height,
        )


def _weaker(compliance: Floats) -> Floats:
    """(N,) smaller of the stiffnesses against tilting in any vertical plane (N m/rad)."""
    first, second, mixed = compliance.T
    softest = 0.5 * (first + second) + np.hypot(0.5 * (first - second), mixed)
    with np.errstate(divide="ignore"):
        return np.asarray(1.0 / softest)


def _chunk(total: int, threads: int) -> int:
    """Number of samples to work on at once: as many chunks for every thread, and several, so that none waits long."""
    if threads == 1:
        return _CHUNK
    rounds = max(math.ceil(total / (threads * _CHUNK)), min(_ROUNDS, total // (threads * _SMALL)), 1)
    return max(8 * math.ceil(total / (8 * threads * rounds)), 1)


def _problems(graph: RigGraph, samples: BatchSamples, threads: int) -> Iterator[Mistake]:
    yield from problems_of(graph)
    if threads < 1:
        yield Mistake("threads", f"must be at least 1, not {threads}.")
    bodies, elements, hooks = len(graph.bodies), len(graph.elements), len(graph.hooks_m)
    shapes = {
        "mass_kg": (bodies,),
        "cog_shift_m": (bodies, 3),
        "unstretched_length_m": (elements,),
        "stiffness_factor": (elements,),
        "hook_position_m": (hooks, 3),
    }
    total = len(samples)
    if total == 0:
        yield Mistake("samples", "hold no sample; give at least one array with at least one row.")
        return
    sound: set[str] = set()
    for name, shape in shapes.items():
        array = getattr(samples, name)
        if array is None:
            continue
        wanted = (total, *shape)
        if np.shape(array) != wanted:
            yield Mistake(name, f"must have the shape {wanted}, not {np.shape(array)}.")
        elif not np.isfinite(array).all():
            row = int(np.argwhere(~np.isfinite(array))[0][0])
            yield Mistake(f"{name}[{row}]", "is not a finite number; give one for every sample.")
        else:
            sound.add(name)
    yield from _value_problems(graph, samples, sound)


def _value_problems(graph: RigGraph, samples: BatchSamples, sound: set[str]) -> Iterator[Mistake]:
    if samples.mass_kg is not None and "mass_kg" in sound:
        for number, body in enumerate(graph.bodies):
            mass = samples.mass_kg[:, number]
            wrong = mass <= 0.0 if body.mass_kg > 0.0 else mass != 0.0
            if wrong.any():
                rule = "above zero" if body.mass_kg > 0.0 else "zero, as in the graph"
                yield Mistake(f"mass_kg[{int(wrong.argmax())}]", f"the mass of '{body.name}' must be {rule}.")
    for name in ("unstretched_length_m", "stiffness_factor"):
        array = getattr(samples, name)
        if array is None or name not in sound:
            continue
        for number, element in enumerate(graph.elements):
            if name == "unstretched_length_m" and element.unstretched_length_m is None:
                continue
            wrong = array[:, number] <= 0.0
            if wrong.any():
                yield Mistake(f"{name}[{int(wrong.argmax())}]", f"of '{element.name}' must be above zero.")
