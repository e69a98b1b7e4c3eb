"""Records of a tolerance study: what scatters, and what comes of it at every station of the load path.

Plain values in SI units, so that a study survives a round trip through JSON unchanged.
"""

from __future__ import annotations

from dataclasses import dataclass

from plumbhook.core.check import Status

LEVELS = (0.05, 0.50, 0.95, 0.999)
"""Quantiles that are shown."""
CONFIDENCE = 0.95
"""Of every interval of a share (Clopper-Pearson)."""


@dataclass(frozen=True, slots=True)
class InputRow:
    """One independent input: middle plus or minus half width in a shape, and where that comes from.

    ``unit`` is ``1`` where the numbers are parts of the quantity, or ``m``. The half width of the normal shape is two
    standard deviations.
    """

    name: str
    group: str
    shape: str
    middle: float
    half_width: float
    unit: str
    standard_deviation: float
    source: str


@dataclass(frozen=True, slots=True)
class Share:
    """A counted share of the samples with its Clopper-Pearson interval at 95 %.

    ``unknown`` samples have no answer; the upper end counts them as if they had what is counted.
    """

    counted: int
    unknown: int
    of: int
    low: float
    high: float

    @property
    def estimate(self) -> float:
        """Counted over all samples; NaN without samples."""
        return self.counted / self.of if self.of else float("nan")


@dataclass(frozen=True, slots=True)
class Contribution:
    """Part of the variance of a quantity that one group of inputs causes, and its foremost input.

    ``first_order`` is from the sensitivities, ``sampled`` from the correlation of the samples.
    """

    group: str
    first_order: float
    sampled: float
    foremost: str


@dataclass(frozen=True, slots=True)
class QuantityRow:
    """One quantity of the rig; forces × dynamic factor, weight factor left out, since the mass itself scatters.

    Attributes:
        key: key of the quantity, as values of checks carry it.
        words: what it is.
        unit: SI unit; ``display`` the unit to print it in.
        middle: with every input at the middle of its band.
        deviation_first_order: standard deviation from the sensitivities, NaN where there is none.
        deviation: standard deviation of the samples.
        first_order: quantiles 5, 50, 95 and 99.9 % of the linear answer to the same inputs.
        sampled: the same quantiles of the samples.
        largest: the largest sample; the smallest where ``smaller_is_worse``.
        corner: worst corner of the box of the centre of gravity, expected mass, lengths as marked; NaN if none.
        corner_name: which corner it is.
        planned: what the assessment plans for, weight factor and all methods included; NaN if it has none.
        beyond_planned: share of the samples beyond it.
        contributions: by group of inputs, largest first.
        remark: why first order and samples differ, where they do; "" otherwise.
        smaller_is_worse: whether the low end is the one to look at.
    """

    key: str
    words: str
    unit: str
    display: str
    middle: float
    deviation_first_order: float
    deviation: float
    first_order: tuple[float, ...]
    sampled: tuple[float, ...]
    largest: float
    corner: float
    corner_name: str
    planned: float
    beyond_planned: Share | None
    contributions: tuple[Contribution, ...]
    remark: str
    smaller_is_worse: bool = False


@dataclass(frozen=True, slots=True)
class StudyStation:
    """One station of the load path: the worst of its checks that vary, sample by sample.

    ``utilisation`` holds the quantiles 5, 50, 95 and 99.9 %; ``assessed`` is the utilisation of the plan.
    """

    station_id: str
    name: str
    utilisation: tuple[float, ...]
    largest: float
    assessed: float
    assessed_status: Status
    fails: Share


@dataclass(frozen=True, slots=True)
class StudyCheck:
    """How one check entered the study.

    ``how`` is ``sampled`` (evaluated in every sample), ``constant`` (none of its numbers vary), or ``not evaluated``
    (it varies with something the study does not follow, or has no number); ``reason`` says why where it is not sampled.
    """

    check_id: str
    station: str
    title: str
    how: str
    reason: str
    assessed_status: Status
    quantities: tuple[str, ...]
    fails: Share | None


@dataclass(frozen=True, slots=True)
class SkewRow:
    """Unequal sharing of four lines that statics alone does not decide.

    ``over_equal`` is the largest line tension over the mean of the four, ``over_place`` the largest tension over what
    the place of the centre of gravity alone gives that line (product rule); quantiles 5, 50, 95 and 99.9 %.
    ``guideline`` is the factor of the marine guideline, for slings in matched pairs.
    """

    lines: tuple[str, ...]
    over_equal: tuple[float, ...]
    over_place: tuple[float, ...]
    guideline: float
    guideline_source: str
    beyond_guideline: Share
    remark: str


@dataclass(frozen=True, slots=True)
class StudyProof:
    """The builders themselves were run for some samples: how many, and the largest difference of any utilisation."""

    samples: int
    checks: int
    largest_difference: float


@dataclass(frozen=True, slots=True)
class ToleranceStudy:
    """A tolerance study. ``status`` says what came of it; it is never a permission to lift.

    Attributes:
        format: of this record.
        tool_version: version that made it.
        content_hash: of the lift.
        title: of the lift.
        invented: whether the lift is demo data.
        samples: number of samples; ``seed`` what they were drawn with.
        inputs: what scatters.
        held: what does not, in sentences.
        quantities: answers by quantity of the rig.
        stations: answers by station of the load path.
        checks: every check and how it entered.
        any_check_fails: share of the samples in which any check that varies fails.
        slack: share with a loose line.
        tilt_beyond_limit: share with a tilt beyond the limit; None where tilt was not evaluated.
        not_at_rest: samples that found no stable rest; they count as failing or unknown, never as passing.
        solved_again: samples solved again from the drawing, because the first way did not end in a stable rest.
        accepted_share: share of failing samples that the lift file accepts.
        skew: where four lines share what statics does not decide.
        proof: comparison with the builders.
        remarks: sentences to read with the numbers.
        status: FAIL where checks fail in more samples than accepted or a constant check fails, NOT_EVALUATED where
            something has no answer, PASS otherwise.
    """

    format: int
    tool_version: str
    content_hash: str
    title: str
    invented: bool
    samples: int
    seed: int
    inputs: tuple[InputRow, ...]
    held: tuple[str, ...]
    quantities: tuple[QuantityRow, ...]
    stations: tuple[StudyStation, ...]
    checks: tuple[StudyCheck, ...]
    any_check_fails: Share
    slack: Share
    tilt_beyond_limit: Share | None
    not_at_rest: int
    solved_again: int
    accepted_share: float
    skew: tuple[SkewRow, ...]
    proof: StudyProof
    remarks: tuple[str, ...]
    status: Status
