"""The checks of the rig along the load path, hook items to lift points."""

from __future__ import annotations

from collections.abc import Iterator

from plumbhook.checks.asme_bth_1.compression import StrutBasis
from plumbhook.checks.asme_bth_1.strut import compression_check, slenderness_check
from plumbhook.checks.assembly import shackle_order_check
from plumbhook.checks.en_1993_1_1_2005.flexural_buckling import flexural_buckling_check
from plumbhook.checks.rated_load import rated_load_check
from plumbhook.checks.sections import CircularHollowSection
from plumbhook.checks.slinging import lower_sling_lean_check, top_sling_angle_check
from plumbhook.core.check import Check
from plumbhook.model.equipment import Item, ItemKind, StrutFamily
from plumbhook.model.lift import Lift
from plumbhook.planning.check_strut import attachment_checks, strut_of_pieces_checks, strut_station
from plumbhook.planning.layout import lines_above, lines_below, strut_ends
from plumbhook.planning.reductions import reductions_of
from plumbhook.planning.rig import Group, ResolvedLine, ResolvedRig, ResolvedStrut
from plumbhook.planning.solutions import Solutions

ASSEMBLY = "assembly"


class RigChecks:
    """Builds the checks of one rig from its solutions."""

    def __init__(self, lift: Lift, solutions: Solutions) -> None:
        self._lift = lift
        self._rules = lift.file.rules
        self._solutions = solutions
        self._problem = solutions.problem
        self._rig = solutions.problem.rig
        self._heat = lift.file.place.temperature if lift.file.place is not None else None

    def hook_items(self) -> Iterator[Check]:
        """Load cell, master link and other items between the crane hook and the top slings."""
        for position, item in enumerate(self._rig.hook_chain):
            below = self._solutions.hook_demand()
            # What hangs between the item and the top slings is carried by the item too.
            own = sum(self._rig.hook_item_mass_kg(other) for other in self._rig.hook_chain[position + 1 :])
            if item.legs:
                continue  # the legs of a sling are checked leg by leg, its head comes with its rating
            yield rated_load_check(
                f"hook_item.{item.serial}",
                f"hook_item.{item.serial}",
                f"{item.description} ({item.serial}): everything below it",
                demand=below,
                rated_mass_kg=item.wll_kg,
                gravity_m_s2=self._problem.gravity_m_s2,
                item_kind=item.kind.value,
                own_weight_N=own * self._problem.gravity_m_s2 * self._problem.dynamic_factor,
                reductions=reductions_of(item, None, self._heat),
            )

    def line_items(self, line: ResolvedLine) -> Iterator[Check]:
        """Every item of a line against its rated load, with the weight of the line below the item."""
        demand = self._solutions.line_demand(line.name)
        gravity = self._problem.gravity_m_s2
        for position, group in enumerate(line.groups):
            below = sum(other.mass_kg for other in line.groups[position + 1 :]) + group.mass_kg
            share = self._share(group)
            yield rated_load_check(
                f"line.{line.name}.{position}",
                line_station(line, position),
                f"{_group_name(group)} in {line.name}: leg tension",
                demand=demand,
                rated_mass_kg=group.wll_kg,
                gravity_m_s2=gravity,
                item_kind=group.items[0].kind.value,
                side_by_side=group.side_by_side,
                larger_share=share,
                own_weight_N=below * gravity * self._problem.dynamic_factor,
                angle_from_vertical_rad=self._solutions.nominal.angles_from_vertical_rad[line.name],
                reductions=reductions_of(group.items[0], line.use, self._heat),
            )

    def _share(self, group: Group) -> float:
        if group.side_by_side == 1:
            return 1.0
        # A pair is reckoned with the policy's larger share; more than two count as if only two carried.
        return self._rules.pair_share

    def line_angles(self, line: ResolvedLine) -> Iterator[Check]:
        """Angle of a top sling on the rig as drawn, lean of a lower one as it hangs."""
        # Lines that spread from one strut end to several lift points are a bridle, and spread on purpose.
        spreads = line.role == "lower" and len(lines_below(self._rig, line.upper)) > 1
        if line.role != "lower" or spreads:
            angle = self._problem.layout.angle_from_vertical_rad(line)
            yield top_sling_angle_check(
                f"angle.{line.name}",
                "angle.spread" if spreads else f"angle.{line.role}",
                f"{line.name}: angle from the vertical, as drawn",
                angle_from_vertical_rad=angle,
                max_angle_rad=self._rules.top_sling_angle_max_rad,
                min_angle_rad=self._rules.top_sling_angle_min_rad,
            )
        else:
            # Slings hang plumb however the load tilts, so a lean as it hangs is a misfit of span and lift points.
            yield lower_sling_lean_check(
                f"lean.{line.name}",
                "lean.lower",
                f"{line.name}: lean from plumb, as it hangs",
                lean_rad=self._solutions.largest_angle_rad(line.name),
                attention_above_rad=self._rules.lower_sling_lean_attention_rad,
                max_lean_rad=self._rules.lower_sling_lean_limit_rad,
                origin="as it hangs, worst case with stretch",
                quantity=f"angle:{line.name}",
            )

    def shackle_order(self, line: ResolvedLine) -> Iterator[Check]:
        """The smaller shackle below, the larger above, where a line has one at both ends."""
        shackles = [group.items[0] for group in line.groups if group.items[0].kind is ItemKind.SHACKLE]
        if len(shackles) >= 2:
            yield shackle_order_check(
                f"shackle_order.{line.name}",
                ASSEMBLY,
                f"{line.name}: {shackles[0].serial} above, {shackles[-1].serial} below",
                upper_rated_kg=shackles[0].wll_kg,
                lower_rated_kg=shackles[-1].wll_kg,
            )

    def fittings(self, strut: ResolvedStrut) -> Iterator[Check]:
        """End (or corner) fittings against the tension of the leg that holds them."""
        for end, fitting in zip(strut_ends(strut), strut.fittings, strict=True):
            above = lines_above(self._rig, end)
            if not above:
                continue
            demands = [self._solutions.line_demand(line.name) for line in above]
            demand = max(demands, key=lambda demand: demand.worst)
            if len(above) > 1:
                demand = demand.named(f"largest_tension:{','.join(line.name for line in above)}")
            yield rated_load_check(
                f"fitting.{strut.name}.{end}",
                strut_station(strut, "fitting"),
                f"Strut {strut.name}, {fitting.kind.value} {fitting.serial}: tension of the leg above it",
                demand=demand,
                rated_mass_kg=fitting.wll_kg,
                gravity_m_s2=self._problem.gravity_m_s2,
                item_kind=fitting.kind.value,
            )

    def strut(self, strut: ResolvedStrut) -> Iterator[Check]:
        """Compression by two routes, and slenderness."""
        family = strut.family
        demand = self._solutions.compression_demand(strut.name)
        basis = self._basis(family)
        station = strut_station(strut, "compression")
        yield compression_check(
            f"compression.{strut.name}",
            station,
            f"Strut {strut.name}, {family.name} at {strut.span_m:.2f} m: compression and bending, allowable stress",
            demand=demand,
            span_m=strut.span_m,
            basis=basis,
        )
        yield flexural_buckling_check(
            f"buckling.{strut.name}",
            station,
            f"Strut {strut.name}, {family.name} at {strut.span_m:.2f} m: flexural buckling, compression alone",
            demand=demand,
            section=basis.section,
            buckling_length_m=strut.span_m,
            yield_Pa=family.yield_strength_Pa,
            elastic_modulus_Pa=family.elastic_modulus_Pa,
            curve=family.buckling_curve,
            gamma_F=self._rules.load_partial_factor,
            gamma_M1=self._rules.gamma_M1,
        )
        yield from attachment_checks(self._rig, strut)
        yield from strut_of_pieces_checks(self._lift, self._solutions, strut, basis)
        yield slenderness_check(
            f"slenderness.{strut.name}",
            station,
            f"Strut {strut.name}: slenderness",
            span_m=strut.span_m,
            basis=basis,
            max_slenderness=self._rules.slenderness_limit,
        )

    def _basis(self, family: StrutFamily) -> StrutBasis:
        return StrutBasis(
            section=CircularHollowSection.of_dimensions(family.outside_diameter_m, family.wall_m),
            line_mass_kg_per_m=family.line_mass_kg_per_m,
            gravity_m_s2=self._problem.gravity_m_s2,
            dynamic_factor=self._problem.dynamic_factor,
            pin_offset_m=family.pin_offset_m,
            yield_Pa=family.yield_strength_Pa,
            elastic_modulus_Pa=family.elastic_modulus_Pa,
            design_factor=self._rules.nominal_design_factor,
            bow_divisor=1.0 / self._rules.bow_ratio,
        )


def line_station(line: ResolvedLine, position: int) -> str:
    """Lines of one role with the same item at the same place are one station."""
    return f"{line.role}.{position}.{line.groups[position].items[0].description}"


def _group_name(group: Group) -> str:
    serials = ", ".join(item.serial for item in group.items)
    count = {1: "", 2: ", each of a pair"}.get(group.side_by_side, f", each of {group.side_by_side}")
    return f"{group.items[0].description}{count} ({serials})"


def used_items(rig: ResolvedRig) -> Iterator[Item]:
    """Every item of the rig once, in load-path order."""
    seen: set[str] = set()
    groups = [item for line in rig.lines.values() for group in line.groups for item in group.items]
    parts = [item for strut in rig.struts.values() for item in (*strut.fittings, *strut.pieces)]
    for item in (*rig.hook_chain, *groups, *parts):
        if item.serial not in seen:
            seen.add(item.serial)
            yield item
