"""The zone that people keep out of around a hanging load, and public ways in it."""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

from plumbhook.core.check import Check, Clause, SourceQuality, Step, Value
from plumbhook.core.errors import InputError, Problem

EXCLUSION = Clause(
    "Exclusion zone: half diagonal of the load, drift, and a share of the height that it may fall",
    quality=SourceQuality.COMMON_PRACTICE,
)

FALL_THROW_RATIO = 0.3
"""Share of the fall height that a falling load or part may land aside; common practice, no source."""

Point = tuple[float, float]
Segment = tuple[Point, Point]
Polygon = tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class ExclusionZone:
    """What the radius of the zone around the hook is made of.

    Attributes:
        half_diagonal_m: half the diagonal of the load seen from above, m; it may turn.
        drift_m: level drift by wind, m.
        fall_height_m: greatest height of the load's underside above ground, m.
        throw_ratio: share of the fall height that it may land aside.
    """

    half_diagonal_m: float
    drift_m: float
    fall_height_m: float
    throw_ratio: float = FALL_THROW_RATIO

    def __post_init__(self) -> None:
        """Refuse a zone of missing or negative numbers.

        Raises:
            InputError: all of them at once.
        """
        named = {
            "half diagonal of the load": self.half_diagonal_m,
            "drift": self.drift_m,
            "fall height": self.fall_height_m,
            "share of the fall height": self.throw_ratio,
        }
        problems = tuple(
            Problem("place.zones", f"the {name} must be a number of at least 0")
            for name, number in named.items()
            if not (math.isfinite(number) and number >= 0.0)
        )
        if problems:
            raise InputError(problems)

    @property
    def radius_m(self) -> float:
        """Radius around the hook as planned, m."""
        return self.half_diagonal_m + self.drift_m + self.throw_ratio * self.fall_height_m


def simple_polygon(field: str, corners_m: Polygon) -> Polygon:
    """The polygon, if it has three corners and crosses itself nowhere.

    Args:
        field: field of the lift file, for the message.
        corners_m: corners in order, x east and y north, m; not closed.

    Raises:
        InputError: fewer than three corners, a number missing, a corner twice in a row, or sides that meet
            elsewhere than at their common corner.
    """
    count = len(corners_m)
    if count < 3:
        raise InputError((Problem(field, "a zone needs at least three corners"),))
    if not all(math.isfinite(number) for corner in corners_m for number in corner):
        raise InputError((Problem(field, "every corner of a zone must be two numbers"),))
    sides = [(corners_m[i], corners_m[(i + 1) % count]) for i in range(count)]
    if any(start == end for start, end in sides):
        raise InputError((Problem(field, "a corner of the zone is given twice in a row; leave one out"),))
    for i in range(count):
        for j in range(i + 1, count):
            adjacent = j == i + 1 or (i == 0 and j == count - 1)
            meet = _folds_back if adjacent else _meets
            crossing = meet(sides[i], sides[j])
            if crossing:
                message = f"sides {i + 1} and {j + 1} of the zone cross; give its corners in order around it"
                raise InputError((Problem(field, message),))
    return corners_m


def path_gap_m(path_m: Polygon, polygon_m: Polygon) -> float:
    """Least distance from a path of points to a polygon, m; 0 where the path meets or enters it.

    Args:
        path_m: points of the path in order, at least one.
        polygon_m: corners of the polygon, in order, not closed.

    Raises:
        InputError: a path without points.

    Source: plane geometry.
    """
    if not path_m:
        raise InputError((Problem("place.stations", "the path has no points"),))
    if any(_inside(point, polygon_m) for point in path_m):
        return 0.0
    count = len(polygon_m)
    sides = [(polygon_m[i], polygon_m[(i + 1) % count]) for i in range(count)]
    legs = list(itertools.pairwise(path_m)) or [(path_m[0], path_m[0])]
    return min(segment_gap_m(leg, side) for leg in legs for side in sides)


def segment_gap_m(
    first: Segment,
    second: Segment,
) -> float:
    """Least distance between two straight segments in plan, m; 0 where they meet. Source: plane geometry."""
    (a, b), (c, d) = first, second
    if _turn(a, b, c) * _turn(a, b, d) < 0.0 and _turn(c, d, a) * _turn(c, d, b) < 0.0:
        return 0.0
    return min(_point_gap(a, second), _point_gap(b, second), _point_gap(c, first), _point_gap(d, first))


def public_way_check(
    check_id: str,
    station: str,
    title: str,
    *,
    way: str,
    distance_m: float | None,
    zone: ExclusionZone | None,
    closed_by: str = "",
) -> Check:
    """The exclusion zone against the distance of a public way from the hook's path.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        way: name of the road, path or occupied place.
        distance_m: least distance of the hook's path in plan from it, m; None where it is not known.
        zone: the zone; None where its numbers are not known.
        closed_by: the measure that keeps people out of it for the lift, who and when; "" where none is stated.

    Returns:
        The check, in m. ``FAIL`` where the zone reaches an open way, ``NOT_APPLICABLE`` where the way is closed by a
        stated measure, ``NOT_EVALUATED`` where a number is missing.

    Source: common practice; the share of the fall height is a policy.
    """
    distance = math.nan if distance_m is None or not math.isfinite(distance_m) else distance_m
    missing = [
        name for name, gone in (("distance", math.isnan(distance)), ("exclusion zone", zone is None)) if gone
    ]
    steps: tuple[Step, ...] = ()
    radius = Value("r_ex", math.nan, "m", "radius of the exclusion zone", "missing")
    if zone is not None:
        half = Value(
            "d_half", zone.half_diagonal_m, "m", "half diagonal of the load in plan", "load.envelope"
        )
        drift = Value("s_wind", zone.drift_m, "m", "drift by wind", "place.wind")
        fall = Value("h_fall", zone.fall_height_m, "m", "height that the load may fall", "place")
        throw = Value(
            "k_fall", zone.throw_ratio, "1", "share of it to land aside", "common practice, no source"
        )
        radius = Value("r_ex", zone.radius_m, "m", "radius of the exclusion zone")
        steps = (Step(radius, "d_half + s_wind + k_fall*h_fall", (half, drift, throw, fall), EXCLUSION),)
    return Check(
        check_id,
        station,
        title,
        radius,
        Value("a_way", distance, "m", f"distance of {way} from the path of the hook", "place.surroundings"),
        EXCLUSION,
        steps,
        not_applicable_because=f"{way} is closed: {closed_by.strip()}" if closed_by.strip() else "",
        not_evaluated_because="" if closed_by.strip() or not missing else f"{' and '.join(missing)} missing",
        cure=f"enter the {' and the '.join(missing)}"
        if missing
        else f"close {way} for the lift and state by what, or lead the load farther from it",
    )


def _meets(first: Segment, second: Segment) -> bool:
    return segment_gap_m(first, second) == 0.0


def _turn(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _point_gap(p: tuple[float, float], segment: Segment) -> float:
    (ax, ay), (bx, by) = segment
    length2 = (bx - ax) ** 2 + (by - ay) ** 2
    along = 0.0 if length2 == 0.0 else ((p[0] - ax) * (bx - ax) + (p[1] - ay) * (by - ay)) / length2
    along = min(1.0, max(0.0, along))
    return math.hypot(p[0] - ax - along * (bx - ax), p[1] - ay - along * (by - ay))


def _folds_back(
    first: Segment,
    second: Segment,
) -> bool:
    """Whether two sides with a common corner lie on each other."""
    corner = first[1] if first[1] in second else first[0]
    one = first[0] if corner == first[1] else first[1]
    other = second[1] if corner == second[0] else second[0]
    along = (one[0] - corner[0]) * (other[0] - corner[0]) + (one[1] - corner[1]) * (other[1] - corner[1])
    return _turn(corner, one, other) == 0.0 and along > 0.0


def _inside(p: tuple[float, float], polygon: Polygon) -> bool:
    """Even-odd rule; the boundary itself is found by the distance."""
    inside = False
    for (ax, ay), (bx, by) in zip(polygon, (*polygon[1:], polygon[0]), strict=True):
        if (ay > p[1]) != (by > p[1]) and p[0] < ax + (p[1] - ay) * (bx - ax) / (by - ay):
            inside = not inside
    return inside
