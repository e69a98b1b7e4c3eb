"""Kernel, part 2: the second derivative of the energy, with the neutral motions held.

The matrix is stored by blocks of 6 by 6, lower triangle of blocks, block (i, j) at ``36 * (i (i + 1) / 2 + j)``;
within a block by rows, displacements before rotations. See :mod:`plumbhook.statics.kernel.posture` for the lanes.
"""

from __future__ import annotations

from plumbhook.statics.kernel.posture import SLING, SUPPORT, Given, Numbers, Whole

# Stiffness given to neutral motions, in units of the metric: bounds the step, and hinders no motion that is nearly a
# sum of neutral ones, such as the swing of a long chain.
NEUTRAL = 1e-2


def block_at(row: int, column: int) -> int:
    """Number of the first entry of a block of the lower triangle."""
    return 36 * ((row * (row + 1)) // 2 + column)


def loosen(
    lanes: int, n_elements: int, law: Whole, cut: Given, tension: Given, across: Numbers, along: Numbers
) -> None:
    """Slings and supports that carry no more than ``cut`` count as loose (a cut below zero changes nothing)."""
    for e in range(n_elements):
        if law[e] == SLING or law[e] == SUPPORT:
            for v in range(lanes):
                keep = 1.0 if tension[e * lanes + v] > cut[v] else 0.0
                across[e * lanes + v] *= keep
                along[e * lanes + v] *= keep


def own_block(
    lanes: int,
    e: int,
    at: int,
    sign: float,
    flat: float,
    arm: Given,
    span: Given,
    across: Given,
    along: Given,
    matrix: Numbers,
) -> None:
    """Stiffness of an element into the diagonal block of the body at one end, lower triangle.

    The last terms are the second-order work of the force on an arm that turns. ``flat`` is 0 for a support, whose force
    keeps its direction, so that it has no stiffness in plan; else 1.
    """
    s = 3 * e
    for v in range(lanes):
        c = across[e * lanes + v]
        q = along[e * lanes + v]
        x = span[s * lanes + v]
        y = span[(s + 1) * lanes + v]
        z = span[(s + 2) * lanes + v]
        kxx = flat * c + q * x * x
        kxy = q * x * y
        kxz = q * x * z
        kyy = flat * c + q * y * y
        kyz = q * y * z
        kzz = c + q * z * z
        ax = arm[s * lanes + v]
        ay = arm[(s + 1) * lanes + v]
        az = arm[(s + 2) * lanes + v]
        m00 = ay * kxz - az * kxy
        m01 = ay * kyz - az * kyy
        m02 = ay * kzz - az * kyz
        m10 = az * kxx - ax * kxz
        m11 = az * kxy - ax * kyz
        m12 = az * kxz - ax * kzz
        m20 = ax * kxy - ay * kxx
        m21 = ax * kyy - ay * kxy
        m22 = ax * kyz - ay * kxz
        gx = sign * c * x
        gy = sign * c * y
        gz = sign * c * z
        work = gx * ax + gy * ay + gz * az
        matrix[at * lanes + v] += kxx
        matrix[(at + 6) * lanes + v] += kxy
        matrix[(at + 7) * lanes + v] += kyy
        matrix[(at + 12) * lanes + v] += kxz
        matrix[(at + 13) * lanes + v] += kyz
        matrix[(at + 14) * lanes + v] += kzz
        matrix[(at + 18) * lanes + v] += m00
        matrix[(at + 19) * lanes + v] += m01
        matrix[(at + 20) * lanes + v] += m02
        matrix[(at + 24) * lanes + v] += m10
        matrix[(at + 25) * lanes + v] += m11
        matrix[(at + 26) * lanes + v] += m12
        matrix[(at + 30) * lanes + v] += m20
        matrix[(at + 31) * lanes + v] += m21
        matrix[(at + 32) * lanes + v] += m22
        matrix[(at + 21) * lanes + v] += (ay * m02 - az * m01) + (gx * ax - work)
        matrix[(at + 27) * lanes + v] += (ay * m12 - az * m11) + 0.5 * (gx * ay + gy * ax)
        matrix[(at + 28) * lanes + v] += (az * m10 - ax * m12) + (gy * ay - work)
        matrix[(at + 33) * lanes + v] += (ay * m22 - az * m21) + 0.5 * (gx * az + gz * ax)
        matrix[(at + 34) * lanes + v] += (az * m20 - ax * m22) + 0.5 * (gy * az + gz * ay)
        matrix[(at + 35) * lanes + v] += (ax * m21 - ay * m20) + (gz * az - work)


def cross_block(
    lanes: int,
    e: int,
    at: int,
    arm_row: Given,
    arm_column: Given,
    span: Given,
    across: Given,
    along: Given,
    matrix: Numbers,
) -> None:
    """Stiffness of an element between the bodies at its two ends."""
    s = 3 * e
    for v in range(lanes):
        c = across[e * lanes + v]
        q = along[e * lanes + v]
        x = span[s * lanes + v]
        y = span[(s + 1) * lanes + v]
        z = span[(s + 2) * lanes + v]
        kxx = c + q * x * x
        kxy = q * x * y
        kxz = q * x * z
        kyy = c + q * y * y
        kyz = q * y * z
        kzz = c + q * z * z
        ax = arm_row[s * lanes + v]
        ay = arm_row[(s + 1) * lanes + v]
        az = arm_row[(s + 2) * lanes + v]
        bx = arm_column[s * lanes + v]
        by = arm_column[(s + 1) * lanes + v]
        bz = arm_column[(s + 2) * lanes + v]
        m00 = ay * kxz - az * kxy
        m01 = ay * kyz - az * kyy
        m02 = ay * kzz - az * kyz
        m10 = az * kxx - ax * kxz
        m11 = az * kxy - ax * kyz
        m12 = az * kxz - ax * kzz
        m20 = ax * kxy - ay * kxx
        m21 = ax * kyy - ay * kxy
        m22 = ax * kyz - ay * kxz
        matrix[at * lanes + v] -= kxx
        matrix[(at + 1) * lanes + v] -= kxy
        matrix[(at + 2) * lanes + v] -= kxz
        matrix[(at + 3) * lanes + v] -= by * kxz - bz * kxy
        matrix[(at + 4) * lanes + v] -= bz * kxx - bx * kxz
        matrix[(at + 5) * lanes + v] -= bx * kxy - by * kxx
        matrix[(at + 6) * lanes + v] -= kxy
        matrix[(at + 7) * lanes + v] -= kyy
        matrix[(at + 8) * lanes + v] -= kyz
        matrix[(at + 9) * lanes + v] -= by * kyz - bz * kyy
        matrix[(at + 10) * lanes + v] -= bz * kxy - bx * kyz
        matrix[(at + 11) * lanes + v] -= bx * kyy - by * kxy
        matrix[(at + 12) * lanes + v] -= kxz
        matrix[(at + 13) * lanes + v] -= kyz
        matrix[(at + 14) * lanes + v] -= kzz
        matrix[(at + 15) * lanes + v] -= by * kzz - bz * kyz
        matrix[(at + 16) * lanes + v] -= bz * kxz - bx * kzz
        matrix[(at + 17) * lanes + v] -= bx * kyz - by * kxz
        matrix[(at + 18) * lanes + v] -= m00
        matrix[(at + 19) * lanes + v] -= m01
        matrix[(at + 20) * lanes + v] -= m02
        matrix[(at + 21) * lanes + v] -= by * m02 - bz * m01
        matrix[(at + 22) * lanes + v] -= bz * m00 - bx * m02
        matrix[(at + 23) * lanes + v] -= bx * m01 - by * m00
        matrix[(at + 24) * lanes + v] -= m10
        matrix[(at + 25) * lanes + v] -= m11
        matrix[(at + 26) * lanes + v] -= m12
        matrix[(at + 27) * lanes + v] -= by * m12 - bz * m11
        matrix[(at + 28) * lanes + v] -= bz * m10 - bx * m12
        matrix[(at + 29) * lanes + v] -= bx * m11 - by * m10
        matrix[(at + 30) * lanes + v] -= m20
        matrix[(at + 31) * lanes + v] -= m21
        matrix[(at + 32) * lanes + v] -= m22
        matrix[(at + 33) * lanes + v] -= by * m22 - bz * m21
        matrix[(at + 34) * lanes + v] -= bz * m20 - bx * m22
        matrix[(at + 35) * lanes + v] -= bx * m21 - by * m20


def assemble(
    lanes: int,
    n_bodies: int,
    n_elements: int,
    end_a: Whole,
    end_b: Whole,
    law: Whole,
    arm_a: Given,
    arm_b: Given,
    span: Given,
    across: Given,
    along: Given,
    matrix: Numbers,
) -> None:
    """Second derivative of the energy at zero increment, from what ``forces`` left of the elements."""
    for n in range(18 * n_bodies * (n_bodies + 1)):
        for v in range(lanes):
            matrix[n * lanes + v] = 0.0
    for e in range(n_elements):
        a = end_a[e]
        b = end_b[e]
        flat = 0.0 if law[e] == SUPPORT else 1.0
        if a < n_bodies:
            own_block(lanes, e, block_at(a, a), -1.0, flat, arm_a, span, across, along, matrix)
        if b < n_bodies:
            own_block(lanes, e, block_at(b, b), 1.0, flat, arm_b, span, across, along, matrix)
        if a < n_bodies and b < n_bodies:
            if a > b:
                cross_block(lanes, e, block_at(a, b), arm_a, arm_b, span, across, along, matrix)
            else:
                cross_block(lanes, e, block_at(b, a), arm_b, arm_a, span, across, along, matrix)


def hold_neutral(
    lanes: int,
    n_bodies: int,
    n_modes: int,
    mode_end: Whole,
    mode_spins: Whole,
    mode_members: Whole,
    mode_lever: Given,
    mode_axis: Given,
    mode_on: Given,
    shift: Given,
    hook: Given,
    position: Given,
    rotation: Given,
    metric: Given,
    place: Numbers,
    axis: Numbers,
    norm: Numbers,
    motion: Numbers,
    held: Numbers,
    matrix: Numbers,
) -> None:
    """A stiffness along every neutral motion: steps stay bounded and the rest stays the same.

    A motion turns its member bodies about an axis (the vertical, or one fixed in a body) through a point.
    """
    for mode in range(n_modes):
        end = mode_end[mode]
        _mode_axis(
            lanes,
            n_bodies,
            mode,
            end,
            mode_spins[mode],
            mode_lever,
            mode_axis,
            shift,
            hook,
            position,
            rotation,
            place,
            axis,
        )
        for v in range(lanes):
            norm[v] = 0.0
        for body in range(n_bodies):
            if mode_members[mode * n_bodies + body] != 0:
                _mode_of_body(lanes, body, position, metric, place, axis, norm, motion)
        for v in range(lanes):
            norm[v] = NEUTRAL * mode_on[mode * lanes + v] / norm[v] if norm[v] > 0.0 else 0.0
        for row in range(n_bodies):
            if mode_members[mode * n_bodies + row] != 0:
                for n in range(6):
                    for v in range(lanes):
                        held[n * lanes + v] = motion[(6 * row + n) * lanes + v] * norm[v]
                for column in range(row + 1):
                    if mode_members[mode * n_bodies + column] != 0:
                        _add_product(lanes, block_at(row, column), 6 * column, held, motion, matrix)


def _mode_axis(
    lanes: int,
    n_bodies: int,
    mode: int,
    end: int,
    spins: int,
    mode_lever: Given,
    mode_axis: Given,
    shift: Given,
    hook: Given,
    position: Given,
    rotation: Given,
    place: Numbers,
    axis: Numbers,
) -> None:
    """Point and axis of a neutral motion in the present posture."""
    m = 3 * mode
    for row in range(3):
        upright = 1.0 if row == 2 else 0.0
        for v in range(lanes):
            if end < n_bodies:
                r0 = rotation[(9 * end + 3 * row) * lanes + v]
                r1 = rotation[(9 * end + 3 * row + 1) * lanes + v]
                r2 = rotation[(9 * end + 3 * row + 2) * lanes + v]
                x = mode_lever[m] - shift[(3 * end) * lanes + v]
                y = mode_lever[m + 1] - shift[(3 * end + 1) * lanes + v]
                z = mode_lever[m + 2] - shift[(3 * end + 2) * lanes + v]
                place[row * lanes + v] = position[(3 * end + row) * lanes + v] + (r0 * x + r1 * y + r2 * z)
                turned = r0 * mode_axis[m] + r1 * mode_axis[m + 1] + r2 * mode_axis[m + 2]
                axis[row * lanes + v] = turned if spins != 0 else upright
            else:
                place[row * lanes + v] = hook[(3 * (end - n_bodies) + row) * lanes + v]
                axis[row * lanes + v] = upright


def _mode_of_body(
    lanes: int,
    body: int,
    position: Given,
    metric: Given,
    place: Given,
    axis: Given,
    norm: Numbers,
    motion: Numbers,
) -> None:
    """Part of a body in a neutral motion, times the metric, and its share of the norm."""
    p = 3 * body
    q = 6 * body
    for v in range(lanes):
        x = position[p * lanes + v] - place[v]
        y = position[(p + 1) * lanes + v] - place[lanes + v]
        z = position[(p + 2) * lanes + v] - place[2 * lanes + v]
        ax = axis[v]
        ay = axis[lanes + v]
        az = axis[2 * lanes + v]
        along = metric[(2 * body) * lanes + v]
        about = metric[(2 * body + 1) * lanes + v]
        dx = ay * z - az * y
        dy = az * x - ax * z
        dz = ax * y - ay * x
        norm[v] += along * (dx * dx + dy * dy + dz * dz) + about * (ax * ax + ay * ay + az * az)
        motion[q * lanes + v] = along * dx
        motion[(q + 1) * lanes + v] = along * dy
        motion[(q + 2) * lanes + v] = along * dz
        motion[(q + 3) * lanes + v] = about * ax
        motion[(q + 4) * lanes + v] = about * ay
        motion[(q + 5) * lanes + v] = about * az


def _add_product(lanes: int, at: int, column: int, held: Given, motion: Given, matrix: Numbers) -> None:
    """Product of a column of six with a row of six into a block."""
    for row in range(6):
        here = at + 6 * row
        for v in range(lanes):
            f = held[row * lanes + v]
            matrix[here * lanes + v] += f * motion[column * lanes + v]
            matrix[(here + 1) * lanes + v] += f * motion[(column + 1) * lanes + v]
            matrix[(here + 2) * lanes + v] += f * motion[(column + 2) * lanes + v]
            matrix[(here + 3) * lanes + v] += f * motion[(column + 3) * lanes + v]
            matrix[(here + 4) * lanes + v] += f * motion[(column + 4) * lanes + v]
            matrix[(here + 5) * lanes + v] += f * motion[(column + 5) * lanes + v]


def add_diagonal(
    lanes: int,
    n_bodies: int,
    added: Given,
    taken: Given,
    size: Given,
    metric: Given,
    matrix: Numbers,
) -> None:
    """``added`` times the metric on the diagonal, less ``taken`` (N/m; times size squared for rotations)."""
    for body in range(n_bodies):
        at = block_at(body, body)
        for n in range(6):
            for v in range(lanes):
                share = taken[v] if n < 3 else taken[v] * size[v] * size[v]
                scale = metric[(2 * body + (0 if n < 3 else 1)) * lanes + v]
                matrix[(at + 7 * n) * lanes + v] += added[v] * scale - share
