"""Rules for two forms of the load path that meet: pin and hole, sling and bow, link and hook.

What is common practice says so; nothing here is a strength rule.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum
from types import MappingProxyType

from plumbhook.checks.fit import Connection, Pair, length_text, merged
from plumbhook.checks.shackles.reductions import INCLUDED_ANGLE, LARGEST_INCLUDED_ANGLE_RAD
from plumbhook.core.check import Clause, SourceQuality, Value

LOOSE_HOLE = Clause("Hole no more than 3 mm or 5 % wider than its pin", quality=SourceQuality.COMMON_PRACTICE)
FILLED_JAW = Clause(
    "Plate fills three quarters of the jaws, or loose spacers centre it",
    quality=SourceQuality.COMMON_PRACTICE,
)
LEAST_BEARING = Clause("WSTDA-RS-1", "2001", "least diameter that a roundsling may bear on, by its maker")
ROPE_OVER_PIN = Clause(
    "0027/ND", "Rev 11.2", "7.8: no rope over less than its own diameter, eyes rather twice"
)
EYE_LENGTH = Clause(
    "Eye at least three times as long as what it lies round is thick", quality=SourceQuality.COMMON_PRACTICE
)
NATURAL_EYE = Clause(
    "What an eye lies round is no wider than the eye by nature", quality=SourceQuality.COMMON_PRACTICE
)
HOLE_PLAY_M, HOLE_PLAY_RATIO = 0.003, 0.05
JAW_FILLED_RATIO = 0.75
ROPE_EYE_RATIO = 2.0
_GRACE_M = 1e-9


class Form(Enum):
    """What an item or fitting offers to its neighbour."""

    PIN = "pin between jaws"
    BOW = "bow of a shackle"
    LINK = "link"
    PLATE = "plate with a hole"
    EYE = "eye of a sling"
    HOOK = "crane hook"
    NOT_STATED = "not stated"

    @property
    def is_ring(self) -> bool:
        """Whether it is a bar bent round an opening."""
        return self in (Form.BOW, Form.LINK)


@dataclass(frozen=True, slots=True)
class End:
    """One end of an item with the sizes that count at it; NaN where one is not known.

    Attributes:
        name: of the item, e.g. its serial number.
        kind: in the words of the trade, the same for equal items, e.g. its description.
        form: what it offers.
        bar_m: diameter of a pin, stock of a ring, thickness of a plate or of a hook, m.
        opening_m: width between jaws, inside width of a ring, diameter of a hole, thickest link a hook takes,
            natural width of an eye, m.
        length_m: inside length of a ring or of an eye, m.
        width_m: width that an eye takes where it bears, m.
        thickness_m: diameter of a wire rope, m; NaN for textile.
        least_bearing_m: smallest diameter that an eye may bear on, m.
        is_shackle: whether a pin is that of a shackle, which can turn out.
        is_rope: whether an eye is of wire rope.
    """

    name: str
    kind: str
    form: Form
    bar_m: float = math.nan
    opening_m: float = math.nan
    length_m: float = math.nan
    width_m: float = math.nan
    thickness_m: float = math.nan
    least_bearing_m: float = math.nan
    is_shackle: bool = False
    is_rope: bool = False


def connect(holder: End, held: Sequence[End], included_angle_rad: float | None = None) -> Connection:
    """Rules of a connection between one end and those that meet it.

    Args:
        holder: the end that is alone on its side.
        held: one or more ends that meet it.
        included_angle_rad: largest angle between two lines among those held, rad; None for items of one line.

    Returns:
        The rules with the sizes put in. Nothing held, or forms that nobody states, count as not known.
    """
    if not held:
        return Connection(unknown=(f"what {holder.name} is connected to",))
    not_stated = [end.name for end in (holder, *held) if end.form is Form.NOT_STATED]
    if not_stated:
        return Connection(unknown=tuple(f"sizes of {name}" for name in dict.fromkeys(not_stated)))
    if len(held) == 1 and holder.form is Form.EYE:
        holder, held = held[0], (holder,)
    parts = [_together(holder, held, included_angle_rad)]
    for position, end in enumerate(held, start=1):
        rule = _RULES.get((holder.form, end.form))
        mirrored = _RULES.get((end.form, holder.form))
        mark = f"_{position}" if len(held) > 1 else ""
        if rule is not None:
            parts.append(rule(holder, end, mark))
        elif mirrored is not None:
            parts.append(mirrored(end, holder, mark))
        else:
            parts.append(
                Connection(refused=(_NEVER.format(holder.name, holder.form.value, end.name, end.form.value),))
            )
    return merged(parts)


_NEVER = "{} ({}) and {} ({}) cannot be joined; a shackle belongs between them"


def _size(symbol: str, value_m: float, meaning: str, mark: str = "") -> Value:
    known = math.isfinite(value_m)
    return Value(f"{symbol}{mark}", value_m, "m", meaning, "item record" if known else "missing", "mm")


def _bar(end: End, mark: str) -> Value:
    words = {Form.PIN: "pin", Form.PLATE: "plate", Form.HOOK: "thickness"}.get(end.form, "stock")
    symbol = {Form.PIN: "d_pin", Form.PLATE: "t_plate", Form.HOOK: "t_hook"}.get(end.form, "d_stock")
    return _size(symbol, end.bar_m, f"{words} of {end.name}", mark)


def _opening(end: End, mark: str = "") -> Value:
    words = {
        Form.PIN: "jaw",
        Form.BOW: "bow width",
        Form.PLATE: "hole",
        Form.HOOK: "seat",
        Form.EYE: "natural width",
    }
    symbol = {
        Form.PIN: "b_jaw",
        Form.BOW: "b_bow",
        Form.PLATE: "d_hole",
        Form.HOOK: "d_seat",
        Form.EYE: "b_eye",
    }
    meaning = f"{words.get(end.form, 'inside width')} of {end.name}"
    return _size(symbol.get(end.form, "b_link"), end.opening_m, meaning, mark)


def _width(end: End, mark: str) -> Value:
    return _size("w", end.width_m, f"bearing width of {end.name}", mark)


def _together(holder: End, held: Sequence[End], angle_rad: float | None) -> Connection:
    """What counts for all that meet one end together: room beside each other, angle, legs on a pin."""
    pairs: list[Pair] = []
    refused: list[str] = []
    marks = [f"_{n}" if len(held) > 1 else "" for n in range(1, len(held) + 1)]
    eyes = [_width(end, mark) for end, mark in zip(held, marks, strict=True) if end.form is Form.EYE]
    if eyes and (holder.form.is_ring or holder.form is Form.PIN):
        into = {Form.PIN: "jaw", Form.BOW: "bow"}.get(holder.form, "link")
        pairs.append(Pair("sling", into, tuple(eyes), _opening(holder)))
    bars = [
        _bar(end, f"{mark}_in")
        for end, mark in zip(held, marks, strict=True)
        if end.form is Form.PIN or end.form.is_ring
    ]
    if len(bars) > 1:
        into = {Form.PIN: "jaw", Form.PLATE: "hole", Form.HOOK: "hook seat"}.get(holder.form, "inside width")
        pairs.append(Pair("all side by side", into, tuple(bars), _opening(holder)))
    if holder.form is Form.BOW and angle_rad is not None and len(held) > 1:
        limit = Value(
            "delta_max",
            LARGEST_INCLUDED_ANGLE_RAD,
            "rad",
            "largest angle between legs in a bow",
            "ASME B30.26",
            "deg",
        )
        angle = Value("delta", angle_rad, "rad", "angle between the outer legs in the bow", "as drawn", "deg")
        pairs.append(Pair("angle between legs", "limit", (angle,), limit, INCLUDED_ANGLE, joint="of"))
    if holder.form is Form.PIN and holder.is_shackle and len(held) > 1:
        refused.append(f"{len(held)} legs on the pin of {holder.name}; legs belong in the bow")
    return Connection(tuple(pairs), tuple(refused))


def _pin_in_plate(pin: End, plate: End, mark: str) -> Connection:
    into = Pair("pin", "hole", (_bar(pin, mark),), _opening(plate, mark))
    between = Pair("plate", "jaw", (_bar(plate, mark),), _opening(pin, mark))
    attention = []
    play = plate.opening_m - pin.bar_m
    if play > max(HOLE_PLAY_M, HOLE_PLAY_RATIO * pin.bar_m) + _GRACE_M:
        attention.append(
            f"Hole {_text(plate.opening_m)} for pin {_text(pin.bar_m)}: more play than 3 mm or 5 %; "
            "see that the pin bears well."
        )
    if plate.bar_m < JAW_FILLED_RATIO * pin.opening_m - _GRACE_M:
        gap = 0.5 * (pin.opening_m - plate.bar_m)
        attention.append(
            f"Plate {_text(plate.bar_m)} between jaws {_text(pin.opening_m)} ({pin.kind}): fill {_text(gap)} on "
            "each side with loose spacers, so that the pull stays central."
        )
    return Connection((into, between), attention=tuple(attention))


def _ring_in_pin(pin: End, ring: End, mark: str) -> Connection:
    """A pin through a ring, the jaws over its stock."""
    return Connection(
        (
            Pair("pin", "inside width", (_bar(pin, mark),), _opening(ring, mark)),
            Pair("stock", "jaw", (_bar(ring, mark),), _opening(pin, mark)),
        )
    )


def _ring_in_ring(one: End, other: End, mark: str) -> Connection:
    return Connection(
        (
            Pair("stock", "inside width", (_bar(one, f"{mark}_a"),), _opening(other, f"{mark}_b")),
            Pair("stock", "inside width", (_bar(other, f"{mark}_b"),), _opening(one, f"{mark}_a")),
        )
    )


def _ring_in_plate(ring: End, plate: End, mark: str) -> Connection:
    """The bow of a shackle, or a link, through the hole of a plate."""
    return Connection(
        (
            Pair("stock", "hole", (_bar(ring, mark),), _opening(plate, mark)),
            Pair("plate", "inside width", (_bar(plate, mark),), _opening(ring, mark)),
        )
    )


def _eye_on_bar(bar: End, eye: End, mark: str) -> Connection:
    """A sling on a pin, in a bow or on a link; the room beside each other is counted for all slings together."""
    round_m = _bar(bar, f"{mark}_r")
    if not eye.is_rope:
        least = _size("d_least", eye.least_bearing_m, f"least bearing diameter of {eye.name}", mark)
        pairs = [Pair("least bearing", "bar", (least,), round_m, LEAST_BEARING, joint="on")]
        attention: list[str] = []
    else:
        rope = _size("d_rope", eye.thickness_m, f"rope diameter of {eye.name}", mark)
        length = _size("l_eye", eye.length_m, f"length of the eye of {eye.name}", mark)
        pairs = [
            Pair("rope", "bar", (rope,), round_m, ROPE_OVER_PIN, joint="on"),
            Pair("bar", "natural eye", (round_m,), _opening(eye, mark), NATURAL_EYE),
            Pair("bar", "length of eye", (round_m,), length, EYE_LENGTH, times=3.0),
        ]
        attention = []
        if bar.bar_m < ROPE_EYE_RATIO * eye.thickness_m - _GRACE_M:
            attention.append(
                f"Eye of rope {_text(eye.thickness_m)} round {_text(bar.bar_m)}: less than twice the rope; "
                "the eye loses strength."
            )
    if bar.form is Form.PIN and bar.is_shackle:
        attention.append(
            f"A sling bears on the pin of a shackle ({bar.kind}): the pin must be one that cannot turn out."
        )
    return Connection(tuple(pairs), attention=tuple(attention))


def _eye_in_plate(plate: End, eye: End, mark: str) -> Connection:
    del mark
    return Connection(
        unknown=(
            f"whether the eye of {eye.name} may bear on the edge of the hole of {plate.name}; use a shackle",
        )
    )


def _link_in_hook(hook: End, link: End, mark: str) -> Connection:
    return Connection(
        (
            Pair("link stock", "hook seat", (_bar(link, mark),), _opening(hook, mark)),
            Pair("hook", "inside width", (_bar(hook, mark),), _opening(link, mark)),
        )
    )


def _eye_in_hook(hook: End, eye: End, mark: str) -> Connection:
    del mark
    return Connection(unknown=(f"whether the bowl of {hook.name} is wide and round enough for {eye.name}",))


def _pin_in_hook(hook: End, pin: End, mark: str) -> Connection:
    """A shackle hung in a hook by its pin, the jaws over the hook."""
    return Connection(
        (
            Pair("pin", "hook seat", (_bar(pin, mark),), _opening(hook, mark)),
            Pair("hook", "jaw", (_bar(hook, mark),), _opening(pin, mark)),
        )
    )


def _text(value_m: float) -> str:
    return length_text(Value("d", value_m, "m", "", "", "mm"))


_Rule = Callable[[End, End, str], Connection]
_RULES: Mapping[tuple[Form, Form], _Rule] = MappingProxyType(
    {
        (Form.PIN, Form.PLATE): _pin_in_plate,
        (Form.PIN, Form.BOW): _ring_in_pin,
        (Form.PIN, Form.LINK): _ring_in_pin,
        (Form.BOW, Form.BOW): _ring_in_ring,
        (Form.BOW, Form.LINK): _ring_in_ring,
        (Form.LINK, Form.LINK): _ring_in_ring,
        (Form.BOW, Form.PLATE): _ring_in_plate,
        (Form.LINK, Form.PLATE): _ring_in_plate,
        (Form.PIN, Form.EYE): _eye_on_bar,
        (Form.BOW, Form.EYE): _eye_on_bar,
        (Form.LINK, Form.EYE): _eye_on_bar,
        (Form.PLATE, Form.EYE): _eye_in_plate,
        (Form.HOOK, Form.LINK): _link_in_hook,
        (Form.HOOK, Form.BOW): _link_in_hook,
        (Form.HOOK, Form.PIN): _pin_in_hook,
        (Form.HOOK, Form.EYE): _eye_in_hook,
    }
)
