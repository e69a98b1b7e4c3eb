"""Lengths at which the load hangs level: the closed form without stretch, then Newton's method on the real rig."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np

from plumbhook.core.errors import InputError, NotEvaluatedError
from plumbhook.planning.assessment import Vector
from plumbhook.planning.cases import RigProblem
from plumbhook.planning.layout import lines_below, strut_ends
from plumbhook.planning.levelling_rest import LoadState, Rest, rest_of, with_lengths
from plumbhook.planning.rig import ResolvedLine, is_hook
from plumbhook.statics.sensitivity import ParameterKind

_STEPS = 40
_ONE_TIER = ("one strut", "four-strut frame", "direct bridle")
# A combination of lengths that turns the load less than this share of the strongest one does not level it.
_WEAK = 1e-3


def top_lines(problem: RigProblem) -> list[ResolvedLine]:
    """Lines from the hook."""
    return [line for line in problem.rig.lines.values() if is_hook(line.upper)]


def drawn_triangle_height_m(problem: RigProblem) -> float:
    """Height of the hook above the mean of the lower ends of the top lines, as drawn.

    Raises:
        NotEvaluatedError: the rig hangs from several hooks.
    """
    if len(problem.layout.hooks) != 1:
        raise NotEvaluatedError("levelling needs a rig below one hook; set the height of each hook instead")
    nodes = problem.layout.nodes_m
    ends = [nodes[line.lower][2] for line in top_lines(problem)]
    return nodes[problem.layout.hooks[0]][2] - float(np.mean(ends))


def triangle_height_m(rest: Rest) -> float:
    """The same as the rig hangs."""
    ends = [rest.posture.nodes_m[line.lower][2] for line in top_lines(rest.problem)]
    return float(rest.hook_m()[2]) - float(np.mean(ends))


def common_cog_m(problem: RigProblem, load: LoadState) -> Vector:
    """Centre of gravity of everything below the top lines, as drawn level: load, struts and lower lines.

    The mass of a line counts at its upper end, as in the equilibrium.
    """
    nodes = problem.layout.nodes_m
    total, moment = load.mass_kg, load.mass_kg * np.array(load.cog_m)
    for strut in problem.rig.struts.values():
        end_a, end_b = (np.array(nodes[end]) for end in strut_ends(strut))
        total += strut.mass_kg
        moment = moment + strut.mass_kg * (end_a + (end_b - end_a) * strut.centre_m / strut.span_m)
        for end in strut_ends(strut):
            share = 0.5 if strut.corners is not None else 1.0  # a corner belongs to two struts
            hung = share * sum(line.mass_kg for line in lines_below(problem.rig, end))
            total += hung
            moment = moment + hung * np.array(nodes[end])
    x, y, z = (moment / total).tolist()
    return (x, y, z)


def closed_form_lengths_m(problem: RigProblem, load: LoadState, triangle_m: float) -> dict[str, float]:
    """Lengths of the top lines with the hook plumb over the common centre of gravity, level and without stretch.

    ``L = sqrt(dx2 + dy2 + dz2)`` from the hook to each lower end; it holds where everything below the top lines hangs
    as one from their lower ends.

    Args:
        problem: the rig; its layout gives the lower ends.
        load: state of the load.
        triangle_m: height of the hook above the mean of the lower ends.

    Returns:
        By line; empty for arrangements of several tiers and free rigs.

    Source: own derivation, equilibrium of moments about the hook.
    """
    if problem.rig.arrangement not in _ONE_TIER:
        return {}
    tops = top_lines(problem)
    ends = np.array([problem.layout.nodes_m[line.lower] for line in tops])
    x, y, _ = common_cog_m(problem, load)
    if len(tops) == 2:  # two legs cannot move the hook out of their own plane
        along = (ends[1] - ends[0])[:2]
        x, y = ends[0][:2] + along * float((np.array([x, y]) - ends[0][:2]) @ along / (along @ along))
    hook = np.array([x, y, float(ends[:, 2].mean()) + triangle_m])
    lengths = np.linalg.norm(hook - ends, axis=1)
    return {line.name: float(length) for line, length in zip(tops, lengths, strict=True)}


def exact_rest(
    problem: RigProblem,
    load: LoadState,
    lines: Sequence[str],
    *,
    start: Rest,
    triangle_m: float | None,
    settled_m: float = 1e-9,
) -> Rest:
    """The rest at which the load hangs as level as these lines can make it.

    Newton's method on the exact sensitivities; of all lengths that do, those nearest to the start.

    Args:
        problem: the rig.
        load: state of the load.
        lines: that may be changed.
        start: rest of the same rig and load to start from, such as that of :func:`rest_at`.
        triangle_m: height that the hook is to have above the mean of the lower ends of the top lines; None leaves it.
        settled_m: change of a length below which it counts as found.

    Returns:
        A rest whose remaining tilt, if any, is one that these lines do not change.

    Raises:
        NotEvaluatedError: no stable rest was found on the way, or the lengths did not settle.
    """
    lengths = {name: start.problem.rig.lines[name].length_m for name in lines}
    rest = start
    for _ in range(_STEPS):
        off, change = _deviation(rest, triangle_m), _change(rest, lines, triangle_m)
        step = -np.linalg.pinv(change, rcond=_WEAK) @ off
        if float(np.abs(step).max(initial=0.0)) < settled_m:
            return rest
        rest, lengths = _step(problem, load, lengths, step, float(np.linalg.norm(off)), triangle_m)
    raise NotEvaluatedError("the lengths that would hang the load level did not settle")


def _step(
    problem: RigProblem,
    load: LoadState,
    lengths_m: Mapping[str, float],
    step: np.ndarray,
    off: float,
    triangle_m: float | None,
) -> tuple[Rest, dict[str, float]]:
    """The longest part of a step that has a stable rest and comes nearer, at least a hundredth of it."""
    part = 1.0
    while True:
        tried = {
            name: length + part * float(change)
            for (name, length), change in zip(lengths_m.items(), step, strict=True)
        }
        try:
            rest = rest_at(problem, load, tried)
        except (NotEvaluatedError, InputError):
            if part < 0.01:
                raise
        else:
            nearer = float(np.linalg.norm(_deviation(rest, triangle_m))) <= off * (1.0 + 1e-6) + 1e-12
            if nearer or part < 0.01:
                return rest, tried
        part *= 0.5


def rest_at(problem: RigProblem, load: LoadState, lengths_m: Mapping[str, float]) -> Rest:
    """The rest of a rig with some lines set to other lengths.

    Raises:
        NotEvaluatedError: there is no stable rest, or a length is not above zero.
        InputError: the rig cannot be drawn with these lengths.
    """
    if any(not length > 0.0 for length in lengths_m.values()):
        raise NotEvaluatedError("a line would have to be shorter than nothing to hang the load level")
    return rest_of(with_lengths(problem, lengths_m), load)


def _deviation(rest: Rest, triangle_m: float | None) -> np.ndarray:
    """Slopes of the load and, in proportion to it, the difference of the triangle's height."""
    off = [math.sin(rest.tilt_x_rad), math.sin(rest.tilt_y_rad)]
    if triangle_m is not None:
        off.append(triangle_height_m(rest) / triangle_m - 1.0)
    return np.array(off)


def _change(rest: Rest, lines: Sequence[str], triangle_m: float | None) -> np.ndarray:
    """(2 or 3, lines) derivative of :func:`_deviation` by each length."""
    at = [rest.sensitivities.of(ParameterKind.UNSTRETCHED_LENGTH, name) for name in lines]
    rows = [-rest.rotation_change[2, axis][at] for axis in (0, 1)]
    if triangle_m is not None:
        places = [rest.assembled.places[line.lower] for line in top_lines(rest.problem)]
        ends = np.mean([rest.sensitivities.points[p.body][p.point][2] for p in places], axis=0)
        rows.append(-ends[at] / triangle_m)
    return np.array(rows)
