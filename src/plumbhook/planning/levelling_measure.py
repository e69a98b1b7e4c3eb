"""Sets of line lengths measured: many by the batch solver, one by the full solver, and the limits they break."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from plumbhook.checks.slinging import within_drawn_tolerance_rad
from plumbhook.core.units import format_quantity
from plumbhook.model.lift import Lift
from plumbhook.planning.assemble import LOAD, AssembledRig
from plumbhook.planning.cases import RigProblem
from plumbhook.planning.levelling_adjusters import Adjuster
from plumbhook.planning.levelling_exact import top_lines, triangle_height_m
from plumbhook.planning.levelling_records import LengthSet, LevelLimit, LevelLimits
from plumbhook.planning.levelling_rest import Floats, LoadState, Rest, assembled_with, line_set_to
from plumbhook.statics.kernel.batch import BatchResult, BatchSamples, solve_batch

_SAME_M = 1e-6
RACKING_LIMIT_RAD = math.radians(0.5)
"""Most that a frame with pinned corners may lozenge. Source: policy of the firm."""


def limits_of(lift: Lift, problem: RigProblem) -> LevelLimits:
    """Limits from the rules of the lift, the path of its load and the rated loads of its lines."""
    rules, place = lift.file.rules, lift.file.place
    height, source = math.inf, ""
    for station in place.stations if place is not None else ():
        if station.hook_height_limit_m is None or station.support_level_m is None:
            continue
        room = station.hook_height_limit_m - station.support_level_m - (station.clearance_m or 0.0)
        if room < height:
            height, source = room, station.name
    rated = {}
    for name, line in problem.rig.lines.items():
        ratings = [g.wll_kg * g.side_by_side for g in line.groups if g.wll_kg is not None]
        if ratings:
            rated[name] = min(ratings) * problem.gravity_m_s2
    return LevelLimits(
        tilt_rad=rules.tilt_limit_rad,
        angle_max_rad=rules.top_sling_angle_max_rad,
        rig_height_m=height,
        rig_height_source=source,
        racking_rad=RACKING_LIMIT_RAD,
        force_ratio=problem.dynamic_factor * problem.design_mass_kg / problem.expected_mass_kg,
        rated_N=rated,
    )


@dataclass(frozen=True, slots=True)
class Setting:
    """What is measured against: the rig, the load, what can be set, the limits and the present lengths."""

    problem: RigProblem
    load: LoadState
    adjusters: Mapping[str, Adjuster]
    limits: LevelLimits
    present_m: Mapping[str, float]


def measured(setting: Setting, rest: Rest, lengths_m: Mapping[str, float]) -> LengthSet:
    """A set of lengths as the full solver finds it; angles as drawn, as the checks take them."""
    nodes = rest.posture.nodes_m
    layout = rest.problem.layout
    angles = {line.name: layout.angle_from_vertical_rad(line) for line in top_lines(rest.problem)}
    corners = np.array(_corners(rest.problem))
    lowest = float((corners @ rest.rotation[2]).min() + rest.origin_m[2])
    height = float(rest.hook_m()[2]) + rest.problem.rig.hook_chain_length_m - lowest
    use = _use(setting.limits, rest.equilibrium.tensions_N)
    return _record(
        setting,
        lengths_m,
        tilts=(rest.tilt_rad, rest.tilt_x_rad, rest.tilt_y_rad),
        triangle_m=triangle_height_m(rest),
        height_m=height,
        angles=angles,
        racking=_racking(rest.problem, lambda node: np.array(nodes[node])),
        use=use,
        at_rest=not rest.equilibrium.slack_m,
    )


def measured_sets(setting: Setting, sets: Sequence[Mapping[str, float]]) -> list[LengthSet]:
    """Many sets by the batch solver, angles as they hang; one without a stable rest breaks the limit on that.

    Args:
        setting: what to measure against.
        sets: lengths by line, each of the same lines, at least one.
    """
    problem = setting.problem
    assembled = assembled_with(problem, setting.load)
    graph = assembled.graph
    lengths = np.array([[e.unstretched_length_m or 1.0 for e in graph.elements]] * len(sets))
    factor = np.ones_like(lengths)
    column = {element.name: i for i, element in enumerate(graph.elements)}
    for row, chosen in enumerate(sets):
        for name, length in chosen.items():
            line = problem.rig.lines[name]
            lengths[row, column[name]] = length
            factor[row, column[name]] = line_set_to(line, length).EA_N / line.EA_N
    samples = BatchSamples(unstretched_length_m=lengths, stiffness_factor=factor)
    read = _BatchPoses(assembled, solve_batch(graph, samples, poses=True))
    return [_from_batch(setting, chosen, read, row) for row, chosen in enumerate(sets)]


class _BatchPoses:
    """World positions and forces of the rows of a batch."""

    def __init__(self, assembled: AssembledRig, found: BatchResult) -> None:
        self.assembled, self.found = assembled, found
        self.bodies = [body.name for body in assembled.graph.bodies]
        self._points = {
            body.name: {point.name: np.array(point.position_m) for point in body.points_m}
            for body in assembled.graph.bodies
        }

    def pose(self, row: int, body: str) -> tuple[Floats, Floats]:
        """Origin (3,) and rotation (3, 3) of a body."""
        number = self.bodies.index(body)
        if self.found.origin_m is None or self.found.rotation is None:  # pragma: no cover - asked for above
            raise KeyError(body)
        return self.found.origin_m[row, number], self.found.rotation[row, number]

    def node(self, row: int, node: str) -> Floats:
        """(3,) world position of a node of the rig."""
        place = self.assembled.places[node]
        origin, rotation = self.pose(row, place.body)
        return np.asarray(origin + rotation @ self._points[place.body][place.point])

    def tensions_N(self, row: int) -> dict[str, float]:
        """By element."""
        names = [element.name for element in self.assembled.graph.elements]
        return dict(zip(names, self.found.tensions_N[row].tolist(), strict=True))


def _from_batch(setting: Setting, chosen: Mapping[str, float], read: _BatchPoses, row: int) -> LengthSet:
    problem, found = setting.problem, read.found
    if not found.stable[row]:
        nothing = math.nan
        return _record(
            setting, chosen, tilts=(nothing,) * 3, triangle_m=nothing, height_m=nothing, angles={},
            racking=nothing, use=nothing, at_rest=False,
        )  # fmt: skip
    hook = np.array(read.assembled.graph.hooks_m[0].position_m)
    ends = {line.name: read.node(row, line.lower) for line in top_lines(problem)}
    origin, rotation = read.pose(row, LOAD)
    lowest = float((np.array(_corners(problem)) @ rotation[2]).min() + origin[2])
    slopes = [-math.asin(max(-1.0, min(1.0, float(rotation[2, axis])))) for axis in (0, 1)]
    tilt = math.atan2(math.hypot(rotation[0, 2], rotation[1, 2]), float(rotation[2, 2]))
    return _record(
        setting,
        chosen,
        tilts=(tilt, slopes[0], slopes[1]),
        triangle_m=float(hook[2]) - float(np.mean([end[2] for end in ends.values()])),
        height_m=float(hook[2]) + problem.rig.hook_chain_length_m - lowest,
        angles={name: _angle(hook, end) for name, end in ends.items()},
        racking=_racking(problem, lambda node: read.node(row, node)),
        use=_use(setting.limits, read.tensions_N(row)),
        at_rest=not bool(found.slack[row].any()),
    )


def _record(
    setting: Setting,
    lengths_m: Mapping[str, float],
    *,
    tilts: tuple[float, float, float],
    triangle_m: float,
    height_m: float,
    angles: Mapping[str, float],
    racking: float,
    use: float,
    at_rest: bool,
) -> LengthSet:
    limits, broken = setting.limits, []
    if not at_rest:
        broken.append(LevelLimit.REST)
    if not tilts[0] <= limits.tilt_rad:
        broken.append(LevelLimit.TILT)
    if not (angles and max(angles.values()) <= within_drawn_tolerance_rad(limits.angle_max_rad)):
        broken.append(LevelLimit.FLAT)
    if not height_m <= limits.rig_height_m:
        broken.append(LevelLimit.HEADROOM)
    if not racking <= limits.racking_rad:
        broken.append(LevelLimit.RACKING)
    if use > 1.0:
        broken.append(LevelLimit.RATED_LOAD)
    if any(not setting.adjusters[name].reaches(length) for name, length in lengths_m.items()):
        broken.append(LevelLimit.RANGE)
    changed = tuple(
        name for name, length in lengths_m.items() if abs(length - setting.present_m[name]) > _SAME_M
    )
    return LengthSet(
        lengths_m=dict(lengths_m),
        tilt_rad=tilts[0],
        tilt_x_rad=tilts[1],
        tilt_y_rad=tilts[2],
        triangle_height_m=triangle_m,
        rig_height_m=height_m,
        angles_rad=angles,
        racking_rad=racking,
        largest_use=use,
        changed=changed,
        broken=tuple(broken),
    )


def _angle(upper: Floats, lower: Floats) -> float:
    return math.atan2(math.hypot(upper[0] - lower[0], upper[1] - lower[1]), float(upper[2] - lower[2]))


def _racking(problem: RigProblem, world: Callable[[str], Floats]) -> float:
    """Largest turn between two struts that meet at a corner, against the drawing."""
    largest = 0.0
    for corner in problem.rig.corners:
        ends = [strut.corners for strut in problem.rig.struts.values() if corner in (strut.corners or ())]
        far = [pair[1] if pair[0] == corner else pair[0] for pair in ends if pair is not None]
        turned = _between([world(node) - world(corner) for node in far])
        drawn = problem.layout.nodes_m
        square = _between([np.array(drawn[node]) - np.array(drawn[corner]) for node in far])
        largest = max(largest, abs(turned - square))
    return largest


def _between(arms: Sequence[Floats]) -> float:
    first, second = (arm.tolist() for arm in arms)
    cosine = sum(a * b for a, b in zip(first, second, strict=True)) / (
        math.hypot(*first) * math.hypot(*second)
    )
    return math.acos(max(-1.0, min(1.0, cosine)))


def _use(limits: LevelLimits, tensions_N: Mapping[str, float]) -> float:
    uses = [limits.force_ratio * tensions_N[name] / rated for name, rated in limits.rated_N.items()]
    return max(uses, default=math.nan)


def _corners(problem: RigProblem) -> list[tuple[float, ...]]:
    """Corners of the load's envelope, else its lift points."""
    if problem.envelope is None:
        return [tuple(at) for at in problem.lift_points_m.values()]
    return list(itertools.product(*zip(problem.envelope.low_m, problem.envelope.high_m, strict=True)))


def limit_words(limit: LevelLimit, chosen: LengthSet, limits: LevelLimits) -> str:
    """How a set breaks a limit, with the two numbers, as a clause of a sentence."""
    if limit is LevelLimit.TILT:
        return f"the load tilts {_deg(chosen.tilt_rad, 'up')}, over the limit of {_deg(limits.tilt_rad)}"
    if limit is LevelLimit.FLAT:
        if not chosen.angles_rad:
            return "the angles of the top lines are not known"
        name = max(chosen.angles_rad, key=lambda line: chosen.angles_rad[line])
        return (
            f"line {name} is at {_deg(chosen.angles_rad[name], 'up')} from the vertical, over the largest of "
            f"{_deg(limits.angle_max_rad)}"
        )
    if limit is LevelLimit.HEADROOM:
        return (
            f"load and rig are {format_quantity(chosen.rig_height_m, 'm', 'm', rounding='up')} high below the hook, "
            f"over the {format_quantity(limits.rig_height_m, 'm', 'm', rounding='down')} that "
            f"{limits.rig_height_source} leaves"
        )
    if limit is LevelLimit.RACKING:
        return (
            f"the frame racks {_deg(chosen.racking_rad, 'up')} out of square, over the limit of "
            f"{_deg(limits.racking_rad)}"
        )
    if limit is LevelLimit.RATED_LOAD:
        return (
            f"a line carries {format_quantity(chosen.largest_use, '1', '%', rounding='up')} of its rated load"
        )
    if limit is LevelLimit.RANGE:
        return "a line would have to be set outside of its range"
    return "the rig finds no stable rest with every line taut"


def _deg(angle_rad: float, rounding: str = "nearest") -> str:
    way = {"up": "up", "down": "down"}.get(rounding, "nearest")
    return format_quantity(angle_rad, "rad", "deg", rounding=way)  # type: ignore[arg-type]
