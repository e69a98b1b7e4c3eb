"""Small invented lifts of every arrangement, as text, for tests of planning and of the command line."""

from __future__ import annotations

import textwrap
from functools import cache

from plumbhook.model.files import parse_lift
from plumbhook.model.lift import Lift
from plumbhook.planning import Assessment, assess

HEAD = """
format: 1
lift: {id: T-1, revision: A, title: Test lift, site: Test yard, date: 2027-03-17,
       planned_by: P, load_owner: O, invented: true}
rules: {gravity: 9.81 m/s2, weight_factor: 1.05, weight_factor_source: test,
        dynamic_factor: 1.1, dynamic_factor_source: test}
"""

FAMILY = """
strut_families:
  F140: {outside_diameter: 139.7 mm, wall: 8 mm, steel: S355, yield_strength: 355 MPa, elastic_modulus: 210 GPa,
         buckling_curve: a, end_offset: 0.15 m, pin_offset: 6 mm, line_mass: 33 kg/m, joint_bolts: 6 x M20 8.8,
         joint_torque: 280 N.m, joint_mass: 3 kg}
"""


def item(serial: str, kind: str, **fields: str) -> str:
    """One item of inline equipment."""
    given = {
        "description": f"{kind} {serial.partition('-')[0]}",
        "last_examination": "2027-02-01",
        "status": "ok",
        **fields,
    }
    words = ", ".join(f"{key}: {value}" for key, value in given.items())
    return f"  - {{serial: {serial}, kind: {kind}, {words}}}\n"


def sling(serial: str, length: str, wll: str = "10 t", mass: str = "10 kg") -> str:
    """A roundsling with 5 % of stretch at its rated load."""
    return item(serial, "roundsling", wll=wll, mass=mass, length=length, elongation_at_wll="5 %")


def equipment(*items: str) -> str:
    """The equipment section."""
    return "equipment:\n" + "".join(items)


def load(
    points: dict[str, str], cog: str = "[0 m, 0 m, 0.5 m]", mass: str = "6 t", top: str = "1.0 m"
) -> str:
    """A box-shaped load, 4 m by 2 m, with lift points of 8 t."""
    rows = "".join(
        f"    {name}: {{at: {at}, rated_load: 8 t, angle_limit: 10 deg}}\n" for name, at in points.items()
    )
    return (
        textwrap.dedent(f"""
        load:
          name: Test load
          axes: x along, y across, z up from the base
          weight: {{mass: {mass}, tolerance: 2 %, source: weighed, state: as weighed}}
          cog: {cog}
          can_move: nothing
          cog_box: {{x: 20 mm, y: 20 mm, z: 20 mm, source: weighed}}
          envelope: {{low: [-2 m, -1 m, 0 m], high: [2 m, 1 m, {top}]}}
          lift_points:
        """)
        + rows
    )


STRUT_PARTS = (
    item("F140-E1", "end fitting", family="F140", wll="20 t", mass="38 kg")
    + item("F140-E2", "end fitting", family="F140", wll="20 t", mass="38 kg")
    + item("F140-P1", "strut piece", family="F140", mass="55 kg", length="1.8 m")
    + item("F140-P2", "strut piece", family="F140", mass="39 kg", length="1.2 m")
)

TWO_POINTS = {"L1": "[-1.65 m, 0 m, 1.0 m]", "L2": "[1.65 m, 0 m, 1.0 m]"}
FOUR_POINTS = {
    "L1": "[-1.65 m, -0.8 m, 1.0 m]",
    "L2": "[1.65 m, -0.8 m, 1.0 m]",
    "L3": "[1.65 m, 0.8 m, 1.0 m]",
    "L4": "[-1.65 m, 0.8 m, 1.0 m]",
}

ONE_STRUT = (
    HEAD
    + FAMILY
    + equipment(
        STRUT_PARTS,
        *(sling(f"RS-{i}", "2.8 m") for i in (1, 2)),
        *(sling(f"RV-{i}", "1.5 m") for i in (1, 2)),
    )
    + load(TWO_POINTS)
    + """
rig:
  arrangement: one strut
  struts: {U1: {fittings: [F140-E1, F140-E2], pieces: [F140-P1, F140-P2]}}
  lines:
    T1: {from: hook, to: U1.a, items: [RS-1]}
    T2: {from: hook, to: U1.b, items: [RS-2]}
    V1: {from: U1.a, to: load.L1, items: [RV-1]}
    V2: {from: U1.b, to: load.L2, items: [RV-2]}
"""
)

ONE_STRUT_FOUR_POINTS = (
    HEAD
    + FAMILY
    + equipment(
        STRUT_PARTS,
        *(sling(f"RS-{i}", "2.8 m") for i in (1, 2)),
        *(sling(f"RV-{i}", "1.5 m") for i in (1, 2, 3, 4)),
    )
    + load(FOUR_POINTS)
    + """
rig:
  arrangement: one strut
  struts: {U1: {fittings: [F140-E1, F140-E2], pieces: [F140-P1, F140-P2]}}
  lines:
    T1: {from: hook, to: U1.a, items: [RS-1]}
    T2: {from: hook, to: U1.b, items: [RS-2]}
    V1: {from: U1.a, to: load.L1, items: [RV-1]}
    V2: {from: U1.b, to: load.L2, items: [RV-2]}
    V3: {from: U1.b, to: load.L3, items: [RV-3]}
    V4: {from: U1.a, to: load.L4, items: [RV-4]}
"""
)


def bridle(points: dict[str, str], length: str = "3.0 m", **more: str) -> str:
    """A direct bridle with equal legs."""
    legs = "".join(
        f"    T{i}: {{from: hook, to: load.{name}, items: [RS-{i}]}}\n"
        for i, name in enumerate(points, start=1)
    )
    return (
        HEAD
        + equipment(*(sling(f"RS-{i}", length) for i in range(1, len(points) + 1)))
        + load(points, **more)
        + "\nrig:\n  arrangement: direct bridle\n  lines:\n"
        + legs
    )


BRIDLE_OF_TWO = bridle(TWO_POINTS)
BRIDLE_OF_THREE = bridle(
    {"L1": "[-1.2 m, -0.8 m, 1.0 m]", "L2": "[1.2 m, -0.8 m, 1.0 m]", "L3": "[0 m, 0.9 m, 1.0 m]"}
)
BRIDLE_OF_FOUR = bridle(FOUR_POINTS)

FREE = (
    HEAD
    + equipment(*(sling(f"RS-{i}", "3.0 m") for i in (1, 2)), *(sling(f"RV-{i}", "1.5 m") for i in (1, 2)))
    + load(TWO_POINTS)
    + """
rig:
  arrangement: free
  hooks: {h: [0 m, 0 m, 5.0 m]}
  bodies:
    bar: {mass: 150 kg, cog: [0 m, 0 m, 0 m], at: [0 m, 0 m, 2.5 m],
          points: {a: [-1.65 m, 0 m, 0 m], b: [1.65 m, 0 m, 0 m]}}
  lines:
    T1: {from: hook.h, to: bar.a, items: [RS-1]}
    T2: {from: hook.h, to: bar.b, items: [RS-2]}
    V1: {from: bar.a, to: load.L1, items: [RV-1]}
    V2: {from: bar.b, to: load.L2, items: [RV-2]}
"""
)

ALL = {
    "one strut, two points": ONE_STRUT,
    "one strut, four points": ONE_STRUT_FOUR_POINTS,
    "bridle of two": BRIDLE_OF_TWO,
    "bridle of three": BRIDLE_OF_THREE,
    "bridle of four": BRIDLE_OF_FOUR,
    "free rig": FREE,
}


def read(text: str, *changes: tuple[str, str]) -> Lift:
    """Parse a small lift with texts replaced; a text that is not there is an error."""
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    return parse_lift(text, source="test.yaml", read_text=_no_files)


@cache
def assessed(text: str) -> Assessment:
    """The assessment of a small lift as it stands; made once, for records never change."""
    return assess(read(text))


def _no_files(name: str) -> str:
    raise AssertionError(f"no file is read: {name}")
