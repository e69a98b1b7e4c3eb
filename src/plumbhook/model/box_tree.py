"""Which boxes of a set overlap: a tree of boxes, walked level by level.

Boxes that lie near each other in space (along a Morton curve) share a branch, so that only branches whose own
boxes overlap are opened. Work grows about as n log n for surfaces, where comparing all pairs grows as n².
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from plumbhook.model.mass_properties import Floats, Integers

_LARGEST_FRONT = 400_000


def overlapping_boxes(low_m: Floats, high_m: Floats) -> Iterator[tuple[Integers, Integers]]:
    """Every pair of boxes that touch or overlap, once, in pieces that fit in memory.

    Args:
        low_m: smallest corner of each box, shape (n, 3).
        high_m: largest corner of each box, shape (n, 3).

    Yields:
        Indices of the first and of the second box of each pair; the two always differ.
    """
    count = len(low_m)
    if count < 2:
        return
    order = _morton_order(0.5 * (low_m + high_m))
    levels = _levels(low_m[order], high_m[order])
    waiting = [(len(levels) - 1, np.zeros(1, dtype=np.int64), np.zeros(1, dtype=np.int64))]
    while waiting:
        level, first, second = waiting.pop()
        if level == 0:
            apart = (first != second) & (first < count) & (second < count)
            if apart.any():
                yield order[first[apart]], order[second[apart]]
            continue
        for start in range(0, len(first), _LARGEST_FRONT):
            piece = slice(start, start + _LARGEST_FRONT)
            waiting.append((level - 1, *_opened(first[piece], second[piece], *levels[level - 1])))


def _opened(first: Integers, second: Integers, low: Floats, high: Floats) -> tuple[Integers, Integers]:
    """Pairs of children whose boxes overlap; of a branch with itself each pair once."""
    left = np.concatenate([2 * first + i for i, _ in _PAIRS])
    right = np.concatenate([2 * second + j for _, j in _PAIRS])
    keep = left <= right
    left, right = left[keep], right[keep]
    meet = ((low[left] <= high[right]) & (low[right] <= high[left])).all(axis=1)
    return left[meet], right[meet]


_PAIRS = ((0, 0), (0, 1), (1, 0), (1, 1))


def _levels(low: Floats, high: Floats) -> list[tuple[Floats, Floats]]:
    """Boxes of every level from the leaves to the root; the leaves padded with boxes that meet nothing."""
    size = 1 << (len(low) - 1).bit_length()
    padding = size - len(low)
    low = np.vstack([low, np.full((padding, 3), np.inf)])
    high = np.vstack([high, np.full((padding, 3), -np.inf)])
    levels = [(low, high)]
    while len(low) > 1:
        low = np.minimum(low[0::2], low[1::2])
        high = np.maximum(high[0::2], high[1::2])
        levels.append((low, high))
    return levels


def _morton_order(centres: Floats) -> Integers:
    """Order along a space-filling curve of 2^20 steps a side."""
    low, high = centres.min(axis=0), centres.max(axis=0)
    span = np.where(high > low, high - low, 1.0)
    steps = ((centres - low) / span * ((1 << 20) - 1)).astype(np.uint64)
    code = np.zeros(len(centres), dtype=np.uint64)
    for axis in range(3):
        code |= _spread(steps[:, axis]) << np.uint64(axis)
    return np.argsort(code, kind="stable").astype(np.int64)


# Bits moved apart so that two of another axis fit between them.
_SPREADING = (
    (32, 0x001F00000000FFFF),
    (16, 0x001F0000FF0000FF),
    (8, 0x100F00F00F00F00F),
    (4, 0x10C30C30C30C30C3),
    (2, 0x1249249249249249),
)


def _spread(bits: np.ndarray[tuple[int], np.dtype[np.uint64]]) -> np.ndarray[tuple[int], np.dtype[np.uint64]]:
    for shift, mask in _SPREADING:
        bits = (bits | (bits << np.uint64(shift))) & np.uint64(mask)
    return bits
