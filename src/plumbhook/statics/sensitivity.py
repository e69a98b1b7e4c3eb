"""First-order sensitivities of an equilibrium: what a small change of any input does to every answer.

At rest the gradient of the energy vanishes, ``g(q, p) = 0``, so ``dq/dp = -H^-1 dg/dp`` with the stiffness ``H`` on the
motions that are not neutral. One factorisation serves every parameter. A loose line stays loose to first order; where a
line is about to go loose or taut the answer holds on the present side only, and ``barely_taut`` names it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from plumbhook.core.errors import NotEvaluatedError
from plumbhook.model.rig_graph import RigGraph
from plumbhook.statics._arrays import Bools, Floats, Ints
from plumbhook.statics._energy import skew
from plumbhook.statics._linear import LinearRest
from plumbhook.statics._stability import BARELY_TAUT
from plumbhook.statics._structure import Structure

if TYPE_CHECKING:
    from plumbhook.statics.result import Equilibrium

_BARELY = 1e-3
_LEVEL = 1e-9
_REMEMBERED = 64


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


@dataclass(frozen=True, slots=True, eq=False)
class Sensitivities:
    """Derivatives of the answers to every parameter, in the order of ``parameters``.

    Attributes:
        parameters: P inputs. Lengths are changed at constant EA.
        structure: names of elements, bodies and points, in the order of the arrays.
        by_element: (ne, P) change of the tension of every line and pin and of the push of every support, N per unit
            of the parameter; of a pin along its own force only.
        by_body: (nb, 3, P) change of each body's own z axis in world axes, per unit.
        by_tilt: (nb, P) see ``tilt``.
        motion: (nb, 6, P) move of each body's reference point (m) and turn (rad) in world axes, per unit.
        lever_m: (np, 3) every point, body by body, from the reference point in world axes.
        barely_taut: slings and supports so near to letting go that the derivative holds on this side only.
    """

    parameters: tuple[Parameter, ...]
    structure: Structure
    by_element: Floats
    by_body: Floats
    by_tilt: Floats
    motion: Floats
    lever_m: Floats
    barely_taut: tuple[str, ...]

    @property
    def tensions(self) -> dict[str, Floats]:
        """By line and link, (P,) N per unit of the parameter."""
        return self._of_elements(self.structure.is_line)

    @property
    def support_forces(self) -> dict[str, Floats]:
        """By support, (P,) N per unit of the parameter; zero where it is clear."""
        return self._of_elements(self.structure.is_support)

    def _of_elements(self, some: Bools) -> dict[str, Floats]:
        names = self.structure.elements
        return {names[number]: self.by_element[number] for number in np.flatnonzero(some).tolist()}

    @property
    def lean(self) -> dict[str, Floats]:
        """By body, (2, P) change of the x and y components of its own z axis in world axes, per unit."""
        return dict(zip(self.structure.bodies, self.by_body[:, :2], strict=True))

    @property
    def tilt(self) -> dict[str, Floats]:
        """By body, (P,) change of the angle between its z axis and the vertical, rad per unit.

        Zero where the body hangs exactly level, since there every change tilts it to some side: use ``lean``.
        """
        return dict(zip(self.structure.bodies, self.by_tilt, strict=True))

    @property
    def points(self) -> dict[str, dict[str, Floats]]:
        """By body and point, (3, P) change of its world position, m per unit."""
        owner = self.structure.point_body
        moves = self.motion[owner, :3] + _turned(self.lever_m, self.motion[owner, 3:])
        out: dict[str, dict[str, Floats]] = {}
        first = 0
        for name, own in zip(self.structure.bodies, self.structure.points, strict=True):
            out[name] = dict(zip(own, moves[first : first + len(own)], strict=True))
            first += len(own)
        return out

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

    The same as ``result.sensitivities``, but formed anew from the rig and the poses of the result, so that it needs
    no more than these two.

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
    return derivatives(LinearRest.of(graph, result))


def derivatives(rest: LinearRest) -> Sensitivities:
    """Sensitivities of a rest: one factorisation, all parameters as its right-hand sides at once."""
    known = rest.remembered.get("sensitivities")
    if isinstance(known, Sensitivities):
        return known
    table = _table(rest.arrays.structure)
    load, direct = rest.inputs or _rows(rest, table)
    step = rest.motion_under(load.T)
    np.negative(step, out=step)
    found = _read(rest, table, step, rest.tensions_under(step) + direct.T)
    rest.remembered["sensitivities"] = found
    return found


@dataclass(frozen=True, slots=True, eq=False)
class _Table:
    """Parameters of all rigs of a structure, and where their rows are filled.

    Attributes:
        parameters: all of them; lengths and stiffnesses of the lines by turns, then of each body its mass and the three
            coordinates of its centre of gravity, then the coordinates of the hooks.
        lines: (S,) elements whose length and stiffness are parameters; ``own`` (2 S,) where their own tensions belong
            in the flat (P, ne) direct changes.
        weights: (nb, 9) where a body's weight and its moments belong in the flat (P, 6 nb) loads: for the mass the
            force and two moments, for each coordinate two moments.
        is_line: (ne,) whether an element is one of ``lines``.
        signs: (nh, ne) -1 where an element starts at a hook, 1 where it ends there.
    """

    parameters: tuple[Parameter, ...]
    lines: Ints
    own: Ints
    weights: Ints
    is_line: tuple[bool, ...]
    signs: Floats


@lru_cache(maxsize=_REMEMBERED)
def _table(structure: Structure) -> _Table:
    lines = np.flatnonzero(structure.is_line)
    parameters: list[Parameter] = []
    for number in lines.tolist():
        name = structure.elements[number]
        parameters.append(Parameter(ParameterKind.UNSTRETCHED_LENGTH, name))
        parameters.append(Parameter(ParameterKind.AXIAL_STIFFNESS, name))
    first = len(parameters)
    for name in structure.bodies:
        parameters.append(Parameter(ParameterKind.MASS, name))
        parameters += [Parameter(ParameterKind.COG, name, axis) for axis in range(3)]
    for name in structure.hooks:
        parameters += [Parameter(ParameterKind.HOOK, name, axis) for axis in range(3)]
    body = np.arange(structure.n_bodies)[:, None]
    row = first + 4 * body + np.array([0, 0, 0, 1, 1, 2, 2, 3, 3])
    column = 6 * body + np.array([2, 3, 4, 3, 4, 3, 4, 3, 4])
    out = _Table(
        tuple(parameters),
        lines,
        (np.arange(2 * len(lines)) * len(structure.elements) + np.repeat(lines, 2)),
        row * (6 * structure.n_bodies) + column,
        tuple(structure.is_line.tolist()),
        -structure.hook_signs,
    )
    for array in (out.lines, out.own, out.weights, out.signs):
        array.flags.writeable = False
    return out


def _rows(rest: LinearRest, table: _Table) -> tuple[Floats, Floats]:
    """Derivative of the gradient (P, 6 nb) to every parameter, and of the tensions at rest in place (P, ne)."""
    arrays, now = rest.arrays, rest.now
    structure, some = arrays.structure, table.lines
    count, n_el, n_dof = len(table.parameters), len(rest.unit), arrays.n_dof
    load, direct = np.zeros((count, n_dof)), np.zeros((count, n_el))
    columns = (arrays.values[structure.values.EA], arrays.length_m, now.active * now.distance, now.tension)
    figures = [column.tolist() for column in columns]
    # T = EA (l/L0 - 1): at constant EA a longer line pulls less by EA l/L0^2 per metre.
    own = np.array([
        (-distance * EA / (length * length), tension / EA)
        for is_line, EA, length, distance, tension in zip(table.is_line, *figures, strict=True) if is_line
    ]).reshape(-1, 2)  # fmt: skip
    lines = 2 * len(some)
    load[:lines] = (own[:, :, None] * rest.plain.stretches[some, None, :]).reshape(lines, n_dof)
    direct.reshape(-1)[table.own] = own.ravel()
    load.reshape(-1)[table.weights] = _weights(rest)
    # A hook that moves pulls the bodies at the other ends of its lines along.
    signs = table.signs
    first = lines + 4 * arrays.n_bodies
    load[first:] = (signs @ rest.plain.pulls.reshape(n_el, -1)).reshape(-1, n_dof)
    along = (arrays.stiffness_N_m * now.active)[:, None] * rest.unit
    direct[first:] = (signs[:, None, :] * along.T).reshape(-1, n_el)
    return load, direct


def _weights(rest: LinearRest) -> Floats:
    """(nb, 9) weights at arms from the reference points when masses and centres of gravity change."""
    arrays, rotation = rest.arrays, rest.state.rotation
    off = arrays.values[arrays.structure.values.cogs].reshape(-1, 3) - arrays.reference_m
    gravity = float(arrays.values[0])
    # About x the weight turns by its arm along y, about y by that along x, the other way round.
    return np.array([
        (
            gravity, gravity * (d * x + e * y + f * z), -gravity * (a * x + b * y + c * z),
            weight * d, -weight * a, weight * e, -weight * b, weight * f, -weight * c,
        )
        for weight, ((a, b, c), (d, e, f), _), (x, y, z) in zip(
            arrays.weight_N.tolist(), rotation.tolist(), off.tolist(), strict=True
        )
    ])  # fmt: skip


def _turned(arm: Floats, turn: Floats) -> Floats:
    """(n, 3, P) motions of the tips of arms (n, 3) that turn by (n, 3, P)."""
    return np.asarray(skew(-arm) @ turn)


def _read(rest: LinearRest, table: _Table, step: Floats, tension: Floats) -> Sensitivities:
    arrays, state, now = rest.arrays, rest.state, rest.now
    structure = arrays.structure
    motion = step.reshape(arrays.n_bodies, 6, -1)
    axis = state.rotation[:, :, 2]
    lean = _turned(axis, motion[:, 3:])
    sideways = [math.sqrt(x * x + y * y) for x, y, _ in axis.tolist()]
    tilt = lean[:, 2] * np.array([[-1.0 / sine if sine > _LEVEL else 0.0] for sine in sideways])
    little_N, little_m = _BARELY * arrays.total_weight_N, BARELY_TAUT * arrays.size_m
    barely = [
        name
        for name, tension_N, stretch_m, one_way in zip(
            structure.elements, now.tension.tolist(), now.stretch.tolist(), structure.one_way, strict=True
        )
        if one_way and (0.0 < tension_N <= little_N or -little_m <= stretch_m <= little_m)
    ]
    return Sensitivities(
        table.parameters,
        structure,
        tension,
        lean,
        tilt,
        motion,
        rest.lever_m,
        tuple(barely),
    )
