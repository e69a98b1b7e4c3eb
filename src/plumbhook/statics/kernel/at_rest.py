"""Kernel, part 7: all that is read off one rig in a posture: forces, stiffness, and what each input changes.

One sample, no lanes. Written apart from the iteration, which adds up blocks of bodies: here the motion of every element
with the bodies at its ends is formed first, and the stiffness from that. No supports.

Ends of elements are numbered by body, ``n_bodies`` for a hook. Lengths m, forces N.
"""

from __future__ import annotations

import math

from plumbhook.statics.kernel.posture import PIN, SLING, Given, Numbers, Whole


def found_sizes(
    n_bodies: int, n_elements: int, n_points: int, n_lines: int, n_hooks: int
) -> tuple[tuple[str, tuple[int, ...]], ...]:
    """Names and shapes of what is found, in order; the names are those of the arrays of the solver."""
    unknowns, inputs = 6 * n_bodies, 2 * n_lines + 4 * n_bodies + 3 * n_hooks
    return (
        ("arm", (2 * n_elements, 3)),
        ("span", (n_elements, 3)),
        ("distance", (n_elements,)),
        ("stretch", (n_elements,)),
        ("tension", (n_elements,)),
        ("active", (n_elements,)),
        ("unit", (n_elements, 3)),
        ("lever", (n_points, 3)),
        ("matrix", (unknowns, unknowns)),
        ("stretches", (n_elements, unknowns)),
        ("pulls", (n_elements, 3, unknowns)),
        ("load", (inputs, unknowns)),
        ("direct", (inputs, n_elements)),
        ("room", (36,)),
    )


def read_rest(
    n_bodies: int,
    n_elements: int,
    n_points: int,
    n_lines: int,
    n_hooks: int,
    wholes: Whole,
    given: Given,
    found: Numbers,
) -> None:
    """Everything about a posture.

    Integers one after the other: bodies at all first, then all second ends; hooks there, -1 for none; the law of each
    element; the body of each point. Given one after the other: the figures of the rig (see
    :class:`plumbhook.statics._structure.Values`), the ends of the elements from the reference points of their bodies in
    body axes (all first, then all second, those at hooks from the datum), stiffnesses (N/m), reference points in body
    axes, positions and rotations. Found in the order of :func:`found_sizes`; it must hold zeros. No two arrays may
    overlap.
    """
    n_dof = 6 * n_bodies
    mass = 1
    length = mass + n_bodies
    EA = length + n_elements
    point = EA + 3 * n_elements + 3 * n_hooks
    centre = point + 3 * n_points
    end_at = centre + 15 * n_bodies
    stiffness = end_at + 6 * n_elements
    reference = stiffness + n_elements
    position = reference + 3 * n_bodies
    rotation = position + 3 * n_bodies
    span = 6 * n_elements
    distance = span + 3 * n_elements
    stretch = distance + n_elements
    tension = stretch + n_elements
    active = tension + n_elements
    unit = active + n_elements
    lever = unit + 3 * n_elements
    matrix = lever + 3 * n_points
    stretches = matrix + n_dof * n_dof
    pulls = stretches + n_elements * n_dof
    load = pulls + 3 * n_elements * n_dof
    direct = load + (2 * n_lines + 4 * n_bodies + 3 * n_hooks) * n_dof
    room = direct + (2 * n_lines + 4 * n_bodies + 3 * n_hooks) * n_elements
    for end in range(2 * n_elements):
        body = wholes[end]
        if body < n_bodies:
            at = end_at + 3 * end
            _turn(rotation + 9 * body, given, given[at], given[at + 1], given[at + 2], 3 * end, found)
        else:
            for row in range(3):
                found[3 * end + row] = given[end_at + 3 * end + row]
    for p in range(n_points):
        body = wholes[5 * n_elements + p]
        at = point + 3 * p
        c = reference + 3 * body
        x = given[at] - given[c]
        y = given[at + 1] - given[c + 1]
        z = given[at + 2] - given[c + 2]
        _turn(rotation + 9 * body, given, x, y, z, lever + 3 * p, found)
    line = 0
    for e in range(n_elements):
        law = wholes[4 * n_elements + e]
        across = _pull(
            n_bodies,
            n_elements,
            e,
            law,
            wholes,
            given,
            length,
            stiffness,
            position,
            span,
            distance,
            stretch,
            tension,
            active,
            unit,
            found,
        )
        along = given[stiffness + e] * found[active + e] - across
        _stiffen(
            n_bodies, n_elements, e, wholes, across, along, span, unit, matrix, stretches, pulls, room, found
        )
        if law < PIN:
            EA_N = given[EA + e]
            longer = (
                -(found[active + e] * found[distance + e]) * EA_N / (given[length + e] * given[length + e])
            )
            # At constant EA a longer line pulls less; a stiffer one of the same length more.
            for n in range(2):
                own = longer if n == 0 else found[tension + e] / EA_N
                row = 2 * line + n
                for column in range(n_dof):
                    found[load + row * n_dof + column] = own * found[stretches + e * n_dof + column]
                found[direct + row * n_elements + e] = own
            line += 1
        for end in range(2):
            hook = wholes[(2 + end) * n_elements + e]
            if hook >= 0:
                # A hook that moves pulls the body at the other end of the element along.
                sign = -1.0 if end == 0 else 1.0
                for axis in range(3):
                    row = 2 * n_lines + 4 * n_bodies + 3 * hook + axis
                    for column in range(n_dof):
                        found[load + row * n_dof + column] += (
                            sign * found[pulls + (3 * e + axis) * n_dof + column]
                        )
                    found[direct + row * n_elements + e] += (
                        sign * (given[stiffness + e] * found[active + e]) * found[unit + 3 * e + axis]
                    )
    for body in range(n_bodies):
        row = load + (2 * n_lines + 4 * body) * n_dof + 6 * body
        _weigh(n_dof, body, given, mass, centre, reference, rotation, row, found)


def _turn(rotation: int, given: Given, x: float, y: float, z: float, target: int, found: Numbers) -> None:
    """A vector in the axes of a body into world axes."""
    for row in range(3):
        r = rotation + 3 * row
        found[target + row] = given[r] * x + given[r + 1] * y + given[r + 2] * z


def _pull(
    n_bodies: int,
    n_elements: int,
    e: int,
    law: int,
    wholes: Whole,
    given: Given,
    length: int,
    stiffness: int,
    position: int,
    span: int,
    distance: int,
    stretch: int,
    tension: int,
    active: int,
    unit: int,
    found: Numbers,
) -> float:
    """Length and force of an element; returns the force over the span (N/m), for a pin its stiffness."""
    squares = 0.0
    for row in range(3):
        first = wholes[e]
        second = wholes[n_elements + e]
        apart = 0.0
        if second < n_bodies:
            apart += given[position + 3 * second + row]
        if first < n_bodies:
            apart -= given[position + 3 * first + row]
        apart += found[3 * (n_elements + e) + row] - found[3 * e + row]
        found[span + 3 * e + row] = apart
        squares += apart * apart
    long = math.sqrt(squares)
    longer = long - given[length + e]
    found[distance + e] = long
    found[stretch + e] = longer
    if law != SLING or longer > 0.0:
        found[active + e] = 1.0
        found[tension + e] = given[stiffness + e] * longer
    safe = long if long > 0.0 else 1.0
    for row in range(3):
        found[unit + 3 * e + row] = found[span + 3 * e + row] / safe
    return given[stiffness + e] if law == PIN else found[tension + e] / safe


def _stiffen(
    n_bodies: int,
    n_elements: int,
    e: int,
    wholes: Whole,
    across: float,
    along: float,
    span: int,
    unit: int,
    matrix: int,
    stretches: int,
    pulls: int,
    room: int,
    found: Numbers,
) -> None:
    """An element into the stiffness: its span follows the bodies, its force follows the span.

    The last terms are the second-order work of the force on an arm that turns.
    """
    n_dof = 6 * n_bodies
    for end in range(2):
        body = wholes[end * n_elements + e]
        if body < n_bodies:
            arm = 3 * (end * n_elements + e)
            sign = -1.0 if end == 0 else 1.0
            _follow(sign, found[arm], found[arm + 1], found[arm + 2], room + 18 * end, found)
            for column in range(6):
                long = 0.0
                for row in range(3):
                    long += found[unit + 3 * e + row] * found[room + 18 * end + 6 * row + column]
                found[stretches + e * n_dof + 6 * body + column] = long
                for row in range(3):
                    found[pulls + (3 * e + row) * n_dof + 6 * body + column] = (
                        along * found[unit + 3 * e + row] * long
                        + across * found[room + 18 * end + 6 * row + column]
                    )
    for end in range(2):
        body = wholes[end * n_elements + e]
        if body < n_bodies:
            for other in range(2):
                beside = wholes[other * n_elements + e]
                if beside < n_bodies:
                    for row in range(6):
                        for column in range(6):
                            sum_ = 0.0
                            for n in range(3):
                                sum_ += (
                                    found[room + 18 * end + 6 * n + row]
                                    * found[pulls + (3 * e + n) * n_dof + 6 * beside + column]
                                )
                            found[matrix + (6 * body + row) * n_dof + 6 * beside + column] += sum_
            sign = -1.0 if end == 0 else 1.0
            arm = 3 * (end * n_elements + e)
            for row in range(3):
                for column in range(3):
                    one = found[span + 3 * e + row] * found[arm + column]
                    two = found[span + 3 * e + column] * found[arm + row]
                    found[matrix + (6 * body + 3 + row) * n_dof + 6 * body + 3 + column] += (
                        sign * across * 0.5 * (one + two)
                    )
                    found[matrix + (6 * body + 3 + row) * n_dof + 6 * body + 3 + row] -= (
                        sign * across * found[span + 3 * e + column] * found[arm + column]
                    )


def _follow(sign: float, x: float, y: float, z: float, room: int, found: Numbers) -> None:
    """How the tip of an arm moves with its body: 3 rows of 6, displacement and rotation."""
    for n in range(18):
        found[room + n] = 0.0
    for row in range(3):
        found[room + 7 * row] = sign
    found[room + 4] = sign * z
    found[room + 5] = -sign * y
    found[room + 9] = -sign * z
    found[room + 11] = sign * x
    found[room + 15] = sign * y
    found[room + 16] = -sign * x


def _weigh(
    n_dof: int,
    body: int,
    given: Given,
    mass: int,
    centre: int,
    reference: int,
    rotation: int,
    row: int,
    found: Numbers,
) -> None:
    """What a change of a body's mass and of its centre of gravity does to force and moments."""
    r = rotation + 9 * body
    x = given[centre + 3 * body] - given[reference + 3 * body]
    y = given[centre + 3 * body + 1] - given[reference + 3 * body + 1]
    z = given[centre + 3 * body + 2] - given[reference + 3 * body + 2]
    gravity = given[0]
    weight = given[mass + body] * gravity
    found[row + 2] = gravity
    found[row + 3] = gravity * (given[r + 3] * x + given[r + 4] * y + given[r + 5] * z)
    found[row + 4] = -gravity * (given[r] * x + given[r + 1] * y + given[r + 2] * z)
    for axis in range(3):
        # About x the weight turns by its arm along y, about y by that along x, the other way round.
        found[row + (1 + axis) * n_dof + 3] = weight * given[r + 3 + axis]
        found[row + (1 + axis) * n_dof + 4] = -weight * given[r + axis]
