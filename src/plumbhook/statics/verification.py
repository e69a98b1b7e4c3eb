"""Published problems of statics, solved by this package: the records behind the list of verification cases.

The problems are data (``data/verification/statics_*.json``); nothing here knows an answer.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from importlib.resources import files
from typing import Any

from plumbhook.core.check import SourceQuality
from plumbhook.core.verification import VerificationCase
from plumbhook.model.rig_graph import Element, RigGraph, Vector, parse_rig_graphs
from plumbhook.statics import closed_forms, upending
from plumbhook.statics._solve import solve
from plumbhook.statics.beam_column.verification import beam_column_cases
from plumbhook.statics.result import Equilibrium

_Place = tuple[float, float]

# How many SI units one unit of a source has.
_SI = {
    "N": 1.0,
    "kN": 1e3,
    "lbf": 4.4482216152605,
    "kgf": 9.80665,
    "lbf ft": 1.3558179483314004,
    "m": 1.0,
    "mm": 1e-3,
    "deg": math.pi / 180.0,
}
_QUALITY = {
    "published": SourceQuality.PUBLISHED,
    "from memory": SourceQuality.FROM_MEMORY,
    "own derivation": SourceQuality.OWN_DERIVATION,
}


def _upended_tail_N(
    weight_N: float, head_m: _Place, tail_m: _Place, cog_m: _Place, attitude_rad: float
) -> float:
    load = upending.UpendedLoad(weight_N, head_m, tail_m, cog_m)
    return float(upending.upending_forces(load, attitude_rad).tail_N)


def _tail_off_rad(weight_N: float, head_m: _Place, tail_m: _Place, cog_m: _Place) -> float:
    return upending.UpendedLoad(weight_N, head_m, tail_m, cog_m).tail_off_rad


_FUNCTIONS: Mapping[str, Callable[..., float]] = {
    "upended_tail_N": _upended_tail_N,
    "tail_off_rad": _tail_off_rad,
    "largest_cog_height_m": closed_forms.largest_cog_height_m,
    "largest_stable_tilt_rad": closed_forms.largest_stable_tilt_rad,
    "stability_triangle_base_m": closed_forms.stability_triangle_base_m,
}


def statics_cases() -> tuple[VerificationCase, ...]:
    """Every published problem of statics with the value computed now; takes well under a second.

    A rig that does not come out stable gives NaN, which is never within a tolerance.
    """
    return (*_rig_cases(), *_closed_form_cases(), *beam_column_cases())


def _data(name: str) -> list[dict[str, Any]]:
    text = files("plumbhook").joinpath("data", "verification", name).read_text(encoding="utf-8")
    items: list[dict[str, Any]] = json.loads(text)
    return items


def _rig_cases() -> Iterator[VerificationCase]:
    for problem in _data("statics_rigs.json"):
        (graph,) = parse_rig_graphs(problem["rig"])
        result = solve(graph)
        for wanted in problem["expected"]:
            computed = _measure(graph, result, wanted) if result.is_stable else math.nan
            notes = (wanted["note"], problem["expressed_as"])
            yield VerificationCase(
                case_id=_identifier(problem["id"], _label(wanted)),
                title=f"{problem['title']}: {_label(wanted)}",
                source=problem["source"],
                quality=_QUALITY[problem["quality"]],
                published=wanted["value"],
                computed=computed / _SI[wanted["unit"]],
                unit=wanted["unit"],
                tolerance=wanted["tolerance"],
                tolerance_kind=wanted["tolerance_kind"],
                note="; ".join(note for note in notes if note),
            )


def _closed_form_cases() -> Iterator[VerificationCase]:
    for problem in _data("statics_closed_forms.json"):
        yield VerificationCase(
            case_id=_identifier("stability", problem["id"]),
            title=problem["title"],
            source=problem["source"],
            quality=_QUALITY[problem["quality"]],
            published=problem["value"],
            computed=_FUNCTIONS[problem["function"]](**problem["arguments"]) / _SI[problem["unit"]],
            unit=problem["unit"],
            tolerance=problem["tolerance"],
            tolerance_kind=problem["tolerance_kind"],
            note=problem["note"],
        )


def _identifier(case: str, quantity: str) -> str:
    words = (re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-") for text in (case, quantity))
    return ".".join(("statics", *words))


def _label(wanted: Mapping[str, Any]) -> str:
    if wanted["quantity"] in ("tension", "stretch"):
        return f"{wanted['quantity']} of {wanted['element']}"
    what = "support force" if wanted["quantity"] == "hook_pull" else "support moment"
    return f"{what}, {wanted['component']}"


def _measure(graph: RigGraph, result: Equilibrium, wanted: Mapping[str, Any]) -> float:
    """A quantity of a solved rig in SI units."""
    if wanted["quantity"] == "tension":
        return result.tensions_N[wanted["element"]]
    if wanted["quantity"] == "stretch":
        element = next(e for e in graph.elements if e.name == wanted["element"])
        return _stretch_m(element, result.tensions_N[element.name])
    if wanted["quantity"] == "hook_pull":
        total = _support(graph, result, wanted["hooks"], None)
    elif wanted["quantity"] == "hook_moment":
        total = _support(graph, result, wanted["hooks"], wanted["about_m"])
    else:
        raise ValueError(f"no such quantity: {wanted['quantity']!r}")
    return _component(total, wanted["component"], wanted.get("axes_rows"))


def _stretch_m(element: Element, tension_N: float) -> float:
    if element.EA_N is None or element.unstretched_length_m is None:
        raise ValueError(f"{element.name!r} is a pin and has no stretch")
    return tension_N * element.unstretched_length_m / element.EA_N


def _support(
    graph: RigGraph, result: Equilibrium, hooks: Sequence[str], about_m: Sequence[float] | None
) -> Vector:
    """Force, or moment about a point, that some hooks exert on the rig."""
    total = [0.0, 0.0, 0.0]
    for hook in graph.hooks_m:
        if hook.name not in hooks:
            continue
        force = [-part for part in result.hook_forces_N[hook.name]]
        if about_m is not None:
            arm = [place - origin for place, origin in zip(hook.position_m, about_m, strict=True)]
            force = [
                arm[1] * force[2] - arm[2] * force[1],
                arm[2] * force[0] - arm[0] * force[2],
                arm[0] * force[1] - arm[1] * force[0],
            ]
        total = [a + b for a, b in zip(total, force, strict=True)]
    return (total[0], total[1], total[2])


def _component(vector: Vector, component: str, axes_rows: Sequence[Sequence[float]] | None) -> float:
    if component == "magnitude":
        return math.hypot(*vector)
    if component == "elevation":
        return math.atan2(vector[2], math.hypot(vector[0], vector[1]))
    axis = "xyz".index(component)
    if axes_rows is None:
        return vector[axis]
    return sum(row * part for row, part in zip(axes_rows[axis], vector, strict=True))
