"""What a second look at the load asks: doubts about its mass, its centre of gravity and what may move.

None of these is an error of the file; each is a sentence that stays with the plan until somebody has answered it.
Pure functions of the load.
"""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum

from plumbhook.core.units import format_quantity
from plumbhook.model.densities import DensityBand, load_densities, material_densities
from plumbhook.model.load import (
    Load,
    band_of_parts,
    cog_m,
    mass_kg,
    mass_tolerance_ratio,
    part_mass_tolerance_kg,
    parts_mass_kg,
    unknown_of_band,
    weighed,
)
from plumbhook.model.part import Part, Vector, box_m, free_range_m, is_held, signed_mass_kg, volume_m3
from plumbhook.model.unit_slips import slip_sentence, unit_slip

# Words of a source that is no source.
_WEAK = re.compile(
    r"\b(assum|estimat|guess|unknown|not stated|verbal|hearsay|e-?mail|phone|told|said|tbc|tba|about)",
    re.IGNORECASE,
)
# Words of a state that somebody must have brought about before the lift.
_STATE_TO_SEE = re.compile(r"\b(drain|empt|without|removed|dry)", re.IGNORECASE)
_MIDDLE_M = 1e-3
_OUTSIDE_M = 1e-3
_DOUBLE = 0.5
_HEAVIEST = "steel"


class RemarkKind(Enum):
    """What is to be done with a remark."""

    ASKED = "to be answered"
    ASSUMED = "assumed"
    TO_SEE = "to be looked at before the lift"


@dataclass(frozen=True, slots=True)
class Remark:
    """One sentence about the load, what is to be done with it, and by whom."""

    kind: RemarkKind
    text: str
    answered_by: str = "load owner"


def review_load(load: Load) -> tuple[Remark, ...]:
    """Every doubt about the load, the weightiest first.

    Args:
        load: a load that has passed validation.

    Returns:
        The remarks; empty where there is nothing to ask.
    """
    return (
        *_movables(load),
        *_whole_density(load),
        *_part_densities(load),
        *_against_weighing(load),
        *_against_declared(load),
        *_middle(load),
        *_round_numbers(load),
        *_outside_envelope(load),
        *_twice(load),
        *_state(load),
    )


def _movables(load: Load) -> Iterator[Remark]:
    for part in load.parts:
        if is_held(part) or part.movable is None:
            continue
        what = "fluid" if part.movable.kind == "fluid" else "loose part"
        if free_range_m(part) is None:
            yield Remark(
                RemarkKind.ASKED,
                f'"{part.name}" is a {what} that can move, and nobody says where to '
                "(load.parts.movable.within).",
            )
        else:
            yield Remark(
                RemarkKind.TO_SEE,
                f'"{part.name}" ({_mass(part.mass_kg)}) is a {what} that is not held; the box of the centre of '
                "gravity is to cover its free movement. Drain it or hold it where that can be done.",
            )


def _whole_density(load: Load) -> Iterator[Remark]:
    if load.envelope is None:
        return
    sizes = [high - low for low, high in zip(load.envelope.low_m, load.envelope.high_m, strict=True)]
    density = mass_kg(load) / math.prod(sizes)
    band = load_densities()[load.kind or "any"]
    if band.holds(density):
        return
    what = "a load of any kind" if load.kind is None else load.kind
    yield Remark(
        RemarkKind.ASKED,
        f"Mass over the volume of the envelope is {_density(density)}; {what} has {_density_band(band)}"
        f"{_likely_slip(density, band)} (density check: {band.quality.value}).",
    )


def _part_densities(load: Load) -> Iterator[Remark]:
    materials = material_densities()
    for part in load.parts:
        volume = volume_m3(part)
        if volume is None:
            continue
        off = part_mass_tolerance_kg(load, part) or 0.0
        least, most = (part.mass_kg - off) / volume, (part.mass_kg + off) / volume
        band = materials[part.solid_of or _HEAVIEST]
        too_light = part.solid_of is not None and most < band.low_kg_per_m3
        if least > band.high_kg_per_m3 or too_light:
            density = part.mass_kg / volume
            yield Remark(
                RemarkKind.ASKED,
                f'"{part.name}" has {_density(density)} over its own volume; '
                f"{'solid ' if part.solid_of is None else ''}{band.name} has {_density_band(band)}"
                f"{_likely_slip(density, band)} (density check: {band.quality.value}).",
            )


def _against_declared(load: Load) -> Iterator[Remark]:
    """The box or tolerance that the parts give, where it is larger than the one that is declared."""
    band = band_of_parts(load)
    if band is None:
        return
    cog, tolerance = cog_m(load), mass_tolerance_ratio(load)
    box = load.declared_cog_box
    if box is not None:
        reach = [
            max(high - at, at - low)
            for low, at, high in zip(band.cog_low_m, cog, band.cog_high_m, strict=True)
        ]
        wider = [
            f"{axis} {_millimetres(r)} against {_millimetres(half)}"
            for axis, r, half in zip("xyz", reach, (box.x_m, box.y_m, box.z_m), strict=True)
            if r > half + 1e-6
        ]
        if wider:
            yield Remark(
                RemarkKind.ASKED,
                f"The tolerances of the parts ({band.errors}) give a wider box of the centre of gravity than "
                f"is declared: ± {', '.join(wider)}; the declared box rules.",
                "appointed person",
            )
        unknown = unknown_of_band(load)
        if unknown:
            yield Remark(
                RemarkKind.ASSUMED,
                f"{len(unknown)} of {len(load.parts)} parts state no position tolerance; the box from the parts "
                "is a lower bound.",
                "appointed person",
            )
    if load.weight.declared_tolerance is None:
        return  # the parts themselves, or a weighing that knows better, say how far the mass may be off
    reach_kg = max(band.mass_high_kg - mass_kg(load), mass_kg(load) - band.mass_low_kg)
    if reach_kg > tolerance * mass_kg(load) * (1.0 + 1e-9):
        yield Remark(
            RemarkKind.ASKED,
            f"The tolerances of the parts ({band.errors}) give ± {_mass(reach_kg)}, more than the declared "
            f"± {_mass(tolerance * mass_kg(load))}; the declared tolerance rules.",
            "appointed person",
        )


def _against_weighing(load: Load) -> Iterator[Remark]:
    """Where parts, declared values and weighing differ: the weighing has seen the load, the list has not."""
    result = weighed(load)
    if result is None:
        return
    if load.parts:
        parts_kg = parts_mass_kg(load)
        more = result.mass_kg - parts_kg
        own = sum(part_mass_tolerance_kg(load, part) or 0.0 for part in load.parts)
        if abs(more) > result.mass_half_width_kg:
            side = "more" if more > 0.0 else "less"
            within = "within their tolerances" if abs(more) <= own else "beyond their tolerances"
            yield Remark(
                RemarkKind.ASKED,
                f"The weighing gives {_mass(abs(more))} {side} than the parts, {within}"
                f"{slip_sentence(result.mass_kg / parts_kg)}: what is aboard that is not in the list, or the other "
                "way round?",
            )
    box = load.declared_cog_box
    if box is not None:
        wider = [
            f"{axis} {_millimetres(half)} against {_millimetres(own)}"
            for axis, half, own in zip("xyz", result.half_sizes_m, (box.x_m, box.y_m, box.z_m), strict=True)
            if half > own + 1e-6
        ]
        if wider:
            yield Remark(
                RemarkKind.ASKED,
                f"The weighing cannot tell the centre of gravity as closely as declared: ± {', '.join(wider)}; the "
                "declared box rules.",
                "appointed person",
            )
    if load.declared_cog_m is not None:
        off = [
            f"{axis} by {_millimetres(abs(at - said))}"
            for axis, at, said, half in zip(
                "xyz", result.cog_m, load.declared_cog_m, result.half_sizes_m, strict=True
            )
            if math.isfinite(at) and abs(at - said) > half
        ]
        if off:
            yield Remark(
                RemarkKind.ASKED,
                f"The weighing puts the centre of gravity elsewhere than declared: {', '.join(off)}; the declared "
                "one rules.",
                "appointed person",
            )
    state = load.weighing.state if load.weighing is not None else None
    if state is not None and state != load.weight.state:
        yield Remark(
            RemarkKind.ASKED,
            f'The load was weighed in the state "{state}"; the weight is stated for "{load.weight.state}".',
        )


def _middle(load: Load) -> Iterator[Remark]:
    """A declared centre of gravity exactly in the middle is more often assumed than found."""
    at = load.declared_cog_m
    if at is None:
        return
    middles: list[tuple[str, Sequence[float]]] = []
    if load.envelope is not None:
        low, high = load.envelope.low_m, load.envelope.high_m
        middles.append(("envelope", [0.5 * (a + b) for a, b in zip(low, high, strict=True)]))
    places = [point.at_m for point in load.lift_points.values()]
    middles.append(("lift points", [math.fsum(p[axis] for p in places) / len(places) for axis in range(2)]))
    for what, middle in middles:
        if all(abs(at[axis] - middle[axis]) <= _MIDDLE_M for axis in range(2)):
            yield Remark(
                RemarkKind.ASSUMED,
                f"The declared centre of gravity is exactly in the middle of the {what} in plan; a centre that "
                "was found by sum or by weighing seldom is. It counts as assumed until the trial lift.",
            )
            return


def _round_numbers(load: Load) -> Iterator[Remark]:
    weight = load.weight
    if _WEAK.search(weight.source):
        text = f'The source of the weight is "{weight.source}": that is hearsay, not a source'
        if weight.mass_kg is not None and _is_round(weight.mass_kg):
            text += f", and {_mass(weight.mass_kg)} is a round number"
        yield Remark(RemarkKind.ASSUMED, f"{text}.")
    if _WEAK.search(load.cog_box.source):
        yield Remark(
            RemarkKind.ASSUMED,
            f'The source of the box of the centre of gravity is "{load.cog_box.source}": an assumption.',
        )
    rounded = [part.name for part in load.parts if not _has_source(part) and _is_round(part.mass_kg)]
    if rounded:
        more = f" and {len(rounded) - 3} more" if len(rounded) > 3 else ""
        names = ", ".join(f'"{name}"' for name in rounded[:3])
        yield Remark(RemarkKind.ASSUMED, f"Round masses without a source: {names}{more}.")


def _has_source(part: Part) -> bool:
    return part.source is not None and not _WEAK.search(part.source)


def _is_round(mass: float) -> bool:
    """Whether at most two digits of a mass say anything: 5000, 650 or 47, not 20367. By the kilogram."""
    digits = f"{mass:.0f}".strip("-").rstrip("0")
    return abs(mass - round(mass)) < 1e-6 and mass >= 10.0 and len(digits) <= 2


def _outside_envelope(load: Load) -> Iterator[Remark]:
    if load.envelope is None:
        return
    found = []
    for part in load.parts:
        low, high = box_m(part) or (part.at_m, part.at_m)
        beyond = max(
            *(e - p for e, p in zip(load.envelope.low_m, low, strict=True)),
            *(p - e for e, p in zip(load.envelope.high_m, high, strict=True)),
        )
        if beyond > _OUTSIDE_M:
            found.append(f'"{part.name}" by {_millimetres(beyond)}')
    if found:
        more = f" and {len(found) - 3} more" if len(found) > 3 else ""
        yield Remark(
            RemarkKind.ASKED,
            f"Outside the envelope: {', '.join(found[:3])}{more}; headroom and clearances are reckoned with the "
            "envelope.",
        )


def _twice(load: Load) -> Iterator[Remark]:
    """Two parts in the same place: one of them may have been counted twice, or an opening forgotten."""
    boxes = [(part, box) for part in load.parts if not part.opening and (box := box_m(part)) is not None]
    if len(boxes) > 400:
        return
    for (one, a), (other, b) in itertools.combinations(boxes, 2):
        share = _overlap(a, b)
        alike = min(signed_mass_kg(one), signed_mass_kg(other)) > 0.8 * max(one.mass_kg, other.mass_kg)
        if share > 0.9 and alike:
            yield Remark(
                RemarkKind.ASKED,
                f'"{one.name}" and "{other.name}" are in the same place with nearly the same mass; one of them '
                "may be counted twice.",
            )
        elif share > _DOUBLE and one.solid_of is not None and other.solid_of is not None:
            percent = format_quantity(share, "1", "%", decimals=0)
            yield Remark(
                RemarkKind.ASKED,
                f'"{one.name}" and "{other.name}" are both solid and overlap by {percent} of the smaller; '
                "mass may be counted twice.",
            )


def _overlap(a: tuple[Vector, Vector], b: tuple[Vector, Vector]) -> float:
    """Common volume of two boxes over the volume of the smaller."""
    common = math.prod(
        max(0.0, min(a[1][axis], b[1][axis]) - max(a[0][axis], b[0][axis])) for axis in range(3)
    )
    volumes = (math.prod(high - low for low, high in zip(*box, strict=True)) for box in (a, b))
    return common / min(volumes)


def _state(load: Load) -> Iterator[Remark]:
    states = [load.weight.state] if _STATE_TO_SEE.search(load.weight.state) else []
    states.extend(
        f"{part.name}: {part.state}"
        for part in load.parts
        if part.state is not None and _STATE_TO_SEE.search(part.state)
    )
    if states:
        yield Remark(
            RemarkKind.TO_SEE,
            f"To be seen before the lift, for the weight holds only so: {'; '.join(states)}.",
            "lifting supervisor",
        )


def _likely_slip(density: float, band: DensityBand) -> str:
    """The slip of units that would put a density inside a band, if one does."""
    for factor in (1000.0, 1.0 / 0.45359237, 1.0 / 0.90718474, 9.80665):
        for ratio in (factor, 1.0 / factor):
            if band.holds(density / ratio):
                return f"; it would fit after a slip of units, {unit_slip(ratio)}"
    return ""


def _mass(value_kg: float) -> str:
    return format_quantity(value_kg, "kg", "kg")


def _millimetres(value_m: float) -> str:
    return format_quantity(value_m, "m", "mm", decimals=0)


def _density(value_kg_per_m3: float) -> str:
    return format_quantity(
        value_kg_per_m3, "kg_per_m3", "kg/m3", decimals=0 if value_kg_per_m3 >= 10.0 else 2
    )


def _density_band(band: DensityBand) -> str:
    return f"{_density(band.low_kg_per_m3)} to {_density(band.high_kg_per_m3)}"
