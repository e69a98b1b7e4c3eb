"""Ground along a way: many positions at once say what one at a time says; mats carry no more than their strength."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from plumbhook.core.errors import InputError
from plumbhook.crane.ground import Crawler, eccentricity_m, largest_track_pressure_Pa
from plumbhook.crane.mats import PadOnMat, cantilever_m, effective_sides_m, holds_ratio
from plumbhook.crane.pad_reactions import OutriggerBase, SlewingCrane, slew_reactions_N
from plumbhook.crane.pads_along import CarrierStiffness, reactions_along_N, reactions_at_N
from plumbhook.crane.tracks_along import track_loads_along, track_pressures_along_Pa

SQUARE = OutriggerBase(((3.0, 3.0), (-3.0, 3.0), (3.0, -3.0), (-3.0, -3.0)))
CRANE = SlewingCrane(36_000.0, (0.3, 0.0), 52_000.0, -1.5)
CRAWLER = Crawler(208_000.0, 1.9, 7.2, 0.95)
PLATE = PadOnMat(0.6, 0.6, 2.4, 2.4, 0.05, 157e6, 90e6, both_ways=True)

angles = st.lists(st.floats(-math.pi, math.pi), min_size=1, max_size=12)


def test_reactions_of_the_textbook_come_out_row_by_row():
    # 208.33/158.33/141.67/91.67 kN by V/4 ± Mx/(2b) ± My/(2a), own derivation; 400/100/100/0 kN by the shift of a
    # lifted pad's share, Shapiro et al., Cranes and Derricks, p. 278; the third stands on the edge of the base.
    rows = reactions_at_N(SQUARE, 600e3, [0.5, 2.0, 3.0], [2.0 / 3.0, 2.0, 0.0]) / 1e3
    assert sorted(rows[0], reverse=True) == pytest.approx([208.333, 158.333, 141.667, 91.667], abs=1e-3)
    assert rows[1] == pytest.approx([400.0, 100.0, 100.0, 0.0], abs=1e-6)
    assert np.isnan(rows[2]).all()


@given(slews=angles, radius=st.floats(4.0, 14.0), hook=st.floats(0.0, 20e3))
def test_the_whole_way_says_what_each_place_alone_says(slews, radius, hook):
    way = reactions_along_N(
        SQUARE, CRANE, hook_mass_kg=hook, radius_m=radius, slew_rad=slews, gravity_m_s2=9.81
    )
    # The single function turns anticlockwise from the front, a bearing clockwise.
    alone = slew_reactions_N(
        SQUARE, CRANE, hook_mass_kg=hook, radius_m=radius, slew_rad=[-s for s in slews], gravity_m_s2=9.81
    )
    assert way == pytest.approx(alone, abs=1e-3)


@given(slews=angles, twist=st.floats(1e5, 1e9), radius=st.floats(4.0, 12.0))
def test_a_carrier_that_twists_balances_force_and_moments(slews, twist, radius):
    found = reactions_along_N(
        SQUARE, CRANE, hook_mass_kg=15e3, radius_m=radius, slew_rad=slews, gravity_m_s2=9.81,
        stiffness=CarrierStiffness(2e7, twist),
    )  # fmt: skip
    rigid = reactions_along_N(
        SQUARE, CRANE, hook_mass_kg=15e3, radius_m=radius, slew_rad=slews, gravity_m_s2=9.81
    )
    assert found.min() >= 0.0
    pads = np.array(SQUARE.pads_m)
    assert found.sum(axis=1) == pytest.approx(rigid.sum(axis=1), rel=1e-9)
    assert found @ pads == pytest.approx(rigid @ pads, abs=1.0)


def test_a_stiff_carrier_is_a_rigid_one_and_a_soft_one_loads_its_worst_pad_otherwise():
    def worst(twist):
        stiffness = None if twist is None else CarrierStiffness(2e7, twist)
        slews = np.radians(np.arange(0.0, 360.0, 5.0))
        return reactions_along_N(
            OutriggerBase(((4.0, 3.0), (-2.5, 3.0), (4.0, -3.0), (-2.5, -3.0))), CRANE,
            hook_mass_kg=15e3, radius_m=10.0, slew_rad=slews, gravity_m_s2=9.81, stiffness=stiffness,
        ).max()  # fmt: skip

    assert worst(1e14) == pytest.approx(worst(None), rel=1e-4)
    assert abs(worst(1e6) / worst(None) - 1.0) > 0.02


def test_a_way_shows_where_the_crane_overturns_and_a_missing_number_stays_missing():
    rows = reactions_along_N(
        SQUARE,
        CRANE,
        hook_mass_kg=[15e3, 60e3, math.nan, -1.0],
        radius_m=10.0,
        slew_rad=0.0,
        gravity_m_s2=9.81,
    )
    assert np.isfinite(rows[0]).all()
    assert np.isnan(rows[1:]).all()


@pytest.mark.parametrize("stiffness", [(0.0, 1e7), (1e7, -1.0), (math.nan, 1e7)])
def test_a_stiffness_that_is_none_is_refused(stiffness):
    with pytest.raises(InputError, match="positive"):
        CarrierStiffness(*stiffness)


def test_pads_beyond_what_is_searched_and_a_twist_without_length_are_refused():
    ring = tuple((math.cos(a), math.sin(a)) for a in np.linspace(0.0, 6.0, 9))
    with pytest.raises(InputError, match="8 pads"):
        reactions_at_N(OutriggerBase(ring), 1e5, 0.0, 0.0)


def test_boom_along_the_tracks_gives_the_pressure_of_the_single_formula():
    # 337, 403 and 494 kPa at 12, 14 and 16 m: worked scenario, boom along the tracks.
    radii = np.array([12.0, 14.0, 16.0])
    found = track_pressures_along_Pa(
        CRAWLER, 6.2, hook_mass_kg=53_742.0, radius_m=radii, slew_rad=0.0, gravity_m_s2=9.81
    )
    assert found[:, 0] / 1e3 == pytest.approx([337.0, 403.0, 494.0], rel=0.005)
    assert found[:, 0] == pytest.approx(found[:, 1])
    for radius, pressure in zip(radii, found[:, 0], strict=True):
        single = largest_track_pressure_Pa(
            (208_000.0 + 53_742.0) * 9.81, eccentricity_m(CRAWLER, 53_742.0, radius), 7.2, 0.95
        )
        assert pressure == pytest.approx(single, rel=1e-12)


@given(slews=angles, gauge=st.floats(4.0, 8.0))
def test_tracks_carry_the_weight_and_its_moment_across(slews, gauge):
    forces, ahead = track_loads_along(
        CRAWLER, gauge, hook_mass_kg=30e3, radius_m=10.0, slew_rad=slews, gravity_m_s2=9.81
    )
    offset = eccentricity_m(CRAWLER, 30e3, 10.0)
    weight = (208e3 + 30e3) * 9.81
    assert forces.sum(axis=1) == pytest.approx([weight] * len(slews))
    moment = (forces[:, 1] - forces[:, 0]) * gauge / 2.0  # clockwise bearing: the right track takes the load
    assert moment == pytest.approx(weight * offset * np.sin(slews), abs=1.0)
    assert ahead == pytest.approx(offset * np.cos(slews), abs=1e-9)


def test_a_crawler_whose_load_stands_beyond_a_track_overturns():
    found = track_pressures_along_Pa(
        CRAWLER, 2.0, hook_mass_kg=60e3, radius_m=[16.0, 30.0], slew_rad=[math.pi / 2, 0.0], gravity_m_s2=9.81
    )
    assert np.isinf(found).all()


@given(force=st.floats(1e3, 3e6), both=st.booleans(), offset=st.floats(-0.9, 0.9))
def test_a_mat_carries_no_further_than_its_strength(force, both, offset):
    pad = PadOnMat(0.6, 0.5, 2.4, 2.0, 0.05, 157e6, 90e6, both, offset_length_m=offset)
    sides = effective_sides_m(pad, force)
    assert (sides[0] >= np.array([0.6, 0.5]) - 1e-12).all()
    assert (sides[0] <= np.array(pad.centred_sides_m) + 1e-12).all()
    assert holds_ratio(pad, np.array([force]), sides)[0] <= 1.0 + 1e-9


def test_a_thin_plate_spreads_until_it_bends_to_its_strength():
    # Even pressure F/A over (0.6 + 2c)2, cantilever c: 3 F c2/(A t2) = f. The root of it gives
    # c = 0.6 q/(1 - 2 q) with q2 = f t2/(3 F).
    plate = PadOnMat(0.6, 0.6, 2.4, 2.4, 0.02, 157e6, 90e6, both_ways=True)
    sides = effective_sides_m(plate, 500e3)
    q = math.sqrt(157e6 * 0.02**2 / (3.0 * 500e3))
    assert cantilever_m(plate, sides)[0] == pytest.approx(0.6 * q / (1.0 - 2.0 * q), rel=1e-9)


def test_beams_side_by_side_spread_along_their_length_only():
    sides = effective_sides_m(PadOnMat(0.6, 0.6, 3.0, 2.4, 0.3, 20e6, 2e6, both_ways=False), 300e3)
    assert sides[0, 1] == pytest.approx(0.6)
    assert sides[0, 0] > 0.6


def test_a_thicker_mat_never_presses_the_ground_harder():
    areas = [
        effective_sides_m(PadOnMat(0.6, 0.6, 2.4, 2.4, t, 157e6, 90e6, both_ways=True), 800e3).prod()
        for t in (0.01, 0.02, 0.03, 0.05, 0.08)
    ]
    assert areas == sorted(areas)


@pytest.mark.parametrize("change", [{"offset_length_m": 1.0}, {"mat_width_m": 0.4}, {"thickness_m": 0.0},
                                    {"bending_strength_Pa": -1.0}, {"offset_width_m": math.nan}])  # fmt: skip
def test_a_pad_off_its_mat_or_a_mat_without_strength_is_refused(change):
    numbers = {name: getattr(PLATE, name) for name in PLATE.__dataclass_fields__} | change
    with pytest.raises(InputError, match=r"pad stands out|positive number"):
        PadOnMat(**numbers)
