"""The cure: which lines to set otherwise so that the load, as the readings say it is, hangs level."""

from __future__ import annotations

import math

from plumbhook.core.units import format_quantity
from plumbhook.model.lift import Lift
from plumbhook.planning.assess import state_problem
from plumbhook.planning.levelling import Levelling, level
from plumbhook.planning.levelling_exact import drawn_triangle_height_m
from plumbhook.planning.levelling_records import LengthSet
from plumbhook.planning.levelling_rest import LoadState
from plumbhook.planning.trial_lift_records import Cure, LineChange

# Sets within this of the most level one are as good for a supervisor, and the fewer lines to change the better.
NEARLY_AS_LEVEL_RAD = math.radians(0.15)
_WORTH_IT_RAD = math.radians(0.1)
# The hook stays about where the height was checked.
_NEAR_NOW = 0.03


def find_cure(lift: Lift, load: LoadState) -> Cure:
    """Which lines to set otherwise, by how much, and the tilt after it.

    Of all sets that can be had and keep the limits, those within 0.15 deg of the most level one are as good; of these
    the one with the fewest lines to change.

    Args:
        lift: the lift as rigged.
        load: mass and centre of gravity by the readings.

    Raises:
        InputError: no line can be set.
        NotEvaluatedError: the rig has no stable rest as it is.
    """
    drawn = drawn_triangle_height_m(state_problem(lift))
    near_now = ((1.0 - _NEAR_NOW) * drawn, (1.0 + _NEAR_NOW) * drawn)
    found = level(lift, mass_kg=load.mass_kg, cog_m=load.cog_m, height_range_m=near_now)
    best = found.best
    if best is None:
        why = " ".join(("No set of lengths that can be had will do.", *found.reasons))
        return Cure((), found.present, None, why)
    near = [
        one
        for one in found.choices
        if one.keeps_limits and one.tilt_rad <= best.tilt_rad + NEARLY_AS_LEVEL_RAD
    ]
    chosen = min(near, key=lambda one: (len(one.changed), one.tilt_rad))
    gain = found.present.tilt_rad - chosen.tilt_rad
    if not chosen.changed or (found.present.keeps_limits and gain < _WORTH_IT_RAD):
        tilt = _degrees(found.present.tilt_rad)
        why = f"Leave the lines as they are: the load tilts {tilt} and no set that can be had is much better."
        return Cure((), found.present, found.present, why)
    changes = tuple(_change(found, chosen, name) for name in chosen.changed)
    why = (
        f"Put the load down and set {', '.join(change.line for change in changes)} otherwise: the tilt goes from "
        f"{_degrees(found.present.tilt_rad)} to {_degrees(chosen.tilt_rad)}. Assess the plan with these lengths first."
    )
    return Cure(changes, found.present, chosen, why)


def _change(found: Levelling, chosen: LengthSet, name: str) -> LineChange:
    adjuster = found.adjusters[name]
    before, after = found.present.lengths_m[name], chosen.lengths_m[name]
    return LineChange(name, before, after, adjuster.steps_between(before, after), adjuster.how)


def _degrees(angle_rad: float) -> str:
    return format_quantity(angle_rad, "rad", "deg", rounding="up")
