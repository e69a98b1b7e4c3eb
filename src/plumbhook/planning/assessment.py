"""The assessment: everything a document, a screen or a script may show of a lift, and nothing else.

Frozen records of plain values in SI units, so that an assessment survives a round trip through JSON unchanged.
Documents are made from an assessment alone; no document computes a number that is not already here.

Coordinates: in ``Posture`` and everything drawn, z is up and gravity is along -z; the origin is the load's own
origin as the rig is drawn level, so that the load's own axes and the site axes coincide in the drawn posture.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from plumbhook.core.check import Check, Status, Value, worst_status
from plumbhook.planning.crane_records import CraneStatement, TrialLift
from plumbhook.planning.ground_statement import GroundStatement
from plumbhook.planning.rule_records import PackStatement, PersonRow
from plumbhook.planning.way_records import WayStatement

Vector = tuple[float, float, float]
FIT = "fit"
"""Station of the connections: sizes that go into one another, which are not strength."""
Rows = tuple[Vector, Vector, Vector]


class Method(Enum):
    """How a set of forces was found; the three are shown side by side."""

    HAND = "hand"
    RIGID = "rigid"
    ELASTIC = "elastic"


class Basis(Enum):
    """Which weight a case was solved with."""

    EXPECTED = "expected weight W"
    DESIGN = "design weight W_d"


class GapState(Enum):
    """A gap is open until somebody with the authority closes or accepts it."""

    OPEN = "OPEN"
    CLOSED = "CLOSED"


@dataclass(frozen=True, slots=True)
class LiftIdentity:
    """Who plans what, where and when. ``invented`` marks demo data and is printed on every page."""

    lift_id: str
    revision: str
    title: str
    site: str
    date: str
    planned_by: str
    load_owner: str
    invented: bool


@dataclass(frozen=True, slots=True)
class Box:
    """Axis-aligned box in load coordinates, m."""

    low_m: Vector
    high_m: Vector


@dataclass(frozen=True, slots=True)
class PartRow:
    """One part of the load with its letter on the drawing; ``box`` only where the file gives one.

    The mass of an opening is negative; ``tolerance_kg`` is None where nobody says how far the mass may be off.
    ``note`` says what is special: an opening, movable, the state that the mass is for.
    """

    letter: str
    name: str
    mass_kg: float
    at_m: Vector
    source: str
    box: Box | None
    tolerance_kg: float | None = None
    note: str = ""


@dataclass(frozen=True, slots=True)
class BandRow:
    """Mass and box of the centre of gravity that the tolerances of the parts give by one rule; kg and m.

    ``rules`` marks the rule that the weight names; the declared tolerance and box, where given, stand above it.
    """

    errors: str
    mass_low_kg: float
    mass_high_kg: float
    cog_low_m: Vector
    cog_high_m: Vector
    rules: bool


@dataclass(frozen=True, slots=True)
class LiftPointRow:
    """One lift point: what it carries (xDAF, kg of force over g) and how far off its axis it is pulled."""

    name: str
    at_m: Vector
    rated_kg: float | None
    carries_kg: float
    worst_kg: float
    angle_off_axis_rad: float
    worst_angle_off_axis_rad: float
    angle_limit_rad: float | None
    detail: str


@dataclass(frozen=True, slots=True)
class LoadStatement:
    """The load as claimed: mass and centre of gravity with tolerance, source and state.

    ``cog_box_m`` holds the half sizes of the box within which the centre of gravity may be.
    """

    name: str
    axes: str
    mass_kg: float
    mass_low_kg: float
    mass_high_kg: float
    tolerance_ratio: float
    weight_factor: float
    design_mass_kg: float
    cog_m: Vector
    cog_box_m: Vector
    source: str
    state: str
    said_by: str
    can_move: str
    cog_box_source: str
    envelope: Box | None
    parts: tuple[PartRow, ...]
    lift_points: tuple[LiftPointRow, ...]
    bands: tuple[BandRow, ...] = ()
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ItemRow:
    """One row of the list of items: the balloon number names the item everywhere."""

    balloon: int
    quantity: int
    description: str
    serials: tuple[str, ...]
    length_m: float | None
    mass_each_kg: float
    mass_kg: float
    wll_kg: float | None
    note: str


@dataclass(frozen=True, slots=True)
class PiecePlacement:
    """One piece of a strut between two stations measured from end a, m (pin to pin)."""

    serial: str
    label: str
    start_m: float
    end_m: float
    mass_kg: float
    is_fitting: bool


@dataclass(frozen=True, slots=True)
class StrutDrawing:
    """A strut as drawn: end nodes, pieces in order, compression (positive) at the expected load and at worst, N."""

    name: str
    family: str
    node_a: str
    node_b: str
    span_m: float
    outside_diameter_m: float
    pieces: tuple[PiecePlacement, ...]
    mass_kg: float
    compression_N: float
    worst_compression_N: float
    balloon: int


@dataclass(frozen=True, slots=True)
class LineDrawing:
    """A line (chain of slings, shackles, links) as drawn, from its upper to its lower node.

    ``tension_N`` and ``worst_tension_N`` are at the lower end, design weight, x DAF. ``role`` is one of ``top``
    (from the hook), ``middle`` (strut to strut), ``lower`` (to a lift point).
    """

    name: str
    role: str
    upper_node: str
    lower_node: str
    length_m: float
    parallel: int
    tension_N: float
    worst_tension_N: float
    angle_from_vertical_rad: float
    balloon: int
    label: str


@dataclass(frozen=True, slots=True)
class HookItem:
    """One item between the crane hook and the top slings, from above."""

    serial: str
    description: str
    length_m: float
    balloon: int


@dataclass(frozen=True, slots=True)
class Posture:
    """Where every node and the load are. ``load_rows`` rotates load coordinates into drawn ones."""

    name: str
    nodes_m: dict[str, Vector]
    load_origin_m: Vector
    load_rows: Rows
    cog_m: Vector


@dataclass(frozen=True, slots=True)
class RigStatement:
    """The rig: items, masses, geometry as drawn level and as it hangs (expected weight, with stretch)."""

    arrangement: str
    items: tuple[ItemRow, ...]
    struts: tuple[StrutDrawing, ...]
    lines: tuple[LineDrawing, ...]
    hook_items: tuple[HookItem, ...]
    drawn: Posture
    hanging: Posture
    rig_mass_kg: float
    mass_below_hook_items_kg: float


@dataclass(frozen=True, slots=True)
class CaseResult:
    """Forces of one case by one method. Forces include the dynamic factor where ``basis`` is DESIGN.

    ``case`` is ``expected`` or a corner of the CoG box such as ``x+ y- z+``. Tensions by line name and
    compressions by strut name, N; tilt of the load in rad: ``tilt_x_rad`` positive when the x+ side is low,
    ``tilt_y_rad`` positive when the y+ side is low.
    """

    method: Method
    basis: Basis
    case: str
    cog_m: Vector
    tensions_N: dict[str, float]
    angles_from_vertical_rad: dict[str, float]
    off_axis_rad: dict[str, float]
    compressions_N: dict[str, float]
    tilt_rad: float
    tilt_x_rad: float
    tilt_y_rad: float
    hook_load_N: float
    rig_height_m: float
    residual_force_N: float
    residual_moment_Nm: float
    slack: tuple[str, ...]
    status: str


@dataclass(frozen=True, slots=True)
class Comparison:
    """One quantity by the three methods for one case, with the difference hand to rigid.

    ``same_pose`` is the hand figure with the centre of gravity moved by the tilt, which is what the rigid answer
    must be compared with; NaN where there is none.
    """

    quantity: str
    unit: str
    case: str
    hand: float
    same_pose: float
    rigid: float
    elastic: float
    display: str


@dataclass(frozen=True, slots=True)
class Station:
    """One station of the load path, hook to ground: carries (as it hangs), worst, may carry."""

    station_id: str
    name: str
    detail: str
    balloons: tuple[int, ...]
    carries: Value | None
    worst: Value | None
    may_carry: Value | None
    utilisation: float
    status: Status
    check_ids: tuple[str, ...]
    note: str = ""


@dataclass(frozen=True, slots=True)
class Gap:
    """Something that is not known or not checked, and who can close it."""

    gap_id: str
    text: str
    closed_by: str
    state: GapState = GapState.OPEN


@dataclass(frozen=True, slots=True)
class KeyNumber:
    """One of the big numbers of the cover."""

    label: str
    value: Value
    note: str


@dataclass(frozen=True, slots=True)
class FitRow:
    """One connection of the load path: what meets what, ``fits`` / ``does not fit`` / ``unknown``, and why.

    ``check_id`` names its check where it has one; a connection that is not known has none unless the lift is such
    that this stops it.
    """

    check_id: str
    where: str
    upper: str
    lower: str
    verdict: str
    sizes: tuple[str, ...]
    unknown: tuple[str, ...]
    attention: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Assessment:
    """All that is known of a lift once it has been assessed. See the module docstring."""

    format: int
    tool_version: str
    content_hash: str
    identity: LiftIdentity
    gravity_m_s2: float
    dynamic_factor: float
    load: LoadStatement
    rig: RigStatement
    crane: CraneStatement | None
    trial_lift: TrialLift | None
    cases: tuple[CaseResult, ...]
    comparisons: tuple[Comparison, ...]
    stations: tuple[Station, ...]
    checks: tuple[Check, ...]
    key_numbers: tuple[KeyNumber, ...]
    gaps: tuple[Gap, ...]
    assumptions: tuple[str, ...]
    cautions: tuple[str, ...]
    rule_packs: tuple[PackStatement, ...] = ()
    people: tuple[PersonRow, ...] = ()
    fit_chain: tuple[FitRow, ...] = ()
    way: WayStatement | None = None
    ground: GroundStatement | None = None

    @property
    def status(self) -> Status:
        """What the checks say, worst first. It is never a permission to lift."""
        return worst_status(self.checks)

    def check(self, check_id: str) -> Check:
        """The check of that id.

        Raises:
            KeyError: no check has that id.
        """
        for check in self.checks:
            if check.check_id == check_id:
                return check
        raise KeyError(check_id)

    def governing(self, count: int = 6) -> tuple[Check, ...]:
        """The checks with the highest utilisation, failures first; not applicable ones left out.

        A size that fits comes last: a pin that fills its hole is not a part near its limit.
        """
        order = {Status.FAIL: 0, Status.NOT_EVALUATED: 1, Status.PASS: 2}
        ranked = [check for check in self.checks if check.status is not Status.NOT_APPLICABLE]
        ranked.sort(
            key=lambda c: (
                order[c.status],
                c.station == FIT,
                -c.utilisation if c.utilisation == c.utilisation else 0.0,
            )
        )
        return tuple(ranked[:count])
