"""How far claim and rig may be off at a trial lift: the same inputs with the same sources as in the tolerance study."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from plumbhook.core.errors import NotEvaluatedError
from plumbhook.model.lift import Lift
from plumbhook.model.load import mass_tolerance_ratio
from plumbhook.model.trial_lift_file import RigAccuracy
from plumbhook.planning.levelling_rest import Floats
from plumbhook.planning.rig import ResolvedRig
from plumbhook.planning.tolerance_defaults import STANDARD_DEVIATIONS, Shape
from plumbhook.planning.tolerance_inputs import COG, MASS, Inputs, scattered_inputs

SD_OF_HALF_WIDTH = STANDARD_DEVIATIONS[Shape.UNIFORM]
# Tolerances of nothing would make a claim beyond doubt; a claim is never better than this.
_LEAST_MASS_RATIO, _LEAST_COG_M = 1e-3, 1e-3


@dataclass(frozen=True, slots=True)
class Scatter:
    """What may be off, as independent causes. Columns are causes, rows are lines in the order of the rig.

    Attributes:
        length_m: (lines, causes) half widths of the lengths.
        length_sd_m: the same as standard deviations.
        stiffness: (lines, causes) half widths of the stiffnesses, in proportion.
        stiffness_sd: the same as standard deviations.
        claim: (4,) half widths of the claim: mass (kg), x, y, z (m).
        claim_sd: (4,) the same as standard deviations, never zero.
    """

    length_m: Floats
    length_sd_m: Floats
    stiffness: Floats
    stiffness_sd: Floats
    claim: Floats
    claim_sd: Floats

    def covariance(self, by_length: Floats, by_stretch: Floats) -> Floats:
        """(n, n) covariance of readings (n) that change so by each line's length (m) and stiffness (in proportion)."""
        length, stretch = by_length @ self.length_sd_m, by_stretch @ self.stiffness_sd
        both: Floats = length @ length.T + stretch @ stretch.T
        return both


def scatter_of(lift: Lift, rig: ResolvedRig, mass_kg: float, accuracy: RigAccuracy) -> Scatter:
    """What may be off in a lift: its tolerances and their defaults, or what was measured when rigging.

    Args:
        lift: the lift.
        rig: its rig.
        mass_kg: claimed mass.
        accuracy: what is known better from rigging.

    Raises:
        NotEvaluatedError: how far the mass or the centre of gravity may be off is not known.
        InputError: a matched set of the tolerances does not fit the rig.
    """
    claim = _claim(lift, mass_kg)
    inputs = scattered_inputs(lift, rig)
    width = np.array([abs(row.middle) + row.half_width for row in inputs.rows])
    # A band that does not lie around zero is off by its middle as well.
    sd = np.hypot(inputs.middles, inputs.deviations)
    stretch = _stiffness_effects(inputs)
    length_m, length_sd = inputs.length * width, inputs.length * sd
    stiffness, stiffness_sd = stretch * width, stretch * sd
    each = np.eye(len(inputs.lines))
    if accuracy.length_m is not None:
        length_m = accuracy.length_m * each
        length_sd = SD_OF_HALF_WIDTH * length_m
    if accuracy.stiffness_ratio is not None:
        stiffness = accuracy.stiffness_ratio * each
        stiffness_sd = SD_OF_HALF_WIDTH * stiffness
    least = np.array([_LEAST_MASS_RATIO * mass_kg, *(3 * [_LEAST_COG_M])])
    claim_sd = np.maximum(_claim_sd(inputs, mass_kg), least)
    return Scatter(length_m, length_sd, stiffness, stiffness_sd, claim, claim_sd)


def _claim(lift: Lift, mass_kg: float) -> Floats:
    box = lift.file.load.cog_box
    found = np.array([mass_tolerance_ratio(lift.file.load) * mass_kg, box.x_m, box.y_m, box.z_m])
    if not np.isfinite(found).all():
        raise NotEvaluatedError(
            "how far the mass or the centre of gravity may be off is not known; give load.weight.tolerance and "
            "load.cog_box"
        )
    return found


def _claim_sd(inputs: Inputs, mass_kg: float) -> Floats:
    """(4,) standard deviations of mass and centre of gravity; zero where nothing scatters."""
    found = np.zeros(4)
    for number, row in enumerate(inputs.rows):
        if row.group == MASS:
            found[0] = abs(inputs.mass[number]) * row.standard_deviation * mass_kg
        elif row.group == COG:
            found[1:] += np.abs(inputs.cog[:, number]) * row.standard_deviation
    return found


def _stiffness_effects(inputs: Inputs) -> Floats:
    """(lines, causes) change of each line's stiffness in proportion per unit of a cause, to first order."""
    effects = np.zeros(inputs.length.shape)
    for number, groups in enumerate(inputs.parts):
        for part, effect in groups:
            effects[number] += part * effect
    return effects
