"""ASME BTH-1: allowable compression with bending. Published examples are in test_checks_verification."""

import math
from dataclasses import replace

import numpy as np
import pytest
from check_examples import BASIS, build, demand
from hypothesis import given
from hypothesis import strategies as st

from plumbhook.checks.asme_bth_1.bending import (
    bending_stress_Pa,
    centre_pick_moment_Nm,
    largest_centre_pick_load_N,
    self_weight_moment_Nm,
)
from plumbhook.checks.asme_bth_1.compression import (
    allowable_bending_compact_Pa,
    allowable_compression_Pa,
    allowable_force_N,
    column_slenderness_limit,
    compact_tube,
    euler_allowable_Pa,
    interaction,
    strut_allowable_force_N,
)
from plumbhook.checks.asme_bth_1.strut import compression_check, slenderness_check
from plumbhook.checks.sections import CircularHollowSection
from plumbhook.core.check import Status
from plumbhook.core.errors import InputError

# Rounded table properties of the invented demo families: D, t, A, I, r, pin offset, mass per length.
FAMILIES = {
    "F140": (0.1397, 0.0080, 33.1e-4, 720e-8, 46.7e-3, 0.006, 33.0),
    "F219": (0.2191, 0.0100, 65.7e-4, 3598e-8, 74.0e-3, 0.008, 66.0),
    "F324": (0.3239, 0.0125, 122.3e-4, 14847e-8, 110.2e-3, 0.010, 122.0),
}

# Own scenario figures (invented demo families), kN by span in m; not published anywhere.
OWN_SCENARIO_FIGURES = {
    "F140": {1.5: 273, 2.1: 242, 3.0: 192, 4.3: 125, 5.0: 96.3, 6.0: 65.6, 7.2: 42.9, 7.6: 37.5, 8.4: 28.8},
    "F219": {
        1.5: 607, 2.1: 571, 2.8: 525, 3.0: 511, 4.3: 414, 5.0: 362, 6.0: 291, 7.2: 217, 7.6: 195, 8.4: 157,
        10.0: 103, 12.0: 61.8,
    },
    "F324": {
        1.5: 1203, 2.1: 1161, 3.0: 1091, 4.3: 976, 5.0: 908, 6.0: 808, 7.2: 685, 8.4: 568, 10.0: 430, 12.0: 291,
    },
}  # fmt: skip


def family_basis(name):
    diameter, wall, area, second_moment, radius, offset, line_mass = FAMILIES[name]
    section = CircularHollowSection.of_table_row(
        diameter,
        wall,
        area_m2=area,
        second_moment_m4=second_moment,
        radius_of_gyration_m=radius,
        table="demo family",
    )
    return replace(BASIS, section=section, pin_offset_m=offset, line_mass_kg_per_m=line_mass)


@pytest.mark.parametrize(
    ("family", "span_m", "expected_kN"),
    [(family, span, force) for family, row in OWN_SCENARIO_FIGURES.items() for span, force in row.items()],
)
def test_own_scenario_figures_of_the_allowable_compression(family, span_m, expected_kN):
    force = strut_allowable_force_N(span_m, family_basis(family))
    assert force / 1e3 == pytest.approx(expected_kN, rel=0.01)
    check = build(compression_check, span_m=span_m, basis=family_basis(family))
    assert check.capacity.value == force


def test_a_family_of_140_mm_is_too_slender_at_ten_metres():
    check = build(slenderness_check, span_m=10.0, basis=family_basis("F140"))
    assert check.status is Status.FAIL
    assert build(slenderness_check, span_m=8.4, basis=family_basis("F140")).status is Status.PASS


spans = st.floats(min_value=0.5, max_value=14.0)


@given(spans, spans)
def test_a_longer_strut_never_carries_more(first, second):
    short, long = sorted((first, second))
    assert strut_allowable_force_N(short, BASIS) >= strut_allowable_force_N(long, BASIS)


@given(spans, st.floats(min_value=0.0, max_value=0.2), st.floats(min_value=0.0, max_value=0.2))
def test_a_larger_eccentricity_never_carries_more(span, first, second):
    small, large = sorted((first, second))
    assert strut_allowable_force_N(span, replace(BASIS, pin_offset_m=small)) >= strut_allowable_force_N(
        span, replace(BASIS, pin_offset_m=large)
    )


def test_offset_of_the_pin_and_slack_of_the_joints_are_one_eccentricity():
    by_pin = strut_allowable_force_N(4.3, replace(BASIS, pin_offset_m=0.012))
    by_slack = strut_allowable_force_N(4.3, replace(BASIS, pin_offset_m=0.008, joint_slack_m=0.004))
    by_bow = strut_allowable_force_N(
        4.3, replace(BASIS, pin_offset_m=0.0, bow_divisor=4.3 / (0.012 + 4.3 / 500))
    )
    assert by_pin == pytest.approx(by_slack, rel=1e-12)
    assert by_pin == pytest.approx(by_bow, rel=1e-12)
    assert by_pin < strut_allowable_force_N(4.3, BASIS)


@given(spans, st.floats(min_value=1.0, max_value=2.0), st.floats(min_value=2.0, max_value=6.0))
def test_neither_a_dynamic_factor_nor_a_design_factor_makes_a_strut_stronger(span, dynamic, design):
    worse = replace(BASIS, dynamic_factor=dynamic, design_factor=design)
    base = replace(BASIS, dynamic_factor=1.0, design_factor=2.0)
    assert strut_allowable_force_N(span, worse) <= strut_allowable_force_N(span, base)


positive = st.floats(min_value=0.1, max_value=10.0)


@given(positive, positive, positive, st.floats(min_value=0.0, max_value=0.98), st.floats(0.0, 5.0))
def test_the_closed_form_is_where_the_interaction_is_one(fa, fe_more, fb, used, eccentricity):
    """Fe' is never below Fa: above Cc they are the same, below it Fa is cut by yielding."""
    section = {"area_m2": 1.0, "section_modulus_m3": 1.0, "eccentricity_m": eccentricity}
    stresses = {
        "allowable_compression_Pa": fa,
        "euler_allowable_Pa": fa * (1.0 + fe_more),
        "allowable_bending_Pa": fb,
        "self_weight_moment_Nm": used * fb,
    }
    force = allowable_force_N(**section, **stresses)
    assert interaction(force, **section, **stresses) == pytest.approx(1.0, rel=1e-9)
    assert interaction(0.999 * force, **section, **stresses) < 1.0
    assert interaction(1.001 * force, **section, **stresses) > 1.0


def test_nothing_is_left_where_the_weight_of_the_strut_uses_up_the_section():
    long = build(compression_check, span_m=60.0)
    assert long.capacity.value == 0.0
    assert long.status is Status.FAIL


def test_without_weight_and_eccentricity_only_the_compression_counts():
    force = allowable_force_N(
        area_m2=0.01,
        section_modulus_m3=1e-3,
        self_weight_moment_Nm=0.0,
        eccentricity_m=0.0,
        allowable_compression_Pa=100e6,
        euler_allowable_Pa=400e6,
        allowable_bending_Pa=130e6,
    )
    assert force == pytest.approx(0.01 * 100e6)


def test_the_two_branches_of_the_column_formula_meet():
    limit = column_slenderness_limit(210e9, 355e6)
    below = allowable_compression_Pa(limit * (1.0 - 1e-12), 210e9, 355e6, 3.0)
    above = allowable_compression_Pa(limit * (1.0 + 1e-12), 210e9, 355e6, 3.0)
    assert below == pytest.approx(above, rel=1e-9)
    assert above == pytest.approx(355e6 / (2.0 * 1.15 * 3.0), rel=1e-9)


def test_a_stub_has_the_yield_strength_over_the_design_factor():
    assert allowable_compression_Pa(0.0, 210e9, 355e6, 3.0) == pytest.approx(355e6 / 3.0)


def test_the_column_formula_is_the_old_allowable_stress_formula_with_another_factor():
    """AISC allowable stress design: factor 5/3 + 3/8 x - 1/8 x3; with 5/3 for Nd both must agree."""
    for ratio in (0.1, 0.5, 0.9):
        slenderness = ratio * column_slenderness_limit(200e9, 250e6)
        factor = 5.0 / 3.0 + 3.0 * ratio / 8.0 - ratio**3 / 8.0
        expected = (1.0 - ratio**2 / 2.0) * 250e6 / factor
        assert allowable_compression_Pa(slenderness, 200e9, 250e6, 5.0 / 3.0) == pytest.approx(expected)


@given(st.floats(min_value=1.0, max_value=300.0), st.floats(min_value=1.0, max_value=300.0))
def test_a_more_slender_column_never_has_a_higher_allowable_stress(first, second):
    low, high = sorted((first, second))
    assert allowable_compression_Pa(low, 210e9, 355e6, 3.0) >= allowable_compression_Pa(
        high, 210e9, 355e6, 3.0
    )


def test_arrays_of_spans_give_what_single_spans_give():
    spans_m = np.array([1.5, 4.3, 9.0, 12.0])
    assert strut_allowable_force_N(spans_m, BASIS) == pytest.approx(
        [strut_allowable_force_N(float(span), BASIS) for span in spans_m], rel=1e-14
    )
    stresses = allowable_compression_Pa(np.array([10.0, 150.0]), 210e9, 355e6, 3.0)
    assert stresses[1] == pytest.approx(euler_allowable_Pa(150.0, 210e9, 3.0))


def test_the_verdict_by_force_and_by_interaction_is_the_same():
    for force in (100e3, 414e3, 415e3, 600e3):
        check = build(compression_check, demand=demand(force))
        step = next(step for step in check.steps if step.result.symbol == "U")
        assert (check.status is Status.PASS) == (step.result.value <= 1.0)


def test_beyond_the_euler_force_there_is_no_interaction_to_print_and_the_check_fails():
    check = build(compression_check, span_m=12.0, demand=demand(5e6))
    assert all(step.result.symbol != "U" for step in check.steps)
    assert check.status is Status.FAIL
    section = {"area_m2": 1.0, "section_modulus_m3": 1.0, "eccentricity_m": 0.0, "self_weight_moment_Nm": 0.0}
    limits = {"allowable_compression_Pa": 1.0, "euler_allowable_Pa": 2.0, "allowable_bending_Pa": 1.0}
    assert interaction(2.0, **section, **limits) == math.inf
    assert math.isnan(interaction(math.nan, **section, **limits))


def test_a_wall_too_thin_for_the_compact_allowable_is_not_evaluated():
    thin = CircularHollowSection.of_dimensions(0.508, 0.008)
    assert not compact_tube(0.508, 0.008, 210e9, 355e6)
    check = build(compression_check, basis=replace(BASIS, section=thin))
    assert check.status is Status.NOT_EVALUATED


def test_a_beam_that_passed_without_its_own_weight_fails_with_it():
    """The published lifting beam passes 13,200 psi with 13,168 psi; 94 lb/ft of its own bring 13,311 psi."""
    inch, pound_force, psi = 0.0254, 4.4482216152605, 6894.757293168
    span, edge, second_moment = 180 * inch, 12.155 * inch, 2700 * inch**4
    allowable = allowable_bending_compact_Pa(36_000 * psi, 3.0)
    load = centre_pick_moment_Nm(65_000 * pound_force, span)
    own = self_weight_moment_Nm(94 * pound_force / 0.3048, span)
    assert bending_stress_Pa(load, edge, second_moment) < allowable
    assert bending_stress_Pa(load + own, edge, second_moment) > allowable
    largest = largest_centre_pick_load_N(allowable, second_moment, edge, span)
    assert bending_stress_Pa(centre_pick_moment_Nm(largest, span), edge, second_moment) == pytest.approx(
        allowable
    )


def test_every_wrong_number_of_a_family_is_named_at_once():
    with pytest.raises(InputError) as caught:
        replace(BASIS, yield_Pa=0.0, pin_offset_m=-0.001, dynamic_factor=0.9, bow_divisor=math.nan)
    assert {problem.field for problem in caught.value.problems} == {
        "yield_Pa",
        "pin_offset_m",
        "dynamic_factor",
        "bow_divisor",
    }


@pytest.mark.parametrize("span", [0.0, -1.0, math.nan, math.inf])
def test_a_strut_without_a_span_is_refused(span):
    with pytest.raises(InputError, match="span"):
        build(compression_check, span_m=span)


def test_a_table_row_of_another_tube_is_refused():
    with pytest.raises(InputError, match="second moment"):
        CircularHollowSection.of_table_row(
            0.2191, 0.010, area_m2=65.7e-4, second_moment_m4=720e-8, radius_of_gyration_m=0.074, table="x"
        )
    with pytest.raises(InputError, match="wall"):
        CircularHollowSection.of_dimensions(0.1, 0.06)
