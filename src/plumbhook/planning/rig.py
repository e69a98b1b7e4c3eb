"""The rig resolved: items looked up, lengths and stiffness summed, masses placed.

Turns the lift file's words (serials, pieces, lines) into lines with an unstretched length, a stiffness and a mass, and
struts with a span, pieces at their stations and a mass centre. No position is known yet: see
:mod:`plumbhook.planning.layout`.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from plumbhook.core.errors import InputError, Problem
from plumbhook.model.equipment import Item, StrutFamily
from plumbhook.model.lift import Lift
from plumbhook.model.rig import Body as FreeBody
from plumbhook.model.rig import Line, Strut
from plumbhook.model.use import Use
from plumbhook.planning.assessment import PiecePlacement, Vector

# Items that carry no elongation (shackles, links, cells) are rigid beside slings. A line of such items alone gets this
# strain at its rated load so that the solver has a stiffness: 0.01 %, well under chain (0.3 % and more).
RIGID_STRAIN_AT_WLL = 1.0e-4


@dataclass(frozen=True, slots=True)
class Group:
    """One place in a line: one item, or several equal ones side by side.

    ``length_m`` and ``mass_kg`` are of the place as a whole; ``wll_kg`` is of one item, None where not known.
    """

    items: tuple[Item, ...]
    length_m: float
    mass_kg: float
    wll_kg: float | None
    stiffness_N_per_m: float | None

    @property
    def side_by_side(self) -> int:
        """How many items share the force."""
        return len(self.items)


@dataclass(frozen=True, slots=True)
class ResolvedLine:
    """A line from its upper to its lower point: unstretched length, axial stiffness EA, mass, and its items.

    ``upper_inboard_m`` and ``lower_inboard_m`` say how far inboard of a strut's end pin it takes hold of the strut's
    body, ``choked_round`` at which end (``from`` or ``to``) it is choked round the tube; a line hangs from pins.
    ``use`` says how its items are used where that is not straight and in line.
    """

    name: str
    upper: str
    lower: str
    groups: tuple[Group, ...]
    length_m: float
    EA_N: float
    mass_kg: float
    upper_inboard_m: float = 0.0
    lower_inboard_m: float = 0.0
    choked_round: str | None = None
    use: Use | None = None

    @property
    def role(self) -> str:
        """``top`` from the hook, ``lower`` to the load, ``middle`` between struts, ``bridle`` hook to load."""
        from_hook, to_load = is_hook(self.upper), self.lower.startswith("load.")
        if from_hook:
            return "bridle" if to_load else "top"
        return "lower" if to_load else "middle"


@dataclass(frozen=True, slots=True)
class ResolvedStrut:
    """A strut: pin-to-pin span, pieces at their stations from end a, mass and mass centre (from end a)."""

    name: str
    family: StrutFamily
    families: tuple[str, ...]
    span_m: float
    placements: tuple[PiecePlacement, ...]
    joints_m: tuple[float, ...]
    fittings: tuple[Item, ...]
    pieces: tuple[Item, ...]
    mass_kg: float
    centre_m: float
    corners: tuple[str, str] | None


@dataclass(frozen=True, slots=True)
class ResolvedRig:
    """Everything of the rig but positions."""

    arrangement: str
    hook_chain: tuple[Item, ...]
    struts: Mapping[str, ResolvedStrut]
    lines: Mapping[str, ResolvedLine]
    corners: Mapping[str, Item]
    frame_joints: str | None
    bodies: Mapping[str, FreeBody]
    hooks_m: Mapping[str, Vector]

    @property
    def is_free(self) -> bool:
        """Whether the rig is given as bodies and lines at drawn places."""
        return self.arrangement == "free"

    @property
    def hook_chain_length_m(self) -> float:
        """Height between the crane hook's bearing and the top slings' bearing."""
        return sum(height_in_hook_chain_m(item) for item in self.hook_chain)

    @property
    def hook_chain_mass_kg(self) -> float:
        """Mass of the items between the crane hook and the top slings."""
        return sum(self.hook_item_mass_kg(item) for item in self.hook_chain)

    def hook_item_mass_kg(self, item: Item) -> float:
        """Mass of an item of the hook chain that no line counts: of a sling with legs, that of the legs left unused."""
        mass = item.mass_kg or 0.0
        if not item.legs:
            return mass
        used = sum(item in group.items for line in self.lines.values() for group in line.groups)
        return mass * (1.0 - used / item.legs)

    @property
    def struts_mass_kg(self) -> float:
        """Struts with fittings and joint sets."""
        return sum(strut.mass_kg for strut in self.struts.values())

    @property
    def mass_kg(self) -> float:
        """Everything between the crane hook and the load."""
        return self.hook_chain_mass_kg + self.mass_below_hook_chain_kg

    @property
    def mass_below_hook_chain_kg(self) -> float:
        """Struts, slings and shackles, without the items of the hook chain."""
        bodies = sum(body.mass_kg for body in self.bodies.values())
        return self.struts_mass_kg + bodies + sum(line.mass_kg for line in self.lines.values())


def is_hook(reference: str) -> bool:
    """Whether a point reference names a hook."""
    return reference == "hook" or reference.startswith("hook.")


def height_in_hook_chain_m(item: Item) -> float:
    """What an item adds between the crane hook and the top slings, m: its length, or the head of a sling with legs."""
    return (item.head_length_m if item.legs else item.length_m) or 0.0


def resolve_rig(lift: Lift) -> ResolvedRig:
    """Look up every item of the rig and sum lengths, stiffness and masses.

    Raises:
        InputError: an item lacks its mass, its length or its rated load where the sum needs it, slings side by side
            differ, or opposite struts of a frame differ.
    """
    resolver = _Resolver(lift)
    rig = lift.file.rig
    hook_chain = tuple(
        resolver.item(serial, f"rig.hook_chain[{i}]") for i, serial in enumerate(rig.hook_chain)
    )
    for item in hook_chain:
        resolver.need_mass(item, "rig.hook_chain")
        resolver.need_length(item, "rig.hook_chain")
        if item.legs and item.head_length_m is None:
            resolver.problem(
                "rig.hook_chain",
                f"sling {item.serial} needs the height of its head (head_length)",
            )
    corners = {name: resolver.item(serial, f"rig.corners.{name}") for name, serial in rig.corners.items()}
    struts = {name: resolver.strut(name, strut, corners) for name, strut in rig.struts.items()}
    lines = {name: resolver.line(name, line) for name, line in rig.lines.items()}
    resolver.raise_if_problems()
    return ResolvedRig(
        arrangement=rig.arrangement,
        hook_chain=hook_chain,
        struts={name: strut for name, strut in struts.items() if strut is not None},
        lines={name: line for name, line in lines.items() if line is not None},
        corners=corners,
        frame_joints=rig.frame_joints,
        bodies=rig.bodies,
        hooks_m=rig.hooks,
    )


class _Resolver:
    """Collects every problem of the rig before giving up."""

    def __init__(self, lift: Lift) -> None:
        self._lift = lift
        self._gravity_m_s2 = lift.file.rules.gravity_m_s2
        self._problems: list[Problem] = []

    def raise_if_problems(self) -> None:
        if self._problems:
            raise InputError(tuple(self._problems))

    def problem(self, field: str, message: str) -> None:
        self._problems.append(Problem(field=field, message=message))

    def item(self, serial: str, field: str) -> Item:
        try:
            return self._lift.items[serial]
        except KeyError:
            raise InputError.one(
                f"item {serial} is not in the stock; add it to the stock or under equipment", field=field
            ) from None

    def need_mass(self, item: Item, field: str) -> float:
        if item.mass_kg is None:
            self.problem(field, f"item {item.serial} has no mass; everything under the hook needs one")
            return 0.0
        return item.mass_kg

    def need_length(self, item: Item, field: str) -> float:
        if item.length_m is None:
            self.problem(
                field,
                f"item {item.serial} has no effective length; give it, bearing to bearing (0 m if counted in)",
            )
            return 0.0
        return item.length_m

    def strut(self, name: str, strut: Strut, corners: Mapping[str, Item]) -> ResolvedStrut | None:
        field = f"rig.struts.{name}"
        pieces = [self.item(serial, f"{field}.pieces") for serial in strut.pieces]
        serials = strut.fittings or tuple(
            self._lift.file.rig.corners[corner] for corner in (strut.between or ()) if corner in corners
        )
        fittings = tuple(self.item(serial, field) for serial in serials)
        families = tuple(dict.fromkeys(item.family for item in (*fittings, *pieces)))
        family = self._lift.families.get(pieces[0].family)
        if family is None:
            self.problem(
                field, f"strut family {pieces[0].family!r} is not known; add it to the strut families"
            )
            return None
        # A corner fitting belongs to two struts: half its mass goes to each.
        share = 0.5 if strut.between else 1.0
        return place_pieces(
            name,
            family,
            families,
            [(item, self.need_mass(item, field), self.need_length(item, field)) for item in pieces],
            [(item, share * self.need_mass(item, field)) for item in fittings],
            strut.between,
        )

    def line(self, name: str, line: Line) -> ResolvedLine | None:
        field = f"rig.lines.{name}"
        groups = [self._group(entry.serials, entry.length_m, f"{field}.items") for entry in line.items]
        length = line.length_m if line.length_m is not None else sum(group.length_m for group in groups)
        if length <= 0.0:
            self.problem(
                field, "the items add up to no length; give their effective lengths or the line's length"
            )
            return None
        compliance = sum(1.0 / g.stiffness_N_per_m for g in groups if g.stiffness_N_per_m is not None)
        if compliance == 0.0:
            ratings = [g.wll_kg * g.side_by_side for g in groups if g.wll_kg is not None]
            if not ratings:
                self.problem(field, "no item has a rated load, so the line has no stiffness; give one")
                return None
            compliance = RIGID_STRAIN_AT_WLL * length / (min(ratings) * self._gravity_m_s2)
        return ResolvedLine(
            name=name,
            upper=line.from_,
            lower=line.to,
            groups=tuple(groups),
            length_m=length,
            EA_N=length / compliance,
            mass_kg=sum(group.mass_kg for group in groups),
            upper_inboard_m=line.from_inboard_m,
            lower_inboard_m=line.to_inboard_m,
            choked_round=line.choked_round,
            use=line.use,
        )

    def _group(self, serials: Sequence[str], length_m: float | None, field: str) -> Group:
        items = tuple(self.item(serial, field) for serial in serials)
        lengths = {length_m if length_m is not None else self.need_length(item, field) for item in items}
        if len(lengths) > 1:
            names = ", ".join(item.serial for item in items)
            self.problem(field, f"{names} hang side by side but differ in length; choose equal ones")
        length = min(lengths)
        masses = [self.need_mass(item, field) / (item.legs or 1) for item in items]
        ratings = [item.wll_kg for item in items]
        wll = None if any(rating is None for rating in ratings) else min(r for r in ratings if r is not None)
        stiffness: float | None = None
        if length > 0.0 and all(item.elongation_at_wll_ratio for item in items):
            if wll is None:
                self.problem(field, f"{items[0].serial} has an elongation but no rated load to refer it to")
            else:
                stiffness = sum(
                    (item.wll_kg or 0.0) * self._gravity_m_s2 / (item.elongation_at_wll_ratio or 1.0) / length
                    for item in items
                )
        return Group(
            items=items, length_m=length, mass_kg=sum(masses), wll_kg=wll, stiffness_N_per_m=stiffness
        )


def place_pieces(
    name: str,
    family: StrutFamily,
    families: tuple[str, ...],
    pieces: Sequence[tuple[Item, float, float]],
    fittings: Sequence[tuple[Item, float]],
    corners: tuple[str, str] | None,
) -> ResolvedStrut:
    """Place fittings, pieces and joint sets along a strut from pin a to pin b.

    Args:
        name: of the strut.
        family: section, end offset and joint set.
        families: every family found among the pieces and fittings.
        pieces: (item, mass kg, length m) in order from end a.
        fittings: (item, mass kg counted here) of end a and end b.
        corners: names of the corners of a frame, or None.

    Returns:
        The strut; a fitting's mass sits at the middle of its end offset, a joint set at its interface.
    """
    station = family.end_offset_m
    placements = [_fitting(fittings[0], 0.0, station)]
    joints = [station]
    for item, mass, length in pieces:
        placements.append(
            PiecePlacement(item.serial, f"{length:g}", station, station + length, mass, is_fitting=False)
        )
        station += length
        joints.append(station)
    span = station + family.end_offset_m
    placements.append(_fitting(fittings[1], station, span))
    moments = sum(p.mass_kg * 0.5 * (p.start_m + p.end_m) for p in placements)
    moments += sum(family.joint_mass_kg * joint for joint in joints)
    mass = sum(p.mass_kg for p in placements) + family.joint_mass_kg * len(joints)
    return ResolvedStrut(
        name=name,
        family=family,
        families=families,
        span_m=span,
        placements=tuple(placements),
        joints_m=tuple(joints),
        fittings=tuple(item for item, _ in fittings),
        pieces=tuple(item for item, _, _ in pieces),
        mass_kg=mass,
        centre_m=moments / mass,
        corners=corners,
    )


def _fitting(fitting: tuple[Item, float], start_m: float, end_m: float) -> PiecePlacement:
    item, mass = fitting
    return PiecePlacement(item.serial, "", start_m, end_m, mass, is_fitting=True)
