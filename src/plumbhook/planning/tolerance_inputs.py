"""What scatters in a lift: every independent input with its shape, its band and its source, and what it acts on."""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt

from plumbhook.core.errors import InputError, NotEvaluatedError, Problem
from plumbhook.model.equipment import Item, ItemKind
from plumbhook.model.lift import Lift
from plumbhook.model.load import mass_tolerance_ratio
from plumbhook.model.tolerances import Tolerances
from plumbhook.planning import tolerance_defaults as defaults
from plumbhook.planning.rig import Group, ResolvedLine, ResolvedRig
from plumbhook.planning.tolerance_defaults import STANDARD_DEVIATIONS, Shape

Floats = npt.NDArray[np.float64]

MASS, COG, LENGTHS, STIFFNESS = "mass", "centre of gravity", "sling lengths", "stiffness"
AXES = ("x", "y", "z")
_WEIGHED = re.compile(r"\b(weigh(ed|ing|bridge)?|load cells?|scales?)\b", re.IGNORECASE)
_NOT_WEIGHED = re.compile(r"\b(not|never|un|without|before|to be)[ -]?(yet )?(been )?weigh", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class ScatteredInput:
    """One independent input: middle plus or minus a half width, in a shape.

    Attributes:
        name: what it is, in the words of the trade.
        group: mass, centre of gravity, sling lengths or stiffness.
        shape: how it is spread over the band.
        middle: middle of the band, in ``unit``: an error, so that zero means as stated.
        half_width: half width of the band, in ``unit``; for the normal shape two standard deviations.
        unit: ``1`` (in proportion), or ``m``.
        source: rule or document that the band comes from, with its quality in words.
    """

    name: str
    group: str
    shape: Shape
    middle: float
    half_width: float
    unit: str
    source: str

    @property
    def standard_deviation(self) -> float:
        """In ``unit``."""
        return self.half_width * STANDARD_DEVIATIONS[self.shape]


@dataclass(frozen=True, slots=True)
class Inputs:
    """All inputs of a study and what they act on.

    An input x (P,) gives mass ``m (1 + mass @ x)``, centre of gravity ``r + cog @ x``, lengths ``L + length @ x``
    by line, and stiffness ``k / sum(part / (1 + stiffness @ x))`` over the parts of each line.

    Attributes:
        rows: the inputs.
        lines: names of the lines, in the order of the rows of ``length``.
        mass: (P,) effect on the mass in proportion.
        cog: (3, P) m per unit.
        length: (nl, P) m per unit.
        parts: for each line its elastic groups: part of the line's compliance, and (P,) effect on the stiffness of
            the group.
        held: sentences on what does not scatter.
    """

    rows: tuple[ScatteredInput, ...]
    lines: tuple[str, ...]
    mass: Floats
    cog: Floats
    length: Floats
    parts: tuple[tuple[tuple[float, Floats], ...], ...]
    held: tuple[str, ...] = ()

    @property
    def middles(self) -> Floats:
        """(P,) middle of every band."""
        return np.array([row.middle for row in self.rows])

    @property
    def deviations(self) -> Floats:
        """(P,) standard deviations."""
        return np.array([row.standard_deviation for row in self.rows])

    def stiffness_factors(self, x: Floats) -> Floats:
        """(N, nl) factor on the stiffness of every line for inputs (N, P)."""
        out = np.ones((len(x), len(self.lines)))
        for number, groups in enumerate(self.parts):
            if groups:
                out[:, number] = 1.0 / sum(part / (1.0 + x @ effect) for part, effect in groups)
        return out


def scattered_inputs(lift: Lift, rig: ResolvedRig) -> Inputs:
    """Every input of a lift that scatters.

    Args:
        lift: the lift; its ``tolerances`` section overrides the defaults.
        rig: its rig, resolved.

    Raises:
        InputError: a matched set names a sling that the rig does not use, or one sling twice.
    """
    return _Collector(lift, rig).inputs()


@dataclass(slots=True)
class _Collector:
    lift: Lift
    rig: ResolvedRig
    rows: list[ScatteredInput] = field(default_factory=list)
    # Effects are collected as (target, number) pairs and become arrays once the number of inputs is known.
    mass: dict[int, float] = field(default_factory=dict)
    cog: dict[tuple[int, int], float] = field(default_factory=dict)
    length: dict[tuple[int, int], float] = field(default_factory=dict)
    parts: list[list[tuple[float, dict[int, float]]]] = field(default_factory=list)

    def inputs(self) -> Inputs:
        self._mass()
        self._cog()
        self._lengths()
        self._stiffness()
        count, lines = len(self.rows), tuple(self.rig.lines)
        return Inputs(
            rows=tuple(self.rows),
            lines=lines,
            mass=_array({(key,): value for key, value in self.mass.items()}, (count,)),
            cog=_array(self.cog, (3, count)),
            length=_array(self.length, (len(lines), count)),
            parts=tuple(
                tuple(
                    (part, _array({(k,): v for k, v in effect.items()}, (count,))) for part, effect in groups
                )
                for groups in self.parts
            ),
            held=tuple(self._held()),
        )

    @property
    def _stated(self) -> Tolerances:
        return self.lift.file.tolerances or Tolerances()

    def _add(self, row: ScatteredInput) -> int | None:
        """Number of a new input, None where its band has no width and no offset.

        Raises:
            NotEvaluatedError: nobody knows how wide the band is.
        """
        if not (math.isfinite(row.half_width) and math.isfinite(row.middle)):
            raise NotEvaluatedError(f"the tolerance of the {row.name} is not known; give it in the lift file")
        if row.half_width == 0.0 and row.middle == 0.0:
            return None
        self.rows.append(row)
        return len(self.rows) - 1

    def _mass(self) -> None:
        weight, stated = self.lift.file.load.weight, self._stated.mass
        width = mass_tolerance_ratio(self.lift.file.load)
        if stated is not None and stated.half_width is not None:
            width = stated.half_width
        shape, why = mass_shape(weight.source)
        if stated is not None and stated.shape is not None:
            shape = Shape(stated.shape)
        source = f"{stated.source} (tolerances.mass)" if stated is not None else f"± of load.weight; {why}"
        number = self._add(ScatteredInput("mass of the load", MASS, shape, 0.0, width, "1", source))
        if number is not None:
            self.mass[number] = 1.0

    def _cog(self) -> None:
        box, stated = self.lift.file.load.cog_box, self._stated.cog
        shape = Shape.UNIFORM if stated is None else Shape(stated.shape)
        source = (
            f"load.cog_box; {defaults.BOUNDS_ONLY}" if stated is None else f"{stated.source} (tolerances.cog)"
        )
        for axis, half in enumerate((box.x_m, box.y_m, box.z_m)):
            name = f"centre of gravity, {AXES[axis]}"
            number = self._add(ScatteredInput(name, COG, shape, 0.0, half, "m", source))
            if number is not None:
                self.cog[axis, number] = 1.0

    def _lengths(self) -> None:
        common: dict[str, int | None] = {}
        sets = self._sets()
        for line_number, (name, line) in enumerate(self.rig.lines.items()):
            if self.lift.file.rig.lines[name].length_m is not None:
                self._effect(line_number, self._measured(name), 1.0)
                continue
            for position, group in enumerate(line.groups):
                for item in group.items:
                    # Of slings side by side the line has the mean length.
                    part = 1.0 / group.side_by_side
                    for row in self._item_rows(item, name, position, group, sets, common):
                        self._effect(line_number, row, part)

    def _effect(self, line: int, number: int | None, part: float) -> None:
        if number is not None:
            self.length[line, number] = self.length.get((line, number), 0.0) + part

    def _measured(self, name: str) -> int | None:
        stated = self._stated.measured_lines
        shape = Shape.UNIFORM if stated is None else Shape(stated.shape)
        width = defaults.MEASURED_LINE_M if stated is None else stated.half_width_m
        source = (
            str(defaults.MEASURED_LINE) if stated is None else f"{stated.source} (tolerances.measured_lines)"
        )
        return self._add(
            ScatteredInput(f"measured length of {name}", LENGTHS, shape, 0.0, width, "m", source)
        )

    def _item_rows(
        self,
        item: Item,
        line: str,
        position: int,
        group: Group,
        sets: Mapping[str, tuple[int, float, str]],
        common: dict[str, int | None],
    ) -> Iterator[int | None]:
        """Inputs that act on the length of one item in one line: of its set, and of its own."""
        band = self._band(item, line, position, group)
        if band is None:
            return
        shape, middle, width, source = band
        if item.legs:
            yield self._once(
                common, item.serial, f"length of all legs of {item.serial}", shape, middle, width, source
            )
            differ = defaults.chain_legs_differ_m(group.length_m)
            yield self._add(
                ScatteredInput(
                    f"length of {item.serial} in {line} beside its other legs",
                    LENGTHS,
                    Shape.UNIFORM,
                    0.0,
                    0.5 * differ,
                    "m",
                    str(defaults.CHAIN_LEGS),
                )
            )
        elif item.serial in sets:
            number, difference, why = sets[item.serial]
            yield self._once(
                common, f"set {number}", f"length of matched set {number}", shape, middle, width, source
            )
            name = f"length of {item.serial} in its set"
            yield self._add(ScatteredInput(name, LENGTHS, Shape.UNIFORM, 0.0, 0.5 * difference, "m", why))
        else:
            yield self._add(
                ScatteredInput(f"length of {item.serial}", LENGTHS, shape, middle, width, "m", source)
            )

    def _once(
        self,
        common: dict[str, int | None],
        key: str,
        name: str,
        shape: Shape,
        middle: float,
        width: float,
        source: str,
    ) -> int | None:
        if key not in common:
            common[key] = self._add(ScatteredInput(name, LENGTHS, shape, middle, width, "m", source))
        return common[key]

    def _band(
        self, item: Item, line: str, position: int, group: Group
    ) -> tuple[Shape, float, float, str] | None:
        """Shape, middle, half width (m) and source for the length of an item; None where it is held."""
        if not item.kind.is_sling or group.length_m == 0.0:
            return None
        stated = next((v for k, v in self._stated.sling_lengths.items() if k == item.kind.value), None)
        if stated is not None:
            width = max(stated.half_width * group.length_m, stated.at_least_m)
            source = f"{stated.source} (tolerances.sling_lengths)"
            return Shape(stated.shape), 0.0, width, source
        if item.kind is ItemKind.CHAIN_SLING:
            if item.wll_kg is None:
                return None
            pitch = defaults.chain_pitch_m(item.wll_kg, self.lift.file.rules.gravity_m_s2)
            entry = self.lift.file.rig.lines[line].items[position]
            if entry.length_m is not None:
                return Shape.UNIFORM, 0.0, 0.5 * pitch, str(defaults.CHAIN_SET)
            middle = 0.5 * defaults.CHAIN_PITCHES * pitch
            return Shape.UNIFORM, middle, middle, str(defaults.CHAIN_LENGTH)
        default = defaults.LENGTHS[item.kind]
        width = max(default.half_width * group.length_m, default.at_least_m)
        return Shape.UNIFORM, 0.0, width, str(default.clause)

    def _sets(self) -> dict[str, tuple[int, float, str]]:
        """By serial: number of its matched set, largest difference (m), source."""
        used = {
            item.serial for line in self.rig.lines.values() for group in line.groups for item in group.items
        }
        found: dict[str, tuple[int, float, str]] = {}
        problems: list[Problem] = []
        for number, matched in enumerate(self._stated.matched_sets, start=1):
            where = f"tolerances.matched_sets[{number - 1}].items"
            for serial in matched.items:
                if serial not in used:
                    problems.append(
                        Problem(where, f"{serial} hangs in no line of the rig; leave it out of the set")
                    )
                elif serial in found:
                    problems.append(Problem(where, f"{serial} is named twice in matched sets; name it once"))
                else:
                    why = f"{matched.source} (tolerances.matched_sets)"
                    found[serial] = (number, matched.difference_m, why)
        if problems:
            raise InputError(tuple(problems))
        return found

    def _stiffness(self) -> None:
        together: dict[ItemKind, int | None] = {}
        for name, line in self.rig.lines.items():
            self.parts.append([])
            for group in line.groups:
                if group.stiffness_N_per_m is None or group.items[0].kind not in defaults.STIFFNESS:
                    continue
                part = line.EA_N / line.length_m / group.stiffness_N_per_m
                self.parts[-1].append((part, self._group_stiffness(group, name, together)))
            # What of the compliance is not scattered, so that the parts add up to the whole.
            rest = 1.0 - sum(part for part, _ in self.parts[-1])
            if self.parts[-1] and abs(rest) > 1e-12:
                self.parts[-1].append((rest, {}))

    def _group_stiffness(
        self, group: Group, line: str, together: dict[ItemKind, int | None]
    ) -> dict[int, float]:
        kind = group.items[0].kind
        stated = next((v for k, v in self._stated.stiffness.items() if k == kind.value), None)
        default = defaults.STIFFNESS[kind]
        shape = Shape.UNIFORM if stated is None else Shape(stated.shape)
        common, each = (default.together, default.each) if stated is None else (stated.together, stated.each)
        source = str(default.clause) if stated is None else f"{stated.source} (tolerances.stiffness)"
        if kind not in together:
            name = f"stiffness of all {kind.value}s"
            together[kind] = self._add(ScatteredInput(name, STIFFNESS, shape, 0.0, common, "1", source))
        serials = ", ".join(item.serial for item in group.items)
        own = self._add(
            ScatteredInput(f"stiffness of {serials} in {line}", STIFFNESS, shape, 0.0, each, "1", source)
        )
        return {number: 1.0 for number in (together[kind], own) if number is not None}

    def _held(self) -> Iterator[str]:
        yield "Lengths of struts, shackles, links and load cells: as stated; they are made closer than slings."
        yield (
            "Masses of the rig, gravity, dynamic factor: as stated. The weight factor is left out, because the mass "
            "itself is scattered."
        )
        yield "Places of the lift points, envelope of the load, crane, radius, ground and wind: as stated."
        yield "Angles of the top slings are judged as drawn, with the lengths as marked."
        unknown = [
            line.name for line in self.rig.lines.values() if not any(g.stiffness_N_per_m for g in line.groups)
        ]
        if unknown:
            yield f"Stiffness of {', '.join(unknown)}: as assumed for rigid items."
        paired = [line.name for line in self.rig.lines.values() if _side_by_side(line)]
        if paired:
            yield f"Share of slings side by side in {', '.join(paired)}: the policy share, not their lengths."


def mass_shape(source: str) -> tuple[Shape, str]:
    """Shape of the scatter of a mass by where it comes from, and why.

    A weighed mass scatters like an instrument, its tolerance being twice the standard deviation; of anything else only
    bounds are known, which gives the larger standard deviation.
    """
    if _WEIGHED.search(source) and not _NOT_WEIGHED.search(source):
        return Shape.NORMAL, str(defaults.EXPANDED)
    return Shape.UNIFORM, str(defaults.BOUNDS_ONLY)


def _side_by_side(line: ResolvedLine) -> bool:
    return any(group.side_by_side > 1 for group in line.groups)


def _array(entries: Mapping[Any, float], shape: tuple[int, ...]) -> Floats:
    out = np.zeros(shape)
    for place, value in entries.items():
        out[place] = value
    return out
