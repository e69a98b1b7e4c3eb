"""Kernel, part 1: samples into lanes, postures, forces and energy.

The kernel (this module, ``stiffness``, ``factor``, ``newton`` and ``rows``) is plain loops over flat arrays. An array
holds ``lanes`` samples side by side: entry ``n`` of lane ``v`` is ``array[n * lanes + v]``, so that the innermost
loop over ``v`` does the same arithmetic for every sample and a compiler can use one register for several of them. No
lane ever reads another, so a sample has the same digits in any lane and in any company. Arrays may be lists.

Rules that keep interpreted and compiled digits the same: only ``+ - * /`` and ``math.sqrt`` on numbers; no division
by zero is ever evaluated; nothing is allocated, raised or called from outside the kernel.

Ends of elements are numbered: below ``n_bodies`` a body, from there on a hook. The level of a support is a hook of its
own at that height, of which nothing but the height is looked at. Lengths m, forces N.
"""

from __future__ import annotations

import math
from collections.abc import MutableSequence, Sequence
from typing import TypeVar

Numbers = MutableSequence[float]
Given = Sequence[float]
Whole = Sequence[int]
Counts = MutableSequence[int]
Entry = TypeVar("Entry", int, float)

SLING = 0
LINK = 1
PIN = 2
SUPPORT = 3

EPS = 2.220446049250313e-16


def gather(lanes: int, first: int, last: int, size: int, source: Given, target: Numbers) -> None:
    """Row ``first + v`` of a table of rows of ``size`` into lane ``v``; after row ``last`` that row again."""
    for n in range(size):
        for v in range(lanes):
            row = first + v if first + v < last else last
            target[n * lanes + v] = source[row * size + n]


def scatter(
    lanes: int, first: int, last: int, size: int, source: Sequence[Entry], target: MutableSequence[Entry]
) -> None:
    """Lanes back into the rows of a table, the opposite of :func:`gather`."""
    for v in range(lanes):
        if first + v <= last:
            for n in range(size):
                target[(first + v) * size + n] = source[n * lanes + v]


def set_start(
    lanes: int,
    n_bodies: int,
    start_position: Given,
    start_rotation: Given,
    shift: Given,
    position: Numbers,
    rotation: Numbers,
) -> None:
    """Every lane into the start posture; a centre of gravity moved in its body is moved in space as well."""
    for body in range(n_bodies):
        for row in range(3):
            at = 3 * body + row
            place = start_position[at]
            r0 = start_rotation[3 * at]
            r1 = start_rotation[3 * at + 1]
            r2 = start_rotation[3 * at + 2]
            for v in range(lanes):
                x = shift[(3 * body) * lanes + v]
                y = shift[(3 * body + 1) * lanes + v]
                z = shift[(3 * body + 2) * lanes + v]
                position[at * lanes + v] = place + (r0 * x + r1 * y + r2 * z)
                rotation[(3 * at) * lanes + v] = r0
                rotation[(3 * at + 1) * lanes + v] = r1
                rotation[(3 * at + 2) * lanes + v] = r2


def set_scales(
    lanes: int,
    n_bodies: int,
    n_elements: int,
    tolerance: float,
    end_a: Whole,
    end_b: Whole,
    law: Whole,
    lever_a: Given,
    lever_b: Given,
    weight: Given,
    shift: Given,
    length: Given,
    stiffness: Given,
    hook: Given,
    total: Numbers,
    size: Numbers,
    wanted: Numbers,
    limit: Numbers,
    reach_a: Numbers,
    reach_b: Numbers,
    metric: Numbers,
) -> None:
    """Scales of every lane: total weight, mean line length, force limits and stiffness of each coordinate alone.

    ``wanted`` is the tolerance times the weight, ``limit`` the same but not below the rounding floor of the
    elongations; ``metric`` holds two numbers per body, for its displacements (N/m) and its rotations (N m).
    """
    lines = 0
    for e in range(n_elements):
        if law[e] < PIN:
            lines += 1
    for v in range(lanes):
        total[v] = 0.0
        size[v] = 0.0
        limit[v] = 0.0
        wanted[v] = 0.0
        reach_a[v] = 0.0
        reach_b[v] = 0.0
    for n in range(2 * n_bodies):
        for v in range(lanes):
            metric[n * lanes + v] = 0.0
    for body in range(n_bodies):
        for v in range(lanes):
            total[v] += weight[body * lanes + v]
    for e in range(n_elements):
        _stretch_reach(lanes, n_bodies, e, end_a[e], lever_a, shift, stiffness, hook, reach_a, size, metric)
        _stretch_reach(lanes, n_bodies, e, end_b[e], lever_b, shift, stiffness, hook, reach_b, size, metric)
    longest_lever = 1e-3
    for n in range(3 * n_elements):
        longest_lever = _larger(longest_lever, _larger(abs(lever_a[n]), abs(lever_b[n])))
    for v in range(lanes):
        size[v] = 0.0 if lines > 0 else longest_lever
    for e in range(n_elements):
        for v in range(lanes):
            # ``wanted`` and ``limit`` first hold the longest length and the largest stiffness.
            wanted[v] = _larger(wanted[v], length[e * lanes + v])
            limit[v] = _larger(limit[v], stiffness[e * lanes + v])
        if law[e] < PIN:
            for v in range(lanes):
                size[v] += length[e * lanes + v]
    for v in range(lanes):
        if lines > 0:
            size[v] /= lines
        floor = 64.0 * EPS * limit[v] * (reach_a[v] + reach_b[v] + wanted[v])
        wanted[v] = tolerance * total[v]
        limit[v] = _larger(wanted[v], floor)
    for body in range(n_bodies):
        for v in range(lanes):
            turning = 1e-4 * (size[v] * size[v]) * metric[(2 * body) * lanes + v]
            metric[(2 * body + 1) * lanes + v] = _larger(metric[(2 * body + 1) * lanes + v], turning)


def _larger(a: float, b: float) -> float:
    return a if a > b else b


def _stretch_reach(
    lanes: int,
    n_bodies: int,
    e: int,
    end: int,
    lever: Given,
    shift: Given,
    stiffness: Given,
    hook: Given,
    reach: Numbers,
    arm_squared: Numbers,
    metric: Numbers,
) -> None:
    """One end of an element into the largest coordinate so far and into the metric of its body."""
    for v in range(lanes):
        arm_squared[v] = 0.0
    for row in range(3):
        for v in range(lanes):
            if end < n_bodies:
                x = lever[3 * e + row] - shift[(3 * end + row) * lanes + v]
            else:
                x = hook[(3 * (end - n_bodies) + row) * lanes + v]
            reach[v] = _larger(reach[v], abs(x))
            arm_squared[v] += x * x
    if end < n_bodies:
        for v in range(lanes):
            k = stiffness[e * lanes + v]
            metric[(2 * end) * lanes + v] += k
            metric[(2 * end + 1) * lanes + v] += k * arm_squared[v]


def move(
    lanes: int,
    n_bodies: int,
    position: Given,
    rotation: Given,
    step: Given,
    fraction: Given,
    trial_position: Numbers,
    trial_rotation: Numbers,
) -> None:
    """The posture after a fraction of a step (displacement, rotation vector) of every body.

    Rotations are turned by Cayley's formula, which keeps them orthogonal without trigonometry.
    """
    for body in range(n_bodies):
        p = 3 * body
        q = 6 * body
        for v in range(lanes):
            f = fraction[v]
            trial_position[p * lanes + v] = position[p * lanes + v] + f * step[q * lanes + v]
            trial_position[(p + 1) * lanes + v] = (
                position[(p + 1) * lanes + v] + f * step[(q + 1) * lanes + v]
            )
            trial_position[(p + 2) * lanes + v] = (
                position[(p + 2) * lanes + v] + f * step[(q + 2) * lanes + v]
            )
        for column in range(3):
            r = 9 * body + column
            for v in range(lanes):
                f = 0.5 * fraction[v]
                hx = f * step[(q + 3) * lanes + v]
                hy = f * step[(q + 4) * lanes + v]
                hz = f * step[(q + 5) * lanes + v]
                factor = 2.0 / (1.0 + (hx * hx + hy * hy + hz * hz))
                x = rotation[r * lanes + v]
                y = rotation[(r + 3) * lanes + v]
                z = rotation[(r + 6) * lanes + v]
                cx = hy * z - hz * y
                cy = hz * x - hx * z
                cz = hx * y - hy * x
                trial_rotation[r * lanes + v] = x + factor * (cx + (hy * cz - hz * cy))
                trial_rotation[(r + 3) * lanes + v] = y + factor * (cy + (hz * cx - hx * cz))
                trial_rotation[(r + 6) * lanes + v] = z + factor * (cz + (hx * cy - hy * cx))


def place_end(
    lanes: int,
    n_bodies: int,
    e: int,
    end: int,
    lever: Given,
    shift: Given,
    hook: Given,
    position: Given,
    rotation: Given,
    arm: Numbers,
    place: Numbers,
) -> None:
    """World place of one end of an element, and its arm from the centre of gravity (zero for a hook)."""
    a = 3 * e
    if end < n_bodies:
        p = 3 * end
        r = 9 * end
        lx = lever[a]
        ly = lever[a + 1]
        lz = lever[a + 2]
        for row in range(3):
            for v in range(lanes):
                x = lx - shift[p * lanes + v]
                y = ly - shift[(p + 1) * lanes + v]
                z = lz - shift[(p + 2) * lanes + v]
                turned = (
                    rotation[(r + 3 * row) * lanes + v] * x
                    + rotation[(r + 3 * row + 1) * lanes + v] * y
                    + rotation[(r + 3 * row + 2) * lanes + v] * z
                )
                arm[(a + row) * lanes + v] = turned
                place[row * lanes + v] = position[(p + row) * lanes + v] + turned
    else:
        h = 3 * (end - n_bodies)
        for row in range(3):
            for v in range(lanes):
                arm[(a + row) * lanes + v] = 0.0
                place[row * lanes + v] = hook[(h + row) * lanes + v]


def stretch(
    lanes: int,
    e: int,
    law: int,
    place_a: Given,
    place_b: Given,
    length: Given,
    stiffness: Given,
    span: Numbers,
    tension: Numbers,
    across: Numbers,
    along: Numbers,
    elongation: Numbers,
    energy: Numbers,
) -> None:
    """Tension and energy of an element between two places.

    The force is ``across * span``; the stiffness of one end against the other is
    ``across * I + along * span span^T``. A loose sling has neither. A support has a force and a stiffness straight up
    only: its span is from its point to its level, and a span below zero is clear of it.
    """
    flat = 0.0 if law == SUPPORT else 1.0
    loose = 0.0 if law == SLING else flat
    for v in range(lanes):
        x = flat * (place_b[v] - place_a[v])
        y = flat * (place_b[lanes + v] - place_a[lanes + v])
        z = place_b[2 * lanes + v] - place_a[2 * lanes + v]
        distance = math.sqrt(x * x + y * y + z * z)
        inverse = 1.0 / distance if distance > 0.0 else 0.0
        longer = z if law == SUPPORT else distance - length[e * lanes + v]
        k = stiffness[e * lanes + v] * (1.0 if longer > 0.0 else loose)
        pull = k * longer
        c = k if law >= PIN else pull * inverse
        span[(3 * e) * lanes + v] = x
        span[(3 * e + 1) * lanes + v] = y
        span[(3 * e + 2) * lanes + v] = z
        tension[e * lanes + v] = pull
        across[e * lanes + v] = c
        along[e * lanes + v] = 0.0 if law >= PIN else (k - c) * inverse * inverse
        elongation[v] = longer if longer > elongation[v] else elongation[v]
        energy[v] += 0.5 * pull * longer


def pull_body(
    lanes: int, e: int, body: int, sign: float, arm: Given, span: Given, across: Given, gradient: Numbers
) -> None:
    """Force and moment of an element on the body at one end, into minus the net force and moment."""
    a = 3 * e
    g = 6 * body
    for v in range(lanes):
        f = sign * across[e * lanes + v]
        fx = f * span[a * lanes + v]
        fy = f * span[(a + 1) * lanes + v]
        fz = f * span[(a + 2) * lanes + v]
        x = arm[a * lanes + v]
        y = arm[(a + 1) * lanes + v]
        z = arm[(a + 2) * lanes + v]
        gradient[g * lanes + v] += fx
        gradient[(g + 1) * lanes + v] += fy
        gradient[(g + 2) * lanes + v] += fz
        gradient[(g + 3) * lanes + v] += y * fz - z * fy
        gradient[(g + 4) * lanes + v] += z * fx - x * fz
        gradient[(g + 5) * lanes + v] += x * fy - y * fx


def weigh(
    lanes: int, n_bodies: int, weight: Given, position: Given, gradient: Numbers, energy: Numbers
) -> None:
    """The weights alone: gradient and energy of a posture before any element pulls."""
    for v in range(lanes):
        energy[v] = 0.0
    for body in range(n_bodies):
        for n in range(6):
            for v in range(lanes):
                gradient[(6 * body + n) * lanes + v] = 0.0
        for v in range(lanes):
            w = weight[body * lanes + v]
            gradient[(6 * body + 2) * lanes + v] = w
            energy[v] += w * position[(3 * body + 2) * lanes + v]


def forces(
    lanes: int,
    n_bodies: int,
    n_elements: int,
    end_a: Whole,
    end_b: Whole,
    law: Whole,
    lever_a: Given,
    lever_b: Given,
    weight: Given,
    shift: Given,
    length: Given,
    stiffness: Given,
    hook: Given,
    position: Given,
    rotation: Given,
    place_a: Numbers,
    place_b: Numbers,
    arm_a: Numbers,
    arm_b: Numbers,
    span: Numbers,
    tension: Numbers,
    across: Numbers,
    along: Numbers,
    elongation: Numbers,
    energy: Numbers,
    gradient: Numbers,
) -> None:
    """Energy of a posture, its gradient (minus the net force and moment of each body), and all elements."""
    weigh(lanes, n_bodies, weight, position, gradient, energy)
    for v in range(lanes):
        elongation[v] = 0.0
    for e in range(n_elements):
        a = end_a[e]
        b = end_b[e]
        place_end(lanes, n_bodies, e, a, lever_a, shift, hook, position, rotation, arm_a, place_a)
        place_end(lanes, n_bodies, e, b, lever_b, shift, hook, position, rotation, arm_b, place_b)
        stretch(
            lanes,
            e,
            law[e],
            place_a,
            place_b,
            length,
            stiffness,
            span,
            tension,
            across,
            along,
            elongation,
            energy,
        )
        if a < n_bodies:
            pull_body(lanes, e, a, -1.0, arm_a, span, across, gradient)
        if b < n_bodies:
            pull_body(lanes, e, b, 1.0, arm_b, span, across, gradient)
