"""The drawing of a crane chart: steps of the rows, and nothing at all where the chart has a hole."""

import math
from dataclasses import replace

import pytest
from tests.scenarios.variants import example

from plumbhook.documents.crane_drawings import chart_scene
from plumbhook.documents.scene import Polyline
from plumbhook.planning import assess


@pytest.fixture(scope="module")
def duty():
    return assess(example("hallowmere-viaduct")).crane


def steps(scene):
    """Polylines of the chart's own curve: the bold ones, but for the straight one of the gross load."""
    bold = [item for item in scene.items if isinstance(item, Polyline) and item.pen.width_mm == 0.7]
    return [item for item in bold if len(item.points) > 2]


def test_a_whole_chart_is_one_curve(duty):
    assert len(steps(chart_scene(duty, 90.0, 60.0))) == 1


def test_a_row_without_capacity_parts_the_curve_and_nothing_is_drawn_over_it(duty):
    whole = steps(chart_scene(duty, 90.0, 60.0))[0].points
    rows = tuple(
        replace(row, capacity_kg=math.nan, utilisation=math.inf, within_policy=False)
        if row.radius_m == 14.0
        else row
        for row in duty.rows
    )
    before, after = (part.points for part in steps(chart_scene(replace(duty, rows=rows), 90.0, 60.0)))
    # Two points a row: the third row, 12 m to 14 m, is gone, and the curve goes on behind it.
    assert [x for x, _ in before] == pytest.approx([x for x, _ in whole[:4]])
    assert [x for x, _ in after] == pytest.approx([x for x, _ in whole[6:]])
