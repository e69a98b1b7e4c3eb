"""Assessments made by hand for tests of documents: scenario A's figures and synthetic rigs of every arrangement.

Everything here is invented. The forces of the synthetic rigs only have to look like forces; the geometry is exact.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

from plumbhook.core.check import Check, Clause, SourceQuality, Status, Step, Value
from plumbhook.planning.assessment import (
    Assessment,
    Basis,
    Box,
    CaseResult,
    Comparison,
    Gap,
    HookItem,
    ItemRow,
    KeyNumber,
    LiftIdentity,
    LiftPointRow,
    LineDrawing,
    LoadStatement,
    Method,
    PartRow,
    PiecePlacement,
    Posture,
    RigStatement,
    Station,
    StrutDrawing,
    Vector,
)
from plumbhook.planning.crane_records import ChartRow, CraneStatement, HeadroomRow, TrialLift

G = 9.81
PRACTICE = Clause("common practice", quality=SourceQuality.COMMON_PRACTICE)


def rotation_rows(about_x_rad: float, about_y_rad: float):
    """Rows of Ry @ Rx."""
    cx, sx, cy, sy = (
        math.cos(about_x_rad),
        math.sin(about_x_rad),
        math.cos(about_y_rad),
        math.sin(about_y_rad),
    )
    return ((cy, sy * sx, sy * cx), (0.0, cx, -sx), (-sy, cy * sx, cy * cx))


def turned(rows, about: Vector, point: Vector) -> Vector:
    d = tuple(p - a for p, a in zip(point, about, strict=True))
    return tuple(
        a + sum(r * x for r, x in zip(row, d, strict=True)) for a, row in zip(about, rows, strict=True)
    )


@dataclass
class Geometry:
    """Nodes of a level rig with its struts and lines; the hook node is ``hook``."""

    nodes: dict[str, Vector]
    struts: list[StrutDrawing] = field(default_factory=list)
    lines: list[LineDrawing] = field(default_factory=list)

    def strut(self, name, a, b, diameter, pieces, balloon, compression_kN=80.0, fitting=0.2, family="F219"):
        span = math.dist(self.nodes[a], self.nodes[b])
        rows, at = [], 0.0
        lengths = [fitting, *pieces, fitting]
        assert abs(sum(lengths) - span) < 1e-6, (sum(lengths), span)
        for index, length in enumerate(lengths):
            end = index in {0, len(lengths) - 1}
            label = "end" if end else f"{length:.2f}".rstrip("0").rstrip(".")
            rows.append(
                PiecePlacement(f"{family}-{index}", label, at, at + length, 95.0 if end else 60 * length, end)
            )
            at += length
        n = compression_kN * 1e3
        self.struts.append(
            StrutDrawing(name, family, a, b, span, diameter, tuple(rows), 300.0, n, 1.05 * n, balloon)
        )

    def line(self, name, role, upper, lower, balloon, tension_t, parallel=1, label=""):
        u, v = self.nodes[upper], self.nodes[lower]
        length = math.dist(u, v)
        angle = math.acos((u[2] - v[2]) / length)
        tension = tension_t * 1e3 * G
        self.lines.append(
            LineDrawing(
                name, role, upper, lower, length, parallel, tension, 1.05 * tension, angle, balloon, label
            )
        )


def scenario_a_geometry() -> Geometry:
    z1, z2, z3 = 3.4, 3.4 + 1.8187, 3.4 + 1.8187 + 3.7239
    nodes = {"hook": (0.0, 0.0, z3), "U1.a": (0.0, -2.15, z2), "U1.b": (0.0, 2.15, z2)}
    for strut, y in (("S1", -2.15), ("S2", 2.15)):
        nodes[f"{strut}.a"], nodes[f"{strut}.b"] = (-1.05, y, z1), (1.05, y, z1)
    for point, at in lift_points_a().items():
        nodes[f"load.{point}"] = at
    rig = Geometry(nodes)
    rig.strut("U1", "U1.a", "U1.b", 0.2191, [1.2, 2.4, 0.3], 5, 159.3)
    rig.strut("S1", "S1.a", "S1.b", 0.1397, [1.8], 7, 79.3, 0.15, "F140")
    rig.strut("S2", "S2.a", "S2.b", 0.1397, [1.8], 7, 78.1, 0.15, "F140")
    rig.line("T1", "top", "hook", "U1.a", 4, 32.70, 2, "2 × RS-20 4.3 m")
    rig.line("T2", "top", "hook", "U1.b", 4, 32.26, 2, "2 × RS-20 4.3 m")
    for name, upper, lower, t in (
        ("M1", "U1.a", "S1.a", 15.65),
        ("M2", "U1.a", "S1.b", 16.68),
        ("M3", "U1.b", "S2.a", 15.43),
        ("M4", "U1.b", "S2.b", 16.44),
    ):
        rig.line(name, "middle", upper, lower, 6, t, 1, "RS-20 2.1 m")
    for name, upper, lower, t in (
        ("V1", "S1.a", "load.L1", 13.47),
        ("V2", "S1.b", "load.L2", 14.36),
        ("V3", "S2.b", "load.L3", 14.15),
        ("V4", "S2.a", "load.L4", 13.28),
    ):
        rig.line(name, "lower", upper, lower, 8, t, 1, "RS-20 0.9 m")
    return rig


def lift_points_a() -> dict[str, Vector]:
    return {
        "L1": (-1.05, -2.15, 2.5),
        "L2": (1.05, -2.15, 2.5),
        "L3": (1.05, 2.15, 2.5),
        "L4": (-1.05, 2.15, 2.5),
    }


def one_strut_geometry(span=6.0, rise=3.6, drop=1.5, top=2.0, fitting=0.2) -> Geometry:
    z1 = top + drop
    nodes = {
        "hook": (0.0, 0.0, z1 + rise),
        "U1.a": (-span / 2, 0.0, z1),
        "U1.b": (span / 2, 0.0, z1),
        "load.A": (-span / 2, 0.0, top),
        "load.B": (span / 2, 0.0, top),
    }
    rig = Geometry(nodes)
    body = span - 2 * fitting
    pieces = [body] if body < 1.0 else [body * 0.25, body * 0.5, body * 0.25]
    rig.strut("U1", "U1.a", "U1.b", 0.2191, pieces, 3, 55.0, fitting)
    rig.line("T1", "top", "hook", "U1.a", 2, 9.1, 1, "RS-15")
    rig.line("T2", "top", "hook", "U1.b", 2, 9.4, 1, "RS-15")
    rig.line("V1", "lower", "U1.a", "load.A", 4, 7.8, 1, "RS-10")
    rig.line("V2", "lower", "U1.b", "load.B", 4, 8.1, 1, "RS-10")
    return rig


def frame_geometry(length=7.6, width=2.8, rise=4.9, drop=3.2, top=0.35, fitting=0.2, off=0.3) -> Geometry:
    z1 = top + drop
    nodes: dict[str, Vector] = {"hook": (off, 0.0, z1 + rise)}
    corners = {"A1": (-1, -1), "A2": (-1, 1), "B1": (1, -1), "B2": (1, 1)}
    for name, (sx, sy) in corners.items():
        nodes[name] = (sx * length / 2, sy * width / 2, z1)
        nodes[f"load.{name}"] = (sx * length / 2, sy * (width / 2 - 0.05), top)
    rig = Geometry(nodes)
    for name, a, b in (("U1", "A1", "B1"), ("U2", "B2", "A2")):
        body = length - 2 * fitting
        rig.strut(name, a, b, 0.2191, [body * 0.3, body * 0.6, body * 0.1], 3, 40.8, fitting)
    for name, a, b in (("W1", "A1", "A2"), ("W2", "B1", "B2")):
        rig.strut(name, a, b, 0.2191, [width - 2 * fitting], 4, 16.9, fitting)
    for i, name in enumerate(corners, 1):
        rig.line(f"T{i}", "top", "hook", name, 2, 7.4 - 0.3 * i, 1, "CH-20")
        rig.line(f"V{i}", "lower", name, f"load.{name}", 5, 5.7 - 0.3 * i, 1, "RS-10 3.2 m")
    return rig


def bridle_geometry(length=3.0, width=2.0, rise=3.5, top=1.8) -> Geometry:
    nodes: dict[str, Vector] = {"hook": (0.0, 0.0, top + rise)}
    rig = Geometry(nodes)
    for i, (sx, sy) in enumerate(((-1, -1), (1, -1), (1, 1), (-1, 1)), 1):
        nodes[f"load.P{i}"] = (sx * length / 2, sy * width / 2, top)
        rig.line(f"T{i}", "top", "hook", f"load.P{i}", 2, 2.0 + 0.1 * i, 1, "CH-10")
    return rig


def rig_statement(
    arrangement: str, geometry: Geometry, cog: Vector, hook_items, items, tilt=(0.0, 0.0)
) -> RigStatement:
    drawn = Posture(
        "drawn", dict(geometry.nodes), (0.0, 0.0, 0.0), ((1.0, 0, 0), (0, 1.0, 0), (0, 0, 1.0)), cog
    )
    rows = rotation_rows(*tilt)
    hook = geometry.nodes["hook"]
    hanging = Posture(
        "hanging",
        {name: turned(rows, hook, at) for name, at in geometry.nodes.items()},
        turned(rows, hook, (0.0, 0.0, 0.0)),
        rows,
        turned(rows, hook, cog),
    )
    return RigStatement(
        arrangement,
        tuple(items),
        tuple(geometry.struts),
        tuple(geometry.lines),
        tuple(hook_items),
        drawn,
        hanging,
        sum(item.mass_kg for item in items),
        sum(item.mass_kg for item in items) - 179.0,
    )


def items_a() -> list[ItemRow]:
    def item(no, qty, text, serials, length, each, wll, note=""):
        return ItemRow(no, qty, text, tuple(serials), length, each, qty * each, wll, note)

    def run(stem, a, b):
        return [f"{stem}-{i:02d}" for i in range(a, b + 1)]

    return [
        item(
            1, 1, "Load link 80 t with its two shackles", ["LC-80-01"], 0.95, 179.0, 80e3, "±1 % of reading"
        ),
        item(2, 1, "Master link 63 t", ["ML-63-01"], 0.40, 36.0, 63e3),
        item(
            3,
            4,
            "Bow shackle 35 t, pin 57",
            run("SH-35", 1, 4),
            None,
            18.0,
            35e3,
            "two at the link, two at strut U1",
        ),
        item(4, 4, "Roundsling 20 t, 4.3 m", run("RS-20", 1, 4), 4.3, 32.0, 20e3, "pair each side"),
        item(
            5,
            1,
            "Strut U1, family F219",
            ["B219-E01", "B219-1201", "B219-2401", "B219-0301", "B219-E02"],
            4.3,
            489.0,
            None,
        ),
        item(6, 4, "Roundsling 20 t, 2.1 m", run("RS-20", 9, 12), 2.1, 16.0, 20e3),
        item(
            7,
            2,
            "Struts S1 and S2, family F140",
            ["A140-E01", "A140-1801", "A140-E02", "A140-E03", "A140-1802", "A140-E04"],
            2.1,
            137.0,
            None,
        ),
        item(8, 4, "Roundsling 20 t, 0.9 m", run("RS-20", 13, 16), 0.9, 7.0, 20e3),
        item(9, 4, "Bow shackle 17 t, pin 42", run("SH-17", 1, 4), None, 8.0, 17e3),
    ]


def load_a() -> LoadStatement:
    def part(letter, name, mass, at, size=None, source="drawing"):
        box = None
        if size:
            box = Box(
                tuple(a - s / 2 for a, s in zip(at, size, strict=True)),
                tuple(a + s / 2 for a, s in zip(at, size, strict=True)),
            )
        return PartRow(letter, name, mass, at, source, box)

    parts = (
        part("a", "Deck slab 9.60 x 3.20 x 0.26", 20367.0, (0.0, 0.0, 2.37), (3.2, 9.6, 0.26)),
        part("b", "Web, port 2.00 x 0.38 x 3.20", 6202.0, (0.0, -2.30, 1.24), (3.2, 0.38, 2.0)),
        part("c", "Web, starboard 2.00 x 0.38 x 3.20", 6202.0, (0.0, 2.30, 1.24), (3.2, 0.38, 2.0)),
        part("d", "Bottom slab 5.00 x 3.20 x 0.24", 9792.0, (0.0, 0.0, 0.12), (3.2, 5.0, 0.24)),
        part("e", "Haunches, 4 x 0.24 m3", 2448.0, (0.0, 0.0, 2.12)),
        part("f", "Anchor blister 0.9 x 0.7 x 1.1", 1767.0, (0.9, -2.0, 0.5), (0.9, 0.7, 1.1)),
        part("g", "Edge walkway, guardrail", 650.0, (0.0, 4.3, 3.0), None, "list of fittings"),
        part("h", "Bars, stools, packers", 420.0, (0.0, 0.0, 2.6), None, "count"),
    )
    carries = {
        "L1": (13470.0, 15480.0),
        "L2": (14360.0, 16410.0),
        "L3": (14150.0, 16180.0),
        "L4": (13280.0, 15270.0),
    }
    points = tuple(
        LiftPointRow(
            name,
            at,
            20e3,
            *carries[name],
            math.radians(0.77),
            math.radians(3.4),
            math.radians(5),
            "hole 44, plate 40",
        )
        for name, at in lift_points_a().items()
    )
    return LoadStatement(
        name="Precast bridge segment",
        axes="x along the bridge from the segment centre, y to starboard, z up from the soffit",
        mass_kg=47848.0,
        mass_low_kg=47130.0,
        mass_high_kg=48566.0,
        tolerance_ratio=0.015,
        weight_factor=1.05,
        design_mass_kg=50240.4,
        cog_m=(0.0332, -0.0154, 1.5447),
        cog_box_m=(0.1, 0.1, 0.15),
        source="sum of eight parts, volumes from the segment drawing at 2.55 t/m3",
        state="as stored, walkway and guardrail fitted, bars, stools and packers aboard, ducts drained",
        said_by="Ostrey Precast, drawing office, 2027-02-24",
        can_move="nothing, packers strapped and ducts plugged",
        cog_box_source="solids not cut where they overlap; drawing tolerances",
        envelope=Box((-1.6, -4.8, 0.0), (1.6, 4.8, 2.5)),
        parts=parts,
        lift_points=points,
    )


def ratio_check(
    check_id, station, title, demand, capacity, unit, display, nominal=None, clause=PRACTICE, **more
) -> Check:
    d = Value("F", demand, unit, "demand, worst corner of the box", "solver", display)
    c = Value("WLL", capacity, unit, "rated load", "stock.csv", display)
    n = None if nominal is None else Value("F_nom", nominal, unit, "as it hangs", "solver", display)
    steps = (
        Step(
            Value("u", demand / capacity, "1", "utilisation", "", "%"),
            "F / WLL",
            (d, c),
            clause,
            "rated load for the straight pull",
        ),
    )
    if not (math.isfinite(demand) and math.isfinite(capacity)):
        steps = ()
    return Check(check_id, station, title, d, c, clause, steps=steps, nominal=n, **more)


def strut_check(check_id="strut.U1", station="U1", demand=167.7e3) -> Check:
    memory = Clause("ASME BTH-1", "", "chapter 3, compression with bending", SourceQuality.FROM_MEMORY)
    e, fy, length, r, nd, area = 210e9, 355e6, 4.3, 0.074, 3.0, 6570e-6
    slender = length / r
    cc = math.sqrt(2 * math.pi**2 * e / fy)
    fa = (
        (1 - slender**2 / (2 * cc**2))
        * fy
        / (nd * (1 + 9 * slender / (40 * cc) - 3 * slender**3 / (40 * cc**3)))
    )
    capacity = fa * area
    v_e = Value("E", e, "Pa", "modulus of elasticity", "strut_families.csv, F219")
    v_fy = Value("F_y", fy, "Pa", "yield stress", "strut_families.csv, F219")
    v_l = Value("L", length, "m", "span pin to pin", "rig.struts.U1", "mm")
    v_r = Value("r", r, "m", "radius of gyration", "strut_families.csv, F219", "mm")
    v_s = Value("lambda_c", slender, "1", "slenderness")
    v_c = Value("C_c", cc, "1", "slenderness at the transition")
    v_n = Value("N_d", nd, "1", "design factor", "design category B")
    v_fa = Value("F_a", fa, "Pa", "allowable axial stress", "", "MPa")
    v_a = Value("A", area, "m2", "area of the tube", "strut_families.csv, F219", "mm2")
    v_nc = Value("N_all", capacity, "N", "allowable compression")
    steps = (
        Step(v_s, "L / r", (v_l, v_r), memory),
        Step(v_c, "sqrt(2 * pi**2 * E / F_y)", (v_e, v_fy), memory),
        Step(
            v_fa,
            "(1 - lambda_c**2 / (2 * C_c**2)) * F_y / (N_d * (1 + 9 * lambda_c / (40 * C_c) - 3 * "
            "lambda_c**3 / (40 * C_c**3)))",
            (v_s, v_c, v_fy, v_n),
            memory,
            "slenderness below the transition",
        ),
        Step(v_nc, "F_a * A", (v_fa, v_a), memory),
    )
    return Check(
        check_id,
        station,
        "Strut U1, F219: compression with bending at 4.30 m",
        Value("N", demand, "N", "compression, worst corner of the box", "solver"),
        v_nc,
        memory,
        steps=steps,
        assumptions=(
            "Joints are bolted and preloaded, no slack.",
            "Both ends are held by slings to one hook: K = 1 in both planes.",
        ),
        nominal=Value("N_nom", 160.4e3, "N", "compression as it hangs", "solver"),
    )


def checks_a() -> tuple[Check, ...]:
    t = 1e3 * G
    rows = [
        ("load_link.LC-80-01", "hook", "Load link LC-80-01: rated load", 56.50, 80.0, 56.50),
        ("master_link.ML-63-01", "hook", "Master link ML-63-01: rated load", 56.46, 63.0, 56.46),
        ("shackle.SH-35-01", "T", "Shackle SH-35-01 at the link: leg tension", 34.18, 35.0, 32.70),
        ("shackle.SH-35-03", "T", "Shackle SH-35-03 at strut U1: leg tension", 34.18, 35.0, 32.70),
        ("sling.RS-20-01", "T", "Roundsling RS-20-01, one of a pair shared 45/55", 18.80, 20.0, 17.98),
        ("sling.RS-20-09", "M", "Roundsling RS-20-09: leg of the lower triangle", 18.20, 20.0, 15.65),
        ("sling.RS-20-10", "M", "Roundsling RS-20-10: leg of the lower triangle", 19.05, 20.0, 16.68),
        ("sling.RS-20-13", "V", "Roundsling RS-20-13: lower sling", 15.48, 20.0, 13.47),
        ("sling.RS-20-14", "V", "Roundsling RS-20-14: lower sling", 16.41, 20.0, 14.36),
        ("shackle.SH-17-01", "V", "Shackle SH-17-01 on lift point L1", 15.48, 17.0, 13.47),
        ("shackle.SH-17-02", "V", "Shackle SH-17-02 on lift point L2", 16.41, 17.0, 14.36),
        ("end_fitting.U1", "U1", "Strut U1: end fitting F219", 34.18, 45.0, 32.70),
        ("end_fitting.S1", "S", "Strut S1: end fitting F140", 19.05, 20.0, 16.68),
        ("lift_point.L2", "L", "Lift point L2, through-bar: rated load", 16.41, 20.0, 14.36),
        ("lift_point.L3", "L", "Lift point L3, through-bar: rated load", 16.18, 20.0, 14.15),
    ]
    out = [
        ratio_check(
            i,
            s,
            title,
            d * t,
            c * t,
            "N",
            "kN",
            n * t,
            assumptions=("Straight pull in the plane of the bow.",),
        )
        for i, s, title, d, c, n in rows
    ]
    deg = math.radians(1)
    out += [
        strut_check(),
        strut_check("strut.S1", "S", 93.4e3),
        ratio_check(
            "off_axis.L2",
            "L",
            "Lift point L2: angle off the bar",
            3.40 * deg,
            5 * deg,
            "rad",
            "deg",
            0.77 * deg,
        ),
        ratio_check(
            "lean.V2", "V", "Lower sling V2: lean from plumb", 3.1 * deg, 6 * deg, "rad", "deg", 0.77 * deg
        ),
        ratio_check("tilt.load", "load", "Tilt of the load", 3.40 * deg, 5 * deg, "rad", "deg", 0.77 * deg),
        ratio_check(
            "crane.14m", "crane", "Crane: gross load at 14 m", 53742.0, 0.85 * 71500.0, "kg", "t", 53742.0
        ),
        ratio_check("hook_height", "crane", "Hook height at set-down", 22.62, 33.9, "m", "m", 22.29),
        ratio_check(
            "ground.14m", "ground", "Ground under the mats at 14 m", 160e3, 180e3, "Pa", "kPa", 160e3
        ),
        ratio_check(
            "segment.bending",
            "load",
            "The segment between its bars",
            math.nan,
            math.nan,
            "N",
            "kN",
            not_applicable_because="its bending is the load owner's: they sign for it",
        ),
    ]
    return tuple(out)


def stations_a(checks: tuple[Check, ...]) -> tuple[Station, ...]:
    names = {
        "crane": ("Crane: gross load at 14 m", "chart 71.5 t, policy 85 %", ()),
        "hook": ("Load link and master link", "everything below, × dynamic factor", (1, 2)),
        "T": ("Top slings and their shackles", "leg tension; pair shared 45/55", (3, 4)),
        "U1": ("Strut U1, F219", "4.30 m; compression with bending", (5,)),
        "M": ("Roundslings of the lower triangles", "leg tension, one per leg", (6,)),
        "S": ("Struts S1 and S2, F140", "2.10 m; compression with bending", (7,)),
        "V": ("Lower slings and their shackles", "lift point and its shackle", (8, 9)),
        "L": ("Lift points, through-bars", "20 t vertical, 5° off axis", ()),
        "load": ("The segment itself", "its bending: the load owner signs for it", ()),
        "ground": ("Ground under the mats at 14 m", "report GR-7", ()),
    }
    out = []
    for station_id, (name, detail, balloons) in names.items():
        own = [c for c in checks if c.station == station_id]
        live = [c for c in own if c.status is not Status.NOT_APPLICABLE] or own
        worst = max(
            live, key=lambda c: (c.status is Status.FAIL, c.status is Status.NOT_EVALUATED, c.utilisation)
        )
        na = worst.status is Status.NOT_APPLICABLE
        out.append(
            Station(
                station_id,
                name,
                detail,
                balloons,
                worst.nominal,
                None if na else worst.demand,
                None if na else worst.capacity,
                worst.utilisation,
                worst.status,
                tuple(c.check_id for c in own),
                "" if not na else worst.not_applicable_because,
            )
        )
    return tuple(out)


def cases_a(geometry: Geometry) -> tuple[CaseResult, ...]:
    return tuple(
        CaseResult(
            method,
            Basis.DESIGN,
            "expected",
            (0.033, -0.015, 1.545),
            {x.name: x.tension_N for x in geometry.lines},
            {},
            {},
            {s.name: s.compression_N for s in geometry.struts},
            math.radians(0.77),
            math.radians(0.74),
            math.radians(-0.21),
            56.46e3 * G,
            6.44,
            1e-6,
            1e-6,
            (),
            "stable",
        )
        for method in Method
    )


def comparisons_a() -> tuple[Comparison, ...]:
    t, nan = 1e3 * G, math.nan
    corner = "x+ y- z+"
    deg = math.radians(1)
    return (
        Comparison("worst lift point (L2)", "N", "expected", 14.36 * t, nan, 14.18 * t, 14.17 * t, "kN"),
        Comparison(
            "leg of the lower triangle (M2)", "N", "expected", 16.68 * t, nan, 16.48 * t, 16.29 * t, "kN"
        ),
        Comparison("compression of S1", "N", "expected", 79.3e3, nan, 79.2e3, 75.5e3, "kN"),
        Comparison(
            "leg of the upper triangle (T1)", "N", "expected", 32.70 * t, nan, 32.65 * t, 32.28 * t, "kN"
        ),
        Comparison("compression of U1", "N", "expected", 159.3e3, nan, 159.3e3, 151.9e3, "kN"),
        Comparison("tilt, x+ low", "rad", "expected", 0.68 * deg, nan, 0.68 * deg, 0.74 * deg, "deg"),
        Comparison("worst lift point (L2)", "N", corner, 16.41 * t, 15.61 * t, 15.61 * t, 15.52 * t, "kN"),
        Comparison("leg of the lower triangle (M2)", "N", corner, 19.05 * t, nan, 18.11 * t, 17.85 * t, "kN"),
        Comparison("leg of the upper triangle (T1)", "N", corner, 34.18 * t, nan, 33.83 * t, 33.44 * t, "kN"),
        Comparison("total tilt", "rad", corner, 3.1 * deg, nan, 3.07 * deg, 3.40 * deg, "deg"),
    )


def crane_a() -> CraneStatement:
    gross = 53742.0
    chart = ((10, 98e3), (12, 84e3), (14, 71.5e3), (16, 61.8e3), (18, 53.9e3), (20, 47.6e3))
    return CraneStatement(
        "Crawler crane",
        "boom 36.6 m, ballast 90 t, 360 degrees",
        "invented chart HV-C",
        tuple(ChartRow(float(r), c, gross / c, gross / c <= 0.85) for r, c in chart),
        gross,
        (
            ("load × 1.05", 50240.0),
            ("struts", 763.0),
            ("slings, shackles, links", 539.0),
            ("hook block", 1900.0),
            ("hoist rope", 300.0),
        ),
        0.85,
        14.0,
        (
            HeadroomRow("support level", 11.4),
            HeadroomRow("clearance", 0.6),
            HeadroomRow("load, base to lift points", 2.5),
            HeadroomRow("lower slings", 0.9),
            HeadroomRow("lower triangles", 1.82),
            HeadroomRow("top slings", 3.72),
            HeadroomRow("master link", 0.40),
            HeadroomRow("load link", 0.95),
        ),
    )


def key_numbers_a() -> tuple[KeyNumber, ...]:
    return (
        KeyNumber(
            "Load, expected",
            Value("W", 47848.0, "kg", "expected mass", "", "t"),
            "± 1.5 %; strength with 50.24 t",
        ),
        KeyNumber(
            "Gross load on the hook",
            Value("G", 53742.0, "kg", "gross load", "", "t"),
            "rig 1.30, block 1.90, rope 0.30 t",
        ),
        KeyNumber("Largest radius", Value("R", 14.0, "m", "radius"), "75.2 % of 71.5 t; policy 85 %"),
        KeyNumber(
            "Load link at the trial lift",
            Value("Q", 48971.0, "kg", "reading", "", "t"),
            "go on ± 0.87, stop beyond ± 1.74",
        ),
        KeyNumber(
            "Tilt expected",
            Value("th", math.radians(0.77), "rad", "tilt", "", "deg"),
            "x+ low; at most 3.40°",
        ),
        KeyNumber("Hook height needed", Value("h", 22.62, "m", "height"), "of 33.90 m, at set-down"),
        KeyNumber("Under the mats", Value("p", 160e3, "Pa", "pressure"), "of 180 kPa, report GR-7"),
        KeyNumber("Rig", Value("m", 1302.0, "kg", "mass of the rig"), "9 kinds of item"),
    )


def scenario_a(checks: tuple[Check, ...] | None = None, **identity) -> Assessment:
    """Scenario A, made by hand. ``checks`` replaces its checks; other arguments replace fields of its identity."""
    geometry = scenario_a_geometry()
    hook_items = (
        HookItem("LC-80-01", "Load link 80 t", 0.95, 1),
        HookItem("ML-63-01", "Master link 63 t", 0.40, 2),
    )
    load = load_a()
    rig = rig_statement(
        "strut over two struts",
        geometry,
        load.cog_m,
        hook_items,
        items_a(),
        (math.radians(0.21), math.radians(0.74)),
    )
    checks = checks_a() if checks is None else checks
    who = LiftIdentity(
        "HV-0317",
        "B",
        "Bridge segment to the erected cantilever",
        "Hallowmere Viaduct",
        "2027-03-17",
        "Tarn & Thistle Lifting",
        "Ostrey Precast",
        True,
    )
    return Assessment(
        format=1,
        tool_version="0.1.0",
        content_hash="ae393cab6ce6f00d9911" + "0" * 44,
        identity=replace(who, **identity),
        gravity_m_s2=G,
        dynamic_factor=1.1,
        load=load,
        rig=rig,
        crane=crane_a(),
        trial_lift=TrialLift("LC-80-01", 48971.0, 870.0, 1740.0),
        cases=cases_a(geometry),
        comparisons=comparisons_a(),
        stations=stations_a(checks),
        checks=checks,
        key_numbers=key_numbers_a(),
        gaps=(
            Gap(
                "G1",
                "Clause numbers of ASME BTH-1 are from memory and not yet read in the printed standard.",
                "checking engineer",
            ),
            Gap("G2", "The weight is summed, not weighed.", "load owner, by the load link at the trial lift"),
            Gap("G3", "Ducts drained and packers strapped: told, not seen.", "lifting supervisor"),
        ),
        assumptions=(
            "Weight × 1.05 for every strength check.",
            "Dynamic factor 1.10, once, on the load side.",
            "A pair of roundslings shares 45/55.",
            "Each corner of the CoG box was solved by three methods; the largest demand counts.",
        ),
        cautions=(
            "16 m is 87.0 % and 18 m 99.8 % of the chart: both refused.",
            "The blister must lie at x+, y−.",
            "Link ML-40 carries 40 t and fails at 56.46 t.",
            "RS-20 of 5.5 and 6.1 m look like the right ones: read the tag.",
        ),
    )


def synthetic(arrangement: str, geometry: Geometry, tilt=(0.004, 0.012), hook_items=()) -> Assessment:
    """An assessment whose rig is ``geometry``: only the load and the drawing matter."""
    base = scenario_a()
    points = {name: at for name, at in geometry.nodes.items() if name.startswith("load.")}
    top = max(at[2] for at in points.values())
    xs, ys = [p[0] for p in points.values()], [p[1] for p in points.values()]
    low = (min(xs) - 0.4, min(ys) - 0.6, min(0.0, top - 1.5))
    high = (max(xs) + 0.5, max(ys) + 0.6, top)
    cog = ((low[0] + high[0]) / 2 + 0.1, (low[1] + high[1]) / 2, (low[2] + high[2]) / 2)
    rows = tuple(
        LiftPointRow(name.split(".")[1], at, 8e3, 5e3, 5.5e3, 0.01, 0.03, math.radians(10), "lug")
        for name, at in points.items()
    )
    load = replace(
        base.load, cog_m=cog, cog_box_m=(0.1, 0.1, 0.1), envelope=Box(low, high), parts=(), lift_points=rows
    )
    rig = rig_statement(arrangement, geometry, cog, hook_items, items_a(), tilt)
    return replace(base, load=load, rig=rig)
