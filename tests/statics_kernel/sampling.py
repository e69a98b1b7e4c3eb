"""Samples of a rig, and the rig graph that each sample stands for."""

from dataclasses import fields, replace

import numpy as np

from plumbhook.statics.kernel import BatchSamples


def scattered(rig, count, seed=0, size=1.0):
    """Masses, lengths, stiffnesses and the load's centre of gravity off by some per cent; hooks stay."""
    draw = np.random.default_rng(seed)

    def around(*shape):
        return draw.uniform(-size, size, shape)

    bodies, elements = len(rig.bodies), len(rig.elements)
    lengths = np.array([element.unstretched_length_m or 0.0 for element in rig.elements])
    is_load = np.array([body.name == "load" for body in rig.bodies])
    return BatchSamples(
        mass_kg=np.array([body.mass_kg for body in rig.bodies]) * (1.0 + 0.05 * around(count, bodies)),
        cog_shift_m=0.02 * lengths.max() * around(count, bodies, 3) * is_load[:, None],
        unstretched_length_m=lengths * (1.0 + 0.005 * around(count, elements)),
        stiffness_factor=1.0 + 0.2 * around(count, elements),
    )


def rows_of(samples, rows):
    """Some of the samples."""
    arrays = {own.name: getattr(samples, own.name) for own in fields(samples)}
    return BatchSamples(**{name: None if array is None else array[rows] for name, array in arrays.items()})


def graph_of(rig, samples, row):
    """The rig graph that a sample stands for."""

    def moved(body, shift):
        return tuple(float(a + b) for a, b in zip(body.cog_m, shift, strict=True))

    bodies, elements, hooks = list(rig.bodies), list(rig.elements), list(rig.hooks_m)
    if samples.mass_kg is not None:
        bodies = [replace(b, mass_kg=float(m)) for b, m in zip(bodies, samples.mass_kg[row], strict=True)]
    if samples.cog_shift_m is not None:
        bodies = [
            replace(b, cog_m=moved(b, shift))
            for b, shift in zip(bodies, samples.cog_shift_m[row], strict=True)
        ]
    if samples.unstretched_length_m is not None:
        elements = [
            e if e.EA_N is None else replace(e, unstretched_length_m=float(length))
            for e, length in zip(elements, samples.unstretched_length_m[row], strict=True)
        ]
    if samples.stiffness_factor is not None:
        elements = [
            replace(e, stiffness_N_per_m=e.stiffness_N_per_m * float(factor))
            if e.EA_N is None
            else replace(e, EA_N=e.EA_N * float(factor))
            for e, factor in zip(elements, samples.stiffness_factor[row], strict=True)
        ]
    if samples.hook_position_m is not None:
        hooks = [
            replace(h, position_m=tuple(map(float, at)))
            for h, at in zip(hooks, samples.hook_position_m[row], strict=True)
        ]
    return replace(rig, bodies=tuple(bodies), elements=tuple(elements), hooks_m=tuple(hooks))


def same_digits(first, second):
    """Names of the arrays of two results that differ in any digit."""
    different = []
    for own in fields(first):
        a, b = getattr(first, own.name), getattr(second, own.name)
        if isinstance(a, np.ndarray) and not np.array_equal(a, b, equal_nan=a.dtype.kind == "f"):
            different.append(own.name)
    return different


def tensions(rig, result):
    """Tensions of a single solve in the order of the elements."""
    return np.array([result.tensions_N[element.name] for element in rig.elements])
