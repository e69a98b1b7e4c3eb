"""What is not known, what is assumed, and what the crew must be told: printed on the cover, never hidden."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from plumbhook.core.check import Check, SourceQuality, Status
from plumbhook.core.units import format_quantity
from plumbhook.model.lift import Lift
from plumbhook.model.load_review import RemarkKind, review_load
from plumbhook.planning.assessment import FitRow, Gap
from plumbhook.planning.check_ground import unknown_standing
from plumbhook.planning.check_rig import used_items
from plumbhook.planning.crane_duty import crane_gaps
from plumbhook.planning.crane_records import CraneStatement
from plumbhook.planning.rig import ResolvedRig
from plumbhook.planning.solutions import Solutions


def find_gaps(
    lift: Lift,
    checks: Sequence[Check],
    of_packs: Sequence[tuple[str, str]] = (),
    fit_chain: Sequence[FitRow] = (),
) -> tuple[Gap, ...]:
    """Gaps in the order in which somebody should close them.

    Args:
        lift: the lift.
        checks: its checks.
        of_packs: what its rule packs ask for and it does not have, each with who can close it.
        fit_chain: its connections, hook to lift points.
    """
    texts = [
        *_missing(lift),
        *_not_evaluated(checks),
        *_weight(lift),
        *(
            (remark.text, remark.answered_by)
            for remark in review_load(lift.file.load)
            if remark.kind is RemarkKind.ASKED
        ),
        *_second_method(checks),
        *_sources(checks),
        *of_packs,
        *_struts(lift),
        *_fit(fit_chain, checks),
        *crane_gaps(lift),
        *_beyond_this_version(lift),
    ]
    return tuple(Gap(f"G{number}", text, by) for number, (text, by) in enumerate(texts, start=1))


def _missing(lift: Lift) -> Iterator[tuple[str, str]]:
    rules = lift.file.rules
    if rules.weight_factor is None:
        yield (
            "No weight factor is given (rules.weight_factor); strength is reckoned with the expected weight alone.",
            "appointed person",
        )
    if rules.dynamic_factor is None:
        yield "No dynamic factor is given (rules.dynamic_factor); forces are static.", "appointed person"
    if lift.file.load.can_move is None:
        yield "Whether anything in the load can move is not stated (load.can_move).", "load owner"
    if lift.file.place is None:
        yield "No place is given: crane, headroom, ground and wind are not checked.", "appointed person"
    elif lift.file.place.wind is None:
        yield "No wind data are given (place.wind).", "appointed person"
    else:
        wind = lift.file.place.wind
        given = {
            "chart_limit": wind.chart_limit_m_s,
            "area": wind.area_m2,
            "shape_factor": wind.shape_factor,
        }
        gone = [f"place.wind.{name}" for name, value in given.items() if value is None]
        if gone:
            yield (
                f"The largest wind for this load is not reckoned, for want of {', '.join(gone)}.",
                "appointed person",
            )


def _not_evaluated(checks: Sequence[Check]) -> Iterator[tuple[str, str]]:
    for check in checks:
        if check.status is Status.NOT_EVALUATED:
            why = check.not_evaluated_because or "a number is missing"
            yield f"{check.title}: not evaluated, {why}.", "appointed person"


def _weight(lift: Lift) -> Iterator[tuple[str, str]]:
    load = lift.file.load
    if load.weight.mass_kg is None and load.weighing is None:
        yield (
            "The weight is summed from parts, not weighed; closed by the load cell at the trial lift.",
            "lifting supervisor",
        )


def _second_method(checks: Sequence[Check]) -> Iterator[tuple[str, str]]:
    if any(c.check_id == "second_method.forces" and c.status is Status.NOT_APPLICABLE for c in checks):
        yield (
            "No hand method holds for this arrangement; the equilibrium is to be computed a second time independently.",
            "checking engineer",
        )


def _sources(checks: Sequence[Check]) -> Iterator[tuple[str, str]]:
    remembered = sorted(
        {
            clause.document
            for check in checks
            for clause in (check.clause, *(step.clause for step in check.steps))
            if clause is not None and clause.quality is SourceQuality.FROM_MEMORY
        }
    )
    if remembered:
        yield (
            f"Values quoted from memory are to be confirmed in the current edition of: {'; '.join(remembered)}.",
            "checking engineer",
        )


def _struts(lift: Lift) -> Iterator[tuple[str, str]]:
    rig = lift.file.rig
    names = {lift.items[serial].family for strut in rig.struts.values() for serial in strut.pieces}
    families = [lift.families[name] for name in sorted(names) if name in lift.families]
    unstated = ", ".join(family.name for family in families if family.joint_stiffness_Nm_per_rad is None)
    if unstated:
        yield (
            f"The stiffness of the joints of {unstated} is not stated; the least of a joint called rigid is used.",
            "checking engineer",
        )
    unrated = ", ".join(family.name for family in families if family.rating is None)
    if unrated:
        yield (
            f"No rating table of the maker of {unrated} is entered; these struts rest on calculation alone.",
            "appointed person",
        )


def _fit(fit_chain: Sequence[FitRow], checks: Sequence[Check]) -> Iterator[tuple[str, str]]:
    """Connections of which a size is not known and that no check already names."""
    made = {check.check_id for check in checks}
    unknown = [row for row in fit_chain if row.verdict == "unknown" and row.check_id not in made]
    if unknown:
        names = "; ".join(f"{row.where}: {row.upper} with {row.lower}" for row in unknown)
        yield (
            f"Fit is not known at {len(unknown)} of {len(fit_chain)} connections, to be checked by hand: {names}.",
            "checking engineer",
        )


def _beyond_this_version(lift: Lift) -> Iterator[tuple[str, str]]:
    left = "the lift points' own strength and the bending of the load between them are not checked here."
    unknown = families_without_joints(lift)
    # Families named, so that a joint left out is not hidden behind another one that is checked.
    joints = f"Bolted joints of the struts ({', '.join(unknown)}), " if unknown else ""
    yield f"{joints}{left}" if joints else left[0].upper() + left[1:], "checking engineer"
    if lift.file.place is not None:
        yield (
            "Clearances along the way, people and the exclusion zone are to be planned on the site plan.",
            "appointed person",
        )
        yield (
            "Lift-off from the supports and landing on them are not reckoned here: which leg takes load first, the "
            "swing, how the load stands before the slings are slack, where the strut comes to rest.",
            "appointed person",
        )


def families_without_joints(lift: Lift) -> tuple[str, ...]:
    """Strut families of the rig whose joints cannot be checked, because their data are not given."""
    used = {lift.items[serial].family for strut in lift.file.rig.struts.values() for serial in strut.pieces}
    return tuple(sorted(name for name in used if name in lift.families and lift.families[name].joint is None))


def find_assumptions(lift: Lift, solutions: Solutions) -> tuple[str, ...]:
    """What the numbers rest on, in one list."""
    rules, problem = lift.file.rules, solutions.problem
    found = [
        f"Gravity {problem.gravity_m_s2:g} m/s²; rated loads are compared as masses.",
    ]
    found.extend(remark.text for remark in review_load(lift.file.load) if remark.kind is RemarkKind.ASSUMED)
    if rules.weight_factor is not None:
        source = f" ({rules.weight_factor_source})" if rules.weight_factor_source else ""
        found.append(f"Weight factor {rules.weight_factor:g} on the load for every strength check{source}.")
    if rules.dynamic_factor is not None:
        source = f" ({rules.dynamic_factor_source})" if rules.dynamic_factor_source else ""
        found.append(f"Dynamic factor {rules.dynamic_factor:g}, once, on load and rig{source}.")
    found.extend(_factors_inside(lift))
    found.append(
        "The demand of each part is the largest of three answers (hand, rigid, elastic) over the expected centre of "
        "gravity and every corner of its box."
    )
    if any(group.side_by_side > 1 for line in problem.rig.lines.values() for group in line.groups):
        share = format_quantity(rules.pair_share, "1", "%", decimals=0)
        found.append(f"Of items side by side the most loaded carries {share}.")
    found.append(
        "Lines pull only and stretch linearly up to their rated load; shackles, links, struts and the load are rigid."
    )
    found.append(
        "The mass of a line acts at its upper end; each item is checked with the weight of its line below it."
    )
    if problem.rig.frame_joints is not None:
        joint = "turn freely in plan" if problem.rig.frame_joints == "pinned" else "hold the struts stiffly"
        found.append(f"The corner fittings of the frame {joint}; that decides how the load is shared.")
    return tuple(found)


def _factors_inside(lift: Lift) -> Iterator[str]:
    """Which factors are inside a rated load already, so that nobody counts them twice or drops them."""
    rules = lift.file.rules
    yield (
        "Rated loads of slings, shackles, links, load cells, fittings and lift points hold their design factors "
        "already: none is applied again, and no weight or dynamic factor is inside them."
    )
    if lift.file.rig.struts:
        yield (
            f"Struts by allowable stress have the design factor {rules.nominal_design_factor:g} on yield and buckling; "
            f"by EN 1993 they have the partial factor {rules.load_partial_factor:g} on the load instead, never both."
        )
    if lift.file.place is not None:
        yield (
            "The crane chart is compared with the static weight of everything below the boom head: the weight factor "
            "is on it, the dynamic factor is not, for the chart allows for usual motion itself."
        )


def find_cautions(
    lift: Lift, rig: ResolvedRig, crane: CraneStatement | None, checks: Sequence[Check]
) -> tuple[str, ...]:
    """What the crew must be told: what was refused, what needs a look, and the usual cautions."""
    found: list[str] = []
    if crane is not None:
        refused = [row for row in crane.rows if not row.within_policy and math.isfinite(row.capacity_kg)]
        if refused and crane.largest_radius_m is not None:
            radius = format_quantity(refused[0].radius_m, "m", "m", decimals=0)
            use = format_quantity(refused[0].utilisation, "1", "%", rounding="up")
            largest = format_quantity(crane.largest_radius_m, "m", "m", decimals=0)
            limit = format_quantity(crane.policy_limit_ratio, "1", "%", decimals=0)
            found.append(
                f"Largest radius with this load: {largest}. "
                f"At {radius} the chart is used to {use} (limit {limit}): refused."
            )
    found.extend(remark.text for remark in review_load(lift.file.load) if remark.kind is RemarkKind.TO_SEE)
    found.extend(dict.fromkeys(check.attention for check in checks if check.attention))
    if lift.file.place is not None and (unknown := unknown_standing(lift.file.place.crane)):
        found.append(unknown)
    used = {item.description for item in used_items(rig)}
    quarantined = sorted(
        f"{item.serial} ({item.note})" if item.note else item.serial
        for item in lift.items.values()
        if item.status != "ok" and item.description in used
    )
    if quarantined:
        found.append(f"Looks like an item of this rig and must stay in the yard: {', '.join(quarantined)}.")
    found.append(
        "Trial lift: raise the load a hand's breadth, hold, read the load cell and the level, then decide."
    )
    found.append(
        "Nothing hangs from the body or the flanges of a strut; its handling eyes are for moving the strut only."
    )
    if rig.struts:
        found.append("Check the torque of every joint bolt of the struts again before each lift.")
    found.append("Anything found otherwise than planned: stop, make it safe, ask the appointed person.")
    return tuple(found)
