"""Runs the samples of a tolerance study in blocks: drawn, solved, judged, and kept only as far as answers need them.

A block is drawn from its own number and the seed, so that threads, cancelled runs and longer studies see the same
samples: the first hundred thousand of a million are the samples of a study of a hundred thousand.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field

import numpy as np
import numpy.typing as npt

from plumbhook.core.errors import PlumbhookError
from plumbhook.planning.assemble import LOAD
from plumbhook.planning.tolerance_checks import (
    FAIL,
    NOT_EVALUATED,
    NOT_STABLE,
    PASS,
    SLACK,
    SampleAnswers,
    VaryingCheck,
)
from plumbhook.planning.tolerance_defaults import Shape
from plumbhook.planning.tolerance_inputs import Inputs
from plumbhook.planning.tolerance_rig import StudyRig
from plumbhook.statics.kernel import BatchResult, solve_batch
from plumbhook.statics.kernel.forms import Form, chosen_form

Floats = npt.NDArray[np.float64]

BLOCK = 4096
_WORTH_COMPILING = 5000


class StudyCancelledError(PlumbhookError):
    """The study was asked to stop; it leaves nothing behind."""


def draw(inputs: Inputs, seed: int, block: int) -> Floats:
    """Inputs of one block of samples.

    Args:
        inputs: what scatters.
        seed: of the study.
        block: number of the block.

    Returns:
        (BLOCK, P) inputs; the same for the same seed and block, whatever else is drawn.
    """
    source = np.random.Generator(np.random.PCG64(np.random.SeedSequence(seed, spawn_key=(block,))))
    shape = (BLOCK, len(inputs.rows))
    flat, bell = source.random(shape), source.standard_normal(shape)
    out = np.empty(shape)
    for number, row in enumerate(inputs.rows):
        match row.shape:
            case Shape.UNIFORM:
                off = 2.0 * flat[:, number] - 1.0
            case Shape.TRIANGULAR:
                u = flat[:, number]
                off = np.where(u < 0.5, np.sqrt(2.0 * u) - 1.0, 1.0 - np.sqrt(2.0 * (1.0 - u)))
            case Shape.NORMAL:
                off = 0.5 * bell[:, number]
        out[:, number] = row.middle + row.half_width * off
    return out


@dataclass(frozen=True, slots=True)
class SolvedBlock:
    """Inputs of a block, what the solver found, and what is known of its samples."""

    x: Floats
    result: BatchResult
    answers: SampleAnswers


def solve_inputs(rig: StudyRig, x: Floats, form: Form) -> SolvedBlock:
    """Solve inputs (N, P) and form every quantity of their rests."""
    samples = rig.samples(x)
    result = solve_batch(rig.graph, samples, poses=True, restoring=rig.body_numbers[LOAD], form=form)
    with np.errstate(invalid="ignore"):
        quantities = rig.solved_quantities(x, samples, result)
    refused: dict[str, npt.NDArray[np.bool_]] = {
        SLACK: np.any(result.slack[:, rig.line_columns], axis=1),
        NOT_STABLE: result.converged & ~result.stable,
    }
    return SolvedBlock(x, result, SampleAnswers(quantities, refused))


def kernel_form(samples: int) -> Form:
    """Form of the kernel for a study of so many samples."""
    return chosen_form(worth_compiling=samples >= _WORTH_COMPILING)


@dataclass(slots=True)
class Kept:
    """What is kept of all samples.

    Attributes:
        columns: by quantity, (N,) in single precision.
        stations: by station, (N,) utilisation of the worst check that varies.
        station_fails: by station, samples that fail and samples without an answer.
        check_fails: by check, likewise.
        any_fails: samples in which any check fails, and further ones in which any has no answer.
        slack: samples with a loose line.
        not_at_rest: samples without a stable rest.
        solved_again: samples solved again from the drawing.
        moments: for the correlation of inputs and quantities.
        skew: by group of lines, (N,) arrays.
    """

    columns: dict[str, npt.NDArray[np.float32]]
    stations: dict[str, npt.NDArray[np.float32]]
    station_fails: dict[str, list[int]]
    check_fails: dict[str, list[int]]
    any_fails: list[int]
    slack: int
    not_at_rest: int
    solved_again: int
    moments: Moments
    skew: dict[str, npt.NDArray[np.float32]]


@dataclass(slots=True)
class Moments:
    """Sums for the variance of every quantity and its covariance with every input, over samples with an answer.

    Inputs count in standard deviations from the middle of their band, quantities from their middle value.
    """

    keys: tuple[str, ...]
    middle: Floats
    count: int = 0
    total: Floats = field(default_factory=lambda: np.zeros(0))
    squares: Floats = field(default_factory=lambda: np.zeros(0))
    products: Floats = field(default_factory=lambda: np.zeros((0, 0)))
    input_total: Floats = field(default_factory=lambda: np.zeros(0))

    def add(self, other: Moments) -> None:
        """Add the sums of a block; blocks must come in their order, so that the last digits are the same."""
        if self.count == 0 and self.total.size == 0:
            self.total, self.squares = np.zeros_like(other.total), np.zeros_like(other.squares)
            self.products, self.input_total = np.zeros_like(other.products), np.zeros_like(other.input_total)
        self.count += other.count
        self.total += other.total
        self.squares += other.squares
        self.products += other.products
        self.input_total += other.input_total

    @property
    def variances(self) -> Floats:
        """(nq,) variance of each quantity."""
        mean = self.total / max(self.count, 1)
        spread: Floats = np.maximum(self.squares / max(self.count, 1) - mean**2, 0.0)
        return spread

    @property
    def covariances(self) -> Floats:
        """(P, nq) covariance of each input, in standard deviations, with each quantity."""
        count = max(self.count, 1)
        found: Floats = self.products / count - np.outer(self.input_total / count, self.total / count)
        return found


def moments_of(
    keys: tuple[str, ...], middle: Floats, inputs: Inputs, x: Floats, quantities: Mapping[str, Floats]
) -> Moments:
    """Sums of one block."""
    z = (x - inputs.middles) / np.where(inputs.deviations > 0.0, inputs.deviations, 1.0)
    y = np.stack([quantities[key] for key in keys], axis=1) - middle
    known = np.isfinite(y).all(axis=1)
    z, y = z[known], y[known]
    return Moments(keys, middle, len(y), y.sum(axis=0), (y * y).sum(axis=0), z.T @ y, z.sum(axis=0))


@dataclass(frozen=True, slots=True)
class _BlockAnswer:
    station_fails: dict[str, tuple[int, int]]
    check_fails: dict[str, tuple[int, int]]
    any_fails: tuple[int, int]
    slack: int
    not_at_rest: int
    solved_again: int
    moments: Moments
    count: int


def run_samples(
    rig: StudyRig,
    checks: Sequence[VaryingCheck],
    keys: tuple[str, ...],
    middle: Mapping[str, float],
    *,
    samples: int,
    seed: int,
    threads: int,
    form: Form,
    skew: Callable[[SampleAnswers], dict[str, Floats]],
    progress: Callable[[int, int], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> Kept:
    """Run all samples.

    Args:
        rig: the rig.
        checks: checks to evaluate in every sample.
        keys: quantities to keep.
        middle: value of each with all inputs in the middle.
        samples: how many.
        seed: of the study.
        threads: how many blocks to work on at once; the answers do not depend on it.
        form: form of the kernel.
        skew: further columns made from the answers of a block.
        progress: called with the samples done and all of them, from the calling thread.
        cancelled: asked between blocks whether to stop.

    Raises:
        StudyCancelledError: it was asked to stop.
    """
    stations = tuple(dict.fromkeys(check.station for check in checks))
    zero = Moments(keys, np.array([middle[key] for key in keys]))
    kept = Kept(
        columns={key: np.full(samples, np.nan, dtype=np.float32) for key in keys},
        stations={name: np.full(samples, np.nan, dtype=np.float32) for name in stations},
        station_fails={name: [0, 0] for name in stations},
        check_fails={check.check_id: [0, 0] for check in checks},
        any_fails=[0, 0],
        slack=0,
        not_at_rest=0,
        solved_again=0,
        moments=zero,
        skew={},
    )
    blocks = -(-samples // BLOCK)

    def work(block: int) -> _BlockAnswer:
        first = block * BLOCK
        count = min(BLOCK, samples - first)
        solved = solve_inputs(rig, draw(rig.inputs, seed, block)[:count], form)
        return _judge(rig, checks, kept, slice(first, first + count), solved, skew)

    for name in skew_names(rig, form, skew):
        kept.skew[name] = np.full(samples, np.nan, dtype=np.float32)
    pool = ThreadPoolExecutor(threads)
    try:
        done = 0
        for answer in pool.map(work, range(blocks)):
            _merge(kept, answer)
            done += answer.count
            if progress is not None:
                progress(done, samples)
            if cancelled is not None and cancelled():
                raise StudyCancelledError("the study was stopped; nothing is kept of it")
    finally:
        pool.shutdown(wait=True, cancel_futures=True)
    return kept


def skew_names(
    rig: StudyRig, form: Form, skew: Callable[[SampleAnswers], dict[str, Floats]]
) -> tuple[str, ...]:
    """Names of the columns that ``skew`` makes."""
    return tuple(skew(solve_inputs(rig, rig.inputs.middles[None], form).answers))


def _judge(
    rig: StudyRig,
    checks: Sequence[VaryingCheck],
    kept: Kept,
    rows: slice,
    solved: SolvedBlock,
    skew: Callable[[SampleAnswers], dict[str, Floats]],
) -> _BlockAnswer:
    answers = solved.answers
    for key, column in kept.columns.items():
        column[rows] = answers.quantities[key]
    for name, array in skew(answers).items():
        kept.skew[name][rows] = array
    count = len(answers)
    worst_status = np.full(count, PASS, dtype=np.int8)
    unknown = np.zeros(count, dtype=np.bool_)
    check_fails: dict[str, tuple[int, int]] = {}
    use: dict[str, Floats] = {}
    fails: dict[str, npt.NDArray[np.bool_]] = {}
    open_: dict[str, npt.NDArray[np.bool_]] = {}
    for check in checks:
        found = check.over(answers)
        failing, missing = found.status == FAIL, found.status == NOT_EVALUATED
        check_fails[check.check_id] = (int(failing.sum()), int(missing.sum()))
        worst_status = np.where(failing, FAIL, worst_status).astype(np.int8)
        unknown |= missing
        station = check.station
        if station not in use:
            use[station], fails[station], open_[station] = found.utilisation, failing, missing
        else:
            use[station] = np.maximum(use[station], found.utilisation)  # NaN stays NaN
            fails[station] = fails[station] | failing
            open_[station] = open_[station] | missing
    for station, values in use.items():
        kept.stations[station][rows] = values
    any_fail = worst_status == FAIL
    return _BlockAnswer(
        station_fails={
            name: (int(fails[name].sum()), int((open_[name] & ~fails[name]).sum())) for name in use
        },
        check_fails=check_fails,
        any_fails=(int(any_fail.sum()), int((unknown & ~any_fail).sum())),
        slack=int(answers.refused[SLACK].sum()),
        not_at_rest=int((~solved.result.stable).sum()),
        solved_again=solved.result.resolved,
        moments=moments_of(kept.moments.keys, kept.moments.middle, rig.inputs, solved.x, answers.quantities),
        count=count,
    )


def _merge(kept: Kept, answer: _BlockAnswer) -> None:
    for mine, theirs in ((kept.station_fails, answer.station_fails), (kept.check_fails, answer.check_fails)):
        for name, (failing, missing) in theirs.items():
            mine[name][0] += failing
            mine[name][1] += missing
    kept.any_fails[0] += answer.any_fails[0]
    kept.any_fails[1] += answer.any_fails[1]
    kept.slack += answer.slack
    kept.not_at_rest += answer.not_at_rest
    kept.solved_again += answer.solved_again
    kept.moments.add(answer.moments)
