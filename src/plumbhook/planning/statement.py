"""The load and the rig as statements: what is claimed of the load, what the rig is made of, where it hangs."""

from __future__ import annotations

import math
import string
from collections.abc import Iterator

from plumbhook.model.lift import Lift
from plumbhook.model.load import (
    Load,
    band_of_parts,
    cog_m,
    mass_kg,
    mass_tolerance_ratio,
)
from plumbhook.model.load_review import review_load
from plumbhook.model.part import Part, box_m, is_held, signed_mass_kg
from plumbhook.model.parts_band import RULES
from plumbhook.planning.assessment import (
    BandRow,
    Box,
    HookItem,
    LiftPointRow,
    LineDrawing,
    LoadStatement,
    Method,
    PartRow,
    Posture,
    RigStatement,
    StrutDrawing,
)
from plumbhook.planning.cases import drawn_posture
from plumbhook.planning.items import ItemList
from plumbhook.planning.layout import strut_ends
from plumbhook.planning.rig import ResolvedLine, ResolvedRig, height_in_hook_chain_m
from plumbhook.planning.solutions import Solutions


def envelope_of(load: Load) -> Box | None:
    """The envelope of the load, if the file gives one."""
    return None if load.envelope is None else Box(load.envelope.low_m, load.envelope.high_m)


def load_statement(lift: Lift, solutions: Solutions) -> LoadStatement:
    """The load as claimed, with what each lift point carries."""
    load, rules = lift.file.load, lift.file.rules
    mass = mass_kg(load)
    tolerance = mass_tolerance_ratio(load)
    box = load.cog_box
    return LoadStatement(
        name=load.name,
        axes=load.axes,
        mass_kg=mass,
        mass_low_kg=mass * (1.0 - tolerance),
        mass_high_kg=mass * (1.0 + tolerance),
        tolerance_ratio=tolerance,
        weight_factor=math.nan if rules.weight_factor is None else rules.weight_factor,
        design_mass_kg=solutions.problem.design_mass_kg,
        cog_m=cog_m(load),
        cog_box_m=(box.x_m, box.y_m, box.z_m),
        source=_weight_source(load),
        state=load.weight.state,
        said_by=_said_by(load),
        can_move=load.can_move or "not stated",
        cog_box_source=box.source,
        envelope=envelope_of(load),
        parts=tuple(
            _part_row(letter, part)
            for letter, part in zip(_letters(len(load.parts)), load.parts, strict=True)
        ),
        lift_points=tuple(_lift_point_row(lift, solutions, name) for name in load.lift_points),
        bands=tuple(_bands(load)),
        # The state is a field of the statement already; here are the doubts.
        remarks=tuple(
            remark.text for remark in review_load(load) if remark.answered_by != "lifting supervisor"
        ),
    )


def _part_row(letter: str, part: Part) -> PartRow:
    corners = box_m(part)
    notes = [
        "opening, taken away" if part.opening else "",
        _movement(part),
        part.state or "",
    ]
    return PartRow(
        letter,
        part.name,
        signed_mass_kg(part),
        part.at_m,
        part.source or "not stated",
        None if corners is None else Box(*corners),
        None if part.tolerance is None else part.tolerance.of(part.mass_kg),
        "; ".join(note for note in notes if note),
    )


def _movement(part: Part) -> str:
    if part.movable is None:
        return ""
    what = "fluid" if part.movable.kind == "fluid" else "loose"
    if part.movable.held_by is not None:
        return f"{what}, held by {part.movable.held_by}"
    return f"{what}, room full" if is_held(part) else f"{what}, can move"


def _bands(load: Load) -> Iterator[BandRow]:
    """What the tolerances of the parts give by each rule; nothing where no part states any."""
    for errors in RULES:
        band = band_of_parts(load, errors)
        if band is not None:
            yield BandRow(
                errors,
                band.mass_low_kg,
                band.mass_high_kg,
                band.cog_low_m,
                band.cog_high_m,
                errors == load.weight.errors,
            )


def _weight_source(load: Load) -> str:
    if load.weighing is not None and load.weight.mass_kg is None:
        return f"weighing: {load.weighing.source}"
    return load.weight.source


def _said_by(load: Load) -> str:
    date = load.weight.date.isoformat() if load.weight.date else ""
    return ", ".join(part for part in (load.weight.said_by or "", date) if part) or "not stated"


def _letters(count: int) -> list[str]:
    """Letters a to z, then aa, ab ..."""
    alphabet = string.ascii_lowercase
    return [alphabet[i] if i < 26 else alphabet[i // 26 - 1] + alphabet[i % 26] for i in range(count)]


def _lift_point_row(lift: Lift, solutions: Solutions, name: str) -> LiftPointRow:
    point = lift.file.load.lift_points[name]
    line = next(line for line in solutions.problem.rig.lines.values() if line.lower == f"load.{name}")
    force, angle = solutions.line_demand(line.name), solutions.off_axis_demand(name)
    gravity = solutions.problem.gravity_m_s2
    sizes = [
        f"hole {point.hole_m * 1e3:.0f}" if point.hole_m else "",
        f"plate {point.plate_m * 1e3:.0f}" if point.plate_m else "",
        point.source or "",
    ]
    return LiftPointRow(
        name=name,
        at_m=point.at_m,
        rated_kg=point.rated_load_kg,
        carries_kg=force.nominal.value / gravity,
        worst_kg=force.worst / gravity,
        angle_off_axis_rad=angle.nominal.value,
        worst_angle_off_axis_rad=angle.worst,
        angle_limit_rad=point.angle_limit_rad,
        detail=", ".join(size for size in sizes if size),
    )


def rig_statement(lift: Lift, solutions: Solutions, items: ItemList) -> RigStatement:
    """The rig with its geometry as drawn and as it hangs."""
    rig = solutions.problem.rig
    cog = cog_m(lift.file.load)
    drawn = drawn_posture(solutions.problem, cog)
    return RigStatement(
        arrangement=rig.arrangement,
        items=items.rows,
        struts=tuple(_strut_drawing(rig, solutions, items, name) for name in rig.struts),
        lines=tuple(_line_drawing(line, solutions, items) for line in rig.lines.values()),
        hook_items=tuple(
            HookItem(
                item.serial,
                item.description,
                height_in_hook_chain_m(item),
                items.balloon_of_serial[item.serial],
            )
            for item in rig.hook_chain
        ),
        drawn=drawn,
        hanging=_named(solutions.hanging.posture, "as it hangs, expected weight, with stretch"),
        rig_mass_kg=rig.mass_kg,
        mass_below_hook_items_kg=rig.mass_below_hook_chain_kg,
    )


def _named(posture: Posture, name: str) -> Posture:
    return Posture(name, posture.nodes_m, posture.load_origin_m, posture.load_rows, posture.cog_m)


def _strut_drawing(rig: ResolvedRig, solutions: Solutions, items: ItemList, name: str) -> StrutDrawing:
    strut = rig.struts[name]
    end_a, end_b = strut_ends(strut)
    demand = solutions.compression_demand(name)
    return StrutDrawing(
        name=name,
        family=strut.family.name,
        node_a=end_a,
        node_b=end_b,
        span_m=strut.span_m,
        outside_diameter_m=strut.family.outside_diameter_m,
        pieces=strut.placements,
        mass_kg=strut.mass_kg,
        compression_N=demand.nominal.value,
        worst_compression_N=demand.worst,
        balloon=items.balloon_of_strut[name],
    )


def _line_drawing(line: ResolvedLine, solutions: Solutions, items: ItemList) -> LineDrawing:
    demand = solutions.line_demand(line.name)
    longest = max(line.groups, key=lambda group: group.length_m)
    return LineDrawing(
        name=line.name,
        role=line.role,
        upper_node=line.upper,
        lower_node=line.lower,
        length_m=line.length_m,
        parallel=longest.side_by_side,
        tension_N=demand.nominal.value,
        worst_tension_N=demand.worst,
        angle_from_vertical_rad=solutions.problem.layout.angle_from_vertical_rad(line),
        balloon=items.balloon_of_serial[longest.items[0].serial],
        label=longest.items[0].description,
    )


def same_pose_pairs(solutions: Solutions) -> list[tuple[str, str, float, float]]:
    """(quantity, case, hand in the same pose, rigid) of every force, for the second method, N."""
    pairs = []
    rigid = {case.case: case for case in solutions.design if case.method is Method.RIGID}
    for hand in solutions.same_pose:
        reference = rigid[hand.case]
        for line, value in hand.tensions_N.items():
            pairs.append((f"tension of {line}", hand.case, value, reference.tensions_N[line]))
        for strut, value in hand.compressions_N.items():
            pairs.append((f"compression of {strut}", hand.case, value, reference.compressions_N[strut]))
    return pairs
