"""Which reductions of its rated load an item of a line has, from what the lift file says of its use and of the heat."""

from __future__ import annotations

from collections.abc import Iterator

from plumbhook.checks import reduction
from plumbhook.checks.reduction import Reduction
from plumbhook.model.equipment import Item, ItemKind
from plumbhook.model.use import Temperatures, Use

_AS_FORESEEN = Use()
# What is made of steel and has no rule of its own here is ordinary between these, common practice.
_COLD_C, _WARM_C = -20.0, 100.0


def reductions_of(item: Item, use: Use | None, heat: Temperatures | None) -> tuple[Reduction, ...]:
    """Reductions of one item of a line, none where it is straight, in line and at an ordinary temperature.

    Args:
        item: the item.
        use: how the items of its line are used; None for straight and in line.
        heat: how cold and how warm it may be; None for ordinary.
    """
    how = use or _AS_FORESEEN
    found: list[Reduction] = []
    if item.kind.is_sling:
        found += _hitch(item, how)
    if item.kind is ItemKind.WIRE_ROPE_SLING and how.bent_over_m is not None:
        known = item.thickness_m is not None
        found.append(
            reduction.rope_over_pin(how.bent_over_m, item.thickness_m or 0.0)
            if known
            else reduction.not_known("k_bend", "reduction for bending over the pin (diameter of the rope)")
        )
    if item.kind is ItemKind.SHACKLE:
        found += _shackle(how)
    if heat is not None:
        found += _heat(item.kind, heat)
    return tuple(found)


def _hitch(item: Item, use: Use) -> Iterator[Reduction]:
    if use.hitch == "straight":
        return
    if item.kind.is_textile:
        yield reduction.textile_mode(use.hitch, use.basket_angle_rad or 0.0)
    elif item.kind is ItemKind.WIRE_ROPE_SLING and use.hitch == "choke":
        yield reduction.rope_choke()
    else:
        yield reduction.not_known("M", f"mode factor, {use.hitch}, of a {item.kind.value}")
    if use.angle_of_choke_rad is not None:
        yield reduction.choke_angle(use.angle_of_choke_rad)


def _shackle(use: Use) -> Iterator[Reduction]:
    if use.side_load_rad is not None:
        yield reduction.shackle_side_load(use.side_load_rad, round_pin=use.round_pin)
    if use.angle_in_bow_rad is not None:
        yield reduction.legs_in_bow(use.angle_in_bow_rad)


def _heat(kind: ItemKind, heat: Temperatures) -> Iterator[Reduction]:
    low, high = heat.lowest_C, heat.highest_C
    if kind is ItemKind.CHAIN_SLING:
        yield min(
            (reduction.chain_heat(low), reduction.chain_heat(high)), key=lambda r: (not r.refusal, r.factor)
        )
    elif kind is ItemKind.SHACKLE:
        yield min(
            (reduction.shackle_heat(low), reduction.shackle_heat(high)),
            key=lambda r: (not r.refusal, r.factor),
        )
    elif kind is ItemKind.WIRE_ROPE_SLING:
        yield reduction.rope_heat(low, high)
    elif kind.is_textile:
        yield reduction.textile_heat(low, high)
    elif not (low >= _COLD_C and high <= _WARM_C):
        yield reduction.not_known("k_heat", f"reduction for temperature, of a {kind.value}")
