"""Readers of the files a store keeps: items of equipment, strut families, crane charts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from plumbhook.core.errors import InputError, Problem
from plumbhook.core.tables import Column, Row, read_table
from plumbhook.core.units import Kind
from plumbhook.model.equipment import Item, ItemKind, StrutFamily
from plumbhook.model.joint import REQUIRED, FlangeJoint, flange_joint

ITEM_COLUMNS: tuple[Column, ...] = (
    Column("serial", "text", required=True),
    Column("kind", "text", required=True),
    Column("description", "text"),
    Column("family", "text"),
    Column("wll", Kind.MASS),
    Column("mass", Kind.MASS),
    Column("length", Kind.LENGTH),
    Column("head_length", Kind.LENGTH),
    Column("elongation_at_wll", Kind.RATIO),
    Column("pin", Kind.LENGTH),
    Column("jaw", Kind.LENGTH),
    Column("inside_length", Kind.LENGTH),
    Column("bow_width", Kind.LENGTH),
    Column("bearing_width", Kind.LENGTH),
    Column("link_stock", Kind.LENGTH),
    Column("legs", "whole"),
    Column("pitch", Kind.LENGTH),
    Column("shortest", Kind.LENGTH),
    Column("accuracy", Kind.RATIO),
    Column("hole", Kind.LENGTH),
    Column("plate", Kind.LENGTH),
    Column("inside_width", Kind.LENGTH),
    Column("thickness", Kind.LENGTH),
    Column("least_bearing", Kind.LENGTH),
    Column("lower_pin", Kind.LENGTH),
    Column("lower_jaw", Kind.LENGTH),
    Column("lower_hole", Kind.LENGTH),
    Column("lower_plate", Kind.LENGTH),
    Column("lower_link_stock", Kind.LENGTH),
    Column("lower_inside_width", Kind.LENGTH),
    Column("last_examination", "date"),
    Column("status", "text"),
    Column("note", "text"),
)

FAMILY_COLUMNS: tuple[Column, ...] = (
    Column("family", "text", required=True),
    Column("outside_diameter", Kind.LENGTH, required=True),
    Column("wall", Kind.LENGTH, required=True),
    Column("steel", "text", required=True),
    Column("yield_strength", Kind.STRESS, required=True),
    Column("elastic_modulus", Kind.STRESS, required=True),
    Column("buckling_curve", "text", required=True),
    Column("end_offset", Kind.LENGTH, required=True),
    Column("pin_offset", Kind.LENGTH, required=True),
    Column("line_mass", Kind.LINE_MASS, required=True),
    Column("joint_bolts", "text"),
    Column("joint_torque", Kind.TORQUE),
    Column("joint_mass", Kind.MASS, required=True),
    Column("joint_stiffness", Kind.ROTATIONAL_STIFFNESS),
    Column("joint_slack", Kind.ANGLE),
    Column("joint_bolt_circle", Kind.LENGTH),
    Column("joint_flange_diameter", Kind.LENGTH),
    Column("joint_flange_thickness", Kind.LENGTH),
    Column("joint_flange_steel", "text"),
    Column("joint_weld_leg", Kind.LENGTH),
    Column("joint_torque_factor_least", Kind.RATIO),
    Column("joint_torque_factor_largest", Kind.RATIO),
    Column("joint_slip_factor", Kind.RATIO),
    Column("note", "text"),
)

_ABOVE_ZERO = (
    "wll",
    "pin",
    "jaw",
    "inside_length",
    "bow_width",
    "bearing_width",
    "link_stock",
    "pitch",
    "shortest",
    "hole",
    "plate",
    "inside_width",
    "thickness",
    "least_bearing",
    "lower_pin",
    "lower_jaw",
    "lower_hole",
    "lower_plate",
    "lower_link_stock",
    "lower_inside_width",
)
_NOT_NEGATIVE = ("mass", "length", "head_length", "elongation_at_wll", "accuracy")
_FAMILY_ABOVE_ZERO = (
    "outside_diameter", "wall", "yield_strength", "elastic_modulus", "line_mass", "joint_stiffness",
    "joint_bolt_circle", "joint_flange_diameter", "joint_flange_thickness", "joint_torque_factor_least",
    "joint_torque_factor_largest", "joint_slip_factor",
)  # fmt: skip
_FAMILY_NOT_NEGATIVE = ("end_offset", "pin_offset", "joint_mass", "joint_slack", "joint_weld_leg")
BUCKLING_CURVES = ("a0", "a", "b", "c", "d")


def read_stock(text: str, source: str) -> Mapping[str, Item]:
    """Items by serial from a CSV.

    Raises:
        InputError: with every problem found: unknown column or kind, wrong unit, a serial given twice.
    """
    rows = read_table(text, ITEM_COLUMNS, source=source)
    problems = _limits(rows, _ABOVE_ZERO, _NOT_NEGATIVE, source) + _repeated(rows, "serial", source)
    items: dict[str, Item] = {}
    words = {kind.value: kind for kind in ItemKind}
    for row in rows:
        kind = words.get(row.text("kind"))
        if kind is None:
            message = f'"{row.text("kind")}" is not a kind of item; write one of {", ".join(words)}'
            problems.append(Problem("kind", message, row.line, source))
            continue
        legs = row.whole("legs")
        if legs is not None and not 1 <= legs <= 8:
            problems.append(
                Problem("legs", f'"{legs}" is not a number of legs that a sling has', row.line, source)
            )
        problems.extend(
            Problem(column, message, row.line, source)
            for column, message in setting_faults(
                row.number("pitch"), row.number("shortest"), row.number("length")
            )
        )
        items[row.text("serial")] = _item(row, kind)
    _raise(problems)
    return items


def _item(row: Row, kind: ItemKind) -> Item:
    return Item(
        serial=row.text("serial"),
        kind=kind,
        description=row.text("description") or kind.value,
        family=row.text("family"),
        wll_kg=row.number("wll"),
        mass_kg=row.number("mass"),
        length_m=row.number("length"),
        head_length_m=row.number("head_length"),
        elongation_at_wll_ratio=row.number("elongation_at_wll"),
        pin_m=row.number("pin"),
        jaw_m=row.number("jaw"),
        inside_length_m=row.number("inside_length"),
        bow_width_m=row.number("bow_width"),
        bearing_width_m=row.number("bearing_width"),
        link_stock_m=row.number("link_stock"),
        legs=several(row.whole("legs")),
        pitch_m=row.number("pitch"),
        shortest_m=row.number("shortest"),
        accuracy_ratio=row.number("accuracy"),
        hole_m=row.number("hole"),
        plate_m=row.number("plate"),
        inside_width_m=row.number("inside_width"),
        thickness_m=row.number("thickness"),
        least_bearing_m=row.number("least_bearing"),
        lower_pin_m=row.number("lower_pin"),
        lower_jaw_m=row.number("lower_jaw"),
        lower_hole_m=row.number("lower_hole"),
        lower_plate_m=row.number("lower_plate"),
        lower_link_stock_m=row.number("lower_link_stock"),
        lower_inside_width_m=row.number("lower_inside_width"),
        last_examination=row.date("last_examination"),
        # An item of which nobody says that it may be used is not taken for usable.
        status=row.text("status") or "not stated",
        note=row.text("note"),
    )


def read_strut_families(text: str, source: str) -> Mapping[str, StrutFamily]:
    """Strut families by name from a CSV.

    Raises:
        InputError: with every problem found.
    """
    rows = read_table(text, FAMILY_COLUMNS, source=source)
    problems = _limits(rows, _FAMILY_ABOVE_ZERO, _FAMILY_NOT_NEGATIVE, source)
    problems += _repeated(rows, "family", source)
    families: dict[str, StrutFamily] = {}
    for row in rows:
        curve = row.text("buckling_curve")
        if curve not in BUCKLING_CURVES:
            message = f'"{curve}" is not a buckling curve; write one of {", ".join(BUCKLING_CURVES)}'
            problems.append(Problem("buckling_curve", message, row.line, source))
        joint, fault = _joint(row)
        if fault:
            problems.append(Problem("joint", fault, row.line, source))
        family = _family(row, joint)
        problems.extend(Problem("wall", text, row.line, source) for text in tube_faults(family))
        families[family.name] = family
    _raise(problems)
    return families


def setting_faults(
    pitch_m: float | None, shortest_m: float | None, longest_m: float | None
) -> Iterator[tuple[str, str]]:
    """What is wrong with the settings of something that can be set in length: field and sentence."""
    if pitch_m is None and shortest_m is None:
        return
    if pitch_m is None:
        yield "pitch", "a length that can be set in steps needs its pitch beside its shortest length"
    elif shortest_m is None:
        yield "shortest", "a pitch needs the shortest length that it counts from"
    elif longest_m is None:
        yield "length", "a length that can be set needs the longest length that it can be set to"
    elif shortest_m >= longest_m:
        yield "shortest", "the shortest length must be less than the longest; check the two"
    elif pitch_m > longest_m - shortest_m:
        yield "pitch", "one step is more than the whole range of lengths; check pitch, shortest and longest"


def several(legs: int | None) -> int | None:
    """Number of legs where there are several; a sling with one leg is simply a sling."""
    return None if legs == 1 else legs


def tube_faults(family: StrutFamily) -> tuple[str, ...]:
    """Why no such tube exists; empty if it does."""
    if 2.0 * family.wall_m > family.outside_diameter_m:
        return ("the wall is thicker than half the diameter; check the units of both",)
    return ()


def _joint(row: Row) -> tuple[FlangeJoint | None, str]:
    """The joint of a family, and what is missing of it."""
    given = {name: row.cells[name] for name in REQUIRED}
    words = {name: cell if isinstance(cell, float | str) else None for name, cell in given.items()}
    return flange_joint(words, row.number("joint_slip_factor"))


def _family(row: Row, joint: FlangeJoint | None) -> StrutFamily:
    def number(name: str) -> float:
        value = row.number(name)
        assert value is not None  # the column is required
        return value

    return StrutFamily(
        name=row.text("family"),
        outside_diameter_m=number("outside_diameter"),
        wall_m=number("wall"),
        steel=row.text("steel"),
        yield_strength_Pa=number("yield_strength"),
        elastic_modulus_Pa=number("elastic_modulus"),
        buckling_curve=row.text("buckling_curve"),
        end_offset_m=number("end_offset"),
        pin_offset_m=number("pin_offset"),
        line_mass_kg_per_m=number("line_mass"),
        joint_bolts=row.text("joint_bolts"),
        joint_torque_Nm=row.number("joint_torque"),
        joint_mass_kg=number("joint_mass"),
        joint_stiffness_Nm_per_rad=row.number("joint_stiffness"),
        joint_slack_rad=row.number("joint_slack"),
        note=row.text("note"),
        joint=joint,
    )


def _limits(
    rows: Sequence[Row], above_zero: Sequence[str], not_negative: Sequence[str], source: str
) -> list[Problem]:
    problems: list[Problem] = []
    for row in rows:
        for name in above_zero:
            value = row.number(name)
            if value is not None and value <= 0.0:
                message = "this must be more than zero; leave the cell empty if it is not known"
                problems.append(Problem(name, message, row.line, source))
        for name in not_negative:
            value = row.number(name)
            if value is not None and value < 0.0:
                problems.append(Problem(name, "this must not be negative; check the sign", row.line, source))
    return problems


def _repeated(rows: Sequence[Row], name: str, source: str) -> list[Problem]:
    first: dict[str, int] = {}
    problems: list[Problem] = []
    for row in rows:
        key = row.text(name)
        if key in first:
            message = f"{key} is given twice, first on line {first[key]}; keep one of the two"
            problems.append(Problem(name, message, row.line, source))
        first.setdefault(key, row.line)
    return problems


def _raise(problems: Sequence[Problem]) -> None:
    if problems:
        raise InputError(tuple(sorted(problems, key=lambda problem: problem.line or 0)))
