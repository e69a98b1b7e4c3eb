"""The tolerance study of a lift: what scatters, what comes of it at every station, and what matters most.

Three answers stand side by side: the corners of the box of the centre of gravity, exactly; bands to first order from
the sensitivities of one equilibrium; and samples, each solved by itself, with every check evaluated in each.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from importlib.metadata import version

import numpy as np
import numpy.typing as npt

from plumbhook.core.check import Status
from plumbhook.core.errors import InputError, NotEvaluatedError
from plumbhook.model.lift import Lift
from plumbhook.planning.assess import assessment_of, solve_lift, state_problem
from plumbhook.planning.assessment import Assessment
from plumbhook.planning.statistics import quantiles
from plumbhook.planning.tolerance_linear import LinearRig
from plumbhook.planning.tolerance_proof import CONSTANT, NOT_IN_STUDY, SAMPLED, SortedChecks, sort_checks
from plumbhook.planning.tolerance_rig import StudyRig
from plumbhook.planning.tolerance_rows import FirstOrder, QuantityPlan, quantity_plans, quantity_row
from plumbhook.planning.tolerance_run import BLOCK, Kept, draw, kernel_form, run_samples, solve_inputs
from plumbhook.planning.tolerance_skew import counted_share, four_lines, skew_row
from plumbhook.planning.tolerance_study import (
    LEVELS,
    InputRow,
    Share,
    SkewRow,
    StudyCheck,
    StudyStation,
    ToleranceStudy,
)
from plumbhook.statics import solve

Floats = npt.NDArray[np.float64]

FORMAT = 1
FEWEST_SAMPLES, MOST_SAMPLES, MOST_THREADS = 100, 5_000_000, 64
TILT_CHECK = "tilt.load"
_LINEAR_BLOCKS = 16


def tolerance_study(
    lift: Lift,
    *,
    samples: int = 100_000,
    seed: int = 1,
    threads: int | None = None,
    progress: Callable[[int, int], None] | None = None,
    cancelled: Callable[[], bool] | None = None,
) -> ToleranceStudy:
    """Study the tolerances of a lift.

    Args:
        lift: a lift, from :func:`plumbhook.model.files.read_lift`; its ``tolerances`` section overrides the defaults.
        samples: number of samples, 100 or more.
        seed: the same seed gives the same samples, whatever the number of threads.
        threads: blocks to work on at once; None for one per processor, at most eight.
        progress: called with the number of samples done and of all, from the calling thread.
        cancelled: asked between blocks whether to stop.

    Returns:
        The study. Every check of the assessment is in it, and says how it entered.

    Raises:
        InputError: samples, seed or threads make no sense, the tolerances name unknown slings, or the rig cannot be
            built.
        NotEvaluatedError: with every input in the middle of its band the rig does not hang stably.
        StudyCancelledError: it was asked to stop.
    """
    _refuse_nonsense(samples, seed, threads)
    problem = state_problem(lift)
    rig = StudyRig.of(lift, problem)
    rest = solve(rig.graph)
    if not rest.is_stable:
        raise NotEvaluatedError(
            f"with every input in the middle of its band the rig is {rest.status.value}: {rest.message}"
        )
    solutions = solve_lift(lift, problem)
    assessment = assessment_of(lift, solutions)
    form = kernel_form(samples)
    checks = sort_checks(rig, seed, form)
    at_middle = solve_inputs(rig, rig.inputs.middles[None], form).answers.quantities
    middle = {key: float(value[0]) for key, value in at_middle.items()}
    plans = tuple(quantity_plans(rig, solutions, middle))
    shown = {plan.key for plan in plans}
    linear = LinearRig.of(replace(rig, struts=rig.struts.only(shown)), rest)
    lines = four_lines(rig)
    asked = {key for check in checks.varying for key in check.keys} | shown
    kept = run_samples(
        replace(rig, struts=rig.struts.only(asked)),
        checks.varying,
        tuple(plan.key for plan in plans),
        middle,
        samples=samples,
        seed=seed,
        threads=threads or min(8, os.cpu_count() or 1),
        form=form,
        skew=(lambda answers: lines.columns(rig, answers)) if lines is not None else (lambda _: {}),
        progress=progress,
        cancelled=cancelled,
    )
    return _Report(lift, rig, assessment, checks, linear, plans, kept, samples, seed).study(
        (skew_row(lines, kept.skew),) if lines is not None else ()
    )


def _refuse_nonsense(samples: int, seed: int, threads: int | None) -> None:
    if not FEWEST_SAMPLES <= samples <= MOST_SAMPLES:
        raise InputError.one(
            f"a study takes {FEWEST_SAMPLES} to {MOST_SAMPLES:,} samples, not {samples:,}", field="samples"
        )
    if seed < 0:
        raise InputError.one("the seed is a whole number, zero or more", field="seed")
    if threads is not None and not 1 <= threads <= MOST_THREADS:
        raise InputError.one(f"give 1 to {MOST_THREADS} threads", field="threads")


@dataclass(frozen=True, slots=True)
class _Report:
    """Everything found, on the way to the record."""

    lift: Lift
    rig: StudyRig
    assessment: Assessment
    checks: SortedChecks
    linear: LinearRig
    plans: tuple[QuantityPlan, ...]
    kept: Kept
    samples: int
    seed: int

    def study(self, skew: tuple[SkewRow, ...]) -> ToleranceStudy:
        kept, count = self.kept, self.samples
        slack = counted_share(kept.slack, 0, count)
        first = self._first_order()
        checks = tuple(self._checks())
        any_fails = counted_share(kept.any_fails[0], kept.any_fails[1], count)
        tolerances = self.lift.file.tolerances
        accepted = 0.0 if tolerances is None else tolerances.accepted_share
        return ToleranceStudy(
            format=FORMAT,
            tool_version=version("plumbhook"),
            content_hash=self.lift.content_hash,
            title=self.lift.file.lift.title,
            invented=self.lift.file.lift.invented,
            samples=count,
            seed=self.seed,
            inputs=tuple(
                InputRow(
                    row.name,
                    row.group,
                    row.shape.value,
                    row.middle,
                    row.half_width,
                    row.unit,
                    row.standard_deviation,
                    row.source,
                )
                for row in self.rig.inputs.rows
            ),
            held=self.rig.inputs.held,
            quantities=tuple(
                quantity_row(
                    plan,
                    kept.columns[plan.key],
                    kept.moments,
                    first,
                    self.rig.inputs,
                    slack_share=slack.estimate,
                )
                for plan in self.plans
            ),
            stations=tuple(self._stations()),
            checks=checks,
            any_check_fails=any_fails,
            slack=slack,
            tilt_beyond_limit=next((check.fails for check in checks if check.check_id == TILT_CHECK), None),
            not_at_rest=kept.not_at_rest,
            solved_again=kept.solved_again,
            accepted_share=accepted,
            skew=skew,
            proof=self.checks.proof,
            remarks=tuple(self._remarks(checks)),
            status=_status(checks, any_fails, accepted),
        )

    def _first_order(self) -> FirstOrder:
        blocks = min(_LINEAR_BLOCKS, -(-self.samples // BLOCK))
        x = np.concatenate([draw(self.rig.inputs, self.seed, block) for block in range(blocks)])[
            : self.samples
        ]
        return FirstOrder(self.linear.quantities(x), self.linear.slopes())

    def _checks(self) -> Iterator[StudyCheck]:
        keys = {check.check_id: tuple(sorted(check.keys)) for check in self.checks.varying}
        for check in self.assessment.checks:
            how, reason = self.checks.how.get(check.check_id, (NOT_IN_STUDY, "it is not made for a sample"))
            fails = None
            if how == SAMPLED:
                counted, unknown = self.kept.check_fails[check.check_id]
                fails = counted_share(counted, unknown, self.samples)
            yield StudyCheck(
                check.check_id,
                check.station,
                check.title,
                how,
                reason,
                check.status,
                keys.get(check.check_id, ()),
                fails,
            )

    def _stations(self) -> Iterator[StudyStation]:
        for station in self.assessment.stations:
            column = self.kept.stations.get(station.station_id)
            if column is None:
                continue
            known = column[~np.isnan(column)]
            counted, unknown = self.kept.station_fails[station.station_id]
            yield StudyStation(
                station.station_id,
                station.name,
                quantiles(column, LEVELS),
                float(known.max()) if len(known) else float("nan"),
                station.utilisation,
                station.status,
                counted_share(counted, unknown, self.samples),
            )

    def _remarks(self, checks: tuple[StudyCheck, ...]) -> Iterator[str]:
        yield (
            "A sample has the mass itself and no weight factor; the plan has the weight factor, the worst corner of "
            "the box and the largest of three methods."
        )
        failing = [c.check_id for c in checks if c.how == CONSTANT and c.assessed_status is Status.FAIL]
        if failing:
            yield f"These checks fail in every sample, because nothing in them varies: {', '.join(failing)}."
        missing = [f"{c.check_id} ({c.reason})" for c in checks if c.how == NOT_IN_STUDY]
        if missing:
            yield f"Not evaluated in the study, and so not passed: {', '.join(missing)}."
        if self.kept.not_at_rest:
            yield f"{self.kept.not_at_rest} samples found no stable rest; none of them counts as passing."


def _status(checks: tuple[StudyCheck, ...], any_fails: Share, accepted: float) -> Status:
    if any(check.how == CONSTANT and check.assessed_status is Status.FAIL for check in checks):
        return Status.FAIL
    if any_fails.counted > 0 and not any_fails.high <= accepted:
        return Status.FAIL
    not_sure = any_fails.unknown > 0 or any(
        check.how == NOT_IN_STUDY or check.assessed_status is Status.NOT_EVALUATED for check in checks
    )
    return Status.NOT_EVALUATED if not_sure or not checks else Status.PASS
