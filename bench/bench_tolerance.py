"""Time and memory of a tolerance study of the demo lift, every check in every sample, on this machine.

Each study runs in a process of its own, so that the memory is its own. Prints a table;
`--long` adds a million samples. What to trust is the ratio to the bare batch solve of the same samples.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from pathlib import Path

# The study has its own threads; a second layer of them inside numpy only gets in the way.
for variable in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    os.environ.setdefault(variable, "1")

ROOT = Path(__file__).resolve().parents[1]
LIFT = ROOT / "examples" / "hallowmere-viaduct" / "lift.yaml"
THREADS = 2


def study(samples: int) -> str:
    """One study after a warm-up: wall time, processor time, largest memory of the process."""
    import resource

    from plumbhook.model.files import read_lift
    from plumbhook.planning.assess import state_problem
    from plumbhook.planning.tolerance import tolerance_study
    from plumbhook.planning.tolerance_rig import StudyRig
    from plumbhook.planning.tolerance_run import BLOCK, draw, kernel_form
    from plumbhook.statics.kernel import solve_batch

    lift = read_lift(LIFT)
    tolerance_study(lift, samples=100, threads=THREADS)
    wall, used = time.perf_counter(), time.process_time()
    found = tolerance_study(lift, samples=samples, threads=THREADS)
    wall, used = time.perf_counter() - wall, time.process_time() - used
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    rig, form = StudyRig.of(lift, state_problem(lift)), kernel_form(samples)
    block = rig.samples(draw(rig.inputs, 1, 0))
    bare = min(_processor_time(lambda: solve_batch(rig.graph, block, form=form)) for _ in range(3))
    ratio = used / (bare * samples / BLOCK)
    sampled = sum(check.how == "sampled" for check in found.checks)
    return (
        f"| {samples:,} | {sampled} | {form.name} | {wall:.1f} | {used:.1f} | {memory:.0f} | {ratio:.1f} | "
        f"{found.not_at_rest} |"
    )


def _processor_time(action: object) -> float:
    start = time.process_time()
    action()  # type: ignore[operator]
    return time.process_time() - start


def main() -> None:
    """Run the studies, each in its own process."""
    print(
        "| samples | checks in each | form | wall s | processor s | memory MiB | over bare solve | without rest |"
    )
    print("|---|---|---|---|---|---|---|---|")
    for samples in (100_000, *((1_000_000,) if "--long" in sys.argv else ())):
        ran = subprocess.run(
            [sys.executable, __file__, "--one", str(samples)], check=True, capture_output=True, text=True
        )
        print(ran.stdout.strip())


if __name__ == "__main__":
    if "--one" in sys.argv:
        print(study(int(sys.argv[sys.argv.index("--one") + 1])))
    else:
        main()
