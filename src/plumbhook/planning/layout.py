"""The rig as drawn: level struts, unstretched lines, hook where the top slings meet.

This is geometry, not equilibrium. It gives the drawing its dimensions, the hand method its angles and the solver
its first posture. Coordinates are the load's own, z up.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from plumbhook.core.errors import InputError
from plumbhook.planning.assessment import Vector
from plumbhook.planning.rig import ResolvedLine, ResolvedRig, ResolvedStrut, is_hook

FloatArray = npt.NDArray[np.float64]

_CLOSURE_M = 1e-12
_MAX_ITERATIONS = 60


@dataclass(frozen=True, slots=True)
class Layout:
    """Drawn positions of every node: ``hook``, ``<strut>.a``, ``<strut>.b``, corners, ``load.<lift point>``, m."""

    nodes_m: Mapping[str, Vector]

    @property
    def hooks(self) -> tuple[str, ...]:
        """Names of the hooks: ``hook``, or ``hook.<name>`` in a free rig."""
        return tuple(name for name in self.nodes_m if is_hook(name))

    def between(self, line: ResolvedLine) -> tuple[Vector, Vector]:
        """Upper and lower end of a line as drawn."""
        return self.nodes_m[line.upper], self.nodes_m[line.lower]

    def angle_from_vertical_rad(self, line: ResolvedLine) -> float:
        """Angle of a line from the vertical, as drawn."""
        upper, lower = self.between(line)
        return math.atan2(math.hypot(upper[0] - lower[0], upper[1] - lower[1]), upper[2] - lower[2])


def lay_out(rig: ResolvedRig, lift_points_m: Mapping[str, Vector]) -> Layout:
    """Draw the rig level from the lift points upward.

    Args:
        rig: resolved rig; a free one is taken as it is drawn.
        lift_points_m: positions by lift point name, load coordinates.

    Raises:
        InputError: a line is too short to reach, a strut hangs over nothing, or a frame does not close.
    """
    nodes: dict[str, FloatArray] = {f"load.{name}": np.array(at) for name, at in lift_points_m.items()}
    if rig.is_free:
        return _as_given(rig, nodes)
    waiting = dict(rig.struts)
    while waiting:
        ready = [strut for strut in waiting.values() if _lower_nodes_known(rig, strut, nodes)]
        if not ready:
            names = ", ".join(waiting)
            raise InputError.one(
                f"struts {names} carry nothing that leads down to the load; check the lines below them",
                field="rig.lines",
            )
        if ready[0].corners is not None:
            _place_frame(rig, list(rig.struts.values()), nodes)
            break
        for strut in ready:
            _place_strut(rig, strut, nodes)
            del waiting[strut.name]
    nodes["hook"] = _hook(rig, nodes)
    return Layout({name: _vector(at) for name, at in nodes.items()})


def _as_given(rig: ResolvedRig, nodes: dict[str, FloatArray]) -> Layout:
    for name, at in rig.hooks_m.items():
        nodes[f"hook.{name}"] = np.array(at)
    for name, body in rig.bodies.items():
        for point, position in body.points_m.items():
            nodes[f"{name}.{point}"] = np.array(body.at_m) + np.array(position)
    return Layout({name: _vector(at) for name, at in nodes.items()})


def _vector(at: FloatArray) -> Vector:
    return (float(at[0]), float(at[1]), float(at[2]))


def strut_ends(strut: ResolvedStrut) -> tuple[str, str]:
    """Node names of end a and end b."""
    return strut.corners if strut.corners is not None else (f"{strut.name}.a", f"{strut.name}.b")


def lines_below(rig: ResolvedRig, node: str) -> list[ResolvedLine]:
    """Lines hung from a node."""
    return [line for line in rig.lines.values() if line.upper == node]


def lines_above(rig: ResolvedRig, node: str) -> list[ResolvedLine]:
    """Lines that hold a node."""
    return [line for line in rig.lines.values() if line.lower == node]


def struts_from_below(rig: ResolvedRig) -> list[ResolvedStrut]:
    """Struts ordered so that those nearer to the load come first."""
    depth: dict[str, int] = {}

    def height(node: str) -> int:
        if node.startswith("load."):
            return 0
        if node not in depth:
            depth[node] = 1 + max((height(line.lower) for line in lines_below(rig, node)), default=0)
        return depth[node]

    return sorted(rig.struts.values(), key=lambda strut: max(height(end) for end in strut_ends(strut)))


def _lower_nodes_known(rig: ResolvedRig, strut: ResolvedStrut, nodes: Mapping[str, FloatArray]) -> bool:
    below = [lines_below(rig, end) for end in strut_ends(strut)]
    return all(lines and all(line.lower in nodes for line in lines) for lines in below)


def _target(rig: ResolvedRig, node: str, nodes: Mapping[str, FloatArray]) -> FloatArray:
    """Where an end would hang plumb over what it carries."""
    places: FloatArray = np.array([nodes[line.lower][:2] for line in lines_below(rig, node)])
    mean: FloatArray = places.mean(axis=0)
    return mean


def _height(line: ResolvedLine, upper_xy: FloatArray, lower: FloatArray) -> float:
    reach = float(np.hypot(*(upper_xy - lower[:2])))
    if reach >= line.length_m:
        raise InputError.one(
            f"line {line.name} is {line.length_m:.3f} m long but has to reach {reach:.3f} m sideways; "
            "use longer slings or another strut",
            field=f"rig.lines.{line.name}",
        )
    return float(lower[2]) + math.sqrt(line.length_m**2 - reach**2)


def _place_strut(rig: ResolvedRig, strut: ResolvedStrut, nodes: dict[str, FloatArray]) -> None:
    end_a, end_b = strut_ends(strut)
    target_a, target_b = _target(rig, end_a, nodes), _target(rig, end_b, nodes)
    apart = float(np.hypot(*(target_b - target_a)))
    if apart < 1e-6:
        raise InputError.one(
            f"both ends of strut {strut.name} hang over the same point; give each end its own lines",
            field=f"rig.struts.{strut.name}",
        )
    direction = (target_b - target_a) / apart
    middle = 0.5 * (target_a + target_b)
    plan = {
        end_a: middle - 0.5 * strut.span_m * direction,
        end_b: middle + 0.5 * strut.span_m * direction,
    }
    heights = [
        _height(line, xy, nodes[line.lower]) for end, xy in plan.items() for line in lines_below(rig, end)
    ]
    for end, xy in plan.items():
        nodes[end] = np.array([xy[0], xy[1], float(np.mean(heights))])


def _place_frame(rig: ResolvedRig, struts: list[ResolvedStrut], nodes: dict[str, FloatArray]) -> None:
    """Four struts in a rectangle, centred over the mean of what the corners carry."""
    first = struts[0]
    opposite = next((s for s in struts[1:] if not set(s.corners or ()) & set(first.corners or ())), None)
    sides = [strut for strut in struts if strut not in (first, opposite)]
    if opposite is None or len(sides) != 2 or first.corners is None:
        raise InputError.one("the four struts do not close a rectangle over four corners", field="rig.struts")
    for one, other in ((first, opposite), (sides[0], sides[1])):
        if abs(one.span_m - other.span_m) > 1e-6:
            raise InputError.one(
                f"opposite struts {one.name} ({one.span_m:.3f} m) and {other.name} ({other.span_m:.3f} m) "
                "differ in span; the frame cannot be a rectangle",
                field="rig.struts",
            )
    corner_a, corner_b = first.corners
    corner_d = _shared(sides, corner_a, opposite)
    corner_c = _shared(sides, corner_b, opposite)
    targets = {corner: _target(rig, corner, nodes) for corner in (corner_a, corner_b, corner_c, corner_d)}
    centre = np.mean(list(targets.values()), axis=0)
    along = 0.5 * (targets[corner_b] + targets[corner_c] - targets[corner_a] - targets[corner_d])
    along = along / np.hypot(*along)
    across = np.array([-along[1], along[0]])
    if float(across @ (targets[corner_d] - targets[corner_a])) < 0.0:
        across = -across
    half_along, half_across = 0.5 * first.span_m * along, 0.5 * sides[0].span_m * across
    plan = {
        corner_a: centre - half_along - half_across,
        corner_b: centre + half_along - half_across,
        corner_c: centre + half_along + half_across,
        corner_d: centre - half_along + half_across,
    }
    heights = [
        _height(line, xy, nodes[line.lower]) for end, xy in plan.items() for line in lines_below(rig, end)
    ]
    for corner, xy in plan.items():
        nodes[corner] = np.array([xy[0], xy[1], float(np.mean(heights))])


def _shared(sides: list[ResolvedStrut], corner: str, opposite: ResolvedStrut) -> str:
    """The corner at the far end of the side strut that starts at ``corner``."""
    for side in sides:
        if side.corners and corner in side.corners:
            far = side.corners[1] if side.corners[0] == corner else side.corners[0]
            if opposite.corners and far in opposite.corners:
                return far
    raise InputError.one(
        f"no strut joins corner {corner} to the opposite side of the frame", field="rig.struts"
    )


def _hook(rig: ResolvedRig, nodes: Mapping[str, FloatArray]) -> FloatArray:
    """Where the unstretched top lines meet above the level rig (least squares where they cannot all meet)."""
    tops = [line for line in rig.lines.values() if is_hook(line.upper)]
    if not tops:
        raise InputError.one("no line starts at the hook; hang the rig from it", field="rig.lines")
    ends = np.array([nodes[line.lower] for line in tops])
    lengths = np.array([line.length_m for line in tops])
    _check_span(tops, ends, lengths)
    centre = ends.mean(axis=0)
    reach = float(np.mean(np.hypot(ends[:, 0] - centre[0], ends[:, 1] - centre[1])))
    rise = math.sqrt(max(float(lengths.mean()) ** 2 - reach**2, (0.1 * float(lengths.mean())) ** 2))
    hook: FloatArray = centre + np.array([0.0, 0.0, rise])
    # A two-leg rig leaves the direction across its plane free; the hook then stays in that plane.
    for _ in range(_MAX_ITERATIONS):
        arms = hook - ends
        distances = np.linalg.norm(arms, axis=1)
        step = np.linalg.lstsq(arms / distances[:, None], lengths - distances, rcond=1e-9)[0]
        hook = hook + step
        if float(np.linalg.norm(step)) < _CLOSURE_M * float(lengths.max()):
            break
    if hook[2] <= ends[:, 2].max() + 1e-6:
        raise InputError.one(
            "the top lines are too short: their hook would not come above the struts; use longer top slings",
            field=f"rig.lines.{tops[0].name}",
        )
    return hook


def _check_span(tops: list[ResolvedLine], ends: FloatArray, lengths: FloatArray) -> None:
    for i, line in enumerate(tops):
        for j in range(i):
            span = float(np.linalg.norm(ends[i] - ends[j]))
            if lengths[i] + lengths[j] <= span:
                raise InputError.one(
                    f"top lines {tops[j].name} and {line.name} add up to {lengths[i] + lengths[j]:.3f} m but their "
                    f"lower ends are {span:.3f} m apart; use longer slings",
                    field=f"rig.lines.{line.name}",
                )
