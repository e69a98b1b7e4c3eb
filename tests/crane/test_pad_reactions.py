"""Outrigger reactions: equilibrium, pads that only push, and the textbook's formulas as special cases."""

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy.optimize import nnls

from plumbhook.core.errors import InputError, NotEvaluatedError
from plumbhook.crane.pad_reactions import OutriggerBase, SlewingCrane, pad_reactions_N, slew_reactions_N

SQUARE = OutriggerBase(((3.0, 3.0), (-3.0, 3.0), (3.0, -3.0), (-3.0, -3.0)))
CRANE = SlewingCrane(24_000.0, (0.3, 0.0), 60_000.0, -1.2)

inside = st.floats(-0.99, 0.99)


def test_four_pads_with_two_moments_share_as_the_usual_formula_says():
    # V/4 ± Mx/(2b) ± My/(2a): 600 kN with 400 and 300 kNm on 6 x 6 m; own derivation.
    reactions = pad_reactions_N(SQUARE, 600e3, 300.0 / 600.0, 400.0 / 600.0)
    assert sorted(reactions / 1e3, reverse=True) == pytest.approx(
        [208.333, 158.333, 141.667, 91.667], abs=1e-3
    )


def test_the_share_of_a_pad_that_would_pull_goes_to_the_others():
    # Shapiro et al., Cranes and Derricks, p. 278: 350/150/150/-50 becomes 400/100/100/0 kN.
    reactions = pad_reactions_N(SQUARE, 600e3, 2.0, 2.0)
    assert reactions / 1e3 == pytest.approx([400.0, 100.0, 100.0, 0.0], abs=1e-6)


def test_two_pads_go_light_together_where_the_moment_is_half_the_force_times_the_base():
    # My = V a/2 = 1800 kNm on a base of 6 m: the force stands above the edge itself.
    near = pad_reactions_N(SQUARE, 600e3, 2.999_999, 0.0)
    assert near[[1, 3]] / 600e3 == pytest.approx([0.0, 0.0], abs=1e-6)
    with pytest.raises(NotEvaluatedError, match="overturns"):
        pad_reactions_N(SQUARE, 600e3, 3.0, 0.0)


@given(
    x=inside, y=inside, front=st.floats(2.0, 5.0), rear=st.floats(2.0, 5.0), half=st.floats(1.5, 4.0),
    stiffness=st.lists(st.floats(0.3, 3.0), min_size=4, max_size=4),
)  # fmt: skip
def test_force_and_moments_balance_and_no_pad_pulls(x, y, front, rear, half, stiffness):
    base = OutriggerBase(((front, half), (-rear, half), (front, -half), (-rear, -half)), tuple(stiffness))
    place = (x * (front if x > 0.0 else rear), y * half)
    reactions = pad_reactions_N(base, 1e6, *place)
    assert reactions.min() >= 0.0
    assert reactions.sum() == pytest.approx(1e6, rel=1e-8)
    moments = reactions @ np.array(base.pads_m)
    assert moments == pytest.approx([1e6 * place[0], 1e6 * place[1]], abs=1e-2)


@given(x=inside, y=inside, stiffness=st.lists(st.floats(0.3, 3.0), min_size=6, max_size=6))
def test_springs_that_only_push_store_the_least_complementary_energy(x, y, stiffness):
    # A foreign solver (non-negative least squares): least sum of R2/k of all pushing reactions in equilibrium.
    pads = ((4.0, 3.0), (0.0, 3.5), (-4.0, 3.0), (4.0, -3.0), (0.0, -3.5), (-4.0, -3.0))
    assume(abs(x) < 0.95 and abs(y) < 0.8)
    base = OutriggerBase(pads, tuple(stiffness))
    place = (4.0 * x, 3.0 * y)
    weight = 1e5
    shape = np.column_stack([np.ones(6), np.array(pads)])
    rows = np.vstack([weight * shape.T, np.diag(1.0 / np.sqrt(stiffness))])
    wanted = np.concatenate([weight * np.array([1.0, *place]), np.zeros(6)])
    foreign, _ = nnls(rows, wanted)
    assert pad_reactions_N(base, 1.0, *place) == pytest.approx(foreign, abs=1e-5)


def test_the_worst_pad_is_under_the_boom_and_mirrors_when_the_boom_goes_round():
    angles = np.radians(np.arange(0.0, 360.0, 5.0))
    base = OutriggerBase(((3.6, 3.6), (-3.6, 3.6), (3.6, -3.6), (-3.6, -3.6)))
    reactions = slew_reactions_N(
        base, CRANE, hook_mass_kg=21_000.0, radius_m=14.0, slew_rad=angles, gravity_m_s2=9.81
    )
    assert reactions.sum(axis=1) == pytest.approx(np.full(72, 105_000.0 * 9.81), rel=1e-9)
    assert np.argmax(reactions[9]) == 0
    assert reactions[9] == pytest.approx(reactions[63][[2, 3, 0, 1]], rel=1e-9)


@given(angle=st.floats(0.0, 2.0 * math.pi), mass=st.floats(5_000.0, 25_000.0))
def test_a_heavier_load_never_lightens_the_pad_that_carries_most(angle, mass):
    def worst(load):
        return slew_reactions_N(
            SQUARE, CRANE, hook_mass_kg=load, radius_m=9.0, slew_rad=[angle], gravity_m_s2=9.81
        ).max()  # fmt: skip

    along = (60_000.0 * -1.2 + mass * 9.0) / (84_000.0 + mass)
    assume(along > 0.3)
    assert worst(mass + 500.0) > worst(mass)


@pytest.mark.parametrize(
    ("make", "words"),
    [
        (lambda: OutriggerBase(((0.0, 0.0), (1.0, 0.0))), "three pads"),
        (lambda: OutriggerBase(((0.0, 0.0), (1.0, 1.0), (2.0, 2.0))), "on one line"),
        (lambda: OutriggerBase(((0.0, 0.0), (1.0, math.nan), (2.0, 2.0))), "two numbers"),
        (lambda: OutriggerBase(SQUARE.pads_m, (1.0, 1.0)), "one stiffness for each pad"),
        (lambda: OutriggerBase(SQUARE.pads_m, (1.0, 1.0, -1.0, 1.0)), "positive number"),
        (lambda: pad_reactions_N(SQUARE, math.nan, 0.0, 0.0), "positive number"),
        (lambda: pad_reactions_N(SQUARE, 1.0, math.inf, 0.0), "two numbers"),
    ],
)
def test_what_cannot_stand_is_refused(make, words):
    with pytest.raises(InputError, match=words):
        make()
