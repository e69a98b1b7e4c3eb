"""Drawings of the ground: every curve and support is there, and no text touches anything, whatever the crane."""

import math
from dataclasses import replace

import pytest

from plumbhook.documents.ground_drawings import slew_scene, supports_scene
from plumbhook.documents.overlap import find_overlaps
from plumbhook.documents.scene import Polyline, Text
from plumbhook.planning.ground_statement import GroundCurve, GroundStatement, Support

SLEWS = tuple(math.radians(3.0 * n) for n in range(121))


def wave(phase):
    return tuple(60e3 + 40e3 * math.cos(s - phase) for s in SLEWS)


def statement(pads=4, spread=3.5, area=2.4, plate=0.6):
    turns = [2.0 * math.pi * (n + 0.5) / pads for n in range(pads)]
    names = [f"pad {n}" for n in range(1, pads + 1)]
    return GroundStatement(
        station="set down at 14 m",
        slew_rad=SLEWS,
        supports=tuple(
            Support(name, spread * math.cos(t), spread * math.sin(t), plate, plate, (area, area), 400e3)
            for name, t in zip(names, turns, strict=True)
        ),
        loaded=tuple(GroundCurve(name, wave(t)) for name, t in zip(names, turns, strict=True)),
        alone=GroundCurve("crane alone, worst", (50e3,) * len(SLEWS)),
        allowable_Pa=150e3,
        source="report X",
        bound_Pa=139e3,
        larger_share=0.75,
    )


GROUNDS = {
    "four pads": statement(),
    "six pads": statement(pads=6, spread=5.0),
    "eight pads": statement(pads=8, spread=6.0, area=1.2),
    "pads without a plate": statement(plate=0.0),
    "a plate that fills its mat": statement(area=0.61),
    "a very small crane": statement(spread=1.2, area=0.4, plate=0.2),
    "nothing allowable": replace(statement(), allowable_Pa=math.nan, bound_Pa=math.nan),
    "overturns half the way round": replace(
        statement(), alone=GroundCurve("crane alone, worst", (math.nan,) * 60 + (50e3,) * 61)
    ),
    "long names": replace(statement(), station="a station with a name " * 6),
}


@pytest.mark.parametrize("ground", GROUNDS.values(), ids=GROUNDS.keys())
def test_no_text_of_the_ground_touches_anything(ground):
    for scene in (slew_scene(ground, 94.0, 60.0), supports_scene(ground, 74.0, 90.0)):
        assert not find_overlaps(scene), find_overlaps(scene)


def test_every_pad_has_its_curve_and_its_force():
    ground = statement(pads=6)
    curves = [
        i for i in slew_scene(ground, 94.0, 60.0).items if isinstance(i, Polyline) and len(i.points) == 121
    ]
    assert len(curves) == 7  # six pads and the crane alone
    words = [i.text for i in supports_scene(ground, 74.0, 90.0).items if isinstance(i, Text)]
    assert sum("400 kN" in text for text in words) == 6


def test_a_curve_stops_where_the_crane_overturns():
    scene = slew_scene(GROUNDS["overturns half the way round"], 94.0, 60.0)
    assert sum(isinstance(i, Polyline) and len(i.points) == 61 for i in scene.items) == 1
