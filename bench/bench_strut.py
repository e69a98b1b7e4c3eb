"""Time of a capacity chart of a strut of pieces beside plain batches of small linear systems, in one run.

A chart of 100 spans by 100 angles with four pieces: largest compression at every place by a root of the second-order
solution. What to trust is the ratio: time per second-order solution over time per 3 x 3 system of numpy.
"""

from __future__ import annotations

import os

# One thread, so that one thread is compared with one thread.
for variable in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(variable, "1")

import time
from collections.abc import Callable

import numpy as np

from plumbhook.checks.asme_bth_1.compression import StrutBasis
from plumbhook.checks.sections import CircularHollowSection
from plumbhook.planning.capacity_chart import StrutPattern, capacity_chart
from plumbhook.statics.beam_column import BeamColumn, critical_load_N, solve

SPANS = np.linspace(2.0, 12.0, 100)
ANGLES = np.radians(np.linspace(15.0, 60.0, 100))
GOAL_S = 0.25


def best(action: Callable[[], object], times: int = 7) -> float:
    """Shortest processor time of several (s)."""
    found = []
    for _ in range(times):
        start = time.process_time()
        action()
        found.append(time.process_time() - start)
    return min(found)


def pattern(end_offset_m: float) -> StrutPattern:
    basis = StrutBasis(
        section=CircularHollowSection.of_dimensions(0.2191, 0.010), line_mass_kg_per_m=66.0, gravity_m_s2=9.81,
        dynamic_factor=1.1, pin_offset_m=0.008, yield_Pa=355e6, elastic_modulus_Pa=210e9, design_factor=3.0,
    )  # fmt: skip
    return StrutPattern(basis, "a", (0.3, 0.4, 0.2, 0.1), end_offset_m, 40e6, pins_apart_m=0.02)


def main() -> None:
    for pieces, offset in ((4, 0.0), (6, 0.2)):
        strut = pattern(offset)
        for routes in (("allowable_stress",), ("allowable_stress", "second_order")):
            took = best(lambda s=strut, r=routes: capacity_chart(s, SPANS, ANGLES, routes=r))
            goal = f"  (goal {GOAL_S} s)" if pieces == 4 and len(routes) == 1 else ""
            print(f"chart 100 x 100, {pieces} pieces, {len(routes)} rule(s): {took:.3f} s{goal}")
    count = 1000
    lengths = np.array([1.2, 1.6, 0.8, 0.4])
    member = BeamColumn.of(lengths, 7.5e6, line_load_N_per_m=700.0, splice_Nm_per_rad=40e6)
    forces = np.linspace(0.05, 0.9, count) * critical_load_N(member)
    mine = best(lambda: solve(member, forces).largest_moment_Nm(), 50) / count
    rng = np.random.default_rng(1)
    matrices = rng.standard_normal((count, 3, 3)) + 4.0 * np.eye(3)
    sides = rng.standard_normal((count, 3, 1))
    plain = best(lambda: np.linalg.solve(matrices, sides), 50) / count
    print(f"second-order solution with the largest moment, four pieces: {1e6 * mine:.2f} us")
    print(f"numpy solve of a 3 x 3 system in a batch: {1e6 * plain:.2f} us; ratio {mine / plain:.1f}")


if __name__ == "__main__":
    main()
