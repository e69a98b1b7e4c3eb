"""The rig as the lift file describes it: struts made of pieces, and lines made of items from the top down."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, WithJsonSchema

from plumbhook.model.quantity import (
    Length,
    LengthOrZero,
    Mass,
    Name,
    Position,
    Section,
    Serial,
    Text,
    Whole,
    refuse,
)
from plumbhook.model.use import Use

Arrangement = Literal["one strut", "strut over two struts", "four-strut frame", "direct bridle", "free"]


class Strut(Section):
    """A strut: end fittings and pieces in order from end a to end b, or pieces between two frame corners."""

    fittings: tuple[Serial, Serial] | None = Field(
        default=None, description="Serials of the end fittings at ends a and b."
    )
    pieces: tuple[Serial, ...] = Field(min_length=1, description="Serials of the pieces in order from end a.")
    between: tuple[Name, Name] | None = Field(
        default=None,
        description="Names of the two corners of a frame that the strut runs between, first end a.",
    )


class LineEntry(Section):
    """One entry of a line: an item, several items side by side, or one leg of a sling with several legs.

    In the file: a serial; a list of serials; or ``{item: SERIAL, leg: 1, length: 6.06 m}``.
    """

    serials: tuple[Serial, ...] = Field(min_length=1)
    leg: Whole | None = None
    length_m: Length | None = Field(default=None, alias="length")


def _entry(raw: object) -> object:
    """Bring the three ways of writing an entry into the form of the record."""
    if isinstance(raw, LineEntry):
        return raw
    if isinstance(raw, list | tuple):
        return {"serials": raw}
    if not isinstance(raw, Mapping):
        return {"serials": [raw]}
    if "item" not in raw or "leg" not in raw:
        raise refuse(
            "one leg of a sling is written {item: SERIAL, leg: 1, length: 6.06 m}; item and leg are needed"
        )
    if "serials" in raw:
        raise refuse('"serials" is not known here; write items side by side as a list in square brackets')
    return {**{key: value for key, value in raw.items() if key != "item"}, "serials": [raw["item"]]}


_ENTRY_SCHEMA = {
    "description": "A serial, a list of serials side by side, or one leg of a sling with several legs.",
    "anyOf": [
        {"type": "string"},
        {"type": "array", "items": {"type": "string"}, "minItems": 1},
        {
            "type": "object",
            "properties": {
                "item": {"type": "string", "description": "Serial of the sling."},
                "leg": {"type": "integer", "minimum": 1, "description": "Which leg, counted from 1."},
                "length": {
                    "type": "string",
                    "examples": ["6.06 m"],
                    "description": "Length the leg is set to, bearing to bearing; else the full leg.",
                },
            },
            "required": ["item", "leg"],
            "additionalProperties": False,
        },
    ],
}
WrittenEntry = Annotated[LineEntry, BeforeValidator(_entry), WithJsonSchema(_ENTRY_SCHEMA)]


class Adjustment(Section):
    """What a line can be set to, bearing to bearing: any of a few lengths, or a range with or without steps."""

    shortest_m: Length | None = Field(
        default=None, alias="shortest", description="Shortest length; the steps count from here."
    )
    longest_m: Length | None = Field(default=None, alias="longest", description="Longest length.")
    pitch_m: Length | None = Field(
        default=None,
        alias="pitch",
        description="Step between two settings; without it every length of the range can be set, as with a "
        "rigging screw.",
    )
    lengths_m: tuple[Length, ...] = Field(
        default=(),
        alias="lengths",
        description="Lengths to choose from instead of a range, as of slings that can be exchanged.",
    )


class Line(Section):
    """A chain of items from an upper to a lower point."""

    from_: Text = Field(alias="from", description="Upper point: hook, a strut end such as U1.a, or a corner.")
    to: Text = Field(description="Lower point: a strut end, a corner, or a lift point such as load.L1.")
    items: tuple[WrittenEntry, ...] = Field(
        min_length=1,
        description="From the top down: a serial, a list of serials side by side, or one leg of a sling.",
    )
    length_m: Length | None = Field(
        default=None,
        alias="length",
        description="Measured length bearing to bearing; otherwise the lengths of the items are summed.",
    )
    adjustment: Adjustment | None = Field(
        default=None,
        description="What the line can be set to; not needed where an item of it has a pitch.",
    )
    from_inboard_m: LengthOrZero = Field(
        default=0.0,
        alias="from_inboard",
        description="Where the line hangs from the body of a strut instead of its end pin: distance from that pin.",
    )
    to_inboard_m: LengthOrZero = Field(
        default=0.0,
        alias="to_inboard",
        description="Where the line holds the body of a strut instead of its end pin: distance from that pin.",
    )
    choked_round: Literal["from", "to"] | None = Field(
        default=None,
        description="Which end of the line is choked or wrapped round the tube of a strut instead of pinned to it.",
    )
    use: Use | None = Field(
        default=None, description="How its items are used where that is not straight and in line."
    )


class Body(Section):
    """A rigid body of a free rig."""

    mass_kg: Mass = Field(alias="mass", description="Mass of the body.")
    cog_m: Position = Field(alias="cog", description="Its centre of gravity in its own coordinates.")
    points_m: dict[Name, Position] = Field(
        alias="points", min_length=1, description="Points that lines take hold of, in its own coordinates."
    )
    at_m: Position = Field(alias="at", description="Where its origin is as drawn, in load coordinates.")


class Rig(Section):
    """Everything between the crane hook and the load."""

    arrangement: Arrangement = Field(description="How struts and lines are put together.")
    hook_chain: tuple[Serial, ...] = Field(
        default=(),
        description="Items between the crane hook and the top slings, from above; a sling with several legs "
        "comes last and stands for its head.",
    )
    struts: dict[Name, Strut] = Field(
        default={}, description="Struts by name; their ends are NAME.a and NAME.b."
    )
    corners: dict[Name, Serial] = Field(
        default={}, description="Corner fittings of a frame: name and serial."
    )
    frame_joints: Literal["pinned", "stiff"] | None = Field(
        default=None,
        description="Whether the corners of a frame turn freely in plan or hold; this changes the shares.",
    )
    lines: dict[Name, Line] = Field(min_length=1, description="Lines by name.")
    bodies: dict[Name, Body] = Field(default={}, description="Bodies of a free rig besides the load.")
    hooks: dict[Name, Position] = Field(
        default={}, description="Hooks of a free rig, in load coordinates; their points are hook.NAME."
    )


def strut_serials(rig: Rig, name: str) -> tuple[str, ...]:
    """Serials of a strut in order from end a: fitting or corner fitting, pieces, fitting or corner fitting.

    Corner fittings of a frame belong to two struts and are named by both.
    """
    strut = rig.struts[name]
    if strut.fittings is not None:
        first, last = strut.fittings
        return (first, *strut.pieces, last)
    if strut.between is None:
        return strut.pieces
    first, last = strut.between
    return (rig.corners[first], *strut.pieces, rig.corners[last])


def used_serials(rig: Rig) -> tuple[str, ...]:
    """Every serial the rig names, in the order of the load path from the hook down, each once."""
    found: dict[str, None] = dict.fromkeys(rig.hook_chain)
    for strut in rig.struts.values():
        found.update(dict.fromkeys((*(strut.fittings or ()), *strut.pieces)))
    found.update(dict.fromkeys(rig.corners.values()))
    for line in rig.lines.values():
        for entry in line.items:
            found.update(dict.fromkeys(entry.serials))
    return tuple(found)
