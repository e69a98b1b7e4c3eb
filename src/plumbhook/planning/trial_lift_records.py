"""Records of a trial lift: what to expect, what was read, what it says of the load, and what to do."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

from plumbhook.planning.assessment import Vector
from plumbhook.planning.levelling_records import LengthSet
from plumbhook.planning.trial_lift_channels import ChannelKind

Rows = tuple[tuple[float, ...], ...]


class Band(Enum):
    """Where a reading lies."""

    GREEN = "green"
    AMBER = "amber"
    RED = "red"


class TrialVerdict(Enum):
    """What the readings say of going on. It is advice to the lifting supervisor and never a permission to lift."""

    INSIDE = "inside"
    AMBER = "amber"
    STOP = "stop"


@dataclass(frozen=True, slots=True)
class ExpectedChannel:
    """What one channel should read, and the bands around it. In the channel's unit; the edges belong to the band.

    Attributes:
        name: serial of a cell, ``tilt x`` ...
        kind: what it reads.
        unit: ``kg``, ``rad`` or ``m``.
        line: line that a cell hangs in, "" otherwise.
        expected: reading expected at the claimed weight and centre of gravity.
        green: least and largest reading to go on with, rounded inward to what an instrument shows.
        red: least and largest reading that is not a stop, rounded inward likewise.
        half_width: half width of green before rounding: root sum of squares of ``parts``.
        parts: half width that each tolerance adds, by its name.
        corners: least and largest reading at the corners of the claim (mass and box), instrument and rig exact.
        height_m: height on the load at which the place of the hook is read; NaN for other channels.
    """

    name: str
    kind: ChannelKind
    unit: str
    line: str
    expected: float
    green: tuple[float, float]
    red: tuple[float, float]
    half_width: float
    parts: Mapping[str, float]
    corners: tuple[float, float]
    height_m: float

    def band(self, reading: float) -> Band:
        """Where a reading lies; one that is no number is red."""
        if self.green[0] <= reading <= self.green[1]:
            return Band.GREEN
        return Band.AMBER if self.red[0] <= reading <= self.red[1] else Band.RED


@dataclass(frozen=True, slots=True)
class ExpectedReadings:
    """The card for the trial lift.

    Attributes:
        lift_id: number of the lift; ``revision`` of its plan.
        content_hash: of the lift.
        mass_kg: claimed mass; ``cog_m`` claimed centre of gravity.
        channels: what can be read.
        tilt_rad: total tilt expected.
        tilt_limit_rad: total tilt at which to stop whatever the bands say.
        notes: what the reader must know.
    """

    lift_id: str
    revision: str
    content_hash: str
    mass_kg: float
    cog_m: Vector
    channels: tuple[ExpectedChannel, ...]
    tilt_rad: float
    tilt_limit_rad: float
    notes: tuple[str, ...]

    def channel(self, name: str) -> ExpectedChannel:
        """The channel of that name.

        Raises:
            KeyError: there is none.
        """
        for channel in self.channels:
            if channel.name == name:
                return channel
        raise KeyError(name)


@dataclass(frozen=True, slots=True)
class Estimate:
    """Weight and centre of gravity that explain the readings best.

    Attributes:
        mass_kg: of the load.
        cog_m: centre of gravity, load coordinates.
        sd: standard deviations of mass (kg), x, y, z (m).
        covariance: (4, 4) of mass, x, y, z.
        told: for mass, x, y, z whether the readings tell it; what they do not tell is held at the claim.
    """

    mass_kg: float
    cog_m: Vector
    sd: tuple[float, float, float, float]
    covariance: Rows
    told: tuple[bool, bool, bool, bool]


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One thing that may explain the readings.

    Attributes:
        what: in words.
        at_m: where it would be; None for no particular place.
        probability: among the hypotheses listed, given the readings.
        mass_kg: most likely extra mass, negative if less is there than stated; zero for "nothing".
        low_kg: 5 % and ``high_kg`` 95 % bound of it.
    """

    what: str
    at_m: Vector | None
    probability: float
    mass_kg: float
    low_kg: float
    high_kg: float


@dataclass(frozen=True, slots=True)
class ReadChannel:
    """A reading beside what was expected and what the estimate gives, in the channel's unit."""

    name: str
    unit: str
    reading: float
    expected: float
    estimated: float
    band: Band


@dataclass(frozen=True, slots=True)
class Consistency:
    """How well one weight and one centre of gravity explain all readings together.

    Attributes:
        chi_square: sum of squares of the misfits in standard deviations; ``freedom`` readings more than unknowns.
        probability: that honest readings fit no better; NaN without a spare reading, when nothing can be tested.
        explained: False where no weight explains the readings.
        out: the channel that is most likely wrong where they are not explained, "" otherwise.
        why: the sentence on it.
    """

    chi_square: float
    freedom: int
    probability: float
    explained: bool
    out: str
    why: str


@dataclass(frozen=True, slots=True)
class LineChange:
    """One line to set otherwise: lengths in m, whole steps of its pitch (None where it has none), how."""

    line: str
    from_m: float
    to_m: float
    steps: int | None
    how: str


@dataclass(frozen=True, slots=True)
class Cure:
    """What to change so that the load hangs level, for the estimated load.

    Attributes:
        changes: lines to set otherwise; empty where nothing is to be changed.
        before: how the load hangs now, by the estimate; ``after`` with the changes, None where none will do.
        why: one sentence.
    """

    changes: tuple[LineChange, ...]
    before: LengthSet
    after: LengthSet | None
    why: str


@dataclass(frozen=True, slots=True)
class TrialLiftResult:
    """The answer to a set of readings.

    Attributes:
        expected: the card the readings are held against.
        taken: when; ``by`` whom.
        readings: every reading with its band.
        verdict: inside, amber or stop; ``reasons`` why.
        estimate: from the readings alone as far as they tell; None where no weight explains them.
        with_claim: readings and claim weighed against each other; None likewise.
        consistency: whether one weight explains all readings.
        observability: what the readings cannot tell, in sentences.
        hypotheses: what may explain a difference, the most probable first.
        cure: which lines to change; None where there is no estimate or nothing can be set.
    """

    expected: ExpectedReadings
    taken: str
    by: str
    readings: tuple[ReadChannel, ...]
    verdict: TrialVerdict
    reasons: tuple[str, ...]
    estimate: Estimate | None
    with_claim: Estimate | None
    consistency: Consistency
    observability: tuple[str, ...]
    hypotheses: tuple[Hypothesis, ...]
    cure: Cure | None
