"""Time of the statics kernel beside plain primitives and general tools, on the same rigs, in one run.

Prints a table and writes it to docs/benchmarks.md. Times are the best of several; what to trust are the ratios.
"""

from __future__ import annotations

import contextlib
import datetime
import importlib.metadata
import os
import platform
import sys
import time
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from unittest import mock

# One thread in numpy, so that one thread is compared with one thread.
for variable in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(variable, "1")

import numpy as np

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

import peers
from peers import best
from tests.scenarios.variants import example
from tests.statics.rigs import KINDS, random_rig

from plumbhook.model.rig_graph import Pose, RigGraph
from plumbhook.planning.assemble import assemble
from plumbhook.planning.assess import state_problem
from plumbhook.statics import _solve, solve
from plumbhook.statics.kernel import BatchSamples, solve_batch
from plumbhook.statics.kernel.drive import Session, all_modes, rest_state, solve_single
from plumbhook.statics.kernel.forms import Form, Interpreted, chosen_form
from plumbhook.statics.kernel.problem import Problem

SAMPLES = 50_000
PACKAGES = ("numpy", "scipy", "numba", "llvmlite", "mujoco", "openseespylinux", "moorpy", "PyNiteFEA")
WORDS = {
    "a": "strut, two-point load",
    "b": "strut, four-point load",
    "c": "strut over two struts",
    "d": "four legs, one hook",
    "e": "three legs, one hook",
    "f": "rigid frame",
    "g": "two hooks, four legs",
    "F": "frame of pinned struts",
}


@dataclass
class Row:
    """Times of one kind of rig (s)."""

    kind: str
    unknowns: int
    call: float
    single: float
    warm_steps: int
    one: float
    proved: float
    gain: float
    cholesky: float
    steps: float
    resolved: int


def samples_of(problem: Problem, count: int) -> BatchSamples:
    """Mass 3 %, length 0.5 %, stiffness 10 %, centre of gravity of the load 2 % of the mean length."""
    draw = np.random.default_rng(1)
    graph, nominal = problem.graph, problem.nominal
    n_bodies, n_elements = len(graph.bodies), len(graph.elements)
    is_load = np.array([body.name == "load" for body in graph.bodies])
    reach = 0.02 * problem.arrays.size_m
    masses = np.array([body.mass_kg for body in graph.bodies])
    return BatchSamples(
        mass_kg=masses * (1.0 + 0.03 * draw.uniform(-1, 1, (count, n_bodies))),
        cog_shift_m=reach * draw.uniform(-1, 1, (count, n_bodies, 3)) * is_load[:, None],
        unstretched_length_m=nominal.length * (1.0 + 0.005 * draw.uniform(-1, 1, (count, n_elements))),
        stiffness_factor=1.0 + 0.1 * draw.uniform(-1, 1, (count, n_elements)),
    )


def cholesky_s(unknowns: int, count: int) -> float:
    """Time per matrix of one factorisation of a batch of matrices of that size (s)."""
    draw = np.random.default_rng(2)
    half = draw.standard_normal((count, unknowns, unknowns))
    matrices = half @ half.transpose(0, 2, 1) + unknowns * np.eye(unknowns)
    return best(lambda: np.linalg.cholesky(matrices), 5) / count


def measured(kind: str, form: Form, count: int) -> Row:
    problem = Problem(random_rig(kind, 1))
    modes, row = all_modes(problem), problem.nominal
    rest = rest_state(row, solve_single(form, problem, row))
    session = Session(form, 1, problem, modes, 1)
    # One edit in an editor: the load's centre of gravity moved by a hundredth of the mean length.
    row.shift[0, -1, 0] = 0.01 * problem.arrays.size_m
    found = session.solve(row, rest)
    assert found.status[0] == 0
    graph, samples = problem.graph, samples_of(problem, count)
    results = []
    one = best(lambda: results.append(solve_batch(graph, samples, form=form, proof=False)), 3)
    proved = best(lambda: solve_batch(graph, samples, form=form), 3)
    wall = time.perf_counter
    two = best(lambda: solve_batch(graph, samples, form=form, threads=2), 3, wall)
    one_wall = best(lambda: solve_batch(graph, samples, form=form), 3, wall)
    unknowns = problem.arrays.n_dof
    return Row(
        kind=kind,
        unknowns=unknowns,
        call=best(lambda: solve(graph), 20),
        single=best(lambda: session.solve(row, rest), 200),
        warm_steps=int(found.iterations[0]),
        one=one / count,
        proved=proved / count,
        gain=one_wall / two,
        cholesky=cholesky_s(unknowns, min(count, 4_000_000 // unknowns**2)),
        steps=float(results[0].iterations.mean()),
        resolved=results[0].resolved,
    )


def machine_lines(form: Form) -> list[str]:
    name = platform.processor() or platform.machine()
    info = Path("/proc/cpuinfo")
    if info.is_file():
        models = [
            line for line in info.read_text(encoding="utf-8").splitlines() if line.startswith("model name")
        ]
        name = models[0].split(":", 1)[1].strip() if models else name
    versions = [f"Python {platform.python_version()}"]
    for package in PACKAGES:
        with contextlib.suppress(importlib.metadata.PackageNotFoundError):
            versions.append(f"{package} {importlib.metadata.version(package)}")
    today = datetime.datetime.now(tz=datetime.UTC).date().isoformat()
    return [
        f"Date {today}; {name}, {os.cpu_count()} cores; {platform.system()}; {', '.join(versions)}.",
        f"Form of the kernel: {form.name}.",
    ]


def table(rows: list[Row], count: int) -> list[str]:
    out = [
        f"| rig | unknowns | `solve`, whole | warm edit | steps | batch of {count} | "
        "with proof | Cholesky | batch / Cholesky | 2 threads | steps | again |",
        "|---|---|---|---|---|---|---|---|---|---|---|",
    ]
    out += [
        f"| {row.kind}: {WORDS[row.kind]} | {row.unknowns} | {1e6 * row.call:.0f} | {1e6 * row.single:.1f} | "
        f"{row.warm_steps} | {1e6 * row.one:.2f} | {1e6 * row.proved:.2f} | {1e6 * row.cholesky:.2f} | "
        f"**{row.one / row.cholesky:.1f}** | {row.gain:.1f} | {row.steps:.1f} | {row.resolved} |"
        for row in rows
    ]
    return out


@dataclass
class PublicCall:
    """Times of the whole public call on one rig (s)."""

    name: str
    reference: float
    anew: float
    again: float
    near: float


def variants_of(graph: RigGraph, count: int) -> list[RigGraph]:
    """Rigs that are put together alike and differ a little in every mass and length, each seen for the first time."""
    return [
        replace(
            graph,
            bodies=tuple(replace(body, mass_kg=body.mass_kg * (1.0 + 1e-6 * n)) for body in graph.bodies),
            elements=tuple(
                element
                if element.unstretched_length_m is None
                else replace(element, unstretched_length_m=element.unstretched_length_m * (1.0 + 1e-7 * n))
                for element in graph.elements
            ),
        )
        for n in range(1, 1 + count)
    ]


def median(graphs: list[RigGraph], start: Mapping[str, Pose] | None = None) -> float:
    """Middle of the times of one solve of each rig with its sensitivities (s, of the processor)."""
    times = []
    for graph in graphs:
        begun = time.process_time()
        _ = solve(graph, start=start).sensitivities
        times.append(time.process_time() - begun)
    return float(np.median(times))


def public_calls(count: int = 200) -> list[PublicCall]:
    """The whole public call on rigs of the kinds c and F and on the rig of an example, warm."""
    lift = state_problem(example("hallowmere-viaduct"))
    cog = (0.0, 0.0, 1.545)
    rig = assemble(
        lift.rig,
        lift.layout,
        lift.lift_points_m,
        load_mass_kg=lift.design_mass_kg,
        cog_m=cog,
        gravity_m_s2=9.81,
    )
    graphs = {f"{kind}: {WORDS[kind]}": random_rig(kind, 1) for kind in ("a", "c", "F")}
    graphs["example hallowmere-viaduct"] = rig.graph
    out = []
    for name, graph in graphs.items():
        rest = solve(graph).poses
        with mock.patch.object(_solve, "chosen_form", Interpreted):
            reference = median(variants_of(graph, count // 4))
        out.append(
            PublicCall(
                name,
                reference,
                anew=median(variants_of(graph, count)),
                again=median([graph] * count),
                near=median(variants_of(graph, count), rest),
            )
        )
    return out


def public_call_lines() -> list[str]:
    out = [
        "## The public call",
        "",
        "`solve` with validation, verdict, proof, result objects and sensitivities to every input, middle of many in a",
        "warm process, microseconds of processor time: a new rig by the reference solver alone, as where no compiled",
        "kernel is at hand; a new rig, put together like one seen before but other numbers; the same rig again; and a",
        "new rig from a start near its rest.",
        "",
        "| rig | reference | new rig | same rig again | new rig, near start |",
        "|---|---|---|---|---|",
    ]
    out += [
        f"| {row.name} | {1e6 * row.reference:.0f} | **{1e6 * row.anew:.0f}** | {1e6 * row.again:.0f} | "
        f"{1e6 * row.near:.0f} |"
        for row in public_calls()
    ]
    return [*out, ""]


def page(form: Form) -> list[str]:
    count = SAMPLES if form.name != "interpreted" else 20
    return [
        "# Benchmarks",
        "",
        "Written by `make bench`; do not edit. Ratios of one run are what to trust, single times are not.",
        "",
        *machine_lines(form),
        "",
        "## The kernel",
        "",
        "Microseconds of processor time on one thread, the best of several. `solve, whole` is the public call with",
        "verdict and proof from the drawn posture; `warm edit` the kernel called from Python after one change, from",
        "the last rest; the batch is per sample, every sample verified (residual and stability), and `with proof` by",
        "independent sums as well; `Cholesky` is `numpy.linalg.cholesky` of a batch of matrices of the same size, per",
        "matrix; `2 threads` is how much sooner two threads end a batch with proof than one, by the clock on the wall,",
        "which says little where other work keeps the machine busy; `again` counts",
        "samples solved again from cold.",
        "",
        *table([measured(kind, form, count) for kind in KINDS], count),
        "",
        *public_call_lines(),
        *peers.lines(form),
    ]


def main() -> None:
    form = chosen_form(worth_compiling=True)
    lines = page(form)
    print("\n".join(lines))
    (ROOT / "docs" / "benchmarks.md").write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main()
