"""How a strut is put together and where it is loaded: pieces, joints, families, end pins only.

These are habits of the trade without a text; each rule is an argument that a firm may tighten.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from plumbhook.core.check import Check, Clause, SourceQuality, Step, Value
from plumbhook.core.errors import InputError, Problem
from plumbhook.core.units import format_quantity

NO_JOINT_AT_MID_SPAN = Clause(
    "Never a joint of a strut at mid-span; the longest piece in the middle",
    quality=SourceQuality.COMMON_PRACTICE,
)
FEW_PIECES = Clause(
    "At most four pieces of a strut between its end fittings", quality=SourceQuality.COMMON_PRACTICE
)
ONE_FAMILY = Clause("One family and one joint pattern in a strut", quality=SourceQuality.COMMON_PRACTICE)
END_PINS_ONLY = Clause(
    "A strut takes axial force at its end pins only; nothing hangs from its body",
    quality=SourceQuality.COMMON_PRACTICE,
)

_LENGTH_GRACE_M = 1e-9


@dataclass(frozen=True, slots=True)
class StrutPart:
    """One part of a strut in order from one pin to the other.

    Attributes:
        name: serial or label.
        family: strut family; parts of different families do not mate.
        length_m: length along the axis, m; for an end fitting from pin to joint face.
        is_fitting: whether it is an end or corner fitting.
    """

    name: str
    family: str
    length_m: float
    is_fitting: bool = False


def joint_positions_m(parts: Sequence[StrutPart]) -> tuple[float, ...]:
    """Distance of each joint from the first pin, m, in order; one joint at each interface of two parts."""
    positions: list[float] = []
    reached = 0.0
    for part in parts[:-1]:
        reached += part.length_m
        positions.append(reached)
    return tuple(positions)


def span_m(parts: Sequence[StrutPart]) -> float:
    """Pin-to-pin span of a strut, m: the sum of its parts."""
    return math.fsum(part.length_m for part in parts)


def mid_span_joint_check(
    check_id: str,
    station: str,
    title: str,
    *,
    parts: Sequence[StrutPart],
    least_distance_m: float,
    clause: Clause = NO_JOINT_AT_MID_SPAN,
) -> Check:
    """Distance of the nearest joint from mid-span, where the bending moment is largest.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        parts: parts of the strut in order, end fittings included.
        least_distance_m: least distance of a joint from mid-span, m.
        clause: the rule that sets the limit.

    Returns:
        The check, in m; it passes with attention where a longer piece lies outside mid-span.

    Raises:
        InputError: fewer than two parts, or a length that is no positive number.
    """
    _refuse_nonsense(check_id, parts)
    span = Value("L", span_m(parts), "m", "span pin to pin", "pieces of the strut")
    nearest = min(joint_positions_m(parts), key=lambda position: abs(position - span.value / 2.0))
    joint = Value("x_j", nearest, "m", "joint nearest to mid-span, from the first pin", "pieces of the strut")
    distance = Value("d_j", abs(nearest - span.value / 2.0), "m", "distance of that joint from mid-span")
    required = Value("d_req", least_distance_m, "m", "least distance of a joint from mid-span", "policy")
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=required,
        capacity=distance,
        clause=clause,
        steps=(Step(distance, "abs(x_j - L/2)", (joint, span), clause),),
        attention=_longest_piece_attention(parts, span.value),
        cure="put the pieces in another order, or use an odd number of pieces with the longest in the middle",
    )


def _longest_piece_attention(parts: Sequence[StrutPart], span: float) -> str:
    pieces = [part for part in parts if not part.is_fitting]
    start = 0.0
    for part in parts:
        at_middle = start - _LENGTH_GRACE_M <= span / 2.0 <= start + part.length_m + _LENGTH_GRACE_M
        if at_middle and not part.is_fitting:
            longest = max(pieces, key=lambda piece: piece.length_m)
            if longest.length_m > part.length_m + _LENGTH_GRACE_M:
                return (
                    f"Mid-span lies in {part.name}, {format_quantity(part.length_m, 'm')} long; the longest "
                    f"piece, {longest.name}, {format_quantity(longest.length_m, 'm')}, belongs there."
                )
            return ""
        start += part.length_m
    return ""


def piece_count_check(
    check_id: str,
    station: str,
    title: str,
    *,
    parts: Sequence[StrutPart],
    max_pieces: int = 4,
    clause: Clause = FEW_PIECES,
) -> Check:
    """Number of pieces between the end fittings: every joint is a place to go wrong.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        parts: parts of the strut in order, end fittings included.
        max_pieces: most pieces between the end fittings.
        clause: the rule that sets the limit.

    Returns:
        The check, dimensionless.

    Raises:
        InputError: fewer than two parts, or a length that is no positive number.
    """
    _refuse_nonsense(check_id, parts)
    count = sum(not part.is_fitting for part in parts)
    pieces = Value("n", float(count), "1", "pieces between the end fittings", "pieces of the strut")
    most = Value("n_max", float(max_pieces), "1", "most pieces between the end fittings", "policy")
    return Check(check_id, station, title, pieces, most, clause, cure="use fewer, longer pieces")


def one_family_check(
    check_id: str,
    station: str,
    title: str,
    *,
    parts: Sequence[StrutPart],
    clause: Clause = ONE_FAMILY,
) -> Check:
    """Whether all parts of a strut are of one family; families do not mate.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        parts: parts of the strut in order, end fittings included.
        clause: the rule that sets the limit.

    Returns:
        The check; it fails outright where a part is of another family than the first.

    Raises:
        InputError: fewer than two parts, or a length that is no positive number.
    """
    _refuse_nonsense(check_id, parts)
    family = parts[0].family
    strangers = [f"{part.name} ({part.family or 'no family'})" for part in parts if part.family != family]
    count = Value("n_other", float(len(strangers)), "1", "parts of another family", "pieces of the strut")
    refused_from = Value("n_lim", 1.0, "1", "number from which the strut is refused", "policy")
    refused = f"not of family {family}: {', '.join(strangers)}" if strangers else ""
    missing = "" if family else "the family of the first part is missing"
    return Check(
        check_id,
        station,
        title,
        count,
        refused_from,
        clause,
        refused_because=refused,
        not_evaluated_because=missing,
        cure="build the strut from parts of one family and joint pattern",
    )


@dataclass(frozen=True, slots=True)
class LineAttachment:
    """Where a line is attached to a strut.

    Attributes:
        line: name of the line.
        distance_from_end_pin_m: distance along the strut from the nearer end pin, m, not negative.
        round_tube: whether it is choked or wrapped round the tube instead of pinned.
    """

    line: str
    distance_from_end_pin_m: float
    round_tube: bool = False


def end_pins_only_check(
    check_id: str,
    station: str,
    title: str,
    *,
    attachments: Sequence[LineAttachment],
    tolerance_m: float = 0.005,
    clause: Clause = END_PINS_ONLY,
) -> Check:
    """Whether every line at a strut pulls at an end pin; anything else makes a beam of the strut.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        attachments: every line at the strut.
        tolerance_m: distance up to which a line counts as attached at the pin, m.
        clause: the rule that sets the limit.

    Returns:
        The check, in m; refused where a line is attached elsewhere, ``NOT_EVALUATED`` where no line is known.
    """
    tolerance = Value("d_tol", tolerance_m, "m", "distance that still counts as at the pin", "policy", "mm")
    if not attachments:
        unknown = Value("d", math.nan, "m", "largest distance of a line from an end pin", "no line is known")
        return Check(
            check_id,
            station,
            title,
            unknown,
            tolerance,
            clause,
            not_evaluated_because="no line is attached to the strut",
            cure="say which lines are attached to which end of the strut",
        )
    farthest = max(
        attachments,
        key=lambda a: math.inf if math.isnan(a.distance_from_end_pin_m) else a.distance_from_end_pin_m,
    )
    off = [
        f"{a.line}, {format_quantity(a.distance_from_end_pin_m, 'm')} from the end pin"
        for a in attachments
        if a.distance_from_end_pin_m > tolerance_m
    ]
    round_tube = [a.line for a in attachments if a.round_tube]
    reasons = [
        *([f"hung from the body of the strut: {'; '.join(off)}"] if off else []),
        *([f"choked round the tube of the strut: {', '.join(round_tube)}"] if round_tube else []),
    ]
    distance = Value(
        "d",
        farthest.distance_from_end_pin_m,
        "m",
        "largest distance of a line from an end pin",
        farthest.line,
    )
    return Check(
        check_id,
        station,
        title,
        distance,
        tolerance,
        clause,
        assumptions=("The equilibrium is reckoned with every line at its end pin.",) if reasons else (),
        refused_because="; ".join(reasons),
        cure="choose a span at which every line hangs from an end pin",
    )


def _refuse_nonsense(check_id: str, parts: Sequence[StrutPart]) -> None:
    problems: list[Problem] = []
    if len(parts) < 2:
        problems.append(Problem(check_id, "a strut needs two end fittings; name the parts in order"))
    problems.extend(
        Problem(check_id, f"the length of {part.name} must be a positive number")
        for part in parts
        if not (math.isfinite(part.length_m) and part.length_m > 0.0)
    )
    if problems:
        raise InputError(tuple(problems))
