"""Assess a lift: solve every case, check every station, say what is open. The use case behind every front end."""

from __future__ import annotations

from collections.abc import Iterator
from importlib.metadata import version

from plumbhook.core.audit import require_audit
from plumbhook.core.check import Check, Value
from plumbhook.core.units import format_quantity
from plumbhook.crane.wind import WindLimit
from plumbhook.model.lift import Lift
from plumbhook.model.load import cog_m, mass_kg, mass_tolerance_ratio
from plumbhook.planning.assessment import Assessment, Basis, Comparison, KeyNumber, LiftIdentity, Method
from plumbhook.planning.cases import EXPECTED_CASE, RigProblem
from plumbhook.planning.check_joints import joint_checks_of
from plumbhook.planning.check_lift_points import lift_point_checks, squeeze_cautions
from plumbhook.planning.check_place import PlaceChecks
from plumbhook.planning.check_rig import RigChecks
from plumbhook.planning.check_whole import (
    attitude_checks,
    factor_checks,
    item_checks,
    piece_checks,
    refuse_cog_outside,
    second_method,
)
from plumbhook.planning.crane_records import CraneStatement, TrialLift
from plumbhook.planning.fit_chain import connections, fit_checks, fit_rows
from plumbhook.planning.gaps import find_assumptions, find_cautions, find_gaps
from plumbhook.planning.items import list_items
from plumbhook.planning.layout import lay_out
from plumbhook.planning.path import rig_places, stations_of
from plumbhook.planning.rig import resolve_rig
from plumbhook.planning.rule_facts import LiftFacts, facts_of
from plumbhook.planning.rule_packs import (
    heightened_category,
    pack_cautions,
    pack_checks,
    pack_gaps,
    pack_statements,
)
from plumbhook.planning.rule_records import PersonRow
from plumbhook.planning.solutions import Solutions, case_words, solve_all
from plumbhook.planning.statement import envelope_of, load_statement, rig_statement
from plumbhook.planning.weighing import weighing_checks

FORMAT = 1


def assess(lift: Lift) -> Assessment:
    """Assess a lift.

    Args:
        lift: a lift whose references resolve, from :func:`plumbhook.model.files.read_lift`.

    Returns:
        The frozen assessment; every check in it has passed the audit of its printed formulas.

    Raises:
        InputError: the rig cannot be built as described (too short a line, an item without its mass ...), or the
            centre of gravity lies outside the lift points.
        NotEvaluatedError: a case has no equilibrium at all.
        AuditError: a printed formula and the computed number disagree (a bug).
    """
    return assessment_of(lift, solve_lift(lift, state_problem(lift)))


def solve_lift(lift: Lift, problem: RigProblem) -> Solutions:
    """Every case of a lift by every method.

    Raises:
        InputError: the centre of gravity lies outside the lift points.
        NotEvaluatedError: a case has no equilibrium at all.
    """
    refuse_cog_outside(lift)
    box = lift.file.load.cog_box
    return solve_all(problem, cog_m(lift.file.load), (box.x_m, box.y_m, box.z_m))


def lift_checks(lift: Lift, solutions: Solutions) -> tuple[Check, ...]:
    """Every check of a lift: place, rig, and what the rule packs ask for.

    Whatever checks a lift is added here, so that a tolerance study makes it for its samples too.
    """
    place = PlaceChecks(lift, solutions)
    return _checks_of(lift, solutions, place, facts_of(lift, place.crane_statement()))


def _checks_of(lift: Lift, solutions: Solutions, place: PlaceChecks, facts: LiftFacts) -> tuple[Check, ...]:
    return (
        *place.checks(),
        *place.way().checks(),
        *rig_checks(lift, solutions),
        *fit_checks(lift, solutions.problem, heightened_category(facts)),
        *pack_checks(facts),
    )


def assessment_of(lift: Lift, solutions: Solutions) -> Assessment:
    """The assessment of a lift whose cases are solved.

    Raises:
        AuditError: a printed formula and the computed number disagree (a bug).
    """
    problem = solutions.problem
    items = list_items(problem.rig)
    place = PlaceChecks(lift, solutions)
    way = place.way()
    crane = place.crane_statement()
    facts = facts_of(lift, crane)
    packs = pack_statements(facts)
    checks = _checks_of(lift, solutions, place, facts)
    require_audit(checks)
    trial = place.trial_lift()
    fit_chain = fit_rows(connections(lift, problem))
    file = lift.file
    return Assessment(
        format=FORMAT,
        tool_version=version("plumbhook"),
        content_hash=lift.content_hash,
        identity=LiftIdentity(
            lift_id=file.lift.lift_id,
            revision=file.lift.revision,
            title=file.lift.title,
            site=file.lift.site,
            date=file.lift.date.isoformat(),
            planned_by=file.lift.planned_by,
            load_owner=file.lift.load_owner,
            invented=file.lift.invented,
        ),
        gravity_m_s2=problem.gravity_m_s2,
        dynamic_factor=problem.dynamic_factor,
        load=load_statement(lift, solutions),
        rig=rig_statement(lift, solutions, items),
        crane=crane,
        trial_lift=trial,
        cases=(*solutions.expected, *solutions.design),
        comparisons=tuple(_comparisons(solutions)),
        stations=stations_of([*place.places(), *way.places(), *rig_places(problem.rig, items)], checks),
        checks=checks,
        key_numbers=tuple(_key_numbers(lift, solutions, crane, trial, place.wind())),
        gaps=find_gaps(lift, checks, tuple(pack_gaps(facts, packs)), fit_chain),
        assumptions=find_assumptions(lift, solutions),
        cautions=(
            *pack_cautions(facts, packs),
            *squeeze_cautions(lift, solutions),
            *find_cautions(lift, problem.rig, crane, checks),
        ),
        rule_packs=packs,
        people=tuple(_people(lift)),
        fit_chain=fit_chain,
        way=way.statement,
        ground=place.ground_statement(),
    )


def _people(lift: Lift) -> Iterator[PersonRow]:
    for person in lift.file.people:
        until = person.competent_until.isoformat() if person.competent_until is not None else ""
        yield PersonRow(person.role, person.name, person.authority or "", until)


def state_problem(lift: Lift) -> RigProblem:
    """The rig with its weights, ready to be solved.

    A weight or dynamic factor that is missing counts as 1 in the numbers and stays an open gap.

    Raises:
        InputError: as :func:`plumbhook.planning.rig.resolve_rig` and :func:`plumbhook.planning.layout.lay_out`.
    """
    rules, load = lift.file.rules, lift.file.load
    rig = resolve_rig(lift)
    lift_points = {name: point.at_m for name, point in load.lift_points.items()}
    expected = mass_kg(load)
    return RigProblem(
        rig=rig,
        layout=lay_out(rig, lift_points),
        lift_points_m=lift_points,
        envelope=envelope_of(load),
        gravity_m_s2=rules.gravity_m_s2,
        dynamic_factor=1.0 if rules.dynamic_factor is None else rules.dynamic_factor,
        expected_mass_kg=expected,
        design_mass_kg=expected * (1.0 if rules.weight_factor is None else rules.weight_factor),
    )


def rig_checks(lift: Lift, solutions: Solutions) -> Iterator[Check]:
    """Every check of the rig and of the lift as a whole, in load-path order; those of the place are apart."""
    rig = solutions.problem.rig
    builder = RigChecks(lift, solutions)
    yield from builder.hook_items()
    for line in rig.lines.values():
        yield from builder.line_items(line)
        yield from builder.line_angles(line)
        yield from builder.shackle_order(line)
    for strut in rig.struts.values():
        yield from builder.fittings(strut)
        yield from builder.strut(strut)
        yield from joint_checks_of(lift, solutions, strut)
        yield from piece_checks(lift, strut)
    yield from lift_point_checks(lift, solutions)
    yield from weighing_checks(lift.file.load.weighing)
    yield from attitude_checks(lift, solutions)
    yield from item_checks(lift, solutions)
    yield from factor_checks(lift)
    yield from second_method(lift, solutions)


def _comparisons(solutions: Solutions) -> Iterator[Comparison]:
    """Forces, tilt and height by the three methods, for the expected centre of gravity and the worst plan corner."""
    worst = max(
        (case for case in solutions.design if case.method is Method.ELASTIC and "z" not in case.case),
        key=lambda case: case.tilt_rad,
    ).case
    for case in dict.fromkeys((EXPECTED_CASE, worst)):
        yield from _force_comparisons(solutions, case)
        for quantity, attribute, unit, display, basis in (
            ("tilt of the load, expected weight", "tilt_rad", "rad", "deg", Basis.EXPECTED),
            ("x+ side low, expected weight", "tilt_x_rad", "rad", "deg", Basis.EXPECTED),
            ("y+ side low, expected weight", "tilt_y_rad", "rad", "deg", Basis.EXPECTED),
            ("height, lowest point of the load to the hook", "rig_height_m", "m", "m", Basis.DESIGN),
            ("weight under the hook items, × dynamic factor", "hook_load_N", "N", "kN", Basis.DESIGN),
        ):
            values = [
                getattr(solutions.of(method, basis, case), attribute, float("nan")) for method in Method
            ]
            yield Comparison(
                quantity, unit, case_words(case), values[0], float("nan"), values[1], values[2], display
            )


def _force_comparisons(solutions: Solutions, case: str) -> Iterator[Comparison]:
    hand, rigid, elastic = (solutions.of(method, Basis.DESIGN, case) for method in Method)
    same = next((c for c in solutions.same_pose if c.case == case), None)
    if rigid is None or elastic is None:  # pragma: no cover - both are always solved
        return
    for word, field in (("tension of", "tensions_N"), ("compression of", "compressions_N")):
        for name, value in getattr(elastic, field).items():
            yield Comparison(
                quantity=f"{word} {name}, × dynamic factor",
                unit="N",
                case=case_words(case),
                hand=getattr(hand, field)[name] if hand is not None else float("nan"),
                same_pose=getattr(same, field)[name] if same is not None else float("nan"),
                rigid=getattr(rigid, field)[name],
                elastic=value,
                display="kN",
            )


def _key_numbers(
    lift: Lift,
    solutions: Solutions,
    crane: CraneStatement | None,
    trial: TrialLift | None,
    wind: WindLimit | None,
) -> Iterator[KeyNumber]:
    problem = solutions.problem
    mass = problem.expected_mass_kg
    tolerance = format_quantity(mass_tolerance_ratio(lift.file.load), "1", "%", rounding="up")
    yield KeyNumber(
        "Load, expected",
        Value("W", mass, "kg", "expected mass of the load", "load", "t"),
        f"± {tolerance}; strength with {problem.design_mass_kg / 1e3:.2f} t",
    )
    if crane is not None:
        rig = problem.rig.mass_kg / 1e3
        yield KeyNumber(
            "Gross load on the hook",
            Value("Q", crane.gross_load_kg, "kg", "everything below the boom head", "sum of masses", "t"),
            f"rig {rig:.2f} t, block and rope included",
        )
        if crane.largest_radius_m is not None:
            yield KeyNumber(
                "Largest radius",
                Value("R", crane.largest_radius_m, "m", "largest permitted radius", "crane chart", "m"),
                f"chart used to at most {100.0 * crane.policy_limit_ratio:.0f} %",
            )
    if trial is not None:
        yield KeyNumber(
            "Load cell at the trial lift",
            Value("m_cell", trial.expected_kg, "kg", "reading expected", "trial lift", "t"),
            f"go on ± {_tonnes_down(trial.green_kg)}, stop beyond ± {_tonnes_down(trial.red_kg)} t",
        )
    hanging = solutions.of(Method.ELASTIC, Basis.EXPECTED)
    if hanging is not None:
        tilt = solutions.tilt_demand()
        yield KeyNumber(
            "Tilt expected",
            Value("theta", hanging.tilt_rad, "rad", "tilt of the load", "solver", "deg"),
            f"worst corner of the box {_degrees(tilt.worst)}",
        )
    yield KeyNumber(
        "Height, load to hook",
        Value(
            "h",
            solutions.height_demand().nominal.value,
            "m",
            "lowest point of the load to the crane hook",
            "solver",
            "m",
        ),
        f"worst {solutions.height_demand().worst:.2f} m",
    )
    if wind is not None:
        why = "reduced for the load's wind area" if wind.reduced else "the chart's own limit"
        yield KeyNumber(
            "Stop for wind",
            Value("v_max", wind.permissible_m_s, "m_s", "largest wind for this load", "crane chart", "m/s"),
            f"{why}; {1e3 * wind.area_ratio_m2_per_kg:.2f} m² per tonne",
        )


def _tonnes_down(mass_kg: float) -> str:
    return format_quantity(mass_kg, "kg", "t", rounding="down").removesuffix("t").strip()


def _degrees(angle_rad: float) -> str:
    return format_quantity(angle_rad, "rad", "deg", rounding="up")
