"""The kernel and general tools on the same rigs: times, their ratio, and how far tensions are apart."""

from __future__ import annotations

import math
import time
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
import peer_moorpy
import peer_mujoco
import peer_opensees
import peer_pynite
import peer_scipy
from tests.statics.rigs import KINDS, random_rig

from plumbhook.model.rig_graph import RigGraph
from plumbhook.statics._postures import lowered
from plumbhook.statics.kernel.drive import COLD_LIMIT, NOBODY, TOLERANCE, Session, all_modes
from plumbhook.statics.kernel.forms import Form
from plumbhook.statics.kernel.problem import Problem

RIGS = 3
ENGINES = (peer_mujoco, peer_opensees, peer_moorpy)
# How many times faster than each the kernel is meant to be at least, on every kind of rig.
ASKED = {"SciPy, L-BFGS-B": 200, peer_opensees.NAME: 500, peer_mujoco.NAME: 5000}


@dataclass(frozen=True)
class Ours:
    """What the kernel needs for one cold solve (s), alone and called from Python, and its tensions (N)."""

    kernel_s: float
    call_s: float
    tensions: np.ndarray


@dataclass
class Against:
    """A tool on the rigs of one kind: times (s) of the kernel and of the tool, and relative errors of the tool."""

    kind: str
    kernel: list[float] = field(default_factory=list)
    call: list[float] = field(default_factory=list)
    theirs: list[float] = field(default_factory=list)
    errors: list[float] = field(default_factory=list)

    @property
    def over_kernel(self) -> float:
        return float(np.median(np.array(self.theirs) / np.array(self.kernel)))

    @property
    def over_call(self) -> float:
        return float(np.median(np.array(self.theirs) / np.array(self.call)))

    def add(self, ours: Ours, theirs_s: float, found: np.ndarray | None) -> None:
        """One rig more; without tensions found only the times count."""
        self.kernel.append(ours.kernel_s)
        self.call.append(ours.call_s)
        self.theirs.append(theirs_s)
        if found is not None:
            off = np.abs(np.abs(found) - np.abs(ours.tensions)).max()
            self.errors.append(float(off / np.abs(ours.tensions).max()))


@dataclass
class Tool:
    """What is said of a tool: what it is, rows by kind of rig, or why there are none."""

    name: str
    words: tuple[str, ...] = ()
    rows: list[Against] = field(default_factory=list)
    missing: str = ""

    def lines(self) -> list[str]:
        out = [f"### {self.name}", "", *self.words, *([""] if self.words else [])]
        if self.missing:
            return [*out, f"{self.missing} Left out.", ""]
        out += [
            "| rig | kernel, µs | from Python, µs | tool, ms | over kernel | over call | rests | largest error |",
            "|---|---|---|---|---|---|---|---|",
        ]
        out += [
            f"| {row.kind} | {1e6 * np.median(row.kernel):.1f} | {1e6 * np.median(row.call):.1f} | "
            f"{1e3 * np.median(row.theirs):.1f} | **{row.over_kernel:.0f}** | {row.over_call:.0f} | "
            f"{len(row.errors)} of {len(row.theirs)} | {f'{max(row.errors):.0e}' if row.errors else 'none'} |"
            for row in self.rows
        ]
        return [*out, ""]


def best(action: Callable[[], object], times: int, clock: Callable[[], float] = time.process_time) -> float:
    """Shortest time of several (s); by default of the processor, which other work on the machine disturbs less."""
    shortest = math.inf
    for _ in range(times):
        begun = clock()
        action()
        shortest = min(shortest, clock() - begun)
    return shortest


def timed(action: Callable[[], np.ndarray | None]) -> tuple[float, np.ndarray | None]:
    """Processor time of one run (s), and what it gives."""
    begun = time.process_time()
    found = action()
    return time.process_time() - begun, found


def of_kernel(graph: RigGraph, form: Form) -> Ours:
    """Cold solves from the drawn, lowered posture."""
    problem = Problem(graph)
    modes, row, start = all_modes(problem), problem.nominal, lowered(problem.arrays, problem.drawn)
    session, modes_on = Session(form, 1, problem, modes, 1), problem.modes_on(modes, row)
    rest = session.solve(row, start, modes_on=modes_on)
    assert rest.status[0] == 0
    tensions = rest.tension[0].copy()
    call_s = best(lambda: session.solve(row, start, modes_on=modes_on), 30)
    scalars = (session.lanes, 1, *session._counts, COLD_LIMIT, NOBODY)
    kernel_s = best(lambda: session._call(scalars, TOLERANCE), 30)  # the same again, its arrays being filled
    assert np.array_equal(session._found.tension[0], tensions)
    return Ours(kernel_s, call_s, tensions)


def methods(form: Form) -> list[Tool]:
    """The methods of SciPy."""
    missing = peer_scipy.missing()
    if missing:
        return [Tool("SciPy", missing=missing)]
    tools = [Tool(name, peer_scipy.WORDS, [Against(kind) for kind in KINDS]) for name in peer_scipy.METHODS]
    for number, kind in enumerate(KINDS):
        for seed in range(1, 1 + RIGS):
            graph = random_rig(kind, seed)
            ours = of_kernel(graph, form)
            land = peer_scipy.Landscape(Problem(graph), form)
            for tool, method in zip(tools, peer_scipy.METHODS.values(), strict=True):
                theirs_s, end = timed(lambda method=method, land=land: method(land))
                assert end is not None
                tool.rows[number].add(ours, theirs_s, land.tensions(end))
    return tools


def engines(form: Form) -> list[Tool]:
    """Engines that know the rig graph only, on the kinds that they have the parts for."""
    out = []
    for engine in ENGINES:
        tool = Tool(engine.NAME, engine.WORDS, missing=engine.missing())
        out.append(tool)
        if tool.missing:
            continue
        for kind in KINDS:
            graphs = [random_rig(kind, seed) for seed in range(1, 1 + RIGS)]
            if not all(engine.can_do(graph) for graph in graphs):
                continue
            row = Against(kind)
            for graph in graphs:
                row.add(of_kernel(graph, form), *timed(engine.prepared(graph).rest))
            tool.rows.append(row)
    return out


def linear(form: Form) -> list[Tool]:
    """A linear frame library on rigs made level, where it should agree, and on the rigs with slings as drawn."""
    missing = peer_pynite.missing()
    if missing:
        return [Tool(peer_pynite.NAME, missing=missing)]
    tools = []
    for name, variant in peer_pynite.VARIANTS.items():
        tool = Tool(name)
        tools.append(tool)
        for kind in KINDS:
            graphs = [variant(random_rig(kind, seed)) for seed in range(1, 1 + RIGS)]
            if not all(peer_pynite.can_do(graph) for graph in graphs):
                continue
            row = Against(kind)
            for graph in graphs:
                row.add(of_kernel(graph, form), *timed(peer_pynite.prepared(graph).rest))
            tool.rows.append(row)
    return tools


def summary(tools: list[Tool]) -> list[str]:
    """The least ratios of each tool over the kinds of rig, beside what is asked of the kernel."""
    out = [
        "| tool | least over kernel, on rig | asked | least over call | largest error |",
        "|---|---|---|---|---|",
    ]
    for tool in tools:
        asked = ASKED.get(tool.name, "")
        if not tool.rows:
            out.append(f"| {tool.name} | not measured | {asked} | | |")
            continue
        least = min(tool.rows, key=lambda row: row.over_kernel)
        call = min(row.over_call for row in tool.rows)
        worst = max(error for row in tool.rows for error in row.errors)
        out.append(
            f"| {tool.name} | **{least.over_kernel:.0f}**, {least.kind} | {asked} | {call:.0f} | {worst:.0e} |"
        )
    return [*out, ""]


def lines(form: Form) -> list[str]:
    """All of it as text."""
    out = [
        "## General tools on the same rigs",
        "",
        f"Each from the same drawn posture of {RIGS} rigs of a kind. Times are of the processor, the middle of those",
        "rigs: `kernel` is the compiled code alone, `from Python` with the numbers handed over and back, and the two",
        "ratios are the tool's time over each. `rests` counts the rigs that the tool came to an answer for; `largest",
        "error` is that of a tension over the largest tension among them.",
        "",
    ]
    if form.name == "interpreted":
        return [*out, "The kernel ran interpreted (`make kernel` compiles it): left out."]
    tools = [*methods(form), *engines(form)]
    out += summary(tools)
    for tool in tools:
        out += tool.lines()
    out += ["## A linear frame library", "", *peer_pynite.WORDS, ""]
    for tool in linear(form):
        out += tool.lines()
    return out[:-1]
