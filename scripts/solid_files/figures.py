"""Sizes of the solids that the test files hold, and what must come out of them in closed form. Metres, kg/m3.

The block has a bore through it and a boss on it. The skid is an invented assembly: a deck with an opening, two
beams of one product, a copy of one of them at its very place, a tank, and a cover that nobody gave a material.
"""

from __future__ import annotations

import math

Point = tuple[float, float, float]

BLOCK = (4.0, 2.0, 1.2)
BORE_AT, BORE_RADIUS = (1.2, 0.8), 0.3
BOSS_AT, BOSS_RADIUS, BOSS_HEIGHT = (3.0, 1.0), 0.4, 0.5
SIDES = 32  # of the polygons that stand for the circles in the meshes

DECK_LOW, DECK_SIZE = (0.0, 0.0, 0.0), (6.0, 3.0, 0.25)
HOLE_LOW, HOLE_SIZE = (2.4, 1.1, -0.1), (1.2, 0.8, 0.45)
BEAM_SIZE = (6.0, 0.2, 0.3)
BEAM_WEST, BEAM_EAST = (0.0, 0.0, -0.3), (0.0, 2.8, -0.3)
TANK_AT, TANK_RADIUS, TANK_HEIGHT = (4.5, 1.5, 0.25), 0.6, 1.5
COVER_LOW, COVER_SIZE = (0.5, 1.0, 0.25), (0.8, 0.8, 0.4)
PUMP_LOW, PUMP_SIZE, PUMP_KG = (1.5, 1.0, 0.25), (0.6, 0.8, 0.9), 1850.0
LUGS: dict[str, Point] = {
    "lug NW": (0.5, 2.9, 0.25),
    "lug NE": (5.5, 2.9, 0.25),
    "lug SW": (0.5, 0.1, 0.25),
    "lug SE": (5.5, 0.1, 0.25),
}
CONCRETE, STEEL, ALUMINIUM = 2400.0, 7850.0, 2700.0


def circle_area(radius: float, sides: int | None) -> float:
    """Area of a circle, or of the regular polygon inscribed in it."""
    return math.pi * radius**2 if sides is None else 0.5 * sides * radius**2 * math.sin(2.0 * math.pi / sides)


def block(sides: int | None = None) -> tuple[float, Point]:
    """Volume and centroid of the block with bore and boss, circles round or with so many sides."""
    long, wide, high = BLOCK
    bore, boss = circle_area(BORE_RADIUS, sides) * high, circle_area(BOSS_RADIUS, sides) * BOSS_HEIGHT
    parts = (
        (long * wide * high, (long / 2, wide / 2, high / 2)),
        (-bore, (*BORE_AT, high / 2)),
        (boss, (*BOSS_AT, high + BOSS_HEIGHT / 2)),
    )
    volume = math.fsum(part for part, _ in parts)
    x, y, z = (math.fsum(part * at[k] for part, at in parts) / volume for k in range(3))
    return volume, (x, y, z)


def box_volume(size: Point) -> float:
    """Volume of a box."""
    return size[0] * size[1] * size[2]


def deck_volume() -> float:
    """Volume of the deck, its opening cut out."""
    return box_volume(DECK_SIZE) - HOLE_SIZE[0] * HOLE_SIZE[1] * DECK_SIZE[2]


def tank_volume() -> float:
    """Volume of the tank, taken as solid."""
    return circle_area(TANK_RADIUS, None) * TANK_HEIGHT
