"""An assessment made ready for drawing: names that can be set, and a hook that is found whatever it is called."""

from __future__ import annotations

from dataclasses import replace

from plumbhook.core.errors import PlumbhookError
from plumbhook.documents.fonts import printable
from plumbhook.planning.assessment import Assessment, Posture, RigStatement

HOOK_NODE = "hook"
"""The node where the top slings meet; the items below the crane hook stand above it."""

_LONGEST_NAME = 14


class ArrangementError(PlumbhookError):
    """The rig cannot be drawn."""


def drawable(assessment: Assessment) -> Assessment:
    """The same assessment with short, printable names and a node called ``hook``.

    Raises:
        ArrangementError: a line or strut ends at a node that has no place.
    """
    rig = _with_hook(assessment.rig)
    struts = tuple(
        replace(
            strut,
            name=_name(strut.name),
            pieces=tuple(replace(p, label=_name(p.label) if p.label else "") for p in strut.pieces),
        )
        for strut in rig.struts
    )
    lines = tuple(replace(line, name=_name(line.name)) for line in rig.lines)
    points = tuple(replace(point, name=_name(point.name)) for point in assessment.load.lift_points)
    load = replace(assessment.load, lift_points=points)
    return replace(assessment, load=load, rig=replace(rig, struts=struts, lines=lines))


def _name(text: str) -> str:
    words = printable(text).strip() or "?"
    return words if len(words) <= _LONGEST_NAME else words[: _LONGEST_NAME - 1] + "…"


def _with_hook(rig: RigStatement) -> RigStatement:
    rig = replace(rig, drawn=_hooked(rig.drawn), hanging=_hooked(rig.hanging))
    ends = [node for line in rig.lines for node in (line.upper_node, line.lower_node)]
    ends += [node for strut in rig.struts for node in (strut.node_a, strut.node_b)]
    lost = sorted({node for node in ends if node not in rig.drawn.nodes_m})
    if lost:
        raise ArrangementError(f"the rig cannot be drawn: no place is known for {', '.join(lost)}")
    return rig


def _hooked(posture: Posture) -> Posture:
    nodes = posture.nodes_m
    if HOOK_NODE in nodes or not nodes:
        return posture
    hooks = sorted(name for name in nodes if name.startswith(f"{HOOK_NODE}."))
    name = hooks[0] if hooks else max(nodes, key=lambda each: nodes[each][2])
    return replace(posture, nodes_m={**nodes, HOOK_NODE: nodes[name]})
