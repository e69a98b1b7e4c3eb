"""Kernel, part 3: Cholesky factor by blocks of 6 by 6, and the solution with it.

Storage as in :mod:`plumbhook.statics.kernel.stiffness`. ``matrix`` is used up; ``lower`` receives the factor,
``inverse`` the reciprocals of its diagonal. A pivot that is too small does not stop the other lanes: it is replaced
and its lane marked.
"""

from __future__ import annotations

import math

from plumbhook.statics.kernel.posture import Given, Numbers
from plumbhook.statics.kernel.stiffness import block_at

SMALLEST_PIVOT = 1e-14


def factor(
    lanes: int,
    n_bodies: int,
    metric: Given,
    matrix: Numbers,
    lower: Numbers,
    inverse: Numbers,
    pivot: Numbers,
) -> None:
    """Cholesky factor; ``pivot`` receives the smallest pivot of each lane in units of the metric.

    A lane has a positive definite matrix where its ``pivot`` is above :data:`SMALLEST_PIVOT`.
    """
    for v in range(lanes):
        pivot[v] = 1e300
    for j in range(n_bodies):
        for i in range(j, n_bodies):
            for k in range(j):
                _subtract_product(
                    lanes, block_at(i, k), block_at(j, k), block_at(i, j), i == j, lower, matrix
                )
        _factor_block(lanes, j, block_at(j, j), metric, matrix, lower, inverse, pivot)
        for i in range(j + 1, n_bodies):
            _divide_block(lanes, 6 * j, block_at(j, j), block_at(i, j), inverse, matrix, lower)


def _subtract_product(
    lanes: int, left: int, right: int, at: int, symmetric: bool, lower: Given, matrix: Numbers
) -> None:
    """``matrix[at] -= lower[left] lower[right]^T``, two rows by three columns at a time."""
    for half in range(3):
        row = 12 * half
        for third in range(2):
            column = 3 * third
            if symmetric and third == 1 and half == 0:
                continue  # above the diagonal
            here = at + row + column
            for v in range(lanes):
                s00 = matrix[here * lanes + v]
                s01 = matrix[(here + 1) * lanes + v]
                s02 = matrix[(here + 2) * lanes + v]
                s10 = matrix[(here + 6) * lanes + v]
                s11 = matrix[(here + 7) * lanes + v]
                s12 = matrix[(here + 8) * lanes + v]
                for k in range(6):
                    a0 = lower[(left + row + k) * lanes + v]
                    a1 = lower[(left + row + 6 + k) * lanes + v]
                    b0 = lower[(right + 18 * third + k) * lanes + v]
                    b1 = lower[(right + 18 * third + 6 + k) * lanes + v]
                    b2 = lower[(right + 18 * third + 12 + k) * lanes + v]
                    s00 -= a0 * b0
                    s01 -= a0 * b1
                    s02 -= a0 * b2
                    s10 -= a1 * b0
                    s11 -= a1 * b1
                    s12 -= a1 * b2
                matrix[here * lanes + v] = s00
                matrix[(here + 1) * lanes + v] = s01
                matrix[(here + 2) * lanes + v] = s02
                matrix[(here + 6) * lanes + v] = s10
                matrix[(here + 7) * lanes + v] = s11
                matrix[(here + 8) * lanes + v] = s12


def _factor_block(
    lanes: int,
    body: int,
    at: int,
    metric: Given,
    matrix: Given,
    lower: Numbers,
    inverse: Numbers,
    pivot: Numbers,
) -> None:
    """Cholesky factor of a diagonal block."""
    d = 6 * body
    for v in range(lanes):
        along = metric[(2 * body) * lanes + v]
        about = metric[(2 * body + 1) * lanes + v]
        worst = pivot[v]

        p = matrix[at * lanes + v]
        unsound = 0.0 * p  # NaN once any pivot is not finite
        worst = p / along if p < worst * along else worst
        i0 = 1.0 / math.sqrt(p if p > SMALLEST_PIVOT * along else along)
        a10 = matrix[(at + 6) * lanes + v] * i0
        a20 = matrix[(at + 12) * lanes + v] * i0
        a30 = matrix[(at + 18) * lanes + v] * i0
        a40 = matrix[(at + 24) * lanes + v] * i0
        a50 = matrix[(at + 30) * lanes + v] * i0

        p = matrix[(at + 7) * lanes + v] - a10 * a10
        unsound += 0.0 * p
        worst = p / along if p < worst * along else worst
        i1 = 1.0 / math.sqrt(p if p > SMALLEST_PIVOT * along else along)
        a21 = (matrix[(at + 13) * lanes + v] - a20 * a10) * i1
        a31 = (matrix[(at + 19) * lanes + v] - a30 * a10) * i1
        a41 = (matrix[(at + 25) * lanes + v] - a40 * a10) * i1
        a51 = (matrix[(at + 31) * lanes + v] - a50 * a10) * i1

        p = matrix[(at + 14) * lanes + v] - a20 * a20 - a21 * a21
        unsound += 0.0 * p
        worst = p / along if p < worst * along else worst
        i2 = 1.0 / math.sqrt(p if p > SMALLEST_PIVOT * along else along)
        a32 = (matrix[(at + 20) * lanes + v] - a30 * a20 - a31 * a21) * i2
        a42 = (matrix[(at + 26) * lanes + v] - a40 * a20 - a41 * a21) * i2
        a52 = (matrix[(at + 32) * lanes + v] - a50 * a20 - a51 * a21) * i2

        p = matrix[(at + 21) * lanes + v] - a30 * a30 - a31 * a31 - a32 * a32
        unsound += 0.0 * p
        worst = p / about if p < worst * about else worst
        i3 = 1.0 / math.sqrt(p if p > SMALLEST_PIVOT * about else about)
        a43 = (matrix[(at + 27) * lanes + v] - a40 * a30 - a41 * a31 - a42 * a32) * i3
        a53 = (matrix[(at + 33) * lanes + v] - a50 * a30 - a51 * a31 - a52 * a32) * i3

        p = matrix[(at + 28) * lanes + v] - a40 * a40 - a41 * a41 - a42 * a42 - a43 * a43
        unsound += 0.0 * p
        worst = p / about if p < worst * about else worst
        i4 = 1.0 / math.sqrt(p if p > SMALLEST_PIVOT * about else about)
        a54 = (matrix[(at + 34) * lanes + v] - a50 * a40 - a51 * a41 - a52 * a42 - a53 * a43) * i4

        p = matrix[(at + 35) * lanes + v] - a50 * a50 - a51 * a51 - a52 * a52 - a53 * a53 - a54 * a54
        unsound += 0.0 * p
        worst = p / about if p < worst * about else worst
        i5 = 1.0 / math.sqrt(p if p > SMALLEST_PIVOT * about else about)

        pivot[v] = worst + unsound
        inverse[d * lanes + v] = i0
        inverse[(d + 1) * lanes + v] = i1
        inverse[(d + 2) * lanes + v] = i2
        inverse[(d + 3) * lanes + v] = i3
        inverse[(d + 4) * lanes + v] = i4
        inverse[(d + 5) * lanes + v] = i5
        lower[(at + 6) * lanes + v] = a10
        lower[(at + 12) * lanes + v] = a20
        lower[(at + 13) * lanes + v] = a21
        lower[(at + 18) * lanes + v] = a30
        lower[(at + 19) * lanes + v] = a31
        lower[(at + 20) * lanes + v] = a32
        lower[(at + 24) * lanes + v] = a40
        lower[(at + 25) * lanes + v] = a41
        lower[(at + 26) * lanes + v] = a42
        lower[(at + 27) * lanes + v] = a43
        lower[(at + 30) * lanes + v] = a50
        lower[(at + 31) * lanes + v] = a51
        lower[(at + 32) * lanes + v] = a52
        lower[(at + 33) * lanes + v] = a53
        lower[(at + 34) * lanes + v] = a54


def _divide_block(
    lanes: int, d: int, own: int, at: int, inverse: Given, matrix: Numbers, lower: Numbers
) -> None:
    """``lower[at] = matrix[at] lower[own]^-T``, row by row; ``matrix[at]`` holds the rows on the way."""
    for row in range(6):
        r = at + 6 * row
        for v in range(lanes):
            x0 = matrix[r * lanes + v] * inverse[d * lanes + v]
            x1 = (matrix[(r + 1) * lanes + v] - x0 * lower[(own + 6) * lanes + v]) * inverse[
                (d + 1) * lanes + v
            ]
            x2 = (
                matrix[(r + 2) * lanes + v]
                - x0 * lower[(own + 12) * lanes + v]
                - x1 * lower[(own + 13) * lanes + v]
            ) * inverse[(d + 2) * lanes + v]
            x3 = (
                matrix[(r + 3) * lanes + v]
                - x0 * lower[(own + 18) * lanes + v]
                - x1 * lower[(own + 19) * lanes + v]
                - x2 * lower[(own + 20) * lanes + v]
            ) * inverse[(d + 3) * lanes + v]
            x4 = (
                matrix[(r + 4) * lanes + v]
                - x0 * lower[(own + 24) * lanes + v]
                - x1 * lower[(own + 25) * lanes + v]
                - x2 * lower[(own + 26) * lanes + v]
                - x3 * lower[(own + 27) * lanes + v]
            ) * inverse[(d + 4) * lanes + v]
            x5 = (
                matrix[(r + 5) * lanes + v]
                - x0 * lower[(own + 30) * lanes + v]
                - x1 * lower[(own + 31) * lanes + v]
                - x2 * lower[(own + 32) * lanes + v]
                - x3 * lower[(own + 33) * lanes + v]
                - x4 * lower[(own + 34) * lanes + v]
            ) * inverse[(d + 5) * lanes + v]
            matrix[r * lanes + v] = x0
            matrix[(r + 1) * lanes + v] = x1
            matrix[(r + 2) * lanes + v] = x2
            matrix[(r + 3) * lanes + v] = x3
            matrix[(r + 4) * lanes + v] = x4
            matrix[(r + 5) * lanes + v] = x5
    for n in range(36):
        for v in range(lanes):
            lower[(at + n) * lanes + v] = matrix[(at + n) * lanes + v]


def solve_down(
    lanes: int, n_bodies: int, gradient: Given, lower: Given, inverse: Given, rest: Numbers, step: Numbers
) -> None:
    """``step = -matrix^-1 gradient`` with the factor."""
    for i in range(n_bodies):
        for n in range(6):
            for v in range(lanes):
                rest[n * lanes + v] = -gradient[(6 * i + n) * lanes + v]
        for j in range(i):
            _subtract_rows(lanes, block_at(i, j), 6 * j, lower, step, rest)
        _forward(lanes, 6 * i, block_at(i, i), lower, inverse, rest, step)
    for back in range(n_bodies):
        i = n_bodies - 1 - back
        for n in range(6):
            for v in range(lanes):
                rest[n * lanes + v] = step[(6 * i + n) * lanes + v]
        for j in range(i + 1, n_bodies):
            _subtract_columns(lanes, block_at(j, i), 6 * j, lower, step, rest)
        _backward(lanes, 6 * i, block_at(i, i), lower, inverse, rest, step)


def _subtract_rows(lanes: int, at: int, x: int, lower: Given, step: Given, rest: Numbers) -> None:
    for row in range(6):
        r = at + 6 * row
        for v in range(lanes):
            rest[row * lanes + v] -= (
                lower[r * lanes + v] * step[x * lanes + v]
                + lower[(r + 1) * lanes + v] * step[(x + 1) * lanes + v]
                + lower[(r + 2) * lanes + v] * step[(x + 2) * lanes + v]
                + lower[(r + 3) * lanes + v] * step[(x + 3) * lanes + v]
                + lower[(r + 4) * lanes + v] * step[(x + 4) * lanes + v]
                + lower[(r + 5) * lanes + v] * step[(x + 5) * lanes + v]
            )


def _subtract_columns(lanes: int, at: int, x: int, lower: Given, step: Given, rest: Numbers) -> None:
    for column in range(6):
        c = at + column
        for v in range(lanes):
            rest[column * lanes + v] -= (
                lower[c * lanes + v] * step[x * lanes + v]
                + lower[(c + 6) * lanes + v] * step[(x + 1) * lanes + v]
                + lower[(c + 12) * lanes + v] * step[(x + 2) * lanes + v]
                + lower[(c + 18) * lanes + v] * step[(x + 3) * lanes + v]
                + lower[(c + 24) * lanes + v] * step[(x + 4) * lanes + v]
                + lower[(c + 30) * lanes + v] * step[(x + 5) * lanes + v]
            )


def _forward(lanes: int, x: int, at: int, lower: Given, inverse: Given, rest: Given, step: Numbers) -> None:
    for v in range(lanes):
        y0 = rest[v] * inverse[x * lanes + v]
        y1 = (rest[lanes + v] - lower[(at + 6) * lanes + v] * y0) * inverse[(x + 1) * lanes + v]
        y2 = (
            rest[2 * lanes + v] - lower[(at + 12) * lanes + v] * y0 - lower[(at + 13) * lanes + v] * y1
        ) * inverse[(x + 2) * lanes + v]
        y3 = (
            rest[3 * lanes + v]
            - lower[(at + 18) * lanes + v] * y0
            - lower[(at + 19) * lanes + v] * y1
            - lower[(at + 20) * lanes + v] * y2
        ) * inverse[(x + 3) * lanes + v]
        y4 = (
            rest[4 * lanes + v]
            - lower[(at + 24) * lanes + v] * y0
            - lower[(at + 25) * lanes + v] * y1
            - lower[(at + 26) * lanes + v] * y2
            - lower[(at + 27) * lanes + v] * y3
        ) * inverse[(x + 4) * lanes + v]
        y5 = (
            rest[5 * lanes + v]
            - lower[(at + 30) * lanes + v] * y0
            - lower[(at + 31) * lanes + v] * y1
            - lower[(at + 32) * lanes + v] * y2
            - lower[(at + 33) * lanes + v] * y3
            - lower[(at + 34) * lanes + v] * y4
        ) * inverse[(x + 5) * lanes + v]
        step[x * lanes + v] = y0
        step[(x + 1) * lanes + v] = y1
        step[(x + 2) * lanes + v] = y2
        step[(x + 3) * lanes + v] = y3
        step[(x + 4) * lanes + v] = y4
        step[(x + 5) * lanes + v] = y5


def _backward(lanes: int, x: int, at: int, lower: Given, inverse: Given, rest: Given, step: Numbers) -> None:
    for v in range(lanes):
        y5 = rest[5 * lanes + v] * inverse[(x + 5) * lanes + v]
        y4 = (rest[4 * lanes + v] - lower[(at + 34) * lanes + v] * y5) * inverse[(x + 4) * lanes + v]
        y3 = (
            rest[3 * lanes + v] - lower[(at + 27) * lanes + v] * y4 - lower[(at + 33) * lanes + v] * y5
        ) * inverse[(x + 3) * lanes + v]
        y2 = (
            rest[2 * lanes + v]
            - lower[(at + 20) * lanes + v] * y3
            - lower[(at + 26) * lanes + v] * y4
            - lower[(at + 32) * lanes + v] * y5
        ) * inverse[(x + 2) * lanes + v]
        y1 = (
            rest[lanes + v]
            - lower[(at + 13) * lanes + v] * y2
            - lower[(at + 19) * lanes + v] * y3
            - lower[(at + 25) * lanes + v] * y4
            - lower[(at + 31) * lanes + v] * y5
        ) * inverse[(x + 1) * lanes + v]
        y0 = (
            rest[v]
            - lower[(at + 6) * lanes + v] * y1
            - lower[(at + 12) * lanes + v] * y2
            - lower[(at + 18) * lanes + v] * y3
            - lower[(at + 24) * lanes + v] * y4
            - lower[(at + 30) * lanes + v] * y5
        ) * inverse[x * lanes + v]
        step[x * lanes + v] = y0
        step[(x + 1) * lanes + v] = y1
        step[(x + 2) * lanes + v] = y2
        step[(x + 3) * lanes + v] = y3
        step[(x + 4) * lanes + v] = y4
        step[(x + 5) * lanes + v] = y5
