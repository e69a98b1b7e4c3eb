"""Potential energy of a rig, its gradient and its Hessian: plain functions over arrays.

The energy is the sum of the weights times the heights of the centres of gravity and of the elastic energy of
the elements. The increment of a body is a displacement and a rotation vector, ``R <- cayley(theta) R``, which
agrees with the exponential map to second order; so gradient and Hessian below are the exact derivatives at
zero increment.

See ``docs/theory/equilibrium.md`` for the formulas.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from plumbhook.statics._arrays import Floats, Ints, RigArrays, State


class Lines(NamedTuple):
    """What the elements do in a posture.

    Attributes:
        arm_i: (ne, 3) lever of the first end in world axes (m); zero for a hook. ``arm_j`` likewise.
        span: (ne, 3) from first to second end (m); for a support from the point straight up to its level.
        distance: (ne,) length of ``span`` (m).
        stretch: (ne,) elongation (m), negative for a loose line; for a support how far the point has sunk below
            its level, negative where it is clear of it.
        tension: (ne,) N; zero for a loose line; for a pin the magnitude of its force, for a support its push.
        active: (ne,) 1 where the element resists, 0 where it is loose.
    """

    arm_i: Floats
    arm_j: Floats
    span: Floats
    distance: Floats
    stretch: Floats
    tension: Floats
    active: Floats


def lines(arrays: RigArrays, stiffness: Floats, state: State) -> Lines:
    """Lengths and tensions of all elements in a posture, with the stiffness given (N/m)."""
    n_el, ends = len(arrays.body_i), arrays.structure.body_ends
    rotation = np.concatenate([state.rotation, _WORLD])
    position = np.concatenate([state.position_m, _ORIGIN])[ends]
    arm = (rotation[ends] @ arrays.lever_m[:, :, None])[:, :, 0]
    arm_i, arm_j = arm[:n_el], arm[n_el:]
    span = (position[n_el:] - position[:n_el]) + (arm_j - arm_i)
    supported = arrays.structure.has_supports
    if supported:
        # A support follows its point sideways, so that only heights count and nothing rubs.
        span[arrays.is_support, :2] = 0.0
    distance = np.sqrt((span * span).sum(axis=1))
    stretch = distance - arrays.length_m
    if supported:
        stretch = np.where(arrays.is_support, span[:, 2], stretch)
    loose = arrays.is_one_way & (stretch <= 0.0)
    tension = np.where(loose, 0.0, stiffness * stretch)
    return Lines(arm_i, arm_j, span, distance, stretch, tension, (~loose).astype(np.float64))


_WORLD = np.eye(3)[None]
_ORIGIN = np.zeros((1, 3))


def energy(arrays: RigArrays, stiffness: Floats, state: State) -> float:
    """Potential energy (N m); its zero is the datum and the unstretched lines."""
    now = lines(arrays, stiffness, state)
    elastic = 0.5 * float(now.tension @ now.stretch)
    return elastic + float(arrays.weight_N @ state.position_m[:, 2])


def gradient(arrays: RigArrays, now: Lines) -> Floats:
    """(6 nb,) derivative of the energy: minus the net force (N) and the net moment (N m) of each body."""
    force = _force_per_length(now)[:, None] * now.span
    parts = np.concatenate(
        [-force, cross(force, now.arm_i), force, cross(now.arm_j, force)],
        axis=1,
    )
    n_all = arrays.n_dof + 6
    total = _summed(arrays.structure.scatter_gradient, parts, n_all)[: arrays.n_dof]
    total[2::6] += arrays.weight_N
    return total


def _summed(index: Ints, values: Floats, size: int) -> Floats:
    return np.asarray(np.bincount(index, weights=values.ravel(), minlength=size), dtype=np.float64)


def _force_per_length(now: Lines) -> Floats:
    """Tension over length, whose product with the span is the force."""
    # A pin has no unstretched length, so its tension over its length is its stiffness; at zero length it has no force.
    return np.asarray(now.tension / _safe(now.distance))


def _safe(distance: Floats) -> Floats:
    """Distances to divide by: 1 in place of 0."""
    return np.asarray(distance + (distance <= 0.0))


def force_per_length(arrays: RigArrays, stiffness: Floats, now: Lines) -> Floats:
    """(ne,) force over span (N/m), for a pin its stiffness, at zero length as well."""
    per_length = _force_per_length(now)
    return np.where(arrays.is_pin, stiffness, per_length) if arrays.structure.has_unlike else per_length


def cross(a: Floats, b: Floats) -> Floats:
    """(n, 3) cross products of the rows, without the generality of ``numpy.cross`` that costs most of its time."""
    return np.asarray(a[:, _NEXT] * b[:, _LAST] - a[:, _LAST] * b[:, _NEXT])


_NEXT = np.array([1, 2, 0])
_LAST = np.array([2, 0, 1])


def skew(v: Floats) -> Floats:
    """(n, 3, 3) matrices of the cross product with the vectors (n, 3)."""
    out = np.zeros((len(v), 9))
    out[:, _SKEW_AT] = v[:, _SKEW_FROM] * _SKEW_SIGN
    return out.reshape(-1, 3, 3)


_SKEW_AT = np.array([1, 2, 3, 5, 6, 7])
_SKEW_FROM = np.array([2, 1, 2, 0, 1, 0])
_SKEW_SIGN = np.array([-1.0, 1.0, 1.0, -1.0, -1.0, 1.0])


def span_motion(now: Lines) -> Floats:
    """(ne, 3, 12) change of the span of every element with the motion of the bodies at its two ends."""
    n_el = len(now.span)
    turned = skew(np.concatenate([now.arm_i, now.arm_j]))
    out = np.empty((n_el, 3, 12))
    out[:, :, 0:3] = -_UNIT
    out[:, :, 3:6] = turned[:n_el]
    out[:, :, 6:9] = _UNIT
    np.negative(turned[n_el:], out=out[:, :, 9:12])
    return out


def unit_of(now: Lines) -> Floats:
    """(ne, 3) direction of every element from its first to its second end; zero where the ends coincide."""
    return np.asarray(now.span / _safe(now.distance)[:, None])


def point_stiffness(arrays: RigArrays, stiffness: Floats, now: Lines, unit: Floats) -> Floats:
    """(ne, 3, 3) stiffness of one end of every element against the other (N/m)."""
    # The force of a support keeps its direction: it has no stiffness across.
    across = force_per_length(arrays, stiffness, now)
    if arrays.structure.has_supports:
        across = np.where(arrays.is_support, 0.0, across)
    along = (stiffness * now.active - across)[:, None] * unit
    return np.asarray(along[:, :, None] * unit[:, None, :] + across[:, None, None] * _UNIT)


_UNIT = np.eye(3)


def hessian(arrays: RigArrays, stiffness: Floats, now: Lines) -> Floats:
    """(6 nb, 6 nb) second derivative of the energy at zero increment; loose lines contribute nothing."""
    n_el = len(now.span)
    motion = span_motion(now)
    blocks = motion.transpose(0, 2, 1) @ (point_stiffness(arrays, stiffness, now, unit_of(now)) @ motion)
    force = force_per_length(arrays, stiffness, now)[:, None] * now.span
    work = _turning(np.concatenate([-force, force]), np.concatenate([now.arm_i, now.arm_j]))
    blocks[:, 3:6, 3:6] += work[:n_el]
    blocks[:, 9:12, 9:12] += work[n_el:]
    n_all = arrays.n_dof + 6
    total = _summed(arrays.structure.scatter, blocks, n_all * n_all)
    return total.reshape(n_all, n_all)[: arrays.n_dof, : arrays.n_dof]


def _turning(force: Floats, arm: Floats) -> Floats:
    """(n, 3, 3) second-order work of a force on an arm that turns: ``(f a^T + a f^T)/2 - (f.a) I``."""
    outer = force[:, :, None] * arm[:, None, :]
    out = 0.5 * (outer + outer.transpose(0, 2, 1))
    work = (force * arm).sum(axis=1)
    np.einsum("nii->ni", out)[:] -= work[:, None]
    return out


def moved(state: State, step: Floats) -> State:
    """The posture after an increment (6 nb,): displacement (m) and rotation vector (rad) of every body."""
    q = step.reshape(-1, 6)
    h = 0.5 * q[:, 3:]
    turn = skew(h)
    factor = 2.0 / (1.0 + (h * h).sum(axis=1))
    change = factor[:, None, None] * (turn + turn @ turn)
    return State(state.position_m + q[:, :3], state.rotation + change @ state.rotation)
