"""Which checks vary, which do not, and the proof of it: the builders themselves run for some samples."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from plumbhook.core.check import Check, Status
from plumbhook.model.rig_graph import Pose
from plumbhook.planning.check_whole import METHODS
from plumbhook.planning.tolerance_checks import (
    CODES,
    CompiledCheck,
    SampleAnswers,
    VaryingCheck,
    checks_of_sample,
)
from plumbhook.planning.tolerance_rig import StudyRig
from plumbhook.planning.tolerance_run import SolvedBlock, draw, solve_inputs
from plumbhook.planning.tolerance_study import StudyProof
from plumbhook.statics.kernel.forms import Form

Floats = npt.NDArray[np.float64]

AGREES = 1e-7
"""Largest accepted difference of a utilisation between the compiled check and the builder, in parts of the larger."""
_DRAWN_PROBES = 4
_METHODS = "it compares two methods of calculation, which a sample does not repeat; it stands as assessed"
SAMPLED, CONSTANT, NOT_IN_STUDY = "sampled", "constant", "not evaluated"


@dataclass(frozen=True, slots=True)
class SortedChecks:
    """Checks of a lift by how they enter the study.

    Attributes:
        varying: evaluated in every sample.
        how: by check id, ``sampled``, ``constant`` or ``not evaluated`` with the reason.
        base: every check with all inputs in the middle, by id.
        proof: how many samples were compared, and the largest difference.
    """

    varying: tuple[VaryingCheck, ...]
    how: Mapping[str, tuple[str, str]]
    base: Mapping[str, Check]
    proof: StudyProof


def sort_checks(rig: StudyRig, seed: int, form: Form) -> SortedChecks:
    """Sort the checks of a lift by running their builders for a few samples, extreme and ordinary ones.

    Raises:
        NotEvaluatedError: one of these samples has no equilibrium at all.
    """
    solved = solve_inputs(rig, probe_inputs(rig, seed), form)
    built = [
        {check.check_id: check for check in checks_by_builders(rig, solved, row)}
        for row in range(len(solved.x))
        if bool(solved.result.converged[row])
    ]
    rows = np.flatnonzero(solved.result.converged)
    base = built[0]
    varying: list[VaryingCheck] = []
    how: dict[str, tuple[str, str]] = {}
    largest = 0.0
    for check_id, check in base.items():
        if check.station == METHODS:
            how[check_id] = (CONSTANT, _METHODS)
            continue
        others = [probe.get(check_id) for probe in built]
        if any(other is None for other in others):
            how[check_id] = (NOT_IN_STUDY, "it is not made for every sample")
            continue
        same = [other for other in others if other is not None]
        compiled = _compiled(check, same, solved.answers)
        difference = _difference(compiled, same, solved.answers, rows)
        if not difference <= AGREES:
            how[check_id] = (NOT_IN_STUDY, "it varies with something that the study does not follow")
        elif check.not_evaluated_because or check.status is Status.NOT_EVALUATED:
            how[check_id] = (NOT_IN_STUDY, check.not_evaluated_because or "a number is missing")
        elif not compiled.keys:
            how[check_id] = (CONSTANT, "")
        else:
            how[check_id] = (SAMPLED, "")
            varying.append(compiled)
            largest = max(largest, difference)
    return SortedChecks(tuple(varying), how, base, StudyProof(len(built), len(varying), largest))


def probe_inputs(rig: StudyRig, seed: int) -> Floats:
    """Inputs (n, P) of the samples that are compared, extreme and ordinary.

    The middle, each end of the mass, two opposite corners of all bands, and the first samples drawn.
    """
    inputs = rig.inputs
    wide = np.array([row.half_width for row in inputs.rows])
    mass = np.where(inputs.mass != 0.0, wide, 0.0)
    signs = np.where(np.arange(len(wide)) % 2 == 0, 1.0, -1.0)
    named = [inputs.middles + step for step in (0.0 * wide, mass, -mass, signs * wide, -signs * wide)]
    return np.concatenate([np.array(named), draw(inputs, seed, 0)[:_DRAWN_PROBES]])


def checks_by_builders(rig: StudyRig, solved: SolvedBlock, row: int) -> tuple[Check, ...]:
    """Checks of one solved sample by the builders, at the rest that the batch found."""
    x, result = solved.x[row][None], solved.result
    if result.origin_m is None or result.rotation is None:
        raise ValueError("the builders need the poses of the sample")
    start = {
        body.name: _pose(result.origin_m[row, number], result.rotation[row, number])
        for number, body in enumerate(rig.graph.bodies)
    }
    return checks_of_sample(
        rig.lift,
        rig.problem,
        mass_kg=float(rig.masses_kg(x)[0]),
        cog_m=rig.cogs_m(x)[0],
        lengths_m=rig.lengths_m(x)[0],
        stiffness_factors=rig.inputs.stiffness_factors(x)[0],
        start=start,
    )


def _pose(origin: Floats, rotation: Floats) -> Pose:
    x, y, z = (float(value) for value in origin)
    first, second, third = ((float(a), float(b), float(c)) for a, b, c in rotation)
    return Pose(origin_m=(x, y, z), rotation_rows=(first, second, third))


def _compiled(check: Check, built: list[Check], answers: SampleAnswers) -> VaryingCheck:
    workings: dict[tuple[object, ...], CompiledCheck] = {}
    for one in built:
        compiled = CompiledCheck.of(one, answers)
        workings.setdefault(compiled.shape, compiled)
    return VaryingCheck(check.check_id, check.station, check.title, tuple(workings.values()))


def _difference(
    compiled: VaryingCheck, built: list[Check], answers: SampleAnswers, rows: npt.NDArray[np.intp]
) -> float:
    """Largest relative difference of the utilisations; infinite where verdicts differ."""
    found = compiled.over(answers)
    largest = 0.0
    for row, check in zip(rows, built, strict=True):
        mine, theirs = float(found.utilisation[row]), check.utilisation
        if int(found.status[row]) != CODES[check.status]:
            return math.inf
        if (math.isnan(mine) and math.isnan(theirs)) or mine == theirs:
            continue
        if not (math.isfinite(mine) and math.isfinite(theirs)):
            return math.inf
        largest = max(largest, abs(mine - theirs) / max(1.0, abs(theirs)))
    return largest
