"""What the kernel takes, by name: the order of its arguments, which are whole numbers, and how much room each needs."""

from __future__ import annotations

import inspect

from plumbhook.statics.kernel.rows import solve_rows

INTEGERS = frozenset(
    {
        "end_a",
        "end_b",
        "law",
        "mode_end",
        "mode_spins",
        "mode_members",
        "out_status",
        "out_iterations",
        "phase",
        "iterations",
        "trials",
        "polished",
        "status",
        "need",
        "take",
    }
)
SCALARS = (
    "lanes",
    "n_rows",
    "n_bodies",
    "n_elements",
    "n_hooks",
    "n_modes",
    "limit_steps",
    "watched",
    "tolerance",
)
ARGUMENTS = tuple(inspect.signature(solve_rows).parameters)
ARRAYS = ARGUMENTS[len(SCALARS) :]


def written_sizes(
    lanes: int, rows: int, n_bodies: int, n_elements: int, n_hooks: int, n_modes: int
) -> dict[str, int]:
    """Length of every array that the kernel writes: results by rows, and room for one block of lanes."""
    blocks = 18 * n_bodies * (n_bodies + 1)
    per_row = {
        "out_tension": n_elements,
        "out_compliance": 3,
        "out_position": 3 * n_bodies,
        "out_rotation": 9 * n_bodies,
    }
    per_lane = {
        **dict.fromkeys(("weight",), n_bodies),
        **dict.fromkeys(("metric",), 2 * n_bodies),
        **dict.fromkeys(("shift", "position", "trial_position"), 3 * n_bodies),
        **dict.fromkeys(("gradient", "motion", "inverse", "found", "step"), 6 * n_bodies),
        **dict.fromkeys(("rotation", "trial_rotation"), 9 * n_bodies),
        **dict.fromkeys(("length", "stiffness", "tension", "across", "along"), n_elements),
        **dict.fromkeys(("arm_a", "arm_b", "span"), 3 * n_elements),
        **dict.fromkeys(("matrix", "work", "lower"), blocks),
        **dict.fromkeys(("place_a", "place_b", "compliance"), 3),
        **dict.fromkeys(("held", "rest"), 6),
        "hook": 3 * n_hooks,
        "mode_on": n_modes,
    }
    written = ARRAYS[ARRAYS.index("out_tension") :]
    return {
        name: rows * per_row.get(name, 1) if name.startswith("out_") else lanes * per_lane.get(name, 1)
        for name in written
    }
