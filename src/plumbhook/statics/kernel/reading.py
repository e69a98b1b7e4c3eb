"""What a rig does in a posture, by the kernel: forces, stiffness and what each input changes, in one call."""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from plumbhook.statics._arrays import Ints, RigArrays, State
from plumbhook.statics._energy import Lines
from plumbhook.statics._seen import Seen
from plumbhook.statics._stiffness import Stiffness
from plumbhook.statics._structure import Structure
from plumbhook.statics.kernel.at_rest import found_sizes
from plumbhook.statics.kernel.forms import Form
from plumbhook.statics.kernel.posture import LINK, PIN, SLING

_REMEMBERED = 64


@dataclass(frozen=True, slots=True, eq=False)
class _Plan:
    """Integers of all rigs of a structure, and which part of what is found is what."""

    wholes: Ints
    size: int
    parts: tuple[tuple[int, int, tuple[int, ...]], ...]


@lru_cache(maxsize=_REMEMBERED)
def _plan(structure: Structure) -> _Plan:
    n_bodies, n_elements = structure.n_bodies, len(structure.elements)
    n_points, n_hooks = len(structure.point_body), len(structure.hooks)
    places = np.where(structure.body_ends < n_bodies, -1, structure.place_ends)
    law = np.select([structure.is_sling, structure.is_pin], [SLING, PIN], LINK)
    counts = (n_bodies, n_elements, n_points, int(structure.is_line.sum()), n_hooks)
    wholes = np.concatenate([counts, structure.body_ends, places, law, structure.point_body]).astype(np.int64)
    wholes.flags.writeable = False
    first, parts = 0, []
    for _, shape in found_sizes(*counts):
        last = first + math.prod(shape)
        parts.append((first, last, shape))
        first = last
    return _Plan(wholes, first, tuple(parts))


def read_posture(form: Form, arrays: RigArrays, state: State) -> Seen:
    """Read a rig without supports.

    Args:
        form: form of the kernel.
        arrays: the rig.
        state: the posture.

    Raises:
        ValueError: the rig has supports.
    """
    if arrays.structure.has_supports:
        raise ValueError("a rig on supports is read by the reference solver")
    plan = _plan(arrays.structure)
    given = np.concatenate(
        (
            arrays.values,
            arrays.lever_m.reshape(-1),
            arrays.stiffness_N_m,
            arrays.reference_m.reshape(-1),
            state.position_m.reshape(-1),
            state.rotation.reshape(-1),
        )
    )
    found = np.zeros(plan.size)
    form.read(plan.wholes, given, found)
    arm, span, distance, stretch, tension, active, unit, lever, matrix, stretches, pulls, load, direct, _ = [
        found[first:last].reshape(shape) for first, last, shape in plan.parts
    ]
    n_elements = len(distance)
    return Seen(
        Lines(arm[:n_elements], arm[n_elements:], span, distance, stretch, tension, active),
        unit,
        lever,
        Stiffness(matrix, stretches, pulls),
        (load, direct),
    )
