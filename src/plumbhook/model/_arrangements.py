"""Whether the lines and struts of a rig are put together as its arrangement says."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from plumbhook.model._problems import nearest
from plumbhook.model.finding import Finding
from plumbhook.model.rig import Line, Rig
from plumbhook.model.yaml_source import Path

RESERVED = ("hook", "load")


@dataclass(frozen=True, slots=True)
class _Shape:
    """What an arrangement is made of."""

    struts: int
    hook_lines: tuple[int, int]
    steps: tuple[tuple[str, str], ...]


_SHAPES: dict[str, _Shape] = {
    "one strut": _Shape(1, (2, 2), (("hook", "end"), ("end", "load"))),
    "strut over two struts": _Shape(3, (2, 2), (("hook", "end"), ("end", "end"), ("end", "load"))),
    "four-strut frame": _Shape(4, (4, 4), (("hook", "corner"), ("corner", "load"))),
    "direct bridle": _Shape(0, (2, 4), (("hook", "load"),)),
}
_WORDS = {"hook": "the hook", "end": "a strut end", "corner": "a corner", "load": "a lift point"}


def rig_findings(rig: Rig, lift_points: Sequence[str]) -> Iterator[Finding]:
    """Everything about the rig that can be said without knowing its items.

    Args:
        rig: the rig as written.
        lift_points: names of the lift points of the load.
    """
    points = _points(rig, lift_points)
    yield from _name_findings(rig)
    yield from _reference_findings(rig, points)
    yield from _lift_point_findings(rig, lift_points)
    if rig.arrangement == "free":
        yield from _free_findings(rig)
        return
    yield from _part_findings(rig)
    yield from _line_findings(rig, points)
    yield from _hanging_findings(rig, points)
    if rig.arrangement == "four-strut frame":
        yield from _ring_findings(rig)
    if rig.arrangement == "strut over two struts" and len(rig.struts) == 3:
        yield from _tier_findings(rig)


def _points(rig: Rig, lift_points: Sequence[str]) -> dict[str, str]:
    """Every point a line may run to, with what it is: hook, end, corner, load or body."""
    found = {f"load.{name}": "load" for name in lift_points}
    found.update({f"hook.{name}": "hook" for name in rig.hooks} or {"hook": "hook"})
    if rig.arrangement != "four-strut frame":
        found.update({f"{name}.{end}": "end" for name in rig.struts for end in "ab"})
    found.update(dict.fromkeys(rig.corners, "corner"))
    found.update({f"{name}.{point}": "body" for name, body in rig.bodies.items() for point in body.points_m})
    return found


def _name_findings(rig: Rig) -> Iterator[Finding]:
    for section, names in (("struts", rig.struts), ("corners", rig.corners), ("bodies", rig.bodies)):
        for name in names:
            if name in RESERVED:
                yield Finding(
                    ("rig", section, name), f'"{name}" is taken by the program; choose another name'
                )


def _reference_findings(rig: Rig, points: Mapping[str, str]) -> Iterator[Finding]:
    for name, line in rig.lines.items():
        for key, point in (("from", line.from_), ("to", line.to)):
            if point not in points:
                yield Finding(_line(name, key), f'there is no point "{point}"; {_suggestion(point, points)}')
        if line.from_ == line.to:
            yield Finding(_line(name, "to"), f'the line runs from "{line.to}" to itself; correct one end')
        elif points.get(line.to) == "hook":
            yield Finding(
                _line(name, "to"), "a line is written from the top down; the hook can only stand in from"
            )
        elif points.get(line.from_) == "load" and rig.arrangement != "free":
            yield Finding(
                _line(name, "from"), "a line is written from the top down; a lift point can only stand in to"
            )


def _suggestion(point: str, points: Mapping[str, str]) -> str:
    near = nearest(point, list(points))
    if near:
        return f'did you mean "{near}"?'
    shown = ", ".join(list(points)[:12])
    return f"the points of this rig are {shown}" + (" ..." if len(points) > 12 else "")


def _lift_point_findings(rig: Rig, lift_points: Sequence[str]) -> Iterator[Finding]:
    for point in lift_points:
        holding = [name for name, line in rig.lines.items() if f"load.{point}" in (line.from_, line.to)]
        if not holding:
            yield Finding(
                ("load", "lift_points", point),
                f"no line holds this lift point; add a line to load.{point}, or take the point out",
            )
        for name in holding[1:]:
            yield Finding(
                _line(name, "to"),
                f"load.{point} is already held by line {holding[0]}; a lift point takes one line",
            )


def _part_findings(rig: Rig) -> Iterator[Finding]:
    """Number of struts and corners, and keys that another arrangement needs."""
    shape = _SHAPES[rig.arrangement]
    frame = rig.arrangement == "four-strut frame"
    if len(rig.struts) != shape.struts:
        yield Finding(
            ("rig", "struts"),
            f'the arrangement "{rig.arrangement}" has {_count(shape.struts, "strut")}, this rig has '
            f"{len(rig.struts)}; correct the struts or the arrangement",
        )
    for section, written in (("bodies", rig.bodies), ("hooks", rig.hooks)):
        if written:
            yield Finding(
                ("rig", section), "only a free rig has these; take them out or write arrangement: free"
            )
    if frame:
        if len(rig.corners) != 4:
            yield Finding(
                ("rig", "corners"),
                f"a four-strut frame has 4 corners, this one has {len(rig.corners)}; name all four",
            )
        if rig.frame_joints is None:
            yield Finding(
                ("rig", "frame_joints"),
                "say pinned or stiff: whether the corners turn freely in plan changes how the load is shared",
            )
    else:
        if rig.corners:
            yield Finding(("rig", "corners"), "only a four-strut frame has corners; take them out")
        if rig.frame_joints is not None:
            yield Finding(
                ("rig", "frame_joints"), "only a four-strut frame has joints to describe; take this out"
            )
    for name, strut in rig.struts.items():
        if frame and strut.between is None:
            yield Finding(
                _strut(name, "between"), "say between which two corners this strut runs, as in [A, B]"
            )
        if frame and strut.fittings is not None:
            yield Finding(
                _strut(name, "fittings"), "a strut of a frame ends in corner fittings; take these out"
            )
        if not frame and strut.fittings is None:
            yield Finding(_strut(name, "fittings"), "name the two end fittings by serial, as in [E01, E02]")
        if not frame and strut.between is not None:
            yield Finding(
                _strut(name, "between"), "only a strut of a frame runs between corners; take this out"
            )


def _line_findings(rig: Rig, points: Mapping[str, str]) -> Iterator[Finding]:
    """Lines between points that this arrangement does not join, and too few or too many from the hook."""
    shape = _SHAPES[rig.arrangement]
    for name, line in rig.lines.items():
        step = (points.get(line.from_, ""), points.get(line.to, ""))
        if "" in step or step[1] == "hook" or step[0] == "load" or step in shape.steps:
            continue
        joined = ", ".join(f"from {_WORDS[upper]} to {_WORDS[lower]}" for upper, lower in shape.steps)
        yield Finding(
            _line(name),
            f'a "{rig.arrangement}" has no line from {line.from_} to {line.to}; its lines run {joined}',
        )
    from_hook = [name for name, line in rig.lines.items() if points.get(line.from_) == "hook"]
    fewest, most = shape.hook_lines
    if not fewest <= len(from_hook) <= most:
        wanted = str(fewest) if fewest == most else f"{fewest} to {most}"
        yield Finding(
            ("rig", "lines"),
            f'a "{rig.arrangement}" hangs from the hook by {wanted} lines, this one by {len(from_hook)}; '
            "correct the lines",
        )


def _hanging_findings(rig: Rig, points: Mapping[str, str]) -> Iterator[Finding]:
    """Strut ends and corners that hang from nothing, from several lines, or carry nothing."""
    for point, what in points.items():
        if what not in ("end", "corner"):
            continue
        path = ("rig", "corners", point) if what == "corner" else ("rig", "struts", point.rpartition(".")[0])
        above = [name for name, line in rig.lines.items() if line.to == point]
        below = [name for name, line in rig.lines.items() if line.from_ == point]
        if not above:
            yield Finding(path, f"{point} hangs from nothing; add the line above it")
        if len(above) > 1:
            yield Finding(
                _line(above[1], "to"), f"{point} already hangs from line {above[0]}; one line holds an end"
            )
        if not below:
            yield Finding(path, f"{point} carries nothing; add the line below it")


def _ring_findings(rig: Rig) -> Iterator[Finding]:
    """Struts of a frame that do not form one closed ring of four corners."""
    meeting: dict[str, list[str]] = {corner: [] for corner in rig.corners}
    for name, strut in rig.struts.items():
        for corner in strut.between or ():
            if corner not in meeting:
                near = nearest(corner, list(meeting))
                hint = f'did you mean "{near}"?' if near else "name it under corners"
                yield Finding(_strut(name, "between"), f'there is no corner "{corner}"; {hint}')
            else:
                meeting[corner].append(name)
        if strut.between is not None and strut.between[0] == strut.between[1]:
            yield Finding(_strut(name, "between"), "a strut runs between two different corners; correct one")
    for corner, struts in meeting.items():
        if len(struts) != 2:
            yield Finding(
                ("rig", "corners", corner),
                f"two struts meet at a corner, at this one {len(struts)}; correct between of the struts",
            )
    pairs = [frozenset(strut.between) for strut in rig.struts.values() if strut.between is not None]
    for position, name in enumerate(rig.struts):
        between = rig.struts[name].between
        if between is not None and frozenset(between) in pairs[:position]:
            yield Finding(_strut(name, "between"), "another strut already runs between these corners")


def _tier_findings(rig: Rig) -> Iterator[Finding]:
    """Upper and lower struts: the upper one from the hook, each lower one from one end of the upper."""
    holders: dict[str, list[tuple[str, Line]]] = {name: [] for name in rig.struts}
    for name, line in rig.lines.items():
        strut = line.to.rpartition(".")[0]
        if strut in holders:
            holders[strut].append((name, line))
    upper = [name for name, held in holders.items() if any(line.from_ == "hook" for _, line in held)]
    if len(upper) != 1:
        yield Finding(
            ("rig", "struts"), f"one strut hangs from the hook, here {len(upper)}; correct the top lines"
        )
        return
    taken: dict[str, str] = {}
    for strut, held in holders.items():
        if strut == upper[0]:
            continue
        ends = {line.from_ for _, line in held}
        if any(end.rpartition(".")[0] != upper[0] for end in ends) or len(ends) != 1:
            shown = ", ".join(sorted(ends)) or "nothing"
            yield Finding(
                ("rig", "struts", strut),
                f"both ends of a lower strut hang from one end of {upper[0]}; this one hangs from {shown}",
            )
            continue
        end = ends.pop()
        if end in taken:
            yield Finding(
                ("rig", "struts", strut), f"{taken[end]} already hangs from {end}; use the other end"
            )
        taken[end] = strut


def _free_findings(rig: Rig) -> Iterator[Finding]:
    if rig.struts or rig.corners:
        section = "struts" if rig.struts else "corners"
        yield Finding(("rig", section), "a free rig is made of bodies and lines; write each strut as a body")
    if rig.frame_joints is not None:
        yield Finding(
            ("rig", "frame_joints"), "only a four-strut frame has joints to describe; take this out"
        )
    if rig.hooks and rig.hook_chain:
        yield Finding(
            ("rig", "hook_chain"),
            "with hooks of their own names the items below a hook belong into the lines",
        )
    ends = {end for line in rig.lines.values() for end in (line.from_, line.to)}
    held = {end.rpartition(".")[0] for end in ends}
    for name in rig.bodies:
        if name not in held:
            yield Finding(("rig", "bodies", name), "no line holds this body; add one or take the body out")
    for name in rig.hooks:
        if f"hook.{name}" not in ends:
            yield Finding(
                ("rig", "hooks", name), "no line hangs from this hook; add one or take the hook out"
            )
    if not rig.hooks and "hook" not in ends:
        yield Finding(("rig", "lines"), "no line hangs from the hook; add one")


def _line(name: str, *rest: str | int) -> Path:
    return ("rig", "lines", name, *rest)


def _strut(name: str, *rest: str | int) -> Path:
    return ("rig", "struts", name, *rest)


def _count(number: int, word: str) -> str:
    return f"{number or 'no'} {word}{'' if number == 1 else 's'}"
