"""Loads that stand on supports, alone or below a hook."""

import math
from dataclasses import replace

from tests.statics.rigs import IDENTITY, Matrix, NamedPoint, Vector, four_leg_bridle

from plumbhook.model.rig_graph import Body, Pose, RigGraph, support

GROUND_M = -6.0
FOOT_BELOW_POINTS_M = 2.0


def standing_body(
    feet: dict[str, Vector],
    cog: Vector,
    *,
    mass_kg: float = 12e3,
    stiffness: float = 1e9,
    rotation: Matrix = IDENTITY,
) -> RigGraph:
    """A body that stands on level ground at height zero, and hangs from nothing."""
    points = tuple(NamedPoint(name, at) for name, at in feet.items())
    return RigGraph(
        name="standing",
        hooks_m=(),
        bodies=(Body("load", mass_kg, cog, points, Pose((0.0, 0.0, 0.0), rotation)),),
        elements=tuple(support(f"under {name}", f"load.{name}", 0.0, stiffness) for name in feet),
    )


def bridled_load(
    cog: Vector = (0.0, 0.0, -1.0),
    *,
    slack_m: float = 0.1,
    stiffness: float = 1e8,
    levels_m: tuple[float, float, float, float] = (GROUND_M,) * 4,
    EA_N: float = 2e7,
) -> RigGraph:
    """12 t standing on four supports at the corners of 4 m by 4 m, below a hook whose four legs are loose by that.

    The hook is ``slack_m`` lower than where the legs come straight, 4 m above the lift points; the feet are 2 m
    below the lift points.
    """
    rig = four_leg_bridle(cog, EA_N=EA_N)
    (load,) = rig.bodies
    feet = tuple(
        NamedPoint(f"foot {p.name[1:]}", (*p.position_m[:2], -FOOT_BELOW_POINTS_M)) for p in load.points_m
    )
    supports = tuple(
        support(f"under {foot.name[5:]}", f"load.{foot.name}", level, stiffness)
        for foot, level in zip(feet, levels_m, strict=True)
    )
    return replace(
        rig,
        name="bridled",
        hooks_m=(NamedPoint("h", (0.0, 0.0, -slack_m)),),
        bodies=(replace(load, points_m=load.points_m + feet),),
        elements=rig.elements + supports,
    )


def rectangle(length_m: float, width_m: float, height_m: float = 0.0) -> dict[str, Vector]:
    """Corners counter-clockwise from -x, -y."""
    half, side = 0.5 * length_m, 0.5 * width_m
    return {
        "a": (-half, -side, height_m),
        "b": (half, -side, height_m),
        "c": (half, side, height_m),
        "d": (-half, side, height_m),
    }


def turned_about_z(angle_rad: float) -> Matrix:
    c, s = math.cos(angle_rad), math.sin(angle_rad)
    return ((c, -s, 0.0), (s, c, 0.0), (0.0, 0.0, 1.0))
