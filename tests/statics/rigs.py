"""Random rigs of the eight kinds that the solver is tried on.

=====  =================================================================  ==========
kind   rig                                                                unknowns
=====  =================================================================  ==========
a      strut, two top and two lower slings, load on two points            12
b      strut, four lower slings, load on four points                      12
c      strut over two struts, load on four points                         24
d      four legs from one hook                                            6
e      three legs from one hook                                           6
f      rigid rectangular frame, four legs above, four slings below        12
F      the same frame of four struts pinned at the corners                30
g      two hooks, two legs each                                           6
=====  =================================================================  ==========
"""

import math
import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from plumbhook.model.rig_graph import (
    IDENTITY,
    Body,
    Element,
    Matrix,
    NamedPoint,
    Pose,
    RigGraph,
    Vector,
    link,
    pin,
    sling,
)

KINDS = "abcdefgF"
G = 9.80665

# Strain at the working load limit, from and to, by material (trade values).
STRAIN = {"polyester": (0.03, 0.08), "wire": (0.005, 0.01), "chain": (0.003, 0.005)}

ALONG_X: Matrix = IDENTITY
ALONG_Y: Matrix = ((0.0, -1.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))


@dataclass
class Draw:
    """One random rig in the making: dimensions, weight, and the parts so far."""

    random: random.Random
    hooks: list[NamedPoint] = field(default_factory=list)
    bodies: list[Body] = field(default_factory=list)
    elements: list[Element] = field(default_factory=list)

    def __post_init__(self) -> None:
        uniform = self.random.uniform
        self.mass_kg = 1e3 * math.exp(uniform(0.0, math.log(500.0)))
        self.span_m = uniform(3.0, 30.0)
        self.width_m = self.span_m * uniform(0.3, 0.8)
        self.steep_rad = math.radians(uniform(45.0, 70.0))
        self.lugs_m = 0.0 if self.random.random() < 0.3 else 0.01 * self.span_m

    def tier_EA(self, n_slings: int) -> float:
        """EA of a tier of slings that share the load, loaded to their limit."""
        low, high = STRAIN[self.random.choice(sorted(STRAIN))]
        return self.mass_kg * G / n_slings / math.sin(self.steep_rad) / self.random.uniform(low, high)

    def hook(self, name: str, at: Vector) -> None:
        self.hooks.append(NamedPoint(name, at))

    def body(self, name: str, mass_kg: float, cog: Vector, points: dict[str, Vector], pose: Pose) -> None:
        named = tuple(NamedPoint(point, at) for point, at in points.items())
        self.bodies.append(Body(name, mass_kg, cog, named, pose))

    def sling(self, name: str, start: str, end: str, EA: float) -> None:
        """A sling as long as drawn, but for a mismatch of up to 2 %."""
        length = math.dist(self.place(start), self.place(end)) * self.random.uniform(0.98, 1.02)
        self.elements.append(sling(name, start, end, length, EA))

    def place(self, ref: str) -> Vector:
        owner, _, point = ref.partition(".")
        if owner == "hook":
            return next(hook.position_m for hook in self.hooks if hook.name == point)
        body = next(body for body in self.bodies if body.name == owner)
        return body.start.world(next(p.position_m for p in body.points_m if p.name == point))

    def load(self, points: dict[str, Vector], z: float, reach: tuple[float, float]) -> None:
        """The load with its centre of gravity off by up to a fifth of the reach both ways, below its points."""
        uniform = self.random.uniform
        cog = (
            uniform(-0.2, 0.2) * reach[0],
            uniform(-0.2, 0.2) * reach[1],
            -uniform(0.15, 0.5) * self.span_m,
        )
        self.body("load", self.mass_kg, cog, points, Pose((0.0, 0.0, z)))

    def strut(self, name: str, length: float, at: Vector, rotation: Matrix) -> None:
        """A strut of 2 % of the load's mass, its lugs a little above and below its axis or on it."""
        half, lug = 0.5 * length, self.lugs_m
        points = {
            "top 1": (-half, 0.0, lug),
            "top 2": (half, 0.0, lug),
            "low 1": (-half, 0.0, -lug),
            "low 2": (half, 0.0, -lug),
        }
        self.body(name, 0.02 * self.mass_kg, (0.0, 0.0, 0.0), points, Pose(at, rotation))

    def graph(self, name: str) -> RigGraph:
        return RigGraph(
            name=name,
            gravity_m_s2=G,
            hooks_m=tuple(self.hooks),
            bodies=tuple(self.bodies),
            elements=tuple(self.elements),
        )


def random_rig(kind: str, seed: int) -> RigGraph:
    """A random rig of a kind; the same seed gives the same rig."""
    draw = Draw(random.Random(f"{kind}{seed}"))
    _BUILDERS[kind](draw)
    return draw.graph(f"{kind}{seed}")


def random_rigs(kind: str, count: int, first: int = 0) -> Iterator[RigGraph]:
    """Rigs of a kind with consecutive seeds."""
    return (random_rig(kind, seed) for seed in range(first, first + count))


def _corners(span: float, width: float) -> dict[str, Vector]:
    return {
        f"p{number}": (0.5 * span * x, 0.5 * width * y, 0.0)
        for number, (x, y) in enumerate(((-1, -1), (1, -1), (1, 1), (-1, 1)), start=1)
    }


def _strut_over(draw: Draw, points: dict[str, Vector], reach: tuple[float, float]) -> None:
    """Strut along x below the hook, slings down to the points of the load on either side."""
    top = 0.5 * draw.span_m * math.tan(draw.steep_rad)
    below = 0.3 * draw.span_m
    draw.hook("h", (0.0, 0.0, 0.0))
    draw.strut("strut", draw.span_m, (0.0, 0.0, -top), ALONG_X)
    draw.load(points, -top - below, reach)
    EA = draw.tier_EA(2)
    draw.sling("top 1", "hook.h", "strut.top 1", EA)
    draw.sling("top 2", "hook.h", "strut.top 2", EA)
    EA = draw.tier_EA(len(points))
    for name, (x, _, _) in points.items():
        draw.sling(f"low {name}", f"strut.low {1 if x < 0 else 2}", f"load.{name}", EA)


def _kind_a(draw: Draw) -> None:
    half = 0.5 * draw.span_m
    _strut_over(draw, {"p1": (-half, 0.0, 0.0), "p2": (half, 0.0, 0.0)}, (draw.span_m, 0.2 * draw.span_m))


def _kind_b(draw: Draw) -> None:
    _strut_over(draw, _corners(draw.span_m, draw.width_m), (draw.span_m, draw.width_m))


def _kind_c(draw: Draw) -> None:
    top = 0.5 * draw.span_m * math.tan(draw.steep_rad)
    middle = 0.5 * draw.width_m * math.tan(draw.steep_rad)
    below = 0.2 * draw.span_m
    half = 0.5 * draw.span_m
    draw.hook("h", (0.0, 0.0, 0.0))
    draw.strut("upper", draw.span_m, (0.0, 0.0, -top), ALONG_X)
    draw.strut("lower 1", draw.width_m, (-half, 0.0, -top - middle), ALONG_Y)
    draw.strut("lower 2", draw.width_m, (half, 0.0, -top - middle), ALONG_Y)
    draw.load(_corners(draw.span_m, draw.width_m), -top - middle - below, (draw.span_m, draw.width_m))
    EA = draw.tier_EA(2)
    for end in "12":
        draw.sling(f"top {end}", "hook.h", f"upper.top {end}", EA)
    EA = draw.tier_EA(4)
    for strut in "12":
        for end in "12":
            draw.sling(f"middle {strut}{end}", f"upper.low {strut}", f"lower {strut}.top {end}", EA)
    EA = draw.tier_EA(4)
    for strut, ends in (("1", ("p1", "p4")), ("2", ("p2", "p3"))):
        for end, point in zip("12", ends, strict=True):
            draw.sling(f"low {point}", f"lower {strut}.low {end}", f"load.{point}", EA)


def _bridle(draw: Draw, points: dict[str, Vector]) -> None:
    height = 0.5 * math.hypot(draw.span_m, draw.width_m) * math.tan(draw.steep_rad)
    draw.hook("h", (0.0, 0.0, 0.0))
    draw.load(points, -height, (draw.span_m, draw.width_m))
    EA = draw.tier_EA(len(points))
    for name in points:
        draw.sling(f"leg {name}", "hook.h", f"load.{name}", EA)


def _kind_d(draw: Draw) -> None:
    _bridle(draw, _corners(draw.span_m, draw.width_m))


def _kind_e(draw: Draw) -> None:
    half, side = 0.5 * draw.span_m, 0.5 * draw.width_m
    _bridle(draw, {"p1": (-half, -side, 0.0), "p2": (-half, side, 0.0), "p3": (half, 0.0, 0.0)})


def _frame_slings(draw: Draw, corner: Callable[[str], str]) -> None:
    EA = draw.tier_EA(4)
    for name in ("p1", "p2", "p3", "p4"):
        draw.sling(f"leg {name}", "hook.h", corner(name), EA)
    EA = draw.tier_EA(4)
    for name in ("p1", "p2", "p3", "p4"):
        draw.sling(f"low {name}", corner(name), f"load.{name}", EA)


def _frame_heights(draw: Draw) -> tuple[float, float]:
    top = 0.5 * math.hypot(draw.span_m, draw.width_m) * math.tan(draw.steep_rad)
    return -top, -top - 0.3 * draw.span_m


def _kind_f(draw: Draw) -> None:
    frame, load = _frame_heights(draw)
    corners = _corners(draw.span_m, draw.width_m)
    draw.hook("h", (0.0, 0.0, 0.0))
    draw.body("frame", 0.05 * draw.mass_kg, (0.0, 0.0, 0.0), corners, Pose((0.0, 0.0, frame)))
    draw.load(corners, load, (draw.span_m, draw.width_m))
    _frame_slings(draw, lambda name: f"frame.{name}")


def _kind_F(draw: Draw) -> None:
    frame, load = _frame_heights(draw)
    corners = _corners(draw.span_m, draw.width_m)
    draw.hook("h", (0.0, 0.0, 0.0))
    _jointed_sides(draw, corners, frame)
    draw.load(corners, load, (draw.span_m, draw.width_m))
    _frame_slings(draw, lambda name: f"side {name}.{name}")
    _corner_pins(draw, list(corners))


def _jointed_sides(draw: Draw, corners: dict[str, Vector], z: float) -> None:
    """Four struts, each from a corner to the next."""
    names = list(corners)
    for number, name in enumerate(names):
        following = names[(number + 1) % 4]
        near, far = corners[name], corners[following]
        middle = (0.5 * (near[0] + far[0]), 0.5 * (near[1] + far[1]), 0.0)
        ends = {name: near, following: far}
        draw.body(f"side {name}", 0.0125 * draw.mass_kg, middle, ends, Pose((0.0, 0.0, z)))


def _corner_pins(draw: Draw, names: list[str]) -> None:
    stiffness = 100.0 * max(e.EA_N / e.unstretched_length_m for e in draw.elements)
    for number, name in enumerate(names):
        before = names[number - 1]
        draw.elements.append(pin(f"corner {name}", f"side {name}.{name}", f"side {before}.{name}", stiffness))


def _kind_g(draw: Draw) -> None:
    height = 0.5 * draw.width_m * math.tan(draw.steep_rad)
    corners = _corners(draw.span_m, draw.width_m)
    draw.hook("h1", (-0.5 * draw.span_m, 0.0, 0.0))
    draw.hook("h2", (0.5 * draw.span_m, 0.0, 0.0))
    draw.load(corners, -height, (draw.span_m, draw.width_m))
    EA = draw.tier_EA(4)
    for name, (x, _, _) in corners.items():
        draw.sling(f"leg {name}", f"hook.h{1 if x < 0 else 2}", f"load.{name}", EA)


_BUILDERS: dict[str, Callable[[Draw], None]] = {
    "a": _kind_a,
    "b": _kind_b,
    "c": _kind_c,
    "d": _kind_d,
    "e": _kind_e,
    "f": _kind_f,
    "F": _kind_F,
    "g": _kind_g,
}


# --- Single rigs that several tests start from -------------------------------------------------------------


def _start() -> Draw:
    draw = Draw(random.Random(0))
    draw.hook("h", (0.0, 0.0, 0.0))
    return draw


def two_point_load(cog_above_points_m: float, EA_N: float = 2e7, across_m: float = 0.0) -> RigGraph:
    """A load of 12 t on two points 4 m apart, two slings to one hook 2 m above them."""
    draw = _start()
    points = {"p1": (-2.0, 0.0, 0.0), "p2": (2.0, 0.0, 0.0)}
    draw.body("load", 12e3, (0.0, across_m, cog_above_points_m), points, Pose((0.0, 0.0, -2.0)))
    for name in points:
        draw.elements.append(sling(f"leg {name}", "hook.h", f"load.{name}", math.sqrt(8.0), EA_N))
    return draw.graph("two points")


def four_leg_bridle(cog_m: Vector = (0.0, 0.0, -1.0), EA_N: float = 2e7, height_m: float = 4.0) -> RigGraph:
    """A load of 12 t on four points, 4 m by 4 m, equal legs to one hook."""
    draw = _start()
    points = _corners(4.0, 4.0)
    draw.body("load", 12e3, cog_m, points, Pose((0.0, 0.0, -height_m)))
    length = math.hypot(math.sqrt(8.0), height_m)
    for name in points:
        draw.elements.append(sling(f"leg {name}", "hook.h", f"load.{name}", length, EA_N))
    return draw.graph("bridle")


def strut_rig(
    cog_m: Vector,
    *,
    height_m: float = 3.0,
    mass_ratio: float = 0.1,
    EA_N: float = 1e9,
    half_span_m: float = 2.0,
) -> RigGraph:
    """A load of 10 t below one strut along x, on two vertical slings of 2 m per end, 1 m apart across."""
    draw = _start()
    draw.mass_kg = 10e3
    ends = {"e1": (-half_span_m, 0.0, 0.0), "e2": (half_span_m, 0.0, 0.0)}
    points = {
        name + side: (x, y, 0.0) for name, (x, _, _) in ends.items() for side, y in (("l", -0.5), ("r", 0.5))
    }
    draw.body("strut", mass_ratio * draw.mass_kg, (0.0, 0.0, 0.0), ends, Pose((0.0, 0.0, -height_m)))
    down = 2.0
    draw.body("load", draw.mass_kg, cog_m, points, Pose((0.0, 0.0, -height_m - down)))
    for name in ends:
        draw.elements.append(
            sling(f"top {name}", "hook.h", f"strut.{name}", math.hypot(half_span_m, height_m), EA_N)
        )
    for name in points:
        length = math.hypot(down, 0.5)
        draw.elements.append(sling(f"low {name}", f"strut.{name[:2]}", f"load.{name}", length, EA_N))
    return draw.graph("strut")


def framed_load(
    cog_above_points_m: float, *, height_m: float = 4.44, mass_ratio: float = 0.1875, EA_N: float = 1e9
) -> RigGraph:
    """A load of 160 t below a rigid square frame 8 m by 8 m: a top triangle of one height in both planes."""
    draw = _start()
    draw.mass_kg = 160e3
    corners = _corners(8.0, 8.0)
    draw.body("frame", mass_ratio * draw.mass_kg, (0.0, 0.0, 0.0), corners, Pose((0.0, 0.0, -height_m)))
    at = Pose((0.0, 0.0, -height_m - 10.0))
    draw.body("load", draw.mass_kg, (0.0, 0.0, cog_above_points_m), corners, at)
    length = math.hypot(math.sqrt(32.0), height_m)
    for name in corners:
        draw.elements.append(sling(f"leg {name}", "hook.h", f"frame.{name}", length, EA_N))
        draw.elements.append(sling(f"low {name}", f"frame.{name}", f"load.{name}", 10.0, EA_N))
    return draw.graph("framed")


def mast_crane(weight_N: float) -> RigGraph:
    """A weight at the head of a boom (4 m up, 3 m out), held by a level topping lift."""
    draw = Draw(random.Random(0))
    draw.hook("foot", (0.0, 0.0, 0.0))
    draw.hook("mast", (0.0, 0.0, 4.0))
    draw.body("head", weight_N / G, (0.0, 0.0, 0.0), {"p": (0.0, 0.0, 0.0)}, Pose((3.0, 0.0, 4.0)))
    draw.elements.append(link("boom", "hook.foot", "head.p", 5.0, 1e6 * weight_N))
    draw.elements.append(sling("lift", "hook.mast", "head.p", 3.0, 1e6 * weight_N))
    return draw.graph("mast")


def four_strut_frame(*, jointed: bool, longer_leg_m: float = 0.0) -> RigGraph:
    """A load of 20 t below a frame 6 m by 4 m, rigid or of struts pinned at the corners; one top leg longer."""
    draw = _start()
    draw.mass_kg, draw.span_m, draw.width_m = 20e3, 6.0, 4.0
    draw.steep_rad = math.radians(55.0)
    corners = _corners(6.0, 4.0)
    frame, load = _frame_heights(draw)
    names = list(corners)
    if jointed:
        _jointed_sides(draw, corners, frame)
    else:
        draw.body("frame", 0.05 * draw.mass_kg, (0.0, 0.0, 0.0), corners, Pose((0.0, 0.0, frame)))
    draw.body("load", draw.mass_kg, (0.3, 0.2, -1.0), corners, Pose((0.0, 0.0, load)))
    for number, name in enumerate(names):
        corner = f"side {name}.{name}" if jointed else f"frame.{name}"
        leg = math.dist(draw.place("hook.h"), draw.place(corner)) + (longer_leg_m if number == 0 else 0.0)
        draw.elements.append(sling(f"leg {name}", "hook.h", corner, leg, 1e8))
        draw.elements.append(sling(f"low {name}", corner, f"load.{name}", frame - load, 1e8))
    if jointed:
        _corner_pins(draw, names)
    return draw.graph("jointed frame" if jointed else "rigid frame")
