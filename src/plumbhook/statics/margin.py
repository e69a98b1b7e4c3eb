"""How far a rig is from turning over: its effective restoring height, and the tilt at which a line or support lets go.

A small moment on the load tilts it; moment over tilt and weight is a length, the effective restoring height GM: the
load resists as a pendulum of that length would. For a strut below one hook with plumb, stiff lower slings it is the
closed form ``v (1 + m_T/m_C) - z`` in the plane of the strut; for every other rig it is what that form stands for.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from plumbhook.core.errors import NotEvaluatedError
from plumbhook.model.rig_graph import RigGraph
from plumbhook.statics._linear import LinearRest
from plumbhook.statics.result import Equilibrium


@dataclass(frozen=True, slots=True)
class PlaneMargin:
    """Margin in one vertical plane of the load.

    Attributes:
        direction: unit vector in plan; the plane holds it and the vertical. The load tilts down that way.
        restoring_height_m: effective restoring height GM (m); not positive where the rig turns over.
        slack_tilt_rad: further tilt in either sense at which the first line goes slack or the first support lets go,
            to first order (rad); infinite where none loses load.
        first_slack: that line or support, "" where there is none.
    """

    direction: tuple[float, float]
    restoring_height_m: float
    slack_tilt_rad: float
    first_slack: str


def margins(graph: RigGraph, result: Equilibrium, load: str) -> tuple[PlaneMargin, PlaneMargin]:
    """Margins of a load in its two principal vertical planes, the weaker plane first.

    Args:
        graph: the rig.
        result: an equilibrium with poses, stable or not.
        load: name of the body that is the load.

    Returns:
        Two planes at right angles: the one in which the load is held least and the other.

    Raises:
        NotEvaluatedError: there is no equilibrium, the load has no weight, or nothing holds it against tilting.
        KeyError: no body has that name.
    """
    if not result.poses:
        raise NotEvaluatedError(f"margins need an equilibrium, and this rig has none: {result.message}")
    number = [body.name for body in graph.bodies].index(load) if load in result.poses else -1
    if number < 0:
        raise KeyError(load)
    rest = result.linear or LinearRest.of(graph, result)
    weight = float(rest.arrays.weight_N[number])
    if weight <= 0.0:
        raise NotEvaluatedError(f"margins need a load with weight, and {load} has none")
    moments = np.zeros((rest.arrays.n_dof, 2))
    moments[6 * number + 3, 0] = moments[6 * number + 4, 1] = 1.0
    motion = rest.motion_under(moments)
    compliance = motion[6 * number + 3 : 6 * number + 5]
    try:
        stiffness, axes = np.linalg.eigh(np.linalg.inv(0.5 * (compliance + compliance.T)))
    except np.linalg.LinAlgError as error:
        raise NotEvaluatedError(f"margins need a load that can tilt, and {load} cannot") from error
    tension = rest.tensions_under(motion)
    found = [_plane(graph, rest, float(k), axes[:, i], tension, weight) for i, k in enumerate(stiffness)]
    return found[0], found[1]


def _plane(
    graph: RigGraph,
    rest: LinearRest,
    stiffness_Nm: float,
    axis: np.ndarray,
    tension: np.ndarray,
    weight_N: float,
) -> PlaneMargin:
    """Margin about a horizontal axis (2,) of the rotation."""
    # A turn about the horizontal axis a lowers the side a x z.
    direction = (float(axis[1]), float(-axis[0]))
    if max(direction, key=abs) < 0.0:
        direction = (-direction[0], -direction[1])
    per_tilt = np.abs((tension @ axis) * stiffness_Nm)
    lets_go = rest.arrays.is_one_way & (rest.now.tension > 0.0)
    slack_tilt, first = math.inf, ""
    for number in np.flatnonzero(lets_go):
        if per_tilt[number] > 1e-9 * weight_N:
            tilt = float(rest.now.tension[number] / per_tilt[number])
            if tilt < slack_tilt:
                slack_tilt, first = tilt, graph.elements[number].name
    return PlaneMargin(direction, stiffness_Nm / weight_N, slack_tilt, first)
