"""Ground pressure under tracks, wind on the load, the reading of the load cell."""

import math
from typing import ClassVar

import numpy as np
import pytest
from crane_examples import CRAWLER, build
from hypothesis import given
from hypothesis import strategies as st

from plumbhook.core.audit import audit_check
from plumbhook.core.check import Check, Status
from plumbhook.core.errors import InputError
from plumbhook.core.expression import evaluate
from plumbhook.crane.ground import (
    Crawler,
    eccentricity_m,
    largest_track_pressure_Pa,
    pressure_below_mats_Pa,
    track_pressure_check,
)
from plumbhook.crane.load_cell import expected_reading, reading_band_kg
from plumbhook.crane.wind import gust_m_s, permissible_wind_m_s, wind_limit


class TestTrackPressure:
    @pytest.mark.parametrize(
        ("radius", "track_kPa", "mat_kPa", "status"),
        [(12.0, 337, 133, Status.PASS), (14.0, 403, 160, Status.PASS), (16.0, 494, 195, Status.FAIL)],
    )
    def test_own_scenario_figures_of_the_invented_crawler(self, radius, track_kPa, mat_kPa, status):
        check = build(track_pressure_check, radius_m=radius)
        pressures = {step.result.symbol: step.result.value for step in check.steps}
        assert pressures["p_max"] / 1e3 == pytest.approx(track_kPa, abs=0.5)
        assert pressures["p_mat"] / 1e3 == pytest.approx(mat_kPa, abs=0.5)
        assert check.status is status

    @given(st.floats(0.0, 0.499), st.floats(2.0, 12.0), st.floats(0.3, 1.5), st.floats(1e5, 1e7))
    def test_the_pressure_carries_the_force_at_its_place(self, part, length, width, force):
        """Equilibrium of a rigid footing without tension, by sums of strips: force and moment."""
        e = part * length
        edge = largest_track_pressure_Pa(force, e, length, width)
        loaded = length if e <= length / 6.0 else 3.0 * (length / 2.0 - e)
        low = (
            edge - edge * length / loaded if loaded < length else 2.0 * force / (2.0 * width * length) - edge
        )
        x = (np.arange(20_000) + 0.5) / 20_000 * length - length / 2.0
        pressure = np.maximum(0.0, low + (edge - low) * (x / length + 0.5))
        strip = 2.0 * width * length / 20_000
        assert (pressure * strip).sum() == pytest.approx(force, rel=1e-4)
        assert (pressure * x * strip).sum() == pytest.approx(force * e, rel=1e-3, abs=1e-4 * force * length)

    @given(st.floats(0.0, 3.59), st.floats(0.0, 3.59))
    def test_a_larger_eccentricity_never_lowers_the_pressure(self, first, second):
        near, far = sorted((first, second))
        low, high = (largest_track_pressure_Pa(2.5e6, e, 7.2, 0.95) for e in (near, far))
        assert low <= high * (1.0 + 1e-12)
        assert largest_track_pressure_Pa(2.5e6, -far, 7.2, 0.95) == high

    def test_trapezoid_and_triangle_meet_at_one_sixth(self):
        at, above = (largest_track_pressure_Pa(2.5e6, 1.2 + step, 7.2, 0.95) for step in (0.0, 1e-12))
        assert at == pytest.approx(above, rel=1e-9)
        assert at == pytest.approx(2.0 * 2.5e6 / (2.0 * 0.95 * 7.2))

    def test_a_crane_whose_resultant_leaves_the_tracks_is_refused(self):
        check = build(track_pressure_check, radius_m=40.0)
        assert check.status is Status.FAIL
        assert "overturns" in check.refused_because
        assert largest_track_pressure_Pa(1.0, 3.6, 7.2, 0.95) == math.inf
        assert math.isnan(largest_track_pressure_Pa(1.0, math.nan, 7.2, 0.95))

    def test_the_crane_alone_may_press_harder_than_the_crane_with_its_load(self):
        """Counterweight without load: own finding on the invented crawler, 421 kPa against 403 kPa at 14 m."""
        alone = build(track_pressure_check, hook_mass_kg=0.0)
        loaded = build(track_pressure_check)
        assert alone.demand.value > loaded.demand.value
        assert eccentricity_m(CRAWLER, 0.0, 14.0) == pytest.approx(-1.9)
        assert audit_check(alone) == ()

    @pytest.mark.parametrize(
        "changes", [{"allowable_Pa": None}, {"allowable_source": ""}, {"allowable_source": " "}]
    )
    def test_a_pressure_that_nobody_stated_is_not_evaluated(self, changes):
        assert build(track_pressure_check, **changes).status is Status.NOT_EVALUATED

    def test_without_mats_the_track_itself_presses_the_ground(self):
        bare = build(track_pressure_check, mat_width_m=None)
        assert bare.demand.symbol == "p_max"
        assert pressure_below_mats_Pa(bare.demand.value, 0.95, 0.95) == bare.demand.value

    def test_mats_narrower_than_the_tracks_are_refused(self):
        with pytest.raises(InputError, match="wide"):
            build(track_pressure_check, mat_width_m=0.9)

    def test_a_crawler_with_wrong_numbers_is_refused_with_all_of_them(self):
        with pytest.raises(InputError) as caught:
            Crawler(0.0, math.nan, -7.2, math.inf)
        assert len(caught.value.problems) == 4


class TestWind:
    COMMON: ClassVar = {"chart_wind_m_s": 9.8, "load_mass_kg": 16_850.0, "shape_factor": 1.4, "area_m2": 28.1}

    def test_own_scenario_figure_of_the_plant_skid(self):
        """28.1 m2, c_w 1.4, 16.85 t: 2.33 m2/t, so 9.8 m/s of the chart becomes 7.0 m/s."""
        limit = wind_limit(**self.COMMON, area_source="envelope")
        assert limit.permissible_m_s == pytest.approx(7.0, abs=0.05)
        assert limit.area_ratio_m2_per_kg * 1e3 == pytest.approx(2.33, abs=0.01)
        assert limit.reduced

    def test_own_scenario_figure_of_the_bridge_segment(self):
        """24 m2, c_w 1.2, 47.848 t: 0.60 m2/t, the chart's own limit applies."""
        limit = wind_limit(
            chart_wind_m_s=9.8, load_mass_kg=47_848.0, shape_factor=1.2, area_m2=24.0, area_source="envelope"
        )
        assert limit.permissible_m_s == 9.8
        assert not limit.reduced

    @given(st.floats(1.0, 500.0), st.floats(1.0, 500.0), st.floats(500.0, 1e5))
    def test_a_larger_sail_never_raises_the_limit_and_none_exceeds_the_chart(self, first, second, mass):
        small, large = sorted((first, second))
        assert (
            11.3
            >= permissible_wind_m_s(11.3, mass, 1.2, small)
            >= permissible_wind_m_s(11.3, mass, 1.2, large)
        )

    def test_the_force_of_the_permissible_wind_is_the_force_that_the_chart_allows_for(self):
        """Wind pressure times area at the reduced speed equals chart pressure times 1.2 m2 per tonne."""
        speed = permissible_wind_m_s(9.8, 16_850.0, 1.4, 28.1)
        assert speed**2 * 1.4 * 28.1 == pytest.approx(9.8**2 * 1.2e-3 * 16_850.0)

    def test_the_working_gives_the_limit(self):
        limit = wind_limit(**self.COMMON, area_source="envelope")
        last = limit.steps[-1]
        assert evaluate(last.formula, {v.symbol: v.value for v in last.inputs}) == pytest.approx(
            limit.permissible_m_s
        )
        check = Check("w", "w", "w", last.result, last.inputs[0], last.clause, limit.steps)
        assert audit_check(check) == ()

    def test_arrays_of_areas_give_arrays_of_limits(self):
        areas = np.array([0.0, 10.0, 100.0])
        limits = permissible_wind_m_s(10.0, 10_000.0, 1.2, areas)
        assert limits.tolist() == pytest.approx([10.0, 10.0, math.sqrt(0.1) * 10.0])

    def test_gusts_grow_with_height(self):
        assert gust_m_s(10.0, 10.0) == pytest.approx(14.0)
        assert gust_m_s(10.0, 50.0) > gust_m_s(10.0, 20.0) > 14.0

    @pytest.mark.parametrize("name", list(COMMON))
    @pytest.mark.parametrize("bad", [0.0, -1.0, math.nan, math.inf])
    def test_a_limit_without_its_numbers_is_refused(self, name, bad):
        with pytest.raises(InputError):
            wind_limit(**{**self.COMMON, name: bad}, area_source="envelope")


class TestLoadCell:
    @pytest.mark.parametrize(
        ("load", "rig", "expected", "green", "red"),
        [(47_848.0, 1_123.0, 48.97, 0.87, 1.74), (16_850.0, 2_146.0, 19.00, 0.32, 0.63)],
    )
    def test_own_scenario_figures_of_the_trial_lift(self, load, rig, expected, green, red):
        """Cell 1 % of reading, weight 1.5 %: 48.97 t within 0.87 t, stop beyond 1.74 t; 19.00 t, 0.32 and 0.63 t."""
        reading = expected_reading(
            load_mass_kg=load,
            load_tolerance_ratio=0.015,
            rig_mass_below_cell_kg=rig,
            cell_accuracy_ratio=0.01,
        )
        assert reading.expected_kg / 1e3 == pytest.approx(expected, abs=0.005)
        assert reading.green_kg / 1e3 == pytest.approx(green, abs=0.005)
        assert reading.red_kg / 1e3 == pytest.approx(red, abs=0.005)

    def test_the_working_gives_the_bands(self):
        reading = expected_reading(
            load_mass_kg=10e3, load_tolerance_ratio=0.03, rig_mass_below_cell_kg=1e3, cell_accuracy_ratio=0.04
        )
        band, stop = reading.steps[1], reading.steps[2]
        assert audit_check(Check("c", "c", "c", band.result, stop.result, band.clause, reading.steps)) == ()

    def test_independent_uncertainties_add_as_the_sides_of_a_right_angle(self):
        assert reading_band_kg(300.0, 0.01, 400.0, 0.01) == pytest.approx(5.0)

    @pytest.mark.parametrize("stop_multiple", [0.5, math.nan])
    def test_the_stop_is_never_inside_the_band(self, stop_multiple):
        with pytest.raises(InputError):
            expected_reading(
                load_mass_kg=1.0,
                load_tolerance_ratio=0.01,
                rig_mass_below_cell_kg=1.0,
                cell_accuracy_ratio=0.01,
                stop_multiple=stop_multiple,
            )
