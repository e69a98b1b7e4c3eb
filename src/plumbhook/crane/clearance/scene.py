"""Boom, rig and load as solids that move with the crane, and what stands about: how near they come, pose by pose.

Site frame: x east, y north, z up from the crane's ground; bearings clockwise from north. The boom is a straight line
from its pivot to its head with a depth all round it, struts and slings are straight with a thickness, the load is its
upright box, obstacles are upright prisms over convex outlines.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import Enum

import numpy as np

from plumbhook.core.errors import InputError
from plumbhook.crane.clearance.distances import (
    Floats,
    box_nearest,
    nearest_of_several_m,
    plan_distance_m,
    prism_nearest,
    segment_convex_m,
    segment_segment_m,
)

Point = tuple[float, float, float]


class Part(Enum):
    """What moves."""

    LOAD = "load"
    STRUT = "strut"
    SLING = "sling"
    HOOK = "hook"
    BOOM = "boom"
    TAIL = "tail"


# Half of a hook block with its falls, common practice, no source.
_FALLS_RADIUS_M = 0.4
_RIG = ((Part.STRUT, "struts"), (Part.SLING, "slings"), (Part.HOOK, "hook and falls"))


@dataclass(frozen=True, slots=True)
class Boom:
    """The boom of a crane.

    Attributes:
        length_m: pivot to head sheave.
        pivot_ahead_m: pivot from the slew axis towards the head, negative behind.
        pivot_height_m: pivot over the ground of the crane.
        depth_m: across its axis; half of it lies on either side.
        tail_radius_m: how far the counterweight swings behind the slew axis; 0 where it is not told.
        tail_bottom_m: underside of the counterweight over the ground; ``tail_top_m`` its upper side.
    """

    length_m: float
    pivot_ahead_m: float
    pivot_height_m: float
    depth_m: float
    tail_radius_m: float = 0.0
    tail_bottom_m: float = 0.0
    tail_top_m: float = 0.0

    def head_height_m(self, radius_m: Floats) -> Floats:
        """Height of the head over the ground at a radius; NaN where the boom is too short for it."""
        reach = np.asarray(radius_m) - self.pivot_ahead_m
        square = self.length_m**2 - reach * reach
        return np.where(square >= 0.0, self.pivot_height_m + np.sqrt(np.maximum(square, 0.0)), np.nan)

    def angle_rad(self, radius_m: Floats) -> Floats:
        """Angle of the boom from the horizontal; NaN where it is too short."""
        reach = (np.asarray(radius_m) - self.pivot_ahead_m) / self.length_m
        return np.where(np.abs(reach) <= 1.0, np.arccos(np.clip(reach, -1.0, 1.0)), np.nan)


@dataclass(frozen=True, slots=True)
class Rod:
    """A strut or sling: its ends from the hook in the axes of the load, and half its thickness, m."""

    name: str
    part: Part
    start_m: Point
    end_m: Point
    radius_m: float


@dataclass(frozen=True, slots=True)
class LoadBox:
    """The load's box: its middle from the hook in plan, and its half sides in the axes of the load, m."""

    middle_m: tuple[float, float]
    half_m: Point


@dataclass(frozen=True, slots=True)
class Prism:
    """Something that stands about: an upright prism over a convex outline, counter-clockwise, m.

    Several of one name are one body. ``carries_load`` marks what the load is set down on or taken from: over its top
    the load may come near.
    """

    name: str
    outline_m: tuple[tuple[float, float], ...]
    bottom_m: float
    top_m: float
    required_m: float
    source: str
    carries_load: bool = False


@dataclass(frozen=True, slots=True)
class Scene:
    """Everything of a lift that may touch.

    Attributes:
        boom: the boom; None where it is not told.
        rods: struts and slings.
        load: the load; None without an envelope.
        hook_over_bottom_m: hook over the lowest point of the load.
        prisms: what stands about.
        spread_m: taken off every distance of rig and load for drift and tilt.
    """

    boom: Boom | None
    rods: tuple[Rod, ...]
    load: LoadBox | None
    hook_over_bottom_m: float
    prisms: tuple[Prism, ...] = ()
    spread_m: float = 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Stance:
    """Crane and load at many places, arrays (N,): slew axis, bearing, radius, lowest point of the load, its bearing."""

    crane_x_m: Floats
    crane_y_m: Floats
    slew_rad: Floats
    radius_m: Floats
    load_bottom_m: Floats
    load_bearing_rad: Floats


@dataclass(frozen=True, slots=True)
class Pair:
    """What comes near what."""

    part: Part
    name: str
    other: str


def convex(outline_m: tuple[tuple[float, float], ...], field: str) -> tuple[tuple[float, float], ...]:
    """An outline counter-clockwise.

    Raises:
        InputError: fewer than three points, no area, or not convex.
    """
    points = np.array(outline_m, dtype=float).reshape(-1, 2)
    edges = np.roll(points, -1, axis=0) - points
    following = np.roll(edges, -1, axis=0)
    turns = edges[:, 0] * following[:, 1] - edges[:, 1] * following[:, 0]
    span = float(np.ptp(points, axis=0).max()) if len(points) else 0.0
    if len(points) < 3 or not np.abs(turns).max() > 1e-9 * span**2:
        raise InputError.one("an outline needs three corners at least that are not on one line", field=field)
    turned = np.arctan2(turns, (edges * following).sum(axis=1)).sum()
    if (turns.min() < -1e-9 * span**2 and turns.max() > 1e-9 * span**2) or abs(
        abs(turned) - 2.0 * math.pi
    ) > 1e-6:
        raise InputError.one(
            "the outline is not convex or crosses itself; give it as two obstacles or more, each convex",
            field=field,
        )
    return outline_m if turned > 0.0 else tuple(reversed(outline_m))


def clearances_m(scene: Scene, stance: Stance) -> Mapping[Pair, Floats]:
    """Distances at every place, (N,) m by pair: 0 where they touch or overlap, NaN where a place is not told.

    A pair of boom and load, or of boom and rig, is told as such; of several struts or slings and one obstacle, the
    nearest counts.
    """
    at = _Placed.of(scene, stance)
    found: dict[Pair, Floats] = {}
    for pair, distance in _own(scene, at):
        found[pair] = np.minimum(found.get(pair, distance), distance)
    for prism in scene.prisms:
        for pair, distance in _to_prism(scene, at, prism):
            found[pair] = np.minimum(found.get(pair, distance), distance)
    return found


@dataclass(frozen=True, slots=True, eq=False)
class _Placed:
    """The moving solids at every place: boom pivot and head (N, 3), rods by name, corners of the load (N, 4, 2)."""

    stance: Stance
    pivot: Floats
    head: Floats
    hook: Floats
    rods: Mapping[str, tuple[Floats, Floats]]
    corners: Floats
    middle: Floats
    turn: Floats

    @classmethod
    def of(cls, scene: Scene, stance: Stance) -> _Placed:
        sine, cosine = np.sin(stance.slew_rad), np.cos(stance.slew_rad)
        ahead = np.stack([sine, cosine], axis=-1)
        crane = np.stack([stance.crane_x_m, stance.crane_y_m], axis=-1)
        hook = np.empty((*stance.slew_rad.shape, 3))
        hook[..., :2] = crane + stance.radius_m[..., None] * ahead
        hook[..., 2] = stance.load_bottom_m + scene.hook_over_bottom_m
        pivot, head = np.full_like(hook, np.nan), np.full_like(hook, np.nan)
        if scene.boom is not None:
            pivot[..., :2] = crane + scene.boom.pivot_ahead_m * ahead
            pivot[..., 2] = scene.boom.pivot_height_m
            head[..., :2] = hook[..., :2]
            head[..., 2] = scene.boom.head_height_m(stance.radius_m)
        # The load's x axis at a bearing points to sin, cos; its y axis is a quarter turn anticlockwise.
        s, c = np.sin(stance.load_bearing_rad), np.cos(stance.load_bearing_rad)
        turn = np.stack([np.stack([s, -c], axis=-1), np.stack([c, s], axis=-1)], axis=-2)

        def placed(point: Point) -> Floats:
            out = np.empty_like(hook)
            out[..., :2] = hook[..., :2] + turn @ np.array(point[:2])
            out[..., 2] = hook[..., 2] + point[2]
            return out

        rods = {rod.name: (placed(rod.start_m), placed(rod.end_m)) for rod in scene.rods}
        corners = np.full((*hook.shape[:-1], 4, 2), np.nan)
        middle = np.full_like(hook, np.nan)
        if scene.load is not None:
            (x, y), (a, b, h) = scene.load.middle_m, scene.load.half_m
            local = np.array([[x - a, y - b], [x + a, y - b], [x + a, y + b], [x - a, y + b]])
            corners = hook[..., None, :2] + np.einsum("...ij,kj->...ki", turn, local)
            middle[..., :2] = hook[..., :2] + turn @ np.array([x, y])
            middle[..., 2] = stance.load_bottom_m + h
        return cls(stance, pivot, head, hook, rods, corners, middle, turn)

    def in_load_axes(self, point: Floats) -> Floats:
        """Points (..., 3) from the middle of the load in its own axes."""
        away = point - self.middle
        out = np.empty_like(away)
        out[..., :2] = np.einsum("...ji,...j->...i", self.turn, away[..., :2])
        out[..., 2] = away[..., 2]
        return out


def _less(distance: Floats, *thickness_m: float) -> Floats:
    return np.maximum(distance - sum(thickness_m), np.where(np.isnan(distance), np.nan, 0.0))


def _own(scene: Scene, at: _Placed) -> Iterator[tuple[Pair, Floats]]:
    """The boom from the load, the struts and the slings that hang from its own head."""
    if scene.boom is None:
        return
    half = 0.5 * scene.boom.depth_m
    if scene.load is not None:
        ends = at.in_load_axes(at.pivot), at.in_load_axes(at.head)
        distance = segment_convex_m(*ends, box_nearest(np.array(scene.load.half_m)))
        yield Pair(Part.BOOM, "boom", "load"), _less(distance, half, scene.spread_m)
    for rod in scene.rods:
        if rod.part is Part.HOOK:
            continue  # the hook hangs below the head of its own boom
        distance = segment_segment_m(at.pivot, at.head, *at.rods[rod.name])
        if rod.part is Part.STRUT:
            yield (
                Pair(Part.BOOM, "boom", f"strut {rod.name}"),
                _less(distance, half, rod.radius_m, scene.spread_m),
            )
        else:
            yield Pair(Part.BOOM, "boom", "slings"), _less(distance, half, rod.radius_m, scene.spread_m)


def _to_prism(scene: Scene, at: _Placed, prism: Prism) -> Iterator[tuple[Pair, Floats]]:
    outline = np.array(prism.outline_m)
    nearest = prism_nearest(outline, prism.bottom_m, prism.top_m)
    if scene.load is not None:
        bottom = at.stance.load_bottom_m
        top = bottom + 2.0 * scene.load.half_m[2]
        over = np.maximum(np.maximum(bottom - prism.top_m, prism.bottom_m - top), 0.0)
        distance = _less(np.hypot(plan_distance_m(at.corners, outline), over), scene.spread_m)
        distance = np.where(np.isnan(bottom + at.stance.load_bearing_rad), np.nan, distance)
        if prism.carries_load:
            distance = np.where(bottom >= prism.top_m - 1e-9, np.inf, distance)
        yield Pair(Part.LOAD, "load", prism.name), distance
    for part, word in _RIG:
        rods = [rod for rod in scene.rods if rod.part is part]
        if rods:
            starts, ends = (np.stack([at.rods[rod.name][end] for rod in rods]) for end in (0, 1))
            thick = np.array([rod.radius_m for rod in rods])
            yield (
                Pair(part, word, prism.name),
                _less(nearest_of_several_m(starts, ends, thick, nearest), scene.spread_m),
            )
    if scene.boom is None:
        return
    falls = segment_convex_m(at.hook, at.head, nearest)
    yield Pair(Part.HOOK, "hook and falls", prism.name), _less(falls, _FALLS_RADIUS_M, scene.spread_m)
    distance = segment_convex_m(at.pivot, at.head, nearest)
    yield Pair(Part.BOOM, "boom", prism.name), _less(distance, 0.5 * scene.boom.depth_m)
    if scene.boom.tail_radius_m > 0.0:
        yield Pair(Part.TAIL, "tail", prism.name), _tail(scene.boom, at, prism, outline)


def _tail(boom: Boom, at: _Placed, prism: Prism, outline: Floats) -> Floats:
    """The counterweight swings all round: the ring it may be in, whatever the bearing."""
    flat = prism_nearest(outline, 0.0, 0.0)
    axis = np.stack([at.stance.crane_x_m, at.stance.crane_y_m, np.zeros_like(at.stance.crane_x_m)], axis=-1)
    away = np.sqrt(((axis - flat(axis)) ** 2).sum(-1))
    plan = np.maximum(away - boom.tail_radius_m, 0.0)
    over = max(boom.tail_bottom_m - prism.top_m, prism.bottom_m - boom.tail_top_m, 0.0)
    return np.asarray(np.hypot(plan, over))
