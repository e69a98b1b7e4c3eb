"""Bearing resistance of the ground: laws that hold for every soil and pad, and input that is refused."""

import math
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from plumbhook.core.audit import require_audit
from plumbhook.core.check import Status
from plumbhook.core.errors import InputError
from plumbhook.crane.bearing import classical, factors
from plumbhook.crane.bearing.en_1997_1 import (
    DA1_1,
    DA2,
    DESIGN_APPROACHES,
    Combination,
    bearing_resistance_check,
    bearing_resistance_Pa,
    combinations_of,
    design_soil,
)
from plumbhook.crane.bearing.ground_model import Pad, Soil

PAD = Pad(2.0, 2.4, 0.5)
SAND = Soil(math.radians(32.0), 0.0, 18e3)
CLAY = Soil(0.0, 60e3, 19e3)

METHODS = {
    "EN 1997-1": bearing_resistance_Pa,
    "Meyerhof": classical.meyerhof_Pa,
    "Vesic": classical.vesic_Pa,
    "Brinch Hansen": lambda pad, soil: classical.brinch_hansen_Pa(pad, soil, vertical_N=1.0),
}
method = pytest.mark.parametrize("pressure_of", METHODS.values(), ids=METHODS.keys())

friction = st.floats(math.radians(5.0), math.radians(44.0))
cohesion = st.floats(1e3, 200e3)
side = st.floats(0.5, 6.0)
soils = st.builds(Soil, friction, cohesion, st.floats(15e3, 21e3))
pads = st.builds(lambda a, b, d: Pad(min(a, b), max(a, b), d), side, side, st.floats(0.0, 2.0))


@method
@given(pad=pads, soil=soils)
def test_stronger_soil_bears_more(pressure_of, pad, soil):
    plain = pressure_of(pad, soil)
    assert pressure_of(pad, replace(soil, friction_angle_rad=soil.friction_angle_rad + 0.02)) > plain
    assert pressure_of(pad, replace(soil, cohesion_Pa=soil.cohesion_Pa * 1.1)) > plain


@method
@given(pad=pads, soil=soils)
def test_a_pad_set_deeper_bears_more(pressure_of, pad, soil):
    # Vesic's depth factor has a step where the depth is just the width.
    assume(pad.depth_m > pad.width_m or pad.depth_m + 0.2 <= pad.width_m)
    assert pressure_of(replace(pad, depth_m=pad.depth_m + 0.2), soil) > pressure_of(pad, soil)


@method
@given(pad=pads, soil=soils, away=st.floats(0.01, 0.2))
def test_a_force_off_the_middle_can_be_carried_less(pressure_of, pad, soil, away):
    moved = replace(pad, eccentricity_width_m=away * pad.width_m)
    carried = pressure_of(moved, soil) * moved.effective_area_m2
    assert carried < pressure_of(pad, soil) * pad.effective_area_m2


@method
@given(pad=pads, soil=soils)
def test_high_ground_water_never_helps(pressure_of, pad, soil):
    wet = replace(soil, saturated_unit_weight_N_per_m3=soil.unit_weight_N_per_m3 + 1e3, water_depth_m=0.0)
    deep = replace(wet, water_depth_m=pad.depth_m + 10.0)
    assert pressure_of(pad, wet) < pressure_of(pad, deep)
    assert pressure_of(pad, deep) == pytest.approx(pressure_of(pad, soil), rel=1e-12)


@given(phi=st.floats(1e-5, 1e-4))
def test_factors_reach_the_undrained_ones_as_friction_goes(phi):
    assert factors.N_c(phi) == pytest.approx(math.pi + 2.0, rel=1e-3)
    assert factors.N_c_terzaghi(phi) == pytest.approx(1.5 * math.pi + 1.0, rel=1e-3)
    assert factors.N_q(phi) == pytest.approx(1.0, rel=1e-3)


@given(soil=soils, share=st.floats(0.01, 0.3))
def test_a_leaning_force_can_be_carried_less_by_annex_d(soil, share):
    upright = bearing_resistance_Pa(PAD, soil, vertical_N=1e5)
    leaning = bearing_resistance_Pa(PAD, soil, vertical_N=1e5, horizontal_N=share * 1e5)
    assert leaning < upright
    assert classical.vesic_Pa(PAD, soil, vertical_N=1e5, horizontal_N=share * 1e5) < classical.vesic_Pa(
        PAD, soil
    )


def test_a_pad_that_slides_bears_nothing():
    slide = PAD.effective_area_m2 * CLAY.cohesion_Pa * 1.01
    assert bearing_resistance_Pa(PAD, CLAY, vertical_N=1e6, horizontal_N=slide) == 0.0
    assert bearing_resistance_Pa(PAD, SAND, vertical_N=1e5, horizontal_N=1.01e5) == 0.0
    assert classical.meyerhof_Pa(Pad(2.0, 2.4), SAND, inclination_rad=math.radians(33.0)) == 0.0


def test_the_methods_agree_within_a_third_on_a_common_pad():
    values = [pressure_of(PAD, SAND) for pressure_of in METHODS.values()]
    assert max(values) < 4.0 / 3.0 * min(values)


def test_partial_factors_of_one_leave_the_soil_as_it_is():
    assert design_soil(SAND, DA1_1).friction_angle_rad == pytest.approx(SAND.friction_angle_rad, rel=1e-15)
    assert design_soil(CLAY, DA2) == CLAY


@pytest.mark.parametrize("soil", [SAND, CLAY, Soil(0.6, 10e3, 18e3, 20e3, 1.0)])
@pytest.mark.parametrize("horizontal_N", [0.0, 20e3])
@pytest.mark.parametrize("approach", DESIGN_APPROACHES)
def test_the_working_of_every_approach_passes_the_audit(soil, horizontal_N, approach):
    for combination in combinations_of(approach):
        check = checked(soil=soil, combination=combination, horizontal_N=horizontal_N)
        require_audit([check])
        assert check.status in {Status.PASS, Status.FAIL}


def test_soil_that_nobody_has_stated_is_not_evaluated():
    assert checked(soil_source=" ").status is Status.NOT_EVALUATED


def test_a_pad_twice_as_heavily_loaded_uses_twice_the_resistance():
    once, twice = checked(), checked(permanent_N=600e3, variable_N=400e3)
    assert twice.utilisation == pytest.approx(2.0 * once.utilisation, rel=1e-12)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: Pad(2.4, 2.0), "longer side"),
        (lambda: Pad(2.0, 2.4, eccentricity_width_m=1.0), "stand on the pad"),
        (lambda: Pad(math.nan, 2.0), "width of the pad"),
        (lambda: Soil(0.0, 0.0, 18e3), "angle of shearing resistance or a cohesion"),
        (lambda: Soil(0.6, 0.0, 18.0), "between 5 and 30 kN/m3"),
        (lambda: Soil(0.6, 0.0, 18e3, water_depth_m=1.0), "below the water table"),
        (lambda: Soil(1.0, 0.0, 18e3), "below 50 deg"),
        (lambda: combinations_of("4"), "national annex"),
        (lambda: classical.terzaghi_Pa(PAD, SAND), "strip or a square"),
        (lambda: bearing_resistance_Pa(Pad(2.0, math.inf), SAND, vertical_N=1.0, horizontal_N=0.1), "finite length"),
        (lambda: checked(permanent_N=-1.0), "zero or more"),
        (lambda: replace(DA2, gamma_R=0.9), "1 or more"),
    ],
)  # fmt: skip
def test_what_cannot_be_reckoned_is_refused_with_its_cure(make, words):
    with pytest.raises(InputError, match=words):
        make()


def checked(
    *,
    soil: Soil = SAND,
    combination: Combination = DA2,
    permanent_N: float = 300e3,
    variable_N: float = 200e3,
    soil_source: str = "report",
    horizontal_N: float = 0.0,
):
    return bearing_resistance_check(
        "bearing.pad",
        "ground",
        "Bearing resistance below the pad",
        pad=PAD,
        soil=soil,
        permanent_N=permanent_N,
        variable_N=variable_N,
        combination=combination,
        soil_source=soil_source,
        horizontal_N=horizontal_N,
    )
