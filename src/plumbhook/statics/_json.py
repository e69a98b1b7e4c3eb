"""The answer in the keys of the rig graph interchange format."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from plumbhook.core.errors import NotEvaluatedError
from plumbhook.model.rig_graph import Pose, RigGraph
from plumbhook.statics.margin import margins
from plumbhook.statics.result import Equilibrium
from plumbhook.statics.sensitivity import sensitivities


def equilibrium_json(graph: RigGraph, result: Equilibrium) -> dict[str, Any]:
    """The result as plain JSON values, with the keys of the rig graph interchange format.

    Lengths m, forces N, angles in degrees; a number that could not be computed is null. Every element, body,
    point and hook of a solved rig has its entry: supports under ``support_forces_N``, all others under
    ``tensions_N``. ``margins`` holds, for the heaviest body, its two principal vertical planes with the weaker
    first (see :mod:`plumbhook.statics.margin`); it is empty where there is no equilibrium to take them at.
    ``sensitivities`` holds the derivatives of tensions, support forces and tilts to the listed parameters, in the
    order of the list; it is empty where the rig is not stable.

    Args:
        graph: the rig that was solved.
        result: what :func:`plumbhook.statics.solve` returned for it.

    Raises:
        ValueError: if the result is not of this rig.
    """
    if result.name != graph.name:
        raise ValueError(f"the result belongs to rig {result.name!r}, not to {graph.name!r}")
    kick = result.rest_after_kick
    return {
        "name": result.name,
        "status": result.status.value,
        "message": result.message,
        "neutral_modes": result.neutral_modes,
        "neutral_motions": list(result.neutral_motions),
        "tensions_N": dict(result.tensions_N),
        "support_forces_N": dict(result.support_forces_N),
        "slack": list(result.slack_m),
        "slack_m": dict(result.slack_m),
        "clear_m": dict(result.clear_m),
        "tilt_deg": _degrees(result.tilt_rad),
        "pose": _poses(result.poses),
        "attachment_heights_m": {body: dict(points) for body, points in result.attachment_heights_m.items()},
        "angle_from_vertical_deg": _degrees(result.angle_from_vertical_rad),
        "hook_load_N": dict(result.hook_load_N),
        "hook_force_N": {name: list(force) for name, force in result.hook_forces_N.items()},
        "residual_force_N": _number(result.residual_force_N),
        "residual_moment_Nm": _number(result.residual_moment_Nm),
        "iterations": result.iterations,
        "lowest_stiffness": _number(result.modes.lowest),
        "unstable_modes": result.modes.negative,
        "indifferent_modes": result.modes.indifferent,
        "margins": _margins(graph, result),
        "sensitivities": _sensitivities(graph, result),
        "assembled_posture": {
            "in_equilibrium": result.assembled_posture.in_equilibrium,
            "stable": result.assembled_posture.stable,
        },
        "rest_after_kick": None
        if kick is None
        else {
            "stable": kick.stable,
            "tensions_N": dict(kick.tensions_N),
            "slack": list(kick.slack_m),
            "tilt_deg": _degrees(kick.tilt_rad),
            "turn_deg": math.degrees(kick.turn_rad),
            "pose": _poses(kick.poses),
        },
    }


def _margins(graph: RigGraph, result: Equilibrium) -> dict[str, Any]:
    """Margins of the heaviest body, nothing where they cannot be taken."""
    if not result.poses:
        return {}
    load = max(graph.bodies, key=lambda body: body.mass_kg).name
    try:
        planes = margins(graph, result, load)
    except NotEvaluatedError:
        return {}
    return {
        load: [
            {
                "direction": list(plane.direction),
                "restoring_height_m": _number(plane.restoring_height_m),
                "slack_tilt_deg": _number(math.degrees(plane.slack_tilt_rad)),
                "first_slack": plane.first_slack,
            }
            for plane in planes
        ]
    }


def _sensitivities(graph: RigGraph, result: Equilibrium) -> dict[str, Any]:
    """Derivatives per m, N or kg of each parameter; nothing where the rig is not stable."""
    if not result.is_stable:
        return {}
    found = sensitivities(graph, result) if result.linear is None else result.sensitivities
    return {
        "parameters": [
            {"kind": parameter.kind.name.lower(), "name": parameter.name, "axis": parameter.axis}
            for parameter in found.parameters
        ],
        "tensions_N": {name: values.tolist() for name, values in found.tensions.items()},
        "support_forces_N": {name: values.tolist() for name, values in found.support_forces.items()},
        "tilt_deg": {name: np.degrees(values).tolist() for name, values in found.tilt.items()},
        "barely_taut": list(found.barely_taut),
    }


def _number(value: float) -> float | None:
    return value if math.isfinite(value) else None


def _degrees(angles: Mapping[str, float]) -> dict[str, float]:
    return {name: math.degrees(angle) for name, angle in angles.items()}


def _poses(poses: Mapping[str, Pose]) -> dict[str, Any]:
    return {
        name: {"origin": list(pose.origin_m), "rotation": [list(row) for row in pose.rotation_rows]}
        for name, pose in poses.items()
    }
