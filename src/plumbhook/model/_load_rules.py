"""What cannot be true of a load, rules or place, whatever the equipment: said while the file is read."""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence

from plumbhook.core.units import format_quantity, parse_quantity
from plumbhook.model._part_rules import part_findings
from plumbhook.model.finding import Finding
from plumbhook.model.lift_file import LiftInfo
from plumbhook.model.load import Load, band_of_parts, cog_m, parts_cog_m, parts_mass_kg, unknown_of_band
from plumbhook.model.place import PlaceStation
from plumbhook.model.rule_pack import TABLE_5_1, rule_pack, rule_pack_names
from plumbhook.model.rules import Rules, rule_quantity
from plumbhook.model.unit_slips import slip_sentence
from plumbhook.model.weighing import weigh
from plumbhook.model.weighing_adjustment import WeighingError, WeighingResult

_AXES = "xyz"
# Two lift points nearer than this are the same one written twice.
_SAME_PLACE_M = 1e-3


def load_findings(load: Load) -> Iterator[Finding]:
    """Mass and centre of gravity that are missing or contradict each other; impossible boxes."""
    declared = load.weight.mass_kg
    if load.weighing is not None:
        try:
            result: WeighingResult | None = weigh(load.weighing)
        except WeighingError as error:
            yield Finding(("load", "weighing"), str(error))
            return
    else:
        result = None
    if not load.parts and declared is None and result is None:
        yield Finding(("load", "weight", "mass"), "the load has no mass; give it here, or list its parts")
    if not load.parts and load.declared_cog_m is None and result is not None:
        yield from _axes_findings(result)
    elif not load.parts and load.declared_cog_m is None:
        yield Finding(("load", "cog"), "the load has no centre of gravity; give it here, or list its parts")
        return
    wrong_parts = tuple(part_findings(load))
    yield from wrong_parts
    if wrong_parts:
        return
    yield from _tolerance_findings(load, result)
    if load.parts and declared is not None:
        yield from _sum_findings(load, declared)
    if result is not None and declared is not None:
        yield from _declared_against_weighed(load, declared, result)
    yield from _cog_findings(load)
    yield from _box_findings(load)
    for (first, one), (second, other) in itertools.combinations(load.lift_points.items(), 2):
        if math.dist(one.at_m, other.at_m) < _SAME_PLACE_M:
            yield Finding(
                ("load", "lift_points", second), f"this lift point is at the place of {first}; correct one"
            )


def _axes_findings(result: WeighingResult) -> Iterator[Finding]:
    """Axes along which nothing is known but what the weighing does not tell."""
    lacking = [axis for axis, at in zip(_AXES, result.cog_m, strict=True) if not math.isfinite(at)]
    if lacking:
        yield Finding(
            ("load", "weighing"),
            f"the weighing tells nothing of the centre of gravity along {' and '.join(lacking)}; weigh again "
            "(with one end raised for the height), list the parts, or give cog and cog_box",
        )


def _declared_against_weighed(load: Load, declared_kg: float, result: WeighingResult) -> Iterator[Finding]:
    allowed = (load.weight.declared_tolerance or 0.0) * declared_kg + result.mass_half_width_kg
    if abs(declared_kg - result.mass_kg) > allowed:
        yield Finding(
            ("load", "weight", "mass"),
            f"the weighing gives {_mass(result.mass_kg)}, further from {_mass(declared_kg)} than both "
            f"tolerances together allow{slip_sentence(declared_kg / result.mass_kg)}; leave the declared mass "
            "out, or find out which is wrong",
        )


def _tolerance_findings(load: Load, result: WeighingResult | None) -> Iterator[Finding]:
    """A tolerance or a box that nobody gives, and that neither parts nor weighing give."""
    mass_is_weighed = result is not None and load.weight.mass_kg is None
    if load.weight.declared_tolerance is None and not mass_is_weighed:
        lacking = [part.name for part in load.parts if part.tolerance is None]
        if lacking or not load.parts:
            whose = f" ({_names(lacking)} has none)" if lacking else ""
            yield Finding(
                ("load", "weight", "tolerance"),
                "how far the mass may be off is not given; give it here, for instance "
                f'"tolerance: 1.5 %", or give every part its own{whose}',
            )
    if load.declared_cog_box is not None:
        return
    all_axes = result is not None and all(math.isfinite(at) for at in result.cog_m)
    if all_axes and load.declared_cog_m is None:
        return
    unknown = unknown_of_band(load)
    if unknown or not load.parts:
        whose = f" ({_names(unknown)} lacks them)" if unknown else ""
        yield Finding(
            ("load", "cog_box"),
            "how far the centre of gravity may be off is not given; give cog_box, or give every part its "
            f"position_tolerance, and where it can move to if it can{whose}",
        )


def _sum_findings(load: Load, declared_kg: float) -> Iterator[Finding]:
    total = parts_mass_kg(load)
    band = band_of_parts(load)
    allowed = math.nan if band is None else band.mass_high_kg - band.mass_kg
    if load.weight.declared_tolerance is not None:
        allowed = load.weight.declared_tolerance * declared_kg
    if not abs(total - declared_kg) <= allowed:
        yield Finding(
            ("load", "weight", "mass"),
            f"the parts sum to {_mass(total)}, further from {_mass(declared_kg)} than the tolerance allows"
            f"{slip_sentence(declared_kg / total)}; correct one of them or widen the tolerance",
        )


def _names(names: Sequence[str]) -> str:
    more = f" and {len(names) - 2} more" if len(names) > 2 else ""
    return ", ".join(f'"{name}"' for name in names[:2]) + more


def _cog_findings(load: Load) -> Iterator[Finding]:
    if not load.parts or load.declared_cog_m is None:
        return
    box = (load.cog_box.x_m, load.cog_box.y_m, load.cog_box.z_m)
    for axis, said, summed, half in zip(_AXES, load.declared_cog_m, parts_cog_m(load), box, strict=True):
        if abs(said - summed) > half + 1e-9:
            yield Finding(
                ("load", "cog"),
                f"along {axis} the parts give {_length(summed)}, which is outside the box around "
                f"{_length(said)}; correct the parts, the value or the box",
            )


def _box_findings(load: Load) -> Iterator[Finding]:
    if load.envelope is None:
        return
    rows = zip(_AXES, load.envelope.low_m, load.envelope.high_m, cog_m(load), strict=True)
    for axis, low, high, at in rows:
        if not low < high:
            yield Finding(
                ("load", "envelope"),
                f"along {axis} the low end is not below the high end; swap or correct them",
            )
        elif not low <= at <= high:
            yield Finding(
                ("load", "envelope"),
                f"along {axis} the centre of gravity ({_length(at)}) is outside the envelope "
                f"({_length(low)} to {_length(high)}); correct the parts or the envelope",
            )


def lift_info_findings(info: LiftInfo) -> Iterator[Finding]:
    """Dates of the lift that cannot follow each other."""
    if info.equipment_back is not None and info.equipment_back < info.date:
        yield Finding(
            ("lift", "equipment_back"),
            f"the equipment cannot be back before the lift on {info.date.isoformat()}; correct one of the dates",
        )


def rules_findings(rules: Rules) -> Iterator[Finding]:
    """Limits that contradict each other."""
    if not rules.top_sling_angle_min_rad < rules.top_sling_angle_max_rad:
        yield Finding(("rules", "top_sling_angle_min"), "this must be less than top_sling_angle_max")
    if rules.lower_sling_lean_attention_rad > rules.lower_sling_lean_limit_rad:
        yield Finding(
            ("rules", "lower_sling_lean_attention"), "this must not be more than lower_sling_lean_limit"
        )
    yield from _pack_findings(rules)


def _pack_findings(rules: Rules) -> Iterator[Finding]:
    known = rule_pack_names()
    for position, name in enumerate(rules.packs):
        where = ("rules", "packs", position)
        if name not in known:
            yield Finding(where, f'there is no rule pack "{name}"; there are: {", ".join(known)}')
        elif name in rules.packs[:position]:
            yield Finding(where, f'"{name}" stands here twice; delete one')
    for name, category in rules.categories.items():
        here = ("rules", "categories", name)
        if name not in rules.packs or name not in known:
            yield Finding(here, f'"{name}" is not among rules.packs; add it there or delete this')
        elif category not in rule_pack(name).categories:
            names = ", ".join(rule_pack(name).categories)
            yield Finding(here, f'"{category}" is no category of {name}; it has: {names}')
    yield from _relaxed_findings(rules, known)
    yield from _contradictions(rules, known)


def _relaxed_findings(rules: Rules, known: Sequence[str]) -> Iterator[Finding]:
    for position, relaxed in enumerate(rules.relaxed):
        if relaxed.pack not in rules.packs or relaxed.pack not in known:
            message = f'"{relaxed.pack}" is not among rules.packs; add it there or delete this'
            yield Finding(("rules", "relaxed", position, "pack"), message)
            continue
        limits = [limit.rule for limit in rule_pack(relaxed.pack).limits]
        if relaxed.rule not in limits:
            message = (
                f'{relaxed.pack} sets no limit on "{relaxed.rule}"; it sets: {", ".join(limits) or "none"}'
            )
            yield Finding(("rules", "relaxed", position, "rule"), message)


def _contradictions(rules: Rules, known: Sequence[str]) -> Iterator[Finding]:
    """Two packs of which one asks for more than the other allows: no value keeps both, so one must be relaxed.

    A bound that is a table depends on the lift and is left to the check of each pack.
    """
    relaxed = {(row.pack, row.rule) for row in rules.relaxed}
    bounds = [
        (name, limit)
        for name in dict.fromkeys(rules.packs)
        if name in known
        for limit in rule_pack(name).limits
        if (name, limit.rule) not in relaxed
    ]
    for (low, lower), (high, upper) in itertools.permutations(bounds, 2):
        least, most = lower.at_least, upper.at_most
        if lower.rule != upper.rule or least is None or most is None or TABLE_5_1 in (least, most):
            continue
        kind = rule_quantity(lower.rule).kind
        if parse_quantity(least, kind) > parse_quantity(most, kind):
            yield Finding(
                ("rules", "packs"),
                f"{low} asks for {lower.rule} of at least {least} ({lower.source}) and {high} for at most {most} "
                f"({upper.source}): no value keeps both; name the one that does not hold here under rules.relaxed, "
                "with its reason and who answers for it",
            )


def station_findings(stations: Sequence[PlaceStation]) -> Iterator[Finding]:
    """Stations with the same name."""
    names: set[str] = set()
    for position, station in enumerate(stations):
        if station.name in names:
            yield Finding(
                ("place", "stations", position, "name"),
                f'two stations are called "{station.name}"; rename one',
            )
        names.add(station.name)


def _mass(value_kg: float) -> str:
    return format_quantity(value_kg, "kg", "kg")


def _length(value_m: float) -> str:
    return format_quantity(value_m, "m", "m", decimals=3)
