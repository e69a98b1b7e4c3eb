"""What every item of the load path offers to its neighbours, above and below: pin, bow, link, plate, eye."""

from __future__ import annotations

import math
from collections.abc import Sequence

from plumbhook.checks.fit_rules import End, Form
from plumbhook.model.equipment import Item, ItemKind
from plumbhook.model.load import LiftPoint
from plumbhook.model.place import Crane

# Which neighbour the bow of a shackle turns to: legs belong in the bow, and a pin cannot meet a pin.
_BOW_GOES_TO = {
    Form.PIN: 100.0,
    Form.EYE: 10.0,
    Form.HOOK: 6.0,
    Form.LINK: 5.0,
    Form.BOW: 4.0,
    Form.NOT_STATED: 1.0,
    Form.PLATE: 0.0,
}


def bow_is_below(above: Sequence[End], below: Sequence[End]) -> bool:
    """Which way a shackle is put in: its bow to slings, its pin through plate or link.

    Args:
        above: what it meets above, a shackle as its bow.
        below: likewise below.
    """
    return _pull(below) >= _pull(above)


def _pull(ends: Sequence[End]) -> float:
    return sum(_BOW_GOES_TO[end.form] for end in ends)


def shackle_end(item: Item, *, bow: bool) -> End:
    """Bow or pin of a shackle."""
    if bow:
        return End(
            item.serial,
            item.description,
            Form.BOW,
            bar_m=_known(item.link_stock_m),
            opening_m=_known(item.bow_width_m),
            length_m=_known(item.inside_length_m),
        )
    return End(
        item.serial,
        item.description,
        Form.PIN,
        bar_m=_known(item.pin_m),
        opening_m=_known(item.jaw_m),
        is_shackle=True,
    )


def item_end(item: Item, *, lower: bool) -> End:
    """Upper or lower end of an item; of a shackle its bow, before anybody knows how it is put in.

    An item of which no size of the lower end is given is the same at both ends, but for chain slings: their legs
    end in something else than their head.
    """
    if item.kind is ItemKind.SHACKLE:
        return shackle_end(item, bow=True)
    own = (
        item.lower_pin_m,
        item.lower_jaw_m,
        item.lower_hole_m,
        item.lower_plate_m,
        item.lower_link_stock_m,
        item.lower_inside_width_m,
    )
    if lower and any(size is not None for size in own):
        pin, jaw, hole, plate, stock, inside = own
    elif lower and item.kind is ItemKind.CHAIN_SLING:
        return End(item.serial, item.description, Form.NOT_STATED)
    else:
        pin, jaw, hole, plate, stock = item.pin_m, item.jaw_m, item.hole_m, item.plate_m, item.link_stock_m
        inside = item.inside_width_m
    is_link = stock is not None or (inside is not None and not item.kind.is_sling)
    if pin is not None or jaw is not None:
        return End(item.serial, item.description, Form.PIN, bar_m=_known(pin), opening_m=_known(jaw))
    if hole is not None or plate is not None:
        return End(item.serial, item.description, Form.PLATE, bar_m=_known(plate), opening_m=_known(hole))
    if is_link or item.kind is ItemKind.MASTER_LINK:
        return End(
            item.serial,
            item.description,
            Form.LINK,
            bar_m=_known(stock),
            opening_m=_known(inside),
            length_m=_known(item.inside_length_m),
        )
    if item.kind.is_sling and item.kind is not ItemKind.CHAIN_SLING:
        return _eye(item)
    return End(item.serial, item.description, Form.NOT_STATED)


def _eye(item: Item) -> End:
    return End(
        item.serial,
        item.description,
        Form.EYE,
        opening_m=_known(item.inside_width_m),
        length_m=_known(item.inside_length_m),
        width_m=_known(item.bearing_width_m),
        thickness_m=_known(item.thickness_m),
        least_bearing_m=_known(item.least_bearing_m),
        is_rope=item.kind is ItemKind.WIRE_ROPE_SLING,
    )


def hook_end(name: str, crane: Crane | None) -> End:
    """The crane hook: thickest link that its seat takes, thickness that a link has to go round."""
    if crane is None:
        return End(name, name, Form.HOOK)
    return End(
        name,
        name,
        Form.HOOK,
        bar_m=_known(crane.hook_width_m),
        opening_m=_known(crane.hook_seat_limit_m),
    )


def lift_point_end(name: str, point: LiftPoint) -> End:
    """A lift point of the load: a plate with a hole, or not stated."""
    words = f"lift point {name}"
    if point.hole_m is None and point.plate_m is None:
        return End(words, "lift point", Form.NOT_STATED)
    return End(words, "lift point", Form.PLATE, bar_m=_known(point.plate_m), opening_m=_known(point.hole_m))


def not_stated(name: str) -> End:
    """A place of which nobody says what it offers."""
    return End(name, name, Form.NOT_STATED)


def _known(value: float | None) -> float:
    return math.nan if value is None else value
