"""Small lifts of every arrangement as plain values, to be bent by the tests. Everything is invented."""

import copy
import json
from pathlib import Path

from plumbhook.core.errors import InputError, Problem
from plumbhook.core.resources import examples_dir
from plumbhook.model.files import parse_lift
from plumbhook.model.lift import Lift

EXAMPLE = examples_dir() / "hallowmere-viaduct"
EXAMPLE_TEXT = (EXAMPLE / "lift.yaml").read_text(encoding="utf-8")

FAMILY = {
    "outside_diameter": "139.7 mm",
    "wall": "8.0 mm",
    "steel": "S355",
    "yield_strength": "355 MPa",
    "elastic_modulus": "210 GPa",
    "buckling_curve": "a",
    "end_offset": "150 mm",
    "pin_offset": "6 mm",
    "line_mass": "33 kg/m",
    "joint_mass": "3 kg",
}


def sling(serial: str, length: str = "2.0 m", **more: object) -> dict:
    return {"serial": serial, "kind": "roundsling", "wll": "10 t", "mass": "9 kg", "length": length, **more}


def piece(serial: str, length: str = "1.8 m") -> dict:
    return {"serial": serial, "kind": "strut piece", "family": "D140", "mass": "55 kg", "length": length}


def fitting(serial: str, kind: str = "end fitting") -> dict:
    return {"serial": serial, "kind": kind, "family": "D140", "wll": "20 t", "mass": "38 kg"}


def line(upper: str, lower: str, *items: object) -> dict:
    return {"from": upper, "to": lower, "items": list(items)}


def _lift(rig: dict, points: dict[str, str], equipment: list[dict]) -> dict:
    return {
        "format": 1,
        "lift": {
            "id": "T-1",
            "revision": "A",
            "title": "Test",
            "site": "Yard",
            "date": "2027-05-04",
            "planned_by": "Tarn & Thistle Lifting",
            "load_owner": "Ostrey Precast",
        },
        "load": {
            "name": "Block",
            "axes": "z up",
            "weight": {"mass": "4 t", "tolerance": "3 %", "source": "drawing", "state": "bare"},
            "cog": ["0 m", "0 m", "0.2 m"],
            "cog_box": {"x": "50 mm", "y": "50 mm", "z": "50 mm", "source": "drawing"},
            "lift_points": {
                name: {"at": [f"{number} m" for number in at.split()], "rated_load": "4 t"}
                for name, at in points.items()
            },
        },
        "rig": rig,
        "strut_families": {"D140": FAMILY},
        "equipment": equipment,
    }


def one_strut() -> dict:
    """Strut of 2.1 m from pin to pin below two slings of 2.0 m."""
    return _lift(
        {
            "arrangement": "one strut",
            "struts": {"U1": {"fittings": ["E1", "E2"], "pieces": ["P1"]}},
            "lines": {
                "T1": line("hook", "U1.a", "R1"),
                "T2": line("hook", "U1.b", "R2"),
                "V1": line("U1.a", "load.A", "R3"),
                "V2": line("U1.b", "load.B", "R4"),
            },
        },
        {"A": "-1.05 0 0.4", "B": "1.05 0 0.4"},
        [*(sling(f"R{n}") for n in range(1, 9)), *(fitting(f"E{n}") for n in (1, 2, 3, 4)), piece("P1")],
    )


def strut_over_two() -> dict:
    return _lift(
        {
            "arrangement": "strut over two struts",
            "struts": {
                "U1": {"fittings": ["E1", "E2"], "pieces": ["P1"]},
                "S1": {"fittings": ["E3", "E4"], "pieces": ["P2"]},
                "S2": {"fittings": ["E5", "E6"], "pieces": ["P3"]},
            },
            "lines": {
                "T1": line("hook", "U1.a", "R1"),
                "T2": line("hook", "U1.b", "R2"),
                "M1": line("U1.a", "S1.a", "R3"),
                "M2": line("U1.a", "S1.b", "R4"),
                "M3": line("U1.b", "S2.a", "R5"),
                "M4": line("U1.b", "S2.b", "R6"),
                "V1": line("S1.a", "load.A", "R7"),
                "V2": line("S1.b", "load.B", "R8"),
                "V3": line("S2.a", "load.C", "R9"),
                "V4": line("S2.b", "load.D", "R10"),
            },
        },
        {"A": "-1.05 -1.05 0.4", "B": "1.05 -1.05 0.4", "C": "-1.05 1.05 0.4", "D": "1.05 1.05 0.4"},
        [
            *(sling(f"R{n}") for n in range(1, 12)),
            *(fitting(f"E{n}") for n in range(1, 7)),
            *(piece(f"P{n}") for n in (1, 2, 3)),
        ],
    )


def frame() -> dict:
    """Four struts of 2.1 m between corners A, B, C, D below the four legs of a chain sling."""
    corners = "ABCD"
    return _lift(
        {
            "arrangement": "four-strut frame",
            "hook_chain": ["LC", "CH"],
            "frame_joints": "pinned",
            "corners": {name: f"C{n}" for n, name in enumerate(corners, start=1)},
            "struts": {
                f"F{n}": {"between": [corners[n - 1], corners[n % 4]], "pieces": [f"P{n}"]}
                for n in range(1, 5)
            },
            "lines": {
                **{
                    f"T{n}": line("hook", name, {"item": "CH", "leg": n, "length": "2.1 m"})
                    for n, name in enumerate(corners, start=1)
                },
                **{f"V{n}": line(name, f"load.{name}", f"R{n}") for n, name in enumerate(corners, start=1)},
            },
        },
        {"A": "-1.05 -1.05 0.4", "B": "1.05 -1.05 0.4", "C": "1.05 1.05 0.4", "D": "-1.05 1.05 0.4"},
        [
            *(sling(f"R{n}") for n in range(1, 6)),
            *(piece(f"P{n}") for n in range(1, 5)),
            *(fitting(f"C{n}", "corner fitting") for n in range(1, 5)),
            {"serial": "LC", "kind": "load cell", "wll": "30 t", "mass": "26 kg", "length": "0.35 m"},
            {
                "serial": "CH",
                "kind": "chain sling",
                "wll": "12.5 t",
                "mass": "290 kg",
                "length": "7.0 m",
                "head_length": "0.30 m",
                "legs": 4,
            },
        ],
    )


def bridle() -> dict:
    return _lift(
        {
            "arrangement": "direct bridle",
            "lines": {
                "L1": line("hook", "load.A", "R1"),
                "L2": line("hook", "load.B", "R2"),
                "L3": line("hook", "load.C", "R3"),
            },
        },
        {"A": "-1 -1 0.4", "B": "1 -1 0.4", "C": "0 1 0.4"},
        [sling(f"R{n}") for n in range(1, 6)],
    )


def free() -> dict:
    """Two hooks, a beam as a body, and the load below it."""
    return _lift(
        {
            "arrangement": "free",
            "hooks": {"north": ["-1 m", "0 m", "6 m"], "south": ["1 m", "0 m", "6 m"]},
            "bodies": {
                "beam": {
                    "mass": "200 kg",
                    "cog": ["0 m", "0 m", "0 m"],
                    "points": {"n": ["-1 m", "0 m", "0 m"], "s": ["1 m", "0 m", "0 m"]},
                    "at": ["0 m", "0 m", "3 m"],
                }
            },
            "lines": {
                "T1": line("hook.north", "beam.n", "R1"),
                "T2": line("hook.south", "beam.s", "R2"),
                "V1": line("beam.n", "load.A", "R3"),
                "V2": line("beam.s", "load.B", "R4"),
            },
        },
        {"A": "-1 0 0.4", "B": "1 0 0.4"},
        [sling(f"R{n}") for n in range(1, 6)],
    )


ARRANGEMENTS = {
    "one strut": one_strut,
    "strut over two struts": strut_over_two,
    "four-strut frame": frame,
    "direct bridle": bridle,
    "free": free,
}


def no_file(name: str) -> str:
    raise FileNotFoundError(name)


def read(lift: dict) -> Lift:
    """The lift that plain values describe, written as JSON."""
    return parse_lift(json.dumps(copy.deepcopy(lift), indent=1), read_text=no_file)


def problems(lift: dict) -> list[str]:
    """What is wrong with it, without the lines."""
    return [f"{problem.field}: {problem.message}" for problem in _problems(json.dumps(lift, indent=1))]


def read_example(text: str = EXAMPLE_TEXT) -> Lift:
    """The example, or a changed text of it, with its own stock beside it."""
    return parse_lift(text, read_text=lambda name: (EXAMPLE / name).read_text(encoding="utf-8"))


def example_problems(old: str, new: str, *more: tuple[str, str]) -> list[Problem]:
    """What is wrong with the example once each ``old`` is replaced by its ``new``."""
    text = EXAMPLE_TEXT
    for before, after in ((old, new), *more):
        assert before in text, before
        text = text.replace(before, after, 1)
    return _problems(text, EXAMPLE)


def _problems(text: str, folder: Path | None = None) -> list[Problem]:
    def beside(name: str) -> str:
        return no_file(name) if folder is None else (folder / name).read_text(encoding="utf-8")

    try:
        parse_lift(text, read_text=beside)
    except InputError as error:
        return list(error.problems)
    return []
