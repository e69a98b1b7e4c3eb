"""What slings do to the load that they bear on: edges, sliding where friction alone holds, squeeze when they lean."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from plumbhook.core.check import Check, Clause, SourceQuality, Step, Value
from plumbhook.core.units import format_quantity

EDGE = Clause(
    "Edge rounded to the thickness of the sling at least, or an edge protector made for it",
    quality=SourceQuality.COMMON_PRACTICE,
)
SLIDING = Clause(
    "Tangent of slope and lean below friction over safety", quality=SourceQuality.COMMON_PRACTICE
)
SQUEEZE = Clause("Horizontal part of the pull of a sling that leans", quality=SourceQuality.OWN_DERIVATION)
WET_FRICTION = 0.1
SLIDING_SAFETY = 2.0


@dataclass(frozen=True, slots=True)
class LeaningPull:
    """A line at the load: its name, largest force in N, largest angle from the vertical in rad."""

    line: str
    tension_N: float
    angle_rad: float


def edge_check(
    check_id: str,
    station: str,
    title: str,
    *,
    sling: str,
    thickness_m: float | None,
    edge_radius_m: float,
    protector: str | None = None,
) -> Check:
    """Radius of an edge against the thickness of the sling that bears on it.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        sling: serial number of the sling.
        thickness_m: thickness of a textile sling under load, or diameter of a rope, m; None where not known.
        edge_radius_m: radius of the edge, m; 0 for a sharp one.
        protector: number of the edge protector; None where there is none.

    Returns:
        The check, in m. With a protector it counts bare edges, none, and asks to see the protector in place.
    """
    bare = protector is None
    missing = thickness_m is None and bare
    demand = Value(
        "t_sling",
        math.nan if thickness_m is None else thickness_m,
        "m",
        f"thickness of {sling} where it bears",
        "item record" if thickness_m is not None else "missing",
        "mm",
    )
    capacity = Value("r_edge", edge_radius_m, "m", "radius of the edge", "load", "mm")
    wrong = not (math.isfinite(edge_radius_m) and edge_radius_m >= 0.0)
    if not bare:
        demand = Value("n_bare", 0.0, "1", "edges without protector", "load")
        capacity = Value("n_max", 1.0, "1", "edges that would be one too many", "policy")
    cut = bare and not missing and not wrong and edge_radius_m < (thickness_m or 0.0)
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=demand,
        capacity=capacity,
        clause=EDGE,
        attention=""
        if bare
        else f"Edge protector {protector}: see it in place before the slings come tight.",
        not_evaluated_because=(
            f"thickness of {sling} missing"
            if missing
            else "radius of the edge makes no sense"
            if wrong
            else ""
        ),
        refused_because=(
            f"{sling} bears on an edge of {_mm(edge_radius_m)} without a protector" if cut else ""
        ),
        cure="put an edge protector made for this edge under the sling and name its number",
    )


def sliding_check(
    check_id: str,
    station: str,
    title: str,
    *,
    slope_rad: float,
    lean: Value,
    friction: float | None,
    safety: float = SLIDING_SAFETY,
    tied: bool = True,
    needs_tie: bool = False,
) -> Check:
    """A sling that friction alone holds in place: ``tan(slope + lean) <= mu / safety``.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        slope_rad: slope of the surface from the horizontal, rad.
        lean: largest lean of the sling from plumb, rad, with its quantity.
        friction: coefficient of friction; None where not known, then 0.1 as for a wet surface.
        safety: safety on friction.
        tied: whether a tie holds the sling to its neighbour.
        needs_tie: whether it must be tied whatever the numbers, as belly slings round a hull.

    Returns:
        The check, dimensionless.

    Source: friction of Coulomb; friction of 0.1 for wet surfaces and safety of 2 are common practice, no source.
    """
    slope = Value("alpha", slope_rad, "rad", "slope of the contact from the horizontal", "load", "deg")
    mu = Value(
        "mu",
        WET_FRICTION if friction is None else friction,
        "1",
        "coefficient of friction",
        "wet surface, common practice, no source" if friction is None else "load",
    )
    factor = Value("SF", safety, "1", "safety on friction", "common practice, no source")
    total = slope_rad + lean.value
    upright = not 0.0 <= total < math.pi / 2.0
    demand = Value("s", math.nan if upright else math.tan(total), "1", "tangent that friction must hold")
    usable = mu.value / safety if math.isfinite(safety) and safety >= 1.0 else math.nan
    capacity = Value("s_max", usable, "1", "friction that may be counted on")
    steps: tuple[Step, ...] = ()
    if not upright and math.isfinite(usable):
        steps = (
            Step(demand, f"tan(alpha + {lean.symbol})", (slope, lean), SLIDING),
            Step(capacity, "mu/SF", (mu, factor), SLIDING),
        )
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=demand,
        capacity=capacity,
        clause=SLIDING,
        steps=steps,
        assumptions=("Friction is not known; a wet surface is assumed.",) if friction is None else (),
        refused_because="a belly sling with nothing that ties it to its neighbour"
        if needs_tie and not tied
        else "",
        not_evaluated_because="slope and lean make no angle below 90 degrees" if upright else "",
        cure="tie the slings to each other along the load, move them to a level contact, or use lift points",
    )


def squeeze_check(
    check_id: str,
    station: str,
    title: str,
    *,
    pulls: Sequence[LeaningPull],
    squeeze_limit_N: float | None,
    attention_above_rad: float,
) -> Check:
    """Largest horizontal force that one sling puts on the load: ``T sin(angle)``.

    Args:
        check_id: identifier of the check.
        station: station of the load path.
        title: what is checked.
        pulls: lines at the load.
        squeeze_limit_N: what the load bears, N; None where nobody states it.
        attention_above_rad: angle above which somebody must ask the load's designer when there is no limit, rad.

    Returns:
        The check, in N; not applicable without a limit, with attention where a sling leans.
    """
    given: list[Value] = []
    terms = []
    for number, pull in enumerate(pulls, start=1):
        given.append(
            Value(
                f"T_{number}",
                pull.tension_N,
                "N",
                f"largest force of {pull.line}",
                "worst case",
                "kN",
                f"tension:{pull.line}",
            )
        )
        given.append(
            Value(
                f"phi_{number}", pull.angle_rad, "rad", f"largest angle of {pull.line} from the vertical", "worst case",
                "deg", f"angle:{pull.line}",
            )
        )  # fmt: skip
        terms.append(f"T_{number}*sin(phi_{number})")
    forces = [pull.tension_N * math.sin(pull.angle_rad) for pull in pulls if math.isfinite(pull.angle_rad)]
    known = bool(pulls) and all(math.isfinite(value.value) for value in given)
    largest = Value(
        "H",
        max(forces) if known else math.nan,
        "N",
        "largest horizontal force of one sling on the load",
        "",
        "kN",
    )
    formula = terms[0] if len(terms) == 1 else f"max({', '.join(terms)})"
    leans = any(pull.angle_rad > attention_above_rad for pull in pulls)
    attention = ""
    if squeeze_limit_N is None and leans and known:
        attention = (
            "Slings lean and squeeze the load with up to "
            f"{format_quantity(largest.value, 'N', 'kN', rounding='up')} each; nobody states what the load bears: "
            "ask its designer."
        )
    return Check(
        check_id=check_id,
        station=station,
        title=title,
        demand=largest,
        capacity=Value(
            "H_max",
            math.nan if squeeze_limit_N is None else squeeze_limit_N,
            "N",
            "horizontal force that the load bears",
            "load" if squeeze_limit_N is not None else "not stated",
            "kN",
        ),
        clause=SQUEEZE,
        steps=(Step(largest, formula, tuple(given), SQUEEZE),) if known else (),
        attention=attention,
        not_applicable_because="no limit of squeeze is stated for the load"
        if squeeze_limit_N is None
        else "",
        not_evaluated_because=(
            "" if known and math.isfinite(attention_above_rad) else "a force or an angle is missing"
        ),
        cure="bring the slings to plumb with a strut as long as the lift points are apart",
    )


def _mm(value_m: float) -> str:
    return format_quantity(value_m, "m", "mm", decimals=0)
