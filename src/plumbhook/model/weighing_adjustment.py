"""Mass and centre of gravity from readings at supports, in tilted attitudes, of single-end picks and of a hook.

Every reading, every place of a support and every angle is an observation with its uncertainty; equilibrium ties
them to the mass W and the centre of gravity c. Per attitude with the upward direction u in the axes of the load
and two horizontal directions e:

    sum(R) = W          sum(R P.e) = W c.e

per single-end pick by a hook at h while the load turns about its far edge at p, both along one axis, kept level:

    F (h - p) = W (c - p)

and per hook reading H = W. The observations are corrected as little as their uncertainties ask for until all of
it holds together (least squares with condition equations, Gauss-Helmert model: W. E. Deming, Statistical
Adjustment of Data, 1943; written from memory). What the readings cannot tell, say the height where the load was
weighed level only, comes out as NaN and not as a guess.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import NormalDist

import numpy as np
import numpy.typing as npt

from plumbhook.core.errors import PlumbhookError

Array = npt.NDArray[np.float64]
Vector = tuple[float, float, float]
_PARAMETERS = ("W", "x", "y", "z")
_MOST_STEPS = 50
_JOINT = 0.95


class WeighingError(PlumbhookError):
    """Readings that give no mass, or that no mass explains; the message is one sentence with the cure."""


@dataclass(frozen=True, slots=True)
class Support:
    """Where the load stands: its place in load coordinates, m, and the standard uncertainty of each coordinate."""

    name: str
    at_m: Vector
    uncertainty_m: float = 0.0


@dataclass(frozen=True, slots=True)
class Attitude:
    """Readings at all supports in one attitude.

    Attributes:
        name: in words.
        readings_kg: net reading at each support, in the order of the supports.
        covariance_kg2: of the readings, row by row.
        azimuth_rad: direction of the raised end in plan, from x towards y; any for a level attitude.
        angle_rad: by how much that end is raised; 0 is level.
        angle_uncertainty_rad: standard uncertainty of the angle.
    """

    name: str
    readings_kg: tuple[float, ...]
    covariance_kg2: tuple[tuple[float, ...], ...]
    azimuth_rad: float = 0.0
    angle_rad: float = 0.0
    angle_uncertainty_rad: float = 0.0


@dataclass(frozen=True, slots=True)
class Pick:
    """One end lifted just clear while the far edge stays down: reading, kg, hook and far edge along an axis, m."""

    name: str
    axis: int
    hook_at_m: float
    pivot_at_m: float
    place_uncertainty_m: float
    reading_kg: float
    uncertainty_kg: float


@dataclass(frozen=True, slots=True)
class HookReading:
    """The whole load on one hook: net reading and its standard uncertainty, kg."""

    reading_kg: float
    uncertainty_kg: float


@dataclass(frozen=True, slots=True)
class Observations:
    """Everything that was read."""

    supports: tuple[Support, ...] = ()
    attitudes: tuple[Attitude, ...] = ()
    picks: tuple[Pick, ...] = ()
    hook: HookReading | None = None


@dataclass(frozen=True, slots=True)
class Correction:
    """One reading, the correction that least squares gives it, and that over its own uncertainty."""

    name: str
    reading_kg: float
    correction_kg: float
    normalised: float


@dataclass(frozen=True, slots=True)
class WeighingResult:
    """Mass and centre of gravity with their covariance.

    Attributes:
        mass_kg: most likely mass, kg.
        mass_uncertainty_kg: its standard uncertainty, kg.
        cog_m: most likely centre of gravity, m; NaN along an axis of which the readings say nothing.
        covariance: of (mass, x, y, z) in kg and m, row by row; NaN where an entry is not known.
        chi_square: sum of the squared corrections over their uncertainties.
        redundancy: number of conditions beyond those that are needed; 0 means that nothing can disagree.
        corrections: what was done to each reading.
    """

    mass_kg: float
    mass_uncertainty_kg: float
    cog_m: Vector
    covariance: tuple[tuple[float, ...], ...]
    chi_square: float
    redundancy: int
    corrections: tuple[Correction, ...]

    @property
    def half_sizes_m(self) -> Vector:
        """Half sizes of a box that holds the centre of gravity with 95 % or more, all found axes together, m.

        Each axis gets the share ``0.95 ** (1/n)``; for normal errors of any correlation the whole box then holds
        at least 95 % (Z. Sidak, J. Am. Stat. Assoc. 62 (1967) 626; from memory).
        """
        found = sum(math.isfinite(at) for at in self.cog_m)
        factor = joint_factor(found) if found else math.nan
        x, y, z = (
            factor * math.sqrt(self.covariance[i][i]) if math.isfinite(at) else math.nan
            for i, at in enumerate(self.cog_m, start=1)
        )
        return (x, y, z)

    @property
    def mass_half_width_kg(self) -> float:
        """Half width of the band that holds the mass with 95 %, kg."""
        return joint_factor(1) * self.mass_uncertainty_kg


def joint_factor(count: int) -> float:
    """Number of standard uncertainties on either side that hold ``count`` normal errors together with 95 %."""
    return NormalDist().inv_cdf(0.5 * (1.0 + _JOINT ** (1.0 / count)))


@lru_cache(maxsize=64)
def adjust(observations: Observations) -> WeighingResult:
    """Most likely mass and centre of gravity by least squares.

    Args:
        observations: what was read.

    Returns:
        The result, whether or not its chi-square is plausible: the caller judges that.

    Raises:
        WeighingError: the readings do not give a mass, the supports span no area, a reading pulls, or the
            adjustment does not settle.
    """
    _hold(observations)
    problem = _Problem(observations)
    parameters = problem.first_guess()
    corrected = problem.given.copy()
    for _ in range(_MOST_STEPS):
        step = problem.step(parameters, corrected)
        parameters = parameters + step.change
        settled = np.all(np.abs(step.change / problem.scales) < 1e-12) and np.allclose(
            step.corrected, corrected, rtol=1e-12, atol=1e-12
        )
        corrected = step.corrected
        if settled:
            break
    else:
        raise WeighingError(
            "the readings do not settle on one mass; look for a reading with a wrong sign or unit"
        )
    step = problem.step(parameters, corrected)
    return _result(problem, parameters, step)


@dataclass(frozen=True, slots=True)
class _Step:
    change: Array
    corrected: Array
    covariance: Array
    found: npt.NDArray[np.bool_]
    chi_square: float
    rank: int
    correction_covariance: Array


class _Problem:
    """The observations as one vector with its covariance, and the conditions between them."""

    def __init__(self, observations: Observations) -> None:
        self._o = observations
        n = len(observations.supports)
        values: list[float] = []
        blocks: list[Array] = []
        self.names: list[str] = []
        for attitude in observations.attitudes:
            values.extend(attitude.readings_kg)
            blocks.append(np.array(attitude.covariance_kg2))
            self.names.extend(f"{support.name}, {attitude.name}" for support in observations.supports)
        for pick in observations.picks:
            values.append(pick.reading_kg)
            blocks.append(np.array([[pick.uncertainty_kg**2]]))
            self.names.append(pick.name)
        if observations.hook is not None:
            values.append(observations.hook.reading_kg)
            blocks.append(np.array([[observations.hook.uncertainty_kg**2]]))
            self.names.append("hook")
        self.readings = len(values)
        for support in observations.supports:
            values.extend(support.at_m)
            blocks.append(np.eye(3) * support.uncertainty_m**2)
        for attitude in observations.attitudes:
            values.append(attitude.angle_rad)
            blocks.append(np.array([[attitude.angle_uncertainty_rad**2]]))
        for pick in observations.picks:
            values.extend((pick.hook_at_m, pick.pivot_at_m))
            blocks.append(np.eye(2) * pick.place_uncertainty_m**2)
        self.given = np.array(values)
        self._n = n
        self.covariance = _block_diagonal(blocks)
        reach = [abs(c) for support in observations.supports for c in support.at_m]
        reach += [abs(c) for pick in observations.picks for c in (pick.hook_at_m, pick.pivot_at_m)]
        length = max([*reach, 1e-3])
        self.scales = np.array([max(self.first_guess()[0], 1e-9), length, length, length])

    def first_guess(self) -> Array:
        """A mass to start from; the centre of gravity starts in the origin."""
        o = self._o
        if o.attitudes:
            return np.array([math.fsum(o.attitudes[0].readings_kg), 0.0, 0.0, 0.0])
        if o.hook is not None:
            return np.array([o.hook.reading_kg, 0.0, 0.0, 0.0])
        return np.array([math.fsum(pick.reading_kg for pick in o.picks), 0.0, 0.0, 0.0])

    def conditions(
        self, parameters: npt.NDArray[np.complex128], values: npt.NDArray[np.complex128]
    ) -> npt.NDArray[np.complex128]:
        """What must vanish, in kg and kg m."""
        mass, cog = parameters[0], parameters[1:]
        o, n = self._o, self._n
        position = len(o.attitudes) * n
        picked = values[position : position + len(o.picks)]
        at = self.readings
        places = values[at : at + 3 * n].reshape(n, 3)
        at += 3 * n
        angles = values[at : at + len(o.attitudes)]
        at += len(o.attitudes)
        found: list[np.complex128] = []
        for number, attitude in enumerate(o.attitudes):
            reaction = values[number * n : (number + 1) * n]
            cosine, sine = np.cos(angles[number]), np.sin(angles[number])
            ahead = (math.cos(attitude.azimuth_rad), math.sin(attitude.azimuth_rad))
            raised = np.array([cosine * ahead[0], cosine * ahead[1], -sine])
            across = np.array([-ahead[1], ahead[0], 0.0])
            moment = reaction @ places - mass * cog
            found += [reaction.sum() - mass, moment @ raised, moment @ across]
        for number, pick in enumerate(o.picks):
            hook, pivot = values[at + 2 * number], values[at + 2 * number + 1]
            found.append(picked[number] * (hook - pivot) - mass * (cog[pick.axis] - pivot))
        if o.hook is not None:
            found.append(values[self.readings - 1] - mass)
        return np.array(found)

    def step(self, parameters: Array, corrected: Array) -> _Step:
        """One step of the adjustment, linear about the parameters and the corrected observations."""
        value = self.conditions(parameters.astype(complex), corrected.astype(complex)).real
        by_parameter = self._slopes(parameters, corrected, of_parameters=True) * self.scales
        by_value = self._slopes(parameters, corrected, of_parameters=False)
        misfit = value + by_value @ (self.given - corrected)
        weight = np.linalg.inv(_scaled(by_value @ self.covariance @ by_value.T))
        normal = by_parameter.T @ weight @ by_parameter
        inverse, rank, null = _pseudo_inverse(normal)
        change = -inverse @ by_parameter.T @ weight @ misfit
        rest = by_parameter @ change + misfit
        spread = self.covariance @ by_value.T
        fit = weight - weight @ by_parameter @ inverse @ by_parameter.T @ weight
        return _Step(
            change=change * self.scales,
            corrected=self.given - spread @ weight @ rest,
            covariance=inverse * np.outer(self.scales, self.scales),
            found=np.all(np.abs(null) < 1e-6, axis=1),
            chi_square=float(rest @ weight @ rest),
            rank=rank,
            correction_covariance=spread @ fit @ spread.T,
        )

    def _slopes(self, parameters: Array, values: Array, *, of_parameters: bool) -> Array:
        """Derivatives of the conditions, exact by a step in the imaginary direction."""
        varied = parameters if of_parameters else values
        columns = []
        for number in range(len(varied)):
            step = 1e-30j * max(1.0, abs(varied[number]))
            moved = varied.astype(complex)
            moved[number] += step
            found = (
                self.conditions(moved, values.astype(complex))
                if of_parameters
                else self.conditions(parameters.astype(complex), moved)
            )
            columns.append(found.imag / step.imag)
        return np.column_stack(columns)


def _result(problem: _Problem, parameters: Array, step: _Step) -> WeighingResult:
    if not step.found[0]:
        raise WeighingError(
            "these readings do not give a mass; weigh at three supports or more, lift one end and then the other, "
            "or read a hook"
        )
    if not parameters[0] > 0.0:
        raise WeighingError(
            "the readings give no positive mass; check the places of hook and far edge, and the signs"
        )
    found = step.found
    covariance = np.where(np.outer(found, found), step.covariance, math.nan)
    cog = [float(at) if known else math.nan for at, known in zip(parameters[1:], found[1:], strict=True)]
    corrections = []
    for number in range(problem.readings):
        change = float(step.corrected[number] - problem.given[number])
        deviation = math.sqrt(max(float(step.correction_covariance[number, number]), 0.0))
        own = math.sqrt(float(problem.covariance[number, number]))
        normalised = change / deviation if deviation > 1e-6 * own else 0.0
        corrections.append(
            Correction(problem.names[number], float(problem.given[number]), change, normalised)
        )
    return WeighingResult(
        mass_kg=float(parameters[0]),
        mass_uncertainty_kg=math.sqrt(float(covariance[0, 0])),
        cog_m=(cog[0], cog[1], cog[2]),
        covariance=tuple(tuple(float(entry) for entry in row) for row in covariance),
        chi_square=step.chi_square if _redundancy(problem, step) else 0.0,
        redundancy=_redundancy(problem, step),
        corrections=tuple(corrections),
    )


def _redundancy(problem: _Problem, step: _Step) -> int:
    conditions = len(problem.conditions(np.ones(4, complex), problem.given.astype(complex)))
    return conditions - step.rank


def _scaled(matrix: Array) -> Array:
    """A covariance of conditions that can be inverted.

    Raises:
        WeighingError: a condition has no uncertainty at all.
    """
    if not np.all(np.isfinite(matrix)) or np.linalg.cond(matrix / np.max(np.abs(matrix))) > 1e15:
        raise WeighingError(
            "the supports do not hold the load in every direction, or a reading has no uncertainty"
        )
    return matrix


def _pseudo_inverse(normal: Array) -> tuple[Array, int, Array]:
    """Inverse of the normal matrix in the directions that the readings tell of; its rank; the others as columns."""
    values, vectors = np.linalg.eigh(normal)
    told = values > 1e-12 * values.max()
    inverse = (vectors[:, told] / values[told]) @ vectors[:, told].T
    return inverse, int(told.sum()), vectors[:, ~told]


def _block_diagonal(blocks: Sequence[Array]) -> Array:
    size = sum(len(block) for block in blocks)
    whole, at = np.zeros((size, size)), 0
    for block in blocks:
        whole[at : at + len(block), at : at + len(block)] = block
        at += len(block)
    return whole


def _hold(observations: Observations) -> None:
    """What no adjustment can mend.

    Raises:
        WeighingError: with the first of them.
    """
    supports = observations.supports
    for attitude in observations.attitudes:
        if len(supports) < 3:
            raise WeighingError(
                "a load is weighed at three supports or more; give the place and reading of each"
            )
        for support, reading in zip(supports, attitude.readings_kg, strict=True):
            if not reading >= 0.0:
                raise WeighingError(
                    f"{support.name}, {attitude.name}: the net reading is negative, but a support can only push; "
                    "check the sign and the tare"
                )
        if not math.fsum(attitude.readings_kg) > 0.0:
            raise WeighingError(f"{attitude.name}: nothing stands on the supports; check the readings")
        variances = [row[i] for i, row in enumerate(attitude.covariance_kg2)]
        if not all(variance > 0.0 for variance in variances):
            raise WeighingError("an instrument without any uncertainty is not accepted; give its accuracy")
    if observations.attitudes:
        _hold_area(supports)
    for pick in observations.picks:
        if not pick.reading_kg > 0.0 or not pick.uncertainty_kg > 0.0:
            raise WeighingError(f"{pick.name}: the hook reads nothing, or has no accuracy; give both")
        if abs(pick.hook_at_m - pick.pivot_at_m) <= max(3.0 * pick.place_uncertainty_m, 1e-3):
            raise WeighingError(f"{pick.name}: hook and far edge are at the same place; correct one of them")
    if observations.hook is not None and not (
        observations.hook.reading_kg > 0.0 and observations.hook.uncertainty_kg > 0.0
    ):
        raise WeighingError("the hook reads nothing, or has no accuracy; give both")
    if not (observations.attitudes or observations.picks or observations.hook):
        raise WeighingError("there are no readings; give those at the supports, of picks or of a hook")


def _hold_area(supports: Sequence[Support]) -> None:
    """Supports in one line tell nothing of what is beside the line."""
    places = np.array([support.at_m[:2] for support in supports])
    spread = np.linalg.svd(places - places.mean(axis=0), compute_uv=False)
    length, width = float(spread[0]), float(spread[1])
    doubt = 3.0 * max(support.uncertainty_m for support in supports)
    if width <= max(1e-3 * length, doubt, 1e-6):
        raise WeighingError(
            f"the {len(supports)} supports lie on one line in plan, so that the load would turn about it; "
            "move one of them to the side"
        )
