"""Capacity of a strut as a function of span and angle, never a label."""

from __future__ import annotations

import math

import numpy as np
import pytest

from plumbhook.checks.asme_bth_1.compression import StrutBasis, strut_allowable_force_N
from plumbhook.checks.sections import CircularHollowSection
from plumbhook.core.errors import InputError
from plumbhook.model.strut_rating import RatingTable
from plumbhook.planning.capacity_chart import (
    NOT_RATED,
    RATED,
    TOO_SLENDER,
    StrutPattern,
    capacity_chart,
    working_point,
)

BASIS = StrutBasis(
    section=CircularHollowSection.of_table_row(
        0.2191, 0.010, area_m2=65.7e-4, second_moment_m4=3598e-8, radius_of_gyration_m=0.074, table="stock"
    ),
    line_mass_kg_per_m=66.0, gravity_m_s2=9.81, dynamic_factor=1.10, pin_offset_m=0.008, yield_Pa=355e6,
    elastic_modulus_Pa=210e9, design_factor=3.0,
)  # fmt: skip
RIGID = StrutPattern(BASIS, "a", (0.3, 0.4, 0.2, 0.1), 0.20, math.inf)
SOFT = StrutPattern(BASIS, "a", (0.3, 0.4, 0.2, 0.1), 0.20, 20e6)
SPANS = np.array([1.5, 3.0, 4.3, 6.0, 8.4, 12.0])
ANGLES = np.radians([20.0, 30.0, 45.0])


def test_with_rigid_joints_it_comes_near_the_allowable_force_of_the_uniform_strut() -> None:
    found = capacity_chart(RIGID, SPANS, ANGLES, routes=("allowable_stress",)).compression_N
    uniform = strut_allowable_force_N(SPANS, BASIS)
    # The closed form amplifies by 1/(1 - N/Ne) what the exact moment of equal end moments grows by a little more.
    assert found[:, 0] == pytest.approx(uniform, rel=0.02)
    assert (found[:, 0] <= uniform * (1.0 + 1e-9)).all()


def test_the_scenario_table_is_met_where_it_governs() -> None:
    found = capacity_chart(RIGID, [4.3, 6.0, 8.4], [math.radians(30.0)], routes=("allowable_stress",))
    assert found.compression_N[:, 0] / 1e3 == pytest.approx([414.0, 291.0, 157.0], rel=0.02)


def test_longer_flatter_and_softer_carry_less() -> None:
    rigid, soft = (capacity_chart(pattern, SPANS, ANGLES) for pattern in (RIGID, SOFT))
    for chart in (rigid, soft):
        assert (np.diff(chart.load_kg, axis=0) < 0.0).all()
        assert (np.diff(chart.load_kg, axis=1) < 0.0).all()
    assert (soft.compression_N < rigid.compression_N).all()


def test_read_at_30_degrees_and_rigged_at_45_a_strut_is_overloaded() -> None:
    chart = capacity_chart(RIGID, [4.3], np.radians([30.0, 45.0]))
    label = float(chart.load_kg[0, 0])
    assert working_point(RIGID, 4.3, math.radians(30.0), label).use == pytest.approx(1.0)
    assert working_point(RIGID, 4.3, math.radians(45.0), label).use > math.tan(math.radians(45.0)) / math.tan(
        math.radians(30.0)
    )


def test_pins_apart_weigh_more_the_steeper_the_slings() -> None:
    apart = StrutPattern(BASIS, "a", (0.5, 0.5), 0.20, 40e6, pins_apart_m=0.02)
    together = StrutPattern(BASIS, "a", (0.5, 0.5), 0.20, 40e6)
    loss = (
        1.0
        - capacity_chart(apart, [4.3], ANGLES).compression_N
        / capacity_chart(together, [4.3], ANGLES).compression_N
    )
    assert (np.diff(loss[0]) < 0.0).all()
    assert (loss > 0.0).all()


def test_load_and_compression_are_one_equilibrium() -> None:
    chart = capacity_chart(RIGID, [6.0], [math.radians(40.0)])
    vertical = (chart.load_kg + 66.0 * 6.0) * 9.81 * 1.1 / 2.0
    assert vertical * math.tan(math.radians(40.0)) == pytest.approx(chart.compression_N)


def test_the_working_point_is_its_own_and_not_the_grid_s() -> None:
    coarse = capacity_chart(RIGID, [4.0, 5.0], np.radians([30.0, 40.0])).load_kg
    point = working_point(RIGID, 4.3, math.radians(33.0), 10_000.0)
    assert coarse.min() < point.capacity_kg < coarse.max()
    assert point.use == pytest.approx(10_000.0 / point.capacity_kg)
    assert point.governing == "allowable_stress"
    assert math.isnan(working_point(RIGID, 4.3, math.radians(33.0), math.nan).use)


def test_a_strut_too_slender_carries_nothing() -> None:
    chart = capacity_chart(RIGID, [14.0, 15.0], [0.5])
    assert chart.load_kg[1, 0] == 0.0
    assert chart.governing.ravel().tolist() == ["allowable_stress", TOO_SLENDER]
    assert working_point(RIGID, 15.0, 0.5, 1.0).use == math.inf


def test_the_maker_s_table_cuts_the_chart_and_ends_it() -> None:
    table = RatingTable(
        "F219", "sheet", (4.0, 6.0), tuple(np.radians([30.0, 45.0])), ((30e3, 20e3), (500e3, None))
    )
    chart = capacity_chart(RIGID, [3.0, 5.0, 7.0], np.radians([30.0, 40.0, 50.0]), rating=table)
    assert chart.load_kg[0].tolist() == [30e3, 20e3, 0.0]
    assert chart.governing[0].tolist() == [RATED, RATED, NOT_RATED]
    assert chart.governing[1].tolist() == ["allowable_stress", NOT_RATED, NOT_RATED]
    assert (chart.load_kg[2] == 0.0).all()


@pytest.mark.parametrize(
    ("spans", "angles", "routes", "field"),
    [
        ([0.4], [0.5], ("second_order",), "spans_m"),
        ([math.nan], [0.5], ("second_order",), "spans_m"),
        ([4.0], [0.0], ("second_order",), "angles_from_vertical_rad"),
        ([4.0], [1.6], ("second_order",), "angles_from_vertical_rad"),
        ([4.0], [0.5], ("other",), "routes"),
        ([4.0], [0.5], (), "routes"),
    ],
)  # fmt: skip
def test_what_makes_no_sense_is_refused(spans, angles, routes, field) -> None:
    with pytest.raises(InputError, match=field):
        capacity_chart(RIGID, spans, angles, routes=routes)


def test_shares_must_make_a_whole_strut() -> None:
    with pytest.raises(InputError, match="sum to 1") as error:
        StrutPattern(BASIS, "a", (0.5, 0.4), -0.1, 0.0)
    assert len(error.value.problems) == 3
