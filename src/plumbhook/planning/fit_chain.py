"""The chain of connections from the crane hook down to the lift points: every two neighbours, and whether they fit."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from plumbhook.checks.fit import Connection, Fit, fit_check, merged
from plumbhook.checks.fit_rules import End, Form, connect
from plumbhook.core.check import Check
from plumbhook.model.equipment import Item, ItemKind
from plumbhook.model.lift import Lift
from plumbhook.planning.assessment import FIT, FitRow, Vector
from plumbhook.planning.cases import RigProblem
from plumbhook.planning.fit_ends import (
    bow_is_below,
    hook_end,
    item_end,
    lift_point_end,
    not_stated,
    shackle_end,
)
from plumbhook.planning.layout import lines_above, lines_below, strut_ends
from plumbhook.planning.rig import ResolvedLine, is_hook

_HOOK_SEAT = "link stock in hook seat"


@dataclass(frozen=True, slots=True)
class Joined:
    """Two neighbours of the load path: where, what is above and below, and what is known of their fit."""

    check_id: str
    where: str
    upper: str
    lower: str
    connection: Connection

    @property
    def title(self) -> str:
        """What is connected to what."""
        return f"Fit at {self.where.removeprefix('load.')}: {self.upper} with {self.lower}"


def fit_rows(joined: Sequence[Joined]) -> tuple[FitRow, ...]:
    """The chain as rows for documents and screens."""
    return tuple(
        FitRow(
            check_id=each.check_id,
            where=each.where,
            upper=each.upper,
            lower=each.lower,
            verdict=each.connection.fit.value,
            sizes=tuple(dict.fromkeys(pair.sentence for pair in each.connection.pairs)),
            unknown=each.connection.missing,
            attention=each.connection.attention,
        )
        for each in joined
    )


def fit_checks(lift: Lift, problem: RigProblem, blocks: str) -> Iterator[Check]:
    """One check of each connection.

    Args:
        lift: the lift.
        problem: its rig.
        blocks: why a connection that is not known stops this lift, e.g. "complex lift"; "" where it does not, and
            then such a connection is no check but a gap.
    """
    place = lift.file.place
    seat_has_its_own_check = place is not None and place.crane.hook_seat_limit_m is not None
    for each in connections(lift, problem):
        connection = each.connection
        if seat_has_its_own_check and any(pair.words == _HOOK_SEAT for pair in connection.pairs):
            pairs = tuple(pair for pair in connection.pairs if pair.words != _HOOK_SEAT)
            connection = Connection(pairs, connection.refused, connection.attention, connection.unknown)
        if connection.fit is not Fit.UNKNOWN or blocks:
            yield fit_check(each.check_id, FIT, each.title, connection=connection)


def connections(lift: Lift, problem: RigProblem) -> tuple[Joined, ...]:
    """Every connection from the hook down, each once."""
    return tuple(_Walk(lift, problem).downward())


class _Walk:
    """Goes down the load path and puts neighbours together."""

    def __init__(self, lift: Lift, problem: RigProblem) -> None:
        self._points = lift.file.load.lift_points
        self._crane = None if lift.file.place is None else lift.file.place.crane
        self._rig, self._nodes_m = problem.rig, problem.layout.nodes_m
        self._fittings = {
            end: fitting
            for strut in self._rig.struts.values()
            for end, fitting in zip(strut_ends(strut), strut.fittings, strict=True)
        }

    def downward(self) -> Iterator[Joined]:
        yield from self._hook_chain()
        nodes = dict.fromkeys(
            node
            for line in sorted(self._rig.lines.values(), key=lambda line: not is_hook(line.upper))
            for node in (line.upper, line.lower)
        )
        for node in nodes:
            above = [line for line in lines_above(self._rig, node) if self._on_pin(line, node)]
            below = [line for line in lines_below(self._rig, node) if self._on_pin(line, node)]
            if above:
                yield self._node(f"fit.{node}.above" if below else f"fit.{node}", node, above, upper=True)
            if below and not self._is_head(below[0]):
                yield self._node(f"fit.{node}.below" if above else f"fit.{node}", node, below, upper=False)
            for line in lines_below(self._rig, node):
                yield from self._line(line)
                yield from self._off_pin(line)

    # The hook chain.

    def _hook_chain(self) -> Iterator[Joined]:
        chain = self._rig.hook_chain
        if not chain:
            return
        ends = [self._chain_ends(position) for position in range(len(chain))]
        yield self._joined("fit.hook.0", "hook", [hook_end("crane hook", self._crane)], [ends[0][0]])
        for position, (one, other) in enumerate(itertools.pairwise(ends), start=1):
            yield self._joined(f"fit.hook.{position}", "hook", [one[1]], [other[0]])

    def _chain_ends(self, position: int) -> tuple[End, End]:
        """Upper and lower end of an item of the hook chain."""
        chain = self._rig.hook_chain
        item = chain[position]
        if item.kind is not ItemKind.SHACKLE:
            return item_end(item, lower=False), item_end(item, lower=True)
        above = item_end(chain[position - 1], lower=True) if position else hook_end("crane hook", self._crane)
        below = (
            [item_end(chain[position + 1], lower=False)]
            if position + 1 < len(chain)
            else [
                end
                for line in lines_below(self._rig, "hook")
                for end in _ends(line.groups[0].items, lower=False)
            ]
        )
        down = bow_is_below([above], below)
        return shackle_end(item, bow=not down), shackle_end(item, bow=down)

    def _is_head(self, line: ResolvedLine) -> bool:
        """Whether a line is one leg of a sling whose head is in the hook chain: nothing is joined there."""
        return is_hook(line.upper) and line.groups[0].items[0] in self._rig.hook_chain

    # Nodes: hook, ends of struts, lift points.

    def _node(self, check_id: str, node: str, lines: Sequence[ResolvedLine], *, upper: bool) -> Joined:
        holder = self._node_end(node, upper=upper)
        held = [
            end
            for line in lines
            for end in (self._line_ends(line)[-1][1] if upper else self._line_ends(line)[0][0])
        ]
        angle = None if upper else self._included_angle_rad(node, lines)
        return self._joined(
            check_id, node, held if upper else [holder], [holder] if upper else held, angle_rad=angle
        )

    def _node_end(self, node: str, *, upper: bool) -> End:
        """What a node offers to the lines above it (``upper``) or below it."""
        if is_hook(node):
            chain = self._rig.hook_chain
            return self._chain_ends(len(chain) - 1)[1] if chain else hook_end(f"crane {node}", self._crane)
        if node.startswith("load."):
            name = node.removeprefix("load.")
            return lift_point_end(name, self._points[name])
        fitting = self._fittings.get(node)
        return not_stated(node) if fitting is None else item_end(fitting, lower=not upper)

    def _included_angle_rad(self, node: str, lines: Sequence[ResolvedLine]) -> float:
        """Largest angle between two of the lines below a node, as drawn."""
        ways = [_direction(self._nodes_m[node], self._nodes_m[line.lower]) for line in lines]
        angles = [
            math.acos(max(-1.0, min(1.0, sum(a * b for a, b in zip(one, other, strict=True)))))
            for one, other in itertools.combinations(ways, 2)
        ]
        return max(angles, default=0.0)

    # Lines.

    def _on_pin(self, line: ResolvedLine, node: str) -> bool:
        """Whether a line meets a node at its pin rather than the tube of a strut."""
        if node == line.upper:
            return line.upper_inboard_m == 0.0 and line.choked_round != "from"
        return line.lower_inboard_m == 0.0 and line.choked_round != "to"

    def _off_pin(self, line: ResolvedLine) -> Iterator[Joined]:
        """A line that holds or hangs from the tube: nothing says how it is held there."""
        for node, upper in ((line.upper, False), (line.lower, True)):
            if not self._on_pin(line, node):
                tube = not_stated(f"hold of {line.name} on the tube at {node}")
                own = self._line_ends(line)[-1][1] if upper else self._line_ends(line)[0][0]
                pair = (own, [tube]) if upper else ([tube], own)
                yield self._joined(f"fit.{line.name}.tube", line.name, *pair)

    def _line(self, line: ResolvedLine) -> Iterator[Joined]:
        """Neighbouring items within a line."""
        ends = self._line_ends(line)
        for position, (one, other) in enumerate(itertools.pairwise(ends), start=1):
            yield self._joined(f"fit.{line.name}.{position}", line.name, one[1], other[0])

    def _line_ends(self, line: ResolvedLine) -> list[tuple[list[End], list[End]]]:
        """Upper and lower ends of each place of a line, shackles put in the right way round."""
        found = []
        for position, group in enumerate(line.groups):
            if group.items[0].kind is not ItemKind.SHACKLE:
                found.append((_ends(group.items, lower=False), _ends(group.items, lower=True)))
                continue
            above = (
                _ends(line.groups[position - 1].items, lower=True)
                if position
                else [self._node_end(line.upper, upper=False)]
            )
            below = (
                _ends(line.groups[position + 1].items, lower=False)
                if position + 1 < len(line.groups)
                else [self._node_end(line.lower, upper=True)]
            )
            down = bow_is_below(above, below)
            found.append(
                (
                    [shackle_end(item, bow=not down) for item in group.items],
                    [shackle_end(item, bow=down) for item in group.items],
                )
            )
        return found

    def _joined(
        self,
        check_id: str,
        where: str,
        upper: Sequence[End],
        lower: Sequence[End],
        angle_rad: float | None = None,
    ) -> Joined:
        if len(upper) == 1:
            connection = connect(upper[0], lower, angle_rad)
        elif len(lower) == 1:
            connection = connect(lower[0], upper, angle_rad)
        elif len(upper) == len(lower):
            connection = merged(connect(one, [other]) for one, other in zip(upper, lower, strict=True))
        else:
            connection = Connection(unknown=(f"which of {len(upper)} and {len(lower)} items hang together",))
        return Joined(check_id, where, _words(upper), _words(lower), connection)


def _ends(items: Sequence[Item], *, lower: bool) -> list[End]:
    return [item_end(item, lower=lower) for item in items]


def _words(ends: Sequence[End]) -> str:
    """Names of some ends; of a shackle whether bow or pin."""
    part = {Form.BOW: " (bow)", Form.PIN: " (pin)"}
    return ", ".join(f"{end.name}{part.get(end.form, '')}" for end in ends)


def _direction(start: Vector, end: Vector) -> Vector:
    x, y, z = (b - a for a, b in zip(start, end, strict=True))
    length = math.sqrt(x * x + y * y + z * z)
    return (x / length, y / length, z / length)
