"""First-order sensitivities of an equilibrium: what a small change of any input does to every answer.

At rest the gradient of the energy vanishes, ``g(q, p) = 0``, so ``dq/dp = -H^-1 dg/dp`` with the stiffness ``H`` on the
motions that are not neutral. One factorisation serves every parameter. A loose line stays loose to first order; where a
line is about to go loose or taut the answer holds on the present side only, and ``barely_taut`` names it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum

import numpy as np

from plumbhook.core.errors import NotEvaluatedError
from plumbhook.model.rig_graph import RigGraph, split_reference
from plumbhook.statics._arrays import Floats, RigArrays
from plumbhook.statics._energy import Lines
from plumbhook.statics._linear import LinearRest
from plumbhook.statics._stability import BARELY_TAUT
from plumbhook.statics.result import Equilibrium

_BARELY = 1e-3


class ParameterKind(Enum):
    """What is changed; the unit of a sensitivity is that of the answer per the unit here."""

    UNSTRETCHED_LENGTH = "m"
    AXIAL_STIFFNESS = "N"
    MASS = "kg"
    COG = "m, in the axes of the body"
    HOOK = "m, in world axes"


@dataclass(frozen=True, slots=True)
class Parameter:
    """One input: its kind, the element, body or hook it belongs to, and the axis (0, 1, 2; -1 where there is none)."""

    kind: ParameterKind
    name: str
    axis: int = -1


@dataclass(frozen=True, slots=True)
class Sensitivities:
    """Derivatives of the answers to every parameter, in the order of ``parameters``.

    Attributes:
        parameters: P inputs. Lengths are changed at constant EA.
        tensions: by line and link, (P,) N per unit of the parameter.
        support_forces: by support, (P,) N per unit of the parameter; zero where it is clear.
        lean: by body, (2, P) change of the x and y components of its own z axis in world axes, per unit.
        tilt: by body, (P,) change of the angle between its z axis and the vertical, rad per unit; zero where the
            body hangs exactly level, since there every change tilts it to some side: use ``lean``.
        points: by body and point, (3, P) change of its world position, m per unit.
        barely_taut: slings and supports so near to letting go that the derivative holds on this side only.
    """

    parameters: tuple[Parameter, ...]
    tensions: Mapping[str, Floats]
    support_forces: Mapping[str, Floats]
    lean: Mapping[str, Floats]
    tilt: Mapping[str, Floats]
    points: Mapping[str, Mapping[str, Floats]]
    barely_taut: tuple[str, ...]

    def of(self, kind: ParameterKind, name: str, axis: int = -1) -> int:
        """Position of a parameter in the arrays.

        Raises:
            KeyError: there is no such parameter.
        """
        try:
            return self.parameters.index(Parameter(kind, name, axis))
        except ValueError:
            raise KeyError(f"{kind.name} of {name}, axis {axis}") from None


def sensitivities(graph: RigGraph, result: Equilibrium) -> Sensitivities:
    """Derivatives of every tension, tilt and position to every length, stiffness, mass, CoG coordinate and hook.

    Args:
        graph: the rig.
        result: its stable equilibrium, from :func:`plumbhook.statics.solve`.

    Returns:
        The sensitivities. Positions hold up to neutral motions (yaw below a hook, spin of a strut).

    Raises:
        NotEvaluatedError: the rig is not stable, so that a small change has no small answer.
    """
    if not result.is_stable:
        raise NotEvaluatedError(f"sensitivities need a stable rest, and this rig is {result.status.value}")
    rest = LinearRest.of(graph, result)
    parameters, load, direct = _columns(graph, rest)
    step = -rest.motion_under(load)
    return _read(graph, rest, parameters, step, rest.tensions_under(step) + direct)


def _columns(graph: RigGraph, rest: LinearRest) -> tuple[tuple[Parameter, ...], Floats, Floats]:
    """Parameters, derivative of the gradient (6 nb, P), and of the tensions at rest in place (ne, P)."""
    arrays, now, unit, motion = rest.arrays, rest.now, rest.unit, rest.stretch_rows
    n_el = len(unit)
    parameters: list[Parameter] = []
    load: list[Floats] = []
    direct: list[Floats] = []

    def add(parameter: Parameter, gradient: Floats, tension: Floats | None = None) -> None:
        parameters.append(parameter)
        load.append(gradient)
        direct.append(np.zeros(n_el) if tension is None else tension)

    for number, element in enumerate(graph.elements):
        if arrays.is_pin[number] or element.EA_N is None or element.unstretched_length_m is None:
            continue
        length, stiff = element.unstretched_length_m, element.EA_N
        own = np.zeros(n_el)
        # T = EA (l/L0 - 1): at constant EA a longer line pulls less by EA l/L0^2 per metre.
        own[number] = -now.active[number] * stiff * now.distance[number] / length**2
        add(Parameter(ParameterKind.UNSTRETCHED_LENGTH, element.name), motion[number] * own[number], own)
        own = np.zeros(n_el)
        own[number] = now.tension[number] / stiff
        add(Parameter(ParameterKind.AXIAL_STIFFNESS, element.name), motion[number] * own[number], own)
    for number, body in enumerate(graph.bodies):
        rotation = rest.state.rotation[number]
        arm = rotation @ (np.array(body.cog_m) - arrays.reference_m[number])
        add(Parameter(ParameterKind.MASS, body.name), _weight(arrays, number, arm, graph.gravity_m_s2))
        for axis in range(3):
            turned = _weight(arrays, number, rotation[:, axis], float(arrays.weight_N[number]))
            turned[6 * number : 6 * number + 3] = 0.0
            add(Parameter(ParameterKind.COG, body.name, axis), turned)
    for hook in graph.hooks_m:
        for axis in range(3):
            gradient, tension = _hook_column(graph, arrays, now, unit, hook.name, axis)
            add(Parameter(ParameterKind.HOOK, hook.name, axis), gradient, tension)
    return tuple(parameters), np.array(load).T, np.array(direct).T


def _weight(arrays: RigArrays, body: int, arm: Floats, weight_N: float) -> Floats:
    """Gradient of the energy of a weight at an arm (world axes) from a body's reference point."""
    out = np.zeros(arrays.n_dof)
    out[6 * body + 2] = weight_N
    out[6 * body + 3 : 6 * body + 6] = np.cross(arm, [0.0, 0.0, weight_N])
    return out


def _hook_column(
    graph: RigGraph, arrays: RigArrays, now: Lines, unit: Floats, hook: str, axis: int
) -> tuple[Floats, Floats]:
    """Derivatives when one hook moves along one world axis."""
    gradient, tension = np.zeros(arrays.n_dof), np.zeros(len(unit))
    for number, element in enumerate(graph.elements):
        if arrays.is_support[number]:
            continue
        for ref, other, arm, sign in (
            (element.from_ref, int(arrays.body_j[number]), now.arm_j[number], -1.0),
            (element.to_ref, int(arrays.body_i[number]), now.arm_i[number], 1.0),
        ):
            if split_reference(ref) != ("hook", hook) or other == arrays.n_bodies:
                continue
            along = arrays.stiffness_N_m[number] * now.active[number]
            across = now.tension[number] / now.distance[number] if now.distance[number] > 0.0 else 0.0
            if arrays.is_pin[number]:
                across = along = arrays.stiffness_N_m[number]
            u = unit[number]
            stiffness = across * np.eye(3) + (along - across) * np.outer(u, u)
            # The hook at an end pulls the body at the other end along.
            force = -stiffness[:, axis]
            gradient[6 * other : 6 * other + 3] += force
            gradient[6 * other + 3 : 6 * other + 6] += np.cross(arm, force)
            tension[number] += sign * along * u[axis]
    return gradient, tension


def _read(
    graph: RigGraph, rest: LinearRest, parameters: tuple[Parameter, ...], step: Floats, tension: Floats
) -> Sensitivities:
    arrays, state, now = rest.arrays, rest.state, rest.now
    lean: dict[str, Floats] = {}
    tilt: dict[str, Floats] = {}
    points: dict[str, dict[str, Floats]] = {}
    for number, body in enumerate(graph.bodies):
        shift, turn = step[6 * number : 6 * number + 3], step[6 * number + 3 : 6 * number + 6]
        rotation = state.rotation[number]
        axis = rotation[:, 2]
        change = np.cross(turn.T, axis).T
        lean[body.name] = change[:2]
        sideways = float(np.hypot(axis[0], axis[1]))
        tilt[body.name] = -change[2] / sideways if sideways > 1e-9 else np.zeros(step.shape[1])
        points[body.name] = {
            point.name: shift
            + np.cross(turn.T, rotation @ (np.array(point.position_m) - arrays.reference_m[number])).T
            for point in body.points_m
        }
    barely = arrays.is_one_way & (now.tension > 0.0) & (now.tension <= _BARELY * arrays.total_weight_N)
    loose = arrays.is_one_way & (np.abs(now.stretch) <= BARELY_TAUT * arrays.size_m)
    return Sensitivities(
        parameters=parameters,
        tensions={
            element.name: tension[number]
            for number, element in enumerate(graph.elements)
            if not (arrays.is_pin[number] or arrays.is_support[number])
        },
        support_forces={graph.elements[i].name: tension[i] for i in np.flatnonzero(arrays.is_support)},
        lean=lean,
        tilt=tilt,
        points=points,
        barely_taut=tuple(graph.elements[i].name for i in np.flatnonzero(barely | loose)),
    )
