"""``plumbhook level``: what the lines must be set to so that the load hangs level."""

from __future__ import annotations

import json
from collections.abc import Mapping

import typer

from plumbhook.cli.exit_codes import ExitCode
from plumbhook.cli.tables import console
from plumbhook.core.errors import InputError
from plumbhook.core.units import Kind, UnitError, format_quantity, parse_quantity
from plumbhook.model.lift import Lift
from plumbhook.planning.levelling import level
from plumbhook.planning.levelling_records import LengthSet, Levelling
from plumbhook.planning.serialise import to_plain


def run_level(lift: Lift, *, height: str, lowest: str, highest: str, as_json: bool) -> ExitCode:
    """Level the load of a lift and print the lengths.

    Returns:
        PASS where a set that can be had keeps the limits, FAIL where none does.

    Raises:
        InputError: a height is no length, only one end of the range is given, or no line can be set.
        NotEvaluatedError: the rig has no stable rest.
    """
    target = _length(height, "--height")
    ends = (_length(lowest, "--lowest"), _length(highest, "--highest"))
    if (ends[0] is None) != (ends[1] is None):
        raise InputError.one("give both --lowest and --highest, or neither", field="--lowest")
    found = level(
        lift,
        triangle_height_m=target,
        height_range_m=None if ends[0] is None or ends[1] is None else (ends[0], ends[1]),
    )
    if as_json:
        typer.echo(json.dumps(to_plain(found), indent=2, ensure_ascii=False, allow_nan=False))
    _print(found, to_stderr=as_json)
    return ExitCode.PASS if found.best is not None else ExitCode.FAIL


def _length(text: str, option: str) -> float | None:
    if not text:
        return None
    try:
        return parse_quantity(text, Kind.LENGTH)
    except UnitError as error:
        raise InputError.one(str(error), field=option) from None


def _print(found: Levelling, *, to_stderr: bool) -> None:
    from rich.table import Table

    out = console(to_stderr=to_stderr)

    def say(text: str) -> None:
        out.print(text, markup=False, highlight=False)

    cog = ", ".join(_metres(at) for at in found.cog_m)
    say(f"Load {format_quantity(found.mass_kg, 'kg', 't')}, centre of gravity {cog}.")
    names = list(found.adjusters)
    table = Table(box=None, pad_edge=False, header_style="bold")
    for heading in ("", *names, "tilt", "x+ low", "y+ low", "triangle", "used %", "lines changed", "limits"):
        words = heading in {"", "lines changed", "limits"}
        table.add_column(heading, justify="left" if words else "right", no_wrap=heading != "limits")
    closed = found.closed_form_m
    if closed and all(name in closed for name in names):
        table.add_row("level, no stretch", *(_number(closed[name]) for name in names))
    if found.exact is not None:
        table.add_row("level, with stretch", *_row(found.exact, names))
    table.add_row("as it is set", *_row(found.present, names))
    for number, choice in enumerate(found.choices, start=1):
        table.add_row(f"can be had, {number}", *_row(choice, names))
    out.print(table)
    for name, at in found.adjusters.items():
        step = f", steps of {format_quantity(at.pitch_m, 'm', 'mm')}" if at.pitch_m is not None else ""
        say(f"{name}: {_metres(at.shortest_m)} to {_metres(at.longest_m)}{step}; {at.how}.")
    say("Tilt by 10 mm more: " + ", ".join(_ten_millimetres(found)) + ".")
    for reason in found.reasons:
        say(reason)
    say("Assess the lift with the lengths chosen. Never a permission to lift.")


def _row(one: LengthSet, names: list[str]) -> list[str]:
    return [
        *(_number(one.lengths_m[name]) for name in names),
        _degrees(one.tilt_rad),
        _degrees(one.tilt_x_rad),
        _degrees(one.tilt_y_rad),
        _metres(one.triangle_height_m),
        format_quantity(one.largest_use, "1", "%", rounding="up").removesuffix("%").strip(),
        ", ".join(one.changed) or "none",
        "; ".join(limit.value for limit in one.broken) or "kept",
    ]


def _ten_millimetres(found: Levelling) -> list[str]:
    per: Mapping[str, tuple[float, float]] = {
        one.name: (0.01 * one.tilt_x, 0.01 * one.tilt_y) for one in found.sensitivities if one.unit == "rad/m"
    }
    return [f"{name} {_degrees(x)} in x, {_degrees(y)} in y" for name, (x, y) in per.items()]


def _metres(length_m: float) -> str:
    return format_quantity(length_m, "m", "m", decimals=3)


def _number(length_m: float) -> str:
    return _metres(length_m).removesuffix("m").strip()


def _degrees(angle_rad: float) -> str:
    return format_quantity(angle_rad, "rad", "deg", decimals=2)
